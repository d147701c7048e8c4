//! Single faults: each conductor open, each fuse blown, neighbouring contacts bridged, contacts corroded, relays welded or stuck, in
//! every state of rest of a design.
//!
//! Owns which faults there are (`fault`), what each changes (`effect`), and the work on several threads; what flows is
//! [`altered`](super::altered)'s, what fuses and conductors make of a bridge is [`faults`](super::faults)'. Judges nothing and names
//! nothing. Data flow: states of rest → (fault, state) → changes of the circuit → what flows → fuses that open are changes too, until none
//! does → compared with the state before.
//!
//! A fault that cannot change anything is not computed: a conductor without current that opens, two contacts at one voltage that are
//! bridged. Cost: for each fault and state a few passes over the piece of the network that it is in.

mod effect;
mod fault;
mod things;

pub use effect::{Effects, Lift, Supply, Turned};
pub use fault::Fault;

use self::{
    effect::{Before, compare},
    things::Things,
};
use super::{
    Electrical,
    altered::{After, Rest},
    faults::{Bridging, Strike},
    what_if::Change,
};
use crate::{
    circuit::ports::Shorts,
    model::{ElementId, ModeId, OpenedBy, PointId, WireId},
    network::{EdgeId, EdgeRole},
    quantity::{Ampere, Ohm, Second, Watt},
    standards::supply,
    threads,
};
use std::{
    num::NonZero,
    sync::atomic::{AtomicUsize, Ordering},
};

/// Current that counts as none: what carries no more changes nothing when it opens.
const NO_AMPS: f64 = 1e-9;
/// Voltage between two contacts that drives nothing through a bridge.
const NO_VOLTS: f64 = 1e-6;
/// Fuses that may open one after the other.
const MOST_FUSES: usize = 16;
/// Growth of a current from which on a fault is what opens a fuse or burns a conductor.
const GROWN: f64 = 1.1;
/// Current from which on a conductor or fuse is looked at, in ampere.
const LEAST_LOAD: f64 = 0.1;
/// Faults that a thread takes at a time.
const BATCH: usize = 16;

/// How faults are tried.
#[derive(Debug, Clone, Copy)]
pub struct HowTried {
    /// By how much the resistance of a contact is raised.
    pub raised: Ohm,
    /// The most threads; as many as the machine has where none are given.
    pub threads: Option<NonZero<usize>>,
}

impl Default for HowTried {
    fn default() -> Self {
        Self { raised: supply::corroded().value, threads: None }
    }
}

/// A fault with what it changes.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// The fault.
    pub fault: Fault,
    /// What it changes, by state; states in which it changes nothing are left out.
    pub effects: Vec<(StateOf, Effects)>,
    /// States in which nothing can be said of it: no state of rest was found there to begin from.
    pub unknown: Vec<StateOf>,
    /// Whether nothing flows or could flow there in any state: what a signal means to a box is not computed.
    pub idle: bool,
}

/// A state of rest: a mode, and the mode after which it is reached where relays stay in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StateOf {
    /// The mode.
    pub mode: ModeId,
    /// The mode before it; `None` for the first state of the mode.
    pub after: Option<ModeId>,
}

impl Electrical {
    /// Tries faults in every state of rest that was computed; in the order given. `progress` is called from any thread with the
    /// number of faults done since it was last called.
    ///
    /// The answer is the same on one thread and on several.
    #[must_use]
    pub fn try_faults(&self, faults: &[Fault], how: HowTried, progress: &(dyn Fn(usize) + Sync)) -> Vec<Tried> {
        let near: Vec<(PointId, PointId)> = faults
            .iter()
            .filter_map(|fault| match fault {
                Fault::Bridged(one, other) => Some((*one, *other)),
                _ => None,
            })
            .collect();
        let rests = self.rests(&near);
        let bridging: Vec<Option<Bridging>> = rests
            .iter()
            .map(|rest| {
                let beside = self.beside.of(rest.state.id)?;
                Some(Bridging::new(self.network(), self.domains(), (rest.circuit(), rest.state), beside))
            })
            .collect();
        let things = Things::new(self);
        let next = AtomicUsize::new(0);
        let work = || {
            let mut shorts: Vec<Option<Shorts<'_>>> = bridging.iter().map(|_| None).collect();
            let mut strike = Strike::default();
            let mut found: Vec<(usize, Tried)> = Vec::new();
            loop {
                let first = next.fetch_add(BATCH, Ordering::Relaxed);
                let Some(batch) = faults.get(first..faults.len().min(first + BATCH)).filter(|batch| !batch.is_empty()) else {
                    break;
                };
                for (fault, place) in batch.iter().zip(first..) {
                    let mut tried = Tried { fault: *fault, effects: Vec::new(), unknown: Vec::new(), idle: true };
                    for ((rest, bridging), shorts) in rests.iter().zip(&bridging).zip(&mut shorts) {
                        let state = StateOf { mode: rest.state.id, after: rest.after };
                        if !points(rest, *fault).iter().all(|point| rest.is_known(*point)) {
                            tried.unknown.push(state);
                            continue;
                        }
                        let Some(bridging) = bridging else { continue };
                        let mut trial = Trial { electrical: self, things: &things, rest, bridging, shorts, strike: &mut strike };
                        tried.idle &= trial.is_idle(*fault);
                        let effects = trial.effects(*fault, how);
                        if !effects.is_none() {
                            tried.effects.push((state, effects));
                        }
                    }
                    found.push((place, tried));
                }
                progress(batch.len());
            }
            found
        };
        let mut found = threads::many(how.threads, work);
        found.sort_unstable_by_key(|(place, _)| *place);
        found.into_iter().map(|(_, tried)| tried).collect()
    }
}

