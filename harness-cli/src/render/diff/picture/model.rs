//! What the picture shows: the changed wires with where they were and are, and what is beside them.

use crate::phrase::fitting;
use crate::render::{diff::Compared, kit::printable};
use harness_core::diff::{Alteration, Attribute, Change, Exchange, Fact, Inventory, Item, Key, Kind, Thing};
use std::collections::{BTreeMap, BTreeSet};

/// Facts of a wire that its label gives.
const TOLD: [Attribute; 4] = [Attribute::Size, Attribute::Colour, Attribute::Length, Attribute::Core];
/// More changed facts than this are not written at a wire.
const MOST_FACTS: usize = 3;

/// What became of a thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum State {
    /// It is there no more.
    Out,
    /// It was not there before.
    New,
    /// It is where it was, but is a different one.
    Changed,
    /// It is as it was.
    Unchanged,
}

/// Where a wire ends.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Spot {
    pub(super) end: Key,
    pub(super) cavity: String,
}

/// A line of the picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Line {
    pub(super) name: String,
    pub(super) state: State,
    pub(super) ends: [Spot; 2],
    /// What is written beside its name.
    pub(super) words: Vec<String>,
}

/// An end of a loom, or what else wires go to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct End {
    pub(super) name: String,
    pub(super) state: State,
    /// What it mates, and what changed of it.
    pub(super) words: Vec<String>,
    /// What each cavity is for, by cavity.
    pub(super) signals: BTreeMap<String, Vec<String>>,
    /// Wires that stay as they are, by cavity: `107 to P4.2`.
    pub(super) beside: Vec<(String, String)>,
}

/// The changes of one loom.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Loom {
    pub(super) name: String,
    pub(super) lines: Vec<Line>,
    pub(super) ends: BTreeMap<Key, End>,
}

/// All that is drawn.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Picture {
    pub(super) looms: Vec<Loom>,
    /// Changed wires that are not drawn because there are too many.
    pub(super) left_out: usize,
}

/// Whether the picture shows the change, so that words need not.
pub(super) fn is_drawn(change: &Change) -> bool {
    match change {
        Change::Exchanged { what: Exchange::Signals, .. } => false,
        _ => change.key().is_some_and(|key| key.kind == Kind::Wire),
    }
}

impl Picture {
    /// The first `most` changed wires, loom by loom.
    pub(super) fn of(compared: &Compared, most: usize) -> Self {
        let (edits, inventories) = (&compared.edits, &compared.inventories);
        let source = Source {
            old: &inventories.old,
            new: &inventories.new,
            new_keys: edits.new_keys(&inventories.old),
            removed: edits.removed.iter().map(|(key, _)| key).collect(),
            added: edits.added.iter().map(|(key, _)| key).collect(),
            altered: by_thing(&edits.altered),
            renamed: edits.renamed.iter().map(|renamed| (&renamed.new, &renamed.old)).collect(),
        };
        let mut wires: BTreeMap<(String, Key), Vec<Line>> = BTreeMap::new();
        for (key, thing) in edits.removed.iter().filter(|(key, _)| key.kind == Kind::Wire) {
            let line = Line {
                name: thing.name.clone(),
                state: State::Out,
                ends: source.spots(thing, true),
                words: vec!["out".to_owned(), told(key, thing).join(" ")],
            };
            wires.entry((source.loom(thing, true), key.clone())).or_default().push(line);
        }
        for (key, thing) in edits.added.iter().filter(|(key, _)| key.kind == Kind::Wire) {
            let line = Line {
                name: thing.name.clone(),
                state: State::New,
                ends: source.spots(thing, false),
                words: vec!["new".to_owned(), told(key, thing).join(" ")],
            };
            wires.entry((source.loom(thing, false), key.clone())).or_default().push(line);
        }
        let touched: BTreeSet<&Key> = source.altered.keys().copied().chain(source.renamed.keys().copied()).collect();
        for key in touched.into_iter().filter(|key| key.kind == Kind::Wire) {
            let Some(now) = inventories.new.things.get(key) else { continue };
            let alterations = source.altered.get(key).map_or(&[][..], Vec::as_slice);
            let before = source.renamed.get(key).copied().or_else(|| alterations.first().map(|it| &it.old_key)).unwrap_or(key);
            let Some(was) = inventories.old.things.get(before) else { continue };
            let lines = source.changed(was, now, alterations);
            wires.entry((source.loom(now, false), key.clone())).or_default().extend(lines);
        }
        let left_out = wires.len().saturating_sub(most);
        let mut looms: Vec<Loom> = Vec::new();
        for ((loom, _), lines) in wires.into_iter().take(most) {
            if looms.last().is_none_or(|last| last.name != loom) {
                looms.push(Loom { name: loom, ..Loom::default() });
            }
            if let Some(last) = looms.last_mut() {
                last.lines.extend(lines);
            }
        }
        for loom in &mut looms {
            source.ends(loom);
        }
        Self { looms, left_out }
    }
}

