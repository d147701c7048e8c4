//! Chargers that take no more than their source gives.
//!
//! A solar controller holds its panel up by giving less than its limit. Taken at its limit it would pull its input down, stop, and start
//! again. Where such a converter does not settle, the largest share of its limit is sought at which it does.

use super::state::{self, Beginning, ModeState};
use crate::{
    circuit::{BranchKind, Circuit},
    electrical::conductors::installation::Installation,
    model::ModeId,
    network::{EdgeId, Network},
    quantity::Ampere,
};
use std::collections::BTreeMap;

/// The least share of its limit that is tried; a controller for a hundred times its panel is another mistake.
const LEAST: f64 = 1.0 / 128.0;
/// How often the range of shares is halved.
const HALVINGS: u32 = 12;
/// What holds an output up, if not the converter itself, holds it above this share of the voltage that the converter gives.
const HELD: f64 = 0.7;
/// A source that gives more than this share of its limit is what sets the pace.
const SPENT: f64 = 0.9;

/// What flows in `mode`, as [`state::solve`] finds it; converters that a source with a limit can't feed, and whose outputs a battery holds up,
/// give what that source allows.
///
/// Cost: that of one search; where converters do not settle, up to thirteen more for each.
pub(in crate::electrical) fn solve(
    network: &Network,
    installation: &Installation,
    mode: ModeId,
    circuit: &Circuit,
    beginning: Beginning<'_>,
) -> ModeState {
    let state = state::solve(network, installation, mode, circuit, beginning);
    if state.unsettled.is_empty() {
        return state;
    }
    // What flows in the mode itself is of no use: this differs.
    let start = match beginning {
        Beginning::Coils(energised) => energised,
        Beginning::State(_) => &[],
    };
    let find = |circuit: &Circuit| state::solve(network, installation, mode, circuit, Beginning::Coils(start));
    let mut groups: BTreeMap<u32, Vec<Starved>> = BTreeMap::new();
    for converter in starved(circuit, &state) {
        if let Some(group) = state.circuit_adrift(network[converter.input].a) {
            groups.entry(group).or_default().push(converter);
        }
    }
    let mut circuit = circuit.clone();
    let mut best = state;
    for group in groups.into_values() {
        if let Some((with, found)) = adapted(network, &circuit, &group, find) {
            (circuit, best) = (with, found);
        }
    }
    best
}

/// The circuit in which these converters, all of one circuit, give as much as their sources allow, and what flows then; `None` if they do not
/// settle at the least share, or are not held back by a source with a limit.
fn adapted(
    network: &Network,
    circuit: &Circuit,
    group: &[Starved],
    find: impl Fn(&Circuit) -> ModeState,
) -> Option<(Circuit, ModeState)> {
    let mut circuit = circuit.clone();
    for converter in group {
        converter.limit_to(&mut circuit, LEAST);
    }
    let holds = |circuit: &Circuit| {
        let state = find(circuit);
        group.iter().all(|converter| converter.holds(network, &state)).then_some(state)
    };
    let mut found = holds(&circuit)?;
    for converter in group {
        let (mut most, mut too_much) = (LEAST, 1.0);
        for _ in 0..HALVINGS {
            let share = f64::midpoint(most, too_much);
            converter.limit_to(&mut circuit, share);
            match holds(&circuit) {
                Some(state) => (most, found) = (share, state),
                None => too_much = share,
            }
        }
        converter.limit_to(&mut circuit, most);
    }
    group.iter().all(|converter| converter.is_paced(network, &circuit, &found)).then_some((circuit, found))
}

/// A converter that does not settle.
struct Starved {
    input: EdgeId,
    output: EdgeId,
    limit: Ampere,
    /// What it gives, in volts.
    emf: f64,
}

impl Starved {
    /// Lets it give a share of its limit.
    fn limit_to(&self, circuit: &mut Circuit, share: f64) {
        let output = circuit.branches.get_mut(self.output.index());
        if let Some(BranchKind::Source { limit, .. }) = output.map(|branch| &mut branch.kind) {
            *limit = Some(Ampere::new(self.limit.get() * share));
        }
    }

    /// Whether it runs in a state, into something that holds its output up.
    fn holds(&self, network: &Network, state: &ModeState) -> bool {
        let output = &network[self.output];
        let across = (state.volts(output.b) - state.volts(output.a)).get();
        let settles = state.is_exact() && !state.is_adrift(output.a) && !state.is_adrift(network[self.input].a);
        settles && state.conducts(self.output) && across >= HELD * self.emf
    }

    /// Whether a source with a limit that feeds its input gives about all it can.
    fn is_paced(&self, network: &Network, circuit: &Circuit, state: &ModeState) -> bool {
        let joined =
            network.components(|id, edge| (edge.role.conducts_when_closed() || edge.role.drives()) && state.conducts(id));
        let at = joined.of(network[self.input].a);
        circuit.branches.iter().zip(network.edges()).any(|(branch, (id, edge))| match branch.kind {
            BranchKind::Source { limit: Some(limit), .. } if id != self.output => {
                joined.of(edge.a) == at && state.amps(id).get() >= SPENT * limit.get()
            }
            _ => false,
        })
    }
}

/// The converters with a limit that do not settle in a state.
fn starved(circuit: &Circuit, state: &ModeState) -> Vec<Starved> {
    let inputs = circuit.branches.iter().enumerate().filter_map(|(input, branch)| {
        let BranchKind::ConverterInput { output, .. } = branch.kind else { return None };
        let (input, output) = (EdgeId(input as u32), EdgeId(output));
        if !state.unsettled.iter().any(|edge| [input, output].contains(edge)) {
            return None;
        }
        match circuit.branches.get(output.index())?.kind {
            BranchKind::Source { emf, limit: Some(limit), .. } => Some(Starved { input, output, limit, emf: emf.get() }),
            _ => None,
        }
    });
    inputs.collect()
}
