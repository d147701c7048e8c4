//! Findings that people have looked at: accepted by a waiver, known to a baseline, distinguished by their fingerprints.

use super::{document, folder};
use harness_cli::{Terminal, exit};
use harness_tests::{Done, harness_at, report};
use std::{collections::BTreeSet, fs};

/// A lamp behind a fuse: its return is too thin to handle (a warning), and the fuse too large for its feed (a danger).
const LIFT: &str = "\
format: 1
design: Orchard lift
WAIVERS
domains:
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
zones:
  deck: { ambient: 40 degC }
modes:
  parked: {}
  lift: {}
parts:
  conductors:
    thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin }
  fuses:
    blade-5: { standard: ISO 8820-3, rating: 5 A }
    blade-30: { standard: ISO 8820-3, rating: 30 A }
devices:
  battery:
    ports:
      POS: { stud: M8, role: supply, domain: aux }
      NEG: { stud: M8, role: return, domain: aux }
    inside:
      cells: { source: 12.6 V, resistance: 14 mohm, positive: POS, negative: NEG }
  fuse-box:
    zone: deck
    ports: { IN: { stud: M6 }, OUT: { stud: M6 } }
    inside: { F1: { fuse: blade-5, from: IN, to: OUT } }
  lamp:
    ports: { A: { stud: M5 }, B: { stud: M5 } }
    inside: { bulb: { load: 0.1 A, from: A, to: B, kind: lamp } }
looms:
  deck:
    wire: thin
    zone: deck
    ends:
      R1: { ring: M8, bolts-to: battery.POS }
      R2: { ring: M6, bolts-to: fuse-box.IN }
      R3: { ring: M6, bolts-to: fuse-box.OUT }
      R4: { ring: M5, bolts-to: lamp.A }
      R5: { ring: M5, bolts-to: lamp.B }
      R6: { ring: M8, bolts-to: battery.NEG }
    wires:
      1: { from: R1, to: R2, size: 10 mm2, colour: RD, length: 150 mm }
      2: { from: R3, to: R4, size: 1 mm2, colour: RD/WH, length: 900 mm }
      3: { from: R5, to: R6, size: 0.22 mm2, colour: BK, length: 900 mm }
";

const THIN: &str = "{ finding: thin-for-handling, at: deck.3, reason: runs in a tube, by: A. Fitter, until: 2027-06-30, \
                    reviewed: '0.22 mm2, least 0.35 mm2' }";

/// The lift with these waivers.
pub(super) fn lift(waivers: &[&str]) -> String {
    let list: String = waivers.iter().map(|waiver| format!("  - {waiver}\n")).collect();
    let list = if list.is_empty() { String::new() } else { format!("waivers:\n{list}") };
    LIFT.replace("WAIVERS\n", &list)
}

/// The lift with a fuse that its feed does not withstand: two dangers.
pub(super) fn overfused(waivers: &[&str]) -> String {
    lift(waivers).replace("fuse: blade-5,", "fuse: blade-30,")
}

pub(super) fn run(input: &str, args: &[&str]) -> Done {
    harness_at(Terminal::PIPE, input, args)
}

/// Checks a text on a day, failing on warnings.
fn check(input: &str, day: &str, more: &[&str]) -> Done {
    run(input, &[&["check", "-", "--fail-on", "warning", "--today", day][..], more].concat())
}

/// Rules of the findings that can fail a check, sorted.
fn counting(netlist: &str) -> Vec<&'static str> {
    let report = report(netlist);
    let counting = report.findings.iter().filter(|finding| finding.counts() && finding.rule != "review/unbound-waiver");
    let mut rules: Vec<_> = counting.map(|finding| finding.rule).collect();
    rules.sort_unstable();
    rules
}

fn prints(netlist: &str) -> BTreeSet<String> {
    report(netlist).findings.into_iter().map(|finding| finding.fingerprint).collect()
}

