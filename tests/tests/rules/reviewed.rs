//! What a reviewer accepted covers the finding of that day and no worse one, whichever rule found it.

use harness_core::{
    finding::{Judged, Worse, growth, review_text, unweighed},
    internals::rules,
};
use harness_tests::corpus::checked_texts;
use std::{collections::BTreeSet, sync::OnceLock};

/// Every finding of every design that a waiver could accept.
fn findings() -> &'static [(String, Judged)] {
    static FINDINGS: OnceLock<Vec<(String, Judged)>> = OnceLock::new();
    FINDINGS.get_or_init(|| {
        let found = checked_texts().flat_map(|(text, checked)| {
            let acceptable = |finding: &&Judged| !finding.rule.starts_with("format/") && finding.rule != "review/stale-waiver";
            checked.report.findings.iter().filter(acceptable).map(move |finding| (text.name.clone(), finding.clone()))
        });
        found.collect()
    })
}

#[test]
fn every_figure_of_every_rule_has_a_direction() {
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    let mut without: Vec<String> = Vec::new();
    for (name, finding) in findings() {
        seen.insert(finding.rule);
        let missing = unweighed(finding);
        if !missing.is_empty() {
            without.push(format!("{}: {} ({missing:?} in {name})", finding.rule, finding.headline));
        }
    }
    assert!(without.is_empty(), "{} figures have no direction, such as\n{}", without.len(), without.join("\n"));
    let checked = rules::pages().into_iter().map(|page| page.name);
    let never: Vec<&str> =
        checked.filter(|name| !name.starts_with("format/") && *name != "review/stale-waiver" && !seen.contains(name)).collect();
    assert_eq!(never, [""; 0], "rules without a finding here prove nothing");
}

/// A text with the figure at `at`, which begins with a number, scaled.
fn scaled(text: &str, at: usize, by: f64) -> Option<String> {
    let (head, rest) = text.split_at(at);
    let end = rest.find(|letter: char| !letter.is_ascii_digit() && letter != '.' && letter != '-').unwrap_or(rest.len());
    let number: f64 = rest[..end].parse().ok()?;
    // The number of a gauge rises as the wire gets thinner.
    if rest[end..].starts_with(" AWG") {
        let gauge = if by < 1.0 { number + 2.0 } else { number - 2.0 };
        return (gauge >= 1.0).then(|| format!("{head}{gauge}{}", &rest[end..]));
    }
    // Away from zero and below it a share says nothing.
    (number.abs() > 1e-6).then(|| format!("{head}{}{}", number * by, &rest[end..]))
}

#[test]
fn a_worse_figure_is_a_finding_again_and_a_better_one_is_not() {
    let (mut tried, mut neutral) = (0, 0);
    for (name, finding) in findings() {
        let reviewed = review_text(finding, "");
        assert_eq!(growth(&reviewed, "", finding, None), [""; 0], "{name}: {reviewed}");
        // A figure that occurs once in the text can be changed in it alone.
        for figure in finding.weighed.iter().filter(|figure| figure.text.starts_with(|letter: char| letter.is_ascii_digit())) {
            let Some(at) = reviewed.find(&format!(" {}", figure.text)).map(|at| at + 1) else { continue };
            let is_name = reviewed[..at].matches('`').count() % 2 == 1;
            let twins = finding.weighed.iter().filter(|other| other.text == figure.text).count();
            let goes_on = reviewed[at + figure.text.len()..].starts_with(|letter: char| letter.is_ascii_digit() || letter == '.');
            // Of a pair of voltages only the larger is compared.
            if is_name || goes_on || figure.text.contains('/') || twins > 1 || reviewed.matches(&figure.text).count() > 1 {
                continue;
            }
            let (Some(less), Some(more)) = (scaled(&reviewed, at, 0.8), scaled(&reviewed, at, 1.25)) else { continue };
            let is_worse_than = |text: &str| !growth(text, "", finding, None).is_empty();
            let expected = match figure.worse {
                Worse::Larger => (true, false),
                Worse::Smaller => (false, true),
                Worse::Neither | Worse::Unknown => (false, false),
            };
            assert_eq!((is_worse_than(&less), is_worse_than(&more)), expected, "{name}: {}: {}", reviewed, figure.text);
            tried += 1;
            neutral += usize::from(figure.worse == Worse::Neither);
        }
    }
    assert!(tried > 300 && neutral * 3 < tried, "{tried} figures, {neutral} of them without a direction");
}

#[test]
fn another_thing_is_a_finding_again_and_one_less_is_not() {
    let mut tried = 0;
    for (name, finding) in findings() {
        for thing in &finding.concerns {
            let mut other = finding.clone();
            other.finding.concerns.push("a.thing-that-nobody-reviewed".to_owned());
            assert_eq!(growth(&review_text(finding, ""), "", &other, None).len(), 1, "{name}");
            let mut fewer = finding.clone();
            fewer.finding.concerns.retain(|other| other != thing);
            assert_eq!(growth(&review_text(finding, ""), "", &fewer, None), [""; 0], "{name}");
            tried += 1;
        }
    }
    assert!(tried > 500, "{tried}");
}