fn by_thing(altered: &[Alteration]) -> BTreeMap<&Key, Vec<&Alteration>> {
    let mut things: BTreeMap<&Key, Vec<&Alteration>> = BTreeMap::new();
    for alteration in altered {
        things.entry(&alteration.new_key).or_default().push(alteration);
    }
    things
}

/// Size, colour and length of a wire.
fn told(key: &Key, thing: &Thing) -> Vec<String> {
    TOLD.into_iter().filter_map(|attribute| thing.fact(attribute)).map(|fact| value(key, fact)).collect()
}

/// A fact as it is written in the loom of the thing `at`.
fn value(at: &Key, fact: &Fact) -> String {
    let owner = at.owner().unwrap_or("");
    let item = |item: &Item| match item {
        Item::Word(word) => word.clone(),
        Item::Thing(key, rest) => {
            let path = key.shown();
            let path = path.strip_prefix(owner).and_then(|path| path.strip_prefix('.')).unwrap_or(path);
            if rest.is_empty() { path.to_owned() } else { format!("{path}.{rest}") }
        }
    };
    fact.items.iter().map(item).collect::<Vec<_>>().join(if fact.is_ordered() { " " } else { ", " })
}

/// `0.75 mm2 → 1 mm2`
fn step(alteration: &Alteration) -> String {
    let word = |key: &Key, fact: Option<&Fact>| fact.map_or_else(|| "none".to_owned(), |fact| value(key, fact));
    let before = word(&alteration.old_key, alteration.old.as_ref());
    let step = format!("{before} → {}", word(&alteration.new_key, alteration.new.as_ref()));
    match alteration.fact.plain() {
        Some(Attribute::Size | Attribute::Colour | Attribute::Signal) => step,
        _ => format!("{} {step}", alteration.fact),
    }
}

struct Source<'a> {
    old: &'a Inventory,
    new: &'a Inventory,
    new_keys: BTreeMap<Key, Key>,
    removed: BTreeSet<&'a Key>,
    added: BTreeSet<&'a Key>,
    altered: BTreeMap<&'a Key, Vec<&'a Alteration>>,
    renamed: BTreeMap<&'a Key, &'a Key>,
}

