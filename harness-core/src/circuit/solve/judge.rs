//! Whether the behaviour of each branch agrees with the voltages and currents that follow from it.

use super::{
    solution::Solution,
    states::{Behaviour, States},
};
use crate::circuit::{BranchKind, Circuit};

/// Relative slack of every comparison, so that rounding flips nothing.
const SLACK: f64 = 1e-11;

/// Share of its nominal voltage up to which a load without a path of its own is taken to carry nothing.
const IDLE: f64 = 0.01;

/// The behaviours of diodes, limited sources and loads that contradict the solution, ascending, with the behaviour that would not.
pub(super) fn electrical(circuit: &Circuit, states: &States, solution: &Solution) -> Vec<(u32, Behaviour)> {
    let mut wanted = Vec::new();
    let ends = |number: u32| circuit.branches.get(number as usize).map_or((0, 0), |branch| (branch.from, branch.to));
    for &number in states.one_way() {
        let (from, to) = ends(number);
        let behaviour = states.behaviour(number);
        let next = match states.kind(number) {
            // Where the search for the least co-content left two live islands apart, nothing flows between them.
            _ if states.rescued && behaviour == Behaviour::Off && solution.islands.are_apart(from, to) => behaviour,
            BranchKind::Diode { drop, .. } => diode(solution, number, (from, to), behaviour, drop.get()),
            BranchKind::Source { emf, resistance, limit: Some(limit) } if !states.held_off.at(number) => {
                limited(solution, number, (from, to), behaviour, (emf.get(), resistance.get(), limit.get()))
            }
            _ => behaviour,
        };
        if next != behaviour {
            wanted.push((number, next));
        }
    }
    for &number in states.loads() {
        let (from, to) = ends(number);
        if !states.ever_draws(number) || !solution.islands.live_at(from) || !solution.islands.same(from, to) {
            continue;
        }
        let behaviour = states.behaviour(number);
        let bridging = solution.islands.bridging.at(number);
        let (volts, least) = (solution.across(from, to), states.threshold(number));
        let fed = volts.abs() >= least * (1.0 - SLACK);
        let turned = states.given.at(number) * volts < 0.0;
        let next = match behaviour {
            // Without a voltage a load draws nothing whether it is a resistance or not.
            Behaviour::Draws if volts.abs() <= solution.volt_slack(from, to) && states.given.at(number) == 0.0 => behaviour,
            Behaviour::Idles if !bridging => Behaviour::Draws,
            // Once a resistance it stays one, so that this threshold makes no state impossible.
            Behaviour::Idles if volts.abs() > IDLE * 2.0 * least => Behaviour::Starves,
            Behaviour::Draws if !fed || turned => Behaviour::Starves,
            Behaviour::Starves if volts.abs() > least * (1.0 + SLACK) => {
                if bridging {
                    Behaviour::Holds
                } else {
                    Behaviour::Draws
                }
            }
            Behaviour::Holds if !fed => Behaviour::Starves,
            Behaviour::Holds if !bridging => Behaviour::Draws,
            _ => behaviour,
        };
        if next != behaviour {
            wanted.push((number, next));
        }
    }
    for &number in states.inputs().iter().filter(|number| states.converts(**number)) {
        let (from, to) = ends(number);
        let volts = if solution.islands.same(from, to) { solution.across(from, to).abs() } else { 0.0 };
        let least = states.threshold(number);
        let next = match states.behaviour(number) {
            Behaviour::Draws if volts < least * (1.0 - SLACK) && states.given.at(number) != 0.0 => Behaviour::Starves,
            Behaviour::Starves if volts > least * (1.0 + SLACK) => Behaviour::Draws,
            behaviour => behaviour,
        };
        if next != states.behaviour(number) {
            wanted.push((number, next));
        }
    }
    wanted.sort_unstable_by_key(|entry| entry.0);
    wanted
}

fn diode(solution: &Solution, number: u32, (from, to): (u32, u32), behaviour: Behaviour, drop: f64) -> Behaviour {
    let on = if behaviour == Behaviour::Conducts {
        solution.amps.at(number) >= -solution.amp_slack(from)
    } else if solution.islands.same(from, to) {
        solution.across(from, to) > drop + solution.volt_slack(from, to)
    } else {
        // It joins the island behind it to a live one before it; the next solution shows whether that was right.
        solution.islands.live_at(from)
    };
    if on { Behaviour::Conducts } else { Behaviour::Off }
}

fn limited(
    solution: &Solution,
    number: u32,
    (from, to): (u32, u32),
    behaviour: Behaviour,
    (emf, resistance, limit): (f64, f64, f64),
) -> Behaviour {
    let same = solution.islands.same(from, to);
    let (rise, slack) = (solution.across(to, from), solution.volt_slack(from, to));
    match behaviour {
        Behaviour::Conducts if solution.amps.at(number) > limit * (1.0 + SLACK) => Behaviour::Limits,
        Behaviour::Conducts if solution.amps.at(number) < -solution.amp_slack(from) => Behaviour::Off,
        Behaviour::Limits if !same || rise > emf - limit * resistance + slack => Behaviour::Conducts,
        Behaviour::Off if !same || rise < emf - slack => Behaviour::Conducts,
        _ => behaviour,
    }
}

/// Coils and converter inputs whose state contradicts the solution, ascending.
pub(super) fn switching(circuit: &Circuit, states: &States, solution: &Solution) -> Vec<u32> {
    let mut wanted = Vec::new();
    for &number in states.coils().iter().chain(states.inputs()) {
        let Some(branch) = circuit.branches.get(number as usize) else { continue };
        let powered = solution.islands.same(branch.from, branch.to);
        let volts = if powered { solution.across(branch.from, branch.to).abs() } else { 0.0 };
        let (now, least) = match branch.kind {
            BranchKind::Coil { pull_in, hold, .. } => {
                let now = states.energised.at(number);
                (now, if now { hold.get().min(pull_in.get()) } else { pull_in.get() })
            }
            BranchKind::ConverterInput { .. } => (states.converts(number), states.threshold(number)),
            _ => continue,
        };
        if (volts >= least * (1.0 - SLACK)) != now {
            wanted.push(number);
        }
    }
    wanted.sort_unstable();
    wanted
}
