//! The text of a baseline: findings that were known when it was written, so that a check can fail on new ones only.
//!
//! Plain lines that a version control can merge: one finding per line, sorted, under the name of its design. A finding is known
//! by its fingerprint, so moved lines and renamed files change nothing. Its level and its words are beside it: what has become more
//! severe, by its level or by a figure, is new.

use super::acceptable;
use crate::{
    finding::{Figure, Judged, Level, covers, growth},
    report::{Compared, Report},
};
use std::{collections::BTreeMap, fmt};

/// The first line that is not a comment: what the file is, and the version of its form.
const FIRST: &str = "baseline 1";

/// Findings that were known, by design.
///
/// # Example
/// A waiver accepts a finding, a baseline knows it; neither fails a check, and both show it:
/// ```
/// use harness_core::{Baseline, Checker, MemoryFiles, baseline, check};
///
/// let netlist = "format: 1
/// design: Lift
/// domains: { aux: { nominal: 12 V, max: 15 V, reference: chassis } }
/// parts: { housings: { two-way: { family: QL, positions: 2, contacts: pin } } }
/// devices:
///   horn:
///     ports:
///       J1:
///         housing: two-way
///         pins: { 1: { signal: feed, role: supply, domain: aux }, 2: { signal: back, role: return, domain: aux } }
/// waivers: [{ finding: netlist/unconnected-pin, at: horn.J1.1, reason: wired by the maker }]
/// ";
/// let files = MemoryFiles::one("lift.yaml", netlist);
/// let mut report = check(&files, "lift.yaml", &Checker::new());
/// let (accepted, open): (Vec<_>, Vec<_>) =
///     report.findings.iter().filter(|finding| finding.rule == "netlist/unconnected-pin").partition(|finding| finding.waived.is_some());
/// assert_eq!((accepted.len(), open.len()), (1, 1));
///
/// let text = baseline::write("", [("Lift", report.findings.as_slice())]);
/// Baseline::read(&text).expect("a baseline that was just written").compare(&mut report, true);
/// assert!(report.findings.iter().filter(|finding| finding.rule == "netlist/unconnected-pin").all(|finding| !finding.counts()));
/// ```
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Baseline {
    /// Below the name of each design the fingerprints, both as written, and what was known of each.
    designs: BTreeMap<String, BTreeMap<String, Known>>,
}

/// What a line says of a finding beside its fingerprint.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Known {
    level: Level,
    /// The headline of that day; empty where the line has none, which binds the level alone.
    words: String,
}

/// A line that a baseline can't hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadLine {
    /// Its number, from 1.
    pub line: usize,
    /// What is wrong with it, and what belongs there.
    pub why: String,
}

impl fmt::Display for BadLine {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}: {}", self.line, self.why)
    }
}

impl std::error::Error for BadLine {}