#[test]
fn a_waived_finding_is_listed_with_its_reason_and_fails_nothing() {
    assert_eq!(check(&lift(&[]), "2027-01-01", &[]).code, exit::FINDINGS);
    let design = lift(&[THIN]);
    let full = check(&design, "2027-01-01", &[]);
    assert_eq!((full.code, full.err.as_str()), (exit::CLEAN, ""), "{}", full.out);
    let listed = "waived:\n  warning[conductor/thin-for-handling]: wire `deck.3` is 0.22 mm2, thinner\n    \
                  than 0.35 mm2, the least for handling\n    <standard input>:46:36; runs in a tube; by A. Fitter; until \
                  2027-06-30\n";
    assert!(full.out.contains(listed), "{}", full.out);
    assert!(full.out.contains("found:    nothing else; 1 waived\n"), "{}", full.out);
    let short = check(&design, "2027-01-01", &["--format", "short"]);
    assert!(short.out.contains("; waived: runs in a tube; by A. Fitter; until 2027-06-30\n"), "{}", short.out);
    let report = document("report", &check(&design, "2027-01-01", &["--format", "json"]));
    let (finding, summary) = (&report["designs"][0]["findings"][0], &report["designs"][0]["summary"]);
    assert_eq!((finding["rule"].as_str(), finding["level"].as_str()), (Some("conductor/thin-for-handling"), Some("warning")));
    assert_eq!(finding["waived"]["reason"], "runs in a tube");
    assert_eq!((finding["waived"]["until"].as_str(), finding["waived"]["line"].as_u64()), (Some("2027-06-30"), Some(4)));
    assert_eq!((summary["found"]["warning"].as_u64(), summary["waived"].as_u64()), (Some(0), Some(1)));
    // A trace takes the day of the clock: this waiver has none.
    let trace = run(&lift(&["{ finding: thin-for-handling, at: deck.3, reason: r, by: b }"]), &["trace", "-", "deck.3"]);
    assert!(
        trace.out.split_whitespace().collect::<Vec<_>>().join(" ").contains("<standard input>:46:36; waived"),
        "{}",
        trace.out
    );
}

#[test]
fn a_waiver_holds_to_the_end_of_its_last_day() {
    let design = lift(&[THIN]);
    for (day, code) in [("2027-06-29", exit::CLEAN), ("2027-06-30", exit::CLEAN), ("2027-07-01", exit::FINDINGS)] {
        assert_eq!(check(&design, day, &[]).code, code, "{day}");
    }
    let short = check(&design, "2027-07-01", &["--format", "short"]).out;
    assert!(short.contains("review/stale-waiver") && short.contains("held until 2027-06-30"), "{short}");
    assert!(short.contains("today is 2027-07-01") && !short.contains("waived: "), "{short}");
    // The library was not given the day: nothing expires.
    assert_eq!(counting(&design), [""; 0]);
    assert_eq!(run(&design, &["check", "-", "--today", "2027-02-30"]).code, exit::FAILED);
}

#[test]
fn a_waiver_accepts_what_it_names_and_nothing_else() {
    let other = |finding: &str, at: &str| format!("{{ finding: {finding}, at: {at}, reason: r, by: b }}");
    // A fault alone, and names that are those of other things or only parts of words.
    for (finding, at) in
        [("thin-for-handling", "deck.2"), ("undersized", "deck.3"), ("thin-for-handling", "eck.3"), ("thin", "deck.3")]
    {
        let rules = counting(&lift(&[&other(finding, at)]));
        assert_eq!(rules, ["conductor/thin-for-handling", "review/stale-waiver"], "{finding} {at}");
    }
    assert_eq!(counting(&lift(&[&other("conductor/thin-for-handling", "deck.3")])), [""; 0]);
    // Without `by` it holds for a warning, and is reported.
    assert_eq!(counting(&lift(&["{ finding: thin-for-handling, at: deck.3, reason: r }"])), ["review/stale-waiver"]);
    // Without a reason it is not a waiver.
    let without = counting(&lift(&["{ finding: thin-for-handling, at: deck.3, by: b }"]));
    assert_eq!(without, ["conductor/thin-for-handling", "format/missing-key"]);
    // Two of one finding: the one that still holds does.
    let two = lift(&["{ finding: thin-for-handling, at: deck.3, reason: r, by: b, until: 2026-01-01 }", THIN]);
    let short = check(&two, "2027-01-01", &["--format", "short"]).out;
    assert!(short.contains("held until 2026-01-01") && short.contains("; waived: runs in a tube"), "{short}");
}

