//! Behaviours for a network whose ordinary search goes round in circles.
//!
//! Idea: with the currents of loads of constant power (and of converters that run) capped at a given value, every branch lets the
//! more current through the more voltage it has, and [`Convex`] finds the one state of that network. What the loads then see at
//! their terminals gives other caps, and so on. The caps are bounded and what follows from them changes without a jump, so by
//! Brouwer's theorem there always are caps that agree with themselves. Beginning at no current, they rise to the smallest such: where a
//! load of constant power has two states, the one at the higher voltage is found.

use super::{
    convex::{Convex, Curve, Piece},
    states::{Behaviour, States},
    table::Table,
};
use crate::circuit::{BranchKind, Circuit};

/// Rounds of new caps that are taken as they are; from then on half of each change is.
const WHOLE: u32 = 60;
/// Rounds of new caps after which they are taken as they are.
const MOST_ROUNDS: u32 = 200;
/// Relative change of a cap that counts as none; the ordinary search takes over from there.
const SETTLED: f64 = 1e-7;

/// Gives each branch the behaviour that it has where the network is at rest.
pub(super) fn rescue(circuit: &Circuit, states: &mut States) {
    let count = circuit.branches.len();
    let mut caps = Table::<f64>::new(count);
    for &load in states.loads() {
        if let BranchKind::CurrentLoad { amps, .. } = states.kind(load) {
            caps.set(load, amps.get());
        }
    }
    let mut convex = Convex::new(circuit);
    for round in 0..MOST_ROUNDS {
        convex.settle(curves(circuit, states, &caps));
        let mut moved = false;
        for (branch, next) in demands(states, &convex, circuit) {
            let before = caps.at(branch);
            moved |= (next - before).abs() > SETTLED * next.max(before);
            caps.set(branch, if round < WHOLE { next } else { 0.5 * (next + before) });
        }
        if !moved {
            break;
        }
    }
    for (branch, curve) in curves(circuit, states, &caps) {
        let piece = curve.piece(convex.across(branch));
        let behaviour = match (states.kind(branch), piece) {
            (BranchKind::Diode { .. }, Piece::Line) => Behaviour::Conducts,
            (BranchKind::Source { limit: Some(_), .. }, Piece::Line) => Behaviour::Conducts,
            (BranchKind::Source { limit: Some(_), .. }, Piece::Most) => Behaviour::Limits,
            (BranchKind::Diode { .. } | BranchKind::Source { limit: Some(_), .. }, _) => Behaviour::Off,
            (BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. }, Piece::Line) => Behaviour::Starves,
            (BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } | BranchKind::ConverterInput { .. }, _) => {
                Behaviour::Draws
            }
            _ => continue,
        };
        states.enter(branch, behaviour);
        if behaviour == Behaviour::Draws {
            states.given.set(branch, caps.at(branch).copysign(convex.across(branch)));
        }
    }
}

/// The curve of each branch that conducts at all, for these caps.
fn curves(circuit: &Circuit, states: &States, caps: &Table<f64>) -> Vec<(u32, Curve)> {
    let line = |ohms: f64, zero: f64| Curve { siemens: 1.0 / ohms, zero, least: f64::NEG_INFINITY, most: f64::INFINITY };
    let numbers = 0..circuit.branches.len() as u32;
    let curves = numbers.filter_map(|number| {
        let curve = match states.kind(number) {
            BranchKind::Diode { drop, resistance } => Curve { least: 0.0, ..line(resistance.get(), drop.get()) },
            BranchKind::Source { emf, resistance, limit } => {
                if states.held_off.at(number) {
                    return None;
                }
                let own = line(resistance.get(), -emf.get());
                limit.map_or(own, |limit| Curve { least: 0.0, most: limit.get(), ..own })
            }
            BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } if states.ever_draws(number) => {
                let cap = caps.at(number);
                Curve { least: -cap, most: cap, ..line(states.threshold(number) / states.demand(number, 0.0), 0.0) }
            }
            BranchKind::ConverterInput { .. } if states.behaviour(number) == Behaviour::Draws && caps.at(number) > 0.0 => {
                let cap = caps.at(number);
                Curve { least: -cap, most: cap, ..line(states.threshold(number) / cap, 0.0) }
            }
            BranchKind::Resistance(_) | BranchKind::Coil { .. } | BranchKind::RelayContact { .. } => {
                if states.behaviour(number) != Behaviour::Conducts {
                    return None;
                }
                line(states.ohms.at(number), 0.0)
            }
            BranchKind::Open
            | BranchKind::CurrentLoad { .. }
            | BranchKind::PowerLoad { .. }
            | BranchKind::ConverterInput { .. } => return None,
        };
        Some((number, curve))
    });
    curves.collect()
}

/// The current that each load of constant power and each running converter asks for at its voltage.
fn demands(states: &States, convex: &Convex, circuit: &Circuit) -> Vec<(u32, f64)> {
    let mut demands = Vec::new();
    for &load in states.loads() {
        if let BranchKind::PowerLoad { .. } = states.kind(load) {
            demands.push((load, states.demand(load, convex.across(load))));
        }
    }
    for &input in states.inputs() {
        let BranchKind::ConverterInput { output, efficiency, .. } = states.kind(input) else { continue };
        if states.behaviour(input) != Behaviour::Draws {
            continue;
        }
        let BranchKind::Source { emf, resistance, limit } = states.kind(output) else { continue };
        let rise = -convex.across(output);
        let amps = (emf.get() - rise) / resistance.get();
        let amps = limit.map_or(amps, |limit| amps.clamp(0.0, limit.get()));
        let watts = (rise * amps).max(0.0) / efficiency.get();
        demands.push((input, watts / convex.across(input).abs().max(states.threshold(input))));
    }
    let _ = circuit;
    demands
}
