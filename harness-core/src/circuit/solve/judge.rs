//! Whether the mode of each branch agrees with the voltages and currents that follow from it.

use super::{
    Solution,
    states::{Mode, States},
};
use crate::circuit::{BranchKind, Circuit};

/// Relative slack of every comparison, so that rounding flips nothing.
const SLACK: f64 = 1e-11;

/// Share of its nominal voltage up to which a load without a path of its own is taken to carry nothing.
const IDLE: f64 = 0.01;

/// The modes of diodes, limited sources and loads that contradict the solution, ascending, with the mode that would not.
pub(super) fn electrical(circuit: &Circuit, states: &States, solution: &Solution) -> Vec<(u32, Mode)> {
    let mut wanted = Vec::new();
    let ends = |number: u32| circuit.branches.get(number as usize).map_or((0, 0), |branch| (branch.from, branch.to));
    for &number in states.one_way() {
        let (from, to) = ends(number);
        let mode = states.mode(number);
        let next = match states.kind(number) {
            BranchKind::Diode { drop, .. } => diode(solution, number, (from, to), mode, drop.get()),
            BranchKind::Source { emf, resistance, limit: Some(limit) } if !states.held_off.at(number) => {
                limited(solution, number, (from, to), mode, (emf.get(), resistance.get(), limit.get()))
            }
            _ => mode,
        };
        if next != mode {
            wanted.push((number, next));
        }
    }
    for &number in states.loads() {
        let (from, to) = ends(number);
        if !states.ever_draws(number) || !solution.islands.live_at(from) || !solution.islands.same(from, to) {
            continue;
        }
        let mode = states.mode(number);
        let bridging = solution.islands.bridging.at(number);
        let (volts, least) = (solution.across(from, to), states.threshold(number));
        let fed = volts.abs() >= least * (1.0 - SLACK);
        let turned = states.given.at(number) * volts < 0.0;
        let next = match mode {
            // Without a voltage a load draws nothing whether it is a resistance or not.
            Mode::Draws if volts.abs() <= solution.volt_slack(from, to) && states.given.at(number) == 0.0 => mode,
            Mode::Idles if !bridging => Mode::Draws,
            // Once a resistance it stays one, so that this threshold makes no state impossible.
            Mode::Idles if volts.abs() > IDLE * 2.0 * least => Mode::Starves,
            Mode::Draws if !fed || turned => Mode::Starves,
            Mode::Starves if volts.abs() > least * (1.0 + SLACK) => {
                if bridging {
                    Mode::Holds
                } else {
                    Mode::Draws
                }
            }
            Mode::Holds if !fed => Mode::Starves,
            Mode::Holds if !bridging => Mode::Draws,
            _ => mode,
        };
        if next != mode {
            wanted.push((number, next));
        }
    }
    wanted.sort_unstable_by_key(|entry| entry.0);
    wanted
}

fn diode(solution: &Solution, number: u32, (from, to): (u32, u32), mode: Mode, drop: f64) -> Mode {
    let on = if mode == Mode::Conducts {
        solution.amps.at(number) >= -solution.amp_slack(from)
    } else if solution.islands.same(from, to) {
        solution.across(from, to) > drop + solution.volt_slack(from, to)
    } else {
        // It joins the island behind it to a live one before it; the next solution shows whether that was right.
        solution.islands.live_at(from)
    };
    if on { Mode::Conducts } else { Mode::Off }
}

fn limited(
    solution: &Solution,
    number: u32,
    (from, to): (u32, u32),
    mode: Mode,
    (emf, resistance, limit): (f64, f64, f64),
) -> Mode {
    let same = solution.islands.same(from, to);
    let (rise, slack) = (solution.across(to, from), solution.volt_slack(from, to));
    match mode {
        Mode::Conducts if solution.amps.at(number) > limit * (1.0 + SLACK) => Mode::Limits,
        Mode::Conducts if solution.amps.at(number) < -solution.amp_slack(from) => Mode::Off,
        Mode::Limits if !same || rise > emf - limit * resistance + slack => Mode::Conducts,
        Mode::Off if !same || rise < emf - slack => Mode::Conducts,
        _ => mode,
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
            BranchKind::ConverterInput { .. } => (states.mode(number) == Mode::Draws, states.threshold(number)),
            _ => continue,
        };
        if (volts >= least * (1.0 - SLACK)) != now {
            wanted.push(number);
        }
    }
    wanted.sort_unstable();
    wanted
}
