//! By how much a finding has grown since somebody reviewed it.
//!
//! What was reviewed is recorded as a text that people read, the headline of that day: `error: wire `front.1` carries 24.1 A, 0.1 A
//! over what 1.5 mm2 takes here`. The figures and names of such a text are read again and compared one by one; words are not compared,
//! so another wording changes nothing.

use super::{Finding, Judged, Level, Weighed};
use crate::quantity::{SquareMillimetre, parse};

/// Where a figure is worse.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Worse {
    /// The larger it is: a current, an excess.
    Larger,
    /// The smaller it is: a size, a limit, a margin.
    Smaller,
    /// Neither way: a nominal voltage, a date.
    Neither,
    /// Any change, because nobody said which way it is worse.
    Unknown,
}

/// A figure that differs by less than this share is the same one: less than what a headline rounds away.
const SAME: f64 = 1e-9;

/// What a review of `finding` has to record so that all it concerns is bound: its level, its headline, and the names that the headline
/// leaves out. `at` is known without being recorded.
#[must_use]
pub fn review_text(finding: &Judged, at: &str) -> String {
    let text = format!("{}: {}", finding.level, finding.headline);
    let unnamed: Vec<String> = names_of(finding)
        .into_iter()
        .filter(|name| *name != at && !mentions(&text, name))
        .map(|name| format!("`{name}`"))
        .collect();
    if unnamed.is_empty() { text } else { format!("{text}; with {}", unnamed.join(", ")) }
}

/// What of `finding` is more severe than what `reviewed` records, a few words each; empty if nothing is.
///
/// A level that is higher, a figure that is worse or that was not there, a thing that was not named. `at` is named by whatever holds
/// the text. Without a level in the text, the finding may be as severe as its rule says by default.
#[must_use]
pub fn growth(reviewed: &str, at: &str, finding: &Judged, default: Option<Level>) -> Vec<String> {
    let (level, said) = split_level(reviewed);
    let mut grown = Vec::new();
    if let Some(most) = level.or(default)
        && finding.level > most
    {
        grown.push(format!("{} instead of {most}", finding.level));
    }
    grown.extend(figures_grown(said, finding).into_iter().map(|(words, _)| words));
    let new: Vec<&str> = names_of(finding).into_iter().filter(|name| *name != at && !mentions(said, name)).collect();
    if !new.is_empty() {
        let shown: Vec<String> = new.iter().take(MOST_NAMES).map(|name| format!("`{name}`")).collect();
        let more = new.len() - shown.len();
        let more = if more == 0 { String::new() } else { format!(" and {more} more") };
        grown.push(format!("{}{more} not reviewed", shown.join(", ")));
    }
    grown
}

/// Whether a recorded text names all that a finding concerns, and so may be about it though it was written for more.
#[must_use]
pub fn covers(reviewed: &str, finding: &Finding) -> bool {
    !finding.concerns.is_empty() && finding.concerns.iter().all(|name| mentions(reviewed, name))
}

/// Names listed when something was not reviewed.
const MOST_NAMES: usize = 3;

/// The figures of the finding's headline that are worse than those of `before`, in words and as the share by which they are worse.
pub(crate) fn figures_grown(before: &str, finding: &Finding) -> Vec<(String, f64)> {
    let before = figures(before);
    let now = figures(&finding.headline);
    let mut grown = Vec::new();
    for ((at, figure), worse) in now.iter().enumerate().zip(directions(&now, &finding.weighed)) {
        let number = now.iter().take(at).filter(|other| other.unit == figure.unit).count();
        let Some(old) = before.iter().filter(|other| other.unit == figure.unit).nth(number) else {
            grown.push((format!("{} was not reviewed", figure.text), f64::INFINITY));
            continue;
        };
        let by = match worse {
            Worse::Larger => figure.value - old.value,
            Worse::Smaller => old.value - figure.value,
            Worse::Neither => continue,
            Worse::Unknown => (figure.value - old.value).abs(),
        };
        let scale = figure.value.abs().max(old.value.abs());
        if by > scale * SAME {
            grown.push((format!("{}, was {}", figure.text, old.text), by / scale));
        }
    }
    grown
}

/// The figures of a headline whose direction its rule did not state: none, in a sound rule.
#[must_use]
pub fn unweighed(finding: &Finding) -> Vec<String> {
    let figures = figures(&finding.headline);
    let directions = directions(&figures, &finding.weighed);
    figures.into_iter().zip(directions).filter(|(_, worse)| *worse == Worse::Unknown).map(|(figure, _)| figure.text).collect()
}

