//! What has power or keeps it, in sentences: what is kept off, what still runs, how long capacitors take, what is alive all the same.

use super::{
    details::{NAMES, disconnect, ends, fuse_named, named},
    plan::Planned,
    readings::POWERED,
    vehicle::Vehicle,
};
use crate::{
    electrical::what_if::Change,
    quantity::Volt,
    standards::{interlock::longest_wait, reading::spark, voltage::class_a_limit},
    wording::{count, list_of_first, quoted},
};
use std::collections::BTreeSet;

pub(super) fn kept_off(vehicle: &Vehicle<'_>) -> Vec<String> {
    let model = vehicle.facts.model();
    let mut said = Vec::new();
    let off: Vec<String> = vehicle
        .batteries
        .iter()
        .filter(|battery| !battery.lead.is_empty())
        .map(|battery| match ends(vehicle, battery) {
            ends if ends.is_empty() => quoted(model.device_name(battery.device)),
            ends => ends,
        })
        .collect();
    if !off.is_empty() {
        said.push(format!("off their batteries: {}", list_of_first(&off, NAMES, 0)));
    }
    for class_b in [true, false] {
        let out: Vec<String> = (0..vehicle.disconnects.len())
            .filter(|at| vehicle.disconnects.get(*at).is_some_and(|one| one.class_b == class_b))
            .map(|at| quoted(disconnect(vehicle, at)))
            .collect();
        if !out.is_empty() {
            let locked = if class_b { "out and locked, the key with whoever leads the work" } else { "out" };
            said.push(format!("{locked}: {}", list_of_first(&out, NAMES, 0)));
        }
    }
    if !vehicle.fuses.is_empty() {
        let names: Vec<String> = vehicle.fuses.iter().map(|fuse| fuse_named(vehicle, fuse.element)).collect();
        said.push(format!("out of their holders, {}: {}", count(names.len(), "fuse"), list_of_first(&names, NAMES, 0)));
    }
    let supplies: Vec<String> = vehicle.supplies.iter().flat_map(|supply| named(vehicle, supply)).collect();
    if !supplies.is_empty() {
        said.push(format!("unplugged, switched off or covered: {}", list_of_first(&supplies, NAMES, 0)));
    }
    let alive = always_alive(vehicle);
    if !alive.is_empty() {
        said.push(format!("alive all the same, for it is in the box of its own cells: {}", list_of_first(&alive, NAMES, 0)));
    }
    said
}

/// What has power inside the box of its own cells as long as these are charged: nothing that hands open separates it.
fn always_alive(vehicle: &Vehicle<'_>) -> Vec<String> {
    let (model, network) = (vehicle.facts.model(), vehicle.facts.network());
    let open = vehicle.all_open();
    let Some(state) = vehicle.state(vehicle.quiet, &open) else { return Vec::new() };
    let with_cells: BTreeSet<_> = vehicle.batteries.iter().map(|battery| battery.device).collect();
    let alive = network.edges().filter(|(id, edge)| {
        edge.role.draws() && state.conducts(*id) && (state.volts(edge.a) - state.volts(edge.b)).get().abs() > POWERED
    });
    let own = alive
        .filter_map(|(_, edge)| edge.element())
        .filter(|element| model[*element].owner.device().is_some_and(|device| with_cells.contains(&device)));
    own.map(|element| quoted(model.element_name(element))).collect::<BTreeSet<_>>().into_iter().collect()
}

/// How a vehicle is brought to rest.
pub(super) fn settled(vehicle: &Vehicle<'_>, planned: &Planned) -> Vec<String> {
    let mut said = vec!["key out, every plug from outside out, nobody in it; the key stays with whoever works".to_owned()];
    let running = running(vehicle, planned);
    if !running.is_empty() {
        let names = list_of_first(&running, NAMES, 0);
        said.push(format!("what still runs in it is stopped by its own switch, or left to end: {names}"));
    }
    said
}

