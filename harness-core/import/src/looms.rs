//! Which loom the wires of each list are of.

use crate::{
    cell,
    columns::{Kind, Sheet},
    draft::{self, RowWire},
};
use std::collections::BTreeSet;

/// The loom of each sheet: lists that share plugs are of one loom.
pub(crate) fn of(sheets: &[Sheet<'_>], read: &[Vec<RowWire>]) -> Vec<Option<String>> {
    let plugs = |rows: &[RowWire]| -> BTreeSet<String> {
        let ends = rows.iter().flat_map(|row| row.from.iter().chain(&row.to));
        ends.flat_map(|end| match end {
            cell::End::At(place) | cell::End::Tap(place) | cell::End::Link(place) => vec![place.clone()],
            cell::End::Several(places) => places.clone(),
            _ => Vec::new(),
        })
        .filter_map(|place| if let cell::Plain::Cavity { plug, .. } = place { Some(plug) } else { None })
        .collect()
    };
    let held: Vec<BTreeSet<String>> = read.iter().map(|rows| plugs(rows)).collect();
    // Tables of pins are joined by the numbers of their wires.
    let numbers = |rows: &[RowWire]| -> BTreeSet<String> {
        rows.iter().filter(|row| row.to.is_empty()).filter_map(|row| row.number.clone()).collect()
    };
    let numbered: Vec<BTreeSet<String>> = sheets
        .iter()
        .zip(read)
        .map(|(sheet, rows)| if sheet.kind == Kind::Pins { numbers(rows) } else { BTreeSet::new() })
        .collect();
    let mut group: Vec<usize> = (0..sheets.len()).collect();
    for one in 0..sheets.len() {
        for other in one + 1..sheets.len() {
            let shares = |sets: &[BTreeSet<String>]| matches!((sets.get(one), sets.get(other)), (Some(one), Some(other)) if one.intersection(other).next().is_some());
            if shares(&held) || shares(&numbered) {
                let (from, to) = (group.get(other).copied().unwrap_or(other), group.get(one).copied().unwrap_or(one));
                for at in group.iter_mut().filter(|at| **at == from) {
                    *at = to;
                }
            }
        }
    }
    let wired: BTreeSet<usize> = group.iter().zip(&held).filter(|(_, held)| !held.is_empty()).map(|(group, _)| *group).collect();
    let stem = |sheet: &Sheet<'_>| {
        let (file, tab) = sheet.list.split_once(", tab ").map_or((sheet.list.as_str(), ""), |(file, tab)| (file, tab));
        let stem = file.rsplit(['/', '\\']).next().unwrap_or(file);
        (stem.split_once('.').map_or(stem, |(stem, _)| stem).to_owned(), tab.to_owned())
    };
    let name = |of: usize| {
        let of_kind = |kind: Option<Kind>| -> Vec<(String, String)> {
            let held = sheets.iter().zip(&group).zip(&held).filter(|((_, group), held)| **group == of && !held.is_empty());
            held.filter(|((sheet, _), _)| kind.is_none_or(|kind| sheet.kind == kind)).map(|((sheet, _), _)| stem(sheet)).collect()
        };
        // The lists of wires give the name; tables of pins do where there is none.
        let members = Some(of_kind(Some(Kind::Wires))).filter(|wires| !wires.is_empty()).unwrap_or_else(|| of_kind(None));
        let (first, tab) = members.first().cloned().unwrap_or_default();
        let files: BTreeSet<&str> = members.iter().map(|(file, _)| file.as_str()).collect();
        let named = match (files.len(), members.len()) {
            // A tab of its own beside those of other looms.
            (1, 1) if wired.len() > 1 && !tab.is_empty() => tab,
            (1, _) => first,
            // Several files: what their names begin with.
            _ => common(&files),
        };
        draft::slug(&named)
    };
    group.iter().zip(&held).map(|(group, held)| (!held.is_empty()).then(|| name(*group))).collect()
}

/// What all names begin with, up to a sign between words; the first if that is next to nothing.
fn common(names: &BTreeSet<&str>) -> String {
    let (Some(first), Some(last)) = (names.first(), names.last()) else { return String::new() };
    let shared: usize =
        first.chars().zip(last.chars()).take_while(|(one, two)| one == two).map(|(letter, _)| letter.len_utf8()).sum();
    let start = first.get(..shared).unwrap_or("");
    let word = start.rfind(['-', '_', ' ']).and_then(|at| start.get(..at)).unwrap_or("");
    if word.chars().count() >= 3 { word.to_owned() } else { (*first).to_owned() }
}
