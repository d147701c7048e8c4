//! Whole designs: the demo, its draft, the published connectors, and the faults that were really reported.

use harness_cli::source;
use harness_core::{Checker, Files, MemoryFiles, Report, check, finding::Level};
use harness_tests::{fixtures, found, marks, netlists, report, words};
use std::{io, path::Path};

/// The report of a design on disk, with its includes.
fn on_disk(path: &Path) -> Report {
    let files = source::design::open(path, &mut io::empty()).expect("the design can be read");
    check(&files, files.root(), &Checker::new())
}

fn graver_than_notes(report: &Report) -> Vec<&str> {
    report.findings.iter().filter(|finding| finding.level > Level::Note).map(|finding| finding.rule).collect()
}

#[test]
fn the_demo_is_clean_and_as_large_as_a_vehicle() {
    let report = on_disk(&fixtures().join("terrace-tractor/tractor.yaml"));
    assert!(report.findings.is_empty(), "{}", words(&report));
    let summary = &report.summary;
    assert!(summary.files > 3 && summary.devices >= 25 && summary.ends >= 60 && summary.conductors >= 180, "{summary:?}");
    assert_eq!(summary.modes.len(), 4);
    assert!(summary.modes.iter().all(|mode| mode.solved), "{summary:?}");
}

#[test]
fn the_truck_with_two_packs_and_a_combined_inlet_is_clean() {
    let report = on_disk(&fixtures().join("hut-truck/truck.yaml"));
    assert!(report.findings.is_empty(), "{}", words(&report));
    assert!(report.summary.modes.iter().all(|mode| mode.solved), "{:?}", report.summary);
}

/// Designs of other kinds than the demo, as workshops write them: one of each is sound in the eyes of every rule.
#[test]
fn a_motorcycle_and_a_truck_are_clean() {
    for design in ["motorcycle-96v/motorcycle.yaml", "truck-24v/truck.yaml"] {
        let report = on_disk(&fixtures().join(design));
        assert!(graver_than_notes(&report).is_empty(), "{design}:\n{}", words(&report));
        // How long the little battery lasts is said of any that is left standing; nothing else is left to say.
        let others = report.findings.iter().filter(|finding| finding.rule != "battery/standing-drain").count();
        assert_eq!(others, 0, "{design}:\n{}", words(&report));
    }
}

/// The table of `expected.md`, row by row: every slip is found at its place under its rule.
#[test]
fn the_draft_has_the_fifteen_mistakes_that_are_recorded() {
    let report = on_disk(&fixtures().join("terrace-tractor-draft/draft.yaml"));
    let slips = [
        ("netlist/unconnected-pin", "lamp-right.J1.2"),
        ("netlist/crowded-cavity", "front.P2.5"),
        ("netlist/signal-mismatch", "front.133"),
        ("mating/key-mismatch", "front.P5"),
        ("mating/contact-mismatch", "front.P3"),
        ("domain/crossing", "front.142"),
        ("domain/shared-housing", "front.H2"),
        ("domain/wrong-colour", "front.201"),
        ("domain/under-rated-insulation", "front.201"),
        ("conductor/undersized", "front.117"),
        ("protection/fuse-over-conductor", "fusebox.F5"),
        ("protection/missing-fuse", "front.144"),
        ("protection/unfused-length", "front.101"),
        ("contact/wrong-terminal", "front.127"),
        ("contact/unsealed", "front.P9"),
    ];
    for (rule, thing) in slips {
        let is_it = |name: &String| name == thing || name.starts_with(&format!("{thing}."));
        let hit = report.findings.iter().any(|finding| finding.rule == rule && finding.concerns.iter().any(is_it));
        assert!(hit, "{rule} at {thing} was not found\n{}", words(&report));
    }
    // What is found beyond the slips follows from one of them; a new kind of consequence is looked at before it is let in.
    let consequences =
        ["netlist/role-conflict", "netlist/signal-mismatch", "netlist/no-return", "netlist/no-source", "contact/unsealed"];
    for finding in report.findings.iter().filter(|finding| finding.level > Level::Note) {
        let slip = slips.iter().any(|(rule, _)| finding.rule == *rule);
        assert!(slip || consequences.contains(&finding.rule), "{}: {}", finding.rule, finding.headline);
    }
}

