//! What is on the bench: a built design as hands find it, without what is on paper only.
//!
//! Owns which facts of a inventory can be touched. A device of a kind has what its kind has; what is not fitted is not there.

use crate::{
    diff::{Fact, FactKey, Facts, Inventory, Item, Key, Kind, Thing},
    format::{Attribute, Bench},
};
use std::collections::{BTreeMap, BTreeSet};

/// A wire or a cable. The places of a cable are those of its screen.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Lead {
    /// Where its ends are, sorted: a connector with its cavity, a ring, a splice, a point of an element.
    pub places: Vec<Item>,
    /// Size, colour, length, kind, core, way.
    pub facts: Facts,
}

/// A built design, and the state it is in while somebody works on it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct BenchState {
    /// Wires and cables.
    pub leads: BTreeMap<Key, Lead>,
    /// All other things that can be touched: looms, ends, splices, elements, segments, devices, ports.
    pub articles: BTreeMap<Key, Facts>,
    /// Cavities that a plug closes.
    pub plugs: BTreeSet<Item>,
    /// Names of signals at pins and studs.
    pub labels: BTreeMap<Key, Fact>,
    /// Ends that are unmated or unbolted just now.
    pub parted: BTreeSet<Key>,
    /// Coverings and splices that are open just now; a loom where its design gives no route.
    pub opened: BTreeSet<Key>,
    /// Sources and disconnects that are off just now.
    pub isolated: BTreeSet<Key>,
}

impl Lead {
    /// A fact of it.
    pub(super) fn fact(&self, attribute: Attribute) -> Option<&Fact> {
        self.facts.get(&FactKey::from(attribute))
    }
}

impl BenchState {
    /// What is built to an inventory.
    #[must_use]
    pub fn of(inventory: &Inventory) -> Self {
        Self::of_whole(&Whole::of(inventory))
    }

    pub(super) fn of_whole(whole: &Whole<'_>) -> Self {
        let mut built = Self::default();
        for (key, thing) in &whole.things {
            if is_fitted(&whole.things, key, thing) {
                built.add(whole.inventory, key, thing);
            }
        }
        built
    }

    fn add(&mut self, inventory: &Inventory, key: &Key, thing: &Thing) {
        let hand = |facts: &Facts| -> Facts {
            facts
                .iter()
                .filter(|(_, fact)| fact.class.work().is_some())
                .map(|(name, fact)| (name.clone(), fact.clone()))
                .collect()
        };
        match key.kind {
            Kind::Wire | Kind::Cable => {
                let places = thing.facts.iter().filter(|(_, fact)| matches!(fact.class.bench, Bench::WireEnd | Bench::Place));
                let mut lead =
                    Lead { places: places.flat_map(|(_, fact)| fact.items.clone()).collect(), facts: hand(&thing.facts) };
                lead.places.sort();
                let by_loom = thing.parent.as_ref().and_then(|loom| inventory.things.get(loom)?.fact(Attribute::Wire));
                if let (Kind::Wire, Some(kind), false) = (key.kind, by_loom, lead.fact(Attribute::Core).is_some()) {
                    // What a loom says of all its wires means for each what its own key would.
                    let class = Kind::Wire.class(Attribute::Wire).unwrap_or(kind.class);
                    lead.facts.entry(Attribute::Wire.into()).or_insert_with(|| Fact::new(kind.items.clone(), class));
                }
                self.leads.insert(key.clone(), lead);
            }
            Kind::Loom | Kind::End | Kind::Splice | Kind::Element | Kind::Segment | Kind::Device | Kind::Port => {
                self.articles.insert(key.clone(), hand(&thing.facts));
                let plugs = thing.facts.iter().filter(|(_, fact)| fact.class.bench == Bench::Plug);
                for plug in plugs.flat_map(|(_, fact)| &fact.items) {
                    self.plugs.insert(Item::Thing(key.clone(), word(plug)));
                }
            }
            _ => {}
        }
        if let Some(label) = thing.facts.values().find(|fact| fact.class.bench == Bench::Label) {
            self.labels.insert(key.clone(), label.clone());
        }
    }

