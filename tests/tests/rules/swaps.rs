//! Swaps of wires, plugs and poles: what is proposed keeps the rest of the loom as it is, and what is not certain is left to people.

use super::baits::{cart, of_rule, offered, text_of, tried};
use harness_core::{
    Checker, MemoryFiles, Report, apply, check,
    finding::{Judged, Level, Offer, RemedyKind},
};
use harness_tests::{corpus::texts, fixtures, words};
use std::fs;

/// A reversed source is corrected first, and nothing that it has turned round.
#[test]
fn a_source_that_is_reversed_is_swapped_and_not_its_loads() {
    let fixtures = fixtures().join("rules/netlist");
    for name in [
        "reversed-source",
        "reversed-source/behind-switch",
        "reversed-source/behind-relay",
        "reversed-source/two-in-a-row",
        "reversed-source/charger",
    ] {
        let text = fs::read_to_string(fixtures.join(format!("{name}.yaml"))).expect("the fixture is there");
        let before = tried(&text);
        assert_eq!(
            before.findings.first().map(|finding| finding.rule),
            Some("netlist/reversed-source"),
            "{name}: {}",
            words(&before)
        );
        assert!(before.findings.iter().all(|finding| finding.rule != "netlist/reversed-polarity"), "{name}: {}", words(&before));
        let done = apply(&MemoryFiles::one("design.yaml", text), "design.yaml", &Checker::new());
        let rules: Vec<&str> = done.written.iter().map(|step| step.rule).collect();
        assert_eq!(rules, ["netlist/reversed-source"], "{name}");
        assert!(done.report.findings.iter().all(|finding| finding.level == Level::Note), "{name}: {}", words(&done.report));
    }
}

/// Of one load nobody knows whether it or its source is the wrong way round; of two the source is.
#[test]
fn no_load_is_swapped_where_its_source_may_be_the_one() {
    let polarised = ("kind: motor", "kind: motor, polarised: true");
    let reversed = [
        polarised,
        ("a: { ring: M8, bolts-to: battery.P }", "a: { ring: M8, bolts-to: battery.N }"),
        ("n: { ring: M8, bolts-to: battery.N }", "n: { ring: M8, bolts-to: battery.P }"),
    ];
    let report = cart(&reversed);
    let finding = of_rule(&report, "netlist/reversed-polarity");
    assert!(finding.help.contains("measure the polarity of `battery.c`"), "{}", finding.help);
    assert!(
        report.findings.iter().filter_map(|finding| finding.offer.as_ref()).all(|offer| !offer.is_safe()),
        "{}",
        words(&report)
    );
    let done = apply(&MemoryFiles::one("design.yaml", text_of(&reversed)), "design.yaml", &Checker::new());
    assert_eq!(done.written, []);
}

/// Two boxes with two lamps each between them, the wires in the order given.
fn lamps(ends: [&str; 2], wires: &str) -> Report {
    let lamp = |place: &str| {
        format!(
            "  lamp-{place}: {{ ports: {{ X: {{ housing: pins, pins: {{ 1: {{ signal: lamp {place}, role: supply, domain: v }}, 2: {{ signal: ground, role: return, domain: v }} }} }} }} }}\n"
        )
    };
    let [one, other] = ends;
    tried(&format!(
        "format: 1\ndesign: Ice cart\ndomains: {{ v: {{ nominal: 12 V, max: 15 V, reference: chassis }} }}\nparts:\n  housings:\n    \
         pins: {{ family: QL, positions: 4, contacts: pin, voltage: 60 V }}\n    sockets: {{ family: QL, positions: 4, contacts: socket, voltage: 60 V }}\n\
         devices:\n  control: {{ ports: {{ K: {{ housing: pins, pins: {{ 1: {{ signal: lamp left, role: output, domain: v }}, 2: {{ signal: lamp right, role: output, domain: v }}, \
         3: {{ signal: ground, role: return, domain: v }} }} }} }} }}\n{}{}looms:\n  main:\n    ends:\n      K: {{ housing: sockets, mates: control.K }}\n      \
         {one}: {{ housing: sockets, mates: lamp-left.X }}\n      {other}: {{ housing: sockets, mates: lamp-right.X }}\n    splices: {{ S: {{}} }}\n    wires:\n{wires}\
         \x20     3: {{ from: K.3, to: S, size: 1 mm2, colour: BK, length: 1 m }}\n      4: {{ from: S, to: {one}.2, size: 1 mm2, colour: BK, length: 1 m }}\n      \
         5: {{ from: S, to: {other}.2, size: 1 mm2, colour: BK, length: 1 m }}\n",
        lamp("left"),
        lamp("right"),
    ))
}

