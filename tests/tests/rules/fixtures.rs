//! Every rule against its marked fixture and its own documentation.

use harness_core::{
    Checker, MemoryFiles, check,
    finding::{Judged, Level, RulePage},
    internals::rules::all,
    rule_pages,
};
use harness_tests::{fixtures, found, marks, netlists, report, words};
use std::path::PathBuf;

/// Rules whose fault can't be written down on a page of text: bytes, sizes, several files.
const NOT_ON_A_PAGE: [&str; 4] = ["format/encoding", "format/limit", "format/repeated-name", "format/astray-name"];

#[test]
fn marked_fixtures_fire_where_they_are_marked_and_nowhere_else() {
    let folder = fixtures().join("rules");
    let mut failures = Vec::new();
    for path in netlists(&folder) {
        let text = std::fs::read_to_string(&path).expect("a fixture can be read");
        // `group/fault.yaml`, or one of several forms in `group/fault/`.
        let rule: PathBuf = path.strip_prefix(&folder).expect("a fixture is in its folder").components().take(2).collect();
        let rule = rule.with_extension("").to_str().expect("a fixture has a plain name").replace('\\', "/");
        let report = report(&text);
        let mut expected = marks(&text);
        expected.sort();
        if !expected.iter().any(|(_, mark)| mark.ends_with(&rule)) {
            failures.push(format!("{rule}: the fixture marks no line with its own rule"));
        }
        let found = found(&report, &rule);
        if found != expected {
            failures.push(format!("{rule}: marked {expected:#?}\nfound {found:#?}\n{}", words(&report)));
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n\n"));
}

#[test]
fn every_checking_rule_has_a_marked_fixture() {
    let folder = fixtures().join("rules");
    let missing: Vec<&str> =
        all().map(|rule| rule.page.name).filter(|name| !folder.join(format!("{name}.yaml")).is_file()).collect();
    assert!(missing.is_empty(), "no fixture for {missing:?}");
}

#[test]
fn the_example_of_each_rule_fires_it_and_its_remedy_is_clean() {
    let mut failures = Vec::new();
    for rule in rule_pages() {
        if NOT_ON_A_PAGE.contains(&rule.name) {
            continue;
        }
        let [example, remedy] = ["## Example", "## Remedy"].map(|heading| code_under(rule, heading));
        let fired = check(&MemoryFiles::one("design.yaml", example.as_str()), "design.yaml", &Checker::new().fold());
        // What a waiver accepts is listed and fails nothing; what follows from another finding is folded below it.
        let is_severe = |finding: &&Judged| finding.level > Level::Note && finding.waived.is_none();
        let own_faults = fired.findings.iter().filter(|finding| !finding.follows || finding.rule == rule.name);
        let severe: Vec<&str> = own_faults.filter(is_severe).map(|finding| finding.rule).collect();
        let own = fired.findings.iter().any(|finding| finding.rule == rule.name);
        if !own || severe.iter().any(|name| *name != rule.name) {
            failures.push(format!("{}: the example gave\n{}", rule.name, words(&fired)));
        }
        let clean = report(&remedy);
        if clean.findings.iter().any(|finding| is_severe(&finding) || finding.rule == rule.name) {
            failures.push(format!("{}: the remedy gave\n{}", rule.name, words(&clean)));
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n\n"));
}

#[test]
fn the_documentation_of_each_rule_has_its_headings_in_order() {
    const HEADINGS: [&str; 6] =
        ["## What it checks", "## Why it matters", "## Example", "## Remedy", "## What it cannot see", "## Source"];
    for rule in rule_pages() {
        let found: Vec<&str> = rule.docs.lines().filter(|line| line.starts_with("## ")).collect();
        assert_eq!(found, HEADINGS, "{}", rule.name);
        assert!(!rule.finds.ends_with('.'), "{}: the line of the table ends with a full stop", rule.name);
    }
}

#[test]
fn the_names_of_rules_are_sorted_and_stand_once() {
    let names: Vec<&str> = all().map(|rule| rule.page.name).collect();
    let mut sorted = names.clone();
    sorted.sort_unstable();
    sorted.dedup();
    assert_eq!(names, sorted);
    let pages: Vec<&str> = rule_pages().iter().map(|rule| rule.name).collect();
    assert!(pages.windows(2).all(|pair| pair[0] < pair[1]), "{pages:?}");
}

/// The first code block below a heading.
fn code_under(rule: &RulePage, heading: &str) -> String {
    let (_, below) = rule.docs.split_once(heading).expect("the heading is there");
    let (_, code) = below.split_once("```yaml\n").unwrap_or_else(|| panic!("{}: no code under {heading}", rule.name));
    code.split_once("```").expect("the code block ends").0.to_owned()
}
