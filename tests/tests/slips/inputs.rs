//! Slips with inputs and with short-time currents: a pull that is not there, a peak of ten times as much.

use super::{
    items::{Item, elements, pins, times},
    netlist::Netlist,
    slip::{Kind, Owed, Slip},
};

/// The kinds of slips with inputs and short-time currents.
pub fn kinds() -> Vec<Kind> {
    vec![
        Kind {
            name: "input that its box does not pull",
            owed: Owed::Share(35, "an output that drives both ways, a sensor or a lamp gives it a level in every mode"),
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

fn unpulled(design: &Netlist) -> Vec<Slip> {
    let is_input = |pin: &Item| pin.says(design, "role").as_deref() == Some("input") && pin.says(design, "pull").is_some();
    let slip = |pin: Item| Slip::set(&pin.label, pin.key("pull"), "none").naming(["netlist/floating-input"]);
    pins(design).into_iter().filter(is_input).map(slip).collect()
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
