//! The written-out demo by a general reader of YAML that knows nothing of the format: maps of maps.

use super::DEMO;
use serde_yaml::Value;
use std::{collections::BTreeMap, path::Path};

/// The demo: its files joined.
pub struct Netlist {
    /// The looms by name.
    pub looms: BTreeMap<String, Value>,
    /// The kinds of parts, table by table.
    pub parts: BTreeMap<String, BTreeMap<String, Value>>,
    /// The devices by name.
    pub devices: BTreeMap<String, Value>,
}

pub fn text(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Number(number) => number.to_string(),
        Value::Bool(flag) => flag.to_string(),
        _ => String::new(),
    }
}

/// The entries of a map, in the order of their names.
pub fn entries(value: &Value) -> BTreeMap<String, &Value> {
    let map = value.as_mapping();
    map.into_iter().flatten().map(|(name, held)| (text(name), held)).collect()
}

/// A key of a map as text; empty where it is not given.
pub fn key(value: &Value, name: &str) -> String {
    value.get(name).map(text).unwrap_or_default()
}

pub fn read() -> Netlist {
    let root = Path::new(DEMO);
    let folder = root.parent().expect("a folder");
    let parse = |path: &Path| -> Value {
        let text = std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        serde_yaml::from_str(&text).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
    };
    let first = parse(root);
    let includes: Vec<String> = first["include"].as_sequence().into_iter().flatten().map(text).collect();
    let mut netlist = Netlist { looms: BTreeMap::new(), parts: BTreeMap::new(), devices: BTreeMap::new() };
    for file in std::iter::once(first.clone()).chain(includes.iter().map(|name| parse(&folder.join(name)))) {
        netlist.looms.extend(file.get("looms").into_iter().flat_map(entries).map(|(name, held)| (name, held.clone())));
        netlist.devices.extend(file.get("devices").into_iter().flat_map(entries).map(|(name, held)| (name, held.clone())));
        for (table, kinds) in file.get("parts").into_iter().flat_map(entries) {
            let own = netlist.parts.entry(table).or_default();
            own.extend(entries(kinds).into_iter().map(|(name, held)| (name, held.clone())));
        }
    }
    assert!(netlist.looms.len() > 3 && netlist.devices.len() > 30, "the demo is there");
    netlist
}

/// The figure of a quantity, such as `1300 mm`, in its own unit.
pub fn figure(text: &str) -> (f64, &str) {
    let (figure, unit) = text.split_once(' ').unwrap_or((text, ""));
    (figure.parse().unwrap_or_else(|_| panic!("`{text}` begins with a figure")), unit)
}

/// A length in millimetres.
pub fn millimetres(text: &str) -> f64 {
    match figure(text) {
        (figure, "mm") => figure,
        (figure, "m") => figure * 1000.0,
        (_, unit) => panic!("`{unit}` is not a length"),
    }
}
