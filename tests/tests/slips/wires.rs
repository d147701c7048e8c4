//! Slips with wires: a neighbouring cavity, two wires swapped, a size, a length, a splice.

use super::{
    items::{Item, ends, figure, place, positions, times, wires},
    netlist::{Netlist, way},
    slip::{Edit, Kind, Owed, Slip},
};
use serde_yaml::Value;

/// The kinds of slips with wires.
pub fn kinds() -> Vec<Kind> {
    vec![
        Kind { name: "wire in the free cavity beside its own", owed: Owed::All, places: in_a_free_cavity },
        Kind { name: "wire in the cavity of its neighbour, as a second one", owed: Owed::All, places: in_a_full_cavity },
        Kind { name: "two wires swapped in one connector", owed: Owed::All, places: swapped_in_a_connector },
        Kind { name: "wire left out", owed: Owed::Somewhere(100, "none may be quiet"), places: left_out },
        Kind {
            name: "size halved",
            owed: Owed::Share(
                40,
                "half of it still carries its load and its fuse, as `oracle/recompute/sizes` shows for the demo",
            ),
            places: halved,
        },
        Kind {
            name: "size a tenth",
            owed: Owed::Share(90, "the leads of a starter carry their current for seconds"),
            places: a_tenth,
        },
        Kind { name: "size not given", owed: Owed::Note(100, "none may be quiet"), places: |design| without(design, "size") },
        Kind {
            name: "length not given",
            owed: Owed::Note(90, "nothing flows in a bus wire, and no check asks for its length"),
            places: |design| without(design, "length"),
        },
        Kind {
            name: "fifty times as long",
            owed: Owed::Share(
                45,
                "signals and returns of sensors lose nothing, and thick leads are short: the drop stays within its limit",
            ),
            places: too_long,
        },
        Kind { name: "wire on the wrong splice", owed: Owed::All, places: on_another_splice },
        Kind { name: "two splices made one", owed: Owed::Somewhere(100, "none may be quiet"), places: splices_joined },
        Kind { name: "wire's end misspelt", owed: Owed::All, places: misspelt },
        Kind { name: "live wire in the colours of earth", owed: Owed::All, places: in_earth_colours },
        Kind { name: "two rings swapped between studs", owed: Owed::Somewhere(100, "none may be quiet"), places: rings_swapped },
    ]
}

fn connectors(design: &Netlist) -> Vec<Item> {
    ends(design).into_iter().filter(|end| end.says(design, "housing").is_some()).collect()
}

/// Every end of a wire: the wire, which end, what it says.
fn wire_ends(design: &Netlist) -> Vec<(Item, &'static str, String)> {
    let mut all = Vec::new();
    for wire in wires(design) {
        for side in ["from", "to"] {
            if let Some(text) = wire.says(design, side) {
                all.push((wire.clone(), side, text));
            }
        }
    }
    all
}

/// The wires' ends in a connector, in the order of its cavities.
fn filled(design: &Netlist, end: &Item) -> Vec<(Item, &'static str, String)> {
    let housing = end.says(design, "housing").unwrap_or_default();
    let order = positions(design, &housing);
    let mut here: Vec<_> =
        wire_ends(design).into_iter().filter(|(wire, _, text)| wire.owner == end.owner && place(text).0 == end.name).collect();
    here.sort_by_key(|(_, _, text)| order.iter().position(|label| *label == place(text).1));
    here
}

fn mate(design: &Netlist, end: &Item) -> String {
    end.says(design, "mates").unwrap_or_default()
}

/// What the pin behind a cavity is: its signal with its role; empty where no device says it.
fn behind(design: &Netlist, end: &Item, cavity: &str) -> String {
    let mate = mate(design, end);
    let Some((device, port)) = mate.split_once('.') else { return String::new() };
    let pin = |key: &str| {
        let way = ["devices", device, "ports", port, "pins", cavity, key];
        design.text(&way.map(str::to_owned)).unwrap_or_default()
    };
    format!("{} {}", pin("signal"), pin("role")).trim().to_owned()
}

