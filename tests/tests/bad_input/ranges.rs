//! Several cavities in one word: each slip is one finding, and what is right is what the cavities one by one would be.

use harness_core::{
    Document, MemoryFiles,
    diff::{Edits, changes, inventory},
};
use harness_tests::report;

fn design(pins: &str, plugged: &str) -> String {
    format!(
        "format: 1
design: Pump
parts:
  housings:
    Q8M: {{ family: Q, positions: 8, contacts: pin }}
    Q8F: {{ family: Q, positions: 8, contacts: socket }}
    R: {{ family: R, positions: [01, 02, 03, A1, A2, A3], contacts: pin }}
devices:
  unit: {{ ports: {{ J1: {{ housing: Q8M, pins: {pins} }} }} }}
  other: {{ ports: {{ J1: {{ housing: R, pins: {{ 01..03: spare, A1..A3: spare }} }} }} }}
looms:
  l: {{ ends: {{ P1: {{ housing: Q8F, mates: unit.J1, plugged: {plugged} }} }} }}
"
    )
}

/// The reading mistakes of a design.
fn mistakes(pins: &str, plugged: &str) -> Vec<String> {
    let report = report(&design(pins, plugged));
    report
        .findings
        .iter()
        .filter(|found| found.rule.starts_with("format/"))
        .map(|found| format!("{}: {}", found.rule, found.headline))
        .collect()
}

#[test]
fn a_range_is_its_cavities_one_by_one() {
    let plain = design(
        "{ 1: { signal: feed, role: input }, 2: { signal: feed, role: input }, 3: { signal: feed, role: input }, 4: spare, 5: spare, 6: spare, 7: spare, 8: spare }",
        "[5, 6, 7, 8, 4]",
    );
    let forms = [
        ("{ 1..3: { signal: feed, role: input }, 4..8: spare }", "4..8"),
        ("{ '1, 2, 3': { signal: feed, role: input }, 4 .. 8: spare }", "[4..5, 6..8]"),
        ("{ '1..2, 3': { role: input, signal: feed }, \"4..7\": spare, 8: spare }", "'4, 5..8'"),
        ("\n        1, 2, 3: { role: input, signal: feed }\n        4..8: spare\n      ", "[4, 5, 6, 7, 8]"),
    ];
    let read = |text: &str| inventory(&Document::read(&MemoryFiles::one("design.yaml", text), "design.yaml"));
    let found = |text: &str| {
        let mut found: Vec<(String, Vec<String>)> = report(text)
            .findings
            .iter()
            .map(|found| (format!("{} {}", found.rule, found.headline), found.concerns.clone()))
            .collect();
        found.sort();
        found
    };
    assert_eq!(
        found(&plain).iter().filter(|(said, _)| said.contains("netlist/unconnected-pin")).count(),
        3,
        "{:?}",
        found(&plain)
    );
    for (pins, plugged) in forms {
        let terse = if pins.starts_with('{') {
            design(pins, plugged)
        } else {
            design("PINS", plugged).replace(
                "{ J1: { housing: Q8M, pins: PINS } } }",
                &format!(
                    "\n    {{ J1: {{ housing: Q8M, pins: {{{}}} }} }} }}",
                    pins.trim().replace("1, 2, 3", "'1, 2, 3'").replace('\n', ",")
                ),
            )
        };
        assert_eq!(found(&terse), found(&plain), "{pins} {plugged}");
        let told: Vec<String> =
            changes(&Edits::between(&read(&plain), &read(&terse))).iter().map(harness_core::diff::Change::headline).collect();
        assert_eq!(told, [""; 0], "{pins} {plugged}");
    }
}

