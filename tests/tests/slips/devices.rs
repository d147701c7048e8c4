//! Slips with what is inside devices: a voltage, a polarity, a switch, a rating.

use super::{
    items::{Item, elements, pins, times, top},
    netlist::{Netlist, way},
    slip::{Edit, Kind, Owed, Slip},
};
use serde_yaml::{Mapping, Value};

/// The kinds of slips with devices.
pub fn kinds() -> Vec<Kind> {
    vec![
        Kind {
            name: "source of 30 % more",
            owed: Owed::Noted(
                45,
                "the string as a whole stays below the highest voltage of its domain: a note says that its modules differ",
            ),
            places: |design| scaled(design, "source", "source", 1.3),
        },
        Kind { name: "source turned round", owed: Owed::All, places: |design| turned(design, "source", "positive", "negative") },
        Kind {
            name: "source left out",
            owed: Owed::Note(90, "a station that is not drawn is taken to be as its standard has it"),
            places: |design| gone(design, "source"),
        },
        Kind { name: "converter's input turned round", owed: Owed::All, places: |design| reversed(design, "converter", "from") },
        Kind { name: "converter's output turned round", owed: Owed::All, places: |design| reversed(design, "converter", "to") },
        Kind {
            name: "converter of 30 % more",
            owed: Owed::Share(30, "what a sensor supply may give at most is not in the design"),
            places: |design| scaled(design, "converter", "converter", 1.3),
        },
        Kind {
            name: "converter of a hundredth of the current",
            owed: Owed::Share(60, "what charges a battery gives what it can, and the battery feeds the loads"),
            places: |design| scaled(design, "converter", "limit", 0.01),
        },
        Kind {
            name: "load of ten times as much",
            owed: Owed::Share(80, "ten times a small lamp still is within its fuse and its wire"),
            places: |design| scaled(design, "load", "load", 10.0),
        },
        Kind { name: "polarised load turned round", owed: Owed::All, places: polarised },
        Kind {
            name: "switch forgets a mode",
            owed: Owed::Share(80, "what is behind it does nothing in that mode by its own `in`, or it only signals"),
            places: mode_dropped,
        },
        Kind {
            name: "switch closed in all modes",
            owed: Owed::Noted(
                10,
                "what it feeds is off in the other modes by its own `in`: a note says that nothing was judged with it open",
            ),
            places: always_closed,
        },
        Kind {
            name: "rated current a hundredth",
            owed: Owed::Share(90, "a precharge contact carries its current for less than a second, and no state shows it"),
            places: |design| rated(design, "current", 0.01),
        },
        Kind { name: "rated voltage a tenth", owed: Owed::All, places: |design| rated(design, "voltage", 0.1) },
        Kind {
            name: "relay that pulls in at three times the voltage",
            owed: Owed::All,
            places: |design| scaled(design, "relay", "pull-in", 3.0),
        },
        Kind {
            name: "relay that pulls in at a quarter of the voltage",
            owed: Owed::All,
            places: |design| scaled(design, "relay", "pull-in", 0.25),
        },
        Kind { name: "precharge resistor of a hundredth", owed: Owed::All, places: |design| precharge(design, 0.01) },
        Kind {
            name: "precharge resistor of a hundred times",
            owed: Owed::Note(50, "where a mode begins with its precharge and does not say so, nothing says how long that takes"),
            places: |design| precharge(design, 100.0),
        },
        Kind {
            name: "bus bar left out",
            owed: Owed::Note(85, "two pins of a box with one role in one network are taken to be joined in it"),
            places: |design| gone(design, "link"),
        },
        Kind {
            name: "load left out",
            owed: Owed::Note(90, "another element is at the same two pins, so nothing shows that one is missing"),
            places: |design| gone(design, "load"),
        },
        Kind { name: "zone 80 K hotter", owed: Owed::All, places: hotter },
        Kind { name: "pin of a return called supply, and the reverse", owed: Owed::All, places: roles },
        Kind { name: "pin in another domain", owed: Owed::Somewhere(100, "none may be quiet"), places: domains },
        Kind {
            name: "signal of another name at one pin",
            owed: Owed::Share(
                95,
                "it is the only name on its wire, or the other end is a wiper too, of which `wiper park` is a closer name",
            ),
            places: renamed,
        },
        Kind { name: "class B joined to the earth of its box", owed: Owed::All, places: earthed },
        Kind {
            name: "device left out of the build",
            owed: Owed::Note(100, "none may be quiet"),
            places: |design| unfitted(design, "devices"),
        },
        Kind {
            name: "loom left out of the build",
            owed: Owed::Somewhere(100, "none may be quiet"),
            places: |design| unfitted(design, "looms"),
        },
    ]
}

