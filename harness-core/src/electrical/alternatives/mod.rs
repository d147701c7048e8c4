//! What is never closed together, and the closures that are left: sets of edges that may be closed at one time.
//!
//! A question about a design as a whole ("is there a fuse before this wire?") takes every switch as closed, because each is in
//! some mode. Taken all together, the contacts of a reversing drive join the poles of the battery, a battery switch joins both
//! batteries, and a changeover relay joins what it chooses between: then nothing is a ground any more, and nothing is judged. So such
//! a question is asked of each closure, and a verdict in one of them counts.
//!
//! What is never closed together is stated (the positions of a selector, `exclusive` elements, the two contacts of a changeover relay)
//! or taken so, because together they would short a source: either both are closed in some mode and no mode closes both, or nothing
//! says when they are closed. What was taken is listed in [`Alternatives::taken`]. Contacts that would join two sources are kept apart
//! only where the modes say so: what is behind both of them must be judged from somewhere.
//!
//! A closure closes everything else, but diodes that block: from a negative pole to a positive one.
//!
//! Cost: a pass over the edges; for each closure, and for each derived pair, a few passes more.

mod conflicts;
pub mod possible;

use self::conflicts::Conflicts;
use super::ModeState;
use crate::{
    model::{ElementId, ModeSet, PointId, Throw},
    network::{Edge, EdgeId, GroupId, Network, Step},
};
use rustc_hash::FxHashSet;
use std::collections::BTreeMap;

/// The closures of a design.
#[derive(Debug, Default)]
pub struct Alternatives {
    closures: Vec<Closure>,
    taken: Vec<Taken>,
}

/// Edges that may be closed at one time.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub struct Closure {
    open: FxHashSet<EdgeId>,
}

/// Contacts that are assumed never to be closed together, because they would short a source.
#[derive(Debug, Clone)]
pub struct Taken {
    /// The source.
    pub source: ElementId,
    /// Its positive pole.
    pub start: PointId,
    /// From there to its negative pole.
    pub steps: Vec<Step>,
    /// The contacts; one where it shorts the source by itself.
    pub contacts: Vec<EdgeId>,
    /// Whether the modes say so: each is closed in one, and no mode closes both. Else no mode says when one of them is closed.
    pub by_modes: bool,
}

impl Alternatives {
    /// The closures; at least one.
    #[must_use]
    pub fn closures(&self) -> &[Closure] {
        &self.closures
    }

    /// Contacts that are taken as never closed together.
    #[must_use]
    pub fn taken(&self) -> &[Taken] {
        &self.taken
    }

    /// Whether an edge is open in some closure: one of several of which only one is closed.
    #[must_use]
    pub fn is_alternative(&self, edge: EdgeId) -> bool {
        self.closures.iter().any(|closure| closure.open.contains(&edge))
    }
}

impl Closure {
    /// Whether the edge is closed, if it is one that can be.
    #[must_use]
    pub fn closes(&self, edge: EdgeId) -> bool {
        !self.open.contains(&edge)
    }

    /// Whether the edge lets a supply through.
    #[must_use]
    pub fn conducts(&self, id: EdgeId, edge: &Edge) -> bool {
        edge.role.conducts_when_closed() && self.closes(id)
    }

    /// Whether the edge lets a fault current through and does not end it.
    #[must_use]
    pub fn passes_faults(&self, id: EdgeId, edge: &Edge) -> bool {
        edge.role.passes_faults() && self.closes(id)
    }
}

/// Most pairs that are derived.
const MOST_DERIVED: usize = 64;

/// Finds the closures of a design whose modes are solved.
#[must_use]
pub(super) fn alternatives(network: &Network, modes: &[ModeState]) -> Alternatives {
    let mut conflicts = Conflicts::default();
    stated(network, &mut conflicts);
    conflicts.keep_what_matters(network);
    let mut taken = Vec::new();
    let mut given_up: FxHashSet<EdgeId> = FxHashSet::default();
    let mut closures = conflicts.closures(network);
    for _ in 0..MOST_DERIVED {
        let Some(short) = closures.iter().find_map(|closure| shorted(network, closure, &given_up)) else {
            let joined = closures.iter().find_map(|closure| side_by_side(network, modes, closure));
            let Some((one, other)) = joined else { break };
            conflicts.add(one, other);
            closures = conflicts.closures(network);
            continue;
        };
        let found = contacts_of(network, modes, &short.steps);
        let apart = never_together(&found);
        // A short in some mode is a fault of its own, found by `facts::shorts`: all else is judged as if it were not there.
        let edges = apart.as_ref().map_or_else(|| found.iter().map(|contact| contact.edge).collect(), |(edges, _)| edges.clone());
        match edges.as_slice() {
            [] => {
                given_up.insert(short.edge);
                continue;
            }
            [one] => conflicts.never_closed(*one),
            [one, .., other] => conflicts.add(*one, *other),
        }
        if let Some((contacts, by_modes)) = apart {
            taken.push(Taken { source: short.element, start: short.start, steps: short.steps, contacts, by_modes });
        }
        closures = conflicts.closures(network);
    }
    Alternatives { closures, taken }
}

/// A contact on the way of a short, with the modes in which it is closed.
#[derive(Debug, Clone, Copy)]
struct Contact {
    edge: EdgeId,
    closed: ModeSet,
}

/// A source that a closure shorts.
struct Short {
    edge: EdgeId,
    element: ElementId,
    start: PointId,
    steps: Vec<Step>,
}

