//! What a baseline knows, and what it does not.

use super::{Baseline, write};
use crate::{
    finding::{Finding, Judged, Level, Waived, Weighed},
    report::{Compared, Report, Summary},
    text::Span,
};

fn finding(rule: &'static str, level: Level, name: &str) -> Judged {
    let finding = Finding::new(rule, level, Span::default(), format!("`{name}` is at fault")).concerns(name);
    Judged { fingerprint: finding.identity(), ..finding.into() }
}

fn report(design: &str, findings: Vec<Judged>) -> Report {
    Report { findings, summary: Summary { design: design.to_owned(), ..Summary::default() }, ..Report::default() }
}

fn why(text: &str) -> (usize, String) {
    let bad = Baseline::read(text).unwrap_err();
    (bad.line, bad.why)
}

#[test]
fn what_was_written_is_known_and_nothing_else() {
    let odd = "a | b\\\n# c\u{202e}";
    let all =
        [finding("x/b", Level::Danger, "front.2"), finding("x/a", Level::Note, odd), finding("format/tag", Level::Error, "q")];
    let text = write("", [("Lift | one", &all[..]), ("Cart", &all[..1])]);
    let baseline = Baseline::read(&text).unwrap();
    let mut again = report("Lift | one", all.to_vec());
    again.findings.push(finding("x/a", Level::Note, "new"));
    baseline.compare(&mut again, true);
    assert_eq!(again.findings.iter().map(|finding| finding.known).collect::<Vec<_>>(), [true, true, false, false]);
    assert_eq!(again.compared, Some(Compared { listed: true, gone: 0, worse: 0 }));
    let mut cart = report("Cart", all.to_vec());
    baseline.compare(&mut cart, true);
    assert_eq!(cart.findings.iter().filter(|finding| finding.known).count(), 1);
    let mut stranger = report("", all.to_vec());
    baseline.compare(&mut stranger, true);
    assert_eq!(stranger.compared, Some(Compared::default()));
    assert!(stranger.findings.iter().all(|finding| !finding.known));
}

#[test]
fn the_order_of_findings_is_not_in_it() {
    let mut all = [finding("x/b", Level::Danger, "front.2"), finding("x/a", Level::Note, "front.1")];
    let text = write("", [("Lift", &all[..]), ("Cart", &[])]);
    all.reverse();
    assert_eq!(write("", [("Cart", &[][..]), ("Lift", &all[..])]), text);
    assert!(text.find("design Cart") < text.find("design Lift"));
    assert!(text.find("x/a front.1 | note | `front.1` is at fault\nx/b front.2 | danger").is_some(), "{text}");
}

#[test]
fn what_is_more_severe_is_new_and_what_is_less_is_known() {
    let text = write("", [("Lift", &[finding("x/a", Level::Warning, "w")][..])]);
    let baseline = Baseline::read(&text).unwrap();
    for (level, known) in [(Level::Note, true), (Level::Warning, true), (Level::Error, false), (Level::Danger, false)] {
        let mut now = report("Lift", vec![finding("x/a", level, "w")]);
        baseline.compare(&mut now, true);
        assert_eq!(now.findings[0].known, known, "{level}");
        assert_eq!(now.compared.unwrap().worse, usize::from(!known));
    }
    // Twice, as a merge leaves it: the lesser level holds.
    let twice = "baseline 1\ndesign Lift\nx/a w | danger | \nx/a w | note\nx/a w | error\n";
    let mut now = report("Lift", vec![finding("x/a", Level::Warning, "w")]);
    Baseline::read(twice).unwrap().compare(&mut now, true);
    assert!(!now.findings[0].known);
}

