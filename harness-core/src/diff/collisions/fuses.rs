//! One branch changes a fuse, the other a conductor or load that is one piece of metal with it.
//!
//! Metal is what the networks of the three designs join by wires, splices and mated contacts, all of them at once; what is inside a
//! device separates it.

use super::{
    Found, Grade,
    branch::{Branch, called},
};
use crate::{
    design::Design,
    diff::inventory::{Fact, FactKey, Inventory, Item, Key, Kind, Thing},
    format::{Attribute, Current},
    model::{Model, PointId, PointKind},
    network::{Edge, EdgeKind, GroupId},
    wording::{count, list},
};
use petgraph::unionfind::UnionFind;
use rustc_hash::FxHashMap;
use std::collections::{BTreeMap, BTreeSet};

pub(super) fn one_way((design, base): (&Design, &Inventory), mine: &Branch<'_>, other: &Branch<'_>, found: &mut Found) {
    let changed = fuses(base, mine);
    if changed.is_empty() {
        return;
    }
    let touched = touched(base, other);
    if touched.is_empty() {
        return;
    }
    let mut metal = Metal::new((design, base), mine, other);
    let mut behind: BTreeMap<usize, BTreeSet<&Key>> = BTreeMap::new();
    for key in &touched {
        for piece in metal.pieces(key) {
            behind.entry(piece).or_default().insert(key);
        }
    }
    // Who made both changes has seen them together.
    let is_common = |key: &Key| {
        let did = other.did(key);
        !did.is_empty() && did == mine.did(key)
    };
    for (what, elements) in changed {
        if is_common(&what) {
            continue;
        }
        let near: BTreeSet<&Key> = elements
            .iter()
            .flat_map(|element| metal.pieces(element))
            .filter_map(|piece| behind.get(&piece))
            .flatten()
            .copied()
            .filter(|key| !elements.contains(*key) && !is_common(key))
            .collect();
        if near.is_empty() {
            continue;
        }
        let headline = format!("one changes {}, the other {} on it", called(&what), counted(&near));
        let help = "see that the fuse still opens before the thinnest conductor behind it is overloaded, and carries all loads: check the \
                    merged design"
            .to_owned();
        let mut did: Vec<String> = near.iter().flat_map(|key| other.did(key)).collect();
        let mut seen = BTreeSet::new();
        did.retain(|words| seen.insert(words.clone()));
        let concerns = [&what].into_iter().chain(near).cloned().collect();
        found.add(Grade::Look, concerns, headline, (mine.did(&what), did), help);
    }
}

fn counted(near: &BTreeSet<&Key>) -> String {
    match near.first() {
        Some(key) if near.len() == 1 => called(key),
        _ => {
            let wires = near.iter().filter(|key| key.kind == Kind::Wire).count();
            let kinds = [(wires, "wire"), (near.len() - wires, "load")];
            list(&kinds.into_iter().filter(|(some, _)| *some > 0).map(|(some, noun)| count(some, noun)).collect::<Vec<_>>())
        }
    }
}

/// What a branch changed of fuses: the element or the kind, and the elements that this is about.
fn fuses(base: &Inventory, branch: &Branch<'_>) -> BTreeMap<Key, BTreeSet<Key>> {
    let mut changed: BTreeMap<Key, BTreeSet<Key>> = BTreeMap::new();
    let is_fuse = |thing: &Thing| thing.fact(Attribute::Fuse).is_some();
    for (key, name) in branch.altered.keys() {
        let (Some(thing), Some(class)) = (base.things.get(key), branch.class(base, key, name)) else { continue };
        match (key.kind, class.current) {
            (Kind::Element, Current::Fuse | Current::Element) if is_fuse(thing) => {
                changed.entry(key.clone()).or_default().insert(key.clone());
            }
            (Kind::FuseKind, Current::Fuse) => {
                let uses = |thing: &Thing| thing.fact(Attribute::Fuse).is_some_and(|fact| fact.names(key));
                let elements = base.things.iter().filter(|(_, thing)| uses(thing)).map(|(key, _)| key.clone());
                changed.entry(key.clone()).or_default().extend(elements);
            }
            _ => {}
        }
    }
    let gone = branch.removed.iter().filter(|key| base.things.get(*key).is_some_and(is_fuse));
    let come = branch.added.iter().filter(|(_, thing)| is_fuse(thing)).map(|(key, _)| key);
    for key in gone.chain(come) {
        changed.entry(key.clone()).or_default().insert(key.clone());
    }
    changed
}

/// Conductors and loads that a branch changed or added.
fn touched(base: &Inventory, branch: &Branch<'_>) -> BTreeSet<Key> {
    let mut found = BTreeSet::new();
    for (key, name) in branch.altered.keys() {
        let is_load = base.things.get(key).is_some_and(|thing| thing.fact(Attribute::Load).is_some());
        let counts = match branch.class(base, key, name).map_or(Current::Nothing, |class| class.current) {
            Current::Conductor => true,
            Current::Load | Current::Element => is_load,
            Current::Fuse | Current::Nothing => false,
        };
        if counts {
            found.insert(key.clone());
        }
    }
    let new = branch.added.iter().filter(|(key, thing)| key.kind == Kind::Wire || thing.fact(Attribute::Load).is_some());
    found.extend(new.map(|(key, _)| key.clone()));
    found
}

/// Points by name, and which of them are one piece of metal.
struct Metal<'a> {
    base: &'a Inventory,
    branches: [&'a Branch<'a>; 2],
    numbers: BTreeMap<String, usize>,
    pieces: UnionFind<usize>,
    /// Devices by their kind.
    devices: BTreeMap<Key, BTreeSet<String>>,
}

