//! Slips with kinds of parts and with how connectors mate: a family, a key, a ring, a data sheet.

use super::{
    items::{Item, ends, parts, times},
    netlist::{Netlist, way},
    slip::{Edit, Kind, Owed, Slip},
};
use serde_yaml::{Mapping, Value};

/// The kinds of slips with parts and mates.
pub fn kinds() -> Vec<Kind> {
    vec![
        Kind {
            name: "housing of another family",
            owed: Owed::All,
            places: |design| housing(design, "family", |_| Some("other".to_owned())),
        },
        Kind {
            name: "housing with another key",
            owed: Owed::All,
            places: |design| housing(design, "key", |_| Some("ZZ".to_owned())),
        },
        Kind { name: "pins for sockets", owed: Owed::All, places: |design| housing(design, "contacts", other_contacts) },
        Kind { name: "housing of fewer positions", owed: Owed::All, places: |design| housing(design, "positions", fewer) },
        Kind {
            name: "contacts for a twentieth of the current",
            owed: Owed::Share(75, "contacts of signals carry less than a twentieth of their rating"),
            places: |design| housing(design, "current", |figure| Some(times(figure, 0.05))),
        },
        Kind {
            name: "housing for a tenth of the voltage",
            owed: Owed::All,
            places: |design| housing(design, "voltage", |figure| Some(times(figure, 0.1))),
        },
        Kind { name: "housing that is not sealed", owed: Owed::All, places: unsealed },
        Kind { name: "plugged on the neighbour's port", owed: Owed::All, places: mates_swapped },
        Kind { name: "plugged nowhere", owed: Owed::All, places: |design| without(design, "mates") },
        Kind { name: "bolted nowhere", owed: Owed::All, places: |design| without(design, "bolts-to") },
        Kind { name: "ring of another size", owed: Owed::All, places: ring },
        Kind { name: "wire kind for 45 degC", owed: Owed::All, places: |design| conductor(design, "rated", "45 degC") },
        Kind { name: "wire kind for a few volts", owed: Owed::All, places: |design| conductor(design, "voltage", "6 V") },
        Kind { name: "key of a wire misspelt", owed: Owed::All, places: key_misspelt },
        Kind {
            name: "unit forgotten",
            owed: Owed::All,
            places: |design| written(design, |size| size.split(' ').next().unwrap_or_default().to_owned()),
        },
        Kind {
            name: "unit of another quantity",
            owed: Owed::All,
            places: |design| written(design, |size| size.replace("mm2", "A")),
        },
    ]
}

/// One end of a loom with a housing of its own kind, in which one fact is another.
fn housing(design: &Netlist, key: &str, other: fn(&str) -> Option<String>) -> Vec<Slip> {
    let mut slips = Vec::new();
    for end in ends(design) {
        let Some(kind) = end.says(design, "housing") else { continue };
        let Some(Value::Mapping(facts)) = design.at(&way(&["parts", "housings", &kind])) else { continue };
        let Some(figure) = design.text(&way(&["parts", "housings", &kind, key])) else { continue };
        let Some(value) = other(&figure) else { continue };
        let value = match value.as_str() {
            "false" => Value::Bool(false),
            number if number.parse::<u64>().is_ok() => Value::Number(number.parse::<u64>().expect("a number").into()),
            text => Value::String(text.to_owned()),
        };
        let mut facts: Mapping = facts.clone();
        facts.insert(Value::String(key.to_owned()), value);
        let name = format!("{kind}-slipped");
        let edits = vec![
            Edit::Set(way(&["parts", "housings", &name]), Value::Mapping(facts)),
            Edit::Set(end.key("housing"), Value::String(name.clone())),
        ];
        slips.push(Slip::with(&end.label, edits).naming([name, end.says(design, "mates").unwrap_or_default()]));
    }
    slips
}

/// Ends in wet zones in a housing that keeps no water out.
fn unsealed(design: &Netlist) -> Vec<Slip> {
    let is_wet =
        |zone: Option<String>| zone.is_some_and(|zone| design.text(&way(&["zones", &zone, "wet"])).as_deref() == Some("true"));
    let of_loom = |loom: &str| design.text(&way(&["looms", loom, "zone"]));
    let all = ends(design);
    let wet = all.into_iter().filter(|end| is_wet(end.says(design, "zone").or_else(|| of_loom(&end.owner))));
    let wet: Vec<String> = wet.map(|end| end.label).collect();
    let slips = housing(design, "sealed", |sealed| (sealed == "true").then(|| "false".to_owned()));
    slips.into_iter().filter(|slip| wet.contains(&slip.place)).collect()
}

