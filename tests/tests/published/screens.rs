//! Screens of cables, as rule books and manuals have them.

use harness_core::{finding::Level, internals::rules};
use harness_tests::report;

/// A sound heater on a screened cable of class B: the remedy of a page.
fn heater() -> String {
    let page = rules::pages().into_iter().find(|page| page.name == "screen/one-end").expect("the rule is there");
    let (_, remedy) = page.docs.split_once("## Remedy\n```yaml\n").expect("the page has its remedy");
    remedy.split_once("```").expect("the code ends").0.to_owned()
}

fn said(design: &str) -> Vec<(Level, &'static str)> {
    let report = report(design);
    report
        .findings
        .iter()
        .filter(|finding| finding.rule.starts_with("screen/"))
        .map(|finding| (finding.level, finding.rule))
        .collect()
}

#[test]
fn the_screen_of_class_b_is_grounded_at_both_ends() {
    // Rules of a student competition (seen): the screen of a cable of the tractive system is grounded. A controller maker's manual (seen): by the
    // glands, at both ends.
    let both = heater();
    assert_eq!(said(&both), []);
    let one = both
        .replace("screen: { from: S1, to: S2 }", "screen: { from: S1 }")
        .replace("      S2: { ring: M6, bolts-to: heater.E }\n", "");
    assert_eq!(said(&one), [(Level::Warning, "screen/one-end")]);
    let none = one.replace("S1: { ring: M6, bolts-to: pack.E }", "S1: { ring: M6 }");
    assert_eq!(said(&none), [(Level::Error, "screen/unconnected")]);
}
