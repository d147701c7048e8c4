//! Slips with data buses: a terminator left out, doubled or of another value, a pair that is not twisted, a node of another network
//! or of half a pair.

use super::{
    items::{Item, elements, ports, wires},
    netlist::{Netlist, Way, way},
    slip::{Edit, Kind, Owed, Slip},
};
use serde_yaml::{Mapping, Value};

/// The kinds of slips with buses.
pub fn kinds() -> Vec<Kind> {
    vec![
        Kind { name: "terminator left out", owed: Owed::All, places: left_out },
        Kind { name: "terminator not fitted", owed: Owed::All, places: not_fitted },
        Kind { name: "terminator of half the value", owed: Owed::All, places: halved },
        Kind { name: "one more terminator", owed: Owed::All, places: added },
        Kind { name: "terminator moved to another node", owed: Owed::All, places: moved },
        Kind { name: "wire of a bus not twisted", owed: Owed::All, places: untwisted },
        Kind { name: "node of another network", owed: Owed::All, places: other_network },
        Kind { name: "line of a bus forgotten at a node", owed: Owed::All, places: half },
        Kind { name: "line of a bus at an output", owed: Owed::All, places: at_output },
    ]
}

fn terminators(design: &Netlist) -> Vec<Item> {
    let says = |item: &Item| item.says(design, "terminator").as_deref() == Some("true");
    elements(design, "resistor").into_iter().filter(says).collect()
}

const RULE: [&str; 1] = ["bus/wrong-termination"];

fn left_out(design: &Netlist) -> Vec<Slip> {
    let slip = |item: Item| Slip::with(&item.label, vec![Edit::Remove(item.way.clone())]).naming(RULE);
    terminators(design).into_iter().map(slip).collect()
}

fn not_fitted(design: &Netlist) -> Vec<Slip> {
    let slip = |item: Item| Slip::with(&item.label, vec![Edit::Set(item.key("fitted"), Value::Bool(false))]).naming(RULE);
    terminators(design).into_iter().map(slip).collect()
}

fn halved(design: &Netlist) -> Vec<Slip> {
    terminators(design).into_iter().map(|item| Slip::set(&item.label, item.key("resistor"), "60 ohm").naming(RULE)).collect()
}

/// The two pins of each port of a node, by their roles: the port, high, low.
fn nodes(design: &Netlist) -> Vec<(Item, String, String)> {
    let pin = |port: &Item, role: &str| {
        let pins = port.key("pins");
        let named = |label: &String| design.text(&[pins.clone(), vec![label.clone(), "role".to_owned()]].concat());
        design.names(&pins).into_iter().find(|label| named(label).as_deref() == Some(role))
    };
    ports(design).into_iter().filter_map(|port| Some((port.clone(), pin(&port, "CAN high")?, pin(&port, "CAN low")?))).collect()
}

/// Nodes that have a terminator are left out: there it would be the same mistake twice.
fn added(design: &Netlist) -> Vec<Slip> {
    let taken: Vec<String> = terminators(design).into_iter().map(|item| item.owner).collect();
    let slip = |(port, high, low): (Item, String, String)| {
        let mut resistor = Mapping::new();
        for (key, value) in [
            ("resistor", "120 ohm".to_owned()),
            ("from", format!("{}.{high}", port.name)),
            ("to", format!("{}.{low}", port.name)),
        ] {
            resistor.insert(Value::String(key.to_owned()), Value::String(value));
        }
        let place: Way = way(&["devices", &port.owner, "inside", "one-more"]);
        Slip::with(&port.label, vec![Edit::Set(place, Value::Mapping(resistor))]).naming(RULE)
    };
    // What a node says is fitted may be the resistor that is drawn.
    let says = |(port, high, _): &(Item, String, String)| {
        let pin = [port.key("pins"), vec![high.clone(), "termination".to_owned()]].concat();
        [design.text(&pin), port.says(design, "termination")].into_iter().flatten().any(|said| said == "fitted")
    };
    nodes(design).into_iter().filter(|node| !taken.contains(&node.0.owner) && !says(node)).map(slip).collect()
}

/// The lines of a node, one at a time.
fn lines(design: &Netlist) -> impl Iterator<Item = (Item, String)> {
    nodes(design).into_iter().flat_map(|(port, high, low)| [(port.clone(), high), (port, low)])
}

