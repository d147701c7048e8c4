//! The program driven in this process: exit codes and what goes to which stream.

use super::{document, folder, harness};
use harness_cli::{Terminal, exit};
use harness_tests::harness_at;

const DESIGN: &str = "format: 1\ndesign: Terrace tractor\n";

#[test]
fn a_missing_file_is_a_failure_that_names_what_lies_near() {
    let folder = folder("check/missing", &[("tractor.yaml", DESIGN)]);
    let path = folder.join("tracktor.yaml");
    let done = harness(&["check", path.to_str().unwrap()]);
    assert_eq!((done.code, done.out.as_str()), (exit::FAILED, ""));
    let expected = format!("error: failed to read `{}`: no such file; did you mean `tractor.yaml`?\n", path.display());
    assert_eq!(done.err, expected);
}

#[test]
fn a_file_that_cannot_be_read_keeps_no_other_from_being_checked() {
    let folder = folder("check/others", &[("a.yaml", DESIGN), ("c.yaml", DESIGN)]);
    let paths = ["a.yaml", "b.yaml", "c.yaml"].map(|name| folder.join(name).to_str().unwrap().to_owned());
    let done = harness(&["check", "--format", "json", &paths[0], &paths[1], &paths[2]]);
    assert_eq!(done.code, exit::FAILED);
    let report = document("report", &done);
    let files: Vec<&str> = report["designs"].as_array().unwrap().iter().map(|it| it["file"].as_str().unwrap()).collect();
    assert_eq!(files, [paths[0].as_str(), paths[2].as_str()]);
    assert_eq!(report["failures"].as_array().map(Vec::len), Some(1));
    assert!(done.err.starts_with("error: failed to read `") && done.err.contains("b.yaml"), "{}", done.err);
}

#[test]
fn a_mode_that_no_design_has_is_a_failure() {
    let done = harness_at(Terminal::PIPE, DESIGN, &["check", "--mode", "flying", "-"]);
    assert_eq!((done.code, done.out.as_str()), (exit::FAILED, ""));
    assert!(done.err.starts_with("error: failed to check `-` in mode `flying`: "), "{}", done.err);
}

#[test]
fn exit_code_and_report_agree_at_every_level_and_in_every_format() {
    const GRAVEST_FIRST: [&str; 4] = ["danger", "error", "warning", "note"];
    for input in ["", DESIGN, "format: 1\nlooms: [", "\tformat: 1\n"] {
        for (rank, level) in GRAVEST_FIRST.iter().enumerate() {
            let done = harness_at(Terminal::PIPE, input, &["check", "-", "--format", "json", "--fail-on", level]);
            let report = document("report", &done);
            let found = &report["designs"][0]["summary"]["found"];
            let failing: u64 = GRAVEST_FIRST[..=rank].iter().map(|level| found[level].as_u64().unwrap()).sum();
            let expected = if failing > 0 { exit::FINDINGS } else { exit::CLEAN };
            assert_eq!((done.code, done.err.as_str()), (expected, ""), "{input:?} {level}");
            for format in ["full", "short"] {
                let other = harness_at(Terminal::PIPE, input, &["check", "-", "--format", format, "--fail-on", level]);
                assert_eq!((other.code, other.err.as_str()), (expected, ""), "{input:?} {level} {format}");
            }
        }
    }
}

#[test]
fn every_report_ends_with_the_caution_and_the_help_has_it_in_full() {
    for format in ["full", "short"] {
        let done = harness_at(Terminal::PIPE, DESIGN, &["check", "-", "--format", format]);
        let end = &done.out[done.out.find("\ncaution: ").unwrap()..];
        let words = end.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains("no safety certificate") && words.contains("proven dead"), "{end}");
        assert!(words.ends_with("(`harness --help` has it in full)"), "{end}");
    }
    let help = harness(&["--help"]).out;
    let words = help.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        words.contains("prove the absence of voltage before touching anything. Local codes and licensed practice decide."),
        "{help}"
    );
    let done = harness_at(Terminal::PIPE, DESIGN, &["check", "-", "--format", "json"]);
    assert!(document("report", &done)["caution"][0].as_str().unwrap().contains("no safety certificate"));
}

/// Five lamps without a wire, and ends that give no housing.
fn dark() -> String {
    let mut text = String::from(
        "format: 1\ndesign: Cart\ndomains: { aux: { nominal: 12 V, max: 15 V, reference: chassis } }\nmodes: { run: {} }\n\
         parts: { housings: { A1M: { family: A, positions: 1, contacts: pin } } }\ndevices:\n",
    );
    for number in 1..=5 {
        text += &format!(
            "  lamp-{number}: {{ ports: {{ J: {{ housing: A1M, pins: {{ 1: {{ signal: lamp, role: supply, domain: aux }} }} }} }} }}\n"
        );
    }
    text += "looms:\n  main:\n    ends:\n";
    for number in 1..=5 {
        text += &format!("      P{number}: {{ mates: lamp-{number}.J }}\n");
    }
    text
}