fn scaled(design: &Netlist, kind: &str, key: &str, factor: f64) -> Vec<Slip> {
    let slip = |element: Item| {
        let figure = element.says(design, key)?;
        Some(Slip::set(&element.label, element.key(key), times(&figure, factor)).naming([element.owner.clone()]))
    };
    elements(design, kind).into_iter().filter_map(slip).collect()
}

fn swap(design: &Netlist, element: &Item, one: &str, other: &str) -> Option<Vec<Edit>> {
    let (mine, its) = (element.says(design, one)?, element.says(design, other)?);
    Some(vec![Edit::Set(element.key(one), Value::String(its)), Edit::Set(element.key(other), Value::String(mine))])
}

fn turned(design: &Netlist, kind: &str, one: &str, other: &str) -> Vec<Slip> {
    let slip = |element: Item| {
        let edits = swap(design, &element, one, other)?;
        Some(Slip::with(&element.label, edits).naming([element.owner]))
    };
    elements(design, kind).into_iter().filter_map(slip).collect()
}

fn reversed(design: &Netlist, kind: &str, key: &str) -> Vec<Slip> {
    let slip = |element: Item| {
        let mut points: Vec<Value> = element.list(design, key).into_iter().map(Value::String).collect();
        // The two conductors of alternating voltage can be swapped at what converts it.
        let device = element.way[1].clone();
        let is_line =
            |pin: &Item| pin.label.starts_with(&format!("{device}.")) && pin.says(design, "role").as_deref() == Some("line");
        let lines: Vec<String> = pins(design).into_iter().filter(is_line).map(|pin| pin.label).collect();
        let of_mains = element.list(design, key).iter().any(|point| lines.contains(&format!("{device}.{point}")));
        points.reverse();
        let edit = Edit::Set(element.key(key), Value::Sequence(points));
        (!of_mains).then(|| Slip::with(&element.label, vec![edit]).naming([element.owner]))
    };
    elements(design, kind).into_iter().filter_map(slip).collect()
}

fn gone(design: &Netlist, kind: &str) -> Vec<Slip> {
    let slip = |element: Item| Slip::with(&element.label, vec![Edit::Remove(element.way.clone())]).naming([element.owner]);
    elements(design, kind).into_iter().map(slip).collect()
}

fn polarised(design: &Netlist) -> Vec<Slip> {
    let slip = |element: Item| {
        element.says(design, "polarised")?;
        let edits = swap(design, &element, "from", "to")?;
        Some(Slip::with(&element.label, edits).naming([element.owner]))
    };
    elements(design, "load").into_iter().filter_map(slip).collect()
}

fn mode_dropped(design: &Netlist) -> Vec<Slip> {
    let mut slips = Vec::new();
    for switch in elements(design, "switch") {
        for at in design.names(&switch.key("closed-in")) {
            let edit = Edit::Remove([switch.key("closed-in"), vec![at.clone()]].concat());
            let mode = switch.list(design, "closed-in")[at.parse::<usize>().expect("a number")].clone();
            let place = format!("{} in {mode}", switch.label);
            slips.push(Slip::with(place, vec![edit]).naming([switch.label.clone(), switch.owner.clone(), mode]));
        }
    }
    slips
}

fn always_closed(design: &Netlist) -> Vec<Slip> {
    let slip = |switch: Item| {
        (!design.names(&switch.key("closed-in")).is_empty()).then(|| {
            let edits =
                vec![Edit::Set(switch.key("switch"), Value::String("closed".to_owned())), Edit::Remove(switch.key("closed-in"))];
            Slip::with(&switch.label, edits).naming([switch.owner])
        })
    };
    elements(design, "switch").into_iter().filter_map(slip).collect()
}

fn rated(design: &Netlist, key: &str, factor: f64) -> Vec<Slip> {
    ["relay", "switch", "disconnect"].iter().flat_map(|kind| scaled(design, kind, key, factor)).collect()
}

fn hotter(design: &Netlist) -> Vec<Slip> {
    let slip = |zone: Item| {
        let ambient = zone.says(design, "ambient")?;
        let hot: f64 = super::items::figure(&ambient) + 80.0;
        Some(Slip::set(&zone.label, zone.key("ambient"), format!("{hot} degC")).naming(["degC"]))
    };
    top(design, "zones").into_iter().filter_map(slip).collect()
}

