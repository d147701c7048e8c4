//! What a design is made of, as the slips look for it.

use super::netlist::{Netlist, Way, way};

/// A thing with the way to it and the name that findings call it by.
#[derive(Clone)]
pub struct Item {
    /// What it belongs to: its loom, its device.
    pub owner: String,
    /// Its own name.
    pub name: String,
    /// As findings name it: `loom.name`.
    pub label: String,
    /// The way to it.
    pub way: Way,
}

impl Item {
    /// The way to one of its keys.
    pub fn key(&self, key: &str) -> Way {
        let mut way = self.way.clone();
        way.push(key.to_owned());
        way
    }

    /// What one of its keys says.
    pub fn says(&self, design: &Netlist, key: &str) -> Option<String> {
        design.text(&self.key(key))
    }

    /// The texts of a list.
    pub fn list(&self, design: &Netlist, key: &str) -> Vec<String> {
        let list = self.key(key);
        let item = |at: String| design.text(&[list.clone(), vec![at]].concat());
        design.names(&list).into_iter().filter_map(item).collect()
    }
}

/// What is two levels down: `looms.*.wires.*`.
fn below(design: &Netlist, top: &str, within: &str) -> Vec<Item> {
    let mut items = Vec::new();
    for owner in design.names(&way(&[top])) {
        for name in design.names(&way(&[top, &owner, within])) {
            let label = format!("{owner}.{name}");
            items.push(Item { way: way(&[top, &owner, within, &name]), label, name, owner: owner.clone() });
        }
    }
    items
}

/// All wires.
pub fn wires(design: &Netlist) -> Vec<Item> {
    below(design, "looms", "wires")
}

/// All ends of looms.
pub fn ends(design: &Netlist) -> Vec<Item> {
    below(design, "looms", "ends")
}

/// All splices.
pub fn splices(design: &Netlist) -> Vec<Item> {
    below(design, "looms", "splices")
}

/// All segments of routes.
pub fn segments(design: &Netlist) -> Vec<Item> {
    below(design, "looms", "route")
}

/// All ports of devices.
pub fn ports(design: &Netlist) -> Vec<Item> {
    below(design, "devices", "ports")
}

/// The sorts of points that take a wire without a plug.
pub const POINTS: [&str; 4] = ["screw", "tab", "strip", "ferrule"];

/// All pins with the name `device.port.pin`, and all studs and points for bare wires with a role.
pub fn pins(design: &Netlist) -> Vec<Item> {
    let mut pins = Vec::new();
    for port in ports(design) {
        for name in design.names(&port.key("pins")) {
            let way = [port.key("pins"), vec![name.clone()]].concat();
            if !design.names(&way).is_empty() {
                pins.push(Item { label: format!("{}.{name}", port.label), name, owner: port.label.clone(), way });
            }
        }
        let is_point = ["stud"].iter().chain(&POINTS).any(|sort| port.says(design, sort).is_some());
        if is_point && port.says(design, "role").is_some() {
            pins.push(port);
        }
    }
    pins
}

/// All elements of one kind, in devices and looms: `element(design, "fuse")`.
pub fn elements(design: &Netlist, kind: &str) -> Vec<Item> {
    let all = [below(design, "devices", "inside"), below(design, "looms", "inside")].concat();
    all.into_iter().filter(|element| design.at(&element.key(kind)).is_some()).collect()
}

/// All kinds of one sort of part: `parts(design, "fuses")`.
pub fn parts(design: &Netlist, sort: &str) -> Vec<Item> {
    let named = |name: String| Item { owner: sort.to_owned(), label: name.clone(), way: way(&["parts", sort, &name]), name };
    design.names(&way(&["parts", sort])).into_iter().map(named).collect()
}

/// All things of the top with this key: `top(design, "zones")`.
pub fn top(design: &Netlist, key: &str) -> Vec<Item> {
    let named = |name: String| Item { owner: key.to_owned(), label: name.clone(), way: way(&[key, &name]), name };
    design.names(&way(&[key])).into_iter().map(named).collect()
}

/// End and cavity of a place such as `P1.3`; the cavity is empty where none is named.
pub fn place(text: &str) -> (String, String) {
    let (end, cavity) = text.split_once('.').unwrap_or((text, ""));
    (end.to_owned(), cavity.to_owned())
}

/// The positions of a housing kind.
pub fn positions(design: &Netlist, housing: &str) -> Vec<String> {
    let kind = way(&["parts", "housings", housing]);
    let listed = [kind.clone(), vec!["positions".to_owned()]].concat();
    if let Some(count) = design.text(&listed).and_then(|count| count.parse::<usize>().ok()) {
        return (1..=count).map(|number| number.to_string()).collect();
    }
    let item = |at: String| design.text(&[listed.clone(), vec![at]].concat());
    design.names(&listed).into_iter().filter_map(item).collect()
}

/// The number that a text begins with, and what is behind it: `0.8` and `m` of `0.8 m` or `0.8m`.
fn split(text: &str) -> (f64, &str) {
    let end = text.find(|letter: char| !letter.is_ascii_digit() && !matches!(letter, '.' | '-')).unwrap_or(text.len());
    let number = text[..end].parse().unwrap_or_else(|_| panic!("a figure: {text}"));
    (number, text[end..].trim_start())
}

/// A figure with its unit, multiplied; of `300/500 V` both.
pub fn times(text: &str, factor: f64) -> String {
    let (number, unit) = split(text);
    match unit.strip_prefix('/') {
        Some(rest) => format!("{}/{}", number * factor, times(rest, factor)),
        None => format!("{} {unit}", number * factor),
    }
}

/// The figure of a text with a unit.
pub fn figure(text: &str) -> f64 {
    split(text).0
}