fn in_a_free_cavity(design: &Netlist) -> Vec<Slip> {
    let mut slips = Vec::new();
    for end in connectors(design) {
        let full: Vec<String> = filled(design, &end).into_iter().map(|(_, _, text)| place(&text).1).collect();
        let order = positions(design, &end.says(design, "housing").unwrap_or_default());
        for (wire, side, text) in filled(design, &end) {
            let own = order.iter().position(|label| *label == place(&text).1);
            let free = order.iter().enumerate().filter(|(_, label)| !full.contains(label));
            let Some((_, beside)) = free.min_by_key(|(at, _)| own.map_or(0, |own| at.abs_diff(own))) else { continue };
            let moved = format!("{}.{beside}", end.name);
            slips.push(Slip::set(&wire.label, wire.key(side), moved).naming([end.label.clone(), mate(design, &end)]));
        }
    }
    slips
}

fn in_a_full_cavity(design: &Netlist) -> Vec<Slip> {
    let mut slips = Vec::new();
    for end in connectors(design) {
        let here = filled(design, &end);
        for pair in here.windows(2) {
            let [(wire, side, own), (other, _, beside)] = pair else { continue };
            if own != beside {
                let slip = Slip::set(&wire.label, wire.key(side), beside);
                slips.push(slip.naming([other.label.clone(), end.label.clone(), mate(design, &end)]));
            }
        }
    }
    slips
}

fn swapped_in_a_connector(design: &Netlist) -> Vec<Slip> {
    let mut slips = Vec::new();
    for end in connectors(design) {
        let here = filled(design, &end);
        for pair in here.windows(2) {
            let [(one, side, own), (other, far, beside)] = pair else { continue };
            // Two wires of one signal and role can be swapped without any harm.
            let (mine, its) = (behind(design, &end, &place(own).1), behind(design, &end, &place(beside).1));
            if own == beside || mine == its || mine.is_empty() || its.is_empty() {
                continue;
            }
            let edits = vec![
                Edit::Set(one.key(side), Value::String(beside.clone())),
                Edit::Set(other.key(far), Value::String(own.clone())),
            ];
            let slip = Slip::with(format!("{} and {} in {}", one.label, other.label, end.label), edits);
            slips.push(slip.naming([one.label.clone(), other.label.clone(), end.label.clone(), mate(design, &end)]));
        }
    }
    slips
}

fn left_out(design: &Netlist) -> Vec<Slip> {
    let gone = |wire: Item| {
        let near: Vec<String> = ["from", "to"].iter().filter_map(|side| wire.says(design, side)).collect();
        let ends = near.iter().map(|text| format!("{}.{}", wire.owner, place(text).0));
        let mates = near.iter().filter_map(|text| {
            let end = ends_named(design, &wire.owner, &place(text).0)?;
            ["mates", "bolts-to", "lands-on"].iter().find_map(|key| end.says(design, key))
        });
        Slip::with(&wire.label, vec![Edit::Remove(wire.way.clone())]).naming(ends.chain(mates))
    };
    wires(design).into_iter().map(gone).collect()
}

fn ends_named(design: &Netlist, loom: &str, name: &str) -> Option<Item> {
    ends(design).into_iter().find(|end| end.owner == loom && end.name == name)
}

fn sized(design: &Netlist, factor: f64, least: f64) -> Vec<Slip> {
    let thinner = |wire: Item| {
        let size = wire.says(design, "size").filter(|size| size.ends_with("mm2") && figure(size) >= least)?;
        Some(Slip::set(&wire.label, wire.key("size"), times(&size, factor)))
    };
    wires(design).into_iter().filter_map(thinner).collect()
}

fn halved(design: &Netlist) -> Vec<Slip> {
    sized(design, 0.5, 1.5)
}

fn a_tenth(design: &Netlist) -> Vec<Slip> {
    sized(design, 0.1, 1.5)
}

fn without(design: &Netlist, key: &str) -> Vec<Slip> {
    let given = wires(design).into_iter().filter(|wire| wire.says(design, key).is_some());
    given.map(|wire| Slip::with(&wire.label, vec![Edit::Remove(wire.key(key))])).collect()
}

fn too_long(design: &Netlist) -> Vec<Slip> {
    let longer = |wire: Item| {
        let length = wire.says(design, "length")?;
        Some(Slip::set(&wire.label, wire.key("length"), times(&length, 50.0)))
    };
    wires(design).into_iter().filter_map(longer).collect()
}

/// The splices of each loom.
fn splices(design: &Netlist, loom: &str) -> Vec<String> {
    design.names(&["looms", loom, "splices"].map(str::to_owned))
}