/// Loads that take more than a contact bears, in the state of a step.
fn running(vehicle: &Vehicle<'_>, planned: &Planned) -> Vec<String> {
    let (model, network) = (vehicle.facts.model(), vehicle.facts.network());
    let Some(state) = vehicle.state(planned.mode, &planned.open) else { return Vec::new() };
    let drawing = network.edges().filter(|(id, edge)| edge.role.draws() && state.amps(*id).abs() > spark().value);
    drawing
        .filter_map(|(id, edge)| Some(format!("`{}` ({})", model.element_name(edge.element()?), state.amps(id).abs())))
        .collect()
}

/// How long capacitors of class B take, as they are in the state.
pub(super) fn wait(vehicle: &Vehicle<'_>, planned: &Planned) -> Vec<String> {
    let (facts, model) = (vehicle.facts, vehicle.facts.model());
    let Some(state) = vehicle.state(planned.mode, &planned.open) else { return Vec::new() };
    let changes: Vec<_> = planned.open.iter().map(|edge| Change::Open(*edge)).collect();
    let limit: Volt = class_a_limit(false).value;
    let mut said: Vec<String> = facts
        .charged_in(&state, &changes, &[])
        .iter()
        .map(|charged| {
            let name = model.element_name(charged.capacitor);
            let from = charged.volts;
            match charged.time {
                Some(time) => format!("`{name}`: {from} falls below {limit} in {time}; wait five times as long"),
                None => {
                    format!("`{name}`: nothing drawn empties it of {from}: it is emptied through a resistor, by trained people")
                }
            }
        })
        .collect();
    let longest = longest_wait();
    said.push(format!("labels of disconnects ask for up to {} ({}): the longer one counts", longest.value, longest.source));
    said
}

/// How the absence of voltage is proven.
pub(super) fn proven(planned: &Planned) -> Vec<String> {
    let mut said = vec!["prove the meter on a known source, measure, prove it again on the same source".to_owned()];
    if planned.trained {
        let limit = class_a_limit(false).value;
        said.push(format!(
            "insulating gloves in date and a face shield until it is proven; above {limit} DC anywhere nobody goes on"
        ));
    }
    said
}

/// What keeps its voltage while somebody works.
pub(super) fn still_alive(vehicle: &Vehicle<'_>, planned: &Planned, target: &str) -> Vec<String> {
    let (facts, model) = (vehicle.facts, vehicle.facts.model());
    let Some(state) = vehicle.state(planned.mode, &planned.open) else { return Vec::new() };
    let inside: Vec<String> = facts
        .live_inside(&state)
        .iter()
        .map(|pair| {
            let against = pair.other.map_or_else(|| "the chassis".to_owned(), |other| quoted(model.point_name(other)));
            format!("`{}` against {against}: {}", model.point_name(pair.contact), pair.volts)
        })
        .collect();
    // No hand takes the voltage out of cells: a battery whose poles are free keeps it.
    let poles = vehicle
        .batteries
        .iter()
        .map(|battery| (battery.poles, (state.volts(battery.poles[1]) - state.volts(battery.poles[0])).abs()));
    let poles = poles.filter(|([negative, positive], volts)| {
        volts.get() > POWERED && vehicle.how(*negative).is_some() && vehicle.how(*positive).is_some()
    });
    let poles: Vec<String> = poles
        .map(|([negative, positive], volts)| {
            format!("`{}` against `{}`: {volts}", model.point_name(positive), model.point_name(negative))
        })
        .collect();
    let mut said = Vec::new();
    if !poles.is_empty() {
        said.push(format!("batteries keep their voltage, so their poles are covered: {}", list_of_first(&poles, NAMES, 0)));
    }
    if inside.is_empty() {
        let limit = class_a_limit(false).value;
        said.push(format!("as computed, nothing above {limit} is left while {target} is worked on"));
    } else {
        said.push(format!("still alive inside boxes, which stay closed: {}", list_of_first(&inside, NAMES, 0)));
    }
    said
}
