//! Slips with things in each other's places, or on the other side of what separates: two networks at one gateway, left and right, a ring
//! before a fuse in place of behind it.

use super::{
    charging::wires_at,
    items::{Item, elements, ends, figure, pins, place, ports, top},
    netlist::{Netlist, Way},
    slip::{Edit, Kind, Owed, Slip},
};
use serde_yaml::Value;

/// The kinds of slips with things moved.
pub fn kinds() -> Vec<Kind> {
    vec![
        Kind { name: "two networks swapped at one node", owed: Owed::All, places: networks_swapped },
        Kind { name: "wires of left and right swapped", owed: Owed::All, places: sides_swapped },
        Kind { name: "plugs of left and right swapped", owed: Owed::All, places: twins_swapped },
        Kind {
            name: "ring on the other side of a fuse or contactor",
            owed: Owed::Somewhere(100, "none may be quiet"),
            places: past_the_fuse,
        },
        Kind {
            name: "element fed from before a fuse or contactor",
            owed: Owed::Somewhere(100, "none may be quiet"),
            places: past_inside,
        },
    ]
}

fn text(text: impl Into<String>) -> Value {
    Value::String(text.into())
}

/// Which end of a wire is at a pin, and what it says.
fn end_at(design: &Netlist, wire: &Item, pin: &str) -> Option<(&'static str, String)> {
    ["from", "to"].into_iter().find_map(|side| {
        let said = wire.says(design, side)?;
        let (end, cavity) = place(&said);
        let end = ends(design).into_iter().find(|item| item.owner == wire.owner && item.name == end)?;
        (format!("{}.{cavity}", end.says(design, "mates")?) == pin).then_some((side, said))
    })
}

