//! Conductors with their loads and margins.

use super::{
    LARGE, Page, Section,
    link::Kind,
    list::{Cell, Column, List, Row},
    margin::{self, Least},
};
use harness_core::{
    inspect::{ConductorLoad, EndPlace, ListedWire},
    quantity::Unit,
};
use maud::html;
use std::collections::BTreeMap;

const COLUMNS: [Column; 9] = [
    Column::words("conductor"),
    Column::figures("size", "mm²"),
    Column::figures("load", "A"),
    Column::words("in mode"),
    Column::figures("takes", "A"),
    Column::words("fuse before it"),
    Column::figures("worst short", "A"),
    Column::figures("heats to", "°C"),
    Column::words("margin, to what"),
];

/// The same of very many, each a line with all that is known of the wire.
const LINES: [Column; 14] = [
    Column::words("conductor"),
    Column::figures("mm²", ""),
    Column::figures("load A", ""),
    Column::words("in mode"),
    Column::figures("takes A", ""),
    Column::words("fuse before it"),
    Column::figures("short A", ""),
    Column::figures("to °C", ""),
    Column::words("margin"),
    Column::words("colour"),
    Column::figures("mm", ""),
    Column::words("from and to"),
    Column::words("signal"),
    Column::words("line"),
];

pub(super) fn section(page: &Page<'_>) -> Section {
    let rows = &page.review.loads.conductors;
    let least: Vec<Option<Least>> = rows.iter().map(|row| Least::of(row.least())).collect();
    let is_large = rows.len() > LARGE;
    let listed: BTreeMap<String, &ListedWire> = match is_large {
        true => page
            .review
            .lists
            .looms
            .iter()
            .flat_map(|loom| loom.wires.iter().map(|wire| (wire_name(&loom.name, wire), wire)))
            .collect(),
        false => BTreeMap::new(),
    };
    let line = |row: &ConductorLoad, least: Option<Least>| {
        let mut cells = cells(row, least);
        if is_large {
            cells.extend(rest(listed.get(&row.name).copied()));
        }
        let id = if is_large { page.links.define(Kind::Wire, &row.name) } else { String::new() };
        Row { id, cells }
    };
    let list = List {
        kind: if is_large { "wire" } else { "" },
        caption: "conductors with their largest continuous load, the smallest margin first".to_owned(),
        columns: if is_large { &LINES } else { &COLUMNS },
        rows: rows.iter().zip(&least).map(|(row, least)| line(row, least.clone())).collect(),
        identity: page.identity.clone(),
    };
    let body = html! {
        @if rows.is_empty() { p { "The design has no conductor." } } @else {
            (list.markup(&page.links))
            (margin::legend(least.iter()))
        }
    };
    Section { id: "conductors", title: "Conductors", body }
}

/// What the lists say of a wire, behind its figures.
fn rest(wire: Option<&ListedWire>) -> Vec<Cell> {
    let Some(wire) = wire else { return Vec::new() };
    let end = |end: &EndPlace| match end.position.as_str() {
        "" => end.item.clone(),
        position => format!("{}.{position}", end.item),
    };
    vec![
        Cell::text(wire.colour.clone()),
        Cell::figure(wire.length.map(|length| (length.get() * 1000.0).round())),
        Cell::text(format!("{} to {}", end(&wire.from), end(&wire.to))),
        Cell::text(wire.signal.clone()),
        Cell::Place(wire.span),
    ]
}

/// What a wire of a loom is called.
fn wire_name(loom: &str, wire: &ListedWire) -> String {
    format!("{loom}.{}", wire.number)
}

fn cells(row: &ConductorLoad, least: Option<Least>) -> Vec<Cell> {
    let fuses = match (row.fuses.as_slice(), row.more_fuses) {
        ([], _) if row.is_return => Cell::text("return"),
        ([], _) if row.is_lead_in => Cell::text("lead-in"),
        ([], _) => Cell::None,
        ([first], 0) => Cell::Name(first.clone()),
        ([first, rest @ ..], more) => Cell::text(format!("`{first}` and {} more", rest.len() + more)),
    };
    vec![
        Cell::Name(row.name.clone()),
        Cell::figure(row.size.map(Unit::get)),
        Cell::Figure(row.amps.get()),
        Cell::mode(row.mode.as_ref()),
        Cell::figure(row.capacity.map(Unit::get)),
        fuses,
        Cell::figure(row.short.as_ref().map(|short| short.amps.get())),
        Cell::figure(row.temperature.map(Unit::get)),
        Cell::Margin(least),
    ]
}
