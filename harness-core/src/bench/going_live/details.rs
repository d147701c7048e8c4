//! The longer sentences of steps: how things are joined, measured and tried.

use super::{
    batteries::Battery,
    plan::{Act, Phase, Planned, Watched},
    supplies::Supply,
    trials::{Drops, Trial},
    vehicle::Vehicle,
};
use crate::{
    facts::openings::Opening,
    model::{DomainId, ElementId, ElementKind},
    quantity::{Ohm, Volt},
    standards::{
        isolation::test_voltages,
        voltage::{isolation_per_volt, isolation_per_volt_ac},
    },
    wording::{count, list, list_of_first, quoted},
};

/// Names in one sentence.
pub(super) const NAMES: usize = 12;

/// The ends of looms by which a battery comes off.
pub(super) fn ends(vehicle: &Vehicle<'_>, battery: &Battery) -> String {
    let names: Vec<String> = battery.ends.iter().map(|end| quoted(vehicle.facts.model().end_name(*end))).collect();
    list_of_first(&names, NAMES, 0)
}

pub(super) fn disconnect(vehicle: &Vehicle<'_>, at: usize) -> String {
    vehicle.disconnects.get(at).map(|one| vehicle.facts.model().element_name(one.element)).unwrap_or_default()
}

/// A fuse with its rating: `fusebox.F1` (5 A).
pub(super) fn fuse_named(vehicle: &Vehicle<'_>, fuse: ElementId) -> String {
    let model = vehicle.facts.model();
    let rating = match model[fuse].kind {
        ElementKind::Fuse { kind: Some(kind), .. } => model[kind].rating,
        _ => None,
    };
    let name = quoted(model.element_name(fuse));
    rating.map_or_else(|| name.clone(), |rating| format!("{name} ({})", rating.value))
}

pub(super) fn fuse_on(vehicle: &Vehicle<'_>, planned: &Planned, at: usize) -> Vec<String> {
    let mut said = Vec::new();
    let model = vehicle.facts.model();
    if vehicle.fuses.get(at).is_some_and(|fuse| fuse.bolted) && !planned.meanwhile.is_empty() {
        let on = vehicle.batteries.iter().filter(|battery| battery.lead.iter().any(|edge| planned.meanwhile.contains(edge)));
        let names: Vec<String> = on.map(|battery| quoted(model.device_name(battery.device))).collect();
        said.push(format!(
            "it is bolted: take the negative lead of {} off first, join {} again behind it",
            list(&names),
            if names.len() == 1 { "it" } else { "them" }
        ));
    }
    if planned.mode != planned.hands {
        let (hands, mode) = (quoted(model.mode_name(planned.hands)), quoted(model.mode_name(planned.mode)));
        said.push(format!("fit it in mode {hands}, switch to {mode} to read, and back"));
    }
    said
}

pub(super) fn insulation(vehicle: &Vehicle<'_>, domain: DomainId) -> Vec<String> {
    let model = vehicle.facts.model();
    let item = &model[domain];
    let [half, whole] = test_voltages(item.max);
    let mut said = vec![format!(
        "with {} (UN R100: half the highest working voltage) or {} (ISO 6469-3: all of it): they differ, so the higher one as far as every box \
         on it withstands it; then let it empty",
        half.value, whole.value
    )];
    let [(dc, low), (ac, high)] = isolation_limits(item.max);
    if item.ac {
        said.push(format!("{high} or more: {ac} of each volt"));
    } else {
        said.push(format!(
            "{low} or more, {dc} of each volt; {high} where it is joined to alternating voltage, as by an inverter"
        ));
    }
    let monitors = monitors(vehicle);
    if !monitors.is_empty() {
        said.push(format!(
            "the isolation monitor of {} is off meanwhile: it measures with a resistance of its own",
            list(&monitors)
        ));
    }
    if vehicle.domains_with_cells().contains(&domain) {
        said.push("what cells are joined to follows once they are in, from three readings".to_owned());
    }
    said.push(
        "where it says unplugged, with that plug off and all others mated, at both of its halves; it is mated again behind it"
            .to_owned(),
    );
    said
}

/// The least isolation, of each volt and at this voltage: of direct voltage, and of what is joined to alternating voltage.
fn isolation_limits(max: Volt) -> [(Ohm, Ohm); 2] {
    [isolation_per_volt(), isolation_per_volt_ac()].map(|limit| (limit.value, Ohm::new(limit.value.get() * max.get())))
}

/// The boxes that watch the isolation.
fn monitors(vehicle: &Vehicle<'_>) -> Vec<String> {
    let model = vehicle.facts.model();
    let monitors = model.devices().filter(|(_, device)| device.monitor.is_some());
    monitors.map(|(id, _)| quoted(model.device_name(id))).collect()
}

/// The names of a supply: one for each of its phases.
pub(super) fn named(vehicle: &Vehicle<'_>, supply: &Supply) -> Vec<String> {
    supply.elements.iter().map(|element| quoted(vehicle.facts.model().element_name(*element))).collect()
}

pub(super) fn supplies_of(vehicle: &Vehicle<'_>, planned: &Planned) -> String {
    let stage = vehicle.modes.iter().find(|stage| stage.mode == planned.mode);
    let names: Vec<String> = stage
        .into_iter()
        .flat_map(|stage| &stage.supplies)
        .filter_map(|at| vehicle.supplies.get(*at))
        .flat_map(|supply| named(vehicle, supply))
        .collect();
    list_of_first(&names, NAMES, 0)
}