/// The edits that put the wires of two pins in each other's places; none where no wire of the same loom is at both.
fn swap_wires(design: &Netlist, one: &str, other: &str) -> Option<Vec<Edit>> {
    let at = |pin: &str| -> Vec<(Item, &'static str, String)> {
        let wires = wires_at(design, pin).into_iter();
        wires.filter_map(|wire| end_at(design, &wire, pin).map(|(side, said)| (wire, side, said))).collect()
    };
    let (mine, its) = (at(one), at(other));
    let (first, second) = (mine.first()?, its.first()?);
    if mine.iter().chain(&its).any(|(wire, ..)| wire.owner != first.0.owner) {
        return None;
    }
    let moved = |from: &[(Item, &'static str, String)], to: &str| -> Vec<Edit> {
        from.iter().map(|(wire, side, _)| Edit::Set(wire.key(side), text(to))).collect()
    };
    Some([moved(&mine, &second.2), moved(&its, &first.2)].concat())
}

/// Pins of one role with a network, by their device.
fn of_network(design: &Netlist, role: &str) -> Vec<(Item, String, String)> {
    let is_of_role = |pin: &Item| pin.says(design, "role").as_deref() == Some(role);
    let network = |pin: Item| Some((pin.clone(), pin.way.get(1)?.clone(), pin.says(design, "network")?));
    pins(design).into_iter().filter(is_of_role).filter_map(network).collect()
}

fn networks_swapped(design: &Netlist) -> Vec<Slip> {
    let (highs, lows) = (of_network(design, "CAN high"), of_network(design, "CAN low"));
    let low = |device: &str, network: &str| lows.iter().find(|(_, own, of)| own == device && of == network);
    let mut slips = Vec::new();
    for (at, (high, device, network)) in highs.iter().enumerate() {
        for (other, another, second) in highs.iter().skip(at + 1) {
            let (Some(own), Some(its)) = (low(device, network), low(device, second)) else { continue };
            if another != device || network == second {
                continue;
            }
            let (Some(upper), Some(lower)) =
                (swap_wires(design, &high.label, &other.label), swap_wires(design, &own.0.label, &its.0.label))
            else {
                continue;
            };
            let slip = Slip::with(format!("{} and {}", high.label, other.label), [upper, lower].concat());
            slips.push(slip.naming([&high.label, &other.label, network, second]));
        }
    }
    slips
}

/// Words of opposite places.
const OPPOSITE: [(&str, &str); 2] = [("left", "right"), ("front", "rear")];

/// A signal with the word of the opposite place.
fn opposite(signal: &str) -> Option<String> {
    let swapped = |one: &str, other: &str| {
        let words: Vec<&str> = signal.split(' ').map(|word| if word == one { other } else { word }).collect();
        signal.split(' ').any(|word| word == one).then(|| words.join(" "))
    };
    OPPOSITE.into_iter().find_map(|(one, other)| swapped(one, other))
}

fn sides_swapped(design: &Netlist) -> Vec<Slip> {
    let all = pins(design);
    let signal = |pin: &Item| pin.says(design, "signal");
    let pairs = all.iter().filter_map(|one| {
        let wanted = opposite(&signal(one)?)?;
        let other = all.iter().find(|other| other.owner == one.owner && signal(other).as_ref() == Some(&wanted))?;
        let edits = swap_wires(design, &one.label, &other.label)?;
        Some(Slip::with(format!("{} and {}", one.label, other.label), edits).naming([&one.label, &other.label, &one.owner]))
    });
    pairs.collect()
}

/// Plugs of two devices with opposite `side` and ports of one name, of which each goes into the other's port by its housing.
fn twins_swapped(design: &Netlist) -> Vec<Slip> {
    let side = |device: &str| top(design, "devices").into_iter().find(|item| item.name == device)?.says(design, "side");
    let all = ends(design);
    let mut slips = Vec::new();
    for one in &all {
        let Some((device, port)) = one.says(design, "mates").map(|port| place(&port)) else { continue };
        let Some(wanted) = side(&device).and_then(|side| opposite(&side)) else { continue };
        for other in all.iter().filter(|other| other.owner == one.owner && other.name != one.name) {
            let Some((twin, second)) = other.says(design, "mates").map(|port| place(&port)) else { continue };
            if second != port
                || side(&twin).as_ref() != Some(&wanted)
                || one.says(design, "housing") != other.says(design, "housing")
            {
                continue;
            }
            let edits = vec![
                Edit::Set(one.key("mates"), text(format!("{twin}.{port}"))),
                Edit::Set(other.key("mates"), text(format!("{device}.{port}"))),
            ];
            let names = [format!("{device}.{port}"), format!("{twin}.{port}"), other.label.clone()];
            slips.push(Slip::with(format!("{} and {}", one.label, other.label), edits).naming(names));
        }
    }
    slips
}

/// What separates two points of a box for safety: fuses, and where there is class B disconnects and contacts for more than 60 V; with the points
/// before and behind it. Below class B it is a choice what stays on with a disconnect out.
fn separators(design: &Netlist) -> Vec<(Item, String, String)> {
    let has_class_b =
        top(design, "domains").iter().any(|domain| domain.says(design, "max").is_some_and(|volts| figure(&volts) > 60.0));
    let kinds: &[&str] = if has_class_b { &["fuse", "disconnect"] } else { &["fuse"] };
    let mut found = Vec::new();
    for kind in kinds {
        for element in elements(design, kind) {
            if let (Some(from), Some(to)) = (element.says(design, "from"), element.says(design, "to")) {
                found.push((element, from, to));
            }
        }
    }
    for relay in elements(design, "relay") {
        let is_high = relay.says(design, "voltage").is_some_and(|volts| figure(&volts) > 60.0);
        if let [from, to] = &relay.list(design, "contact")[..]
            && is_high
            && has_class_b
        {
            found.push((relay.clone(), from.clone(), to.clone()));
        }
    }
    found
}

fn past_the_fuse(design: &Netlist) -> Vec<Slip> {
    let all = ends(design);
    let stud = |owner: &str, name: &str| {
        ports(design).into_iter().find(|port| port.owner == owner && port.name == name)?.says(design, "stud")
    };
    let mut slips = Vec::new();
    for (element, one, other) in separators(design) {
        for (own, its) in [(&one, &other), (&other, &one)] {
            let (Some(near), Some(far)) = (stud(&element.owner, own), stud(&element.owner, its)) else { continue };
            let at = format!("{}.{own}", element.owner);
            for ring in all.iter().filter(|end| near == far && end.says(design, "bolts-to").as_ref() == Some(&at)) {
                let to = format!("{}.{its}", element.owner);
                let slip = Slip::set(format!("{} to {to}", ring.label), ring.key("bolts-to"), to);
                slips.push(slip.naming([&ring.label, &at, &element.label]));
            }
        }
    }
    slips
}

/// Elements of one box that begin behind what separates, fed from before it.
fn past_inside(design: &Netlist) -> Vec<Slip> {
    let kinds = ["load", "fuse", "relay", "disconnect", "capacitor"];
    let all: Vec<Item> = kinds.into_iter().flat_map(|kind| elements(design, kind)).collect();
    let mut slips = Vec::new();
    for (separator, before, behind) in separators(design) {
        let is_fuse = |item: &Item| item.says(design, "fuse").is_some();
        for element in all.iter().filter(|item| item.owner == separator.owner && item.name != separator.name) {
            // A fuse protects what is behind it wherever it is fed from inside its box: another build, and as sound.
            if is_fuse(element) && is_fuse(&separator) {
                continue;
            }
            let keys: [Way; 2] = [element.key("from"), [element.key("contact"), vec!["0".to_owned()]].concat()];
            for key in keys.into_iter().filter(|key| design.text(key).as_ref() == Some(&behind)) {
                let slip = Slip::set(format!("{} past {}", element.label, separator.label), key, &before);
                slips.push(slip.naming([&element.label, &separator.label]));
            }
        }
    }
    slips
}
