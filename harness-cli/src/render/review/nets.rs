//! The nets: what is one piece of metal.

use super::{
    Page, Section,
    link::Kind,
    list::{Cell, Column, List, Row},
};
use crate::phrase::counted;
use harness_core::inspect::{WholeNet, nets};
use maud::html;

const COLUMNS: [Column; 5] =
    [Column::words("net of"), Column::words("domain"), Column::words("signals"), Column::words("wires"), Column::words("points")];

pub(super) fn section(page: &Page<'_>) -> Section {
    let nets = nets(page.review.analysis);
    let list = List {
        kind: "net",
        caption: "nets with a wire, each called by its first point, in the order written".to_owned(),
        columns: &COLUMNS,
        rows: nets.iter().map(|net| row(page, net)).collect(),
        identity: page.identity.clone(),
    };
    let body = html! {
        p { (counted(nets.len(), "net")) ": points that are one piece of metal, apart from the resistance of wires and contacts." }
        @if !nets.is_empty() { (list.markup(&page.links)) }
    };
    Section { id: "nets", title: "Nets", body }
}

fn row(page: &Page<'_>, net: &WholeNet) -> Row {
    Row {
        id: page.links.define(Kind::Net, &net.name),
        cells: vec![
            Cell::Name(net.name.clone()),
            Cell::text(net.domain.clone().unwrap_or_default()),
            Cell::text(net.signals.clone()),
            Cell::Names(net.wires.clone()),
            Cell::Names(net.points.clone()),
        ],
    }
}