/// The contacts on a way.
fn contacts_of(network: &Network, modes: &[ModeState], steps: &[Step]) -> Vec<Contact> {
    let switched = steps.iter().map(|step| step.edge).filter(|edge| network.role(*edge).is_switched());
    switched.map(|edge| Contact { edge, closed: closed_in(network, modes, edge) }).collect()
}

/// The modes in which a contact is closed: as the design says, for relays as they were found.
fn closed_in(network: &Network, modes: &[ModeState], edge: EdgeId) -> ModeSet {
    let model = network.model();
    let element = network[edge].element().map(|element| &model[element].kind);
    let mut closed = ModeSet::NONE;
    for (mode, _) in model.modes() {
        let found = || modes.iter().any(|state| state.id == mode && state.conducts(edge));
        if element.and_then(|kind| kind.is_closed(mode)).unwrap_or_else(found) {
            closed.add(mode);
        }
    }
    closed
}

/// Of the contacts of a short those that are never closed together, and whether modes say so. `None` where all are closed together in
/// some mode, or there are none: then the short is a fact.
fn never_together(contacts: &[Contact]) -> Option<(Vec<EdgeId>, bool)> {
    let pairs = contacts.iter().enumerate().flat_map(|(at, one)| contacts.iter().skip(at + 1).map(move |other| (one, other)));
    let apart: Vec<(&Contact, &Contact)> = pairs.filter(|(one, other)| !one.closed.meets(other.closed)).collect();
    let used = |contact: &Contact| contact.closed.meets(ModeSet::ALL);
    let by_modes = apart.iter().find(|(one, other)| used(one) && used(other));
    if let Some((one, other)) = by_modes.or(apart.first()) {
        return Some((vec![one.edge, other.edge], by_modes.is_some()));
    }
    match contacts {
        [one] if !used(one) => Some((vec![one.edge], false)),
        _ => None,
    }
}

/// Adds what the design states.
fn stated(network: &Network, conflicts: &mut Conflicts) {
    let model = network.model();
    let mut contacts: BTreeMap<ElementId, Vec<EdgeId>> = BTreeMap::new();
    for (id, edge) in network.edges().filter(|(_, edge)| edge.role.is_switched()) {
        if let Some(element) = edge.element() {
            contacts.entry(element).or_default().push(id);
        }
    }
    // The two contacts of a changeover relay: the one that closes when it is energised was made first.
    for edges in contacts.values() {
        if let [made, rest] = edges.as_slice() {
            conflicts.add(*made, *rest);
        }
    }
    let first = |element: ElementId| contacts.get(&element).and_then(|edges| edges.first()).copied();
    let throws: Vec<(ElementId, Throw)> =
        model.elements().filter_map(|(id, element)| element.kind.throw().map(|throw| (id, throw))).collect();
    for group in throws.chunk_by(|(_, one), (_, other)| one.selector == other.selector) {
        for (at, (one, throw)) in group.iter().enumerate() {
            for (other, _) in group.iter().skip(at + 1).filter(|(_, its)| !throw.may_close_with(*its)) {
                conflicts.add_some(first(*one), first(*other));
            }
        }
    }
    for exclusive in &model.exclusive {
        for (at, (one, _)) in exclusive.elements.iter().enumerate() {
            for (other, _) in exclusive.elements.iter().skip(at + 1) {
                conflicts.add_some(first(*one), first(*other));
            }
        }
    }
}

/// A source whose poles a closure joins, fuses taken as closed.
fn shorted(network: &Network, closure: &Closure, given_up: &FxHashSet<EdgeId>) -> Option<Short> {
    let groups = network.components(|id, edge| closure.conducts(id, edge));
    let mut sources = network.edges().filter(|(_, edge)| edge.role.drives() && groups.of(edge.a) == groups.of(edge.b));
    let (edge, item) = sources.find(|(id, _)| !given_up.contains(id))?;
    let keep = |id: EdgeId, other: &Edge| id != edge && closure.conducts(id, other);
    let steps = network.path(item.b, |point| point == item.a, keep)?;
    Some(Short { edge, element: item.element()?, start: item.b, steps })
}

/// Two contacts that join the positive poles of two sources, of which modes say that they are never closed together.
fn side_by_side(network: &Network, modes: &[ModeState], closure: &Closure) -> Option<(EdgeId, EdgeId)> {
    let apart = network.components(|id, edge| closure.conducts(id, edge) && !edge.role.is_switched());
    let joined = network.components(|id, edge| closure.conducts(id, edge));
    // One pole for each group that is joined without contacts.
    let mut seen = apart.table(false);
    let mut poles: Vec<(GroupId, PointId)> = Vec::new();
    for (_, edge) in network.edges().filter(|(_, edge)| edge.role.drives()) {
        if !std::mem::replace(&mut seen[apart.of(edge.b)], true) {
            poles.push((joined.of(edge.b), edge.b));
        }
    }
    poles.sort_unstable();
    for group in poles.chunk_by(|one, other| one.0 == other.0) {
        let Some(((_, first), others)) = group.split_first() else { continue };
        for (_, other) in others {
            let steps = network.path(*first, |point| point == *other, |id, edge| closure.conducts(id, edge))?;
            if let Some((pair, true)) = never_together(&contacts_of(network, modes, &steps))
                && let [one, other] = pair.as_slice()
            {
                return Some((*one, *other));
            }
        }
    }
    None
}
