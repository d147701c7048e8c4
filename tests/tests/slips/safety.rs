//! Slips with interlock loops and precharge: a jumper that was left in, a wire that bridges a section, a loop that is cut, a precharge that is
//! too short.

use super::{
    items::{Item, elements, ends, place, times, top, wires},
    netlist::{Netlist, way},
    slip::{Edit, Kind, Owed, Slip},
};
use serde_yaml::{Mapping, Value};

/// The kinds of slips with what makes high voltage safe.
pub fn kinds() -> Vec<Kind> {
    vec![
        Kind { name: "jumper fitted across an interlock bridge", owed: Owed::All, places: jumpers },
        Kind { name: "loop wire bridged", owed: Owed::All, places: bridged },
        Kind { name: "loop wire cut", owed: Owed::All, places: cut },
        Kind { name: "precharge shortened", owed: Owed::All, places: shortened },
        Kind { name: "discharge of a capacitor left out", owed: Owed::All, places: without_discharge },
        Kind {
            name: "contactor left out, a bar in its place",
            owed: Owed::Somewhere(100, "none may be quiet"),
            places: without_contactor,
        },
    ]
}

fn text(text: &str) -> Value {
    Value::String(text.to_owned())
}

fn map(entries: &[(&str, Value)]) -> Value {
    Value::Mapping(entries.iter().map(|(key, value)| (text(key), value.clone())).collect::<Mapping>())
}

/// A link beside each bridge.
fn jumpers(design: &Netlist) -> Vec<Slip> {
    let slip = |bridge: Item| {
        let points: Vec<Value> = bridge.list(design, "interlock").iter().map(|point| text(point)).collect();
        let mut place = bridge.way.clone();
        place.pop();
        place.push("left-in-jumper".to_owned());
        let edits = vec![Edit::Set(place, map(&[("link", Value::Sequence(points))]))];
        Slip::with(&bridge.label, edits).naming([format!("{}.left-in-jumper", bridge.owner)])
    };
    elements(design, "interlock").into_iter().map(slip).collect()
}

/// The wires of interlock loops: those that end at a pin with an interlock bridge at both ends.
fn loop_wires(design: &Netlist) -> Vec<Item> {
    let pins: Vec<String> = elements(design, "interlock")
        .iter()
        .flat_map(|bridge| bridge.list(design, "interlock").into_iter().map(|point| format!("{}.{point}", bridge.owner)))
        .collect();
    let at_bridge = |wire: &Item, side: &str| {
        let Some(text) = wire.says(design, side) else { return false };
        let (end, cavity) = place(&text);
        let end = ends(design).into_iter().find(|item| item.owner == wire.owner && item.name == end);
        let port = end.and_then(|end| end.says(design, "mates"));
        port.is_some_and(|port| pins.contains(&format!("{port}.{cavity}")))
    };
    wires(design).into_iter().filter(|wire| at_bridge(wire, "from") && at_bridge(wire, "to")).collect()
}

/// A wire from the beginning of one loop wire to the end of the next: past the plug between them.
fn bridged(design: &Netlist) -> Vec<Slip> {
    let wires = loop_wires(design);
    let pairs = wires.iter().flat_map(|one| wires.iter().map(move |other| (one, other)));
    let slips = pairs.filter_map(|(one, other)| {
        let (from, via) = (one.says(design, "from")?, one.says(design, "to")?);
        let (next, to) = (other.says(design, "from")?, other.says(design, "to")?);
        if one.owner != other.owner || one.label == other.label || place(&via).0 != place(&next).0 {
            return None;
        }
        let label = format!("{}.bridge", one.owner);
        let wire = map(&[
            ("from", text(&from)),
            ("to", text(&to)),
            ("size", text("0.5 mm2")),
            ("colour", text("VT")),
            ("length", text("500 mm")),
        ]);
        let edits = vec![Edit::Set(way(&["looms", &one.owner, "wires", "bridge"]), wire)];
        Some(Slip::with(format!("{} to {}", one.label, other.label), edits).naming([label]))
    });
    slips.collect()
}

fn cut(design: &Netlist) -> Vec<Slip> {
    let slip = |wire: Item| {
        let ends_at = ["from", "to"].iter().filter_map(|side| wire.says(design, side)).map(|text| place(&text));
        let ports = ends_at.filter_map(|(end, cavity)| {
            let end = ends(design).into_iter().find(|item| item.owner == wire.owner && item.name == end)?;
            Some(format!("{}.{cavity}", end.says(design, "mates")?))
        });
        let names: Vec<String> = ports.collect();
        Slip::with(&wire.label, vec![Edit::Remove(wire.way.clone())]).naming(names)
    };
    loop_wires(design).into_iter().map(slip).collect()
}

/// A fiftieth of the time that the precharge has.
fn shortened(design: &Netlist) -> Vec<Slip> {
    let modes =
        top(design, "modes").into_iter().filter_map(|mode| Some((mode.clone(), mode.key("lasts"), mode.says(design, "lasts")?)));
    let relays = elements(design, "relay")
        .into_iter()
        .filter_map(|relay| Some((relay.clone(), relay.key("closing-delay"), relay.says(design, "closing-delay")?)));
    modes.chain(relays).map(|(item, key, time)| Slip::set(&item.label, key, times(&time, 0.02))).collect()
}

/// Resistors between the same two points as a capacitor that nothing else empties, left out.
fn without_discharge(design: &Netlist) -> Vec<Slip> {
    let ends = |item: &Item| {
        let mut ends = ["from", "to"].map(|side| item.says(design, side).unwrap_or_default());
        ends.sort();
        ends
    };
    let is_alone = |capacitor: &Item| capacitor.says(design, "discharged-in").is_none();
    let capacitors: Vec<Item> = elements(design, "capacitor").into_iter().filter(is_alone).collect();
    let slips = elements(design, "resistor").into_iter().filter_map(|resistor| {
        let beside = |one: &&Item| one.owner == resistor.owner && ends(one) == ends(&resistor);
        let capacitor = capacitors.iter().find(beside)?;
        Some(Slip::with(&resistor.label, vec![Edit::Remove(resistor.way.clone())]).naming([capacitor.label.clone()]))
    });
    slips.collect()
}

/// Relays whose contact is made for voltage class B, with a bar in the place of the contact.
fn without_contactor(design: &Netlist) -> Vec<Slip> {
    let is_high = |relay: &Item| {
        let volts = relay.says(design, "voltage").and_then(|text| text.split_whitespace().next()?.parse::<f64>().ok());
        volts.is_some_and(|volts| volts > 120.0) && !relay.says(design, "voltage").is_some_and(|text| text.contains("AC"))
    };
    let slip = |relay: Item| {
        let points: Vec<Value> = relay.list(design, "contact").iter().map(|point| text(point)).collect();
        Slip::with(&relay.label, vec![Edit::Set(relay.way.clone(), map(&[("link", Value::Sequence(points))]))])
    };
    elements(design, "relay").into_iter().filter(is_high).map(slip).collect()
}
