//! The curves of a network: what of them depends on caps, and what is the same as long as nothing switches.

use crate::circuit::{
    BranchKind, Circuit,
    solve::{
        convex::Curve,
        states::{Behaviour, States},
        table::Table,
    },
};

/// The curve of each branch that may conduct with behaviours as they are.
#[derive(Debug)]
pub(super) struct Curves(Vec<(u32, Shape)>);

/// A curve without its cap.
#[derive(Debug, Clone, Copy)]
enum Shape {
    /// It has none.
    Fixed(Curve),
    /// A line up to the cap.
    Load(Curve),
    /// The cap from half of the nominal voltage on, in volts; nothing without a cap.
    Input { threshold: f64 },
}

impl Curves {
    pub(super) fn of(circuit: &Circuit, states: &States) -> Self {
        let numbers = 0..circuit.branches.len() as u32;
        let shapes = numbers.filter_map(|number| {
            let shape = match states.kind(number) {
                BranchKind::Diode { drop, resistance } => {
                    Shape::Fixed(Curve { least: 0.0, ..line(resistance.get(), drop.get()) })
                }
                BranchKind::Source { emf, resistance, limit } => {
                    if states.held_off.at(number) {
                        return None;
                    }
                    let own = line(resistance.get(), -emf.get());
                    Shape::Fixed(limit.map_or(own, |limit| Curve { least: 0.0, most: limit.get(), ..own }))
                }
                BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } if states.ever_draws(number) => {
                    Shape::Load(line(states.threshold(number) / states.demand(number, 0.0), 0.0))
                }
                BranchKind::ConverterInput { .. } if states.converts(number) => {
                    Shape::Input { threshold: states.threshold(number) }
                }
                BranchKind::Resistance(_) | BranchKind::Coil { .. } | BranchKind::RelayContact { .. } => {
                    if states.behaviour(number) != Behaviour::Conducts {
                        return None;
                    }
                    Shape::Fixed(line(states.ohms.at(number), 0.0))
                }
                BranchKind::Open
                | BranchKind::CurrentLoad { .. }
                | BranchKind::PowerLoad { .. }
                | BranchKind::ConverterInput { .. } => return None,
            };
            Some((number, shape))
        });
        Self(shapes.collect())
    }

    /// The curves for these caps, by branch, ascending.
    pub(super) fn at(&self, caps: &Table<f64>) -> impl Iterator<Item = (u32, Curve)> {
        self.0.iter().filter_map(|&(number, shape)| {
            let capped = |curve: Curve, cap: f64| Curve { least: -cap, most: cap, ..curve };
            let curve = match shape {
                Shape::Fixed(curve) => curve,
                Shape::Load(curve) => capped(curve, caps.at(number)),
                Shape::Input { threshold } => {
                    let cap = caps.at(number);
                    if cap <= 0.0 || cap.is_nan() {
                        return None;
                    }
                    capped(line(threshold / cap, 0.0), cap)
                }
            };
            Some((number, curve))
        })
    }
}

/// A straight line without limits.
fn line(ohms: f64, zero: f64) -> Curve {
    Curve { siemens: 1.0 / ohms, zero, least: f64::NEG_INFINITY, most: f64::INFINITY }
}
