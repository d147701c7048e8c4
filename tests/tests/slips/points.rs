//! Slips with the cores of cables, with points that take a bare wire, and with switches of several positions.

use super::{
    items::{Item, POINTS, elements, ends, ports, wires},
    netlist::{Netlist, way},
    slip::{Edit, Kind, Owed, Slip},
};
use serde_yaml::{Mapping, Value};

/// The kinds of slips with cores, bare wire ends and selectors.
pub fn kinds() -> Vec<Kind> {
    vec![
        Kind { name: "core of its neighbour, as a second wire", owed: Owed::All, places: core_twice },
        Kind { name: "two cores of a cable swapped", owed: Owed::All, places: cores_swapped },
        Kind {
            name: "two bare ends swapped between points",
            owed: Owed::Somewhere(80, "the two are fed alike, or are the two sides of a contact"),
            places: bare_ends_swapped,
        },
        Kind { name: "bare end that goes to no point", owed: Owed::All, places: landed_nowhere },
        Kind { name: "point for the thinnest wires", owed: Owed::All, places: narrow_point },
        Kind {
            name: "selector in another position in a mode",
            owed: Owed::Share(60, "what the two positions feed does nothing in that mode by its own `in`"),
            places: another_position,
        },
    ]
}

/// Pairs of wires that follow each other in one cable.
fn pairs(design: &Netlist) -> Vec<[(Item, String); 2]> {
    let cored: Vec<(Item, String)> =
        wires(design).into_iter().filter_map(|wire| wire.says(design, "core").map(|core| (wire, core))).collect();
    let cable = |core: &str| core.split('.').next().unwrap_or_default().to_owned();
    let are_one = |pair: &&[(Item, String)]| pair[0].0.owner == pair[1].0.owner && cable(&pair[0].1) == cable(&pair[1].1);
    cored.windows(2).filter(are_one).map(|pair| [pair[0].clone(), pair[1].clone()]).collect()
}

fn core_twice(design: &Netlist) -> Vec<Slip> {
    let twice =
        |[(one, core), (other, _)]: [(Item, String); 2]| Slip::set(&other.label, other.key("core"), core).naming([one.label]);
    pairs(design).into_iter().map(twice).collect()
}

fn cores_swapped(design: &Netlist) -> Vec<Slip> {
    let swapped = |[(one, mine), (other, its)]: [(Item, String); 2]| {
        let edits = vec![Edit::Set(one.key("core"), Value::String(its)), Edit::Set(other.key("core"), Value::String(mine))];
        Slip::with(format!("{} and {}", one.label, other.label), edits).naming([one.label, other.label])
    };
    pairs(design).into_iter().filter(|pair| is_fault(design, pair)).map(swapped).collect()
}

/// Whether it matters which of two cores is which: swapped at both ends they join the same pins, so only the sizes and the colours
/// that mean something are left. In an orange sheath those of line and neutral are free.
fn is_fault(design: &Netlist, [one, other]: &[(Item, String); 2]) -> bool {
    let facts = |(wire, core): &(Item, String)| {
        let (cable, core) = core.split_once('.').expect("a core of a cable");
        let part = design.text(&way(&["looms", &wire.owner, "cables", cable, "part"])).expect("the kind of a cable");
        let kind = way(&["parts", "cables", &part]);
        let of_core = |key: &str| design.text(&[kind.clone(), way(&["cores", core, key])].concat()).unwrap_or_default();
        let is_orange = design.text(&[kind.clone(), way(&["sheath"])].concat()).is_some_and(|sheath| sheath.starts_with("OG"));
        (of_core("size"), of_core("colour"), is_orange)
    };
    let ((size, colour, is_orange), (its_size, its_colour, _)) = (facts(one), facts(other));
    let colours = [colour.as_str(), its_colour.as_str()];
    let has = |list: &[&str]| colours.iter().any(|colour| list.contains(colour));
    let are_mains = has(&["BU"]) && has(&["BN"]) && !is_orange;
    size != its_size || (colour != its_colour && (has(&["GNYE"]) || are_mains))
}

fn bare_ends_swapped(design: &Netlist) -> Vec<Slip> {
    let bare: Vec<Item> = ends(design).into_iter().filter(|end| end.says(design, "lands-on").is_some()).collect();
    let mut slips = Vec::new();
    for pair in bare.windows(2) {
        let [one, other] = pair else { continue };
        let (mine, its) = (one.says(design, "lands-on").unwrap_or_default(), other.says(design, "lands-on").unwrap_or_default());
        // Turned round, one wire is the same; so is a wire moved along one bar.
        if super::wires::are_one_wire(design, one, other) || super::wires::joined(design, &mine, &its) {
            continue;
        }
        let edits = vec![
            Edit::Set(one.key("lands-on"), Value::String(its.clone())),
            Edit::Set(other.key("lands-on"), Value::String(mine.clone())),
        ];
        let slip = Slip::with(format!("{} and {}", one.label, other.label), edits);
        slips.push(slip.naming([one.label.clone(), other.label.clone(), mine, its]));
    }
    slips
}

fn landed_nowhere(design: &Netlist) -> Vec<Slip> {
    let given = ends(design).into_iter().filter(|end| end.says(design, "lands-on").is_some());
    let slip = |end: Item| {
        let point = end.says(design, "lands-on").unwrap_or_default();
        Slip::with(&end.label, vec![Edit::Remove(end.key("lands-on"))]).naming([point])
    };
    given.map(slip).collect()
}

fn narrow_point(design: &Netlist) -> Vec<Slip> {
    let taken: Vec<String> = ends(design).into_iter().filter_map(|end| end.says(design, "lands-on")).collect();
    let mut slips = Vec::new();
    for port in ports(design).into_iter().filter(|port| taken.contains(&port.label)) {
        let Some(sort) = POINTS.iter().find(|sort| port.says(design, sort).is_some()) else { continue };
        let kind = port.says(design, sort).unwrap_or_default();
        let Some(Value::Mapping(facts)) = design.at(&way(&["parts", "points", &kind])) else { continue };
        let mut facts: Mapping = facts.clone();
        let takes = serde_yaml::from_str("[ { wires: 9, size: 0.05 mm2 .. 0.1 mm2 } ]").expect("a list of sizes");
        facts.insert(Value::String("takes".to_owned()), takes);
        let name = format!("{kind}-slipped");
        let edits = vec![
            Edit::Set(way(&["parts", "points", &name]), Value::Mapping(facts)),
            Edit::Set(port.key(sort), Value::String(name.clone())),
        ];
        slips.push(Slip::with(&port.label, edits).naming([name]));
    }
    slips
}

fn another_position(design: &Netlist) -> Vec<Slip> {
    let mut slips = Vec::new();
    for selector in elements(design, "selector") {
        let positions = design.names(&selector.key("selector"));
        for mode in design.names(&selector.key("at")) {
            let at = [selector.key("at"), vec![mode.clone()]].concat();
            let own = design.text(&at).unwrap_or_default();
            let Some(other) = positions.iter().find(|position| **position != own) else { continue };
            let slip = Slip::set(format!("{} in {mode}", selector.label), at, other);
            slips.push(slip.naming([selector.label.clone(), selector.owner.clone(), mode]));
        }
    }
    slips
}
