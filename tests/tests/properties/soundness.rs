//! Any bytes at all go through the whole check without a panic, and every place that is named can be shown.

use harness_core::{Baseline, Checker, MemoryFiles, Report, baseline, check, internals::text::Span};
use harness_tests::corpus::{checked_files, texts};
use proptest::prelude::*;
use std::{cmp::Reverse, collections::BTreeSet};

/// Tokens that turn a sound netlist into a faulty one.
const TOKENS: [&str; 40] = [
    "", " ", "\n", "\n  ", "\n    ", "\t", "{", "}", "[", "]", ",", ": ", ":", "- ", "#", " #", "\"", "'", "|", ">", "&a ", "*a",
    "<<: *a", "!t ", "---\n", "\u{feff}", "\0", "é", "ß", "-1 A", "0 V", "1e309 A", "900 mm2", "0.5", "P1.1", "spare", "from",
    "wires", "~", "\r\n",
];

/// What every report keeps to, whatever was read.
fn sound(report: &Report) -> Result<(), TestCaseError> {
    for finding in &report.findings {
        let labels = finding.labels.iter().map(|label| label.span);
        for span in labels.chain([finding.primary.span]) {
            prop_assert!(is_shown(report, span), "{} {}: {span:?}", finding.rule, finding.headline);
        }
        prop_assert!(!finding.headline.is_empty() && !finding.headline.contains(['\n', '\r']), "{:?}", finding.headline);
    }
    let prints: BTreeSet<&str> = report.findings.iter().map(|finding| finding.fingerprint.as_str()).collect();
    prop_assert_eq!(prints.len(), report.findings.len(), "two findings have one fingerprint");
    for finding in &report.findings {
        // A waiver could not name it.
        let is_named = finding.rule.starts_with("format/") || !finding.concerns.is_empty();
        prop_assert!(is_named, "it concerns nothing: {finding:?}");
    }
    let text = baseline::write("", [("design", report.findings.as_slice())]);
    let known = Baseline::read(&text);
    prop_assert!(known.is_ok(), "{:?}\n{text}", known);
    ordered(report)
}

/// Rules that come first among those of their level, because others may only follow from them.
const FIRST: [&str; 4] = ["mating/wrong-port", "netlist/misnumbered-plug", "netlist/reversed-source", "netlist/swapped-earth"];

/// The order of a report: what is held back last, reading mistakes first, the most severe first, of these those of the rules that come [`FIRST`], causes by the place of their first finding; each cause is one piece of the list, of the level of its first finding, which is its most severe, and sorted in itself.
fn ordered(report: &Report) -> Result<(), TestCaseError> {
    let mut end = 0;
    let mut keys = Vec::new();
    for cause in &report.causes {
        prop_assert_eq!(cause.findings.start, end, "the causes leave something out, or overlap");
        end = cause.findings.end;
        let Some([first, others @ ..]) = report.findings.get(cause.findings.clone()) else {
            return Err(TestCaseError::fail(format!("no finding in {cause:?}")));
        };
        prop_assert!(others.iter().all(|other| other.level <= first.level), "a cause begins with a lesser finding: {first:?}");
        // What follows from the first is sorted below it.
        let from = cause.findings.start + usize::from(others.iter().any(|other| other.follows));
        prop_assert!(report.findings[from..cause.findings.end].is_sorted_by(|a, b| a.order(b).is_le()), "unsorted: {first:?}");
        let place = (first.primary.span.file, first.primary.span.start);
        let is_reading = first.rule.starts_with("format/");
        keys.push((cause.held_back, !is_reading, Reverse(first.level), !FIRST.contains(&first.rule), place, first.rule));
    }
    prop_assert_eq!(end, report.findings.len(), "findings without a cause");
    prop_assert!(keys.is_sorted(), "the findings are not in their order: {:?}", keys);
    Ok(())
}

/// Whether the span is in its file, on character boundaries.
fn is_shown(report: &Report, span: Span) -> bool {
    let file = report.sources.file(span.file);
    file.is_some_and(|file| file.text().get(span.start as usize..span.end as usize).is_some())
}