    /// How many leads have an end at a place.
    #[must_use]
    pub fn taken(&self, place: &Item) -> usize {
        self.leads.values().flat_map(|lead| &lead.places).filter(|taken| *taken == place).count()
    }

    /// A fact of a lead or another thing.
    pub(super) fn fact(&self, key: &Key, fact: impl Into<FactKey>) -> Option<&Fact> {
        let facts = self.leads.get(key).map(|lead| &lead.facts).or_else(|| self.articles.get(key))?;
        facts.get(&fact.into())
    }

    /// What an end is mated with, bolted to or lands on: the port of a device or the end of another loom.
    pub(super) fn mate(&self, end: &Key) -> Option<&Item> {
        let facts = self.articles.get(end)?;
        let said = [Attribute::Mates, Attribute::BoltsTo, Attribute::LandsOn];
        said.into_iter().find_map(|fact| facts.get(&FactKey::from(fact)))?.items.first()
    }

    /// The ends that must be apart before a hand can work at `end`: it and those that mate it, as far as they are mated.
    pub(super) fn held(&self, end: &Key) -> Vec<Key> {
        let own = self.mate(end).map(|_| end.clone());
        own.into_iter().chain(self.mated_with(end)).collect()
    }

    /// The ends that name `thing` as what they mate or are bolted to.
    pub(super) fn mated_with(&self, thing: &Key) -> Vec<Key> {
        let ends = self.articles.keys().filter(|key| key.kind == Kind::End);
        ends.filter(|end| matches!(self.mate(end), Some(Item::Thing(mate, _)) if mate == thing)).cloned().collect()
    }

    /// The segments that a lead runs through, or its loom where no way is given. The cores of a cable run where the cable runs.
    pub(super) fn way(&self, key: &Key) -> Vec<Key> {
        let carrier = match self.fact(key, Attribute::Core).and_then(|core| core.items.first()) {
            Some(Item::Thing(cable, _)) => cable,
            _ => key,
        };
        let Some(via) = self.fact(carrier, Attribute::Via) else {
            return owner(key).map(|loom| Key::new(Kind::Loom, loom)).into_iter().collect();
        };
        let segments = via.items.iter().filter_map(|item| match item {
            Item::Thing(segment, _) => Some(segment.clone()),
            Item::Word(_) => None,
        });
        segments.collect()
    }

    /// What must be open before a lead can be drawn in or out.
    pub(super) fn coverings(&self, key: &Key) -> Vec<Key> {
        self.way(key).into_iter().filter(|part| part.kind == Kind::Loom || self.is_covered(part)).collect()
    }

    /// Whether a segment is in a covering that must be opened.
    pub(super) fn is_covered(&self, segment: &Key) -> bool {
        self.fact(segment, Attribute::Covering).is_some_and(|fact| fact.items.iter().any(|item| word(item) != "open"))
    }
}

/// The loom or device that a thing is in.
pub(super) fn owner(key: &Key) -> Option<&str> {
    key.path.split_once('.').map(|(owner, _)| owner)
}

/// An item as text.
pub(super) fn word(item: &Item) -> String {
    match item {
        Item::Word(word) => word.clone(),
        Item::Thing(key, rest) if rest.is_empty() => key.path.clone(),
        Item::Thing(key, rest) => format!("{}.{rest}", key.path),
    }
}

fn is_fitted(things: &BTreeMap<Key, Thing>, key: &Key, thing: &Thing) -> bool {
    if key.is_of_kind() {
        return false;
    }
    // An empty holder of a fuse is there; a loom or device that is left out is not.
    let out = |key: &Key, thing: &Thing| {
        matches!(key.kind, Kind::Loom | Kind::Device)
            && thing.fact(Attribute::Fitted).is_some_and(|fact| fact.items.iter().any(|item| word(item) == "false"))
    };
    if out(key, thing) {
        return false;
    }
    let mut above = thing.parent.as_ref();
    while let Some((parent, found)) = above.and_then(|parent| things.get_key_value(parent)) {
        if out(parent, found) {
            return false;
        }
        above = found.parent.as_ref();
    }
    true
}

