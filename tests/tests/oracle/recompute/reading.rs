//! What the files say of each wire, read with a reader that is not ours.

use serde_yaml::Value;
use std::{
    collections::{BTreeMap, BTreeSet},
    path::Path,
};

/// A wire as the files have it.
pub struct Lies {
    /// Cross-section in mm2.
    pub size: f64,
    /// Rated temperature in degC.
    pub rated: f64,
    /// The hottest air on its way in degC.
    pub air: f64,
    /// The segments that it runs through, else its loom.
    pub bundles: Vec<String>,
    /// A current that it is given, and the modes in which it flows.
    pub given: Option<(f64, BTreeSet<String>)>,
    /// Length in m.
    pub length: f64,
    /// What its kind says that it is insulated with.
    pub insulation: Option<String>,
}

/// A point of a datasheet's time-current curve: share of the rating, and when it has opened there at the latest, in s.
pub struct Promise {
    pub share: f64,
    pub opens: Option<f64>,
}

/// A kind of fuse as the files have it.
pub struct FuseLink {
    pub standard: String,
    pub body: Option<String>,
    pub rating: f64,
    pub ohms: Option<f64>,
    pub promises: Vec<Promise>,
}

/// The files of a design, put together.
pub struct Reading {
    top: Value,
    /// The boat table decides.
    pub is_marine: bool,
}

/// Puts `more` into `all`: maps are joined key by key.
fn join(all: &mut Value, more: Value) {
    match (all, more) {
        (Value::Mapping(all), Value::Mapping(more)) => {
            for (key, value) in more {
                match all.get_mut(&key) {
                    Some(known) => join(known, value),
                    None => drop(all.insert(key, value)),
                }
            }
        }
        (all, more) => *all = more,
    }
}

/// The number before a unit.
fn number(text: &str) -> f64 {
    text.split_whitespace().next().unwrap().parse().unwrap_or_else(|_| panic!("no number in {text}"))
}

/// A cross-section; a gauge by the diameters of ASTM B258: 0.127 mm at 36, 92 times that 39 sizes further.
fn area(text: &str) -> f64 {
    let Some(gauge) = text.strip_suffix("AWG") else { return number(text) };
    let diameter = 0.127 * 92_f64.powf((36.0 - number(gauge)) / 39.0);
    std::f64::consts::PI * diameter * diameter / 4.0
}

/// A quantity in its base unit.
fn quantity(text: &str) -> f64 {
    let unit = text.split_whitespace().nth(1).unwrap_or_default();
    let factor = match unit {
        "A" | "m" | "s" | "ohm" => 1.0,
        "mm" | "ms" | "mohm" => 1e-3,
        "min" => 60.0,
        "h" => 3600.0,
        "%" => 1e-2,
        _ => panic!("{text} has a unit that is not known here"),
    };
    number(text) * factor
}

fn text<'v>(value: &'v Value, key: &str) -> Option<&'v str> {
    value.get(key)?.as_str()
}

impl Reading {
    pub fn new(root: &Path) -> Self {
        let read = |path: &Path| -> Value { serde_yaml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap() };
        let mut top = read(root);
        let parts: Vec<String> = top
            .get("include")
            .and_then(Value::as_sequence)
            .into_iter()
            .flatten()
            .map(|file| file.as_str().unwrap().to_owned())
            .collect();
        for part in parts {
            join(&mut top, read(&root.parent().unwrap().join(part)));
        }
        let is_marine = top.get("policy").and_then(|policy| policy.get("capacity")).and_then(Value::as_str) == Some("marine");
        Self { top, is_marine }
    }

    fn ambient(&self, zone: &str) -> f64 {
        number(self.top["zones"][zone]["ambient"].as_str().unwrap())
    }

