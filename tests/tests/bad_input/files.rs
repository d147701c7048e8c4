//! Includes: missing, outside the project, in a circle, and names that are in two files.

use super::expect::{gives, told};
use harness_core::{Checker, MemoryFiles, check};

fn root(includes: &str) -> MemoryFiles {
    MemoryFiles::one("design.yaml", format!("format: 1\ndesign: x\ninclude: [{includes}]\n"))
}

#[test]
fn a_missing_include_is_told_with_the_nearest_name() {
    let files =
        root("parts/housing.yaml, other.yaml").and("parts/housings.yaml", "zones: {}\n").and("parts/fuses.yaml", "zones: {}\n");
    let report = check(&files, "design.yaml", &Checker::new());
    gives(
        &report,
        &[
            told("3:11", "format/include", "no file `parts/housing.yaml`", "did you mean `parts/housings.yaml`?"),
            told("3:31", "format/include", "no file `other.yaml`", "relative to the one that includes it"),
        ],
    );
}

#[test]
fn an_include_outside_the_project_is_refused() {
    let files = root("../secret.yaml, /etc/passwd, parts/../../up.yaml, 'c:\\x.yaml'").and("../secret.yaml", "format: 1\n");
    let report = check(&files, "design.yaml", &Checker::new());
    gives(
        &report,
        &[
            told("3:11", "format/include", "`../secret.yaml` leads out of the project", "folder of the design"),
            told("3:27", "format/include", "`/etc/passwd` leads out of the project", "folder of the design"),
            told("3:40", "format/include", "`parts/../../up.yaml` leads out of the project", "folder of the design"),
            told("3:61", "format/include", "leads out of the project", "folder of the design"),
        ],
    );
}

#[test]
fn circles_of_includes_are_told_once_each() {
    let report = check(&root("design.yaml"), "design.yaml", &Checker::new());
    gives(&report, &[told("3:11", "format/include", "`design.yaml` leads back", "take it out")]);

    let files = root("a.yaml").and("a.yaml", "include: [b.yaml]\n").and("b.yaml", "include: [a.yaml]\n");
    let report = check(&files, "design.yaml", &Checker::new());
    gives(&report, &[told("b.yaml:1:11", "format/include", "`a.yaml` leads back", "take it out")]);

    // Both are included by the design too, so that neither was first asked for by the other.
    let files = root("a.yaml, b.yaml").and("a.yaml", "include: [b.yaml]\n").and("b.yaml", "include: [a.yaml]\n");
    let report = check(&files, "design.yaml", &Checker::new());
    gives(&report, &[told("b.yaml:1:11", "format/include", "`a.yaml` leads back", "take it out")]);
}

#[test]
fn a_file_that_two_others_include_is_read_once_and_no_circle() {
    let files = root("a.yaml, b.yaml")
        .and("a.yaml", "include: [parts/c.yaml]\n")
        .and("b.yaml", "include: [parts/c.yaml, parts/../parts/c.yaml]\n")
        .and("parts/c.yaml", "include: [../d.yaml]\nzones: { cab: {} }\n")
        .and("d.yaml", "zones: { hood: {} }\n");
    let report = check(&files, "design.yaml", &Checker::new());
    gives(&report, &[]);
    assert_eq!(report.summary.files, 5);
}

#[test]
fn a_name_in_two_files_shows_both_places() {
    let files = root("a.yaml").and("a.yaml", "zones:\n  cab: {}\n").and("b.yaml", "zones:\n  cab: {}\n");
    let report = check(&files, "design.yaml", &Checker::new());
    gives(&report, &[]);
    let files = root("a.yaml, b.yaml").and("a.yaml", "zones:\n  cab: {}\n").and("b.yaml", "zones:\n  hood: {}\n  cab: {}\n");
    let report = check(&files, "design.yaml", &Checker::new());
    gives(
        &report,
        &[told("b.yaml:3:3", "format/repeated-name", "zone `cab` is written in two files", "another name").with("a.yaml:2:3")],
    );
}

#[test]
fn a_mistake_in_an_included_file_is_told_there() {
    let files = root("parts/a.yaml").and("parts/a.yaml", "zones:\n  cab: { wett: true }\n");
    let report = check(&files, "design.yaml", &Checker::new());
    gives(&report, &[told("parts/a.yaml:2:10", "format/unknown-key", "`wett`", "write `wet`")]);
}

#[test]
fn a_design_that_is_not_there_is_told() {
    let report = check(&root(""), "desing.yaml", &Checker::new());
    gives(&report, &[told("desing.yaml:1:1", "format/include", "no file `desing.yaml`", "`design.yaml`")]);
}
