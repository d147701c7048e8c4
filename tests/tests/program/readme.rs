//! What the README shows is what the program does.

use super::{folder, harness};
use harness_cli::{Terminal, exit};
use harness_core::rule_pages;
use harness_tests::{fixtures, harness_at, report, words};
use std::fs;

fn readme() -> String {
    fs::read_to_string(fixtures().join("../README.md")).expect("the README can be read")
}

/// The code blocks of a language, in order.
fn blocks(language: &str) -> Vec<String> {
    let text = readme();
    let mut blocks = Vec::new();
    let mut rest = text.as_str();
    while let Some((_, below)) = rest.split_once(&format!("```{language}\n")) {
        let (block, more) = below.split_once("```").expect("a code block ends");
        blocks.push(block.to_owned());
        rest = more;
    }
    blocks
}

#[test]
fn the_format_by_example_is_a_clean_design() {
    let example = blocks("yaml");
    let report = report(example.first().expect("the README has an example"));
    assert!(report.findings.is_empty(), "{}", words(&report));
}

#[test]
fn the_findings_shown_are_those_of_the_draft() {
    let draft = fixtures().join("terrace-tractor-draft/draft.yaml");
    let place = draft.to_str().expect("a plain path");
    let done = harness(&["check", place]);
    assert_eq!(done.code, exit::FINDINGS);
    // The README is read from the top of the repository, the test runs elsewhere: places are compared by file name.
    let drawn = done.out.replace(place, "fixtures/terrace-tractor-draft/draft.yaml");
    let shown = blocks("text");
    for finding in shown.first().expect("the README shows findings").trim_end().split("\n\n") {
        assert!(drawn.contains(finding), "not as drawn:\n{finding}\n\n{drawn}");
    }
}

#[test]
fn the_waiver_and_the_baseline_shown_are_those_of_the_example() {
    let yaml = blocks("yaml");
    let (design, waiver) = (yaml.first().expect("an example"), yaml.get(1).expect("a waiver"));
    let unsealed = design.replacen("sealed: true", "sealed: false", 1);
    let folder = folder("readme", &[]);
    let path = |name: &str| folder.join(name).to_str().expect("a plain path").to_owned();
    fs::write(path("lift.yaml"), format!("{unsealed}{waiver}")).expect("a file can be written");
    let ran = |args: &[&str]| {
        let done = harness(args);
        assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""), "{args:?}");
        done.out
    };
    // The place is longer here than in the README, so lines break elsewhere.
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let drawn = ran(&["check", &path("lift.yaml"), "--fail-on", "note", "--today", "2027-06-30"]);
    let drawn = words(&drawn).replace(&path("lift.yaml"), "lift.yaml");
    let text = blocks("text");
    let shown = text.iter().find(|block| block.starts_with("waived:")).expect("the README shows what is waived");
    assert!(drawn.contains(&words(shown)), "{drawn}");
    fs::write(path("lift.yaml"), unsealed).expect("a file can be written");
    ran(&["baseline", &path("lift.yaml"), "--output", &path("lift.baseline")]);
    let written = fs::read_to_string(path("lift.baseline")).expect("the baseline was written");
    let shown = text.iter().find(|block| block.starts_with("design ")).expect("the README shows a baseline");
    assert!(written.ends_with(shown), "{written}");
}

#[test]
fn the_loads_shown_are_those_of_the_example() {
    let example = blocks("yaml");
    let example = example.first().expect("the README has an example");
    let done = harness_at(Terminal::PIPE, example, &["loads", "-"]);
    assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""));
    let shown = blocks("text");
    let loads = shown.iter().find(|block| block.starts_with("loads of ")).expect("the README shows loads");
    assert_eq!(loads, &done.out);
}

#[test]
fn the_comparison_shown_is_that_of_the_lift() {
    shown_of_the_lift("from fixtures/orchard-lift", &[]);
}

#[test]
fn the_order_shown_is_that_of_the_lift() {
    shown_of_the_lift("cut open", &["--rework"]);
}

/// Every paragraph of the block that begins with `start` is one that the program prints of the two revisions of the lift.
fn shown_of_the_lift(start: &str, more: &[&str]) {
    let folder = "../fixtures/orchard-lift";
    let (old, new) = (format!("{folder}/revision-a.yaml"), format!("{folder}/revision-b.yaml"));
    let arguments: Vec<&str> = ["diff", &old, &new].into_iter().chain(more.iter().copied()).collect();
    let done = harness(&arguments);
    assert_eq!((done.code, done.err.as_str()), (1, ""));
    let drawn = done.out.replace("../fixtures", "fixtures");
    let shown = blocks("text");
    let lift = shown.iter().find(|block| block.starts_with(start)).expect("the README shows it");
    for paragraph in lift.trim_end().split("\n\n") {
        assert!(drawn.contains(paragraph), "not as drawn:\n{paragraph}\n\n{drawn}");
    }
}

#[test]
fn the_table_of_rules_is_complete() {
    let readme = readme();
    for rule in rule_pages() {
        let row = format!("| `{}` | {} | {} |", rule.name, rule.level, rule.finds);
        assert!(readme.contains(&row), "the table lacks or changes the row\n{row}");
    }
}
