//! The order with names and sentences: what the paper says.

use super::{
    measured::{bonds, buses_read, insulation, isolation, loops},
    plan::{Act, Phase, Planned},
    readings::{Expected, How, Place, Read},
    sheet::{Figure, GoingLive, Reading, Step},
    vehicle::Vehicle,
    words,
};
use crate::{
    model::{ElementId, ElementKind, Owner, PointId},
    quantity::Volt,
    wording::list,
};

/// The paper of an order.
pub(super) fn paper(vehicle: &Vehicle<'_>, plan: &[Planned], target: &str) -> GoingLive {
    let model = vehicle.facts.model();
    let is_out =
        |element: ElementId| matches!(&model[element].kind, ElementKind::Disconnect { out, .. } if out.has(vehicle.quiet));
    let out = vehicle.disconnects.iter().map(|one| one.element).filter(|element| is_out(*element));
    let steps = plan.iter().enumerate().map(|(at, planned)| step(vehicle, planned, at + 1, target));
    GoingLive {
        quiet: model.mode_name(vehicle.quiet).to_owned(),
        out: out.map(|element| model.element_name(element)).collect(),
        steps: steps.collect(),
        unknown: unknown(vehicle, plan),
        has_class_b: plan.iter().any(|step| step.trained),
    }
}

fn step(vehicle: &Vehicle<'_>, planned: &Planned, number: usize, target: &str) -> Step {
    let model = vehicle.facts.model();
    let mut readings: Vec<Reading> = planned.reads.iter().map(|read| reading(vehicle, read)).collect();
    match planned.act {
        Act::Bonds => readings.extend(bonds(vehicle)),
        Act::Mated => readings.extend(loops(vehicle, &planned.open)),
        Act::Buses => readings.extend(buses_read(vehicle, &planned.open)),
        Act::Isolation(domain) => readings.extend(isolation(vehicle, domain)),
        Act::Insulation(domain) => readings.extend(insulation(vehicle, domain, &planned.open)),
        _ => {}
    }
    for watched in &planned.watched {
        let Some(poles) = poles_of(vehicle, watched.precharge.capacitor) else { continue };
        readings.extend(watched.at.iter().map(|(time, volts)| Reading {
            before: false,
            at: poles.0.clone(),
            against: poles.1.clone(),
            // It never exceeds what it comes to, and is not below the next step takes for charged.
            figure: Figure::Volts(*volts, Volt::new(volts.get() * SLOW), watched.precharge.full.0),
            how: How::Reported,
            around: Vec::new(),
            after: Some(*time),
        }));
    }
    let is_alive = planned.phase != Phase::Dead;
    Step {
        number,
        phase: planned.phase,
        trained: planned.trained,
        does: words::does(vehicle, planned, target),
        how: words::how(vehicle, planned, target),
        mode: if is_alive { model.mode_name(planned.mode).to_owned() } else { String::new() },
        readings,
        more: planned.more,
        stop: words::stop(vehicle, planned),
    }
}

/// Share of the computed voltage that a capacitor must have: capacitors are within a fifth, resistors within a tenth.
const SLOW: f64 = 0.85;

/// Half of the least step that a meter shows, in volt.
const SHOWN: f64 = 0.5e-3;

/// The names of the points at which a capacitor is read.
fn poles_of(vehicle: &Vehicle<'_>, capacitor: ElementId) -> Option<(String, String)> {
    let model = vehicle.facts.model();
    let [one, other] = model[capacitor].points.get(..2)? else { return None };
    let named = |point: PointId| model.point_name(vehicle.probed(point).unwrap_or(point));
    Some((named(*one), named(*other)))
}

fn reading(vehicle: &Vehicle<'_>, read: &Read) -> Reading {
    let model = vehicle.facts.model();
    let (at, against, around) = match read.place {
        Place::Between(point, against) => (model.point_name(point), model.point_name(against), Vec::new()),
        Place::In(edge, element) => (model.element_name(element), String::new(), vehicle.around(edge)),
    };
    let figure = match read.expected {
        Expected::Volts(volts, least, most) if volts.get().abs() < SHOWN => Figure::Volts(Volt::new(0.0), least, most),
        Expected::Volts(volts, least, most) => Figure::Volts(volts, least, most),
        Expected::Amps(amps, least, most) => Figure::Amps(amps, least, most),
    };
    let around = around.into_iter().map(|wire| model.wire_name(wire)).collect();
    Reading { before: read.before, at, against, figure, how: read.how, around, after: None }
}

/// What the design leaves open.
fn unknown(vehicle: &Vehicle<'_>, plan: &[Planned]) -> Vec<String> {
    let (facts, model) = (vehicle.facts, vehicle.facts.model());
    let mut found = Vec::new();
    for (step, planned) in plan.iter().enumerate().filter(|(_, planned)| planned.unknown) {
        let mode = model.mode_name(planned.mode);
        found.push(format!("step {}: mode `{mode}` does not settle as computed, so its readings are not known", step + 1));
    }
    for loss in facts.untraced_loads() {
        let (load, pin) = (model.element_name(loss.load), model.point_name(loss.pin));
        found.push(format!("`{load}`: its way ends at `{pin}`, of which nothing is drawn, so it has no reading"));
    }
    if vehicle.batteries.is_empty() && vehicle.supplies.is_empty() {
        found.push("the design draws no source, so nothing in it gets power".to_owned());
    }
    let silent = model.devices().filter(|(_, device)| device.fitted && !device.chassis && device.before_power.is_empty());
    let drawing = silent
        .filter(|(id, _)| model.elements().any(|(_, element)| element.owner == Owner::Device(*id) && element.kind.is_motor()));
    let motors: Vec<String> = drawing.map(|(id, _)| format!("`{}`", model.device_name(id))).collect();
    if !motors.is_empty() {
        let names = list(&motors);
        found.push(format!(
            "`before-power` of {names}: what must be true before a motor turns (filled and bled, free to turn, nobody near)"
        ));
    }
    found
}
