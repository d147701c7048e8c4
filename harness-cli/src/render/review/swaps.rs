//! Plugs that fit each other's place, and what a swap would do.

use super::{
    Page, Section,
    list::{Cell, Column, List, Row},
    pictures,
};
use crate::{
    phrase::counted,
    render::swaps::{picture, word},
};
use harness_core::inspect::{Grade, Swap};
use maud::html;

const COLUMNS: [Column; 4] =
    [Column::words("plugs"), Column::words("grade"), Column::words("what happens"), Column::words("how a short ends")];

/// Pairs that are drawn as a matrix: each is a cell twice, and a browser has to lay out all of them.
const CELLS: usize = 400;
/// Names of plugs in one line.
const NAMES: usize = 40;

pub(super) fn section(page: &Page<'_>) -> Section {
    let swaps = page.review.swaps;
    let counts = &swaps.counts;
    let shown: Vec<&Swap> = swaps.rows.iter().filter(|row| row.grade != Grade::Harmless).collect();
    let list = List {
        kind: "swap",
        caption: "plugs that fit each other's place, the most severe first".to_owned(),
        columns: &COLUMNS,
        rows: shown.iter().map(|row| cells(row)).collect(),
        identity: page.identity.clone(),
    };
    let pairs: usize = page.review.matrix.iter().map(|row| row.grades.len()).sum();
    let body = html! {
        p {
            (counted(swaps.plugs, "connector")) " compared; of " (counts.pairs + counts.keyed + counts.apart) " pairs of one family and size keys keep "
            (counts.keyed) " apart, zones and free lengths " (counts.apart) "; " (counts.pairs) " fit: "
            (counts.danger) " dangerous, " (counts.damage) " with damage, " (counts.unjudged) " not judged, " (counts.mixed) " mixed up, "
            (counts.harmless) " harmless. " (swaps.turned) " go in turned."
        }
        @if !swaps.unknown.is_empty() { p { strong { "Not compared: " } (page.links.first(&swaps.unknown, NAMES)) } }
        @if !swaps.without_zone.is_empty() { p { strong { "Without a zone, taken to reach all: " } (page.links.first(&swaps.without_zone, NAMES)) } }
        @if !swaps.without_face.is_empty() { p { strong { "Without key and face: " } (page.links.first(&swaps.without_face, NAMES)) } }
        @if !list.rows.is_empty() { (list.markup(&page.links)) }
        @if swaps.left_out > 0 { p { "And " (swaps.left_out) " more pairs of these grades; " code { "harness swaps --format json" } " has all." } }
        @if pairs > CELLS {
            p { "Of " (pairs) " pairs no matrix is drawn here; " code { "harness swaps --output" } " draws those of the worst plugs." }
        } @else if pairs > 0 { (pictures::drawn(page, &picture(page.review.checked, swaps, page.review.matrix))) }
        @if !swaps.cures.is_empty() {
            h3 { "Keys that rule them out" }
            @for cure in &swaps.cures {
                p { "Family " (cure.family) " with " (counted(cure.positions, "position")) ": " (cure.before) " pairs before, " (cure.left) " left." }
                ul { @for (plug, was, key) in &cure.changes {
                    li { (page.links.name(plug)) ": " @match was { Some(was) => { "key " (was) } None => { "no key" } } " to key " (key) ", both halves" }
                } }
            }
        }
    };
    Section { id: "swaps", title: "Swapped plugs", body }
}

fn cells(row: &Swap) -> Row {
    let each = row.plugs.iter().zip(&row.mates).map(|(plug, mate)| {
        if mate.is_empty() { format!("`{plug}` (mates nothing)") } else { format!("`{plug}` (on `{mate}`)") }
    });
    let title = match row.way {
        Some(way) => format!("{}, {way}", each.collect::<String>()),
        None => each.collect::<Vec<_>>().join(" and "),
    };
    let ends = match (row.amps, &row.ends) {
        (Some(amps), Some(ends)) => format!("{amps}; {ends}"),
        (Some(amps), None) => amps.to_string(),
        _ => String::new(),
    };
    Row {
        id: String::new(),
        cells: vec![Cell::Text(title), Cell::text(word(row.grade)), Cell::text(row.words.clone()), Cell::text(ends)],
    }
}