fn half(design: &Netlist) -> Vec<Slip> {
    let slip = |(port, pin): (Item, String)| {
        let way = [port.key("pins"), vec![pin.clone()]].concat();
        Slip::with(format!("{}.{pin}", port.label), vec![Edit::Remove(way)]).naming(["bus/half-pair"])
    };
    // A device that passes the bus on over two ports has the line at the other one still.
    let owners: Vec<String> = nodes(design).into_iter().map(|(port, ..)| port.owner).collect();
    let is_alone = |(port, _): &(Item, String)| owners.iter().filter(|owner| **owner == port.owner).count() == 1;
    lines(design).filter(is_alone).map(slip).collect()
}

fn at_output(design: &Netlist) -> Vec<Slip> {
    let slip = |(port, pin): (Item, String)| {
        let way = [port.key("pins"), vec![pin.clone(), "role".to_owned()]].concat();
        Slip::set(format!("{}.{pin}", port.label), way, "output").naming(["netlist/role-conflict"])
    };
    lines(design).map(slip).collect()
}

/// What a node says of its terminator: at its port, or at its CAN high.
fn says_of_terminator(design: &Netlist, (port, high, _): &(Item, String, String)) -> Option<(Way, String)> {
    let pin = [port.key("pins"), vec![high.clone(), "termination".to_owned()]].concat();
    [port.key("termination"), pin].into_iter().find_map(|key| Some((key.clone(), design.text(&key)?)))
}

fn network(design: &Netlist, (port, high, _): &(Item, String, String)) -> Option<String> {
    design.text(&[port.key("pins"), vec![high.clone(), "network".to_owned()]].concat())
}

/// One of two fitted terminators of a network at a node that has none: as many as before, one in the wrong place.
fn moved(design: &Netlist) -> Vec<Slip> {
    let all = nodes(design);
    let saying = |wanted: &'static str| {
        all.iter().filter(move |node| says_of_terminator(design, node).is_some_and(|(_, said)| said == wanted))
    };
    let mut slips = Vec::new();
    for from in saying("fitted") {
        for to in saying("none").filter(|to| network(design, to).is_some() && network(design, to) == network(design, from)) {
            let edits = [(from, "none"), (to, "fitted")].into_iter().flat_map(|(node, said)| {
                let (key, _) = says_of_terminator(design, node).expect("a node that says it");
                let pins = [node.0.key("pins"), vec![node.2.clone(), "termination".to_owned()]].concat();
                let low = design.at(&pins).map(|_| Edit::Set(pins, Value::String(said.to_owned())));
                [Some(Edit::Set(key, Value::String(said.to_owned()))), low].into_iter().flatten()
            });
            let edits: Vec<Edit> = edits.collect();
            let slip = Slip::with(format!("{} to {}", from.0.label, to.0.label), edits);
            slips.push(slip.naming([&from.0.owner, &to.0.owner]));
        }
    }
    slips
}

/// Wires of a pair that says it is twisted, above the length that may be open.
fn untwisted(design: &Netlist) -> Vec<Slip> {
    let says = |wire: &Item, key: &str, of: &[&str]| {
        wire.says(design, key).is_some_and(|said| of.is_empty() || of.contains(&said.as_str()))
    };
    let is_bus = |wire: &Item| says(wire, "twist", &[]) && says(wire, "colour", &["YE", "GN"]);
    let slip = |wire: Item| Slip::with(&wire.label, vec![Edit::Remove(wire.key("twist"))]);
    wires(design).into_iter().filter(is_bus).map(slip).collect()
}

fn other_network(design: &Netlist) -> Vec<Slip> {
    let slip = |(port, high, low): (Item, String, String)| {
        let pins = port.key("pins");
        let key = |label: &String| [pins.clone(), vec![label.clone(), "network".to_owned()]].concat();
        design.text(&key(&high))?;
        let mut network = Mapping::new();
        network.insert(Value::String("kind".to_owned()), Value::String("CAN".to_owned()));
        let edits = vec![
            Edit::Set(way(&["networks", "another"]), Value::Mapping(network)),
            Edit::Set(key(&high), Value::String("another".to_owned())),
            Edit::Set(key(&low), Value::String("another".to_owned())),
        ];
        Some(Slip::with(&port.label, edits).naming(["another"]))
    };
    nodes(design).into_iter().filter_map(slip).collect()
}