/// Where either end of two wires would do, people choose; where the wires beside them say which, that end is proposed.
#[test]
fn a_swap_is_made_at_the_end_that_keeps_colours_and_sizes() {
    let rule = "netlist/signal-mismatch";
    let wires = |one: &str, other: &str| {
        format!(
            "      1: {{ from: K.1, to: {other}.1, {} }}\n      2: {{ from: K.2, to: {one}.1, {} }}\n",
            "size: 1 mm2, colour: WH, length: 1 m", "size: 1 mm2, colour: YE, length: 1 m"
        )
    };
    let report = lamps(["L", "R"], &wires("L", "R"));
    let offer = offered(&report, rule);
    assert!(offer.tried && !offer.is_safe() && offer.remedy.words.starts_with("swap wires"), "{offer:?}");
    // Alike but for their numbers: it does not matter.
    let report = lamps(["L", "R"], &wires("L", "R").replace("YE", "WH"));
    assert!(!offered(&report, rule).is_safe(), "they lead to two plugs");
    // The return of a sensor and a ground: beside the one are wires of the sensor, beside the other those of the splice.
    let sensor = "format: 1\ndesign: Ice cart\ndomains: { v: { nominal: 12 V, max: 15 V, reference: chassis }, s: { nominal: 5 V, max: 6 V, reference: chassis } }\nparts:\n  housings:\n    \
        pins: { family: QL, positions: 4, contacts: pin, voltage: 60 V }\n    sockets: { family: QL, positions: 4, contacts: socket, voltage: 60 V }\ndevices:\n  \
        control: { ports: { J: { housing: pins, pins: { 1: { signal: lever supply, role: sensor supply, domain: s }, 2: { signal: lever, role: input, domain: s }, 3: { signal: lever return, role: sensor return, domain: s } } }, \
        K: { housing: pins, pins: { 1: { signal: ground, role: return, domain: v } } } } }\n  \
        lever: { ports: { X: { housing: pins, pins: { 1: { signal: lever supply, role: sensor supply, domain: s }, 2: { signal: lever, role: output, domain: s }, 3: { signal: lever return, role: sensor return, domain: s } } } } }\n  \
        battery: { ports: { N: { stud: M8, role: return, domain: v, signal: ground }, P: { stud: M8, role: supply, domain: v, need: optional } }, inside: { c: { source: 12.6 V, resistance: 20 mohm, positive: P, negative: N } } }\n  \
        lamp: { ports: { Y: { housing: pins, pins: { 1: { signal: ground, role: return, domain: v } } } } }\nlooms:\n  main:\n    ends:\n      J: { housing: sockets, mates: control.J }\n      K: { housing: sockets, mates: control.K }\n      \
        X: { housing: sockets, mates: lever.X }\n      Y: { housing: sockets, mates: lamp.Y }\n      N: { ring: M8, bolts-to: battery.N }\n    splices: { S: {} }\n    wires:\n      \
        1: { from: J.1, to: X.1, size: 0.5 mm2, colour: WH/RD, length: 1.2 m }\n      2: { from: J.2, to: X.2, size: 0.5 mm2, colour: WH/GN, length: 1.2 m }\n      \
        3: { from: J.3, to: S, size: 0.5 mm2, colour: WH/BK, length: 1.2 m }\n      4: { from: K.1, to: X.3, size: 1.5 mm2, colour: BK, length: 300 mm }\n      \
        5: { from: S, to: N, size: 1.5 mm2, colour: BK, length: 300 mm }\n      6: { from: Y.1, to: S, size: 1.5 mm2, colour: BK, length: 300 mm }\n";
    let report = tried(sensor);
    let offers: Vec<&Offer> = report.findings.iter().filter_map(|finding| finding.offer.as_ref()).collect();
    assert!(!offers.is_empty(), "{}", words(&report));
    for offer in offers {
        assert!(
            offer.is_safe() && offer.remedy.words.contains("`main.X.3`") && offer.remedy.words.contains("`main.S`"),
            "{offer:?}"
        );
    }
}

