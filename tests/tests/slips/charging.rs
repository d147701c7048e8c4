//! Slips with charging inlets: a wire of the inhibit or of the earth that is left out, a resistor of another value or in another place, a
//! diode turned round, a stop circuit that is bridged.

use super::{
    items::{Item, elements, pins, place, ports, wires},
    netlist::{Netlist, way},
    slip::{Edit, Kind, Owed, Slip},
};
use serde_yaml::{Mapping, Value};

/// The kinds of slips with charging inlets.
pub fn kinds() -> Vec<Kind> {
    vec![
        Kind { name: "inhibit wire cut", owed: Owed::All, places: inhibit_cut },
        Kind { name: "inhibit of the drive not stated", owed: Owed::All, places: not_stated },
        Kind { name: "inlet's protective earth left out", owed: Owed::All, places: earth_left_out },
        Kind { name: "inlet's earth through a fuse", owed: Owed::All, places: earth_fused },
        Kind { name: "pilot return cut", owed: Owed::All, places: return_cut },
        Kind { name: "pilot diode turned round", owed: Owed::All, places: diode_turned },
        Kind { name: "pilot diode left out", owed: Owed::All, places: diode_linked },
        Kind { name: "pilot resistor of ten times the value", owed: Owed::All, places: pilot_resistor },
        Kind { name: "plug resistor of another value", owed: Owed::All, places: plug_resistor },
        Kind { name: "plug resistor in the vehicle", owed: Owed::All, places: misplaced_resistor },
        Kind { name: "proximity on a second controller", owed: Owed::All, places: second_reader },
        Kind { name: "lock feedback cut", owed: Owed::All, places: feedback_cut },
        Kind { name: "lock without feedback", owed: Owed::All, places: without_feedback },
        Kind { name: "stop circuit bridged", owed: Owed::All, places: stop_bridged },
        Kind { name: "stop circuit that closes", owed: Owed::All, places: stop_inverted },
    ]
}

fn text(text: impl Into<String>) -> Value {
    Value::String(text.into())
}

fn map(entries: &[(&str, Value)]) -> Value {
    Value::Mapping(entries.iter().map(|(key, value)| (text(*key), value.clone())).collect::<Mapping>())
}

/// The device of a pin, from `device.port.pin`.
fn device(pin: &Item) -> String {
    place(&pin.label).0
}

/// A pin as elements of its device name it: `port.pin`.
fn inside(pin: &Item) -> String {
    place(&pin.label).1
}

/// Devices with a port that is an inlet.
fn inlets(design: &Netlist) -> Vec<String> {
    ports(design).into_iter().filter(|port| port.says(design, "inlet").is_some()).map(|port| port.owner).collect()
}

/// Pins of one role, of inlets or of all other boxes.
fn of_role(design: &Netlist, role: &str, of_inlet: bool) -> Vec<Item> {
    let inlets = inlets(design);
    let is_wanted = |pin: &Item| {
        pin.says(design, "role").as_deref() == Some(role) && inlets.contains(&device(pin)) == of_inlet && !inlets.is_empty()
    };
    pins(design).into_iter().filter(is_wanted).collect()
}

/// Pins that say this of that: `saying(design, "inhibits", "drive")`.
fn saying(design: &Netlist, key: &str, what: &str) -> Vec<Item> {
    pins(design).into_iter().filter(|pin| pin.says(design, key).as_deref() == Some(what)).collect()
}

/// The wires at a pin, by what is at their ends.
pub fn wires_at(design: &Netlist, pin: &str) -> Vec<Item> {
    let is_at = |wire: &Item, side: &str| {
        let Some(text) = wire.says(design, side) else { return false };
        let (end, cavity) = place(&text);
        let meets = |key: &str| design.text(&way(&["looms", &wire.owner, "ends", &end, key]));
        meets("mates").is_some_and(|port| format!("{port}.{cavity}") == pin)
            || meets("lands-on").is_some_and(|point| point == pin)
    };
    wires(design).into_iter().filter(|wire| is_at(wire, "from") || is_at(wire, "to")).collect()
}

/// Each pin with all its wires left out.
fn cut(design: &Netlist, pins: Vec<Item>) -> Vec<Slip> {
    let slip = |pin: Item| {
        let edits: Vec<Edit> = wires_at(design, &pin.label).into_iter().map(|wire| Edit::Remove(wire.way)).collect();
        (!edits.is_empty()).then(|| Slip::with(&pin.label, edits))
    };
    pins.into_iter().filter_map(slip).collect()
}

fn inhibit_cut(design: &Netlist) -> Vec<Slip> {
    cut(design, saying(design, "inhibits", "drive"))
}

fn not_stated(design: &Netlist) -> Vec<Slip> {
    let slip = |pin: Item| Slip::with(&pin.label, vec![Edit::Remove(pin.key("inhibits"))]).naming(["charging/drives-on-charge"]);
    saying(design, "inhibits", "drive").into_iter().map(slip).collect()
}

