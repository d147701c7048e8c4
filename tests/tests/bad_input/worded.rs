//! Wires and pins in words: what is right is what the map would be, each piece has its place, and each slip is one finding.

use super::expect::{reads, told};
use harness_core::{
    Document, MemoryFiles,
    diff::{Edits, changes, inventory},
};
use harness_tests::report;

fn design(wires: &str, pins: &str) -> String {
    format!(
        "format: 1
design: Pump
domains: {{ aux: {{ nominal: 12 V, max: 15 V, reference: chassis }} }}
zones: {{ hood: {{ ambient: 40 degC }} }}
parts:
  conductors: {{ thin: {{ standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin, insulation: PVC }} }}
  cables: {{ duo: {{ cores: {{ 1: {{ size: 0.5 mm2, colour: BN }}, 2: {{ size: 0.5 mm2, colour: BU }} }} }} }}
  housings:
    Q4M: {{ family: Q, positions: 4, contacts: pin }}
    Q4F: {{ family: Q, positions: 4, contacts: socket }}
devices:
  a: {{ zone: hood, ports: {{ J1: {{ housing: Q4M, pins: {pins} }} }} }}
  b: {{ zone: hood, ports: {{ J1: {{ housing: Q4M, pins: {{ 1..4: {{ signal: feed, role: input }} }} }} }} }}
looms:
  l:
    wire: thin
    zone: hood
    ends:
      P1: {{ housing: Q4F, mates: a.J1 }}
      P2: {{ housing: Q4F, mates: b.J1 }}
    splices: {{ S1: {{}} }}
    cables: {{ C1: {{ part: duo }} }}
    route: {{ TRUNK: {{ length: 1 m }}, REAR: {{ length: 1 m }} }}
    wires: {wires}
"
    )
}

const PINS: &str = "{ 1..4: { signal: feed, role: output } }";

/// The headlines of what differs.
fn differs(one: &str, other: &str) -> Vec<String> {
    let read = |text: &str| inventory(&Document::read(&MemoryFiles::one("design.yaml", text), "design.yaml"));
    changes(&Edits::between(&read(one), &read(other))).iter().map(harness_core::diff::Change::headline).collect()
}

/// What is found in a design, each with the text that it points at.
fn found(text: &str) -> Vec<(String, String)> {
    let report = report(text);
    let place = |span| report.sources.slice(span).to_owned();
    let mut found: Vec<(String, String)> =
        report.findings.iter().map(|found| (found.headline.clone(), place(found.primary.span))).collect();
    found.sort();
    found
}

/// The reading mistakes of a design.
fn mistakes(wires: &str, pins: &str) -> Vec<String> {
    let report = report(&design(wires, pins));
    let own = report.findings.iter().filter(|found| found.rule.starts_with("format/"));
    own.map(|found| format!("{}: {}", found.rule, found.headline)).collect()
}

