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
fn a_key_in_two_files_shows_both_places() {
    let files = root("a.yaml, b.yaml")
        .and("a.yaml", "zones:\n  cab: { ambient: 40 degC }\n")
        .and("b.yaml", "zones:\n  cab: { wet: true }\n");
    let report = check(&files, "design.yaml", &Checker::new());
    gives(&report, &[]);
    let files = root("a.yaml, b.yaml")
        .and("a.yaml", "zones:\n  cab: { ambient: 40 degC }\nrevision: A\n")
        .and("b.yaml", "zones:\n  hood: {}\n  cab: { ambient: 40 degC }\nrevision: [ B ]\n");
    let report = check(&files, "design.yaml", &Checker::new());
    gives(
        &report,
        &[
            told(
                "b.yaml:3:10",
                "format/repeated-name",
                "`ambient` of zone `cab` is written in two files",
                "take one of them out",
            )
            .with("a.yaml:2:10"),
            told("b.yaml:4:1", "format/repeated-name", "`revision` is written in two files", "take one of them out")
                .with("a.yaml:3:1"),
        ],
    );
}

#[test]
fn what_a_thing_must_have_may_be_in_any_file() {
    let domain = |first: &str, second: &str| {
        let files = root("a.yaml, b.yaml").and("a.yaml", format!("domains: {{ aux: {{ {first} }} }}\n"));
        check(&files.and("b.yaml", format!("domains: {{ aux: {{ {second} }} }}\n")), "design.yaml", &Checker::new())
    };
    gives(&domain("nominal: 12 V, max: 15 V", "reference: chassis"), &[]);
    gives(&domain("reference: chassis", "nominal: 12 V, max: 15 V"), &[]);
    // Missing in both, it is missed once.
    gives(
        &domain("nominal: 12 V", "max: 15 V"),
        &[told("a.yaml:1:17", "format/missing-key", "the key `reference` is missing", "add `reference`")],
    );
}

#[test]
fn each_file_may_say_what_it_is() {
    let files = root("a.yaml, b.yaml")
        .and("a.yaml", "format: 1\nnote: zones\nzones: { cab: {} }\n")
        .and("b.yaml", "format: 2\nnote: more\n");
    let report = check(&files, "design.yaml", &Checker::new());
    gives(&report, &[told("b.yaml:1:9", "format/version", "version is 2", "write `format: 1`")]);
    let files = root("a.yaml, b.yaml").and("a.yaml", "format: 1\n").and("b.yaml", "format: one\n");
    let report = check(&files, "design.yaml", &Checker::new());
    gives(&report, &[told("b.yaml:1:9", "format/unexpected-value", "`one`", "write a whole number")]);
}

#[test]
fn facts_under_a_misspelt_name_are_not_silent() {
    let base = "devices: { inverter: { ports: { A: { stud: M6 }, J12: { housing: q } } } }\n\
        parts: { housings: { q: { family: q, positions: 1, contacts: pin } }, fuses: { m10: { rating: 10 A } } }\n\
        zones: { hood: { ambient: 40 degC } }\n";
    let astray = |facts: &str| {
        let files = root("a.yaml, b.yaml").and("a.yaml", base).and("b.yaml", facts);
        let report = check(&files, "design.yaml", &Checker::new());
        let found: Vec<&str> = report
            .findings
            .iter()
            .filter(|found| found.rule == "format/astray-name")
            .map(|found| found.headline.as_str())
            .collect();
        found.join("; ")
    };
    assert_eq!(astray("devices: { inverter: { zone: hood } }\n"), "");
    assert_eq!(astray("devices: { inverte: { zone: hood } }\n"), "`inverte` is in one file alone and has no ports");
    assert_eq!(astray("devices: { motor: { zone: hood } }\n"), "device `motor` is in one file alone and has no ports");
    assert_eq!(
        astray("devices: { inverter: { ports: { J112: { role: input } } } }\n"),
        "`J112` is in one file alone and has no housing and is not a point"
    );
    assert_eq!(astray("parts: { fuses: { m100: { resistance: 1 mohm } } }\n"), "`m100` is in one file alone and lacks `rating`");
    assert_eq!(astray("zones: { hod: { wet: true } }\n"), "`hod` is in one file alone and nothing names it");
    // Where something names it, the other one is in question.
    assert_eq!(
        astray("zones: { hod: { wet: true } }\ndevices: { inverter: { zone: hod } }\n"),
        "`hood` is in one file alone and nothing names it"
    );
    // What says of itself what the other says too is a zone of its own.
    assert_eq!(astray("zones: { hod: { ambient: 50 degC } }\n"), "");
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
