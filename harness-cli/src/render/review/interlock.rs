//! The interlock loop and what opens it.

use super::{
    Page, Section,
    list::{Cell, Column, List, Row},
};
use harness_core::inspect::{Names, Thing};
use maud::html;
use std::collections::BTreeMap;

const COLUMNS: [Column; 4] = [Column::words("bridge"), Column::words("from"), Column::words("to"), Column::words("written")];

pub(super) fn section(page: &Page<'_>) -> Section {
    let model = page.review.analysis.model();
    let mut bridges: BTreeMap<_, Row> = BTreeMap::new();
    for (name, thing) in Names::new(model).all() {
        let Thing::Element(element) = thing else { continue };
        if thing.kind(model) != "interlock bridge" {
            continue;
        }
        let ends: Vec<String> = model[element].points.iter().map(|point| model.point_name(*point)).collect();
        let end = |at: usize| ends.get(at).map_or(Cell::None, |name| Cell::Name(name.clone()));
        let span = thing.span(model);
        let cells = vec![Cell::Name(name.to_owned()), end(0), end(1), Cell::Place(span)];
        bridges.insert((span, name.to_owned()), Row { id: String::new(), cells });
    }
    let findings = page.review.checked.report.findings.iter().filter(|finding| finding.rule.starts_with("interlock/"));
    let list = List {
        kind: "",
        caption: "bridges of the interlock loop in the order written; one that opens lets the contactors go".to_owned(),
        columns: &COLUMNS,
        rows: bridges.into_values().collect(),
        identity: page.identity.clone(),
    };
    let body = html! {
        @if list.rows.is_empty() { p { "The design has no interlock loop." } } @else { (list.markup(&page.links)) }
        @for finding in findings {
            p { (super::findings::level(finding.level)) " " (page.links.shown(&finding.headline)) " " a href=(super::findings::href(finding)) { "in full" } }
        }
    };
    Section { id: "interlock", title: "Interlock", body }
}
