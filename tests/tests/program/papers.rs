//! `harness papers` as a command: folders and files that are written whole, or not at all.

use super::{document, folder, harness};
use harness_cli::exit;
use std::{collections::BTreeSet, fs, path::Path};

const LIFT: &str = "../fixtures/orchard-lift/revision-b.yaml";

fn names(folder: &Path) -> BTreeSet<String> {
    let entries = fs::read_dir(folder).expect("a folder");
    entries.map(|entry| entry.expect("a file").file_name().into_string().expect("a plain name")).collect()
}

#[test]
fn a_folder_of_papers_is_new_or_one_that_holds_nothing_else() {
    let place = folder("papers-folder", &[]);
    let papers = place.join("papers");
    let to = papers.to_str().expect("a plain path").to_owned();
    let done = harness(&["papers", LIFT, "--out", &to]);
    assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""));
    let first = names(&papers);
    for file in ["papers.html", "papers.xlsx", "papers.json", "torque-list.csv", "going-live.html", "parts-list.totals.csv"] {
        assert!(first.contains(file), "{file} of {first:?}");
    }
    let before = fs::read(papers.join("papers.html")).expect("a page");
    let again = harness(&["papers", LIFT, "--out", &to]);
    assert_eq!(again.code, exit::FAILED);
    assert!(again.err.contains("it is there already") && again.err.contains("`--force`"), "{}", again.err);
    // The same design gives the same bytes.
    let forced = harness(&["papers", LIFT, "--out", &to, "--force"]);
    assert_eq!((forced.code, forced.err.as_str()), (exit::CLEAN, ""));
    assert_eq!(names(&papers), first);
    assert!(fs::read(papers.join("papers.html")).expect("a page") == before, "the page is another one");
    // What people put there is not buried among papers of another revision.
    fs::write(papers.join("notes.txt"), "mine").expect("a note");
    let refused = harness(&["papers", LIFT, "--out", &to, "--force"]);
    assert!(
        refused.code == exit::FAILED && refused.err.contains("it has `notes.txt`, of no paper of this design"),
        "{}",
        refused.err
    );
}

#[test]
fn one_paper_goes_to_a_file_in_the_form_that_is_asked_for() {
    let place = folder("papers-file", &[]);
    let at = |name: &str| place.join(name).to_str().expect("a plain path").to_owned();
    let done = harness(&["papers", LIFT, "cut-list", "--format", "html", "--output", &at("cut.html")]);
    assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""));
    assert!(fs::read_to_string(at("cut.html")).expect("a page").starts_with("<!DOCTYPE html>"));
    let refused = harness(&["papers", LIFT, "cut-list", "--format", "html", "--output", &at("cut.html")]);
    assert!(refused.code == exit::FAILED && refused.err.contains("there is a file already"), "{}", refused.err);
    let book = harness(&["papers", LIFT, "labels", "--output", &at("labels.XLSX")]);
    assert_eq!((book.code, book.err.as_str()), (exit::CLEAN, ""));
    assert!(fs::read(at("labels.XLSX")).expect("a book").starts_with(b"PK"));
}

#[test]
fn every_paper_has_what_it_is_of_and_the_verdict_of_the_check() {
    let done = harness(&["papers", LIFT, "--format", "json"]);
    let document = document("papers", &done);
    assert_eq!(document["design"].as_str(), Some("Orchard lift"));
    let papers = document["papers"].as_array().expect("papers");
    assert!(papers.len() >= 9, "{}", papers.len());
    for paper in papers {
        let lead = paper["lead"][0].as_str().expect("a first line");
        assert!(lead.starts_with("Checked: ") || lead.starts_with("Do not build: "), "{}: {lead}", paper["name"]);
    }
    let draft = harness(&["papers", "../fixtures/terrace-tractor-draft/draft.yaml", "torque-list"]);
    assert!(draft.out.contains("Do not build: the check finds 5 dangers and 9 errors"), "{}", draft.out);
}

#[test]
fn a_paper_of_the_whole_design_is_not_asked_for_by_loom() {
    let done = harness(&["papers", "../fixtures/terrace-tractor", "torque-list", "--loom", "front"]);
    assert!(done.code == exit::FAILED && done.err.contains("it is of the whole design; leave out `--loom`"), "{}", done.err);
}