fn checked(bytes: impl Into<Vec<u8>>) -> Report {
    check(&MemoryFiles::one("design.yaml", bytes), "design.yaml", &Checker::new())
}

/// One change to the lines of a netlist.
#[derive(Debug, Clone)]
enum Change {
    Delete,
    Double,
    Replace(usize),
    Swap(usize),
    Indent(usize),
    Token(usize, usize),
}

fn change() -> impl Strategy<Value = Change> {
    prop_oneof![
        Just(Change::Delete),
        Just(Change::Double),
        any::<usize>().prop_map(Change::Replace),
        any::<usize>().prop_map(Change::Swap),
        (0..9usize).prop_map(Change::Indent),
        (any::<usize>(), 0..TOKENS.len()).prop_map(|(at, token)| Change::Token(at, token)),
    ]
}

fn changed(netlist: &str, changes: &[(usize, Change)]) -> String {
    let mut lines: Vec<String> = netlist.lines().map(str::to_owned).collect();
    for (at, change) in changes {
        if lines.is_empty() {
            break;
        }
        let at = at % lines.len();
        match change {
            Change::Delete => {
                lines.remove(at);
            }
            Change::Double => lines.insert(at, lines[at].clone()),
            Change::Replace(with) => lines[at] = lines[with % lines.len()].clone(),
            Change::Swap(with) => {
                let with = with % lines.len();
                lines.swap(at, with);
            }
            Change::Indent(blanks) => lines[at] = format!("{}{}", " ".repeat(*blanks), lines[at].trim_start()),
            Change::Token(place, token) => {
                // The place is the start of a word, so that whole words go and come.
                let line = &lines[at];
                let starts: Vec<usize> =
                    line.char_indices().filter(|(_, letter)| !letter.is_alphanumeric()).map(|(at, _)| at).collect();
                let start = if starts.is_empty() { 0 } else { starts[place % starts.len()] };
                let end = line[start..].char_indices().skip(1).find(|(_, letter)| !letter.is_alphanumeric());
                let end = end.map_or(line.len(), |(length, _)| start + length);
                lines[at] = format!("{}{}{}", &line[..start], TOKENS[*token], &line[end..]);
            }
        }
    }
    lines.join("\n") + "\n"
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_are_checked(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        sound(&checked(bytes))?;
    }

    #[test]
    fn any_mutated_netlist_is_checked(
        pick in any::<usize>(),
        changes in proptest::collection::vec((any::<usize>(), change()), 1..6),
    ) {
        let texts = texts();
        let netlist = changed(&texts[pick % texts.len()].netlist, &changes);
        let report = checked(netlist.as_bytes());
        sound(&report)?;
        // The same bytes give the same findings.
        prop_assert_eq!(&report.findings, &checked(netlist.as_bytes()).findings);
    }

    #[test]
    fn any_byte_of_a_netlist_may_be_lost(pick in any::<usize>(), at in any::<usize>(), byte in any::<u8>()) {
        let texts = texts();
        let mut bytes = texts[pick % texts.len()].netlist.clone().into_bytes();
        let at = at % bytes.len();
        bytes[at] = byte;
        sound(&checked(bytes.clone()))?;
        bytes.truncate(at);
        sound(&checked(bytes))?;
    }
}

#[test]
fn every_fixture_gives_a_sound_report() {
    for fixture in checked_files() {
        sound(&fixture.checked.report).unwrap_or_else(|error| panic!("{}: {error}", fixture.path.display()));
    }
}

#[test]
fn a_thing_that_lacks_a_key_is_shown_by_a_whole_letter() {
    let report = checked("format: 1\ndesign: Lift\nlooms:\n  main:\n    wires:\n      1:\n        ß: A.1\n".as_bytes());
    assert!(report.findings.iter().any(|finding| finding.rule == "format/missing-key"), "{:#?}", report.findings);
    sound(&report).unwrap_or_else(|error| panic!("{error}"));
}
