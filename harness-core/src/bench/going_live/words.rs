//! The sentences of a step: what hands do, how, and when they stop.

use super::{
    plan::{Act, Phase, Planned},
    vehicle::{Battery, Vehicle},
};
use crate::{
    facts::openings::Opening,
    model::{DomainId, ElementId, ElementKind},
    quantity::{Ohm, Volt},
    standards::{
        interlock::longest_wait,
        isolation::test_voltages,
        reading::spark,
        voltage::{class_a_limit, isolation_per_volt, isolation_per_volt_ac},
    },
    wording::{count, count_of, list, list_of_first, quoted},
};

/// Names in one sentence.
const NAMES: usize = 12;

/// What hands do, in one line.
pub(super) fn does(vehicle: &Vehicle<'_>, planned: &Planned, target: &str) -> String {
    let model = vehicle.facts.model();
    let mode = quoted(model.mode_name(planned.mode));
    match &planned.act {
        Act::RungOut => "have every loom rung out on the bench".to_owned(),
        Act::KeptOff => "keep everything off that could give power".to_owned(),
        Act::Condition(device, at) => {
            let condition = model[*device].before_power.get(*at).map_or("", |text| model.text(text.value));
            format!("see that this holds for `{}`: {condition}", model.device_name(*device))
        }
        Act::Bonds => "measure the bonds of all boxes with voltage class B".to_owned(),
        Act::Mated => "mate everything of voltage class B and close its covers".to_owned(),
        Act::Insulation(domain) => format!("measure the insulation of `{}` against the chassis", model.text(model[*domain].name)),
        Act::Battery(at) => vehicle.batteries.get(*at).map_or_else(String::new, |battery| battery_on(vehicle, battery)),
        Act::Supply(at) => {
            let supply = vehicle.supplies.get(*at).map(|supply| model.element_name(supply.element)).unwrap_or_default();
            format!("switch on or uncover the supply `{supply}`")
        }
        Act::Disconnect(at) => format!("put `{}` in", disconnect(vehicle, *at)),
        Act::Fuse(at) => {
            vehicle.fuses.get(*at).map_or_else(String::new, |fuse| format!("fit fuse {}", fuse_named(vehicle, fuse.element)))
        }
        Act::DeadFuses(at) if planned.phase == Phase::PutBack => {
            format!("fit {} again", if at.len() == 1 { "the fuse" } else { "the fuses" })
        }
        Act::DeadFuses(at) => format!("fit the {} left, which nothing feeds yet", count_of(at.len(), "fuse", "fuses")),
        Act::Mode(_) if planned.phase == Phase::Modes && vehicle.has_class_b() => {
            format!("switch to mode {mode} with voltage class B out")
        }
        Act::Mode(_) => format!("switch to mode {mode}"),
        Act::PlugIn(_) => format!("with {} plugged in or running, switch to mode {mode}", supplies_of(vehicle, planned)),
        Act::Settle => format!("bring the vehicle to mode {mode}, and keep it there"),
        Act::TakeOut(at) => format!("take `{}` out and lock it against being put back", disconnect(vehicle, *at)),
        Act::TakeOff(at) => vehicle.batteries.get(*at).map_or_else(String::new, |battery| battery_off(vehicle, battery)),
        Act::Pull(fuses) => {
            let names: Vec<String> =
                fuses.iter().filter_map(|at| Some(fuse_named(vehicle, vehicle.fuses.get(*at)?.element))).collect();
            format!("pull {} {}", if names.len() == 1 { "fuse" } else { "fuses" }, list_of_first(&names, NAMES, 0))
        }
        Act::Wait => "wait until capacitors are empty".to_owned(),
        Act::ProveDead => format!("prove {target} dead"),
        Act::Work => format!("work on {target}"),
    }
}