/// Plugs that are numbered can trade; one that is named for its place stays there.
#[test]
fn plugs_that_are_named_for_their_place_are_not_swapped_without_asking() {
    let crossed = fixtures().join("rules/netlist/signal-mismatch/two-plugs.yaml");
    let text = fs::read_to_string(crossed).expect("the fixture is there");
    let report = tried(&text);
    let of_plugs: Vec<&Offer> = report
        .findings
        .iter()
        .filter_map(|finding| finding.offer.as_ref())
        .filter(|offer| offer.remedy.words.starts_with("swap the plugs"))
        .collect();
    assert!(!of_plugs.is_empty(), "{}", words(&report));
    for offer in of_plugs {
        let names: Vec<&str> =
            offer.remedy.words.split('`').skip(1).step_by(2).filter_map(|name| name.rsplit('.').next()).collect();
        let stem = |name: &str| name.trim_end_matches(|letter: char| letter.is_ascii_digit()).to_owned();
        let is_numbered = names.len() == 2 && stem(names[0]) == stem(names[1]) && stem(names[0]) != names[0];
        assert_eq!(offer.is_safe(), is_numbered, "{}", offer.remedy.words);
    }
}

/// Two slips that have nothing in common are two findings with a remedy each.
#[test]
fn two_swaps_are_two_findings() {
    let box_of = |name: &str, port: &str, signals: &[&str]| {
        let pins: Vec<String> =
            signals.iter().enumerate().map(|(at, signal)| format!("{}: {{ signal: {signal} }}", at + 1)).collect();
        format!("  {name}: {{ ports: {{ {port}: {{ housing: pins, pins: {{ {} }} }} }} }}\n", pins.join(", "))
    };
    let wire = |number: usize, from: &str, to: &str| {
        format!("      {number}: {{ from: {from}, to: {to}, size: 0.5 mm2, colour: BK, length: 1 m }}\n")
    };
    let signals = ["fan", "pump", "horn", "buzzer", "wiper", "valve"];
    let text = format!(
        "format: 1\ndesign: Ice cart\ndomains: {{ v: {{ nominal: 12 V, max: 15 V, reference: chassis }} }}\nparts:\n  housings:\n    \
         pins: {{ family: QL, positions: 6, contacts: pin, voltage: 60 V }}\n    sockets: {{ family: QL, positions: 6, contacts: socket, voltage: 60 V }}\ndevices:\n{}{}\
         looms:\n  main:\n    ends:\n      A: {{ housing: sockets, mates: one.J }}\n      B: {{ housing: sockets, mates: other.J }}\n    wires:\n{}",
        box_of("one", "J", &signals),
        box_of("other", "J", &signals),
        [(1, 2), (2, 1), (3, 3), (4, 4), (5, 6), (6, 5)]
            .iter()
            .map(|(from, to)| wire(*from, &format!("A.{from}"), &format!("B.{to}")))
            .collect::<String>(),
    );
    let report = tried(&text);
    let swaps: Vec<&Judged> = report.findings.iter().filter(|finding| finding.rule == "netlist/signal-mismatch").collect();
    assert_eq!(swaps.len(), 2, "{}", words(&report));
    for finding in swaps {
        assert!(finding.headline.contains("are swapped"), "{}", finding.headline);
        assert!(finding.offer.as_ref().is_some_and(Offer::is_safe), "{:?}", finding.offer);
    }
}

