//! Chargers that take no more than their source gives.
//!
//! A solar controller holds its panel up by giving less than its limit. Taken at its limit it would pull its input down, stop, and start
//! again. Where such a converter does not settle, the largest share of its limit is sought at which it does.

use super::state::{self, Beginning, ModeState, Patience};
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
/// How often another share is tried.
const STEPS: u32 = 16;
/// A source that gives this share of its limit has no more to give, and what is aimed at.
const FULL: f64 = 0.999;
const AIM: f64 = 0.9995;
/// Shares that differ by less are one.
const NEAR: f64 = 2e-4;
/// What holds an output up, if not the converter itself, holds it above this share of the voltage that the converter gives.
const HELD: f64 = 0.7;
/// A source that gives more than this share of its limit is what sets the pace.
const SPENT: f64 = 0.9;

/// What flows in `mode`, as [`state::solve`] finds it; converters that a source with a limit can't feed, and whose outputs a battery holds up,
/// give what that source allows.
///
/// Cost: that of one search; where converters do not settle, up to fourteen more for each, of which those that give too much stop at
/// their first circle.
pub(in crate::electrical) fn solve(
    network: &Network,
    installation: &Installation,
    mode: ModeId,
    circuit: &Circuit,
    beginning: Beginning<'_>,
) -> ModeState {
    let search = |circuit: &Circuit, beginning: Beginning<'_>, patience: Patience| {
        state::solve(network, installation, mode, circuit, beginning, patience)
    };
    if !circuit.branches.iter().any(|branch| matches!(branch.kind, BranchKind::ConverterInput { .. })) {
        return search(circuit, beginning, Patience::Whole);
    }
    let straight = search(circuit, beginning, Patience::Straight);
    if straight.unsettled.is_empty() {
        return straight;
    }
    // What flows in the mode itself is of no use: this differs.
    let anew = Beginning::Coils(match beginning {
        Beginning::Coils(energised) => energised,
        Beginning::State(_) => &[],
    });
    if let Some((circuit, state)) = all_adapted(network, circuit, &straight, |circuit| search(circuit, anew, Patience::Straight))
    {
        // Something else may go round in circles still.
        return if state.unsettled.is_empty() { state } else { search(&circuit, anew, Patience::Whole) };
    }
    let state = search(circuit, beginning, Patience::Whole);
    if state.unsettled.is_empty() {
        return state;
    }
    let adapted = all_adapted(network, circuit, &state, |circuit| search(circuit, anew, Patience::Whole));
    adapted.map_or(state, |(_, state)| state)
}

/// The circuit in which the converters that do not settle give as much as their sources allow, those of each circuit by themselves, and
/// what flows then; `None` if that is so of none.
fn all_adapted(
    network: &Network,
    circuit: &Circuit,
    state: &ModeState,
    find: impl Fn(&Circuit) -> ModeState,
) -> Option<(Circuit, ModeState)> {
    let mut groups: BTreeMap<u32, Vec<Starved>> = BTreeMap::new();
    for converter in starved(circuit, state) {
        if let Some(group) = state.circuit_adrift(network[converter.input].a) {
            groups.entry(group).or_default().push(converter);
        }
    }
    let mut best: Option<(Circuit, ModeState)> = None;
    for group in groups.into_values() {
        let found = adapted(network, best.as_ref().map_or(circuit, |(circuit, _)| circuit), &group, &find);
        best = found.or(best);
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
        let mut known: Vec<(f64, f64)> = Vec::new();
        for _ in 0..STEPS {
            let spent = converter.spent(network, &circuit, &found);
            if known.last() != Some(&(spent, most)) {
                known.push((spent, most));
            }
            if spent >= FULL || too_much <= most * (1.0 + NEAR) {
                break;
            }
            let guess = share_at(AIM, &known);
            let share = if guess > most && guess < too_much { guess } else { f64::midpoint(most, too_much) };
            converter.limit_to(&mut circuit, share);
            match holds(&circuit) {
                Some(state) => (most, found) = (share, state),
                None => {
                    too_much = share;
                    converter.limit_to(&mut circuit, most);
                }
            }
        }
        converter.limit_to(&mut circuit, most);
    }
    group.iter().all(|converter| converter.spent(network, &circuit, &found) >= SPENT).then_some((circuit, found))
}

/// The share at which a source would give `aim` of its limit, by what it gave at `known` shares, rising. The voltage of a source with a
/// resistance falls as a straight line, so the power that it gives is a parabola through nothing; with one point alone half the way to it.
fn share_at(aim: f64, known: &[(f64, f64)]) -> f64 {
    match known {
        [.., (first, low), (second, high)] if second > first => {
            let slope = (low * second * second - high * first * first) / (first * second * (second - first));
            let sag = (slope * second - high) / (second * second);
            slope * aim - sag * aim * aim
        }
        [.., (spent, share)] => share * 0.5 * aim / spent,
        [] => LEAST,
    }
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

    /// What the source that feeds its input gives, as a share of its limit, of several the one nearest to it; 0 where none has a limit.
    fn spent(&self, network: &Network, circuit: &Circuit, state: &ModeState) -> f64 {
        let joined =
            network.components(|id, edge| (edge.role.conducts_when_closed() || edge.role.drives()) && state.conducts(id));
        let at = joined.of(network[self.input].a);
        // Another converter does not give way: pulled down, it stops.
        let converted = |id: EdgeId| {
            circuit
                .branches
                .iter()
                .any(|branch| matches!(branch.kind, BranchKind::ConverterInput { output, .. } if output == id.0))
        };
        let shares = circuit.branches.iter().zip(network.edges()).filter_map(|(branch, (id, edge))| match branch.kind {
            BranchKind::Source { limit: Some(limit), .. } if joined.of(edge.a) == at && !converted(id) => {
                Some(state.amps(id).get() / limit.get())
            }
            _ => None,
        });
        shares.fold(0.0, f64::max)
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
