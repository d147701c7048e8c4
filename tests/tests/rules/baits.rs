//! Designs in which the remedy that comes to mind first would do harm: it is not offered, and the help says what to do instead.

use harness_core::{
    Checker, MemoryFiles, Report, check,
    finding::{Judged, Level, Offer, RemedyKind},
};
use harness_tests::words;

/// A pump behind a fuse, sound as it is.
const CART: &str = "format: 1
design: Ice cart
domains: { v: { nominal: 12 V, max: 15 V, reference: chassis } }
zones: { deck: { ambient: 40 degC } }
parts:
  conductors: { fl: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin, insulation: PVC } }
  cables:
    two: { cores: { 1: { size: 1 mm2, colour: RD }, 2: { size: 1 mm2, colour: BK } }, voltage: 60 V, rated: 105 degC, insulation: PVC }
  housings:
    pins: { family: QL, positions: 2, contacts: pin, key: A, current: 60 A, voltage: 60 V }
    sockets: { family: QL, positions: 2, contacts: socket, key: A, current: 60 A, voltage: 60 V, takes: { size: 0.35 mm2 .. 6 mm2 } }
  terminals: { narrow: { family: QL, size: 0.35 mm2 .. 0.5 mm2 } }
  fuses: { main: { standard: ISO 8820-3, type: F, rating: 15 A } }
devices:
  battery:
    zone: deck
    ports: { P: { stud: M8, role: supply, domain: v }, N: { stud: M8, role: return, domain: v } }
    inside: { c: { source: 12.6 V, resistance: 20 mohm, positive: P, negative: N } }
  holder:
    zone: deck
    ports: { A: { stud: M6 }, B: { stud: M6 } }
    inside: { F1: { fuse: main, from: A, to: B } }
  pump:
    zone: deck
    ports: { J: { housing: pins, pins: { 1: { signal: pump, role: supply, domain: v }, 2: { role: return, domain: v } } } }
    inside: { m: { load: 8 A, from: J.1, to: J.2, kind: motor } }
looms:
  main:
    wire: fl
    zone: deck
    ends:
      a: { ring: M8, bolts-to: battery.P }
      b: { ring: M6, bolts-to: holder.A }
      c: { ring: M6, bolts-to: holder.B }
      x: { housing: sockets, mates: pump.J }
      n: { ring: M8, bolts-to: battery.N }
    cables: {}
    wires:
      1: { from: a, to: b, size: 4 mm2, colour: RD, length: 0.15 m }
      2: { from: c, to: x.1, size: 1.5 mm2, colour: RD, length: 1 m }
      3: { from: x.2, to: n, size: 1.5 mm2, colour: BK, length: 1 m }
";

pub(super) fn tried(netlist: &str) -> Report {
    check(&MemoryFiles::one("design.yaml", netlist), "design.yaml", &Checker::new().try_remedies())
}

/// The text of the cart with some of it replaced.
pub(super) fn text_of(changes: &[(&str, &str)]) -> String {
    let mut text = CART.to_owned();
    for (old, new) in changes {
        assert!(text.contains(old), "{old} is not in the cart");
        text = text.replace(old, new);
    }
    text
}

/// The cart with some of its text replaced.
pub(super) fn cart(changes: &[(&str, &str)]) -> Report {
    tried(&text_of(changes))
}

pub(super) fn of_rule<'r>(report: &'r Report, rule: &str) -> &'r Judged {
    report.findings.iter().find(|finding| finding.rule == rule).unwrap_or_else(|| panic!("no {rule}:\n{}", words(report)))
}

/// No remedy of a kind is offered for a finding of the rule, and its help has all these words.
fn not_offered(report: &Report, rule: &str, kind: RemedyKind, instead: &[&str]) {
    let finding = of_rule(report, rule);
    for other in report.findings.iter().filter(|finding| finding.rule == rule) {
        assert!(other.offer.as_ref().is_none_or(|offer| offer.remedy.kind != kind), "{rule}: {:#?}", other.offer);
    }
    for words in instead {
        assert!(finding.help.contains(words), "{rule}: `{words}` is not in: {}", finding.help);
    }
}

pub(super) fn offered<'r>(report: &'r Report, rule: &str) -> &'r Offer {
    of_rule(report, rule).offer.as_ref().unwrap_or_else(|| panic!("no remedy of {rule}:\n{}", words(report)))
}

const THIN: (&str, &str) = ("to: x.1, size: 1.5 mm2", "to: x.1, size: 0.5 mm2");

#[test]
fn the_cart_is_sound() {
    let report = cart(&[]);
    assert!(report.findings.iter().all(|finding| finding.level == Level::Note), "{}", words(&report));
}