/// What is mated before anything of class B comes in.
pub(super) fn mated(vehicle: &Vehicle<'_>) -> Vec<String> {
    let facts = vehicle.facts;
    let mut connectors: Vec<String> = Vec::new();
    let mut later: Vec<String> = Vec::new();
    for one in facts.unmatings().iter().filter(|one| one.is_class_b) {
        match one.what {
            Opening::Connector(end) if !vehicle.is_plugged_in(end) => later.push(quoted(one.what.name(facts))),
            Opening::Connector(_) => connectors.push(quoted(one.what.name(facts))),
            Opening::Cover(_) | Opening::Element(_) | Opening::Wire(_) => {}
        }
    }
    let mut said = Vec::new();
    if !connectors.is_empty() {
        said.push(format!("{}: {}", count(connectors.len(), "connector"), list_of_first(&connectors, NAMES, 0)));
        said.push("each one in to its stop, latched, and pulled back at once to feel that it holds".to_owned());
    }
    if !later.is_empty() {
        let are = if later.len() == 1 { "stays" } else { "stay" };
        said.push(format!("{} {are} off, covered, until the battery comes in", list(&later)));
    }
    let bridges = facts.loops().bridges.len();
    if bridges > 0 {
        said.push(format!(
            "the interlock loop has {}: with all mated it is closed, with any one open it is not; measured in the plug of its controller, \
             which is off meanwhile",
            count(bridges, "bridge")
        ));
    }
    said
}

/// How a battery is joined.
pub(super) fn touched(planned: &Planned, battery: &Battery) -> Vec<String> {
    let mut said = Vec::new();
    if battery.bolted {
        said.push("the positive lead is on first, so that the last contact is the one to the chassis side".to_owned());
        let is_alive = planned.reads.iter().any(|read| read.before && read.has_power());
        if !battery.class_b && planned.phase == Phase::ClassA && is_alive {
            said.push("touch it first through a lamp or a fuse of 1 A: a fault shows there and not at the post".to_owned());
        }
    }
    if battery.class_b {
        said.push("nothing separates this battery from its contacts: the plug is alive as soon as it is near".to_owned());
    }
    said
}

/// What is minded as a mode is switched to.
pub(super) fn switched(vehicle: &Vehicle<'_>, planned: &Planned) -> Vec<String> {
    let mut said = Vec::new();
    if !vehicle.facts.model()[planned.mode].immobile && planned.phase >= Phase::ClassB {
        said.push("whatever can turn or move is off the ground or free, nobody near it, the stop within reach".to_owned());
    }
    if matches!(planned.act, Act::PlugIn(_)) {
        said.push("it is stopped and unplugged again before the next step".to_owned());
    }
    said
}

/// What hands open in a trial, in the imperative.
pub(super) fn opened(vehicle: &Vehicle<'_>, trial: &Trial) -> String {
    let name = quoted(trial.what.name(vehicle.facts));
    match trial.what {
        Opening::Connector(_) => format!("unplug {name}"),
        Opening::Cover(_) | Opening::Element(_) | Opening::Wire(_) => format!("open {name}"),
    }
}

/// What lets go in a trial.
pub(super) fn tried(vehicle: &Vehicle<'_>, trial: &Trial) -> Vec<String> {
    let model = vehicle.facts.model();
    let names: Vec<String> = trial.contacts.iter().map(|contact| quoted(model.element_name(*contact))).collect();
    let contacts = list_of_first(&names, NAMES, 0);
    let by = match trial.drops {
        Drops::Circuit => "as their coils lose the supply".to_owned(),
        Drops::Program(Some(device)) => {
            format!("by the program of `{}`: they are heard, and their coils read nothing", model.device_name(device))
        }
        Drops::Program(None) => {
            "by a program, as nothing drawn opens them: they are heard, and their coils read nothing".to_owned()
        }
    };
    vec![format!("{contacts} let go {by}"), "closed again, and back to rest, before the next step".to_owned()]
}

/// How isolation is measured with a battery in.
pub(super) fn isolated(vehicle: &Vehicle<'_>, domain: DomainId) -> Vec<String> {
    let model = vehicle.facts.model();
    let [(dc, low), (_, high)] = isolation_limits(model[domain].max);
    let monitors = monitors(vehicle);
    let mut said = vec![format!(
        "each pole against the chassis, then the higher one with a known resistor beside it: `harness isolation --readings` works it out; {} or \
         more, {} of each volt; {} where it is joined to alternating voltage",
        low, dc, high
    )];
    said.push(match monitors.as_slice() {
        [] => "where the contacts are covered, as the battery or an isolation tester of its maker reports it".to_owned(),
        monitors => format!(
            "where the contacts are covered, as the isolation monitor of {} reports it; it is off while a voltmeter reads",
            list(monitors)
        ),
    });
    said
}

/// What flows in what hands make or break.
pub(super) fn sparks(planned: &Planned) -> Option<String> {
    let amps = planned.spark?;
    Some(match planned.act {
        Act::TakeOut(_) | Act::TakeOff(_) | Act::Pull(_) => {
            format!("{amps} flow in it as computed: what draws is switched off first")
        }
        _ if !planned.meanwhile.is_empty() => {
            format!("up to {amps} flow in the lead: what draws is switched off before it comes off, and until it is on again")
        }
        _ => format!("it carries {amps} as soon as it is made: push it home in one go"),
    })
}

/// How a precharge goes.
pub(super) fn charges(vehicle: &Vehicle<'_>, watched: &Watched) -> String {
    let model = vehicle.facts.model();
    let (one, charging) = (&watched.precharge, watched.precharge.charging());
    format!(
        "`{}` charges `{}` with a time constant of {}, {} at first, to {}",
        model.element_name(one.resistor),
        model.element_name(one.capacitor),
        charging.time_constant(),
        charging.first_current(),
        charging.volts,
    )
}
