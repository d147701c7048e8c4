//! The currents that loads and converter inputs take, found by repetition.
//!
//! A load of constant power takes more current the less voltage it has. Each repetition treats the network as the voltage and
//! resistance that the last two solutions show at the terminals, and takes the current at which that supply gives the power; for
//! one load on one feed this is exact at the third solution.

use super::{
    solution::Solution,
    states::{Behaviour, States},
    table::Sparse,
};
use crate::circuit::{BranchKind, Circuit};

/// Relative change of a current that counts as none, and relative error of one held by a resistance. Voltages of a large network
/// carry rounding of some 1e-12, between which a smaller change would swing for ever.
const SETTLED: f64 = 1e-10;
/// The same of a search that begins in a state of rest, whose voltages are differences from those there.
pub(super) const NEAR: f64 = 1e-9;

/// By how much what a starving input is asked for may rise with what it takes, if the straight line is to be followed.
const MOST_SLOPE: f64 = 0.9;

/// What the last solution showed at the terminals of loads of constant power.
#[derive(Debug)]
pub(super) struct Draws {
    volts: Sparse<f64>,
    amps: Sparse<f64>,
    ohms: Sparse<f64>,
    known: Sparse<bool>,
    /// Relative change of a current that counts as none.
    pub(super) settled: f64,
}

impl Draws {
    pub(super) fn new() -> Self {
        Self {
            volts: Sparse::default(),
            amps: Sparse::default(),
            ohms: Sparse::default(),
            known: Sparse::default(),
            settled: SETTLED,
        }
    }

    /// Forgets what was seen, after the network changed.
    pub(super) fn forget(&mut self) {
        self.known.clear();
        self.ohms.clear();
    }

    /// Sets the given currents by the solution; returns the branches whose current is not settled.
    pub(super) fn refresh(&mut self, circuit: &Circuit, states: &mut States, solution: &Solution) -> Vec<u32> {
        let mut moving = Vec::new();
        for number in states.loads().to_vec() {
            let Some(branch) = circuit.branches.get(number as usize) else { continue };
            let volts = solution.across(branch.from, branch.to);
            match states.behaviour(number) {
                Behaviour::Draws => {
                    let fed = solution.islands.live_at(branch.from) && volts.abs() >= states.threshold(number) * (1.0 - 1e-9);
                    let next = if !fed {
                        0.0
                    } else if let BranchKind::PowerLoad { watts, .. } = states.kind(number) {
                        self.current(number, watts.get(), states.given.at(number), volts, states.threshold(number))
                    } else {
                        states.demand(number, volts).copysign(volts)
                    };
                    if set(states, number, next, self.settled) {
                        moving.push(number);
                    }
                }
                Behaviour::Holds => {
                    let (demand, amps) = (states.demand(number, volts), solution.amps.at(number));
                    if (amps.abs() - demand).abs() > self.settled * demand {
                        let supply = self.supply(number, amps, volts);
                        // The resistance that takes the demand from that supply, unless there is none.
                        let ohms = (volts.abs() + supply * amps.abs()) / demand - supply;
                        let least = 0.5 * states.threshold(number) / demand;
                        states.hold(number, if ohms > least { ohms } else { volts.abs() / demand });
                        moving.push(number);
                    }
                }
                _ => {}
            }
        }
        for number in states.inputs().to_vec() {
            let BranchKind::ConverterInput { output, efficiency, .. } = states.kind(number) else { continue };
            let (Some(branch), Some(source)) = (circuit.branches.get(number as usize), circuit.branches.get(output as usize))
            else {
                continue;
            };
            if !states.converts(number) {
                continue;
            }
            let given_out = solution.across(source.to, source.from) * solution.amps.at(output);
            let watts = given_out.max(0.0) / efficiency.get();
            let (volts, least) = (solution.across(branch.from, branch.to), states.threshold(number));
            if states.behaviour(number) == Behaviour::Starves {
                let amps = self.starving(number, least / states.ohms.at(number), watts / least);
                let ohms = states.starving(number, amps);
                if (ohms - states.ohms.at(number)).abs() > self.settled * ohms {
                    states.hold(number, ohms);
                    moving.push(number);
                }
                continue;
            }
            let next = self.current(number, watts, states.given.at(number), volts, least);
            if set(states, number, next, self.settled) {
                moving.push(number);
            }
        }
        moving.sort_unstable();
        moving
    }

    /// The current at which the supply seen at the terminals gives `watts`.
    fn current(&mut self, number: u32, watts: f64, amps: f64, volts: f64, least: f64) -> f64 {
        let ohms = self.supply(number, amps, volts);
        let (size, flow) = (volts.abs(), amps.abs());
        let open = size + ohms * flow;
        let room = open * open - 4.0 * ohms * watts;
        // Where that supply can not give the power, either it was misjudged or the load will starve: plain repetition shows which.
        let next = if room > 0.0 {
            2.0 * watts / (open + room.sqrt())
        } else {
            self.ohms.set(number, 0.0);
            watts / size.max(least)
        };
        next.min(watts / least).copysign(volts)
    }

    /// What a starving input takes at half of its voltage where it is asked for `asked` while it takes `amps`: where the last two
    /// solutions lead to in a straight line. Where its output has a part in what it has itself, plain repetition swings about that.
    fn starving(&mut self, number: u32, amps: f64, asked: f64) -> f64 {
        let (before, asked_before) = (self.amps.at(number), self.volts.at(number));
        let slope = if self.known.at(number) && amps != before { (asked - asked_before) / (amps - before) } else { 0.0 };
        self.known.set(number, true);
        self.amps.set(number, amps);
        self.volts.set(number, asked);
        let next = amps + (asked - amps) / (1.0 - slope);
        if slope < MOST_SLOPE && next > 0.0 { next } else { asked }
    }

    /// The resistance of the supply that the last two solutions show at the terminals; zero as long as it is not known.
    fn supply(&mut self, number: u32, amps: f64, volts: f64) -> f64 {
        let (size, flow) = (volts.abs(), amps.abs());
        if self.known.at(number) {
            let more = flow - self.amps.at(number);
            // A change within the rounding says nothing of the supply.
            if more.abs() > 1e-7 * flow {
                self.ohms.set(number, ((self.volts.at(number) - size) / more).max(0.0));
            }
        }
        self.known.set(number, true);
        self.volts.set(number, size);
        self.amps.set(number, flow);
        self.ohms.at(number)
    }
}

fn set(states: &mut States, number: u32, next: f64, settled: f64) -> bool {
    let before = states.given.at(number);
    if (next - before).abs() <= settled * next.abs().max(before.abs()) {
        return false;
    }
    states.given.set(number, next);
    true
}
