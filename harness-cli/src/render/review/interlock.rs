//! The interlock loops: what is in each, in order, and what opening it does.

use super::{
    Page, Section,
    list::{Cell, Column, List, Row},
    pictures,
};
use crate::{args::PictureKind, phrase::all, render::pictures::chain::effects};
use harness_core::{
    inspect::{Found, Names, Thing},
    views::chain::{Loop, LoopStop},
};
use maud::{Markup, html};
use std::collections::BTreeSet;

const COLUMNS: [Column; 5] =
    [Column::words("opens it"), Column::words("with"), Column::words("from"), Column::words("to"), Column::words("written")];

pub(super) fn section(page: &Page<'_>) -> Section {
    let loops = page.review.loops;
    let findings = page.review.checked.report.findings.iter().filter(|finding| finding.rule.starts_with("interlock/"));
    let names = Names::new(page.review.analysis.model());
    let astray = astray(page, &names);
    let body = html! {
        @if loops.is_empty() && astray.is_empty() { p { "The design has no interlock loop." } }
        @for one in loops { (of_loop(page, &names, one)) }
        @if !astray.is_empty() { p { "Bridges that are in no loop: " (page.links.names(&astray)) "." } }
        @if let Some(plate) = page.review.plates.iter().rfind(|plate| plate.kind == PictureKind::Chain).filter(|_| !loops.is_empty()) {
            p { "As a line, with the coils and contacts that it acts on: " a href=(format!("#{}", pictures::id_of(plate))) { "picture of the chain" } "." }
        }
        @for finding in findings {
            p { (super::findings::level(finding.level)) " " (page.links.shown(&finding.headline)) " " a href=(super::findings::href(finding)) { "in full" } }
        }
    };
    Section { id: "interlock", title: "Interlock", body }
}

fn of_loop(page: &Page<'_>, names: &Names<'_>, one: &Loop) -> Markup {
    let (from, to) = (all(&one.from.at), all(&one.to.at));
    let caption = match (from.is_empty(), to.is_empty()) {
        (false, false) => format!("the loop from {from} to {to}, in its order"),
        _ => "a loop that is a closed ring, in its order".to_owned(),
    };
    let rows = one.stops.iter().map(|stop| row(page, names, stop)).collect();
    let list = List { kind: "", caption, columns: &COLUMNS, rows, identity: page.identity.clone() };
    html! {
        (list.markup(&page.links))
        @for words in effects(one) { p { (page.links.shown(&words)) } }
    }
}

fn row(page: &Page<'_>, names: &Names<'_>, stop: &LoopStop) -> Row {
    let model = page.review.analysis.model();
    let (mut ends, mut place) = (Vec::new(), Cell::None);
    if let Found::One(thing) = names.find(&format!("element {}", stop.name)) {
        place = Cell::Place(thing.span(model));
        if let Thing::Element(element) = thing {
            ends = model[element].points.iter().map(|point| model.point_name(*point)).collect();
        }
    }
    let end = |at: usize| ends.get(at).map_or(Cell::None, |name| Cell::Name(name.clone()));
    let with = stop.of.as_ref().map_or(Cell::None, |of| Cell::Text(of.clone()));
    Row { id: String::new(), cells: vec![Cell::Name(stop.name.clone()), with, end(0), end(1), place] }
}

/// Bridges that no loop has, in the order of their names.
fn astray(page: &Page<'_>, names: &Names<'_>) -> Vec<String> {
    let model = page.review.analysis.model();
    let known: BTreeSet<&str> = page.review.loops.iter().flat_map(|one| &one.stops).map(|stop| stop.name.as_str()).collect();
    let bridges = names.all().filter(|(_, thing)| thing.kind(model) == "interlock bridge");
    let found: BTreeSet<String> =
        bridges.map(|(_, thing)| thing.name(model)).filter(|name| !known.contains(name.as_str())).collect();
    found.into_iter().collect()
}