/// How it is done, in sentences.
pub(super) fn how(vehicle: &Vehicle<'_>, planned: &Planned, target: &str) -> Vec<String> {
    let (facts, model) = (vehicle.facts, vehicle.facts.model());
    let mut said: Vec<String> = Vec::new();
    match &planned.act {
        Act::RungOut => {
            let looms: Vec<String> = model.looms().map(|(id, _)| quoted(model.loom_name(id))).collect();
            said.push(format!("{}: {}", count(looms.len(), "loom"), list_of_first(&looms, NAMES, 0)));
        }
        Act::KeptOff => said.extend(kept_off(vehicle)),
        Act::Mated => {
            let connectors: Vec<String> = facts
                .unmatings()
                .iter()
                .filter(|one| one.is_class_b && matches!(one.what, Opening::Connector(_)))
                .map(|one| quoted(one.what.name(facts)))
                .collect();
            said.push(format!("{}: {}", count(connectors.len(), "connector"), list_of_first(&connectors, NAMES, 0)));
            said.push("each one in to its stop, latched, and pulled back at once to feel that it holds".to_owned());
            let bridges = facts.loops().bridges.len();
            if bridges > 0 {
                said.push(format!(
                    "the interlock loop has {}: with all mated it is closed, with any one open it is not",
                    count(bridges, "bridge")
                ));
            }
        }
        Act::Bonds => said.push(
            "with 0.2 A or more through the bond, the leads of the meter taken off the reading (UN R100, 5.1.2.2, seen)"
                .to_owned(),
        ),
        Act::Insulation(domain) => said.extend(insulation(vehicle, *domain)),
        Act::Battery(at) => {
            if let Some(battery) = vehicle.batteries.get(*at) {
                if battery.bolted {
                    said.push(
                        "the positive lead is on first, so that the last contact is the one to the chassis side".to_owned(),
                    );
                }
                if !battery.class_b && planned.phase == Phase::ClassA {
                    said.push(
                        "touch it first through a lamp or a fuse of 1 A: a fault shows there and not at the post".to_owned(),
                    );
                }
                if battery.class_b {
                    said.push(
                        "nothing separates this battery from its contacts: the plug is alive as soon as it is near".to_owned(),
                    );
                }
            }
        }
        Act::Supply(at) => {
            if vehicle.supplies.get(*at).is_some_and(|supply| supply.limited) {
                said.push("a source of its own: until here it is off, covered or unplugged".to_owned());
            }
        }
        Act::Disconnect(at) => {
            if vehicle.disconnects.get(*at).is_some_and(|one| one.class_b) {
                said.push("nothing draws in this mode; hands off it once it is in".to_owned());
            }
        }
        Act::Fuse(at) => said.extend(fuse_on(vehicle, planned, *at)),
        Act::DeadFuses(at) => {
            let names: Vec<String> =
                at.iter().filter_map(|at| Some(fuse_named(vehicle, vehicle.fuses.get(*at)?.element))).collect();
            said.push(list_of_first(&names, NAMES, 0));
        }
        Act::Mode(_) | Act::PlugIn(_) => {
            if !model[planned.mode].immobile && planned.phase >= Phase::ClassB {
                said.push(
                    "whatever can turn or move is off the ground or free, nobody near it, the stop within reach".to_owned(),
                );
            }
        }
        Act::Settle => {
            said.push("key out, every plug from outside out, nobody in it; the key stays with whoever works".to_owned());
            let running = running(vehicle, planned);
            if !running.is_empty() {
                let names = list_of_first(&running, NAMES, 0);
                said.push(format!("what still runs in it is stopped by its own switch, or left to end: {names}"));
            }
        }
        Act::TakeOut(at) => {
            if vehicle.disconnects.get(*at).is_some_and(|one| one.class_b) {
                said.push("it is out of the vehicle, or locked in its holder with a padlock and a tag; the key stays with whoever works".to_owned());
            }
        }
        Act::TakeOff(_) => said.push("insulate the loose end, so that it can't spring back".to_owned()),
        Act::Pull(_) => said.push("they stay with whoever works".to_owned()),
        Act::Wait => said.extend(wait(vehicle, planned)),
        Act::ProveDead => {
            said.push("prove the meter on a known source, measure, prove it again on the same source".to_owned());
            if planned.trained {
                let limit = class_a_limit(false).value;
                said.push(format!(
                    "insulating gloves in date and a face shield until it is proven; above {limit} DC anywhere nobody goes on"
                ));
            }
        }
        Act::Work => said.extend(still_alive(vehicle, planned, target)),
        Act::Condition(..) => {}
    }
    if let Some(amps) = planned.spark {
        said.push(match planned.act {
            Act::TakeOut(_) | Act::TakeOff(_) | Act::Pull(_) => {
                format!("{amps} flow in it as computed: what draws is switched off first")
            }
            _ if !planned.meanwhile.is_empty() => {
                format!("up to {amps} flow in the lead: what draws is switched off before it comes off, and until it is on again")
            }
            _ => format!("it carries {amps} as soon as it is made: push it home in one go"),
        });
    }
    for watched in &planned.watched {
        let (one, charging) = (&watched.precharge, watched.precharge.charging());
        said.push(format!(
            "`{}` charges `{}` with a time constant of {}, {} at first, to {}",
            model.element_name(one.resistor),
            model.element_name(one.capacitor),
            charging.time_constant(),
            charging.first_current(),
            charging.volts,
        ));
    }
    said
}