/// The things of an inventory, and those that devices have by their kind.
#[derive(Debug)]
pub(super) struct Whole<'a> {
    pub(super) inventory: &'a Inventory,
    pub(super) things: BTreeMap<Key, Thing>,
}

impl<'a> Whole<'a> {
    pub(super) fn of(inventory: &'a Inventory) -> Self {
        Self { inventory, things: whole(inventory) }
    }
}

fn whole(inventory: &Inventory) -> BTreeMap<Key, Thing> {
    let mut things = inventory.things.clone();
    for (key, thing) in inventory.things.iter().filter(|(key, _)| key.kind == Kind::Device) {
        let Some(kind) = kind_of(thing) else { continue };
        let (inner, own) = (format!("{}.", kind.path), format!("{}.", key.path));
        for (part, inherited) in parts_of(&inventory.things, kind) {
            let Some(rest) = part.path.strip_prefix(&inner) else { continue };
            // A port of its own replaces that of the kind with all its pins.
            let top = rest.split('.').next().unwrap_or(rest);
            let top_kind = if part.kind == Kind::Pin { Kind::Port } else { part.kind };
            if inventory.things.contains_key(&Key::new(top_kind, format!("{own}{top}"))) {
                continue;
            }
            let moved = |key: &Key| match key.path.strip_prefix(&inner) {
                Some(rest) => Key::new(key.kind, format!("{own}{rest}")),
                None if key == kind => Key::new(Kind::Device, own.trim_end_matches('.')),
                None => key.clone(),
            };
            let facts = inherited.facts.iter().map(|(name, fact)| (name.clone(), renamed(fact, moved)));
            let copy =
                Thing { parent: inherited.parent.as_ref().map(moved), name: inherited.name.clone(), facts: facts.collect() };
            things.insert(moved(part), copy);
        }
    }
    things
}

/// The kinds of things in a device or in a kind of device.
const IN_DEVICE: [Kind; 3] = [Kind::Port, Kind::Pin, Kind::Element];

/// What is in `owner`, a device or a kind of device: the ports, then the pins, then the elements. Cost: a look-up for each kind of
/// part, and what is found.
pub(super) fn parts_of<'a, T>(things: &'a BTreeMap<Key, T>, owner: &Key) -> impl Iterator<Item = (&'a Key, &'a T)> {
    IN_DEVICE.into_iter().flat_map(move |kind| within(things, kind, &owner.path))
}

/// The things of one kind in what is called `owner`.
pub(super) fn within<'a, T>(things: &'a BTreeMap<Key, T>, kind: Kind, owner: &str) -> impl Iterator<Item = (&'a Key, &'a T)> {
    let before = format!("{owner}.");
    let from = Key::new(kind, before.as_str());
    things.range(from..).take_while(move |(key, _)| key.kind == kind && key.path.starts_with(&before))
}

/// The kind that a device is of.
pub(super) fn kind_of(thing: &Thing) -> Option<&Key> {
    match thing.fact(Attribute::Device)?.items.first()? {
        Item::Thing(kind, _) => Some(kind),
        Item::Word(_) => None,
    }
}

/// A fact with the things it names under other names.
pub(super) fn renamed(fact: &Fact, rename: impl Fn(&Key) -> Key) -> Fact {
    Fact::new(fact.items.iter().map(|each| renamed_item(each, &rename)).collect(), fact.class)
}

/// An item with the thing it names under another name.
pub(super) fn renamed_item(item: &Item, rename: impl Fn(&Key) -> Key) -> Item {
    match item {
        Item::Thing(key, rest) => Item::Thing(rename(key), rest.clone()),
        Item::Word(word) => Item::Word(word.clone()),
    }
}
