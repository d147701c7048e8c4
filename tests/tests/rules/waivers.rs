//! Waivers and baselines as a workshop keeps them: what they accept, what comes back, and what is said of those that do nothing.

use harness_core::{
    Baseline, Checker, MemoryFiles, Report, baseline, check,
    finding::{Judged, Level},
};
use harness_tests::words;

/// A boat lift whose fuse passes more than its wires take: one finding about four wires, and four wires that get too hot.
const LIFT: &str = "format: 1
design: Boat lift
domains: { p: { nominal: 24 V, max: 30 V, reference: chassis } }
zones: { hut: { ambient: 40 degC } }
parts:
  conductors: { h07: { standard: IEC 60245, rated: 85 degC, voltage: 450/750 V, insulation: rubber } }
  fuses: { bolt: { standard: maker, rating: 150 A, breaking: 6 kA, voltage: 58 V, gates: [ { at: 110 %, holds: 4 h }, { at: 135 %, opens-within: 1800 s }, { at: 600 %, opens-within: 0.5 s } ] } }
devices:
  battery:
    zone: hut
    ports: { P: { stud: M8, role: supply, domain: p }, N: { stud: M8, role: return, domain: p } }
    inside: { c: { source: 25.4 V, resistance: 8 mohm, positive: P, negative: N } }
  main: { zone: hut, ports: { A: { stud: M8 }, B: { stud: M8 } }, inside: { F: { fuse: bolt, from: A, to: B } } }
  pump:
    zone: hut
    ports: { P: { stud: M8, role: supply, domain: p }, N: { stud: M8, role: return, domain: p } }
    inside: { m: { load: 105 A, from: P, to: N, kind: motor } }
looms:
  power:
    wire: h07
    zone: hut
    route: { a: { length: 0.2 m }, b: { length: 2 m }, c: { length: 2 m } }
    ends: { a: { ring: M8, bolts-to: battery.P }, b: { ring: M8, bolts-to: main.A }, c: { ring: M8, bolts-to: main.B }, d: { ring: M8, bolts-to: pump.P }, e: { ring: M8, bolts-to: pump.N }, f: { ring: M8, bolts-to: battery.N } }
    wires:
      1: { from: a, to: b, size: 35 mm2, colour: RD, length: 0.15 m, via: [a] }
      2: { from: c, to: d, size: 16 mm2, colour: RD, length: 2 m, via: [b] }
      3: { from: e, to: f, size: 16 mm2, colour: BK, length: 2 m, via: [c] }
";

/// The lift with changes made, and its waivers.
fn lift(changes: &[(&str, &str)], waivers: &str) -> Report {
    let mut text = LIFT.to_owned();
    for (old, new) in changes {
        assert!(text.contains(old), "{old} is not in the lift");
        text = text.replace(old, new);
    }
    if !waivers.is_empty() {
        text.push_str(&format!("waivers:\n{waivers}"));
    }
    check(&MemoryFiles::one("lift.yaml", text), "lift.yaml", &Checker::new().try_remedies())
}

const RULE: &str = "protection/fuse-over-conductor";

/// A waiver of the fuse, recorded as it is offered.
fn recorded(at: &str) -> String {
    let report = lift(&[], "");
    let finding = of(&report, RULE)[0];
    let text = harness_core::finding::review_text(finding, at).replace('\'', "''");
    format!(
        "  - {{ finding: {RULE}, at: {at}, reviewed: '{text}', reason: short runs in the hut, by: yard, until: 2099-01-01 }}\n"
    )
}

fn of<'r>(report: &'r Report, rule: &str) -> Vec<&'r Judged> {
    report.findings.iter().filter(|finding| finding.rule == rule).collect()
}

/// What has grown, of the one finding of the fuse; `None` where it is accepted.
fn grown(report: &Report) -> Option<String> {
    let finding = of(report, RULE)[0];
    let since = finding.figures.iter().find(|figure| figure.name == "since the review").map(|figure| figure.value.clone());
    finding.waived.is_none().then(|| since.unwrap_or_default())
}

fn stale(report: &Report) -> Vec<String> {
    of(report, "review/stale-waiver").iter().map(|finding| format!("{}: {}", finding.headline, finding.help)).collect()
}