/// When to stop, and what to do then.
pub(super) fn stop(vehicle: &Vehicle<'_>, planned: &Planned) -> String {
    let text = match &planned.act {
        Act::RungOut => "a loom with an open question stays on the bench",
        Act::KeptOff => "whatever can't be kept off: nobody goes on",
        Act::Condition(..) => "as long as it does not hold, nothing gets power",
        Act::Bonds | Act::Insulation(_) => "a reading outside its limit: nothing gets power before it is found and right",
        Act::Mated => "a plug that does not go home, a cover that does not close: nothing gets power",
        Act::Battery(_) => "a spark, a smell, or more than the limit: the lead off at once",
        Act::Supply(_) => "a reading outside its limits: off again, and find out why",
        Act::Disconnect(at) if vehicle.disconnects.get(*at).is_some_and(|one| one.class_b) => {
            "a reading outside its limits, an isolation warning, a contactor that is heard: out again, wait, and find out why"
        }
        Act::Disconnect(_) => "a reading outside its limits: out again, and find out why",
        Act::Fuse(_) | Act::DeadFuses(_) => "a reading outside its limits, or it blows: out, find out why; never a larger one",
        Act::Mode(_) if !planned.watched.is_empty() => {
            "not charged in twice its time, or a reading outside its limits: back to rest at once; the resistor cools before the next try"
        }
        Act::Mode(_) => "a reading outside its limits, or anything that moves, smells or gets hot unasked: back to rest at once",
        Act::PlugIn(_) => "a reading outside its limits: unplug, and find out why",
        Act::Settle => "a contactor that is still in, a fan or pump that still runs: wait until it is out",
        Act::TakeOut(_) | Act::TakeOff(_) | Act::Pull(_) => "a spark: stop, something still draws; find out what",
        Act::Wait => "no waiting replaces the meter",
        Act::ProveDead => "any voltage: nobody touches anything; find out where it comes from",
        Act::Work => "whoever leaves it, and whoever comes back to it, proves it dead again",
    };
    text.to_owned()
}

fn battery_on(vehicle: &Vehicle<'_>, battery: &Battery) -> String {
    let device = vehicle.facts.model().device_name(battery.device);
    match ends(vehicle, battery) {
        ends if ends.is_empty() => format!("join the negative lead of `{device}`, as the last of its leads"),
        ends => format!("join {ends} to `{device}`, as the last of its leads"),
    }
}

fn battery_off(vehicle: &Vehicle<'_>, battery: &Battery) -> String {
    let device = vehicle.facts.model().device_name(battery.device);
    match ends(vehicle, battery) {
        ends if ends.is_empty() => format!("take the negative lead off `{device}`"),
        ends => format!("take {ends} off `{device}`"),
    }
}

/// The ends of looms by which a battery comes off.
fn ends(vehicle: &Vehicle<'_>, battery: &Battery) -> String {
    let names: Vec<String> = battery.ends.iter().map(|end| quoted(vehicle.facts.model().end_name(*end))).collect();
    list_of_first(&names, NAMES, 0)
}

fn disconnect(vehicle: &Vehicle<'_>, at: usize) -> String {
    vehicle.disconnects.get(at).map(|one| vehicle.facts.model().element_name(one.element)).unwrap_or_default()
}

/// A fuse with its rating: `fusebox.F1` (5 A).
fn fuse_named(vehicle: &Vehicle<'_>, fuse: ElementId) -> String {
    let model = vehicle.facts.model();
    let rating = match model[fuse].kind {
        ElementKind::Fuse { kind: Some(kind), .. } => model[kind].rating,
        _ => None,
    };
    let name = quoted(model.element_name(fuse));
    rating.map_or_else(|| name.clone(), |rating| format!("{name} ({})", rating.value))
}

