//! How a vehicle knows of the plug, wired in many ways: the wires that the rule names are those without which the vehicle drives.
//!
//! The reference leaves each wire out of the text and reads the whole design anew, which the rule does not: it opens edges of one circuit.

use harness_tests::{fixtures, report};
use std::collections::BTreeSet;

const RULE: &str = "charging/drives-on-charge";

fn text(name: &str) -> String {
    std::fs::read_to_string(fixtures().join("rules/charging").join(name)).expect("a fixture can be read")
}

/// The text with each of `edits` made once.
fn edited(name: &str, edits: &[(&str, &str)]) -> String {
    edits.iter().fold(text(name), |text, (from, to)| {
        assert!(text.contains(from), "{name} does not say `{from}`");
        text.replacen(from, to, 1)
    })
}

/// The wires of the one loom of a fixture, each with its line.
fn wires(text: &str) -> Vec<(String, String)> {
    let lines = text.lines().filter(|line| line.starts_with("      ") && line.contains(": { from: ") && line.contains("length:"));
    let named = |line: &str| Some((line.trim().split_once(':')?.0.to_owned(), line.to_owned()));
    lines.filter_map(named).collect()
}

/// What the rule says of a design: the wires of which one alone lets it drive, and whether it drives with all of them.
fn said(text: &str) -> (BTreeSet<String>, bool) {
    let (mut named, mut drives) = (BTreeSet::new(), false);
    for finding in report(text).findings.iter().filter(|finding| finding.rule == RULE) {
        let wires: Vec<String> =
            finding.concerns.iter().filter_map(|name| name.strip_prefix("main.")).map(str::to_owned).collect();
        drives |= wires.is_empty();
        named.extend(wires);
    }
    (named, drives)
}

/// Whether a note says that nothing holds what decides.
fn floats(text: &str) -> bool {
    let is_it =
        |headline: &str| headline.starts_with("whether the vehicle can drive") && headline.contains("nothing is drawn at");
    report(text).findings.iter().any(|finding| is_it(&finding.headline))
}

/// Designs in which an open wire lets the vehicle drive, and the same put right.
const UNSAFE: [(&str, &[(&str, &str)]); 6] = [
    (
        "drives-on-charge/closing-contact.yaml",
        &[
            ("switch: open, from: J.1, to: J.2, closed-in: [charge]", "switch: closed, from: J.1, to: J.2, open-in: [charge]"),
            (", active: low", ""),
        ],
    ),
    (
        "drives-on-charge/feeding-contact.yaml",
        &[
            ("switch: open, from: J.2, to: J.1, closed-in: [charge]", "switch: closed, from: J.2, to: J.1, open-in: [charge]"),
            ("pull: down, inhibits: drive", "pull: down, inhibits: drive, active: low"),
        ],
    ),
    (
        "drives-on-charge/relay.yaml",
        &[
            ("relay: normally-closed", "relay: normally-open"),
            ("switch: open, from: J.6, to: J.1, closed-in: [charge]", "switch: closed, from: J.6, to: J.1, open-in: [charge]"),
        ],
    ),
    (
        "drives-on-charge/output-low.yaml",
        &[
            ("switch: open, from: J.1, to: J.3, closed-in: [charge]", "switch: closed, from: J.1, to: J.3, open-in: [charge]"),
            (", active: low", ""),
        ],
    ),
    (
        "drives-on-charge/proximity-alone.yaml",
        &[(
            "role: control pilot, domain: aux }\n          5",
            "role: control pilot, inhibits: drive, domain: aux }\n          5",
        )],
    ),
    (
        "drives-on-charge/floating.yaml",
        &[
            ("role: input, inhibits: drive", "role: input, pull: down, inhibits: drive, active: low"),
            ("switch: open, from: J.2, to: J.1, closed-in: [charge]", "switch: closed, from: J.2, to: J.1, open-in: [charge]"),
        ],
    ),
];

#[test]
fn the_wires_that_are_named_are_those_without_which_it_drives() {
    for (name, _) in UNSAFE {
        let text = text(name);
        let (named, drives) = said(&text);
        assert!(!named.is_empty() && !drives, "{name}: {named:?}");
        let mut without = BTreeSet::new();
        for (wire, line) in wires(&text) {
            let cut = text.replacen(&format!("{line}\n"), "", 1);
            // A charger without its supply lets go of what it pulls; a design that is read anew keeps its contacts as its modes say.
            let is_supply = line.contains("from: RP, to: charger.") && named.contains(&wire);
            if said(&cut).1 || floats(&cut) || is_supply {
                without.insert(wire);
            }
        }
        assert_eq!(named, without, "{name}");
    }
}

#[test]
fn put_right_no_wire_alone_lets_it_drive() {
    for (name, edits) in UNSAFE {
        let text = edited(name, edits);
        assert_eq!(said(&text), (BTreeSet::new(), false), "{name}");
        assert!(!floats(&text), "{name}");
        for (wire, line) in wires(&text) {
            let cut = text.replacen(&format!("{line}\n"), "", 1);
            assert!(!said(&cut).1 && !floats(&cut), "{name} without wire {wire}");
        }
    }
}

#[test]
fn names_and_order_decide_nothing() {
    // The same as it was written, with the devices in the reverse order of their names and the modes in another order.
    for (name, _) in UNSAFE {
        let text = text(name);
        let renamed = text.replace("inverter", "a-inverter").replace("charger", "z-charger").replace(
            "modes: { parked: {}, drive: {}, charge: { immobile: true } }",
            "modes: { charge: { immobile: true }, drive: {}, parked: {} }",
        );
        assert_eq!(said(&text), said(&renamed), "{name}");
    }
}
