//! The parts list adds up: every count against one made by walking the written-out files by hand.

use super::{
    netlist::{entries, figure, key, millimetres, read, text},
    table,
};
use serde_yaml::Value;
use std::collections::BTreeMap;

/// Pieces and metres by sort, kind and detail.
type Counted = BTreeMap<(String, String, String), (usize, f64)>;

fn printed() -> Counted {
    let rows = table("parts-list", &["--table", "totals"]);
    let entry = |row: BTreeMap<String, String>| {
        let count = row["count"].parse().expect("a count");
        let metres = row["length_m"].parse().unwrap_or(0.0);
        ((row["sort"].clone(), row["name"].clone(), row["detail"].clone()), (count, metres))
    };
    rows.into_iter().map(entry).collect()
}

#[test]
fn housings_terminals_seals_plugs_wire_cable_and_fuses_add_up() {
    let netlist = read();
    let printed = printed();
    let mut counted = Counted::new();
    let mut add = |sort: &str, name: String, detail: String, metres: f64| {
        let entry = counted.entry((sort.to_owned(), name, detail)).or_default();
        entry.0 += 1;
        entry.1 += metres;
    };
    for held in netlist.looms.values() {
        let ends = entries(&held["ends"]);
        // What is in each cavity: the wires by their sizes.
        let mut cavities: BTreeMap<(String, String), Vec<f64>> = BTreeMap::new();
        for wire in entries(&held["wires"]).values() {
            let core = key(wire, "core");
            let size = core.split_once('.').map_or_else(
                || key(wire, "size"),
                |(cable, label)| {
                    let kind = key(&held["cables"][cable], "part");
                    key(entries(&netlist.parts["cables"][&kind]["cores"])[label], "size")
                },
            );
            for end in ["from", "to"] {
                let place = key(wire, end);
                if let Some((end, cavity)) = place.split_once('.').filter(|(end, _)| ends.contains_key(*end)) {
                    cavities.entry((end.to_owned(), cavity.to_owned())).or_default().push(figure(&size).0);
                }
            }
            if core.is_empty() {
                let kind = match key(wire, "wire") {
                    own if own.is_empty() => key(held, "wire"),
                    own => own,
                };
                let detail = format!("{} {}", key(wire, "size").replace("mm2", "mm²"), key(wire, "colour"));
                add("wire", kind, detail, millimetres(&key(wire, "length")) / 1000.0);
            }
        }
        for cable in held.get("cables").into_iter().flat_map(entries).map(|(_, cable)| cable) {
            add("cable", key(cable, "part"), String::new(), millimetres(&key(cable, "length")) / 1000.0);
        }
        for (end, said) in &ends {
            let housing = key(said, "housing");
            if housing.is_empty() {
                continue;
            }
            add("housing", housing.clone(), String::new(), 0.0);
            let kind = &netlist.parts["housings"][&housing];
            let usual: Vec<String> = kind.get("terminals").and_then(Value::as_sequence).into_iter().flatten().map(text).collect();
            let others = said.get("terminals").map(entries).unwrap_or_default();
            for ((_, cavity), sizes) in cavities.iter().filter(|((at, _), _)| at == end) {
                let size: f64 = sizes.iter().sum();
                let takes = |terminal: &&String| {
                    let range = key(&netlist.parts["terminals"][*terminal], "size");
                    let (least, most) = range.split_once(" .. ").expect("a range");
                    figure(least).0 <= size && size <= figure(most).0
                };
                let own = others
                    .get(cavity)
                    .map(|terminal| text(terminal))
                    .or(Some(key(said, "terminal")).filter(|own| !own.is_empty()));
                let Some(terminal) = own.or_else(|| usual.iter().find(takes).cloned()) else { continue };
                add("terminal", terminal.clone(), String::new(), 0.0);
                let seal = key(&netlist.parts["terminals"][&terminal], "seal");
                if !seal.is_empty() {
                    add("seal", seal, String::new(), 0.0);
                }
            }
        }
    }
    for device in netlist.devices.values() {
        for element in device.get("inside").into_iter().flat_map(entries).map(|(_, element)| element) {
            let kind = key(element, "fuse");
            let is_there = !kind.is_empty() && key(element, "fitted") != "false";
            if is_there && netlist.parts["fuses"].contains_key(&kind) {
                add("fuse", kind.clone(), key(&netlist.parts["fuses"][&kind], "rating"), 0.0);
            }
        }
    }
    for sort in ["housing", "terminal", "seal", "wire", "cable", "fuse"] {
        let of = |all: &Counted| -> Counted {
            all.iter().filter(|((own, ..), _)| own == sort).map(|(key, held)| (key.clone(), *held)).collect()
        };
        let (by_hand, listed) = (of(&counted), of(&printed));
        assert!(!by_hand.is_empty(), "the demo has a {sort}");
        assert_eq!(by_hand.keys().collect::<Vec<_>>(), listed.keys().collect::<Vec<_>>(), "the sorts of {sort}");
        for (key, (count, metres)) in by_hand {
            let (own, length) = listed[&key];
            assert_eq!(own, count, "{key:?}");
            assert!((length - metres).abs() < 1e-3, "{key:?}: {length} m listed, {metres} m by hand");
        }
    }
}
