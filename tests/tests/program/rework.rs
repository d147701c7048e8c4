//! `harness diff --rework` as a whole: the order as text, lines, checklist and JSON.

use super::{document, harness};
use harness_cli::exit;
use harness_tests::Done;
use unicode_width::UnicodeWidthStr;

const OLD: &str = "../fixtures/orchard-lift/revision-a.yaml";
const NEW: &str = "../fixtures/orchard-lift/revision-b.yaml";
const DEMO: &str = "../fixtures/terrace-tractor/tractor.yaml";
const DRAFT: &str = "../fixtures/terrace-tractor-draft/draft.yaml";
const MENDED: &str = "../fixtures/terrace-tractor-draft/mended.yaml";

fn order(arguments: &[&str]) -> Done {
    let all: Vec<&str> = ["diff", "--rework"].into_iter().chain(arguments.iter().copied()).collect();
    harness(&all)
}

#[test]
fn the_order_of_the_lift_in_full() {
    let done = order(&[OLD, NEW]);
    // What the changes brought fails as it does without an order.
    assert_eq!((done.code, done.err.as_str()), (exit::FINDINGS, ""));
    insta::assert_snapshot!(done.out);
}

#[test]
fn the_order_of_the_lift_in_lines() {
    insta::assert_snapshot!(order(&[OLD, NEW, "--format", "short"]).out);
}

#[test]
fn the_order_of_the_lift_as_a_checklist() {
    insta::assert_snapshot!(order(&[OLD, NEW, "--format", "markdown"]).out);
}

/// The document of the lift and of two whole vehicles keeps to its schema, by a validator that is not ours, and has all that the
/// lines have.
#[test]
fn the_order_in_json_keeps_to_its_schema() {
    for (old, new) in [(OLD, NEW), (NEW, OLD), (DRAFT, MENDED), (MENDED, DEMO), (OLD, OLD)] {
        let done = order(&[old, new, "--format", "json"]);
        let value = document("rework", &done);
        let lines = order(&[old, new, "--format", "short"]).out;
        for (list, word) in [("steps", "step "), ("tests", "test "), ("paper", "on paper: ")] {
            let told = lines.lines().filter(|line| line.starts_with(word)).count();
            assert_eq!(value[list].as_array().unwrap().len(), told, "{old} to {new}: {list}");
        }
    }
}

#[test]
fn nothing_to_do_is_said() {
    for format in ["full", "short", "markdown"] {
        let done = order(&[OLD, OLD, "--format", format]);
        assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""));
        assert!(done.out.to_lowercase().contains("nothing that is built changes"), "{format}: {}", done.out);
        assert!(!done.out.contains("trained people only"), "{format}: {}", done.out);
    }
}

#[test]
fn what_the_changes_brought_is_told_before_the_first_step() {
    for format in ["full", "short", "markdown", "json"] {
        let told = order(&[OLD, NEW, "--format", format]).out;
        assert!(told.contains("the changes brought 1 severe finding"), "{format}: {told}");
        assert!(!order(&[NEW, OLD, "--format", format]).out.contains("the changes brought"), "{format}");
    }
}

#[test]
fn the_order_keeps_to_the_width_and_to_ascii() {
    let wide = order(&[DRAFT, MENDED, "--width", "60", "--ascii"]).out;
    for line in wide.lines().filter(|line| !line.contains(".yaml")) {
        assert!(line.width() <= 60, "{line}");
    }
}

#[test]
fn a_picture_of_an_order_is_refused() {
    let done = order(&[OLD, NEW, "--svg", "x.svg"]);
    assert_eq!(done.code, exit::FAILED);
    assert!(done.err.contains("--svg"), "{}", done.err);
}