/// In which direction each figure is worse: as declared for it, each declaration once while there are enough of them. More things are
/// worse where nothing is declared.
fn directions(figures: &[Counted], weighed: &[Weighed]) -> Vec<Worse> {
    let mut declared: Vec<(Counted, Worse, bool)> = Vec::new();
    for one in weighed {
        declared.extend(self::figures(&one.text).into_iter().map(|figure| (figure, one.worse, false)));
    }
    let mut of = |figure: &Counted| {
        let same = |(other, ..): &&mut (Counted, Worse, bool)| other.text == figure.text;
        if let Some((_, worse, used)) = declared.iter_mut().filter(same).find(|(.., used)| !*used) {
            *used = true;
            return *worse;
        }
        let again = declared.iter().find(|(other, ..)| other.text == figure.text).map(|(_, worse, _)| *worse);
        again.unwrap_or(if figure.unit.is_empty() { Worse::Larger } else { Worse::Unknown })
    };
    figures.iter().map(&mut of).collect()
}

/// The level at the start of a recorded text, and the rest.
fn split_level(text: &str) -> (Option<Level>, &str) {
    let text = text.trim();
    match text.split_once(':') {
        Some((word, rest)) => match Level::from_name(word) {
            Some(level) => (Some(level), rest),
            None => (None, text),
        },
        None => (None, text),
    }
}

/// What a finding concerns and what else its headline names.
fn names_of(finding: &Finding) -> Vec<&str> {
    let quoted = finding.headline.split('`').skip(1).step_by(2);
    let mut names: Vec<&str> = finding.concerns.iter().map(String::as_str).chain(quoted).collect();
    names.sort_unstable();
    names.dedup();
    names
}

/// Whether a text names a thing: the whole name, with or without backticks.
fn mentions(text: &str, name: &str) -> bool {
    let is_of_name = |letter: char| letter.is_alphanumeric() || matches!(letter, '.' | '-' | '_');
    text.match_indices(name).any(|(at, _)| {
        let (before, after) = (text.get(..at).unwrap_or(""), text.get(at + name.len()..).unwrap_or(""));
        let goes_on = after.chars().next().is_some_and(|letter| match letter {
            // A full stop behind a name may end a sentence.
            '.' => after.chars().nth(1).is_some_and(is_of_name),
            letter => is_of_name(letter),
        });
        !before.ends_with(is_of_name) && !goes_on
    })
}

/// A number of a text with its unit, without the prefix of the unit.
#[derive(Debug, Clone, PartialEq)]
struct Counted {
    value: f64,
    unit: &'static str,
    text: String,
}

/// Units with what they are and by how much; a word that is none of them counts things.
const UNITS: [(&str, &str, f64); 34] = [
    ("A", "A", 1.0),
    ("mA", "A", 1e-3),
    ("uA", "A", 1e-6),
    ("kA", "A", 1e3),
    ("V", "V", 1.0),
    ("mV", "V", 1e-3),
    ("kV", "V", 1e3),
    ("ohm", "ohm", 1.0),
    ("mohm", "ohm", 1e-3),
    ("kohm", "ohm", 1e3),
    ("Mohm", "ohm", 1e6),
    ("W", "W", 1.0),
    ("kW", "W", 1e3),
    ("Ah", "Ah", 1.0),
    ("mAh", "Ah", 1e-3),
    ("mm2", "mm2", 1.0),
    ("m", "m", 1.0),
    ("mm", "m", 1e-3),
    ("degC", "degC", 1.0),
    ("K", "K", 1.0),
    ("us", "s", 1e-6),
    ("ms", "s", 1e-3),
    ("s", "s", 1.0),
    ("min", "s", 60.0),
    ("h", "s", 3600.0),
    ("hour", "s", 3600.0),
    ("hours", "s", 3600.0),
    ("d", "s", 86_400.0),
    ("days", "s", 86_400.0),
    ("%", "%", 1.0),
    ("A2s", "A2s", 1.0),
    ("times", "times", 1.0),
    ("Hz", "Hz", 1.0),
    ("F", "F", 1.0),
];

