//! Pins that enable or inhibit the charge, and single wires whose opening leaves the charge on: a stop switch behind such a wire does nothing.
//!
//! Each wire between such a pin and what drives it is opened alone, in each mode of charging. What enables must then be at its other level, what
//! inhibits at its active one.
//!
//! Cost: nothing without an inlet and such pins; else one solution for each mode of charging and wire.

use super::{
    Facts,
    drive_gates::{
        reading::{self, PinLevel, Reading, Why},
        wires,
    },
};
use crate::{
    electrical::what_if::Change,
    model::{Guard, ModeId, PointId, WireId},
    network::EdgeId,
    vocabulary::{Permission, Role},
};
use rustc_hash::FxHashMap;

impl Facts {
    /// Pins whose wires can open and leave the charge on, in the order of the pins.
    ///
    /// Asked by `charging/defeated-stop`.
    #[must_use]
    pub fn charge_stops(&self) -> Vec<ChargeStop> {
        charge_stops(self)
    }
}

/// A pin whose wires can open and leave the charge on.
#[derive(Debug, Clone, PartialEq)]
pub struct ChargeStop {
    /// The pin.
    pub point: PointId,
    /// What it says.
    pub guard: Guard,
    /// The mode.
    pub mode: ModeId,
    /// Its level with the first of the wires open.
    pub level: PinLevel,
    /// Whether nothing holds the pin then.
    pub floats: bool,
    /// The wires, in the order from the pin.
    pub wires: Vec<WireId>,
}

fn charge_stops(facts: &Facts) -> Vec<ChargeStop> {
    let (model, electrical) = (facts.model(), facts.electrical());
    let mut found: Vec<ChargeStop> = Vec::new();
    let pins: Vec<(PointId, Guard)> = model
        .points()
        .filter(|(point, _)| model.is_fitted(*point))
        .filter(|(point, _)| !matches!(model.role_at(*point), Some(Role::Output | Role::CanHigh | Role::CanLow | Role::Lin)))
        .filter_map(|(point, item)| Some((point, &model[item.pin?].guards)))
        .flat_map(|(point, guards)| guards.iter().map(move |guard| (point, *guard)))
        .filter(|(_, guard)| guard.what == Permission::Charge)
        .collect();
    if pins.is_empty() {
        return found;
    }
    for (at, inlet) in facts.inlets().iter().enumerate() {
        let modes = electrical.modes().map(|state| state.id).filter(|mode| inlet.charges_in(model, *mode));
        for mode in modes {
            let Some(whole) = facts.plugged_in(at, mode) else { continue };
            let plug = inlet.plug(facts, mode);
            for (point, guard) in &pins {
                let is_known = found.iter().any(|known| known.point == *point);
                let first = reading::of(facts, whole, None, &[], *point, *guard);
                let is_undrawn = matches!(first, Reading::Unknown(Why::Undrawn(_)));
                if is_known || is_undrawn || (guard.permits && first != Reading::Active) {
                    continue;
                }
                // Whether nothing holds the pin with a wire open, and its level, where that leaves the charge on.
                let without = |edge: EdgeId| {
                    let state = electrical.probe(mode, &[&[Change::Open(edge)], plug.as_slice()].concat())?;
                    let floats = match reading::of(facts, &state, None, &[edge], *point, *guard) {
                        Reading::Unknown(Why::Floats(_)) => true,
                        Reading::Active if guard.permits => false,
                        Reading::Inactive if !guard.permits => false,
                        _ => return None,
                    };
                    Some((floats, reading::level(facts, &state, *point)))
                };
                let mut asked: FxHashMap<EdgeId, Option<(bool, PinLevel)>> = FxHashMap::default();
                let mut wires: Vec<WireId> = Vec::new();
                let mut first: Option<(bool, PinLevel)> = None;
                for (edge, wire) in wires::between(facts, inlet, None, *point) {
                    let stays = *asked.entry(wires::in_series(facts, edge)).or_insert_with(|| without(edge));
                    first = first.or(stays);
                    wires.extend(stays.map(|_| wire));
                }
                let Some((floats, level)) = first else { continue };
                found.push(ChargeStop { point: *point, guard: *guard, mode, level, floats, wires });
            }
        }
    }
    found
}
