//! Slips with inputs and with short-time currents: a pull that is not there, a peak of ten times as much.

use super::{
    charging::wires_at,
    items::{Item, elements, pins, place, times},
    netlist::Netlist,
    slip::{Edit, Kind, Owed, Slip},
};
use serde_yaml::Value;

/// The kinds of slips with inputs and short-time currents.
pub fn kinds() -> Vec<Kind> {
    vec![
        Kind {
            name: "input that its box does not pull",
            owed: Owed::Noted(60, "the box at the other end shows nothing of its inside: a note"),
            places: unpulled,
        },
        Kind {
            name: "input that its box pulls the other way",
            owed: Owed::Share(
                80,
                "a box that draws no resistor is taken by its word, and a sensor, a lamp or an output that drives both ways is at either side",
            ),
            places: turned,
        },
        Kind {
            name: "peak of ten times as much",
            owed: Owed::Share(90, "a peak of milliseconds is within what the fuse and the contacts carry for that time"),
            places: peaks,
        },
    ]
}

/// Whether a resistor in another box, as that of a pedal or of a sensor of temperature, gives a pin its level in every mode.
fn is_held(design: &Netlist, pin: &Item) -> bool {
    let own: Vec<String> = wires_at(design, &pin.label).into_iter().map(|wire| wire.label).collect();
    let is_joined = |other: &str| other != pin.label && wires_at(design, other).iter().any(|wire| own.contains(&wire.label));
    // From the few resistors, not from the many pins.
    elements(design, "resistor").into_iter().any(|resistor| {
        let points = ["from", "to"].into_iter().filter_map(|side| resistor.says(design, side));
        points.map(|point| format!("{}.{point}", resistor.owner)).any(|other| is_joined(&other))
    })
}

/// Neither the pull that a pin names nor a resistor of its box that is drawn at it.
fn unpulled(design: &Netlist) -> Vec<Slip> {
    let is_input = |pin: &Item| pin.says(design, "role").as_deref() == Some("input") && pin.says(design, "pull").is_some();
    let slip = |pin: Item| {
        let (device, point) = place(&pin.label);
        let is_at = |resistor: &Item| {
            let ends = ["from", "to"].map(|side| resistor.says(design, side));
            resistor.owner == device && ends.contains(&Some(point.clone()))
        };
        let drawn = elements(design, "resistor").into_iter().filter(is_at).map(|resistor| Edit::Remove(resistor.way));
        let edits = [Edit::Set(pin.key("pull"), Value::String("none".to_owned()))].into_iter().chain(drawn).collect();
        Slip::with(&pin.label, edits).naming(["netlist/floating-input"])
    };
    pins(design).into_iter().filter(is_input).filter(|pin| !is_held(design, pin)).map(slip).collect()
}

fn turned(design: &Netlist) -> Vec<Slip> {
    let other = |pin: &Item| match pin.says(design, "pull").as_deref() {
        Some("up") => Some("down"),
        Some("down") => Some("up"),
        _ => None,
    };
    let is_input = |pin: &Item| pin.says(design, "role").as_deref() == Some("input");
    let slip = |pin: Item| Some(Slip::set(&pin.label, pin.key("pull"), other(&pin)?).naming(["netlist/stuck-input"]));
    pins(design).into_iter().filter(is_input).filter_map(slip).collect()
}

fn peaks(design: &Netlist) -> Vec<Slip> {
    let slip = |load: Item| {
        let peak = load.says(design, "peak").filter(|peak| peak.contains(" for "))?;
        let more = times(&peak, 10.0);
        Some(Slip::set(&load.label, load.key("peak"), more).naming(["protection/peak-opens-fuse", "contact/peak-over-rating"]))
    };
    elements(design, "load").into_iter().filter_map(slip).collect()
}
