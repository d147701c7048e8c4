//! `like` and ranges of kinds as one types them: the others of the map are proposed, a name leads to its thing, a rename changes both.

use super::client::{Client, Units};
use lsp_server::Connection;
use serde_json::json;

const ROOT: &str = "file:///nowhere/lift.yaml";
const LIFT: &str = "format: 1
design: Lift
domains: { aux: { nominal: 12 V, max: 15 V, reference: chassis } }
parts:
  fuses: { b5: { standard: ISO 8820-3, type: F, rating: 5 A } }
  housings:
    QA-P..QD-P: { family: Q, positions: 2, contacts: pin, key: A..D }
    QA-S..QD-S: { mates-with: QA-P..QD-P }
    QK-P: { like: QA-P, key: K }
devices:
  box:
    domain: aux
    ports:
      IN: { stud: M6, role: supply }
      OUT: { like: IN, note: \"to the left\" }
      J1: { housing: QB-P, pins: { 1: { signal: a, role: input }, 2: { like: 1, signal: b } } }
    inside:
      F1: { fuse: b5, from: IN, to: OUT }
      F2: { like: F1, to: J1.2 }
  other: { like: box }
looms:
  l:
    ends:
      P1: { housing: QB-S, mates: box.J1 }
      P2: { like: P1, mates: other.J1 }
    wires:
      1: { from: P1.1, to: P2.1 }
";

#[test]
fn the_others_of_a_map_are_proposed() {
    let ends = Connection::memory();
    let mut client = Client::begun(&ends, Units::Utf16);
    client.open(ROOT, LIFT);
    client.run();
    let mut proposed = |old: &str, new: &str, before: &str| {
        client.replace(ROOT, old, new);
        let found = client.completions(ROOT, before);
        client.replace(ROOT, new, old);
        found
    };
    assert_eq!(proposed("F2: { like: F1,", "F2: { like: ,", "F2: { like: "), ["F1"]);
    let kinds = proposed("QK-P: { like: QA-P", "QK-P: { like: ", "QK-P: { like: ");
    assert_eq!(kinds, ["QA-P", "QB-P", "QC-P", "QD-P", "QA-S", "QB-S", "QC-S", "QD-S"]);
    assert_eq!(proposed("OUT: { like: IN", "OUT: { like: ", "OUT: { like: "), ["IN", "J1"]);
    assert_eq!(proposed("2: { like: 1,", "2: { like: ,", "role: input }, 2: { like: "), ["1"]);
    assert_eq!(proposed("other: { like: box", "other: { like: ", "other: { like: "), ["box"]);
    let keys = proposed("P2: { like: P1,", "P2: { li,", "P2: { li");
    assert!(keys.contains(&"like".to_owned()), "{keys:?}");
    let keys = proposed("    wires:\n", "    li\n    wires:\n", "    li");
    assert!(keys.contains(&"like".to_owned()), "{keys:?}");
    let none = proposed("format: 1\n", "format: 1\nli\n", "format: 1\nli");
    assert!(!none.contains(&"like".to_owned()), "a design has no name in a map: {none:?}");
}

#[test]
fn a_name_leads_to_its_thing_and_is_changed_with_it() {
    let ends = Connection::memory();
    let mut client = Client::begun(&ends, Units::Utf16);
    client.open(ROOT, LIFT);
    client.run();
    assert_eq!(client.findings(ROOT).iter().filter(|(rule, _)| rule.starts_with("format/")).count(), 0);
    let mut go = |before: &str| {
        let found = client.at("textDocument/definition", ROOT, before, json!({})).unwrap();
        let lines: Vec<u64> =
            found.as_array().unwrap().iter().map(|found| found["range"]["start"]["line"].as_u64().unwrap()).collect();
        lines.into_iter().filter_map(|line| LIFT.lines().nth(line as usize)?.trim().split(':').next()).collect::<Vec<_>>()
    };
    assert_eq!(go("F2: { like: F1"), ["F1"]);
    assert_eq!(go("QK-P: { like: QA-P"), ["QA-P..QD-P"]);
    assert_eq!(go("J1: { housing: QB-P"), ["QA-P..QD-P"]);
    assert_eq!(go("P2: { like: P1"), ["P1"]);
    assert_eq!(go("other: { like: box"), ["box"]);
    // Points of an element that says by `like` alone what it is, and a plug that a device has from another.
    assert_eq!(go("F2: { like: F1, to: J1"), ["J1"]);
    assert_eq!(go("mates: other.J1"), ["J1"]);
    let edit = client.at("textDocument/rename", ROOT, "F2: { like: F1", json!({ "newName": "F7" })).unwrap();
    client.apply(&edit);
    let text = client.text(ROOT);
    assert!(text.contains("F7: { fuse: b5") && text.contains("F2: { like: F7, to: J1.2 }"), "{text}");
    for before in ["    QA-P..", "J1: { housing: QB-P", "mates-with: QA-P"] {
        let (_, why) = client.at("textDocument/rename", ROOT, before, json!({ "newName": "ZZ" })).unwrap_err();
        assert!(why.contains("for several things"), "{before}: {why}");
    }
    let hover = client.at("textDocument/hover", ROOT, "F2: { li", json!({})).unwrap();
    assert!(hover["contents"]["value"].as_str().unwrap().contains("all keys of that one"), "{hover}");
}