/// The figures of a text in their order. What is in backticks is a name.
fn figures(text: &str) -> Vec<Counted> {
    let mut found = Vec::new();
    for own in text.split('`').step_by(2) {
        let mut words = own.split_whitespace().peekable();
        while let Some(word) = words.next() {
            let word = word.trim_start_matches('(').trim_end_matches([',', ';', ':', ')', '.']);
            let next = words.peek().map(|next| next.trim_end_matches([',', ';', ':', ')', '.']));
            // A gauge counts by its cross-section: its number rises as the wire gets thinner.
            let gauge = next.filter(|next| *next == "AWG").map(|unit| format!("{word} {unit}"));
            let size = gauge.and_then(|text| parse::<SquareMillimetre>(&text).ok().map(|size| (text, size)));
            if let Some((text, size)) = size {
                found.push(Counted { value: size.get(), unit: "mm2", text });
                words.next();
                continue;
            }
            // Of 600/1000 V the larger counts.
            let pair = word.split_once('/').filter(|(first, last)| [first, last].iter().all(|text| text.parse::<f64>().is_ok()));
            let word = pair.map_or(word, |(_, last)| last);
            let (number, percent) = word.strip_suffix('%').map_or((word, false), |number| (number, true));
            let Some(value) = number.parse::<f64>().ok().filter(|value| value.is_finite() && number.starts_with(is_numeric))
            else {
                continue;
            };
            if percent {
                found.push(Counted { value, unit: "%", text: word.to_owned() });
                continue;
            }
            match next.and_then(|next| UNITS.iter().find(|(name, ..)| *name == next)) {
                Some((name, unit, factor)) => {
                    found.push(Counted { value: value * factor, unit, text: format!("{number} {name}") });
                    words.next();
                }
                None => found.push(Counted { value, unit: "", text: number.to_owned() }),
            }
        }
    }
    found
}

fn is_numeric(letter: char) -> bool {
    letter.is_ascii_digit() || letter == '-'
}

#[cfg(test)]
mod tests {
    use super::{Weighed, figures, growth, review_text, unweighed};
    use crate::{
        finding::{Finding, Judged, Level},
        text::Span,
    };

    const AT: &str = "box.F1";

    fn judged(headline: &str, concerns: &[&str]) -> Judged {
        let mut finding = Finding::new("protection/fuse-over-conductor", Level::Danger, Span::default(), headline);
        finding.weighed.push(Weighed::larger(headline));
        concerns.iter().fold(finding, |finding, name| finding.concerns(*name)).into()
    }

    fn grown(reviewed: &str, headline: &str, concerns: &[&str]) -> Vec<String> {
        growth(reviewed, AT, &judged(headline, concerns), Some(Level::Danger))
    }

    #[test]
    fn what_was_reviewed_is_covered_and_less_too() {
        let now = "fuse `box.F1` passes 125 A, 1.61 A over what wire `box-b.B15` takes";
        for reviewed in [
            "passes 125 A, 1.61 A over what wire `box-b.B15` takes",
            "passes 125 A, 1.61 A over what wire box-b.B15 takes.",
            "passes 125 A, 2 A over what wire `box-b.B15` takes",
            "danger: 130 A, 1700 mA, B14 and box-b.B15",
        ] {
            assert_eq!(grown(reviewed, now, &[AT, "box-b.B15"]), [""; 0], "{reviewed}");
        }
    }

    #[test]
    fn what_is_more_severe_is_named_with_both_figures() {
        let now = "fuse `box.F1` passes 125 A, 3.2 A over what wire `box-b.B15` takes";
        let both = [AT, "box-b.B15"];
        assert_eq!(grown("passes 125 A, 1.61 A over what `box-b.B15` takes", now, &both), ["3.2 A, was 1.61 A"]);
        assert_eq!(grown("passes 100 A, 3199 mA over `box-b.B15`", now, &both), ["125 A, was 100 A", "3.2 A, was 3199 mA"]);
        assert_eq!(grown("passes 125 A; `box-b.B15`", now, &both), ["3.2 A was not reviewed"]);
        assert_eq!(grown("error: 125 A, 3.2 A, `box-b.B15`", now, &both), ["danger instead of error"]);
        assert_eq!(grown("125 A, 3.2 A, `box-b.B1`", now, &both), ["`box-b.B15` not reviewed"]);
        let more = [AT, "b.1", "b.2", "b.3", "b.4", "b.5"];
        assert_eq!(grown("125 A, 3.2 A, `b.5`", now, &more), ["`b.1`, `b.2`, `b.3` and 2 more not reviewed"]);
    }