#[test]
fn what_is_hidden_is_counted_and_still_fails() {
    let dark = dark();
    let all = harness_at(Terminal::PIPE, &dark, &["check", "-", "--format", "json"]);
    let report = document("report", &all);
    let errors = report["designs"][0]["summary"]["found"]["error"].as_u64().unwrap();
    assert_eq!((all.code, errors), (exit::FINDINGS, 5), "{}", all.out);
    for filter in
        [&["--level", "danger"][..], &["--rule", "review"], &["--rule", "missing-fact"], &["--rule", "review/missing-fact"]]
    {
        let args: Vec<&str> = ["check", "-"].iter().chain(filter).copied().collect();
        let done = harness_at(Terminal::PIPE, &dark, &args);
        assert_eq!((done.code, done.out.contains("unconnected-pin")), (exit::FINDINGS, false), "{filter:?}: {}", done.out);
        let words = done.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains("found: 5 errors,") && words.contains("by `--level` or `--rule`, "), "{words}");
        assert!(words.contains("still fail the check"), "{words}");
        let json: Vec<&str> = args.iter().copied().chain(["--format", "json"]).collect();
        let shown = document("report", &harness_at(Terminal::PIPE, &dark, &json));
        let summary = &shown["designs"][0]["summary"];
        assert_eq!(summary["found"]["error"], 5);
        let (shown, before) = (&shown["designs"][0]["findings"], &report["designs"][0]["findings"]);
        let (shown, before) = (shown.as_array().unwrap().len() as u64, before.as_array().unwrap().len() as u64);
        assert_eq!(shown + summary["hidden"].as_u64().unwrap(), before, "{filter:?}");
    }
    let unknown = harness_at(Terminal::PIPE, &dark, &["check", "-", "--rule", "unconected-pin"]);
    assert_eq!((unknown.code, unknown.err.contains("did you mean `unconnected-pin`")), (exit::FAILED, true), "{}", unknown.err);
}

#[test]
fn findings_of_one_cause_are_one_entry_that_names_all() {
    // The domain is forgotten: each of five pins names one that the design does not have.
    let forgotten = dark().replacen("domains: { aux:", "domains: { auxiliary:", 1);
    let heads = |text: &str| text.lines().filter(|line| line.starts_with("error[format/unknown-name]: there is no")).count();
    let folded = harness_at(Terminal::PIPE, &forgotten, &["check", "-"]);
    assert_eq!(heads(&folded.out), 1, "{}", folded.out);
    assert!(folded.out.contains("  also: <standard input>:8-11 (4 more findings of the same cause)"), "{}", folded.out);
    let apart = harness_at(Terminal::PIPE, &forgotten, &["check", "-", "--all"]);
    assert_eq!(heads(&apart.out), 5, "{}", apart.out);
    let report = document("report", &harness_at(Terminal::PIPE, &forgotten, &["check", "-", "--format", "json"]));
    let findings = report["designs"][0]["findings"].as_array().unwrap();
    let causes: std::collections::BTreeSet<u64> = findings
        .iter()
        .filter(|finding| finding["rule"] == "format/unknown-name")
        .map(|finding| finding["cause"].as_u64().unwrap())
        .collect();
    assert_eq!(causes.len(), 1, "{findings:#?}");
}

#[test]
fn a_design_in_which_nothing_can_be_checked_is_not_clean() {
    let empty = harness_at(Terminal::PIPE, "format: 1\ndesign: Box\ndevices: { box: {} }\n", &["check", "-"]);
    assert_eq!(empty.code, exit::FINDINGS);
    assert!(empty.out.contains("error[review/empty-design]"), "{}", empty.out);
    let pins = "format: 1\ndesign: Box\ndevices: { box: { ports: { J: { pins: { 1: spare } } } } }\n";
    let bare = harness_at(Terminal::PIPE, pins, &["check", "-"]);
    assert!(bare.out.contains("judged:   no conductors, so nothing for load, shorts or voltage drop"), "{}", bare.out);
}

#[test]
fn colour_follows_the_terminal_unless_told_otherwise() {
    let terminal =
        Terminal { out_colour: true, err_colour: true, err_terminal: false, width: Some(200), height: None, unicode: true };
    let cases =
        [(Terminal::PIPE, "auto", false), (Terminal::PIPE, "always", true), (terminal, "auto", true), (terminal, "never", false)];
    for (terminal, when, coloured) in cases {
        let done = harness_at(terminal, DESIGN, &["check", "-", "--color", when]);
        assert_eq!(done.out.contains('\u{1b}'), coloured, "{terminal:?} {when}");
    }
}