fn fuse_on(vehicle: &Vehicle<'_>, planned: &Planned, at: usize) -> Vec<String> {
    let mut said = Vec::new();
    let model = vehicle.facts.model();
    if vehicle.fuses.get(at).is_some_and(|fuse| fuse.bolted) && !planned.meanwhile.is_empty() {
        let on = vehicle.batteries.iter().filter(|battery| battery.lead.iter().any(|edge| planned.meanwhile.contains(edge)));
        let names: Vec<String> = on.map(|battery| quoted(model.device_name(battery.device))).collect();
        said.push(format!("it is bolted: take the negative lead of {} off first, join it again behind it", list(&names)));
    }
    if planned.mode != planned.hands {
        let (hands, mode) = (quoted(model.mode_name(planned.hands)), quoted(model.mode_name(planned.mode)));
        said.push(format!("fit it in mode {hands}, switch to {mode} to read, and back"));
    }
    said
}

fn kept_off(vehicle: &Vehicle<'_>) -> Vec<String> {
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
    let supplies: Vec<String> = vehicle.supplies.iter().map(|supply| quoted(model.element_name(supply.element))).collect();
    if !supplies.is_empty() {
        said.push(format!("unplugged, switched off or covered: {}", list_of_first(&supplies, NAMES, 0)));
    }
    said
}

fn insulation(vehicle: &Vehicle<'_>, domain: DomainId) -> Vec<String> {
    let model = vehicle.facts.model();
    let item = &model[domain];
    let [half, whole] = test_voltages(item.max);
    let mut said = vec![format!(
        "with {} (UN R100: half the highest working voltage) or {} (ISO 6469-3: all of it): they differ, so the higher one as far as every box \
         on it withstands it; then let it empty",
        half.value, whole.value
    )];
    let (dc, ac) = (isolation_per_volt().value, isolation_per_volt_ac().value);
    let [low, high] = [dc, ac].map(|limit| Ohm::new(limit.get() * item.max.get()));
    if item.ac {
        said.push(format!("{high} or more: {ac} of each volt"));
    } else {
        said.push(format!(
            "{low} or more, {dc} of each volt; {high} where it is joined to alternating voltage, as by an inverter"
        ));
    }
    let monitors = model.devices().filter(|(_, device)| device.monitor.is_some());
    let monitors: Vec<String> = monitors.map(|(id, _)| quoted(model.device_name(id))).collect();
    if !monitors.is_empty() {
        said.push(format!(
            "the isolation monitor of {} is off meanwhile: it measures with a resistance of its own",
            list(&monitors)
        ));
    }
    said.push("what cells are joined to has its insulation from three readings once it is in: `harness isolation`".to_owned());
    said
}

fn supplies_of(vehicle: &Vehicle<'_>, planned: &Planned) -> String {
    let model = vehicle.facts.model();
    let stage = vehicle.modes.iter().find(|stage| stage.mode == planned.mode);
    let names: Vec<String> = stage
        .into_iter()
        .flat_map(|stage| &stage.supplies)
        .filter_map(|at| Some(quoted(model.element_name(vehicle.supplies.get(*at)?.element))))
        .collect();
    list_of_first(&names, NAMES, 0)
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
fn wait(vehicle: &Vehicle<'_>, planned: &Planned) -> Vec<String> {
    let (facts, model) = (vehicle.facts, vehicle.facts.model());
    let Some(state) = vehicle.state(planned.mode, &planned.open) else { return Vec::new() };
    let changes: Vec<_> = planned.open.iter().map(|edge| crate::electrical::what_if::Change::Open(*edge)).collect();
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

/// What keeps its voltage while somebody works.
fn still_alive(vehicle: &Vehicle<'_>, planned: &Planned, target: &str) -> Vec<String> {
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
    if inside.is_empty() {
        return vec![format!("as computed, nothing above {} is left while {target} is worked on", class_a_limit(false).value)];
    }
    vec![format!("still alive inside boxes, which stay closed: {}", list_of_first(&inside, NAMES, 0))]
}
