//! The nets: what is one piece of metal.

use super::{
    LARGE, Page, Section,
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
    let is_large = nets.len() > LARGE;
    let list = List {
        kind: "net",
        caption: if is_large {
            "nets with a wire, each called by its first point, in the order written; of the points those of devices, as cavities are those of the wires"
        } else {
            "nets with a wire, each called by its first point, in the order written"
        }
        .to_owned(),
        columns: &COLUMNS,
        rows: nets.iter().map(|net| row(page, net, is_large)).collect(),
        identity: page.identity.clone(),
    };
    let body = html! {
        p { (counted(nets.len(), "net")) ": points that are one piece of metal, apart from the resistance of wires and contacts." }
        @if !nets.is_empty() { (list.markup(&page.links)) }
    };
    Section { id: "nets", title: "Nets", body }
}

fn row(page: &Page<'_>, net: &WholeNet, is_large: bool) -> Row {
    let is_shown = |point: &&String| !is_large || !matches!(page.links.kind(point), Some(Kind::Contact | Kind::End));
    let points: Vec<String> = net.points.iter().filter(is_shown).cloned().collect();
    Row {
        id: page.links.define(Kind::Net, &net.name),
        cells: vec![
            Cell::Name(net.name.clone()),
            Cell::text(net.domain.clone().unwrap_or_default()),
            Cell::text(net.signals.clone()),
            Cell::Names(net.wires.clone()),
            if points.is_empty() { Cell::None } else { Cell::Points(points) },
        ],
    }
}