#[test]
fn no_size_that_a_terminal_or_a_seal_does_not_take() {
    let rule = "protection/fuse-over-conductor";
    assert_eq!(offered(&cart(&[THIN]), rule).remedy.words, "use 0.75 mm2 for `main.2`");
    let terminal =
        [THIN, ("mates: pump.J }", "mates: pump.J, terminal: narrow }"), ("x.2, to: n, size: 1.5", "x.2, to: n, size: 0.5")];
    not_offered(
        &cart(&terminal),
        rule,
        RemedyKind::Size,
        &["change what is too small for it", "terminal `narrow` in `main.x.1` (up to 0.5 mm2)"],
    );
    // Over the insulation 0.5 mm2 has 1.6 mm and 0.75 mm2 1.9 mm (ISO 6722-1, thin wall).
    let seal = [THIN, ("0.35 mm2 .. 6 mm2 }", "0.35 mm2 .. 6 mm2, insulation: 1.2 mm .. 1.7 mm }")];
    not_offered(&cart(&seal), rule, RemedyKind::Size, &["the seal of `sockets` in `main.x.1` (up to 1.7 mm, here 1.9 mm)"]);
}

#[test]
fn no_fuse_above_what_its_holder_is_made_for() {
    let rule = "protection/fuse-under-load";
    let load = [("load: 8 A", "load: 13 A"), ("size: 1.5 mm2", "size: 4 mm2")];
    assert_eq!(offered(&cart(&load), rule).remedy.words, "fit a fuse of 20 A for `holder.F1`");
    let holder = [load[0], load[1], ("B: { stud: M6 }", "B: { stud: M6, current: 16 A }")];
    not_offered(
        &cart(&holder),
        rule,
        RemedyKind::Fuse,
        &["share the load of `holder.F1` over two fuses", "`holder.B` is made for 16 A"],
    );
}

#[test]
fn no_fuse_larger_than_its_series_has() {
    // The miniature blade ends at 30 A (ISO 8820-3).
    let report = cart(&[
        ("load: 8 A", "load: 26 A"),
        ("rating: 15 A", "rating: 30 A"),
        ("size: 1.5 mm2", "size: 6 mm2"),
        ("size: 4 mm2", "size: 6 mm2"),
    ]);
    not_offered(&report, "protection/fuse-under-load", RemedyKind::Fuse, &["over two fuses", "this one ends at 30 A"]);
}

#[test]
fn no_size_for_a_core_but_another_cable_where_the_design_has_one() {
    let rule = "conductor/voltage-drop";
    let cable = [
        ("cables: {}", "cables: { C: { part: two, length: 9 m } }"),
        ("to: x.1, size: 1.5 mm2, colour: RD, length: 1 m", "to: x.1, core: C.1"),
        ("to: n, size: 1.5 mm2, colour: BK, length: 1 m", "to: n, core: C.2"),
    ];
    let report = cart(&cable);
    not_offered(&report, rule, RemedyKind::Size, &["use a cable with larger cores for `main.C`"]);
    assert!(of_rule(&report, rule).offer.is_none(), "{}", words(&report));
    let core = "voltage: 60 V, rated: 105 degC, insulation: PVC }";
    let thick =
        format!("{core}\n    thick: {{ cores: {{ 1: {{ size: 4 mm2, colour: RD }}, 2: {{ size: 4 mm2, colour: BK }} }}, {core}");
    let both = [cable[0], cable[1], cable[2], (core, thick.as_str())];
    let report = cart(&both);
    let offer = offered(&report, rule);
    assert_eq!((offer.remedy.words.as_str(), offer.remedy.kind), ("use cable kind `thick` for `main.C`", RemedyKind::Part));
    assert!(!offer.is_safe(), "it has to be bought");
    // A cable with other labels does not take its place.
    let other = both[3].1.replace("{ 1: { size: 4 mm2, colour: RD }, 2: {", "{ a: { size: 4 mm2, colour: RD }, b: {");
    let report = cart(&[both[0], both[1], both[2], (core, other.as_str())]);
    assert!(of_rule(&report, rule).offer.is_none(), "{}", words(&report));
}

/// Two wires in a cavity for one.
fn crowded(signal: &str, wires: &str) -> Report {
    tried(&format!(
        "format: 1\ndesign: Hoist\ndomains: {{ v: {{ nominal: 12 V, max: 15 V, reference: chassis }} }}\nparts:\n  housings:\n    \
         pins: {{ family: QL, positions: 2, contacts: pin, voltage: 60 V }}\n    \
         sockets: {{ family: QL, positions: 2, contacts: socket, voltage: 60 V, takes: {{ size: 0.35 mm2 .. 1 mm2 }} }}\n\
         devices:\n  panel: {{ ports: {{ J: {{ housing: pins, pins: {{ 1: {{ signal: bells }}, 2: {{ signal: horn }} }} }} }} }}\n  \
         box: {{ ports: {{ A: {{ stud: M5, signal: bells }}, B: {{ stud: M5, signal: {signal} }}, C: {{ stud: M5, signal: horn }} }} }}\n\
         looms:\n  door:\n    ends:\n      P: {{ housing: sockets, mates: panel.J }}\n      A: {{ ring: M5, bolts-to: box.A }}\n      \
         B: {{ ring: M5, bolts-to: box.B }}\n      C: {{ ring: M5, bolts-to: box.C }}\n    wires:\n{wires}"
    ))
}