#[test]
fn of_several_with_one_identity_each_line_knows_one_whatever_their_numbers_are() {
    let twin = |amps: &str, number: &str| {
        let finding = Finding::new("x/a", Level::Error, Span::default(), format!("`w` carries {amps} in its wiring"));
        let finding = Finding { weighed: vec![Weighed::larger(amps)], ..finding };
        Judged { fingerprint: format!("x/a w{number}"), ..finding.concerns("w").into() }
    };
    let text = write("", [("Lift", &[twin("12 A", ""), twin("20 A", " #2"), twin("30 A", " #3")][..])]);
    let baseline = Baseline::read(&text).unwrap();
    let compared = |findings: Vec<Judged>| {
        let mut now = report("Lift", findings);
        baseline.compare(&mut now, true);
        (now.findings.iter().map(|finding| finding.known).collect::<Vec<_>>(), now.compared.unwrap())
    };
    // The first is fixed, and the others have moved up.
    let (known, counts) = compared(vec![twin("20 A", ""), twin("30 A", " #2")]);
    assert_eq!((known, counts.gone, counts.worse), (vec![true, true], 1, 0));
    // One of them has grown beyond all, another stays: a line knows one finding.
    let (known, counts) = compared(vec![twin("30 A", ""), twin("31 A", " #2")]);
    assert_eq!((known, counts.worse), (vec![true, false], 1));
    let (known, _) = compared(vec![twin("20 A", ""), twin("20 A", " #2"), twin("20 A", " #3")]);
    assert_eq!(known, [true, true, false]);
}

#[test]
fn a_figure_that_grew_is_new_and_says_by_how_much() {
    let at = |amps: &str| {
        let finding = Finding::new("x/a", Level::Error, Span::default(), format!("wire `w 2 A` carries {amps}, 1 A over"));
        let finding = Finding { weighed: vec![Weighed::larger(amps), Weighed::larger("1 A")], ..finding };
        Judged { fingerprint: "x/a w".to_owned(), ..finding.concerns("w 2 A").into() }
    };
    let baseline = Baseline::read(&write("", [("Lift", &[at("12 A")][..])])).unwrap();
    for (amps, known) in [("12 A", true), ("11.9 A", true), ("12.1 A", false), ("900 mA", true), ("1.2 kA", false)] {
        let mut now = report("Lift", vec![at(amps)]);
        baseline.compare(&mut now, true);
        assert_eq!(now.findings[0].known, known, "{amps}");
        let grown = now.findings[0].figures.iter().find(|figure| figure.name == "since the baseline");
        assert_eq!(grown.map(|figure| figure.value.clone()), (!known).then(|| format!("{amps}, was 12 A")));
    }
    // A line of an older baseline with other words for the same figures.
    let older = Baseline::read("baseline 1\ndesign Lift\nx/a w | error | the wire takes 12 A, that is 1 A too much\n").unwrap();
    let mut now = report("Lift", vec![at("12 A")]);
    older.compare(&mut now, true);
    assert!(now.findings[0].known);
}

#[test]
fn what_is_gone_is_counted_only_if_all_modes_were_computed() {
    let waived = Waived { reason: "r".to_owned(), by: None, until: None, reviewed: None, span: Span::default() };
    let accepted = Judged { waived: Some(waived), ..finding("x/a", Level::Warning, "w") };
    let text = write("", [("Lift", &[finding("x/a", Level::Warning, "w"), finding("x/b", Level::Warning, "w")][..])]);
    assert!(!write("", [("Lift", std::slice::from_ref(&accepted))]).contains("x/a"));
    for (all_modes, gone) in [(true, 1), (false, 0)] {
        let mut now = report("Lift", vec![accepted.clone()]);
        Baseline::read(&text).unwrap().compare(&mut now, all_modes);
        assert_eq!((now.compared.unwrap().gone, now.findings[0].known), (gone, false));
    }
}

#[test]
fn a_line_that_says_nothing_is_reported_with_its_number() {
    assert_eq!(why("").0, 1);
    assert_eq!(why("# only a comment\n\n").0, 1);
    assert!(why("format: 1\n").1.starts_with("this is not a baseline"));
    assert!(why("baseline 2\n").1.contains("version `2`"));
    assert_eq!(why("baseline 1\n\nx/a w | note\n").0, 3);
    for line in ["x/a w", "x/a w |", "xa w | note", "| note", "design", "x/a w | fatal | y", "<<<<<<< ours", "======="] {
        assert_eq!(why(&format!("baseline 1\ndesign Lift\r\nx/a w | note\n{line}\n")).0, 4, "{line}");
    }
    assert!(Baseline::read("\u{feff}# c\r\nbaseline 1\r\ndesign Lift\r\n  x/a w|note\r\n").is_ok());
}
