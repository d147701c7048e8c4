//! The sentences of a step: what hands do, how, and when they stop.

use super::{
    alive::{kept_off, proven, settled, still_alive, wait},
    batteries::Battery,
    details::{
        NAMES, charges, disconnect, ends, fuse_named, fuse_on, insulation, isolated, mated, named, opened, sparks, supplies_of,
        switched, touched, tried,
    },
    plan::{Act, Phase, Planned},
    vehicle::Vehicle,
};
use crate::wording::{count, count_of, list_of_first, quoted};

/// What hands do, in one line.
pub(super) fn does(vehicle: &Vehicle<'_>, planned: &Planned, target: &str) -> String {
    let model = vehicle.facts.model();
    let mode = quoted(model.mode_name(planned.mode));
    match &planned.act {
        Act::RungOut => "have every loom rung out on the bench".to_owned(),
        Act::KeptOff => "keep everything off that could give power".to_owned(),
        Act::Condition(asked) => {
            let condition = asked.first().and_then(|(device, at)| model[*device].before_power.get(*at));
            let names: Vec<String> = asked.iter().map(|(device, _)| quoted(model.device_name(*device))).collect();
            format!(
                "see that this holds for {}: {}",
                list_of_first(&names, NAMES, 0),
                condition.map_or("", |text| model.text(text.value))
            )
        }
        Act::Bonds => "measure the bonds of all boxes with voltage class B".to_owned(),
        Act::Mated => "mate everything of voltage class B and close its covers".to_owned(),
        Act::Buses => "measure the resistance of each bus that is charged through a resistor".to_owned(),
        Act::Insulation(domain) => format!("measure the insulation of `{}` against the chassis", model.text(model[*domain].name)),
        Act::Battery(at) => vehicle.batteries.get(*at).map_or_else(String::new, |battery| battery_on(vehicle, battery)),
        Act::Supply(at) => {
            let names = vehicle.supplies.get(*at).map(|supply| named(vehicle, supply)).unwrap_or_default();
            format!("switch on or uncover the supply {}", list_of_first(&names, NAMES, 0))
        }
        Act::Disconnect(at) => format!("put `{}` in", disconnect(vehicle, *at)),
        Act::Fuse(at) => {
            vehicle.fuses.get(*at).map_or_else(String::new, |fuse| format!("fit fuse {}", fuse_named(vehicle, fuse.element)))
        }
        Act::DeadFuses(at) if planned.phase == Phase::PutBack => {
            format!("fit {} again", if at.len() == 1 { "the fuse" } else { "the fuses" })
        }
        Act::DeadFuses(at) if at.len() == 1 => "fit the fuse left, which nothing feeds yet".to_owned(),
        Act::DeadFuses(at) => format!("fit the {} left, which nothing feeds yet", count_of(at.len(), "fuse", "fuses")),
        Act::Mode(_) if planned.phase == Phase::Modes && vehicle.has_class_b() => {
            format!("switch to mode {mode} with voltage class B out")
        }
        Act::Mode(_) => format!("switch to mode {mode}"),
        Act::Trial(at) => vehicle
            .trials
            .get(*at)
            .map_or_else(String::new, |trial| format!("{} in mode {mode}, and see that contacts let go", opened(vehicle, trial))),
        Act::Isolation(domain) => {
            format!("measure the isolation of `{}` with its battery in", model.text(model[*domain].name))
        }
        Act::FirstDrive(_) => format!("let it move for the first time, in mode {mode}"),
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
    let model = vehicle.facts.model();
    let said = |text: &str| vec![text.to_owned()];
    let is_class_b_cut = |at: usize| vehicle.disconnects.get(at).is_some_and(|one| one.class_b);
    let mut all: Vec<String> = match &planned.act {
        Act::RungOut => {
            let looms: Vec<String> = model.looms().map(|(id, _)| quoted(model.loom_name(id))).collect();
            vec![format!("{}: {}", count(looms.len(), "loom"), list_of_first(&looms, NAMES, 0))]
        }
        Act::KeptOff => kept_off(vehicle),
        Act::Mated => mated(vehicle),
        Act::Bonds => {
            said("with 0.2 A or more through the bond, the leads of the meter taken off the reading (UN R100, 5.1.2.2, seen)")
        }
        Act::Insulation(domain) => insulation(vehicle, *domain),
        Act::Buses => said(
            "a bus with less never charges through its resistor; a capacitor makes the meter climb, so wait until it is still",
        ),
        Act::Battery(at) => vehicle.batteries.get(*at).map_or_else(Vec::new, |battery| touched(planned, battery)),
        Act::Supply(at) if vehicle.supplies.get(*at).is_some_and(|supply| supply.limited) => {
            said("a source of its own: until here it is off, covered or unplugged")
        }
        Act::Disconnect(at) if is_class_b_cut(*at) => said("nothing draws in this mode; hands off it once it is in"),
        Act::Supply(_) | Act::Disconnect(_) | Act::Condition(..) => Vec::new(),
        Act::Fuse(at) => fuse_on(vehicle, planned, *at),
        Act::DeadFuses(at) => {
            let names: Vec<String> =
                at.iter().filter_map(|at| Some(fuse_named(vehicle, vehicle.fuses.get(*at)?.element))).collect();
            vec![list_of_first(&names, NAMES, 0)]
        }
        Act::Mode(_) | Act::PlugIn(_) => switched(vehicle, planned),
        Act::Trial(at) => vehicle.trials.get(*at).map_or_else(Vec::new, |trial| tried(vehicle, trial)),
        Act::Isolation(domain) => isolated(vehicle, *domain),
        Act::FirstDrive(_) => vec![
            "on level ground with room to run out, or with nothing in reach of what turns; one person has a hand on the stop"
                .to_owned(),
            "at walking pace: forwards, stop, backwards where it can, stop; then press the stop while it moves".to_owned(),
            "behind it: no joint, plug, cable or box is hot, nothing rubs, and every joint of the torque list is looked at again"
                .to_owned(),
        ],
        Act::Settle => settled(vehicle, planned),
        Act::TakeOut(at) if is_class_b_cut(*at) => {
            said("it is out of the vehicle, or locked in its holder with a padlock and a tag; the key stays with whoever works")
        }
        Act::TakeOut(_) => Vec::new(),
        Act::TakeOff(_) => said("insulate the loose end, so that it can't spring back"),
        Act::Pull(_) => said("they stay with whoever works"),
        Act::Wait => wait(vehicle, planned),
        Act::ProveDead => proven(planned),
        Act::Work => still_alive(vehicle, planned, target),
    };
    all.extend(sparks(planned));
    all.extend(planned.watched.iter().map(|watched| charges(vehicle, watched)));
    all
}

/// When to stop, and what to do then.
pub(super) fn stop(vehicle: &Vehicle<'_>, planned: &Planned) -> String {
    let text = match &planned.act {
        Act::RungOut => "a loom with an open question stays on the bench",
        Act::KeptOff => "whatever can't be kept off: nobody goes on",
        Act::Condition(..) => "as long as it does not hold, nothing gets power",
        Act::Bonds | Act::Insulation(_) | Act::Buses => {
            "a reading outside its limit: nothing gets power before it is found and right"
        }
        Act::Mated => "a plug that does not go home, a cover that does not close, a loop outside its limits: nothing gets power",
        Act::Trial(_) => "a contact that stays in: back to rest, and class B stays out until it lets go",
        Act::Isolation(_) => "less than its limit: back to rest, class B out again, and the place is found before it comes in",
        Act::FirstDrive(_) => "it moves the other way, does not stop, or a warning shows: the stop at once, then back to rest",
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