#[test]
fn the_mended_draft_is_clean() {
    let report = on_disk(&fixtures().join("terrace-tractor-draft/mended.yaml"));
    assert!(report.findings.is_empty(), "{}", words(&report));
}

#[test]
fn reported_faults_fire_where_they_are_marked_and_their_mended_twins_are_silent() {
    let mut failures = Vec::new();
    for path in netlists(&fixtures().join("cases")) {
        let text = std::fs::read_to_string(&path).expect("a case can be read");
        let report = report(&text);
        let mut expected = marks(&text);
        expected.sort();
        let mended = path.to_string_lossy().ends_with("-mended.yaml");
        let found = found(&report, "");
        if found != expected || mended != expected.is_empty() {
            failures.push(format!("{}: marked {expected:#?}\n{}", path.display(), words(&report)));
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n\n"));
}

/// Boats, a van, a camper, a car, a bus, a reach truck, cabinets and a solar hut, each as another workshop would write it.
#[test]
fn sound_designs_of_other_workshops_are_clean() {
    let designs = netlists(&fixtures().join("sound"));
    assert!(designs.len() >= 11, "{} designs", designs.len());
    for path in designs {
        let report = on_disk(&path);
        // A main switch that is closed in every mode is worth a note.
        let loud = report.findings.iter().any(|finding| finding.level > Level::Note);
        assert!(!loud, "{}: {}", path.display(), words(&report));
    }
}

#[test]
fn connectors_wired_at_the_published_least_sizes_are_clean() {
    for path in netlists(&fixtures().join("published")) {
        let report = on_disk(&path);
        assert!(report.findings.is_empty(), "{}: {}", path.display(), words(&report));
    }
}

/// Sizes per contact: ISO 1724:2003, ISO 11446-1:2012, ISO 12098 and ISO 7638-1 as printed by the pages that
/// `fixtures/published/README.md` names (seen). Each wire in turn is taken one trade size down.
#[test]
fn one_size_below_the_published_one_is_found_at_that_wire_and_nowhere_else() {
    const DOWN: [(&str, &str); 3] =
        [("size: 1.5 mm2,", "size: 1 mm2,"), ("size: 2.5 mm2,", "size: 1.5 mm2,"), ("size: 4 mm2,", "size: 2.5 mm2,")];
    let mut tried = 0;
    for path in netlists(&fixtures().join("published")) {
        let text = std::fs::read_to_string(&path).expect("a published connector can be read");
        let name = path.file_name().and_then(|name| name.to_str()).expect("a plain name");
        for (index, line) in text.lines().enumerate() {
            // The wires of the socket's loom: those that end in the connector.
            let Some((from, to)) = DOWN.iter().find(|(from, _)| line.contains(from)) else { continue };
            let thinner: Vec<String> = text
                .lines()
                .enumerate()
                .map(|(at, other)| if at == index { other.replacen(from, to, 1) } else { other.to_owned() })
                .collect();
            let files = MemoryFiles::one(name, thinner.join("\n"));
            assert!(files.read(name).is_ok());
            let report = check(&files, name, &Checker::new());
            let lines: Vec<(usize, &str)> = report
                .findings
                .iter()
                .filter_map(|finding| {
                    let place = report.sources.file(finding.primary.span.file)?.line_column(finding.primary.span.start).0;
                    Some((place, finding.rule))
                })
                .collect();
            if line.contains("P1.") {
                assert_eq!(lines, [(index + 1, "contact/wrong-terminal")], "{name}: {line}\n{}", words(&report));
                tried += 1;
            }
            assert!(graver_than_notes(&report).len() <= 1, "{name}: {line}\n{}", words(&report));
        }
    }
    assert!(tried >= 38, "only {tried} contacts were tried");
}
