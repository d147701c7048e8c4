//! How each rule's finding looks: the example of its documentation, drawn in full.

use harness_cli::{
    Look,
    render::{Checked, check::full},
};
use harness_core::rule_pages;
use harness_tests::report;

#[test]
fn each_rule_drawn_in_full() {
    for rule in rule_pages() {
        let Some((_, below)) = rule.docs.split_once("## Example\n```yaml\n") else { continue };
        let Some((example, _)) = below.split_once("```") else { continue };
        let mut report = report(example);
        report.findings.retain(|finding| finding.rule == rule.name);
        let checked = Checked::new(String::new(), "design.yaml".to_owned(), report);
        let look = Look { width: 80, colour: false, unicode: true };
        let mut drawn = Vec::new();
        full::write(&checked, look, 20, false, &mut drawn).expect("memory takes all that is written");
        let drawn = String::from_utf8(drawn).expect("a drawing is text");
        assert!(drawn.lines().all(|line| line.chars().count() <= 80), "{}:\n{drawn}", rule.name);
        insta::assert_snapshot!(rule.name.replace('/', "-"), drawn);
    }
}
