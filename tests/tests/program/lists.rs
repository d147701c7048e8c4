//! Findings name the row of the list that a thing was made from, in every format, whichever file they point into.

use super::{document, folder, harness};
use serde_json::Value;

const ROOT: &str = "\
format: 1
design: Lamp
include: [ wires.yaml, facts.yaml ]
domains: { aux: { nominal: 12 V, max: 15 V, reference: chassis } }
";

/// What a list gives. The feed has no fuse, which is a danger at wire 1.
const WIRES: &str = "\
format: 1
from: FROM
devices:
  battery: { row: 3, ports: { POS: { stud: M8, role: supply, domain: aux }, NEG: { stud: M8, role: return, domain: aux } } }
  lamp: { ports: { A: { stud: M6, role: supply, domain: aux }, B: { stud: M6, role: return, domain: aux } } }
looms:
  l:
    ends: { R1: { ring: M8, bolts-to: battery.POS }, R2: { ring: M8, bolts-to: battery.NEG }, R3: { ring: M6, bolts-to: lamp.A }, R4: { ring: M6, bolts-to: lamp.B } }
    wires:
      1: { from: R1, to: R3, size: 0.5 mm2, colour: RD, length: 1 m, row: 22 }
      2: { from: R4, to: R2, size: 0.5 mm2, colour: BK, length: 1 m, row: 23 }
";

/// What people add: the source of the danger, and a segment that there is none of.
const FACTS: &str = "\
devices:
  battery: { inside: { cell: { source: 12.6 V, resistance: 10 mohm, capacity: 20 Ah, positive: POS, negative: NEG } } }
  lamp: { inside: { l: { load: 1 A, from: A, to: B, kind: lamp } } }
looms: { l: { wires: { 2: { via: [ bonnet ] } } } }
";

/// The path of the design in a folder of its own.
fn design(name: &str, list: &str) -> String {
    let wires = WIRES.replace("FROM", list);
    let folder = folder(name, &[("lamp.yaml", ROOT), ("wires.yaml", &wires), ("facts.yaml", FACTS)]);
    folder.join("lamp.yaml").display().to_string()
}

#[test]
fn every_format_names_the_row() {
    let design = design("row-of-a-list", "wires.csv");
    // The danger is at wire 1 and shows the battery; the segment is missing in a file that people wrote.
    let danger = "wires.csv:22; wires.csv:3";
    for format in ["full", "short", "sarif", "junit", "annotations"] {
        let done = harness(&["check", "--format", format, &design]);
        let said = done.out.lines().find(|line| line.contains(danger));
        assert!(said.is_some_and(|line| line.contains("list:")), "{format}: {}", done.out);
        assert!(done.out.contains("wires.csv:23"), "{format}: {}", done.out);
    }
    let done = harness(&["check", "--format", "short", &design]);
    let places: Vec<(&str, bool)> =
        ["facts.yaml:4:36: ", "wires.yaml:10:7: "].map(|place| (place, done.out.contains(place))).into();
    assert!(places.iter().all(|(_, is_there)| *is_there), "{places:?} in {}", done.out);
    let done = harness(&["trace", &design, "l.1"]);
    // The place has a line of its own where the path is long.
    assert!(done.out.lines().take(2).any(|line| line.ends_with("wires.yaml:10:7 (wires.csv:22)")), "{}", done.out);
}

#[test]
fn json_has_list_and_row_of_each_place() {
    let design = design("row-of-a-book", "\"book.xlsx, tab Front\"");
    let report = document("report", &harness(&["check", "--format", "json", &design]));
    let findings = report["designs"][0]["findings"].as_array().unwrap();
    let row = |place: &Value| (place["row"]["list"].as_str().map(str::to_owned), place["row"]["row"].as_u64());
    let danger = findings.iter().find(|finding| finding["rule"] == "protection/missing-fuse").unwrap();
    let book = || Some("book.xlsx, tab Front".to_owned());
    assert_eq!(row(&danger["primary"]), (book(), Some(22)));
    assert_eq!(row(&danger["labels"][0]), (book(), Some(3)), "the source is written in the other file");
    // Whatever names a place in JSON names the row beside it.
    let trace = document("trace", &harness(&["trace", "--format", "json", &design, "l.1"]));
    assert_eq!(row(&trace["written"]), (book(), Some(22)));
    let loads = document("loads", &harness(&["loads", "--format", "json", &design]));
    assert_eq!(row(&loads["conductors"][0]["written"]), (book(), Some(22)));
    let astray = findings.iter().find(|finding| finding["rule"] == "format/unknown-name").unwrap();
    assert_eq!(row(&astray["primary"]), (book(), Some(23)));
    // With a tab in its name a list has its row in words.
    let short = harness(&["check", "--format", "short", &design]).out;
    assert!(short.contains("list: book.xlsx, tab Front, row 22; book.xlsx, tab Front, row 3"), "{short}");
}

#[test]
fn a_design_without_lists_says_nothing_of_rows() {
    let path = design("no-list", "wires.csv");
    let folder = std::path::Path::new(&path).parent().unwrap();
    let without = WIRES.replace("from: FROM\n", "").replace(", row: 22", "").replace(", row: 23", "").replace("row: 3, ", "");
    std::fs::write(folder.join("wires.yaml"), without).unwrap();
    for format in ["full", "short", "json", "sarif", "junit", "annotations"] {
        let out = harness(&["check", "--format", format, &path]).out;
        assert!(!out.contains("wires.csv") && !out.contains("\"row\"") && !out.contains("\"rows\""), "{format}: {out}");
    }
}

#[test]
fn a_row_that_says_nothing_is_found_once() {
    let path = design("rows-of-nothing", "wires.csv");
    let folder = std::path::Path::new(&path).parent().unwrap();
    let found = |wires: String| -> Vec<String> {
        std::fs::write(folder.join("wires.yaml"), wires).unwrap();
        let out = harness(&["check", "--format", "short", &path]).out;
        out.lines()
            .filter(|line| line.contains("wires.yaml:") && line.contains("[format/"))
            .map(|line| line.split("wires.yaml:").nth(1).unwrap().to_owned())
            .collect()
    };
    let without = found(WIRES.replace("from: FROM\n", ""));
    assert_eq!(without.len(), 1, "{without:?}");
    assert!(without[0].contains("a row is given, and the key `from` is missing in its file"), "{without:?}");
    let bad = found(WIRES.replace("FROM", "wires.csv").replace("row: 22", "row: ~22").replace("row: 3", "row: 0"));
    assert_eq!(bad.len(), 2, "{bad:?}");
    assert!(bad.iter().all(|line| line.contains("the number of a row, from 1")), "{bad:?}");
}
