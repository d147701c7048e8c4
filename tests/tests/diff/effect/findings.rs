//! Findings of two reports, made by hand: what stays the same finding, and what of it changed.

use super::renames;
use harness_core::{
    Analysis, Checker, Design, MemoryFiles, Report, check,
    diff::{
        effect::{FindingChanges, Pair, Threshold, effect},
        renames::Renames,
    },
    finding::{Finding, Judged, Level, Waived},
};

const DESIGN: &str = "format: 1\ndesign: Orchard lift\n";
const RULE: &str = "conductor/voltage-drop";

fn finding(headline: &str, concerns: &[&str]) -> Judged {
    stated(headline, concerns).into()
}

fn stated(headline: &str, concerns: &[&str]) -> Finding {
    let files = MemoryFiles::one("design.yaml", "format: 1\ndesign: Orchard lift\nzones: { deck: { wett: true } }\n");
    let report = check(&files, "design.yaml", &Checker::new());
    let span = report.findings.first().expect("a key that there is not").primary.span;
    concerns.iter().fold(Finding::new(RULE, Level::Warning, span, headline), |finding, name| finding.concerns(*name))
}

fn waived(mut finding: Judged, reason: &str) -> Judged {
    let span = finding.primary.span;
    finding.waived = Some(Waived { reason: reason.to_owned(), by: None, until: None, reviewed: None, span });
    finding
}

fn compared(old: &[&Judged], new: &[&Judged], renames: &Renames) -> FindingChanges {
    let files = MemoryFiles::one("design.yaml", DESIGN);
    let report = |findings: &[&Judged]| Report { findings: findings.iter().copied().cloned().collect(), ..Report::default() };
    let design = Analysis::of_all(&Design::load(&files, "design.yaml"));
    effect(&design, &report(old), &design, &report(new), renames, Threshold::default()).findings
}

fn headlines(told: &[harness_core::diff::effect::Told]) -> Vec<&str> {
    told.iter().map(|told| told.headline.as_str()).collect()
}

#[test]
fn findings_of_one_identity_are_counted() {
    let one = finding("`front.1` loses 1 V", &["front.1"]);
    let found = compared(&[&one, &one], &[&one, &one, &one], &Renames::default());
    assert_eq!((found.unchanged, headlines(&found.came), found.went.len()), (2, vec!["`front.1` loses 1 V"], 0));
    assert!(found.changed.is_empty());
}

#[test]
fn the_order_of_what_is_concerned_and_the_words_do_not_matter() {
    let old = finding("`a.1` and `a.2` share", &["a.1", "a.2"]);
    let new = finding("`a.2` and `a.1` share it", &["a.2", "a.1"]);
    let found = compared(&[&old], &[&new], &Renames::default());
    assert!(found.is_empty() && found.unchanged == 1, "{found:?}");
}

#[test]
fn a_figure_that_changed_is_told_with_both_values() {
    let old = Judged::from(stated("`front.1` carries 11.2 A", &["front.1"]).figure("current", "11.2 A").figure("limit", "10 A"));
    let new = Judged::from(stated("`front.1` carries 13.9 A", &["front.1"]).figure("current", "13.9 A").figure("margin", "0.7"));
    let found = compared(&[&old], &[&new], &Renames::default());
    let [stayed] = found.changed.as_slice() else { panic!("{found:?}") };
    let text = |value: &str| Some(value.to_owned());
    assert_eq!(
        stayed.figures,
        [
            ("current", Pair { old: text("11.2 A"), new: text("13.9 A") }),
            ("margin", Pair { old: None, new: text("0.7") }),
            ("limit", Pair { old: text("10 A"), new: None }),
        ]
    );
    assert_eq!(
        (stayed.old.headline.as_str(), stayed.new.headline.as_str()),
        ("`front.1` carries 11.2 A", "`front.1` carries 13.9 A")
    );
}

#[test]
fn level_and_waiver_are_kept() {
    let plain = finding("`front.1` loses 1 V", &["front.1"]);
    let raised = Judged { level: Level::Danger, ..plain.clone() };
    let accepted = waived(plain.clone(), "measured");
    let found = compared(&[&plain], &[&raised], &Renames::default());
    let [stayed] = found.changed.as_slice() else { panic!("{found:?}") };
    assert_eq!((stayed.old.level, stayed.new.level, stayed.figures.len()), (Level::Warning, Level::Danger, 0));
    let found = compared(&[&plain], &[&accepted], &Renames::default());
    let [stayed] = found.changed.as_slice() else { panic!("{found:?}") };
    assert_eq!((stayed.old.waived.is_some(), stayed.new.waived.is_some()), (false, true));
    assert_eq!(compared(&[&accepted], &[&accepted], &Renames::default()).unchanged, 1);
    // What comes waived says so, and is listed after what is not.
    let note = Judged { level: Level::Note, ..finding("`front.2` lacks a length", &["front.2"]) };
    let found = compared(&[], &[&waived(raised.clone(), "seen"), &note, &raised], &Renames::default());
    let came: Vec<(Level, bool)> = found.came.iter().map(|told| (told.level, told.waived.is_some())).collect();
    assert_eq!(came, [(Level::Danger, false), (Level::Note, false), (Level::Danger, true)]);
}

#[test]
fn renamed_things_keep_their_findings() {
    let moved = renames(&[("front.P1", "front.X1"), ("front.104", "front.101")]);
    let old = Judged::from(stated("cavity `front.P1.3` is warm", &["front.P1.3"]).figure("others", "`front.P1.4`"));
    let new = Judged::from(stated("cavity `front.X1.3` is warm", &["front.X1.3"]).figure("others", "`front.X1.4`"));
    let found = compared(&[&old], &[&new], &moved);
    assert!(found.is_empty() && found.unchanged == 1, "{found:?}");
    let found = compared(&[&old], &[&new], &Renames::default());
    assert_eq!((found.went.len(), found.came.len()), (1, 1));
    // The wire that is `front.101` now is another than the one that was.
    let (first, second) = (finding("`front.101` is thin", &["front.101"]), finding("`front.104` is thin", &["front.104"]));
    let found = compared(&[&first], &[&first], &moved);
    assert_eq!((found.went.len(), found.came.len(), found.unchanged), (1, 1, 0));
    let found = compared(&[&first, &second], &[&first], &moved);
    assert_eq!((headlines(&found.went), found.came.len(), found.unchanged), (vec!["`front.101` is thin"], 0, 1));
}

#[test]
fn findings_about_text_alone_are_known_by_their_headline() {
    let moved = renames(&[("fusebox", "carrier")]);
    let (old, new) = (finding("`fusebox` has no fuse", &[]), finding("`carrier` has no fuse", &[]));
    assert_eq!(compared(&[&old], &[&new], &moved).unchanged, 1);
    let found = compared(&[&old], &[&new], &Renames::default());
    assert_eq!((found.went.len(), found.came.len(), found.unchanged), (1, 1, 0));
}