fn roles(design: &Netlist) -> Vec<Slip> {
    let slip = |pin: Item| {
        let other = match pin.says(design, "role")?.as_str() {
            "return" => "supply",
            "supply" => "return",
            _ => return None,
        };
        Some(Slip::set(&pin.label, pin.key("role"), other))
    };
    pins(design).into_iter().filter_map(slip).collect()
}

fn domains(design: &Netlist) -> Vec<Slip> {
    let all = design.names(&way(&["domains"]));
    let slip = |pin: Item| {
        let own = pin.says(design, "domain")?;
        let other = all.iter().find(|other| **other != own)?;
        // What returns to the metal of the vehicle is the same for all its voltages.
        let at_chassis = |domain: &str| design.text(&way(&["domains", domain, "reference"])).as_deref() == Some("chassis");
        if pin.says(design, "role").as_deref() == Some("return") && at_chassis(&own) && at_chassis(other) {
            return None;
        }
        Some(Slip::set(&pin.label, pin.key("domain"), other).naming([pin.owner.clone()]))
    };
    pins(design).into_iter().filter_map(slip).collect()
}

fn renamed(design: &Netlist) -> Vec<Slip> {
    let slip = |pin: Item| {
        pin.says(design, "signal")?;
        Some(Slip::set(&pin.label, pin.key("signal"), "wiper park"))
    };
    pins(design).into_iter().filter_map(slip).collect()
}

/// Resistors at a contact in their box, with another figure.
fn precharge(design: &Netlist, factor: f64) -> Vec<Slip> {
    let contacts = |owner: &str| -> Vec<String> {
        let relays = elements(design, "relay").into_iter().filter(|relay| relay.owner == owner);
        let switches = elements(design, "switch").into_iter().filter(|switch| switch.owner == owner);
        let ends = switches.flat_map(|switch| ["from", "to"].map(|key| switch.says(design, key)));
        relays.flat_map(|relay| relay.list(design, "contact")).chain(ends.flatten()).collect()
    };
    let at_contact = |resistor: &Item| {
        let contacts = contacts(&resistor.owner);
        ["from", "to"].iter().filter_map(|key| resistor.says(design, key)).all(|point| contacts.contains(&point))
    };
    let found = elements(design, "resistor").into_iter().filter(at_contact);
    found
        .filter_map(|resistor| {
            let figure = resistor.says(design, "resistor")?;
            Some(Slip::set(&resistor.label, resistor.key("resistor"), times(&figure, factor)))
        })
        .collect()
}

/// A strand between a pin above 60 V and the earth of the same box.
fn earthed(design: &Netlist) -> Vec<Slip> {
    let mut slips = Vec::new();
    let all = pins(design);
    let device = |pin: &Item| pin.way[1].clone();
    for live in &all {
        let domain = live.says(design, "domain").unwrap_or_default();
        let volts = design.text(&way(&["domains", &domain, "max"])).map_or(0.0, |volts| super::items::figure(&volts));
        let earth = all.iter().find(|pin| device(pin) == device(live) && pin.says(design, "role").as_deref() == Some("earth"));
        let Some(earth) = earth.filter(|_| volts > 60.0) else { continue };
        let inside = |pin: &Item| Value::String(pin.label.split_once('.').map_or(String::new(), |(_, point)| point.to_owned()));
        let mut link = Mapping::new();
        link.insert(Value::String("link".to_owned()), Value::Sequence(vec![inside(live), inside(earth)]));
        let inside = way(&["devices", &device(live), "inside"]);
        let strand = Value::String("strand".to_owned());
        let edit = match design.at(&inside) {
            Some(_) => Edit::Set([inside, vec!["strand".to_owned()]].concat(), Value::Mapping(link)),
            None => Edit::Set(inside, Value::Mapping(Mapping::from_iter([(strand, Value::Mapping(link))]))),
        };
        slips.push(Slip::with(&live.label, vec![edit]).naming([earth.label.clone(), device(live)]));
    }
    slips
}

fn unfitted(design: &Netlist, sort: &str) -> Vec<Slip> {
    let slip = |thing: Item| Slip::with(&thing.label, vec![Edit::Set(thing.key("fitted"), Value::Bool(false))]);
    top(design, sort).into_iter().map(slip).collect()
}
