//! Conductors with their loads and margins.

use super::{
    Page, Section,
    list::{Cell, Column, List, Row},
    margin::{self, Least},
};
use harness_core::{inspect::ConductorLoad, quantity::Unit};
use maud::html;

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

pub(super) fn section(page: &Page<'_>) -> Section {
    let rows = &page.review.loads.conductors;
    let least: Vec<Option<Least>> = rows.iter().map(|row| Least::of(row.least())).collect();
    let list = List {
        kind: "",
        caption: "conductors with their largest continuous load, the smallest margin first".to_owned(),
        columns: &COLUMNS,
        rows: rows.iter().zip(&least).map(|(row, least)| cells(row, least.clone())).collect(),
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

fn cells(row: &ConductorLoad, least: Option<Least>) -> Row {
    let fuses = match (row.fuses.as_slice(), row.more_fuses) {
        ([], _) if row.is_return => Cell::text("return"),
        ([], _) if row.is_lead_in => Cell::text("lead-in"),
        ([], _) => Cell::None,
        ([first], 0) => Cell::Name(first.clone()),
        ([first, rest @ ..], more) => Cell::text(format!("`{first}` and {} more", rest.len() + more)),
    };
    Row {
        id: String::new(),
        cells: vec![
            Cell::Name(row.name.clone()),
            Cell::figure(row.size.map(Unit::get)),
            Cell::Figure(row.amps.get()),
            Cell::mode(row.mode.as_ref()),
            Cell::figure(row.capacity.map(Unit::get)),
            fuses,
            Cell::figure(row.short.as_ref().map(|short| short.amps.get())),
            Cell::figure(row.temperature.map(Unit::get)),
            Cell::Margin(least),
        ],
    }
}
