//! What short-time currents flow through fuses and contacts: those of loads and wires that give a `peak`, on top of all else that the mode draws.
//!
//! The idea: what a peak adds comes the way that the steady current comes and goes back the way that this goes back; where several ways meet, each brings the
//! share that it brings of the steady one. Peaks are taken one at a time: things that start together start one after the other in most vehicles.
//!
//! Cost: nothing where no peak is given; else a pass over the edges for each mode, and the way of each peak.

use super::Facts;
use crate::{
    electrical::{
        ModeState,
        current_path::{CurrentPath, Direction},
    },
    model::{ElementKind, ModeId, PointId},
    network::{EdgeId, Network},
    quantity::Ampere,
    text::At,
    vocabulary::Peak,
};
use rustc_hash::FxHashMap;

impl Facts {
    /// Peaks by the edges that they flow through.
    ///
    /// Asked by `protection/peak-opens-fuse`, by `contact/peak-over-rating` and for what is not known of peaks.
    #[must_use]
    pub fn peaks(&self) -> &Peaks {
        self.made.peaks.get_or_init(|| peaks(self))
    }
}

/// Current that counts as none.
const NOTHING: f64 = 1e-6;

/// A peak where it flows.
#[derive(Debug, Clone, Copy)]
pub struct PeakFlow {
    /// The load or wire that gives it.
    pub of: EdgeId,
    /// What is given.
    pub peak: At<Peak>,
    /// The mode.
    pub mode: ModeId,
    /// All that flows through the edge while it lasts.
    pub amps: Ampere,
    /// What flows there without it.
    pub steady: Ampere,
}

/// Peaks by the edges that they flow through.
#[derive(Debug, Default)]
pub struct Peaks {
    by: FxHashMap<EdgeId, Vec<PeakFlow>>,
    /// Wires that give a peak in no mode in which anything is known to flow through them.
    pub unfollowed: Vec<EdgeId>,
}

impl Peaks {
    /// The peaks that flow through an edge, in the order of what gives them and then of the modes.
    #[must_use]
    pub fn through(&self, edge: EdgeId) -> &[PeakFlow] {
        self.by.get(&edge).map_or(&[], Vec::as_slice)
    }
}

/// What gives a peak.
struct Given {
    edge: EdgeId,
    peak: At<Peak>,
    is_wire: bool,
    is_followed: bool,
}

fn peaks(facts: &Facts) -> Peaks {
    let (model, network) = (facts.model(), facts.network());
    let given = network.edges().filter_map(|(edge, item)| {
        let load = item.element().and_then(|element| match &model[element].kind {
            ElementKind::Load { peak, .. } => *peak,
            _ => None,
        });
        let peak = load.or(item.wire().and_then(|wire| model[wire].peak))?;
        Some(Given { edge, peak, is_wire: item.wire().is_some(), is_followed: false })
    });
    let mut given: Vec<Given> = given.collect();
    let mut found = Peaks::default();
    if given.is_empty() {
        return found;
    }
    for state in facts.electrical().loaded_states() {
        let [feed, back] = [Direction::Feed, Direction::Return].map(|way| CurrentPath::new(network, state, way));
        for one in &mut given {
            let edge = &network[one.edge];
            let amps = state.working_amps(one.edge, edge);
            if amps.abs().get() <= NOTHING {
                continue;
            }
            one.is_followed = true;
            let more = one.peak.value.current - amps.abs();
            if more <= Ampere::ZERO {
                continue;
            }
            let (from, to) = if amps > Ampere::ZERO { (edge.a, edge.b) } else { (edge.b, edge.a) };
            if one.is_wire {
                found.add(one, state, (one.edge, 1.0), more);
            }
            for (path, start) in [(&feed, from), (&back, to)] {
                for through in ways(network, state, path, start) {
                    found.add(one, state, through, more);
                }
            }
        }
    }
    add_given(facts, &mut given, &mut found);
    let is_lost = |one: &&Given| one.is_wire && !one.is_followed;
    found.unfollowed = given.iter().filter(is_lost).map(|one| one.edge).collect();
    found
}

/// The edges from a point to its source, each with its share of what flows there.
pub(super) fn ways(network: &Network, state: &ModeState, path: &CurrentPath<'_>, start: PointId) -> Vec<(EdgeId, f64)> {
    let mut share = 1.0;
    let mut at = start;
    let mut through = Vec::new();
    for step in path.way(start) {
        // All that comes here, or goes from here.
        let flows = network.around(at).filter_map(|(id, edge, _)| {
            let amps = state.working_amps(id, edge).get();
            let into = if edge.b == at { amps } else { -amps };
            let along = if path.direction() == Direction::Feed { into } else { -into };
            (along > 0.0).then_some(along)
        });
        let all: f64 = flows.sum();
        if all > 0.0 {
            share *= (state.amps(step.edge).get().abs() / all).min(1.0);
        }
        through.push((step.edge, share));
        at = step.point;
    }
    through
}

/// Peaks of wires of which the design gives the current, because nothing computes it: through all that their current flows through.
fn add_given(facts: &Facts, given: &mut [Given], found: &mut Peaks) {
    let network = facts.network();
    if given.iter().all(|one| one.is_followed || !one.is_wire) {
        return;
    }
    for state in facts.electrical().modes() {
        for (id, edge) in network.edges() {
            let Some(flow) = facts.given_flow().of(id, state.id) else { continue };
            let is_its = |one: &&mut Given| one.is_wire && network[one.edge].wire() == Some(flow.wire);
            for one in given.iter_mut().filter(is_its) {
                let Some(current) = facts.model()[flow.wire].current else { continue };
                one.is_followed = true;
                let steady = state.working_amps(id, edge).abs() + flow.amps;
                let more = one.peak.value.current - current.value;
                if more > Ampere::ZERO {
                    let flow = PeakFlow { of: one.edge, peak: one.peak, mode: state.id, amps: steady + more, steady };
                    found.by.entry(id).or_default().push(flow);
                }
            }
        }
    }
}

impl Peaks {
    fn add(&mut self, one: &Given, state: &ModeState, (edge, share): (EdgeId, f64), more: Ampere) {
        let steady = state.amps(edge).abs();
        let amps = steady + Ampere::new(more.get() * share);
        self.by.entry(edge).or_default().push(PeakFlow { of: one.edge, peak: one.peak, mode: state.id, amps, steady });
    }
}