#[test]
fn a_wire_in_words_is_the_map_that_it_means() {
    for (words, map) in [
        ("P1.1 to P2.1", "from: P1.1, to: P2.1"),
        (
            "P1.1 to P2.1, 0.75 mm2, RD/BK, 1900 mm, via TRUNK",
            "from: P1.1, to: P2.1, size: 0.75 mm2, colour: RD/BK, length: 1900 mm, via: [TRUNK]",
        ),
        (
            "P1.1 to P2.1, 1900 mm,RD,0.75 mm², via TRUNK and REAR",
            "from: P1.1, to: P2.1, size: 0.75 mm², colour: RD, length: 1900 mm, via: [TRUNK, REAR]",
        ),
        ("P1.1 to S1, 18 AWG, twist T1, GNYE", "from: P1.1, to: S1, size: 18 AWG, colour: GNYE, twist: T1"),
        ("P1.1 to capped, AWG 20, end capped", "from: P1.1, to: capped, size: AWG 20, end: capped"),
        ("from P1.1 to P2.1, size 1 mm2, colour RD, length 3 m", "from: P1.1, to: P2.1, size: 1 mm2, colour: RD, length: 3 m"),
        ("to P2.1, core C1.1, from P1.1", "from: P1.1, to: P2.1, core: C1.1"),
        (
            "P1.1 to P2.1, 1 mm2, current 10 A, peak 40 A for 200 ms, wire thin, note cut last, unsure the length and the way",
            "from: P1.1, to: P2.1, size: 1 mm2, current: 10 A, peak: 40 A for 200 ms, wire: thin, note: cut last, unsure: [the length and the way]",
        ),
        // What a map has wrong, words have wrong too.
        ("P1 to P2.1, 0.75 mm2", "from: P1, to: P2.1, size: 0.75 mm2"),
        ("P1.1 to P7.1, 0.75, via TRUNK, wire thick", "from: P1.1, to: P7.1, size: 0.75, via: [TRUNK], wire: thick"),
        ("P1.1 to P2.1, ~1900 mm", "from: P1.1, to: P2.1, length: ~1900 mm"),
        ("P1.1 to P2.1, 3 ft", "from: P1.1, to: P2.1, length: 3 ft"),
        ("P1.1 to P2.1, red", "from: P1.1, to: P2.1, colour: red"),
        ("P1.1 to P2.1, RD-BK", "from: P1.1, to: P2.1, colour: RD-BK"),
        ("P1.1 to P2.1, 0.75 mm^2", "from: P1.1, to: P2.1, size: 0.75 mm^2"),
        ("P1.1 to P2.1, 0 mm", "from: P1.1, to: P2.1, length: 0 mm"),
        ("P1.1 to P2.1, via SIDE", "from: P1.1, to: P2.1, via: [SIDE]"),
    ] {
        let map = design(&format!("{{ 1: {{ {map} }} }}"), PINS);
        let texts = [
            format!("\n      1: {words}"),
            format!("\n      1: \"{words}\"   # as cut"),
            format!("\n      1:\n        '{words}'"),
            format!("{{ 1: \"{words}\" }}"),
            format!("\n      1: {}", words.replace(", ", ",\n        ")),
        ];
        for text in texts {
            let text = design(&text, PINS);
            assert_eq!(differs(&map, &text), [""; 0], "{words}");
            if !words.contains("0.75,") {
                assert_eq!(found(&map), found(&text), "{words}");
            }
        }
    }
}

#[test]
fn a_pin_in_words_is_the_map_that_it_means() {
    for (words, map) in [
        ("feed, output", "signal: feed, role: output"),
        ("feed", "signal: feed"),
        ("signal ground, return, domain aux", "signal: signal ground, role: return, domain: aux"),
        ("feed, pull down, input, need optional", "signal: feed, role: input, pull: down, need: optional"),
        ("feed, role output, drive high-side, clamped yes", "signal: feed, role: output, drive: high-side, clamped: yes"),
        ("5 V, sensor supply, tap 2", "signal: 5 V, role: sensor supply, tap: 2"),
        ("drive enable, input, enables drive, active low", "signal: drive enable, role: input, enables: drive, active: low"),
        // What a map has wrong, words have wrong too.
        ("feed, outptu", "signal: feed, role: outptu"),
        ("feed, output, domain hv, network can", "signal: feed, role: output, domain: hv, network: can"),
    ] {
        for range in ["1..4", "1"] {
            let map = design("{}", &format!("{{ {range}: {{ {map} }} }}"));
            let text = design("{}", &format!("{{ {range}: \"{words}\" }}"));
            assert_eq!(differs(&map, &text), [""; 0], "{words}");
            assert_eq!(found(&map), found(&text), "{words}");
        }
    }
}