    #[test]
    fn without_a_level_the_default_of_the_rule_was_reviewed() {
        let now = judged("wire `w` is hot", &["w"]);
        assert_eq!(growth("w is hot", "w", &now, Some(Level::Error)), ["danger instead of error"]);
        assert_eq!(growth("w is hot", "w", &now, None), [""; 0]);
    }

    #[test]
    fn a_rule_says_in_which_direction_a_figure_is_worse() {
        let finding = |size: &str, volts: &str| {
            let headline = format!("wire `w` is {size} of {volts}");
            let mut judged = judged(&headline, &["w"]);
            judged.finding.weighed = vec![Weighed::smaller(size), Weighed::neither(volts)];
            judged
        };
        let reviewed = "is 0.5 mm2 of 12 V";
        assert_eq!(growth(reviewed, "w", &finding("0.35 mm2", "24 V"), None), ["0.35 mm2, was 0.5 mm2"]);
        assert_eq!(growth(reviewed, "w", &finding("0.75 mm2", "6 V"), None), [""; 0]);
    }

    #[test]
    fn each_of_equal_figures_has_its_own_direction_and_what_is_not_declared_binds_both_ways() {
        let finding = |carries: &str, limit: &str| {
            let mut judged = judged(&format!("`w` carries {carries}, over its limit of {limit}"), &["w"]);
            judged.finding.weighed = vec![Weighed::larger(carries), Weighed::smaller(limit)];
            judged
        };
        let grown = |carries, limit| growth("`w` carries 20 A, over its limit of 20 A", "w", &finding(carries, limit), None);
        assert_eq!(grown("20 A", "20 A"), [""; 0]);
        assert_eq!(grown("19 A", "21 A"), [""; 0]);
        assert_eq!(grown("21 A", "21 A"), ["21 A, was 20 A"]);
        assert_eq!(grown("19 A", "19 A"), ["19 A, was 20 A"]);
        let mut judged = judged("`w` at 5 A with 2 loads", &["w"]);
        judged.finding.weighed.clear();
        assert_eq!(unweighed(&judged), ["5 A"]);
        assert_eq!(growth("`w` at 6 A with 3 loads", "w", &judged, None), ["5 A, was 6 A"]);
    }

    #[test]
    fn names_are_compared_as_sets_wherever_the_headline_has_them() {
        let said = |headline: &str| growth("wires `a` and `b` meet in `run`", "a", &judged(headline, &["a"]), None);
        assert_eq!(said("wires `b` and `a` meet in `run`"), [""; 0]);
        assert_eq!(said("wire `a` meets nothing in `run`"), [""; 0], "fewer");
        assert_eq!(said("wires `a` and `c` meet in `run`"), ["`c` not reviewed"]);
        assert_eq!(said("wires `a` and `b` meet in `charge`"), ["`charge` not reviewed"]);
    }

    #[test]
    fn the_text_that_is_offered_covers_its_finding() {
        for (headline, concerns) in [
            (
                "fuse `box.F1` passes 30 A, 5 A over what wire `a.1` takes, and 2 wires more are too thin for it",
                &["a.1", "a.2", "a.3"][..],
            ),
            ("12 wires at 5 % of 12 V (80 mV)", &["x.1"]),
            ("`a` and `b` are joined", &["a", "b", "c.d"]),
        ] {
            let finding = judged(headline, concerns);
            let text = review_text(&finding, AT);
            assert_eq!(growth(&text, AT, &finding, None), [""; 0], "{text}");
            assert!(concerns.iter().all(|name| text.contains(&format!("`{name}`"))), "{text}");
        }
    }

    #[test]
    fn figures_are_read_as_they_are_printed() {
        let read = |text: &str| figures(text).into_iter().map(|figure| (figure.value, figure.unit)).collect::<Vec<_>>();
        assert_eq!(read("loses 80 mV, 5.1% of 12 V (3 wires)"), [(0.08, "V"), (5.1, "%"), (12.0, "V"), (3.0, "")]);
        assert_eq!(read("`12 V` at -5 degC, 38 % over; 1.5 mm2"), [(-5.0, "degC"), (38.0, "%"), (1.5, "mm2")]);
        let gauges: Vec<f64> = read("CAN-2 of J1 on 14 AWG, 2/0 AWG.").into_iter().map(|(value, _)| value).collect();
        // ASTM B258: 2.08 mm2 and 67.4 mm2.
        assert!(gauges.len() == 2 && (gauges[0] - 2.08).abs() < 0.01 && (gauges[1] - 67.4).abs() < 0.1, "{gauges:?}");
    }
}
