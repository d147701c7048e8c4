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
mod ground;
mod lasting;
mod lead;
mod rows;
mod things;
mod trial;
mod unplugged;

pub use effect::{Effects, Lift, Supply, Turned};
pub use fault::Fault;
pub use lasting::{Came, Lasting, Tries};
pub use unplugged::Unplugged;

use self::{ground::Ground, things::Things, trial::Trial};
use super::{Electrical, altered::Rest, faults::Strike};
use crate::{
    circuit::ports::Shorts,
    model::{ModeId, PointId},
    quantity::Ohm,
    standards::supply,
    threads,
};
use rustc_hash::FxHashMap;
use std::{
    num::NonZero,
    sync::atomic::{AtomicUsize, Ordering},
};

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
        let things = Things::new(self);
        let grounds: Vec<Ground<'_>> = self.rests(&near).into_iter().map(|rest| Ground::new(self, &things, rest)).collect();
        let groups = groups(&things, faults);
        let next = AtomicUsize::new(0);
        let work = || {
            let mut shorts: Vec<Option<Shorts<'_>>> = grounds.iter().map(|_| None).collect();
            let mut strike = Strike::default();
            let mut found: Vec<(usize, Tried)> = Vec::new();
            loop {
                let first = next.fetch_add(BATCH, Ordering::Relaxed);
                let Some(batch) = groups.get(first..groups.len().min(first + BATCH)).filter(|batch| !batch.is_empty()) else {
                    break;
                };
                for group in batch {
                    let begin = found.len();
                    let tried = |(place, fault): &(usize, Fault)| {
                        (*place, Tried { fault: *fault, effects: Vec::new(), unknown: Vec::new(), idle: true })
                    };
                    found.extend(group.iter().map(tried));
                    for (ground, shorts) in grounds.iter().zip(&mut shorts) {
                        let rest = &ground.rest;
                        let state = StateOf { mode: rest.state.id, after: rest.after };
                        let mut lead = None;
                        for (_, tried) in found.iter_mut().skip(begin) {
                            if !points(rest, tried.fault).iter().all(|point| rest.is_known(*point)) {
                                tried.unknown.push(state);
                                continue;
                            }
                            let Some(bridging) = &ground.bridging else { continue };
                            let strike = &mut strike;
                            let mut trial = Trial { electrical: self, things: &things, ground, rest, bridging, shorts, strike };
                            tried.idle &= trial.is_idle(tried.fault);
                            let effects = trial.effects(tried.fault, how, &mut lead);
                            if !effects.is_none() {
                                tried.effects.push((state, effects));
                            }
                        }
                    }
                }
                progress(batch.iter().map(Vec::len).sum());
            }
            found
        };
        let mut found = threads::many(how.threads, work);
        found.sort_unstable_by_key(|(place, _)| *place);
        found.into_iter().map(|(_, tried)| tried).collect()
    }
}

/// Faults with their places in the list, those together of which one may follow from the other, in the order of their row.
fn groups(things: &Things<'_>, faults: &[Fault]) -> Vec<Vec<(usize, Fault)>> {
    let mut groups: Vec<Vec<(usize, Fault)>> = Vec::new();
    let mut known: FxHashMap<(u32, bool), usize> = FxHashMap::default();
    for (place, fault) in faults.iter().enumerate() {
        let (edge, raises) = match *fault {
            Fault::Open(edge) | Fault::Blown(edge) => (Some(edge), false),
            Fault::Raised(edge) => (Some(edge), true),
            Fault::Bridged(..) | Fault::Welded(_) | Fault::Stuck(_) => (None, false),
        };
        let row = edge.and_then(|edge| things.rows.of(edge));
        let at = row.map_or(groups.len(), |(row, _)| *known.entry((row, raises)).or_insert(groups.len()));
        match groups.get_mut(at) {
            Some(group) => group.push((place, *fault)),
            None => groups.push(vec![(place, *fault)]),
        }
    }
    groups
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