#[test]
fn a_larger_fuse_is_named_by_a_rating_that_is_made() {
    let report = cart(&[("load: 8 A", "load: 13 A"), ("size: 1.5 mm2", "size: 4 mm2")]);
    let help = &of_rule(&report, "protection/fuse-under-load").help;
    assert!(help.contains("fit a fuse of 20 A, the next rating made above the "), "{help}");
}

/// What is proposed where a conductor is too thin is thicker.
#[test]
fn no_size_that_is_proposed_is_smaller() {
    let size = |text: &str| text.trim().trim_end_matches("mm2").trim().parse::<f64>().ok();
    let mut seen = 0;
    for text in texts().iter() {
        let report = check(&MemoryFiles::one("design.yaml", text.netlist.as_str()), "design.yaml", &Checker::new());
        let of_sizes = report.findings.iter().filter(|finding| finding.rule != "contact/wrong-terminal");
        for remedy in of_sizes.flat_map(|finding| &finding.remedies).filter(|remedy| remedy.kind == RemedyKind::Size) {
            for edit in &remedy.edits {
                let (Some(old), Some(new)) = (size(report.sources.slice(edit.span)), size(&edit.text)) else { continue };
                assert!(new > old, "{}: {} for {old}", text.name, remedy.words);
                seen += 1;
            }
        }
    }
    assert!(seen > 20, "{seen}");
}

#[test]
fn a_free_core_for_the_earth_comes_before_a_wire_of_its_own() {
    let path = fixtures().join("rules/domain/missing-bond/free-core.yaml");
    let text = fs::read_to_string(path).expect("the fixture is there");
    let report = tried(&text);
    let offer = offered(&report, "domain/missing-bond");
    assert!(
        offer.tried && offer.others == 0 && !offer.is_safe() && offer.remedy.words.contains("the free core `mains.C.PE`"),
        "{offer:?}"
    );
    // A core that is in use is not free.
    let used = text.replace("core: C.N }", "core: C.PE }");
    assert!(
        of_rule(&tried(&used), "domain/missing-bond")
            .offer
            .as_ref()
            .is_none_or(|offer| !offer.remedy.words.contains("free core `mains.C.PE`"))
    );
}

/// Positive earth, as the pins of the battery say, and two supplies of which the chassis is the middle, are meant.
#[test]
fn what_is_earthed_on_purpose_is_not_reversed() {
    let quiet = |report: &Report| report.findings.iter().all(|finding| finding.rule != "netlist/reversed-source");
    let earthed = [
        (
            "P: { stud: M8, role: supply, domain: v }, N: { stud: M8, role: return, domain: v }",
            "P: { stud: M8, role: return, domain: v }, N: { stud: M8, role: supply, domain: v }",
        ),
        ("a: { ring: M8, bolts-to: battery.P }", "a: { ring: M8, bolts-to: battery.N }"),
        ("n: { ring: M8, bolts-to: battery.N }", "n: { ring: M8, bolts-to: battery.P }"),
    ];
    assert!(quiet(&cart(&earthed)), "{}", words(&cart(&earthed)));
    let plain = [
        earthed[1],
        earthed[2],
        ("devices:\n", "devices:\n  frame: { chassis: true, ports: { G: { stud: M8, role: chassis } } }\n"),
        ("n: { ring", "g: { ring: M8, bolts-to: frame.G }\n      n: { ring"),
        ("      3: {", "      9: { from: g, to: n, size: 4 mm2, colour: BK, length: 0.2 m }\n      3: {"),
    ];
    assert!(!quiet(&cart(&plain)), "{}", words(&cart(&plain)));
}