    /// `loom.wire`
    pub fn wire(&self, name: &str) -> Lies {
        let (loom_name, number_of) = name.split_once('.').unwrap();
        let loom = &self.top["looms"][loom_name];
        let wires = loom["wires"].as_mapping().unwrap();
        let is_it = |key: &Value| key.as_str().map_or_else(|| key.as_u64().unwrap().to_string(), str::to_owned) == number_of;
        let wire = wires.iter().find(|(key, _)| is_it(key)).map(|(_, wire)| wire).unwrap();
        let core = text(wire, "core").map(|core| core.split_once('.').unwrap());
        let cable = core.map(|(cable, _)| &loom["cables"][cable]);
        let kind = match cable {
            Some(cable) => &self.top["parts"]["cables"][text(cable, "part").unwrap()],
            None => &self.top["parts"]["conductors"][text(wire, "wire").or(text(loom, "wire")).unwrap()],
        };
        let of_core = || {
            let cores = kind["cores"].as_mapping().unwrap();
            let label = core.unwrap().1;
            let is_it = |key: &Value| key.as_str().map_or_else(|| key.as_u64().unwrap().to_string(), str::to_owned) == label;
            text(cores.iter().find(|(key, _)| is_it(key)).unwrap().1, "size").unwrap()
        };
        let list = |of: &Value| of.get("via").and_then(Value::as_sequence).cloned().unwrap_or_default();
        let mut via = list(wire);
        if let (true, Some(cable)) = (via.is_empty(), cable) {
            via = list(cable);
        }
        let via: Vec<String> = via.iter().map(|segment| segment.as_str().unwrap().to_owned()).collect();
        let ends: Vec<&Value> = ["from", "to"]
            .iter()
            .filter_map(|key| text(wire, key))
            .filter_map(|point| loom.get("ends")?.get(point.split('.').next().unwrap()))
            .collect();
        let devices: Vec<&Value> = ends
            .iter()
            .filter_map(|end| text(end, "mates").or(text(end, "bolts-to")))
            .filter_map(|place| self.top["devices"].get(place.split('.').next().unwrap()))
            .collect();
        let lies = text(loom, "zone");
        let mut zones: Vec<&str> =
            via.iter().filter_map(|segment| text(&loom["route"][segment.as_str()], "zone").or(lies)).collect();
        zones.extend(via.is_empty().then_some(lies).flatten());
        zones.extend(ends.iter().filter_map(|end| text(end, "zone")));
        zones.extend(devices.iter().filter_map(|device| text(device, "zone")));
        let given = text(wire, "current").map(|amps| (number(amps), self.runs(&devices)));
        Lies {
            size: area(text(wire, "size").unwrap_or_else(of_core)),
            rated: number(text(kind, "rated").unwrap()),
            air: zones.iter().map(|zone| self.ambient(zone)).fold(f64::NEG_INFINITY, f64::max),
            bundles: if via.is_empty() {
                vec![loom_name.to_owned()]
            } else {
                via.iter().map(|segment| format!("{loom_name}/{segment}")).collect()
            },
            given,
            length: text(wire, "length").or(cable.and_then(|cable| text(cable, "length"))).map(quantity).unwrap_or_else(|| {
                via.iter().map(|segment| quantity(text(&loom["route"][segment.as_str()], "length").unwrap())).sum()
            }),
            insulation: text(kind, "insulation").map(str::to_owned),
        }
    }

    /// A kind of fuse by its name.
    pub fn fuse(&self, name: &str) -> FuseLink {
        let kind = &self.top["parts"]["fuses"][name];
        let gates = kind.get("gates").and_then(Value::as_sequence).cloned().unwrap_or_default();
        let promise = |gate: &Value| Promise {
            share: quantity(text(gate, "at").unwrap()),
            opens: text(gate, "opens-within").map(quantity),
        };
        FuseLink {
            standard: text(kind, "standard").unwrap_or_default().to_owned(),
            body: text(kind, "type").map(str::to_owned),
            rating: quantity(text(kind, "rating").unwrap()),
            ohms: text(kind, "resistance").map(quantity),
            promises: gates.iter().map(promise).collect(),
        }
    }

    /// The modes in which a load or a converter of one of these devices runs.
    fn runs(&self, devices: &[&Value]) -> BTreeSet<String> {
        let all = || self.top["modes"].as_mapping().unwrap().keys().map(|key| key.as_str().unwrap().to_owned());
        let mut modes = BTreeSet::new();
        for device in devices {
            let inside: BTreeMap<String, Value> =
                device.get("inside").map_or_else(BTreeMap::new, |inside| serde_yaml::from_value(inside.clone()).unwrap());
            for element in inside.values().filter(|element| element.get("load").or(element.get("converter")).is_some()) {
                match element.get("in").and_then(Value::as_sequence) {
                    Some(list) => modes.extend(list.iter().map(|mode| mode.as_str().unwrap().to_owned())),
                    None => modes.extend(all()),
                }
            }
        }
        if modes.is_empty() { all().collect() } else { modes }
    }
}