#[test]
fn an_unknown_rule_is_a_failure() {
    let done = harness(&["explain", "no-such-rule-at-all"]);
    assert_eq!((done.code, done.out.as_str()), (exit::FAILED, ""));
    assert!(done.err.starts_with("error: failed to explain `no-such-rule-at-all`: there is no such rule"), "{}", done.err);
}

#[test]
fn every_rule_can_be_explained_and_is_listed_within_eighty_columns() {
    let table = harness(&["rules"]);
    assert_eq!(table.code, exit::CLEAN);
    let rules = harness_core::rule_pages();
    for rule in &rules {
        assert!(table.out.contains(rule.name), "{} is not listed", rule.name);
        let done = harness(&["explain", rule.name]);
        assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""), "{}", rule.name);
        assert!(done.out.starts_with(rule.name), "{}", done.out);
    }
    assert!(table.out.lines().all(|line| unicode_width::UnicodeWidthStr::width(line) <= 80), "{}", table.out);
    let list: serde_json::Value = serde_json::from_str(&harness(&["rules", "--format", "json"]).out).unwrap();
    assert_eq!(list["rules"].as_array().map(Vec::len), Some(rules.len()));
}

#[test]
fn schemas_are_schemas() {
    for of in ["netlist", "report", "trace", "loads", "diff", "rework", "collisions"] {
        let done = harness(&["schema", "--of", of]);
        assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""));
        let schema: serde_json::Value = serde_json::from_str(&done.out).unwrap();
        assert!(jsonschema::draft202012::meta::is_valid(&schema), "{of}");
    }
}

#[test]
fn arguments_that_make_no_sense_are_a_failure_and_help_is_none() {
    for args in [&["check"][..], &["check", "--format", "poem", "-"], &["check", "--fail-on", "nothing", "-"], &["fly"], &[]] {
        let done = harness(args);
        assert_eq!((done.code, done.out.as_str()), (exit::FAILED, ""), "{args:?}");
        assert!(!done.err.is_empty(), "{args:?}");
    }
    for args in [&["--help"][..], &["check", "--help"], &["--version"]] {
        let done = harness(args);
        assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""), "{args:?}");
        assert!(!done.out.contains('\u{1b}'), "{args:?}");
    }
    assert!(harness(&["--help"]).out.contains("Exit codes:"));
}

#[test]
fn two_runs_give_the_same_bytes() {
    for format in ["full", "short", "json"] {
        let runs = [(); 2].map(|()| harness_at(Terminal::PIPE, "format: 1\nlooms: [", &["check", "-", "--format", format]).out);
        assert_eq!(runs[0], runs[1]);
    }
}

#[test]
fn findings_at_or_above_the_fail_level_give_one_and_lower_ones_give_nought() {
    let empty = harness_at(Terminal::PIPE, "", &["check", "-"]);
    assert_eq!(empty.code, exit::FINDINGS, "{}", empty.out);
    assert!(empty.out.contains("error[format/empty-file]") && empty.err.is_empty());
    // A design without a source is a note: what could not be checked.
    let loose = "format: 1\ndesign: Loose loom\nlooms:\n  a:\n    splices: { S: {}, T: {} }\n    wires:\n      1: { from: S, to: T, end: capped }\n";
    let noted = harness_at(Terminal::PIPE, loose, &["check", "-"]);
    assert!(noted.out.contains("note[review/missing-fact]"), "{}", noted.out);
    assert_eq!(noted.code, exit::CLEAN, "{}", noted.out);
    let strict = harness_at(Terminal::PIPE, loose, &["check", "-", "--fail-on", "note"]);
    assert_eq!(strict.code, exit::FINDINGS);
}

#[test]
fn one_finding_is_drawn_across_the_files_of_a_design() {
    let root = "format: 1\ndesign: Two files\ninclude: [parts.yaml]\ndevices:\n  pump: { ports: { J1: { housing: plug-c } } }\n\
                looms:\n  a: { ends: { P1: { housing: socket-a, mates: pump.J1 } } }\n";
    let parts = "parts:\n  housings:\n    plug-c: { family: QL, positions: 2, contacts: pin, key: C }\n    \
                 socket-a: { family: QL, positions: 2, contacts: socket, key: A }\n";
    let folder = folder("check/across", &[("root.yaml", root), ("parts.yaml", parts)]);
    let done = harness(&["check", folder.join("root.yaml").to_str().unwrap()]);
    assert_eq!(done.code, exit::FINDINGS);
    let finding = done.out.split("\n\n").find(|block| block.contains("mating/key-mismatch")).unwrap_or_default().to_owned();
    assert!(finding.contains("root.yaml:7:") && finding.contains("parts.yaml:3:"), "{}", done.out);
    let report = document("report", &harness(&["check", folder.join("root.yaml").to_str().unwrap(), "--format", "json"]));
    assert_eq!(report["version"], 1);
}