#[test]
fn a_waiver_of_what_was_not_looked_for_is_not_called_stale() {
    let gone = "{ finding: undersized, at: deck.3, reason: r, by: b }";
    assert_eq!(check(&lift(&[gone, THIN]), "2027-01-01", &[]).code, exit::FINDINGS);
    // One mode of two was computed; the finding can be one of the other.
    assert_eq!(check(&lift(&[gone, THIN]), "2027-01-01", &["--mode", "lift"]).code, exit::CLEAN);
    // What could not be read was not checked.
    let unread = lift(&[gone, THIN]).replace("size: 0.22 mm2,", "size: 0.22,");
    assert_eq!(counting(&unread), ["format/quantity", "review/missing-fact"]);
}

#[test]
fn a_danger_is_accepted_only_with_a_name_and_a_day() {
    let waiver = |more: &str| format!("{{ finding: protection/fuse-over-conductor, at: fuse-box.F1, reason: r{more} }}");
    let shorts = "{ finding: uncleared-fault, at: fuse-box.F1, reason: r, by: b, until: 2027-06-30 }";
    for (more, lacks) in [("", "`by` and no `until`"), (", by: b", "`until`"), (", until: 2027-06-30", "`by`")] {
        let done = check(&overfused(&[&waiver(more), shorts, THIN]), "2027-01-01", &["--format", "short"]);
        assert_eq!(done.code, exit::FINDINGS, "{}", done.out);
        assert!(done.out.contains(&format!("was not applied to a danger: it has no {lacks}")), "{}", done.out);
        assert!(done.out.contains("1 danger, 1 warning, 1 note; 2 waived (1 danger)"), "{}", done.out);
    }
    let done = check(&overfused(&[&waiver(", by: b, until: 2027-06-30"), shorts, THIN]), "2027-01-01", &[]);
    assert_eq!(done.code, exit::CLEAN, "{}", done.out);
    assert!(
        done.out.contains("danger[protection/fuse-over-conductor]") && done.out.contains("3 waived (2 dangers)"),
        "{}",
        done.out
    );
    // A level that the workshop raised to danger asks the same.
    let raised = lift(&["{ finding: thin-for-handling, at: deck.3, reason: r, by: b }"])
        + "policy: { levels: { conductor/thin-for-handling: danger, review/stale-waiver: error } }\n";
    let done = run(&raised, &["check", "-", "--format", "short"]);
    assert!(done.out.contains("error[review/stale-waiver]") && done.out.contains("1 danger, 1 error"), "{}", done.out);
}

#[test]
fn a_fingerprint_stays_when_lines_move_and_files_are_renamed() {
    let design = overfused(&[]);
    let all = prints(&design);
    assert_eq!(all.len(), report(&design).findings.len());
    let commented: String = design.lines().map(|line| format!("# a comment\n\n{line}\n")).collect();
    assert_eq!(prints(&commented), all);
    // The looms before the devices, the wires and ports in another order.
    let (before, looms) = design.split_at(design.find("looms:\n").unwrap());
    let (head, rest) = before.split_at(before.find("devices:\n").unwrap());
    let (ends, wires) = looms.split_at(looms.find("      1: {").unwrap());
    let wires: String = wires.lines().rev().map(|line| format!("{line}\n")).collect();
    let moved =
        format!("{head}{ends}{wires}{rest}").replace("A: { stud: M5 }, B: { stud: M5 }", "B: { stud: M5 }, A: { stud: M5 }");
    assert_ne!(moved, design);
    assert_eq!(prints(&moved), all);
    let folder = folder("review/renamed", &[("a.yaml", &design), ("b.yaml", &moved)]);
    let of = |name: &str| -> BTreeSet<String> {
        let report = document("report", &run("", &["check", "--format", "json", folder.join(name).to_str().unwrap()]));
        let findings = report["designs"][0]["findings"].as_array().unwrap().clone();
        findings.iter().map(|finding| finding["fingerprint"].as_str().unwrap().to_owned()).collect()
    };
    assert_eq!((of("a.yaml"), of("b.yaml")), (all.clone(), all));
}