impl<'a> Metal<'a> {
    fn new((design, base): (&Design, &'a Inventory), mine: &'a Branch<'a>, other: &'a Branch<'a>) -> Self {
        let branches = [mine, other];
        let mut metal = Self { base, branches, numbers: BTreeMap::new(), pieces: UnionFind::new(0), devices: BTreeMap::new() };
        let keys: BTreeSet<&Key> = base.things.keys().chain(mine.added.keys()).chain(other.added.keys()).collect();
        for device in keys.iter().filter(|key| key.kind == Kind::Device) {
            for fact in metal.facts(device, Attribute::Device) {
                for kind in fact.things() {
                    metal.devices.entry(kind.clone()).or_default().insert(device.path.clone());
                }
            }
        }
        metal.join(design, &BTreeMap::new());
        for branch in branches {
            metal.join(branch.design, &branch.to_base);
        }
        metal
    }

    /// Joins what is one piece of metal in a design, in the names of the base.
    fn join(&mut self, design: &Design, to_base: &BTreeMap<Key, Key>) {
        let joins = |edge: &Edge| matches!(edge.kind, EdgeKind::Wire(_) | EdgeKind::Contact(_) | EdgeKind::Joint(_));
        let pieces = design.network().components(|_, edge| joins(edge));
        let mut first: FxHashMap<GroupId, usize> = FxHashMap::default();
        for (id, _) in design.model().points() {
            let number = self.number(in_base(design.model(), id, to_base));
            match first.get(&pieces.of(id)) {
                Some(one) => {
                    self.pieces.union(*one, number);
                }
                None => {
                    first.insert(pieces.of(id), number);
                }
            }
        }
    }

    /// What a fact says in the base and in each branch.
    fn facts(&self, key: &Key, attribute: Attribute) -> Vec<&'a Fact> {
        let base = self.base.things.get(key).and_then(|thing| thing.fact(attribute));
        let name = FactKey::from(attribute);
        let branches = self.branches.iter().filter_map(|branch| branch.fact(self.base, key, &name));
        let mut facts: Vec<&Fact> = base.into_iter().chain(branches).collect();
        facts.dedup();
        facts
    }

    fn number(&mut self, name: String) -> usize {
        let next = self.numbers.len();
        let number = *self.numbers.entry(name).or_insert(next);
        if number == next {
            self.pieces.new_set();
        }
        number
    }

    /// The names of a point: a cavity goes by what its connector mates too.
    fn point(&self, item: &Item) -> Vec<String> {
        let Item::Thing(key, rest) = item else { return Vec::new() };
        let joined = |path: &str, rest: &str| if rest.is_empty() { path.to_owned() } else { format!("{path}.{rest}") };
        let mut names = Vec::new();
        if key.kind == Kind::End {
            for fact in
                [Attribute::Mates, Attribute::BoltsTo, Attribute::LandsOn].into_iter().flat_map(|name| self.facts(key, name))
            {
                if let Some(Item::Thing(port, behind)) = fact.items.first() {
                    let port = joined(&port.path, behind);
                    names.push(joined(&port, rest));
                }
            }
        }
        names.push(joined(&key.path, rest));
        names
    }

    /// The pieces of metal at which a wire or an element ends.
    fn pieces(&mut self, key: &Key) -> Vec<usize> {
        let mut names: BTreeSet<String> = BTreeSet::new();
        let facts: &[Attribute] = if key.kind == Kind::Wire { &[Attribute::Ends] } else { &[Attribute::From, Attribute::To] };
        let parent = [&self.base.things]
            .into_iter()
            .chain(self.branches.iter().map(|branch| &branch.added))
            .find_map(|things| things.get(key))
            .and_then(|thing| thing.parent.clone());
        for fact in facts.iter().flat_map(|name| self.facts(key, *name)) {
            for item in &fact.items {
                let points = match (item, &parent) {
                    (Item::Word(word), Some(parent)) => vec![format!("{}.{word}", parent.path)],
                    _ => self.point(item),
                };
                match parent.as_ref().and_then(|parent| Some((self.devices.get(parent)?, parent))) {
                    // What a kind has, each of its devices has.
                    Some((devices, kind)) => {
                        for point in points {
                            let rest = point.strip_prefix(&kind.path).unwrap_or_default();
                            names.extend(devices.iter().map(|device| format!("{device}{rest}")));
                        }
                    }
                    None => names.extend(points),
                }
            }
        }
        let numbers: BTreeSet<usize> = names.into_iter().map(|name| self.number(name)).collect();
        let pieces: BTreeSet<usize> = numbers.into_iter().map(|number| self.pieces.find_mut(number)).collect();
        pieces.into_iter().collect()
    }
}

/// The name of a point as the base calls the thing that it is in.
fn in_base(model: &Model, id: PointId, to_base: &BTreeMap<Key, Key>) -> String {
    let name = model.point_name(id);
    let holders: &[Kind] = match model[id].kind {
        PointKind::Cavity(_) | PointKind::Ring(_) => &[Kind::End],
        PointKind::Splice(_) => &[Kind::Splice],
        // A port that a device has from its kind is named by the device.
        PointKind::Pin(_) | PointKind::Stud(_) => &[Kind::Port, Kind::Device],
        PointKind::Node(_) => &[Kind::Device],
    };
    let ends = || std::iter::once(name.len()).chain(name.rmatch_indices('.').map(|(at, _)| at));
    let found = holders.iter().find_map(|kind| {
        ends().find_map(|end| {
            let (holder, rest) = name.split_at_checked(end)?;
            to_base.get(&Key::new(*kind, holder)).map(|base| format!("{}{rest}", base.path))
        })
    });
    found.unwrap_or(name)
}