#[test]
fn what_is_worse_comes_back_with_its_figure_and_what_is_better_stays_accepted() {
    let waiver = recorded("main.F");
    assert_eq!(grown(&lift(&[], &waiver)), None);
    let worse = grown(&lift(&[("2: { from: c, to: d, size: 16", "2: { from: c, to: d, size: 10")], &waiver)).unwrap();
    assert!(worse.contains(" A, was "), "{worse}");
    let horn = "  horn: { zone: hut, ports: { P: { stud: M6, role: supply, domain: p }, N: { stud: M6, role: return, domain: p } }, \
                inside: { h: { load: 1 A, from: P, to: N } } }\nlooms:\n";
    let ends = "    ends: { g: { ring: M8, bolts-to: main.B }, h: { ring: M6, bolts-to: horn.P }, i: { ring: M6, bolts-to: horn.N }, \
                j: { ring: M8, bolts-to: battery.N }, ";
    let wires = "      4: { from: g, to: h, size: 10 mm2, colour: RD, length: 1 m, via: [d] }\n      \
                 5: { from: i, to: j, size: 10 mm2, colour: BK, length: 1 m, via: [d] }\n      3: {";
    let joined = [
        ("looms:\n", horn),
        ("    ends: { ", ends),
        ("      3: {", wires),
        ("a: { length: 0.2 m }", "a: { length: 0.2 m }, d: { length: 1 m }"),
    ];
    assert!(grown(&lift(&joined, &waiver)).unwrap().contains("`power.4`"));
    let renamed = grown(&lift(&[("      3: {", "      33: {")], &waiver)).unwrap();
    assert_eq!(renamed, "`power.33` not reviewed");
    let better = lift(&[("2: { from: c, to: d, size: 16", "2: { from: c, to: d, size: 25")], &waiver);
    assert_eq!((grown(&better), stale(&better)), (None, Vec::new()), "{}", words(&better));
}

/// A line without a fuse has nothing that is too large; what was reviewed is how much of it there is.
#[test]
fn a_waiver_of_a_line_without_a_fuse_accepts_no_thinner_no_longer_and_no_stronger_one() {
    const BARE: (&str, &str) = ("{ fuse: bolt, from: A, to: B }", "{ link: [A, B] }");
    let unfused = |report: &Report| of(report, "protection/missing-fuse")[0].clone();
    let reviewed = harness_core::finding::review_text(&unfused(&lift(&[BARE], "")), "power.1");
    let waiver = format!(
        "  - {{ finding: missing-fuse, at: power.1, reviewed: '{reviewed}', reason: in the hut, by: yard, until: 2099-01-01 }}\n"
    );
    assert!(unfused(&lift(&[BARE], &waiver)).waived.is_some());
    for (old, new, says) in [
        ("2: { from: c, to: d, size: 16 mm2", "2: { from: c, to: d, size: 6 mm2", "6 mm2, was 16 mm2"),
        ("2: { from: c, to: d, size: 16 mm2", "2: { from: c, to: d, size: 9 AWG", "9 AWG, was 16 mm2"),
        ("length: 0.15 m", "length: 1 m", " mm, was "),
        ("resistance: 8 mohm", "resistance: 2 mohm", "A, was "),
    ] {
        let finding = unfused(&lift(&[BARE, (old, new)], &waiver));
        let since = finding.figures.iter().find(|figure| figure.name == "since the review").map(|figure| figure.value.clone());
        assert!(finding.waived.is_none() && since.as_ref().is_some_and(|since| since.contains(says)), "{new}: {since:?}");
    }
    let thicker = lift(&[BARE, ("size: 16 mm2", "size: 25 mm2")], &waiver);
    assert!(unfused(&thicker).waived.is_some(), "{}", words(&thicker));
}

#[test]
fn a_waiver_at_a_thing_that_is_fixed_still_accepts_the_rest_that_it_records() {
    let waiver = recorded("power.2");
    assert_eq!(grown(&lift(&[], &waiver)), None);
    let fixed = [("2: { from: c, to: d, size: 16", "2: { from: c, to: d, size: 50")];
    let rest = lift(&fixed, &waiver);
    assert!(!of(&rest, RULE)[0].concerns.contains(&"power.2".to_owned()), "{}", words(&rest));
    assert_eq!((grown(&rest), stale(&rest)), (None, Vec::new()), "{}", words(&rest));
    // The rest is worse than it was.
    let worse = lift(&[fixed[0], ("3: { from: e, to: f, size: 16", "3: { from: e, to: f, size: 10")], &waiver);
    assert!(grown(&worse).unwrap().contains(" A, was "), "{}", words(&worse));
}

