//! What must be on the shelf, counted over all looms.

use super::{
    Page, Section,
    list::{Cell, Column, List, Row},
};
use crate::render::papers::area;
use harness_core::{bench::StockRow, quantity::Unit};
use maud::html;

const COLUMNS: [Column; 7] = [
    Column::words("sort"),
    Column::words("kind"),
    Column::words("detail"),
    Column::figures("pieces", ""),
    Column::figures("length", "m"),
    Column::figures("spares", ""),
    Column::figures("without a length", ""),
];

pub(super) fn section(page: &Page<'_>) -> Section {
    let stock = page.bench.stock();
    let list = List {
        kind: "",
        caption: "parts of all looms, by sort and kind; boxes, sensors and motors are not counted, except their fuses and relays"
            .to_owned(),
        columns: &COLUMNS,
        rows: stock.totals.iter().map(cells).collect(),
        identity: page.identity.clone(),
    };
    let body = html! {
        @if list.rows.is_empty() { p { "The design names no part." } } @else { (list.markup(&page.links)) }
        @if !stock.unchosen.is_empty() { p { strong { (stock.unchosen.len()) " parts are not chosen yet" } "; " code { "harness papers FILE parts-list" } " names what would fit." } }
    };
    Section { id: "parts", title: "Parts", body }
}

fn cells(row: &StockRow) -> Row {
    let count = |count: usize| if count == 0 { Cell::None } else { Cell::Figure(count as f64) };
    Row {
        id: String::new(),
        cells: vec![
            Cell::text(row.sort.word()),
            if row.name.is_empty() { Cell::text("no kind given") } else { Cell::text(row.name.clone()) },
            Cell::text(area(&row.detail)),
            Cell::Figure(row.count as f64),
            Cell::figure(row.length.map(Unit::get)),
            count(row.spares),
            count(row.without_length),
        ],
    }
}
