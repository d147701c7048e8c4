//! Another cavity or pin for one that is not there, tried as remedies are: made in memory, the design checked again.

use super::{held::Held, server::Server};
use harness_core::{
    Analysis, Checker, Design, FileError, Files, Report,
    editor::{self, Proposal, ProposalKind},
    finding::{Edit, Judged, Level},
    source::Span,
};
use std::collections::BTreeMap;

/// Conductors up to which remedies are tried where nobody has asked for them by hand: editors ask at every step of the cursor.
pub(super) const MOST_UNASKED: usize = 1_000;

/// Labels that are tried for one that is not there.
const MOST: usize = 3;

/// Edits that name another label in the place of that of `finding`, each with its text, as far as one of them leaves nothing behind.
pub(super) fn others(server: &Server<'_>, held: &Held, report: &Report, finding: &Judged) -> Vec<(String, Edit)> {
    let span = finding.primary.span;
    let written = held.sources().slice(span);
    let is_it = finding.rule == "format/unknown-name" && finding.remedies.is_empty();
    let Some(dot) = written.rfind('.').filter(|_| is_it && report.summary.conductors <= MOST_UNASKED) else { return Vec::new() };
    let Some(text) = held.sources().file(span.file).map(|file| file.text()) else { return Vec::new() };
    let behind = span.start as usize + dot + 1;
    let Some(place) = editor::place(text, behind) else { return Vec::new() };
    let (head, label) = written.split_at(dot + 1);
    let (head, label) = (head.trim_start_matches(['"', '\'']), label.trim_end_matches(['"', '\'']));
    let found = editor::proposals(held.index(), held.design(), text, (&place, behind));
    let fits = |item: &Proposal| item.kind == ProposalKind::Label && item.label.starts_with(head);
    let mut items: Vec<(bool, u8, String)> = (found.items.into_iter().filter(fits))
        .map(|item| (!is_near(label, item.label.get(head.len()..).unwrap_or("")), item.rank, item.label))
        .collect();
    items.sort();
    let place = Span::new(span.file, behind as u32, (behind + label.len()) as u32);
    let edit = |(_, _, name): (bool, u8, String)| {
        let edit = Edit { span: place, text: name.get(head.len()..).unwrap_or("").to_owned() };
        leaves_nothing(server, held, report, finding, &edit).then_some((name, edit))
    };
    items.into_iter().take(MOST).filter_map(edit).collect()
}

/// Whether one label is the other with a letter added, missing or replaced.
fn is_near(one: &str, other: &str) -> bool {
    let (long, short) = if one.len() >= other.len() { (one, other) } else { (other, one) };
    let same = long.bytes().zip(short.bytes()).take_while(|(a, b)| a == b).count();
    let (rest, other) = (long.as_bytes().get(same + 1..).unwrap_or_default(), short.as_bytes());
    Some(rest) == other.get(same..) || (long.len() == short.len() && Some(rest) == other.get(same + 1..))
}

/// The files of a design with one text changed.
struct Edited<'f> {
    files: &'f dyn Files,
    name: &'f str,
    text: String,
}

impl Files for Edited<'_> {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        if name == self.name { Ok(self.text.as_bytes().to_vec()) } else { self.files.read(name) }
    }
}

/// Whether the finding is gone with the edit made, and nothing from a warning up has come.
fn leaves_nothing(server: &Server<'_>, held: &Held, report: &Report, finding: &Judged, edit: &Edit) -> bool {
    let Some(file) = held.sources().file(edit.span.file) else { return false };
    let mut text = file.text().to_owned();
    let (start, end) = (edit.span.start as usize, edit.span.end as usize);
    if text.get(start..end).is_none() {
        return false;
    }
    text.replace_range(start..end, &edit.text);
    let files = server.buffers.files(&held.root);
    let design = Design::load(&Edited { files: &files, name: file.name(), text }, files.root());
    let checker = server.today.into_iter().fold(Checker::new(), Checker::today);
    let after = checker.check(&Analysis::of_all(&design));
    let (before, now) = (counted(report), counted(&after));
    let gone = now.get(&finding.identity()).copied().unwrap_or(0) < before.get(&finding.identity()).copied().unwrap_or(0);
    gone && after.broken_rules.is_empty() && now.iter().all(|(name, count)| before.get(name).is_some_and(|known| count <= known))
}

/// How often each finding from a warning up is there.
fn counted(report: &Report) -> BTreeMap<String, usize> {
    let mut counts = BTreeMap::new();
    for finding in report.findings.iter().filter(|finding| finding.level >= Level::Warning && finding.waived.is_none()) {
        *counts.entry(finding.identity()).or_default() += 1;
    }
    counts
}

#[cfg(test)]
mod tests {
    use super::is_near;

    #[test]
    fn a_letter_more_less_or_other_is_near() {
        for (one, other) in [("11", "1"), ("1", "11"), ("A1", "B1"), ("GDD", "GND"), ("", "1"), ("12", "122")] {
            assert!(is_near(one, other), "{one} {other}");
        }
        for (one, other) in [("12", "3"), ("GND", "GDN"), ("1", "111"), ("ab", "cd")] {
            assert!(!is_near(one, other), "{one} {other}");
        }
    }
}