fn earth_left_out(design: &Netlist) -> Vec<Slip> {
    cut(design, of_role(design, "earth", true))
}

/// The wire of the earth ends at a fuse in its loom, from which another one goes on.
fn earth_fused(design: &Netlist) -> Vec<Slip> {
    let slip = |pin: Item| {
        let wire = wires_at(design, &pin.label).into_iter().next()?;
        let fuse = elements(design, "fuse").into_iter().find_map(|fuse| fuse.says(design, "fuse"))?;
        let looms = |key: &str| way(&["looms", &wire.owner, key]);
        let rest = map(&[
            ("from", text("earth-fuse.2")),
            ("to", text(wire.says(design, "to")?)),
            ("size", text("4 mm2")),
            ("colour", text("GNYE")),
            ("length", text("100 mm")),
        ]);
        let edits = vec![
            Edit::Set(wire.key("to"), text("earth-fuse.1")),
            Edit::Set([looms("wires"), vec!["behind-fuse".to_owned()]].concat(), rest),
            Edit::Set(looms("inside"), map(&[("earth-fuse", map(&[("fuse", text(fuse))]))])),
        ];
        design.at(&looms("inside")).is_none().then(|| Slip::with(&pin.label, edits).naming(["earth-fuse"]))
    };
    of_role(design, "earth", true).into_iter().filter_map(slip).collect()
}

/// The grounds of the boxes that read a control pilot.
fn return_cut(design: &Netlist) -> Vec<Slip> {
    let readers: Vec<String> = of_role(design, "control pilot", false).iter().map(device).collect();
    let returns = pins(design)
        .into_iter()
        .filter(|pin| readers.contains(&device(pin)) && pin.says(design, "role").as_deref() == Some("return"));
    cut(design, returns.collect())
}

/// Diodes at the control pilot of boxes that read it.
fn diodes(design: &Netlist) -> Vec<(Item, Item)> {
    let readers = of_role(design, "control pilot", false);
    let at =
        |diode: &Item| readers.iter().find(|pin| device(pin) == diode.owner && diode.says(design, "from") == Some(inside(pin)));
    elements(design, "diode").into_iter().filter_map(|diode| Some((diode.clone(), at(&diode)?.clone()))).collect()
}

fn diode_turned(design: &Netlist) -> Vec<Slip> {
    let slip = |(diode, _): (Item, Item)| {
        let (from, to) = (diode.says(design, "from")?, diode.says(design, "to")?);
        let edits = vec![Edit::Set(diode.key("from"), text(to)), Edit::Set(diode.key("to"), text(from))];
        Some(Slip::with(&diode.label, edits))
    };
    diodes(design).into_iter().filter_map(slip).collect()
}

fn diode_linked(design: &Netlist) -> Vec<Slip> {
    let slip = |(diode, _): (Item, Item)| {
        let points = vec![text(diode.says(design, "from")?), text(diode.says(design, "to")?)];
        let link = map(&[("link", Value::Sequence(points))]);
        Some(Slip::with(&diode.label, vec![Edit::Set(diode.way.clone(), link)]).naming(["charging/pilot"]))
    };
    diodes(design).into_iter().filter_map(slip).collect()
}

/// The resistor behind the diode that is there in all states.
fn pilot_resistor(design: &Netlist) -> Vec<Slip> {
    let behind: Vec<(String, Option<String>)> =
        diodes(design).into_iter().map(|(diode, _)| (diode.owner.clone(), diode.says(design, "to"))).collect();
    let is_behind = |resistor: &Item| behind.contains(&(resistor.owner.clone(), resistor.says(design, "from")));
    let resistors = elements(design, "resistor").into_iter().filter(is_behind);
    resistors.map(|resistor| Slip::set(&resistor.label, resistor.key("resistor"), "27 kohm")).collect()
}

fn plug_resistor(design: &Netlist) -> Vec<Slip> {
    let inlets = inlets(design);
    let resistors = elements(design, "resistor").into_iter().filter(|resistor| inlets.contains(&resistor.owner));
    resistors.map(|resistor| Slip::set(&resistor.label, resistor.key("resistor"), "820 ohm")).collect()
}

/// From the proximity contact of a controller to one of its returns.
fn misplaced_resistor(design: &Netlist) -> Vec<Slip> {
    let slip = |pin: Item| {
        let owner = device(&pin);
        let is_return = |other: &Item| device(other) == owner && other.says(design, "role").as_deref() == Some("return");
        let back = pins(design).into_iter().find(is_return)?;
        let resistor = map(&[("resistor", text("220 ohm")), ("from", text(inside(&pin))), ("to", text(inside(&back)))]);
        let edits = vec![Edit::Set(way(&["devices", &owner, "inside", "misplaced"]), resistor)];
        Some(Slip::with(&pin.label, edits).naming([format!("{owner}.misplaced")]))
    };
    of_role(design, "proximity", false).into_iter().filter_map(slip).collect()
}

