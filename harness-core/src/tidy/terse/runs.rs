//! Pins that follow each other and say the same, under one key; plugged cavities that follow each other, in one word.

use super::{
    super::sheet::{Edit, Sheet},
    Proposal,
};
use crate::text::{Kind, NodeId};

/// The fewest plugged cavities that are worth a range.
const LEAST: usize = 3;

pub(super) fn proposals(sheet: &Sheet<'_>) -> Vec<Proposal> {
    let Some(root) = sheet.root else { return Vec::new() };
    let parts = sheet.get(root, "parts");
    let devices = [sheet.get(root, "devices"), parts.and_then(|parts| sheet.get(parts, "devices"))];
    let mut proposals = Vec::new();
    for (name, device) in devices.into_iter().flatten().flat_map(|map| sheet.tree.entries(map)) {
        let ports = sheet.get(device, "ports").into_iter().flat_map(|ports| sheet.tree.entries(ports));
        let pins = ports.filter_map(|(_, port)| sheet.get(port, "pins"));
        propose(sheet, name, pins.flat_map(|pins| alike(sheet, pins)).collect(), &mut proposals);
    }
    for (name, loom) in sheet.get(root, "looms").into_iter().flat_map(|looms| sheet.tree.entries(looms)) {
        let ends = sheet.get(loom, "ends").into_iter().flat_map(|ends| sheet.tree.entries(ends));
        let plugged = ends.filter_map(|(_, end)| plugged(sheet, sheet.get(end, "plugged")?));
        propose(sheet, name, plugged.collect(), &mut proposals);
    }
    proposals
}

fn propose(sheet: &Sheet<'_>, name: NodeId, edits: Vec<Edit>, proposals: &mut Vec<Proposal>) {
    if let (Some(owner), false) = (sheet.scalar(name), edits.is_empty()) {
        proposals.push(Proposal { owner: owner.to_owned(), edits });
    }
}

/// Runs of pins with one text, each replaced by one entry.
fn alike(sheet: &Sheet<'_>, pins: NodeId) -> Vec<Edit> {
    let entries: Vec<(NodeId, NodeId)> = sheet.tree.entries(pins).collect();
    let mut edits = Vec::new();
    let mut at = 0;
    while let Some((first, value)) = entries.get(at) {
        let mut run = at;
        while let (Some(one), Some(next)) = (entries.get(run), entries.get(run + 1)) {
            let says_the_same = sheet.written(next.1) == sheet.written(*value);
            if !says_the_same || !follows(sheet, one.0, next.0) || !is_bare(sheet, one.1, next.0, sheet.is_flow(pins)) {
                break;
            }
            run += 1;
        }
        let last = entries.get(run);
        if let (Some((last, end)), true) = (last, run > at && is_one_line(sheet, *value))
            && let (Some(from), Some(to)) = (sheet.scalar(*first), sheet.scalar(*last))
        {
            let text = format!("{from}..{to}: {}", sheet.written(*value));
            edits.push(Edit { at: sheet.range(*first).start..sheet.range(*end).end, text });
        }
        at = run + 1;
    }
    edits
}

/// Whether nothing is between two entries but the end of a line or a comma.
fn is_bare(sheet: &Sheet<'_>, end: NodeId, next: NodeId, is_flow: bool) -> bool {
    let between = sheet.text.get(sheet.range(end).end..sheet.range(next).start).unwrap_or("#");
    let bare = between.trim();
    if is_flow { bare == "," } else { bare.is_empty() && between.matches('\n').count() == 1 }
}

fn is_one_line(sheet: &Sheet<'_>, value: NodeId) -> bool {
    let written = sheet.written(value);
    !written.is_empty() && !written.contains(['\n', '#', '&', '*']) && (sheet.scalar(value).is_some() || sheet.is_flow(value))
}

/// Whether the label of a pin is the one after another: the same but for the number at its end, which is one more and as long.
fn follows(sheet: &Sheet<'_>, one: NodeId, next: NodeId) -> bool {
    let (Some(one), Some(next)) = (sheet.scalar(one), sheet.scalar(next)) else { return false };
    is_next(one, next)
}

fn is_next(one: &str, next: &str) -> bool {
    let (Some((stem, number, zeros)), Some((its_stem, its_number, its_zeros))) = (numbered(one), numbered(next)) else {
        return false;
    };
    let is_padded = zeros || its_zeros;
    stem == its_stem && number + 1 == its_number && (!is_padded || one.len() == next.len())
}

/// A label by what is before its number, the number, and whether that begins with zeros.
fn numbered(label: &str) -> Option<(&str, u32, bool)> {
    let digits = label.len() - label.trim_end_matches(|letter: char| letter.is_ascii_digit()).len();
    let (stem, number) = label.split_at_checked(label.len() - digits)?;
    let is_plain = stem.chars().all(char::is_alphanumeric);
    Some((stem, number.parse().ok().filter(|_| is_plain)?, number.len() > 1 && number.starts_with('0')))
}

/// A list of plugged cavities with its runs as ranges.
fn plugged(sheet: &Sheet<'_>, list: NodeId) -> Option<Edit> {
    if !matches!(sheet.tree.kind(list), Kind::List) || !sheet.is_flow(list) {
        return None;
    }
    let items: Vec<NodeId> = sheet.tree.items(list).collect();
    let labels: Vec<&str> = items.iter().map(|item| sheet.scalar(*item)).collect::<Option<_>>()?;
    let mut words: Vec<String> = Vec::new();
    let mut at = 0;
    while let (Some(first), Some(item)) = (labels.get(at), items.get(at)) {
        let mut run = at;
        while let (Some(one), Some(next)) = (labels.get(run), labels.get(run + 1)) {
            if !is_next(one, next) {
                break;
            }
            run += 1;
        }
        match labels.get(run) {
            Some(last) if run + 1 >= at + LEAST => {
                words.push(format!("{first}..{last}"));
                at = run + 1;
            }
            _ => {
                words.push(sheet.written(*item).to_owned());
                at += 1;
            }
        }
    }
    let text = match words.as_slice() {
        [one] if items.len() > 1 => one.clone(),
        _ => format!("[{}]", words.join(", ")),
    };
    (words.len() < items.len() && !sheet.written(list).contains(['#', '\n'])).then(|| Edit { at: sheet.range(list), text })
}

#[cfg(test)]
mod tests {
    use super::is_next;

    #[test]
    fn what_follows_is_the_next_number_of_the_same_length() {
        for (one, next) in [("1", "2"), ("9", "10"), ("09", "10"), ("A1", "A2"), ("01", "02")] {
            assert!(is_next(one, next), "{one} {next}");
        }
        for (one, next) in [("1", "3"), ("1", "02"), ("A1", "B2"), ("a", "b"), ("A1.2", "A1.3"), ("09", "010"), ("", "1")] {
            assert!(!is_next(one, next), "{one} {next}");
        }
    }
}