#[test]
fn a_baseline_knows_what_is_left_of_a_finding_and_nothing_worse() {
    let text = baseline::write("", [("Boat lift", lift(&[], "").findings.as_slice())]);
    let known = |changes: &[(&str, &str)]| {
        let mut report = lift(changes, "");
        Baseline::read(&text).expect("a baseline").compare(&mut report, true);
        let finding = of(&report, RULE)[0].clone();
        (finding.known, finding.figures.iter().any(|figure| figure.name == "since the baseline"))
    };
    assert_eq!(known(&[]), (true, false));
    assert_eq!(known(&[("2: { from: c, to: d, size: 16", "2: { from: c, to: d, size: 50")]), (true, false));
    assert_eq!(known(&[("2: { from: c, to: d, size: 16", "2: { from: c, to: d, size: 10")]), (false, true));
    let swapped = [
        ("2: { from: c, to: d, size: 16", "2: { from: c, to: d, size: 50"),
        ("3: { from: e, to: f, size: 16", "3: { from: e, to: f, size: 10"),
    ];
    assert_eq!(known(&swapped), (false, false));
}

#[test]
fn a_waiver_that_does_nothing_says_why_and_what_is_there() {
    let good = recorded("main.F");
    let waiver =
        |finding: &str, at: &str| format!("  - {{ finding: {finding}, at: {at}, reason: r, by: yard, until: 2099-01-01 }}\n");
    for (waivers, says) in [
        (format!("{good}{good}"), &["adds nothing: another waiver accepts the same already", "keep the one whose reason"][..]),
        (good.clone() + &waiver(RULE, "power.2"), &["adds nothing"]),
        (waiver(RULE, "power.*"), &["nothing has this name", "write one waiver for each thing"]),
        (waiver("protection/*", "main.F"), &["there is no such rule", "such as `protection/fuse-over-conductor`"]),
        (waiver("protection", "main.F"), &["there is no such rule", "such as `protection/fuse-over-conductor`"]),
        (waiver(RULE, "power"), &["there is no such finding", "are about `power.2`"]),
        (
            waiver("missing-fuse", "main.F"),
            &["there is no such finding", "those about `main.F` are of", "`protection/fuse-over-conductor`"],
        ),
        (waiver(RULE, "trunk.2"), &["nothing has this name"]),
        (waiver(RULE, "nowhere"), &["nothing has this name"]),
        (waiver("fuse-over-conducter", "main.F"), &["there is no such rule"]),
    ] {
        let said = stale(&lift(&[], &waivers));
        assert!(said.len() == 1 && says.iter().all(|words| said[0].contains(words)), "{waivers}{said:#?}");
    }
    // What it is in has another name: the same thing is found by the rest of its name.
    let moved = lift(&[], &waiver(RULE, "trunk.2"));
    let offer = of(&moved, "review/stale-waiver")[0].offer.clone().expect("a name");
    assert_eq!((offer.remedy.words.as_str(), offer.is_safe()), ("write `power.2`", false));
}

#[test]
fn several_findings_under_one_waiver_are_recorded_each() {
    // The wires are two findings, and the pump is in neither: what a waiver accepts is what names its thing.
    let changes = [("load: 105 A", "load: 140 A")];
    let report = lift(&changes, "");
    let rule = "conductor/undersized";
    assert_eq!(of(&report, rule).len(), 2, "{}", words(&report));
    let waivers = ["power.2", "power.3"].map(|at| format!("  - {{ finding: {rule}, at: {at}, reason: r, by: yard }}\n")).concat();
    let report = lift(&changes, &waivers);
    let note = of(&report, "review/unbound-waiver")[0];
    assert!(note.level == Level::Note && note.primary.text == "has no `reviewed`", "{note:#?}");
    let offer = note.offer.clone().expect("the text to record");
    assert!(offer.tried && offer.remedy.edits[0].text.contains("reviewed: 'error: wire `power.2` carries"), "{offer:#?}");
    // One text for both: each finding is held against the one that is about it.
    let text =
        |wire: &str| of(&report, rule).iter().find(|finding| finding.concerns[0] == wire).expect("a wire").headline.clone();
    let both = format!("error: {} | error: {}", text("power.2"), text("power.3"));
    let bound = |at: &str| format!("  - {{ finding: {rule}, at: {at}, reviewed: '{both}', reason: r, by: yard }}\n");
    let accepted = lift(&changes, &["power.2", "power.3"].map(bound).concat());
    assert!(of(&accepted, rule).iter().all(|finding| finding.waived.is_some()), "{}", words(&accepted));
}