fn other_contacts(contacts: &str) -> Option<String> {
    Some(if contacts == "pin" { "socket" } else { "pin" }.to_owned())
}

fn fewer(positions: &str) -> Option<String> {
    let count: u64 = positions.parse().ok()?;
    (count > 1).then(|| (count - 1).to_string())
}

fn mates_swapped(design: &Netlist) -> Vec<Slip> {
    let mut slips = Vec::new();
    let plugs: Vec<Item> = ends(design).into_iter().filter(|end| end.says(design, "mates").is_some()).collect();
    for pair in plugs.windows(2) {
        let [one, other] = pair else { continue };
        let (mine, its) = (one.says(design, "mates").unwrap_or_default(), other.says(design, "mates").unwrap_or_default());
        if are_one_cable(design, one, other) {
            continue;
        }
        let edits = vec![
            Edit::Set(one.key("mates"), Value::String(its.clone())),
            Edit::Set(other.key("mates"), Value::String(mine.clone())),
        ];
        let slip = Slip::with(format!("{} and {}", one.label, other.label), edits);
        slips.push(slip.naming([one.label.clone(), other.label.clone(), mine, its]));
    }
    slips
}

fn without(design: &Netlist, key: &str) -> Vec<Slip> {
    let all = ends(design);
    // Of two halves that name each other one says it in place of the other.
    let is_named_back = |end: &&Item| all.iter().any(|other| other.says(design, key).is_some_and(|mate| mate == end.label));
    let given: Vec<Item> = all.iter().filter(|end| end.says(design, key).is_some() && !is_named_back(end)).cloned().collect();
    let slip = |end: Item| {
        let mate = end.says(design, key).unwrap_or_default();
        Slip::with(&end.label, vec![Edit::Remove(end.key(key))]).naming([mate])
    };
    given.into_iter().map(slip).collect()
}

/// A cable with two equal plugs and straight wires: turned round, it is the same.
fn are_one_cable(design: &Netlist, one: &Item, other: &Item) -> bool {
    let at = |wire: &Item, side: &str| super::items::place(&wire.says(design, side).unwrap_or_default());
    let of = |end: &Item| -> Vec<Item> {
        let all = super::items::wires(design).into_iter().filter(|wire| wire.owner == end.owner);
        all.filter(|wire| ["from", "to"].iter().any(|side| at(wire, side).0 == end.name)).collect()
    };
    let straight = |wire: &Item| {
        let (from, to) = (at(wire, "from"), at(wire, "to"));
        from.1 == to.1 && [&from.0, &to.0].iter().all(|end| **end == one.name || **end == other.name)
    };
    one.says(design, "housing") == other.says(design, "housing") && [one, other].iter().all(|end| of(end).iter().all(straight))
}

fn ring(design: &Netlist) -> Vec<Slip> {
    let given = ends(design).into_iter().filter(|end| end.says(design, "ring").is_some());
    given.map(|end| Slip::set(&end.label, end.key("ring"), "M12")).collect()
}

fn conductor(design: &Netlist, key: &str, value: &str) -> Vec<Slip> {
    // The kinds of single wires that one of its own or its loom names.
    let named: Vec<String> = (super::items::wires(design).iter())
        .filter(|wire| wire.says(design, "core").is_none())
        .filter_map(|wire| wire.says(design, "wire").or_else(|| design.text(&way(&["looms", &wire.owner, "wire"]))))
        .collect();
    let given = parts(design, "conductors").into_iter();
    let given = given.filter(|kind| kind.says(design, key).is_some() && named.contains(&kind.name));
    given.map(|kind| Slip::set(&kind.label, kind.key(key), value).naming([value])).collect()
}

fn key_misspelt(design: &Netlist) -> Vec<Slip> {
    let wires = super::items::wires(design).into_iter().filter(|wire| wire.says(design, "size").is_some());
    let slip = |wire: Item| Slip::with(&wire.label, vec![Edit::Rename(wire.key("size"), "sise".to_owned())]).naming(["sise"]);
    wires.map(slip).collect()
}

fn written(design: &Netlist, other: fn(&str) -> String) -> Vec<Slip> {
    let slip = |wire: Item| {
        let size = wire.says(design, "size")?;
        let value = other(&size);
        // A gauge has no unit.
        size.ends_with("mm2").then_some(())?;
        Some(Slip::set(&wire.label, wire.key("size"), &value).naming([value]))
    };
    super::items::wires(design).into_iter().filter_map(slip).collect()
}
