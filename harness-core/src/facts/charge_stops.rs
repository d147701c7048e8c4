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
    for inlet in facts.inlets() {
        let modes = electrical.modes().map(|state| state.id).filter(|mode| inlet.charges_in(model, *mode));
        for mode in modes {
            let plug = inlet.plug(facts, mode);
            let probe = |cut: &[EdgeId]| {
                let open = cut.iter().map(|edge| Change::Open(*edge));
                electrical.probe(mode, &open.chain(plug.iter().copied()).collect::<Vec<_>>())
            };
            let level = |open: &Option<EdgeId>, point: PointId| Some(reading::level(facts, &probe(open.as_slice())?, point));
            let read = |cut: &[EdgeId], point: PointId, guard: Guard| {
                let state = probe(cut)?;
                Some(reading::of(facts, &state, None, cut, point, guard))
            };
            for (point, guard) in &pins {
                if found.iter().any(|known| known.point == *point)
                    || matches!(read(&[], *point, *guard), Some(Reading::Unknown(Why::Undrawn(_))) | None)
                    || (guard.permits && read(&[], *point, *guard) != Some(Reading::Active))
                {
                    continue;
                }
                let mut wires: Vec<(bool, WireId)> = Vec::new();
                let mut open: Option<EdgeId> = None;
                for (edge, wire) in wires::between(facts, inlet, None, *point) {
                    let before = wires.len();
                    match read(&[edge], *point, *guard) {
                        Some(Reading::Unknown(Why::Floats(_))) => wires.push((true, wire)),
                        Some(Reading::Active) if guard.permits => wires.push((false, wire)),
                        Some(Reading::Inactive) if !guard.permits => wires.push((false, wire)),
                        _ => {}
                    }
                    if before == 0 && !wires.is_empty() {
                        open = Some(edge);
                    }
                }
                let Some((floats, _)) = wires.first().copied() else { continue };
                let Some(level) = level(&open, *point) else { continue };
                // A wire beside another one, or one of a box that runs on, leaves the level as it is: only those at the pin itself decide.
                let wires: Vec<WireId> = wires.into_iter().map(|(_, wire)| wire).collect();
                found.push(ChargeStop { point: *point, guard: *guard, mode, level, floats, wires });
            }
        }
    }
    found
}