/// The piece of metal that a splice is of, by the wires of its loom: the splices and ends that it is joined to, rings on the metal of the
/// vehicle as one.
fn metal(design: &Netlist, loom: &str, splice: &str) -> std::collections::BTreeSet<String> {
    let own: Vec<[String; 2]> = wires(design)
        .into_iter()
        .filter(|wire| wire.owner == loom)
        .filter_map(|wire| Some([wire.says(design, "from")?, wire.says(design, "to")?]))
        .collect();
    let (mut reached, mut next) = (std::collections::BTreeSet::new(), vec![splice.to_owned()]);
    while let Some(point) = next.pop() {
        let stud = ends_named(design, loom, &point).and_then(|end| end.says(design, "bolts-to"));
        let is_chassis = stud.is_some_and(|stud| {
            design.text(&["devices", &place(&stud).0, "chassis"].map(str::to_owned)).as_deref() == Some("true")
        });
        if reached.insert(if is_chassis { "chassis".to_owned() } else { point.clone() }) {
            let others =
                own.iter().filter_map(|[from, to]| if *from == point { Some(to) } else { (*to == point).then_some(from) });
            next.extend(others.cloned());
        }
    }
    reached
}

/// Two splices that wires or the metal of the vehicle join anyway: which of them a wire is on changes no circuit.
fn are_one_metal(design: &Netlist, loom: &str, one: &str, other: &str) -> bool {
    !metal(design, loom, one).is_disjoint(&metal(design, loom, other))
}

fn on_another_splice(design: &Netlist) -> Vec<Slip> {
    let mut slips = Vec::new();
    for (wire, side, text) in wire_ends(design) {
        let others = splices(design, &wire.owner);
        let is_fault = |other: &&String| **other != text && !are_one_metal(design, &wire.owner, &text, other);
        if let Some(other) = others.iter().find(is_fault).filter(|_| others.contains(&text)) {
            let names = [&text, other].map(|splice| format!("{}.{splice}", wire.owner));
            slips.push(Slip::set(&wire.label, wire.key(side), other).naming(names));
        }
    }
    slips
}

fn splices_joined(design: &Netlist) -> Vec<Slip> {
    let mut slips = Vec::new();
    let looms: std::collections::BTreeSet<String> = wires(design).into_iter().map(|wire| wire.owner).collect();
    for loom in looms {
        for pair in splices(design, &loom).windows(2) {
            let [kept, gone] = pair else { continue };
            let moved: Vec<_> =
                wire_ends(design).into_iter().filter(|(wire, _, text)| wire.owner == loom && text == gone).collect();
            if are_one_metal(design, &loom, kept, gone) {
                continue;
            }
            let names: Vec<String> = moved.iter().map(|(wire, _, _)| wire.label.clone()).collect();
            let mut edits: Vec<Edit> =
                moved.into_iter().map(|(wire, side, _)| Edit::Set(wire.key(side), Value::String(kept.clone()))).collect();
            edits.push(Edit::Remove(["looms", &loom, "splices", gone].map(str::to_owned).to_vec()));
            slips.push(Slip::with(format!("{loom}.{kept}"), edits).naming(names));
        }
    }
    slips
}

fn misspelt(design: &Netlist) -> Vec<Slip> {
    let wrong = |(wire, side, text): (Item, &'static str, String)| {
        let misspelt = format!("Q{text}");
        Slip::set(&wire.label, wire.key(side), &misspelt).naming([place(&misspelt).0])
    };
    wire_ends(design).into_iter().map(wrong).collect()
}

fn in_earth_colours(design: &Netlist) -> Vec<Slip> {
    let is_chassis = |device: &str| design.text(&["devices", device, "chassis"].map(str::to_owned)).is_some();
    // A lead to the metal of the vehicle may be in these colours.
    let is_strap = |wire: &Item| {
        let ends = ["from", "to"].iter().filter_map(|side| ends_named(design, &wire.owner, &place(&wire.says(design, side)?).0));
        ends.filter_map(|end| end.says(design, "bolts-to")).any(|stud| is_chassis(&place(&stud).0))
    };
    let live = wires(design).into_iter().filter(|wire| wire.says(design, "colour").is_some_and(|colour| colour != "GNYE"));
    let live = live.filter(|wire| !is_strap(wire));
    live.map(|wire| Slip::set(&wire.label, wire.key("colour"), "GNYE")).collect()
}