/// The points at which a fault is.
fn points(rest: &Rest<'_>, fault: Fault) -> [PointId; 2] {
    match fault {
        Fault::Open(edge) | Fault::Blown(edge) | Fault::Raised(edge) | Fault::Welded(edge) | Fault::Stuck(edge) => {
            let edge = &rest.network()[edge];
            [edge.a, edge.b]
        }
        Fault::Bridged(one, other) => [one, other],
    }
}

/// One fault in one state.
struct Trial<'a, 's> {
    electrical: &'a Electrical,
    things: &'a Things<'a>,
    rest: &'a Rest<'a>,
    bridging: &'a Bridging,
    shorts: &'s mut Option<Shorts<'a>>,
    strike: &'s mut Strike,
}

impl Trial<'_, '_> {
    /// Whether nothing flows through what has the fault, and nothing could: a contact that moves is never idle.
    fn is_idle(&self, fault: Fault) -> bool {
        match fault {
            Fault::Open(edge) | Fault::Blown(edge) | Fault::Raised(edge) => self.rest.amps(edge).get().abs() <= NO_AMPS,
            Fault::Bridged(one, other) => !self.rest.is_live(one) && !self.rest.is_live(other),
            Fault::Welded(_) | Fault::Stuck(_) => false,
        }
    }

    fn effects(&mut self, fault: Fault, how: HowTried) -> Effects {
        let rest = self.rest;
        let flows = |edge: EdgeId| rest.amps(edge).get().abs() > NO_AMPS;
        match fault {
            Fault::Open(edge) | Fault::Blown(edge) if flows(edge) => self.settled(&Course::of(vec![Change::Open(edge)])),
            Fault::Raised(edge) if flows(edge) => {
                let course = Course { heats: Some((edge, how.raised)), ..Course::of(vec![Change::Raised(edge, how.raised)]) };
                self.settled(&course)
            }
            // What carries nothing changes nothing.
            Fault::Open(_) | Fault::Blown(_) | Fault::Raised(_) => Effects::default(),
            Fault::Bridged(one, other) => self.bridged(one, other),
            Fault::Welded(edge) => self.welded(edge),
            Fault::Stuck(edge) => self.stuck(edge),
        }
    }

    /// Two contacts are bridged: what opens at once is found by what a short drives, with everything that draws left out.
    fn bridged(&mut self, one: PointId, other: PointId) -> Effects {
        let rest = self.rest;
        let is_live = rest.is_live(one) || rest.is_live(other);
        let is_level = rest.are_joined(one, other) && (rest.volts(one) - rest.volts(other)).get().abs() <= NO_VOLTS;
        if !is_live || is_level {
            return Effects::default();
        }
        let shorts = self.shorts.get_or_insert_with(|| self.bridging.shorts());
        let bridge = self.bridging.bridge(shorts, self.strike, (one, other));
        let mut changes = vec![Change::Joined(one, other, supply::bridge().value)];
        changes.extend(bridge.opens.iter().map(|(_, edge, _)| Change::Open(*edge)));
        let opens = bridge.opens.iter().map(|(fuse, _, time)| (*fuse, *time)).collect();
        let mut found = self.settled(&Course { opens, ..Course::of(changes) });
        if bridge.amps.get() > NO_AMPS {
            found.amps = Some(bridge.amps);
        }
        found.blind = bridge.blind.filter(|_| !bridge.ends);
        found.burns.extend(bridge.burns);
        found.burns.sort_unstable();
        found.burns.dedup();
        found
    }

    /// The contact of a relay stays as it is while its coil is energised, or would be.
    fn welded(&mut self, edge: EdgeId) -> Effects {
        let rest = self.rest;
        let Some(coil) = rest.coil_of(edge) else { return Effects::default() };
        let makes = self.things.network.role(edge) == EdgeRole::MakeContact;
        let mut changes = vec![Change::Closed(edge)];
        changes.extend(self.throws(edge).map(Change::Open));
        match (makes, rest.is_on(coil)) {
            // What stays on when it should go off shows once the coil has lost its supply.
            (true, true) => {
                let released = vec![Change::Released(coil)];
                changes.extend(released.iter().copied());
                self.settled(&Course { compared_with: released, coil: Some(coil), ..Course::of(changes) })
            }
            (true, false) => {
                let mut found = self.settled(&Course::of(changes));
                found.must_open.extend(self.must_open(edge));
                found
            }
            (false, true) => self.settled(&Course::of(changes)),
            (false, false) => Effects::default(),
        }
    }