const WIRES: &str = "      1: { from: P.1, to: A, size: 0.5 mm2, colour: BU, length: 1 m }\n      \
                     2: { from: P.1, to: B, size: 0.5 mm2, colour: BU, length: 1 m }\n      \
                     3: { from: P.2, to: C, size: 0.5 mm2, colour: BU, length: 1 m }\n";

#[test]
fn a_splice_only_for_wires_of_one_signal_and_never_written_without_asking() {
    let rule = "netlist/crowded-cavity";
    let report = crowded("bells", WIRES);
    let offer = offered(&report, rule);
    assert_eq!(
        offer.remedy.words,
        "join `door.1` and `door.2` in a new splice `door.S1` and lead a new wire of 1 mm2, blue, from there to `door.P.1`"
    );
    assert!(offer.tried && !offer.is_safe() && offer.remedy.kind == RemedyKind::Addition, "{offer:?}");
    // No cavity is free, and the two wires are of different signals.
    let report = crowded("fan", WIRES);
    assert!(of_rule(&report, rule).offer.is_none(), "{}", words(&report));
    assert!(of_rule(&report, rule).help.contains("wires of different signals are not spliced"), "{}", words(&report));
    // What both together need is more than the housing takes: then as thick as the thicker one.
    let thicker = WIRES.replacen("0.5 mm2", "1 mm2", 1);
    assert!(offered(&crowded("bells", &thicker), rule).remedy.words.contains("a new wire of 1 mm2, blue,"));
}

#[test]
fn a_bond_only_where_a_stud_has_room() {
    let pack = |rings: u32| {
        let text = std::fs::read_to_string(harness_tests::fixtures().join("motorcycle-96v/motorcycle.yaml")).expect("a fixture");
        let without: Vec<&str> = text
            .lines()
            .filter(|line| !["      E1:", "      pe:", "      f1:"].iter().any(|gone| line.starts_with(gone)))
            .collect();
        let frame = "frame: { chassis: true, ports: { A: { stud: M8, role: chassis, rings: 4 }, B: { stud: M6, role: chassis, rings: 4 }, C: { stud: M6, role: chassis, rings: 4 } } }";
        let text = without.join("\n");
        assert!(text.contains(frame));
        tried(
            &text.replace(
                frame,
                &frame
                    .replace("A: { stud: M8, role: chassis, rings: 4", &format!("A: {{ stud: M8, role: chassis, rings: {rings}"))
                    .replace("M6, role: chassis, rings: 4", "M6, role: chassis, rings: 2"),
            ),
        )
    };
    let report = pack(4);
    let offer = offered(&report, "domain/missing-bond");
    assert!(
        offer.remedy.words.starts_with("add a bond of 25 mm2, green-yellow and as short as possible, from `pack.E` to `frame.A`"),
        "{offer:?}"
    );
    assert!(offer.tried && !offer.is_safe(), "{offer:?}");
    let full = pack(2);
    not_offered(
        &full,
        "domain/missing-bond",
        RemedyKind::Addition,
        &["the studs of the chassis hold all the rings that they take"],
    );
}

/// The cable of the charging post, with other cores in its wires.
fn post(cores: [&str; 3], kind: &str) -> Report {
    let text = std::fs::read_to_string(harness_tests::fixtures().join("sound/onboard-charger.yaml")).expect("a fixture");
    let mut text = text.replace("      post: {", &format!("{kind}      post: {{"));
    for (place, core) in ["post.1 }", "post.2 }", "post.GNYE }"].iter().zip(["A", "B", "C"]) {
        text = text.replace(place, &format!("post.{core} }}"));
    }
    for (core, place) in cores.iter().zip(["post.A }", "post.B }", "post.C }"]) {
        text = text.replace(place, &format!("post.{core} }}"));
    }
    tried(&text)
}