impl Source<'_> {
    /// The name of the loom that a wire is in, as the newer revision has it.
    fn loom(&self, wire: &Thing, is_old: bool) -> String {
        let Some(parent) = &wire.parent else { return String::new() };
        if is_old { self.new_keys.get(parent).unwrap_or(parent).path.clone() } else { parent.path.clone() }
    }

    /// Where a wire ends, in the names of the newer revision.
    fn spots(&self, wire: &Thing, is_old: bool) -> [Spot; 2] {
        let items = wire.fact(Attribute::Ends).map_or(&[][..], |fact| fact.items.as_slice());
        let mut spots = items.iter().map(|item| match item {
            Item::Thing(key, cavity) => {
                let key = if is_old { self.new_keys.get(key).unwrap_or(key) } else { key };
                Spot { end: key.clone(), cavity: cavity.clone() }
            }
            Item::Word(word) => Spot { end: Key::new(Kind::End, word.clone()), cavity: String::new() },
        });
        let nowhere = || Spot { end: Key::new(Kind::End, "nowhere"), cavity: String::new() };
        let mut ends = [spots.next().unwrap_or_else(nowhere), spots.next().unwrap_or_else(nowhere)];
        ends.sort();
        ends
    }

    /// The lines of a wire that both revisions have.
    fn changed(&self, was: &Thing, now: &Thing, alterations: &[&Alteration]) -> Vec<Line> {
        let (before, after) = (self.spots(was, true), self.spots(now, false));
        let mut facts: Vec<String> = alterations.iter().filter(|it| it.fact != Attribute::Ends).map(|it| step(it)).collect();
        if was.name != now.name {
            facts.insert(0, format!("called {} before", was.name));
        }
        let more = facts.len() - fitting(facts.len(), MOST_FACTS);
        if more > 0 {
            facts.truncate(MOST_FACTS);
            facts.push(format!("and {more} more"));
        }
        let name = now.name.clone();
        if before == after {
            return vec![Line { name, state: State::Changed, ends: after, words: facts }];
        }
        let gone = Line { name: name.clone(), state: State::Out, ends: before, words: vec!["out of here".to_owned()] };
        let come =
            Line { name, state: State::New, ends: after, words: ["moved here".to_owned()].into_iter().chain(facts).collect() };
        vec![gone, come]
    }

    /// Finds what is to be written about the ends that the lines of a loom go to.
    fn ends(&self, loom: &mut Loom) {
        let touched: BTreeSet<&Key> = loom.lines.iter().flat_map(|line| &line.ends).map(|spot| &spot.end).collect();
        let mut ends: BTreeMap<Key, End> = touched.iter().map(|key| ((*key).clone(), self.end(key))).collect();
        let wires = self.new.things.iter().filter(|(key, thing)| {
            key.kind == Kind::Wire
                && thing.parent.as_ref().is_some_and(|parent| parent.path == loom.name)
                // Also of those that find no room in the picture none may pass for unchanged.
                && !self.is_changed(key)
        });
        for (_, wire) in wires {
            let [a, b] = self.spots(wire, false);
            for (here, there) in [(&a, &b), (&b, &a)] {
                let Some(end) = ends.get_mut(&here.end) else { continue };
                let dot = if there.cavity.is_empty() { "" } else { "." };
                let words = format!("{} to {}{dot}{}", wire.name, there.end.local(), there.cavity);
                end.beside.push((here.cavity.clone(), printable(&words).into_owned()));
            }
        }
        loom.ends = ends;
    }

    fn is_changed(&self, key: &Key) -> bool {
        self.added.contains(key) || self.altered.contains_key(key) || self.renamed.contains_key(key)
    }

    fn end(&self, key: &Key) -> End {
        let state = match () {
            () if self.removed.contains(key) => State::Out,
            () if self.added.contains(key) => State::New,
            () if self.altered.contains_key(key) => State::Changed,
            () => State::Unchanged,
        };
        let thing = self.new.things.get(key).or_else(|| self.old.things.get(key));
        let fact = |attribute: Attribute| thing.and_then(|thing| thing.fact(attribute));
        let mut words: Vec<String> = match key.kind {
            Kind::Splice => vec!["splice".to_owned()],
            _ => [
                (Attribute::Mates, "mates"),
                (Attribute::BoltsTo, "bolts to"),
                (Attribute::LandsOn, "lands on"),
                (Attribute::Ring, "ring"),
            ]
            .into_iter()
            .filter_map(|(name, word)| Some(format!("{word} {}", value(key, fact(name)?))))
            .collect(),
        };
        words.extend(self.altered.get(key).into_iter().flatten().map(|alteration| step(alteration)));
        let mut signals = BTreeMap::new();
        if let Some(Item::Thing(port, _)) = fact(Attribute::Mates).and_then(|fact| fact.items.first()) {
            let before = format!("{}.", port.path);
            let pins = self.new.things.range(Key::new(Kind::Pin, before.clone())..);
            for (pin, thing) in pins.take_while(|(pin, _)| pin.kind == Kind::Pin && pin.path.starts_with(&before)) {
                let changed = self.altered.get(pin).into_iter().flatten().find(|it| it.fact == Attribute::Signal);
                let told = match (changed, thing.fact(Attribute::Signal)) {
                    (Some(Alteration { old, new, .. }), _) => {
                        let word = |fact: &Option<Fact>| fact.as_ref().map_or_else(|| "none".to_owned(), |fact| value(pin, fact));
                        vec![format!("was {}", word(old)), format!("now {}", word(new))]
                    }
                    (None, Some(signal)) => vec![value(pin, signal)],
                    (None, None) => Vec::new(),
                };
                signals.insert(thing.name.clone(), told);
            }
        }
        End { name: key.local().to_owned(), state, words, signals, beside: Vec::new() }
    }
}
