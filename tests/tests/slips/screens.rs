//! Slips with screens and the returns of sensors: a drain left out, joined at both ends, put to a signal; a return on the chassis.

use super::{
    items::{Item, ends, place, wires},
    netlist::{Netlist, way},
    slip::{Edit, Kind, Owed, Slip},
};
use serde_yaml::Value;

/// The kinds of slips with screens.
pub fn kinds() -> Vec<Kind> {
    vec![
        Kind { name: "drain left out", owed: Owed::All, places: left_out },
        Kind { name: "one end of a screen of class B left out", owed: Owed::All, places: one_end },
        Kind { name: "screen joined at both ends", owed: Owed::All, places: both_ends },
        Kind { name: "screen at a signal", owed: Owed::All, places: at_a_signal },
        Kind { name: "sensor return to the chassis", owed: Owed::Somewhere(100, "none may be quiet"), places: to_chassis },
    ]
}

/// Cables whose screen has one end, with the cores of each.
fn screened(design: &Netlist) -> Vec<(Item, Vec<Item>)> {
    cables(design, 1)
}

/// Cables whose screen has two ends are those of class B in a sound design.
fn one_end(design: &Netlist) -> Vec<Slip> {
    let ends = |cable: &Item| ["from", "to"].map(|end| [cable.key("screen"), vec![end.to_owned()]].concat());
    let slips = |(cable, _): (Item, Vec<Item>)| ends(&cable).map(|end| Slip::with(&cable.label, vec![Edit::Remove(end)]));
    cables(design, 2).into_iter().flat_map(slips).collect()
}

/// Cables whose screen has so many ends, with the cores of each.
fn cables(design: &Netlist, many: usize) -> Vec<(Item, Vec<Item>)> {
    let mut found = Vec::new();
    for loom in design.names(&way(&["looms"])) {
        for name in design.names(&way(&["looms", &loom, "cables"])) {
            let own = way(&["looms", &loom, "cables", &name]);
            let cable = Item { owner: loom.clone(), label: format!("{loom}.{name}"), name: name.clone(), way: own };
            let ends = design.names(&cable.key("screen"));
            let is_core =
                |wire: &Item| wire.owner == loom && wire.says(design, "core").is_some_and(|core| place(&core).0 == name);
            if ends.iter().filter(|end| ["from", "to"].contains(&end.as_str())).count() == many {
                found.push((cable, wires(design).into_iter().filter(is_core).collect()));
            }
        }
    }
    found
}

fn left_out(design: &Netlist) -> Vec<Slip> {
    screened(design).into_iter().map(|(cable, _)| Slip::with(&cable.label, vec![Edit::Remove(cable.key("screen"))])).collect()
}

/// The far ends of the cores, as seen from where the screen is.
fn far_ends(design: &Netlist, cable: &Item, cores: &[Item]) -> Vec<String> {
    let own = design.text(&[cable.key("screen"), vec!["from".to_owned()]].concat()).unwrap_or_default();
    let near = place(&own).0;
    let ends = cores.iter().flat_map(|core| [core.says(design, "from"), core.says(design, "to")]).flatten();
    ends.filter(|end| place(end).0 != near).collect()
}

fn both_ends(design: &Netlist) -> Vec<Slip> {
    let slips = |(cable, cores): (Item, Vec<Item>)| {
        let to = [cable.key("screen"), vec!["to".to_owned()]].concat();
        let ends = far_ends(design, &cable, &cores);
        ends.into_iter().map(move |end| Slip::set(&cable.label, to.clone(), end)).collect::<Vec<_>>()
    };
    screened(design).into_iter().flat_map(slips).collect()
}

/// The screen in the place of a core that has a signal: where the device has an input, an output or a supply.
fn at_a_signal(design: &Netlist) -> Vec<Slip> {
    let mut slips = Vec::new();
    for (cable, cores) in screened(design) {
        for end in far_ends(design, &cable, &cores) {
            let role = role_at(design, &cable.owner, &end);
            if ["input", "output", "supply", "sensor supply"].contains(&role.as_str()) {
                let mut screen = serde_yaml::Mapping::new();
                screen.insert(Value::String("to".to_owned()), Value::String(end));
                slips.push(Slip::with(&cable.label, vec![Edit::Set(cable.key("screen"), Value::Mapping(screen))]));
            }
        }
    }
    slips
}

/// The role of the pin that a cavity meets; empty where nothing is said.
fn role_at(design: &Netlist, loom: &str, cavity: &str) -> String {
    let (own, label) = place(cavity);
    let mate = design.text(&way(&["looms", loom, "ends", &own, "mates"])).unwrap_or_default();
    let (device, port) = place(&mate);
    design.text(&way(&["devices", &device, "ports", &port, "pins", &label, "role"])).unwrap_or_default()
}

/// The wire of a sensor's return led to a ring on the chassis that is in its loom.
fn to_chassis(design: &Netlist) -> Vec<Slip> {
    let is_chassis = |end: &Item| {
        let device = end.says(design, "bolts-to").map(|stud| place(&stud).0).unwrap_or_default();
        design.text(&way(&["devices", &device, "chassis"])).as_deref() == Some("true")
    };
    let rings: Vec<Item> = ends(design).into_iter().filter(is_chassis).collect();
    let mut slips = Vec::new();
    for wire in wires(design) {
        for key in ["from", "to"] {
            let Some(ring) = rings.iter().find(|ring| ring.owner == wire.owner) else { continue };
            if wire.says(design, key).is_some_and(|end| role_at(design, &wire.owner, &end) == "sensor return") {
                slips.push(Slip::set(&wire.label, wire.key(key), ring.name.clone()).naming([&ring.label]));
            }
        }
    }
    slips
}