    /// The contact of a relay does not close; of a changeover relay the other one stays closed.
    fn stuck(&mut self, edge: EdgeId) -> Effects {
        let rest = self.rest;
        let Some(coil) = rest.coil_of(edge) else { return Effects::default() };
        let makes = self.things.network.role(edge) == EdgeRole::MakeContact;
        if rest.is_on(coil) != makes {
            return Effects::default();
        }
        let mut changes = vec![Change::Open(edge)];
        changes.extend(self.throws(edge).map(Change::Closed));
        if changes.len() == 1 && rest.amps(edge).get().abs() <= NO_AMPS {
            return Effects::default();
        }
        self.settled(&Course::of(changes))
    }

    /// The other contact of a changeover relay.
    fn throws(&self, edge: EdgeId) -> impl Iterator<Item = EdgeId> {
        let network = self.things.network;
        let own = &network[edge];
        let (element, role) = (own.element(), own.role);
        let around = [own.a, own.b].into_iter().flat_map(move |point| network.around(point));
        let other = around
            .filter(move |(_, other, _)| other.element() == element && other.role.is_relay_contact() && other.role != role)
            .map(|(id, ..)| id);
        other.take(1)
    }

    /// The relay, if its contact must be open in the mode at hand.
    fn must_open(&self, edge: EdgeId) -> Option<ElementId> {
        let element = self.things.network[edge].element()?;
        let openings = &self.electrical.network().model().openings;
        let mut of_mode = openings.iter().filter(|opening| opening.by == OpenedBy::Mode(self.rest.state.id));
        of_mode.any(|opening| opening.contacts.iter().any(|(contact, _)| *contact == element)).then_some(element)
    }

    /// What a course of things leads to, once no further fuse opens because of it.
    fn settled(&mut self, course: &Course) -> Effects {
        let rest = self.rest;
        let released = (!course.compared_with.is_empty()).then(|| rest.with(&course.compared_with));
        let before = released.as_ref().map_or(Before::Rest(rest), Before::After);
        let mut changes = course.changes.clone();
        let mut opens = course.opens.clone();
        let mut burns = Vec::new();
        loop {
            let after = rest.with(&changes);
            if !after.is_settled() || released.as_ref().is_some_and(|released| !released.is_settled()) {
                let unsettled = released.iter().flat_map(After::unsettled).chain(after.unsettled()).collect();
                return Effects { unsettled, opens, ..Effects::default() };
            }
            let (first, grown) = self.overloads(before, &after);
            if let Some((edge, fuse, time)) = first.filter(|_| opens.len() < MOST_FUSES) {
                let stands = |(wire, amps): &(WireId, Ampere)| {
                    self.bridging.stands(*wire, *amps).is_some_and(|stands| stands < time).then_some(*wire)
                };
                burns.extend(grown.iter().filter_map(stands));
                changes.push(Change::Open(edge));
                opens.push((fuse, time));
                continue;
            }
            let endures = |(wire, amps): &(WireId, Ampere)| self.bridging.stands(*wire, *amps).map(|_| *wire);
            burns.extend(grown.iter().filter_map(endures));
            burns.sort_unstable();
            burns.dedup();
            let mut found = compare(self.things, rest, before, &after, course.coil);
            if let Some((edge, ohms)) = course.heats {
                let amps = after.amps(edge).abs();
                let heat = Watt::new(amps.get().powi(2) * ohms.get());
                if heat >= supply::contact_heat().value {
                    (found.amps, found.heat) = (Some(amps), Some(heat));
                }
            }
            (found.opens, found.burns) = (opens, burns);
            return found;
        }
    }

    /// The fuse that opens first of those whose current has grown, and the conductors whose current has.
    #[expect(clippy::type_complexity, reason = "two answers of one pass over the edges")]
    fn overloads(&self, before: Before<'_>, after: &After<'_>) -> (Option<(EdgeId, ElementId, Second)>, Vec<(WireId, Ampere)>) {
        let mut first: Option<(EdgeId, ElementId, Second)> = None;
        let mut grown = Vec::new();
        for edge in after.edges() {
            let amps = after.amps(edge).abs();
            if amps.get() <= LEAST_LOAD || amps <= before.amps(edge).abs() * GROWN {
                continue;
            }
            if let Some(wire) = self.things.network[edge].wire() {
                grown.push((wire, amps));
            } else if let Some((fuse, time)) = self.bridging.opens(edge, amps)
                && first.is_none_or(|(_, _, best)| time < best)
            {
                first = Some((edge, fuse, time));
            }
        }
        (first, grown)
    }
}

/// What happens to a design: a fault, and what it brings about at once.
#[derive(Debug, Default)]
struct Course {
    changes: Vec<Change>,
    /// Fuses among the changes that have opened because of the fault.
    opens: Vec<(ElementId, Second)>,
    /// What the design is compared with, where it is not the state of rest; `coil` has let go in it on purpose.
    compared_with: Vec<Change>,
    coil: Option<EdgeId>,
    /// A contact that is heated by what flows through this resistance.
    heats: Option<(EdgeId, Ohm)>,
}

impl Course {
    fn of(changes: Vec<Change>) -> Self {
        Self { changes, ..Self::default() }
    }
}