impl Baseline {
    /// Reads what [`write()`] wrote, lines in any order below their design.
    ///
    /// A finding that is there twice, as a merge can leave it, is known at the lesser of its levels, in the words beside that.
    ///
    /// # Errors
    /// With the first line that is neither blank, comment, design nor finding.
    pub fn read(text: &str) -> Result<Self, BadLine> {
        let mut baseline = Self::default();
        let mut begun = false;
        let mut design: Option<String> = None;
        for (index, line) in text.trim_start_matches('\u{feff}').lines().enumerate() {
            let line = line.trim();
            let bad = |why: String| Err(BadLine { line: index + 1, why });
            if line.is_empty() || line.starts_with('#') {
                continue;
            }
            if ["<<<<<<<", "=======", ">>>>>>>", "|||||||"].iter().any(|mark| line.starts_with(mark)) {
                return bad("a merge was left open here; keep the lines of both sides, or write the baseline anew".to_owned());
            }
            if !begun {
                begun = line == FIRST;
                match (begun, line.strip_prefix("baseline ")) {
                    (true, _) => continue,
                    (_, Some(version)) => return bad(format!("this program does not read version `{version}`; it reads 1")),
                    _ => return bad(format!("this is not a baseline: one begins with the line `{FIRST}`")),
                }
            }
            if let Some(name) = line.strip_prefix("design ") {
                let name = name.trim().to_owned();
                baseline.designs.entry(name.clone()).or_default();
                design = Some(name);
                continue;
            }
            let mut cells = line.split('|').map(str::trim);
            let mut next = || cells.next().unwrap_or("");
            let (fingerprint, level, words) = (next(), next(), next());
            let is_rule = fingerprint.split(' ').next().is_some_and(|rule| rule.contains('/'));
            if !is_rule || level.is_empty() {
                return bad("a finding reads `group/fault name | level | words`, a design `design name`".to_owned());
            }
            let Some(level) = Level::from_name(level) else {
                return bad(format!("`{level}` is not a level; the levels are danger, error, warning, note"));
            };
            let Some(known) = design.as_ref().and_then(|design| baseline.designs.get_mut(design)) else {
                return bad("there is no line `design name` above this finding".to_owned());
            };
            let line = Known { level, words: words.to_owned() };
            let least = known.entry(fingerprint.to_owned()).or_insert_with(|| line.clone());
            if line.level < least.level {
                *least = line;
            }
        }
        match begun {
            true => Ok(baseline),
            false => Err(BadLine { line: 1, why: format!("there is nothing in it: a baseline begins with the line `{FIRST}`") }),
        }
    }

    /// Marks the findings of a report that are known, and keeps in it what the baseline knew and the check did not find.
    ///
    /// A finding that a waiver accepts stays accepted. `all_modes` says that every mode of the design was computed: otherwise
    /// nothing is said to be gone.
    pub fn compare(&self, report: &mut Report, all_modes: bool) {
        let Some(known) = self.designs.get(&cell(&report.summary.design)) else {
            report.compared = Some(Compared { listed: false, ..Compared::default() });
            return;
        };
        let mut gone = known.clone();
        let mut worse = 0;
        let mut looks = MOST_LOOKS;
        for pass in [Pass::SameWords, Pass::NoWorse, Pass::Fewer, Pass::Rest] {
            for finding in report.findings.iter_mut().filter(|finding| acceptable(finding.rule)) {
                let own = cell(&finding.fingerprint);
                if finding.waived.is_some() {
                    gone.remove(&own);
                    continue;
                }
                if finding.known {
                    continue;
                }
                let words = cell(&finding.headline);
                // Of several with one identity, each line knows one, whatever their order has become.
                let suits = |line: &Known| match pass {
                    Pass::SameWords => line.words == words && line.growth(finding).is_empty(),
                    Pass::NoWorse => line.growth(finding).is_empty(),
                    Pass::Fewer | Pass::Rest => false,
                };
                let free = |name: &&str| gone.get(*name).is_some_and(suits);
                let line = match pass {
                    Pass::Fewer if !known.contains_key(&own) => fewer(&gone, finding, &mut looks),
                    _ => lines_of(known, &cell(&finding.identity()), &own).find(free).map(str::to_owned),
                };
                if let Some(name) = line {
                    gone.remove(&name);
                    finding.known = true;
                } else if pass == Pass::Rest
                    && let Some(line) = known.get(&own)
                {
                    gone.remove(&own);
                    worse += 1;
                    finding.finding.figures.push(Figure { name: "since the baseline", value: line.growth(finding).join("; ") });
                }
            }
        }
        let gone = if all_modes { gone.len() } else { 0 };
        report.compared = Some(Compared { listed: true, gone, worse });
    }
}

/// What is enough for a line to know a finding, the strictest first.
#[derive(Clone, Copy, PartialEq)]
enum Pass {
    SameWords,
    NoWorse,
    /// It knew a finding of this and more, of which the rest is fixed.
    Fewer,
    /// None does: the finding is new, or has grown.
    Rest,
}

