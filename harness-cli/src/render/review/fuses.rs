//! Fuses with their loads and margins.

use super::{
    Page, Section,
    list::{Cell, Column, List, Row},
    margin::{self, Least},
};
use harness_core::{inspect::FuseLoad, quantity::Unit};
use maud::html;

const COLUMNS: [Column; 9] = [
    Column::words("fuse"),
    Column::figures("rating", "A"),
    Column::figures("load", "A"),
    Column::words("in mode"),
    Column::figures("air", "°C"),
    Column::words("thinnest behind"),
    Column::figures("takes", "A"),
    Column::figures("largest short", "A"),
    Column::words("margin, to what"),
];

pub(super) fn section(page: &Page<'_>) -> Section {
    let rows = &page.review.loads.fuses;
    let least: Vec<Option<Least>> = rows.iter().map(|row| Least::of(row.least())).collect();
    let list = List {
        kind: "",
        caption: "fuses with their largest continuous load, the smallest margin first".to_owned(),
        columns: &COLUMNS,
        rows: rows.iter().zip(&least).map(|(row, least)| cells(row, least.clone())).collect(),
        identity: page.identity.clone(),
    };
    let body = html! {
        @if rows.is_empty() { p { "The design has no fuse." } } @else {
            (list.markup(&page.links))
            (margin::legend(least.iter()))
        }
        @for unknown in &page.review.loads.unknown { p { strong { "Not known: " } (page.links.shown(unknown)) } }
    };
    Section { id: "fuses", title: "Fuses", body }
}

fn cells(row: &FuseLoad, least: Option<Least>) -> Row {
    let thinnest = row.thinnest.as_ref();
    Row {
        id: String::new(),
        cells: vec![
            Cell::Name(row.name.clone()),
            Cell::figure(row.rating.map(Unit::get)),
            Cell::Figure(row.amps.get()),
            Cell::mode(row.mode.as_ref()),
            Cell::figure(row.ambient.map(Unit::get)),
            Cell::name(thinnest.map(|thinnest| thinnest.name.clone())),
            Cell::figure(thinnest.map(|thinnest| thinnest.capacity.get())),
            Cell::figure(row.duty.as_ref().map(|duty| duty.amps.get())),
            Cell::Margin(least),
        ],
    }
}