#[test]
fn neither_a_waiver_nor_a_baseline_hides_what_cannot_be_read() {
    let waiver = "{ finding: format/unknown-key, at: deck.3, reason: r, by: b, until: 2027-06-30 }";
    let odd = lift(&[waiver, THIN]).replace("colour: BK,", "color: BK,");
    let rules = counting(&odd);
    assert!(rules.contains(&"format/unknown-key") && rules.contains(&"review/stale-waiver"), "{rules:?}");
    let folder = folder("review/hidden", &[("odd.yaml", &odd)]);
    let path = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let wrote = run("", &["baseline", &path("odd.yaml"), "--output", &path("out"), "--today", "2027-01-01"]);
    assert!(wrote.out.contains("left out: 1 reading mistake, which hides"), "{}", wrote.out);
    assert!(wrote.out.contains("left out: 1 waived, for which the design gives the reason"), "{}", wrote.out);
    let text = fs::read_to_string(path("out")).unwrap();
    assert!(!text.contains("format/") && !text.contains("stale-waiver") && !text.contains("thin-for-handling"), "{text}");
    assert_eq!(run("", &["check", &path("odd.yaml"), "--baseline", &path("out")]).code, exit::FINDINGS);
}

#[test]
fn a_waiver_accepts_what_was_reviewed_and_no_more() {
    let waiver = |reviewed: &str| {
        format!("{{ finding: thin-for-handling, at: deck.3, reason: in a tube, by: b, reviewed: '{reviewed}' }}")
    };
    for (reviewed, code, said) in [
        ("warning: wire `deck.3` is 0.22 mm2, thinner than the 0.35 mm2 that withstand handling", exit::CLEAN, ""),
        ("0.13 mm2, limit 0.35 mm2", exit::CLEAN, ""),
        ("0.3 mm2, limit 0.35 mm2", exit::FINDINGS, "since the review: 0.22 mm2, was 0.3 mm2"),
        ("note: 0.22 mm2, limit 0.35 mm2", exit::FINDINGS, "since the review: warning instead of note"),
    ] {
        let done = check(&lift(&[&waiver(reviewed)]), "2027-01-01", &[]);
        let words = done.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(done.code, code, "{reviewed}: {words}");
        assert!(words.contains(said), "{reviewed}: {words}");
        assert_eq!(words.contains("the waiver accepts less"), code == exit::FINDINGS, "{words}");
        assert!(!words.contains("review/unbound-waiver"), "{words}");
    }
    // A danger: another wire became too thin as well, the fuse became larger, or smaller.
    let at = "at: fuse-box.F1, reason: fused again, by: b, until: 2027-06-30";
    let fuse = format!("{{ finding: fuse-over-conductor, {at} }}");
    let unbound = document("report", &check(&overfused(&[&fuse]), "2027-01-01", &["--format", "json"]));
    let findings = unbound["designs"][0]["findings"].as_array().unwrap();
    let note = findings.iter().find(|finding| finding["rule"] == "review/unbound-waiver").unwrap();
    let offered = note["remedy"]["edits"][0]["text"].as_str().unwrap();
    assert!(
        note["remedy"]["tried"] == true && offered.starts_with(", reviewed: 'danger: fuse `fuse-box.F1` passes 30 A, "),
        "{offered}"
    );
    let bound = format!("{{ finding: fuse-over-conductor, {at}{offered} }}");
    let count = |text: &str| counting(text).iter().filter(|rule| **rule == "protection/fuse-over-conductor").count();
    assert_eq!(count(&overfused(&[&bound])), 0);
    assert_eq!(count(&overfused(&[&bound]).replace("size: 0.22 mm2", "size: 0.13 mm2")), 1);
    assert_eq!(
        count(
            &overfused(&[&bound])
                .replace("blade-30: { standard: ISO 8820-3, rating: 30 A }", "blade-30: { standard: ISO 8820-3, rating: 40 A }")
        ),
        1
    );
    assert_eq!(
        count(
            &overfused(&[&bound])
                .replace("blade-30: { standard: ISO 8820-3, rating: 30 A }", "blade-30: { standard: ISO 8820-3, rating: 25 A }")
        ),
        0
    );
}
