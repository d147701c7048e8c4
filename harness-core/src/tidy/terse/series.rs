//! Kinds under each other that differ in one letter or number, and in what goes in step with it: one entry for all of them.

use super::{
    super::sheet::{Edit, Sheet},
    Proposal,
};
use crate::{
    format::{
        Attribute,
        steps::{self, named},
    },
    text::NodeId,
};

/// Kinds of parts that may be written as a range.
const KINDS: [&str; 6] = ["housings", "terminals", "points", "conductors", "cables", "fuses"];

pub(super) fn proposals(sheet: &Sheet<'_>) -> Vec<Proposal> {
    let parts = sheet.root.and_then(|root| sheet.get(root, "parts"));
    let maps = KINDS.iter().filter_map(|sort| Some((*sort, sheet.get(parts?, sort)?)));
    maps.flat_map(|(sort, map)| series(sheet, sort, map)).collect()
}

/// How many series are open at once: halves of plugs in turns are two.
const FAR: usize = 32;

/// A kind on a line of its own, with its keys as they are written.
struct Kind<'a> {
    key: NodeId,
    value: NodeId,
    name: &'a str,
    keys: Vec<(&'a str, &'a str)>,
}

/// Kinds that go in step, the first before the others.
type Series<'a> = Vec<Kind<'a>>;

fn series(sheet: &Sheet<'_>, sort: &str, map: NodeId) -> Vec<Proposal> {
    if sheet.is_flow(map) {
        return Vec::new();
    }
    let mut open: Vec<Series<'_>> = Vec::new();
    let mut found = Vec::new();
    let mut end = None;
    for (key, value) in sheet.tree.entries(map) {
        let start = sheet.range(key).start;
        // A comment or a blank line parts what is above it from what is below.
        if !end.is_some_and(|end| is_next_line(sheet, end, start)) {
            found.append(&mut open);
        }
        end = Some(sheet.range(value).end);
        let Some(kind) = kind(sheet, key, value) else { continue };
        match open.iter_mut().rev().take(FAR).find(|series| goes_on(sort, series, &kind)) {
            Some(series) => series.push(kind),
            None => open.push(vec![kind]),
        }
    }
    found.append(&mut open);
    found.iter().filter_map(|series| proposal(sheet, map, series)).collect()
}

/// Whether nothing but the end of a line is between two entries.
fn is_next_line(sheet: &Sheet<'_>, end: usize, start: usize) -> bool {
    sheet.text.get(end..start).is_some_and(|between| between.trim().is_empty() && between.matches('\n').count() == 1)
}

fn kind<'a>(sheet: &'a Sheet<'a>, key: NodeId, value: NodeId) -> Option<Kind<'a>> {
    let (name, written) = (sheet.scalar(key)?, sheet.written(value));
    let is_plain = name == sheet.written(key) && !name.contains("..");
    if !is_plain || !sheet.is_flow(value) || !sheet.is_map(value) || written.contains(['\n', '#', '&', '*']) {
        return None;
    }
    let keys = sheet.tree.entries(value).map(|(key, value)| Some((sheet.scalar(key)?, sheet.written(value))));
    Some(Kind { key, value, name, keys: keys.collect::<Option<_>>()? })
}

/// A key with what is behind it.
type Said<'a> = (&'a str, &'a str);

/// Whether a kind is the next of a series in its name and in all that it says.
fn goes_on(sort: &str, series: &Series<'_>, kind: &Kind<'_>) -> bool {
    let (Some(first), Some(last)) = (series.first(), series.last()) else { return false };
    let is_step = |one: &str, first: &str, other: &str| {
        let count = |from: &str| named(&format!("{from}..{other}")).len();
        count(one) == 2 && count(first) == series.len() + 1
    };
    let agrees = |((key, first), ((own, last), (its, next))): (Said<'_>, (Said<'_>, Said<'_>))| {
        let is_same_key = key == own && own == its;
        let is_constant = first == last && last == next;
        // Those that are like one kind, not each like another, read as a series.
        let may_step = key != Attribute::Like.word() && steps::is_for_each(sort, key);
        is_same_key && (is_constant || (may_step && is_step(last, first, next)))
    };
    let pairs = last.keys.iter().copied().zip(kind.keys.iter().copied());
    is_step(last.name, first.name, kind.name)
        && last.keys.len() == kind.keys.len()
        && first.keys.iter().copied().zip(pairs).all(agrees)
}

/// One entry in the place of the first, the others taken out.
fn proposal(sheet: &Sheet<'_>, map: NodeId, series: &Series<'_>) -> Option<Proposal> {
    let (first, last) = (series.first()?, series.last().filter(|_| series.len() > 1)?);
    let of = |one: &str, other: &str| if one == other { one.to_owned() } else { format!("{one}..{other}") };
    let keys = first.keys.iter().zip(&last.keys).map(|((key, one), (_, other))| format!("{key}: {}", of(one, other)));
    let text = format!("{}: {{ {} }}", of(first.name, last.name), keys.collect::<Vec<_>>().join(", "));
    let at = sheet.range(first.key).start..sheet.range(first.value).end;
    let others = series.get(1..)?.iter().map(|kind| sheet.without(map, kind.name));
    let mut edits: Vec<Edit> = others.collect::<Option<_>>()?;
    edits.push(Edit { at, text });
    Some(Proposal { owner: first.name.to_owned(), edits })
}