#[test]
fn each_slip_in_a_wire_is_one_finding() {
    for (words, said) in [
        ("P1.1 -> P2.1, 1 mm2", "format/missing-key: `P1.1 -> P2.1` does not say from where to where a wire goes"),
        ("P1.1 P2.1, 1 mm2", "format/missing-key: `P1.1 P2.1` does not say from where to where a wire goes"),
        ("P1.1, P2.1, 1 mm2", "format/missing-key: `P1.1` does not say from where to where a wire goes"),
        ("1 mm2, P1.1 to P2.1", "format/unexpected-value: `P1.1 to P2.1` is behind `1 mm2`, and the ends of a wire come first"),
        ("P1.1 to", "format/missing-key: `P1.1 to` does not say from where to where a wire goes"),
        ("to P2.1", "format/missing-key: the key `from` is missing here"),
        ("spare", "format/missing-key: `spare` does not say from where to where a wire goes"),
        ("P1.1 to P2.1 to P2.2", "format/unexpected-value: `P1.1 to P2.1 to P2.2` goes to more than one place"),
        ("P1.1 to P2.1 1 mm2", "format/unexpected-value: `P2.1 1 mm2` holds an end and a fact without a comma between them"),
        ("P1.1 to P2.1, 1 mm2 RD", "format/unexpected-value: `1 mm2 RD` holds two facts without a comma between them"),
        ("P1.1 to P2.1, 1 mm2, 2 mm2", "format/repeated-key: the `size` of a wire is given twice: `2 mm2` is the second"),
        ("P1.1 to P2.1, RD, colour BK", "format/repeated-key: the `colour` of a wire is given twice: `colour BK` is the second"),
        ("P1.1 to P2.1, 0,75 mm2", "format/quantity: `0,75 mm2` has a comma in its number"),
        ("P1.1 to P2.1, 22", "format/quantity: `22` has no unit"),
        ("P1.1 to P2.1, 10 A", "format/unexpected-value: `10 A` has no key before it"),
        ("P1.1 to P2.1, capped", "format/unexpected-value: `capped` has no key before it"),
        ("P1.1 to P2.1, TRUNK", "format/unexpected-value: `TRUNK` gives no fact of a wire"),
        ("P1.1 to P2.1, tvist T1", "format/unexpected-value: `tvist T1` gives no fact of a wire"),
        ("P1.1 to P2.1, via", "format/unexpected-value: nothing is written behind `via`"),
        ("P1.1 to P2.1, via TRUNK, REAR", "format/unexpected-value: `REAR` has no key, and follows `via TRUNK`"),
        ("P1.1 to P2.1, via [TRUNK, REAR]", "format/unexpected-value: `via [TRUNK, REAR]`: a list in words has no brackets"),
        ("P1.1 to P2.1, via=TRUNK", "format/unexpected-value: `via=TRUNK`: a key in words has no sign behind it"),
        ("P1.1 to P2.1,, 1 mm2", "format/unexpected-value: a comma has nothing beside it"),
        ("P1.1 to P2.1, 1 mm2,", "format/unexpected-value: a comma has nothing beside it"),
    ] {
        assert_eq!(mistakes(&format!("\n      1: {words}"), PINS), [said], "{words}");
    }
    let escaped = "format/unexpected-value: a wire in words is written with escapes, doubled quotes or as a block";
    assert_eq!(mistakes("\n      1: \"P1.1 to\\tP2.1\"", PINS), [escaped]);
    assert_eq!(mistakes("\n      1: |\n        P1.1 to P2.1", PINS), [escaped]);
    // A second colon is one mistake, whatever it has cut.
    assert_eq!(mistakes("\n      1: P1.1 to P2.1, via: TRUNK", PINS).len(), 1);
}

#[test]
fn each_slip_in_a_pin_is_one_finding() {
    let lone = |word: &str, why: &str| (word.to_owned(), format!("format/unexpected-value: `{word}` {why}"));
    let near = |word: &str| lone(word, "is all that is said of a pin, and near to `spare`");
    let unused = |word: &str| lone(word, "is all that is said of a pin, and not the name of a signal");
    let role = |word: &str| lone(word, "says what a pin does, and not which signal it has");
    let said = |words: &str, said: &str| (words.to_owned(), said.to_owned());
    for (words, said) in [
        near("sapre"),
        near("spar"),
        near("Spare"),
        unused("NC"),
        unused("n/c"),
        unused("not used"),
        unused("plugged"),
        role("supply"),
        role("CAN high"),
        role("role supply"),
        role("network can"),
        lone("12", "is not the name of a signal"),
        said("spare, input", "format/unexpected-value: `spare` says that nothing is behind the pin, and more follows"),
        said("feed, high-side", "format/unexpected-value: `high-side` has no key before it"),
        said("feed, none", "format/unexpected-value: `none` has no key before it"),
        said("feed, supply, return", "format/repeated-key: the `role` of a pin is given twice: `return` is the second"),
        said("feed, supply, 12 V", "format/unexpected-value: `12 V` gives no fact of a pin"),
        said("feed, netwrok can", "format/unexpected-value: `netwrok can` gives no fact of a pin"),
        said("feed,", "format/unexpected-value: a comma has nothing beside it"),
    ] {
        assert_eq!(mistakes("{}", &format!("{{ 1: \"{words}\" }}")), [said], "{words}");
    }
    assert_eq!(mistakes("{}", "{ 1: spare, 2: plus and minus }"), [""; 0]);
}

