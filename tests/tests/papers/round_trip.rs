//! The tables of the cut lists and connector sheets, read back, are the netlist of each loom: nothing is lost, moved or added.

use super::{
    Rows,
    netlist::{Netlist, entries, figure, key, millimetres, read, text},
    table,
};
use serde_yaml::Value;
use std::collections::{BTreeMap, BTreeSet};

/// A wire as both sides say it.
#[derive(Debug, PartialEq)]
struct Wire {
    ends: BTreeSet<String>,
    size_mm2: String,
    colour: String,
    length_mm: String,
    kind: String,
    core: String,
    twist: String,
}

fn written(netlist: &Netlist, loom: &str, held: &Value) -> BTreeMap<String, Wire> {
    let of_loom = &netlist.looms[loom];
    let wire = |(number, wire): (String, &Value)| {
        let core = key(wire, "core");
        let cable = core.split_once('.').map(|(cable, label)| (&of_loom["cables"][cable], label.to_owned()));
        let kind = cable.as_ref().map(|(cable, _)| key(cable, "part"));
        let made = cable.as_ref().zip(kind.as_ref()).map(|((_, label), kind)| {
            entries(&netlist.parts["cables"][kind]["cores"]).get(label.as_str()).map(|core| (*core).clone()).expect("the core")
        });
        let size = made.as_ref().map_or_else(|| key(wire, "size"), |core| key(core, "size"));
        let length = cable.as_ref().map_or_else(|| key(wire, "length"), |(cable, _)| key(cable, "length"));
        let end = |name: &str| match key(wire, name).as_str() {
            "capped" => format!("{loom}.{number}"),
            place => format!("{loom}.{place}"),
        };
        let wire = Wire {
            ends: ["from", "to"].map(end).into(),
            size_mm2: figure(&size).0.to_string(),
            colour: made.as_ref().map_or_else(|| key(wire, "colour"), |core| key(core, "colour")),
            length_mm: if length.is_empty() { String::new() } else { millimetres(&length).to_string() },
            kind: kind.unwrap_or_else(|| match key(wire, "wire") {
                own if own.is_empty() => key(of_loom, "wire"),
                own => own,
            }),
            core,
            twist: key(wire, "twist"),
        };
        (number, wire)
    };
    entries(&held["wires"]).into_iter().map(wire).collect()
}

fn printed(loom: &str) -> BTreeMap<String, Wire> {
    let rows = table("cut-list", &["--loom", loom, "--table", "wires"]);
    let wire = |row: BTreeMap<String, String>| {
        let wire = Wire {
            ends: [row["from"].clone(), row["to"].clone()].into(),
            size_mm2: row["size_mm2"].clone(),
            colour: row["colour"].clone(),
            length_mm: row["length_mm"].clone(),
            kind: row["kind"].clone(),
            core: row["core"].clone(),
            twist: row["twist"].clone(),
        };
        (row["wire"].clone(), wire)
    };
    let count = rows.len();
    let wires: BTreeMap<String, Wire> = rows.into_iter().map(wire).collect();
    assert_eq!(wires.len(), count, "each wire once");
    wires
}

#[test]
fn a_cut_list_is_the_wires_of_its_loom() {
    let netlist = read();
    let mut wires = 0;
    for (loom, held) in &netlist.looms {
        let (written, printed) = (written(&netlist, loom, held), printed(loom));
        assert_eq!(written.keys().collect::<Vec<_>>(), printed.keys().collect::<Vec<_>>(), "the wires of {loom}");
        for (number, wire) in &written {
            assert_eq!(&printed[number], wire, "wire {loom}.{number}");
        }
        wires += written.len();
    }
    assert!(wires > 200, "{wires} wires");
}