fn rings_swapped(design: &Netlist) -> Vec<Slip> {
    let mut slips = Vec::new();
    let rings: Vec<Item> = ends(design).into_iter().filter(|end| end.says(design, "bolts-to").is_some()).collect();
    for pair in rings.windows(2) {
        let [one, other] = pair else { continue };
        let (mine, its) = (one.says(design, "bolts-to").unwrap_or_default(), other.says(design, "bolts-to").unwrap_or_default());
        if one.says(design, "ring") != other.says(design, "ring")
            || joined(design, &mine, &its)
            || are_one_wire(design, one, other)
            || are_one_screen(design, one, other)
            || are_like_bonds(design, one, other)
        {
            continue;
        }
        let edits = vec![
            Edit::Set(one.key("bolts-to"), Value::String(its.clone())),
            Edit::Set(other.key("bolts-to"), Value::String(mine.clone())),
        ];
        let slip = Slip::with(format!("{} and {}", one.label, other.label), edits);
        slips.push(slip.naming([one.label.clone(), other.label.clone(), mine, its]));
    }
    slips
}

/// Bonds of one size from the earths of two boxes to the metal of the vehicle, or the ends of screens there: each does for the other box what
/// it did for its own.
fn are_like_bonds(design: &Netlist, one: &Item, other: &Item) -> bool {
    let sizes = |ring: &Item| -> Vec<Option<String>> {
        let at = |wire: &Item| ["from", "to"].iter().any(|side| wire.says(design, side).as_ref() == Some(&ring.name));
        let own = wires(design).into_iter().filter(|wire| wire.owner == ring.owner && at(wire));
        own.map(|wire| wire.says(design, "size")).collect()
    };
    let is_bond = |ring: &Item| {
        let (device, port) = place(&ring.says(design, "bolts-to").unwrap_or_default());
        design.text(&["devices", &device, "ports", &port, "role"].map(str::to_owned)).as_deref() == Some("earth")
            && (sizes(ring).is_empty() || metal(design, &ring.owner, &ring.name).contains("chassis"))
    };
    is_bond(one) && is_bond(other) && sizes(one) == sizes(other)
}

/// The two ends of one wire: turned round, it is the same.
pub fn are_one_wire(design: &Netlist, one: &Item, other: &Item) -> bool {
    wires(design).iter().any(|wire| {
        let ends = [wire.says(design, "from"), wire.says(design, "to")];
        wire.owner == one.owner && [one, other].iter().all(|ring| ends.contains(&Some(ring.name.clone())))
    })
}

/// The two ends of one screen, on which nothing else hangs.
fn are_one_screen(design: &Netlist, one: &Item, other: &Item) -> bool {
    let cables = design.names(&way(&["looms", &one.owner, "cables"]));
    let screens: Vec<[Option<String>; 2]> = cables
        .iter()
        .map(|cable| ["from", "to"].map(|side| design.text(&way(&["looms", &one.owner, "cables", cable, "screen", side]))))
        .collect();
    let hang = |ring: &Item| screens.iter().filter(|ends| ends.contains(&Some(ring.name.clone()))).count();
    let is_of_both = screens.iter().any(|ends| [one, other].iter().all(|ring| ends.contains(&Some(ring.name.clone()))));
    let has_wire = |ring: &Item| {
        let ends = |wire: &Item| ["from", "to"].map(|side| wire.says(design, side));
        wires(design).iter().any(|wire| wire.owner == ring.owner && ends(wire).contains(&Some(ring.name.clone())))
    };
    one.owner == other.owner && is_of_both && [one, other].iter().all(|ring| hang(ring) == 1 && !has_wire(ring))
}

/// Two studs of one bar, or two of the vehicle's metal: which ring sits on which changes nothing.
pub fn joined(design: &Netlist, one: &str, other: &str) -> bool {
    let ((device, stud), (another, second)) = (place(one), place(other));
    let says = |stud: &str, key: &str| design.text(&["devices", &device, "ports", stud, key].map(str::to_owned));
    let chassis = design.text(&["devices", &device, "chassis"].map(str::to_owned)).is_some();
    one == other
        || (device == another
            && (chassis || says(&stud, "role") == says(&second, "role") && says(&stud, "signal") == says(&second, "signal")))
}