#[test]
fn each_slip_is_one_finding() {
    for (pins, plugged, said) in [
        ("{ 5..3: spare }", "[]", "format/range: `5..3` runs backwards from `5` to `3`"),
        ("{ A1..B4: spare }", "[]", "format/range: `A1..B4` leads from `A1` to `B4`, which do not count on from each other"),
        (
            "{ 08..012: spare }",
            "[]",
            "format/range: `08..012` leads from `08` to `012`, with and without a zero before the digits",
        ),
        ("{ 1..: spare }", "[]", "format/range: `1..` lacks one of its ends"),
        ("{ 1..5: spare, 4..8: spare }", "[]", "format/range: `4..8` names `4`, `5`, which `1..5` names too"),
        ("{ 1..5: spare, 4: spare }", "[]", "format/range: `4` is among `1..5` too"),
        ("{ '1, 3, 3': spare }", "[]", "format/range: `1, 3, 3` names `3` twice"),
        ("{ 1, 3, 5: spare }", "[]", "format/range: `1, 3, 5` between braces is not a list: only `5` has a value"),
        (
            "{ 1..20: spare }",
            "[]",
            "format/unknown-name: `1..20` goes beyond the housing, which has no positions `9`, `10`, `11`, `12`, `13`, `14` and 6 more",
        ),
        ("{ 1..9: spare }", "[]", "format/unknown-name: `1..9` goes beyond the housing, which has no position `9`"),
        (
            "{ 01..08: spare }",
            "[]",
            "format/unknown-name: `01..08` goes beyond the housing, which has no positions `01`, `02`, `03`, `04`, `05`, `06` and 2 more",
        ),
        ("{ 1..8: { rol: input } }", "[]", "format/unknown-key: there is no key `rol` here"),
        ("{ 1..8: spar }", "[]", "format/unexpected-value: `spar` is all that is said of a pin, and near to `spare`"),
        ("{ 1..8: { domain: aus } }", "[]", "format/unknown-name: there is no voltage domain `aus`"),
        ("{ 1..8: spare }", "8..1", "format/range: `8..1` runs backwards from `8` to `1`"),
        ("{ 1..8: spare }", "[1..4, 3]", "format/range: `3` is among `1..4` too"),
        ("{ 1..8: spare }", "[1..10]", "format/unknown-name: `P1` has no positions `9`, `10`"),
    ] {
        assert_eq!(mistakes(pins, plugged), [said], "{pins} {plugged}");
    }
    // What looks like a range is asked about.
    let report = report(&design("{ 1-8: spare }", "[]"));
    assert!(
        report.findings.iter().any(|found| found.help == "write `1..8` for all from `1` to `8`"),
        "{}",
        harness_tests::words(&report)
    );
}

#[test]
fn a_range_that_would_fill_a_machine_is_refused() {
    assert_eq!(mistakes("{ 1..10001: spare }", "[]"), ["format/range: `1..10001` names 10001 cavities"]);
    assert_eq!(mistakes("{ 1..4000000000: spare }", "[]"), ["format/range: `1..4000000000` names 4000000000 cavities"]);
    let many: Vec<String> = (0..60).map(|at| format!("x{at}: {{ ports: {{ J1: {{ pins: {{ 1..9000: spare }} }} }} }}")).collect();
    let text = format!("format: 1\ndesign: Pump\ndevices: {{ {} }}\n", many.join(", "));
    let design = harness_core::Design::load(&MemoryFiles::one("design.yaml", text), "design.yaml");
    let limits: Vec<&str> = design.mistakes().iter().map(|found| found.rule).collect();
    assert_eq!(limits, ["format/limit"; 5]);
}

#[test]
fn yes_and_no_are_what_true_and_false_are() {
    let text = |yes: &str, no: &str| format!("format: 1\ndesign: Pump\nzones: {{ a: {{ wet: {yes} }}, b: {{ wet: {no} }} }}\n");
    let read = |text: &str| inventory(&Document::read(&MemoryFiles::one("design.yaml", text), "design.yaml"));
    assert_eq!(read(&text("yes", "no")), read(&text("true", "false")));
    assert_ne!(read(&text("yes", "no")), read(&text("no", "yes")));
    let report = report(&text("Yes", "off"));
    let said: Vec<&str> = report.findings.iter().map(|found| found.headline.as_str()).collect();
    assert_eq!(said, ["`Yes` is written where `yes` or `no` belongs", "`off` is written where `yes` or `no` belongs"]);
}