#[test]
fn cores_are_swapped_or_taken_where_that_is_sound_and_never_without_asking() {
    let words_of = |report: &Report, rule: &str| {
        let offer = offered(report, rule);
        assert!(offer.tried && !offer.is_safe() && offer.remedy.kind == RemedyKind::Core, "{offer:?}");
        offer.remedy.words.clone()
    };
    let swapped = post(["2", "1", "GNYE"], "");
    assert_eq!(
        words_of(&swapped, "domain/wrong-colour"),
        "use core `mains.post.1` (brown) for `mains.1` and core `mains.post.2` (blue) for `mains.2`, at both ends"
    );
    let earth = post(["1", "GNYE", "2"], "");
    assert!(words_of(&earth, "domain/wrong-colour").contains("core `mains.post.GNYE` (green-yellow)"));
    let twice = post(["1", "1", "GNYE"], "");
    assert_eq!(words_of(&twice, "netlist/reused-core"), "use core `mains.post.2` (blue) for `mains.2`, at both ends");
    // The only core that is free is that of the earth: it is for nothing else.
    let of_earth = post(["1", "1", "2"], "");
    let reused = of_rule(&of_earth, "netlist/reused-core");
    assert!(reused.offer.is_none(), "{:?}", reused.offer);
    assert!(reused.help.contains("lead it as a wire of its own"), "{}", reused.help);
}

#[test]
fn a_colour_of_the_mains_is_a_proposal_and_that_of_an_earth_beside_a_green_yellow_line_too() {
    let text = std::fs::read_to_string(harness_tests::fixtures().join("sound/pump-cabinet.yaml")).expect("a fixture");
    let line = "1: { from: T1, to: T2, size: 2.5 mm2, colour: BN";
    let earth = "3: { from: T5, to: T6, size: 2.5 mm2, colour: GNYE";
    assert!(text.contains(line) && text.contains(earth));
    let alone = tried(&text.replace(earth, &earth.replace("GNYE", "BN")));
    let offer = offered(&alone, "domain/wrong-colour");
    assert!(offer.is_safe() && offer.remedy.kind == RemedyKind::Colour, "{offer:?}");
    let both = tried(&text.replace(earth, &earth.replace("GNYE", "BN")).replace(line, &line.replace("BN", "GNYE")));
    let offers: Vec<&Offer> = both.findings.iter().filter_map(|finding| finding.offer.as_ref()).collect();
    assert!(
        offers.len() == 2 && offers.iter().all(|offer| !offer.is_safe() && offer.remedy.kind == RemedyKind::Part),
        "{offers:#?}"
    );
}

#[test]
fn a_characteristic_that_trips_in_time_is_tried_and_another_body_is_not() {
    // 40 m of 1.5 mm2: some 130 A, below the 160 A at which C16 is sure to trip at once (IEC 60898-1, 5 to 10 times the rating).
    let text = std::fs::read_to_string(harness_tests::fixtures().join("sound/onboard-charger.yaml")).expect("a fixture");
    let thin = text
        .replace("4 mm2, colour", "1.5 mm2, colour")
        .replace("post: { part: flex, length: 5 m }", "post: { part: flex, length: 40 m }");
    let thin = thin
        .replace("limit: 20 A, efficiency", "limit: 5 A, efficiency")
        .replace("{ size: 2.5 mm2 .. 6 mm2 }", "{ size: 1.5 mm2 .. 6 mm2 }");
    let report = tried(&thin);
    let offer = offered(&report, "protection/uncleared-fault");
    assert_eq!(offer.remedy.words, "fit characteristic B (16 A) for `wallbox.mcb`", "{}", words(&report));
    assert!(offer.tried && !offer.is_safe(), "{offer:?}");
}

#[test]
fn a_line_between_two_sources_asks_for_a_fuse_at_each_and_offers_none() {
    let second = "  second: { zone: deck, ports: { P: { stud: M8, role: supply, domain: v }, N: { stud: M8, role: return, domain: v } }, \
                  inside: { c: { source: 12.6 V, resistance: 20 mohm, positive: P, negative: N } } }\n  pump:\n    zone";
    let ends = "a2: { ring: M8, bolts-to: battery.P }\n      p2: { ring: M8, bolts-to: second.P }\n      \
                n2: { ring: M8, bolts-to: second.N }\n      n3: { ring: M8, bolts-to: battery.N }\n    cables: {}";
    let wires = "8: { from: a2, to: p2, size: 16 mm2, colour: RD, length: 2 m }\n      \
                 9: { from: n2, to: n3, size: 16 mm2, colour: BK, length: 2 m }\n      1: {";
    let report = cart(&[
        ("  pump:\n    zone", second),
        ("    cables: {}", &format!("      {ends}")),
        ("1: { from: a", &format!("{wires} from: a")),
    ]);
    let finding = of_rule(&report, "protection/missing-fuse");
    assert!(finding.offer.is_none(), "{:?}", finding.offer);
    assert!(finding.help.starts_with("put a fuse near each of `battery.P` and `second.P`"), "{}", finding.help);
}
