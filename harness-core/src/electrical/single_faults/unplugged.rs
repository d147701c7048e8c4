//! Connectors taken apart one by one: all contacts of a pair open at once.

use super::{
    Effects, StateOf,
    ground::Ground,
    things::Things,
    trial::{Course, Trial},
};
use crate::{
    electrical::{Electrical, faults::Strike, what_if::Change},
    model::EndId,
    network::{EdgeId, EdgeKind},
    threads,
};
use std::{
    collections::BTreeMap,
    sync::atomic::{AtomicUsize, Ordering},
};

/// Current that counts as none: a contact that carries no more changes nothing when it opens.
const NO_AMPS: f64 = 1e-9;

/// A connector that was taken apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Unplugged {
    /// The end of the loom that leaves its mate.
    pub end: EndId,
    /// One of its contacts.
    pub contact: EdgeId,
    /// What that changes, by state; states in which it changes nothing are left out.
    pub effects: Vec<(StateOf, Effects)>,
    /// States in which nothing can be said of it: no state of rest was found there to begin from.
    pub unknown: Vec<StateOf>,
}

impl Electrical {
    /// Takes every mated connector apart by itself, in every state of rest that was computed; in the order of the ends. What a box does by
    /// its program when a loop opens is not computed.
    ///
    /// Cost: for each connector and state a few passes over the pieces of the network that it joins; nothing where it carries no current.
    #[must_use]
    pub fn unplug(&self) -> Vec<Unplugged> {
        let network = self.network();
        let mut contacts: BTreeMap<EndId, Vec<EdgeId>> = BTreeMap::new();
        for (id, edge) in network.edges() {
            if let EdgeKind::Contact(end) = edge.kind {
                contacts.entry(end).or_default().push(id);
            }
        }
        let ends: Vec<(EndId, Vec<EdgeId>)> = contacts.into_iter().collect();
        let things = Things::new(self);
        let grounds: Vec<Ground<'_>> = self.rests(&[]).into_iter().map(|rest| Ground::new(self, &things, rest)).collect();
        let next = AtomicUsize::new(0);
        let work = || {
            let mut strike = Strike::default();
            let mut found: Vec<Unplugged> = Vec::new();
            while let Some((end, edges)) = ends.get(next.fetch_add(1, Ordering::Relaxed)) {
                let Some(contact) = edges.first().copied() else { continue };
                let mut unplugged = Unplugged { end: *end, contact, effects: Vec::new(), unknown: Vec::new() };
                for ground in &grounds {
                    let rest = &ground.rest;
                    let state = StateOf { mode: rest.state.id, after: rest.after };
                    let is_known = |edge: &EdgeId| rest.is_known(network[*edge].a) && rest.is_known(network[*edge].b);
                    let (Some(bridging), true) = (&ground.bridging, edges.iter().all(is_known)) else {
                        unplugged.unknown.push(state);
                        continue;
                    };
                    let carries = |edge: &EdgeId| rest.amps(*edge).get().abs() > NO_AMPS;
                    if !edges.iter().any(carries) {
                        continue;
                    }
                    let changes = edges.iter().map(|edge| Change::Open(*edge)).collect();
                    let (shorts, strike) = (&mut None, &mut strike);
                    let mut trial = Trial { electrical: self, things: &things, ground, rest, bridging, shorts, strike };
                    let (effects, _) = trial.settled(&Course::of(changes));
                    if !effects.is_none() {
                        unplugged.effects.push((state, effects));
                    }
                }
                found.push(unplugged);
            }
            found
        };
        let mut found = threads::many(None, work);
        found.sort_unstable_by_key(|unplugged| unplugged.end);
        found
    }
}