/// A box of its own that reads the contact too, joined by a wire to the cavity of the inlet.
fn second_reader(design: &Netlist) -> Vec<Slip> {
    let slip = |pin: Item| {
        let wire = wires_at(design, &pin.label).into_iter().next()?;
        let housing = [("family", text("second")), ("positions", Value::Number(1.into())), ("contacts", text("pin"))];
        let other = [("family", text("second")), ("positions", Value::Number(1.into())), ("contacts", text("socket"))];
        let pins = map(&[("1", map(&[("signal", text("proximity")), ("role", text("proximity"))]))]);
        let ports = map(&[("J", map(&[("housing", text("SECOND-P")), ("pins", pins)]))]);
        let loom = &wire.owner;
        let new = map(&[
            ("from", text(wire.says(design, "from")?)),
            ("to", text("SECOND.1")),
            ("size", text("0.5 mm2")),
            ("length", text("1 m")),
        ]);
        let edits = vec![
            Edit::Set(way(&["parts", "housings", "SECOND-P"]), map(&housing)),
            Edit::Set(way(&["parts", "housings", "SECOND-S"]), map(&other)),
            Edit::Set(way(&["devices", "second"]), map(&[("ports", ports)])),
            Edit::Set(
                way(&["looms", loom, "ends", "SECOND"]),
                map(&[("housing", text("SECOND-S")), ("mates", text("second.J"))]),
            ),
            Edit::Set(way(&["looms", loom, "wires", "second"]), new),
        ];
        Some(Slip::with(&pin.label, edits).naming(["second.J"]))
    };
    of_role(design, "proximity", true).into_iter().filter_map(slip).collect()
}

/// Pins of locks that report.
fn feedback(design: &Netlist) -> Vec<Item> {
    let named: Vec<String> = ports(design)
        .into_iter()
        .flat_map(|port| {
            let list = [port.key("lock"), vec!["feedback".to_owned()]].concat();
            let names = design.names(&list);
            let item = move |at: String| Some(format!("{}.{}", port.owner, design.text(&[list.clone(), vec![at]].concat())?));
            names.into_iter().filter_map(item).collect::<Vec<_>>()
        })
        .collect();
    pins(design).into_iter().filter(|pin| named.contains(&pin.label)).collect()
}

fn feedback_cut(design: &Netlist) -> Vec<Slip> {
    cut(design, feedback(design))
}

fn without_feedback(design: &Netlist) -> Vec<Slip> {
    let locked = ports(design).into_iter().filter(|port| design.at(&port.key("lock")).is_some());
    let slip = |port: Item| Slip::with(&port.label, vec![Edit::Remove([port.key("lock"), vec!["feedback".to_owned()]].concat())]);
    locked.map(slip).collect()
}

/// Switches at pins that inhibit the charge, with the pin.
fn stops(design: &Netlist) -> Vec<(Item, Item)> {
    let mut found = Vec::new();
    for pin in saying(design, "inhibits", "charge") {
        for wire in wires_at(design, &pin.label) {
            let others = pins(design).into_iter().filter(|other| device(other) != device(&pin));
            for other in others.filter(|other| wires_at(design, &other.label).iter().any(|at| at.label == wire.label)) {
                let is_there = |switch: &Item| {
                    switch.owner == device(&other)
                        && ["from", "to"].iter().any(|side| switch.says(design, side) == Some(inside(&other)))
                };
                found.extend(elements(design, "switch").into_iter().filter(is_there).map(|switch| (switch, pin.clone())));
            }
        }
    }
    found
}

fn stop_bridged(design: &Netlist) -> Vec<Slip> {
    let slip = |(switch, pin): (Item, Item)| {
        let points = vec![text(switch.says(design, "from")?), text(switch.says(design, "to")?)];
        let link = map(&[("link", Value::Sequence(points))]);
        let edits = vec![Edit::Set(way(&["devices", &switch.owner, "inside", "bridge"]), link)];
        Some(Slip::with(&switch.label, edits).naming([pin.label]))
    };
    stops(design).into_iter().filter_map(slip).collect()
}

/// A switch that closes to stop the charge, and a pin that takes it so.
fn stop_inverted(design: &Netlist) -> Vec<Slip> {
    let slip = |(switch, pin): (Item, Item)| {
        let modes = design.at(&switch.key("open-in"))?.clone();
        let edits = vec![
            Edit::Set(switch.key("switch"), text("open")),
            Edit::Remove(switch.key("open-in")),
            Edit::Set(switch.key("closed-in"), modes),
            Edit::Set(pin.key("active"), text("low")),
        ];
        Some(Slip::with(&switch.label, edits).naming([pin.label]))
    };
    stops(design).into_iter().filter_map(slip).collect()
}