#[test]
fn words_between_braces_need_quotes() {
    let torn = |thing: &str| {
        format!("format/unexpected-value: the words of {thing} are not in quotes, and a comma between braces ends a value")
    };
    assert_eq!(
        mistakes("{ 1: P1.1 to P2.1, 1 mm2, RD, 2: P1.2 to P2.2, 1 mm2, RD, via TRUNK }", PINS),
        [torn("wire `1`"), torn("wire `2`")]
    );
    assert_eq!(mistakes("{}", "{ 1: feed, output, 2: other feed, output, 3: spare }"), [torn("pin `1`"), torn("pin `2`")]);
    let list = "format/range: `1, 3, 4` between braces is not a list: only `4` has a value";
    assert_eq!(mistakes("{}", "{ 2: feed, 1, 3, 4: spare }"), [list]);
}

#[test]
fn a_slip_is_shown_at_its_piece() {
    reads(
        design("\n      1: P1.1 to P2.1, 0.75 mm2, tvist T1", PINS),
        &[told("25:34", "format/unexpected-value", "`tvist T1`", "write `twist`")],
    );
    reads(
        design("\n      1: 'P1.1 to P2.1, 0,75 mm2'", PINS),
        &[told("25:25", "format/quantity", "`0,75 mm2`", "write `0.75 mm2`")],
    );
}

#[test]
fn words_in_one_file_and_a_map_in_another_are_one_wire() {
    let root =
        |wire: &str| design(&format!("{{ 1: {wire} }}"), PINS).replace("design: Pump", "design: Pump\ninclude: [more.yaml]");
    let read = |wire: &str, more: &str| {
        let more = format!("looms: {{ l: {{ wires: {{ 1: {more} }} }} }}\n");
        let files = MemoryFiles::one("design.yaml", root(wire)).and("more.yaml", more);
        Document::read(&files, "design.yaml")
    };
    let whole = inventory(&read("{ from: P1.1, to: P2.1, size: 1 mm2, note: cut it last }", "{}"));
    for (one, other) in [
        ("\"P1.1 to P2.1, 1 mm2\"", "{ note: cut it last }"),
        ("{ note: cut it last }", "\"P1.1 to P2.1, 1 mm2\""),
        ("\"P1.1 to P2.1, 1 mm2\"", "\"note cut it last\""),
    ] {
        let difference = changes(&Edits::between(&whole, &inventory(&read(one, other))));
        let told: Vec<String> = difference.iter().map(harness_core::diff::Change::headline).collect();
        assert_eq!(told, [""; 0], "{one} {other}");
    }
}

#[test]
fn words_where_a_map_is_needed_are_one_finding() {
    let text =
        design("{}", PINS).replace("splices: { S1: {} }", "splices: { S1: {} }\n    inside: { F1: \"P1.1 to P2.1, b10\" }");
    let report = report(&text);
    let found: Vec<&str> =
        report.findings.iter().filter(|found| found.rule.starts_with("format/")).map(|found| found.help.as_str()).collect();
    assert!(
        found.len() == 1 && found[0].ends_with("; of the things of a design, wires and pins alone may be words"),
        "{found:?}"
    );
}

#[test]
fn a_wire_in_words_has_the_row_of_its_list() {
    let list = "format: 1\nfrom: wires.csv\nlooms: { l: { wires: { 1: \"P1.1 to P2.1, 1 mm2, row 22\", 2: { from: P1.2, to: P2.2, row: 23 } } } }\n";
    let root = design("{ 1: RD, 2: \"colour BK, note cut it last\" }", PINS)
        .replace("design: Pump", "design: Pump\ninclude: [more.yaml]");
    let root = root.replace("{ 1: RD,", "{ 1: colour RD,");
    let files = MemoryFiles::one("design.yaml", root.as_str()).and("more.yaml", list);
    let design = harness_core::Design::load(&files, "design.yaml");
    assert_eq!(design.mistakes().iter().map(|found| found.headline.as_str()).collect::<Vec<_>>(), [""; 0]);
    let origins = harness_core::Origins::new(design.sources());
    for (name, text, words, row) in [
        ("more.yaml", list, "P1.1 to", "wires.csv:22"),
        ("more.yaml", list, "P1.2", "wires.csv:23"),
        ("design.yaml", &root, "RD", "wires.csv:22"),
        ("design.yaml", &root, "BK", "wires.csv:23"),
    ] {
        let (id, _) = design.sources().files().find(|(_, file)| file.name() == name).unwrap();
        let at = text.find(words).unwrap() as u32;
        let of = origins.of(harness_core::source::Span::new(id, at, at + 1)).map(ToString::to_string);
        assert_eq!(of.as_deref(), Some(row), "{name} {words}");
    }
}