/// Lines that are looked at in one comparison for findings that are known by none of their own.
const MOST_LOOKS: usize = 100_000;

/// A line of the same rule that no finding has taken, which names all that this one concerns and was as severe.
fn fewer(gone: &BTreeMap<String, Known>, finding: &Judged, looks: &mut usize) -> Option<String> {
    let rule = format!("{} ", finding.rule);
    let of_rule = gone.range(rule.clone()..).take_while(|(name, _)| name.starts_with(&rule));
    let found = of_rule.take(*looks).find(|(name, line)| {
        *looks = looks.saturating_sub(1);
        !line.words.is_empty() && covers(name, finding) && line.growth(finding).is_empty()
    });
    found.map(|(name, _)| name.clone())
}

/// Findings of one identity of which each is compared with the lines of all.
const MOST_TWINS: usize = 32;

/// The lines that may know a finding: its own, then those of others with the same identity.
fn lines_of<'k>(known: &'k BTreeMap<String, Known>, identity: &str, own: &'k str) -> impl Iterator<Item = &'k str> {
    let identity = identity.to_owned();
    let (from, begins) = (identity.clone(), identity.clone());
    let is_twin = move |name: &&str| {
        let number = name.strip_prefix(&identity).map(|rest| rest.strip_prefix(" #").unwrap_or(rest));
        *name != own && number.is_some_and(|number| number.chars().all(|digit| digit.is_ascii_digit()))
    };
    let twins = known.range(from..).map(|(name, _)| name.as_str()).take_while(move |name| name.starts_with(&begins));
    std::iter::once(own).chain(twins.take(MOST_TWINS).filter(is_twin))
}

impl Known {
    /// What of a finding is more severe than the line says. Its names are those of the fingerprint already.
    fn growth(&self, finding: &Judged) -> Vec<String> {
        if self.words.is_empty() {
            let instead = format!("{} instead of {}", finding.level, self.level);
            return (finding.level > self.level).then_some(instead).into_iter().collect();
        }
        let named = format!("{}: {} {}", self.level, self.words, finding.concerns.join(" "));
        growth(&named, "", finding, None)
    }
}

/// Whether a finding belongs in a baseline: it can be known at all, and no waiver accepts it already.
#[must_use]
pub fn belongs(finding: &Judged) -> bool {
    acceptable(finding.rule) && finding.waived.is_none()
}

/// The text of a baseline of these designs, each by its name and its findings, with `preface` before it: lines for people that begin
/// with `#`. The same findings give the same bytes.
#[must_use]
pub fn write<'a>(preface: &str, designs: impl IntoIterator<Item = (&'a str, &'a [Judged])>) -> String {
    let mut sorted: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (design, findings) in designs {
        let lines = sorted.entry(cell(design)).or_default();
        lines.extend(
            findings
                .iter()
                .filter(|finding| belongs(finding))
                .map(|finding| format!("{} | {} | {}", cell(&finding.fingerprint), finding.level, cell(&finding.headline))),
        );
    }
    let mut text = format!("{preface}{FIRST}\n");
    for (design, mut lines) in sorted {
        lines.sort();
        text.push_str(&format!("\ndesign {design}\n"));
        for line in lines {
            text.push_str(&line);
            text.push('\n');
        }
    }
    text
}

/// A text as it is written in a line: what would split it or steer a terminal is written as its number.
fn cell(text: &str) -> String {
    let mut cell = String::with_capacity(text.len());
    for letter in text.trim().chars() {
        // Marks of direction would show a line other than it is.
        let steers =
            letter.is_control() || matches!(letter, '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
        match steers || matches!(letter, '|' | '\\') {
            true => cell.push_str(&format!("\\u{{{:x}}}", u32::from(letter))),
            false => cell.push(letter),
        }
    }
    cell
}

#[cfg(test)]
mod tests;