#[test]
fn the_connector_sheets_are_the_ends_of_each_loom_with_every_cavity() {
    let netlist = read();
    let mut cavities = 0;
    for (loom, held) in &netlist.looms {
        let rows = table("connector-sheets", &["--loom", loom]);
        let ends: BTreeSet<&str> = rows.iter().map(|row| row["end"].as_str()).collect();
        let named: BTreeSet<String> = entries(&held["ends"]).keys().map(|end| format!("{loom}.{end}")).collect();
        assert_eq!(ends, named.iter().map(String::as_str).collect(), "the ends of {loom}");
        for (end, said) in entries(&held["ends"]) {
            let own: Rows = rows.iter().filter(|row| row["end"] == format!("{loom}.{end}")).cloned().collect();
            sheet(&netlist, (loom, &end, said), &own);
            cavities += own.len();
        }
        // Every end of every wire is on the sheet of its end, in its cavity.
        let on_sheets: BTreeSet<(String, String)> = rows
            .iter()
            .filter(|row| row["state"] == "wired" && row["wire"] != "in line")
            .map(|row| {
                let at = if row["cavity"].is_empty() { row["end"].clone() } else { format!("{}.{}", row["end"], row["cavity"]) };
                (row["wire"].clone(), at)
            })
            .collect();
        let own_ends: Vec<String> = entries(&held["ends"]).into_keys().collect();
        let in_wires: BTreeSet<(String, String)> = entries(&held["wires"])
            .into_iter()
            .flat_map(|(number, wire)| ["from", "to"].map(|end| (number.clone(), key(wire, end))))
            .filter(|(_, place)| own_ends.iter().any(|end| end == place.split('.').next().unwrap_or("")))
            .map(|(number, place)| (number, format!("{loom}.{place}")))
            .collect();
        assert_eq!(on_sheets, in_wires, "the wires at the ends of {loom}");
    }
    assert!(cavities > 400, "{cavities} rows");
}

/// One end: its housing, its mate, all its cavities, the plugged ones.
fn sheet(netlist: &Netlist, (loom, end, said): (&str, &str, &Value), rows: &Rows) {
    let name = format!("{loom}.{end}");
    let first = &rows[0];
    let housing = key(said, "housing");
    let mate = ["mates", "bolts-to", "lands-on"].map(|word| key(said, word)).concat();
    if !mate.is_empty() {
        assert_eq!(first["mates_with"], mate, "what {name} mates");
    }
    if housing.is_empty() {
        assert_eq!(rows.iter().map(|row| row["cavity"].as_str()).collect::<BTreeSet<_>>(), BTreeSet::from([""]), "{name}");
        return;
    }
    assert_eq!(first["end_sort"], housing, "the housing of {name}");
    let kind = &netlist.parts["housings"][&housing];
    let labels: BTreeSet<String> = match (&kind.get("face"), &kind.get("positions")) {
        (Some(face), _) => {
            face.as_sequence().into_iter().flatten().flat_map(|row| row.as_sequence().into_iter().flatten()).map(text).collect()
        }
        (None, Some(Value::Number(count))) => (1..=count.as_u64().expect("a count")).map(|at| at.to_string()).collect(),
        (None, Some(list)) => list.as_sequence().into_iter().flatten().map(text).collect(),
        (None, None) => panic!("{housing} has neither face nor positions"),
    };
    let on_sheet: BTreeSet<String> = rows.iter().map(|row| row["cavity"].clone()).collect();
    assert_eq!(on_sheet, labels, "the cavities of {name}");
    let plugged: BTreeSet<String> = said.get("plugged").and_then(Value::as_sequence).into_iter().flatten().map(text).collect();
    let closed: BTreeSet<String> = rows.iter().filter(|row| row["state"] == "plugged").map(|row| row["cavity"].clone()).collect();
    if said.get("plugged").is_none_or(Value::is_sequence) {
        assert_eq!(closed, plugged, "the plugged cavities of {name}");
    }
    let terminal = key(said, "terminal");
    let others = said.get("terminals").map(entries).unwrap_or_default();
    for row in rows.iter().filter(|row| row["state"] == "wired" && row["wire"] != "in line") {
        let own = others.get(&row["cavity"]).map(|terminal| text(terminal)).unwrap_or_else(|| terminal.clone());
        if !own.is_empty() {
            assert_eq!(row["terminal"], own, "the terminal in {name}.{}", row["cavity"]);
        }
    }
}
