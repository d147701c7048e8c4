//! What places, wires and facts are called in a rework order.

use super::bench_state::{BenchState, owner, word};
use crate::{
    diff::{Fact, FactKey, Facts, Item, Key, Kind},
    format::Attribute,
    wording,
};

/// A place as it is called within its loom: `P1.3`, `R1`, `S2`.
pub(super) fn place(item: &Item) -> String {
    match item {
        Item::Word(word) => format!("`{word}`, which the design does not have"),
        Item::Thing(key, rest) => {
            let own = local(key);
            if rest.is_empty() { own.to_owned() } else { format!("{own}.{rest}") }
        }
    }
}

/// The name of a thing within its loom or device.
pub(super) fn local(key: &Key) -> &str {
    key.path.split_once('.').map_or(key.path.as_str(), |(_, rest)| rest)
}

/// A list as it is spoken.
pub(super) fn list(names: &[String]) -> String {
    if names.is_empty() { "nothing".to_owned() } else { wording::list(names) }
}

/// Places as a list.
pub(super) fn places(items: &[Item]) -> String {
    list(&items.iter().map(place).collect::<Vec<_>>())
}

/// The value of a fact.
pub(super) fn value(fact: &Fact) -> String {
    fact.joined(|item| match item {
        Item::Thing(key, rest) if rest.is_empty() => key.shown().to_owned(),
        item => word(item),
    })
}

/// The value of a fact, or that nothing is said.
pub(super) fn value_or_none(fact: Option<&Fact>) -> String {
    fact.map_or_else(|| "nothing".to_owned(), value)
}

/// A wire or cable by its name.
pub(super) fn lead(key: &Key) -> String {
    format!("{} `{}`", key.kind.noun(), key.path)
}

/// What a wire or cable is cut from: size, colour, kind, length.
pub(super) fn cut(facts: &Facts) -> String {
    use Attribute::{Colour, Length, Part, Size, Wire};
    let known = [Size, Colour, Part, Wire, Length].into_iter().filter_map(|name| facts.get(&FactKey::from(name)));
    let said: Vec<String> = known.map(value).collect();
    if said.is_empty() { "size, colour and length as in the drawing".to_owned() } else { said.join(", ") }
}

/// What is done to bring an end of a wire to a place.
pub(super) fn into(built: &BenchState, items: &[Item]) -> String {
    let phrases: Vec<String> = items.iter().map(|item| into_one(built, item)).collect();
    list(&phrases)
}

/// Where an end of a wire is terminated.
pub(super) fn at(built: &BenchState, items: &[Item]) -> String {
    let one = |item: &Item| {
        let called = place(item);
        match item {
            Item::Thing(key, _) if key.kind == Kind::Splice => format!("in splice {called}"),
            Item::Thing(key, _) if built.fact(key, Attribute::Ring).is_some() => format!("in ring {called}"),
            Item::Thing(..) | Item::Word(_) => format!("at {called}"),
        }
    };
    list(&items.iter().map(one).collect::<Vec<_>>())
}

fn into_one(built: &BenchState, item: &Item) -> String {
    let called = place(item);
    match item {
        Item::Thing(key, _) if key.kind == Kind::Splice => format!("into splice {called}"),
        Item::Thing(key, _) if key.kind == Kind::Element => format!("to {called}"),
        Item::Thing(key, _) if built.fact(key, Attribute::Ring).is_some() => format!("into ring {called}"),
        Item::Thing(key, _) if built.fact(key, Attribute::LandsOn).is_some() => format!("to bare end {called}"),
        Item::Thing(..) => format!("into {called}"),
        Item::Word(_) => format!("to {called}"),
    }
}

/// From where an end of a wire is taken.
pub(super) fn from(built: &BenchState, item: &Item) -> String {
    let called = place(item);
    match item {
        Item::Thing(key, _) if key.kind == Kind::Splice => format!("out of splice {called}"),
        Item::Thing(key, _) if built.fact(key, Attribute::Ring).is_some() => format!("off ring {called}"),
        Item::Thing(key, _) if key.kind == Kind::Element => format!("off {called}"),
        Item::Thing(key, _) if built.fact(key, Attribute::LandsOn).is_some() => format!("off bare end {called}"),
        Item::Thing(..) => format!("out of {called}"),
        Item::Word(_) => format!("off {called}"),
    }
}

/// Whether wires are taken out of a place or cut off.
pub(super) fn is_cavity(built: &BenchState, item: &Item) -> bool {
    matches!(item, Item::Thing(key, rest) if key.kind == Kind::End && !rest.is_empty() && built.fact(key, Attribute::Ring).is_none())
}

/// The loom of a thing.
pub(super) fn loom(key: &Key) -> Option<String> {
    owner(key).map(str::to_owned)
}
