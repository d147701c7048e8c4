//! What was accepted, why, by whom and until when; and what a baseline knew.

use super::{
    Page, Section, findings,
    link::Kind,
    list::{Cell, Column, List, Row},
};
use harness_core::finding::Judged;
use maud::html;

const COLUMNS: [Column; 7] = [
    Column::words("finding"),
    Column::words("level"),
    Column::words("why it is accepted"),
    Column::words("by"),
    Column::words("until"),
    Column::words("reviewed at"),
    Column::words("written"),
];

pub(super) fn section(page: &Page<'_>) -> Section {
    let accepted = page.review.checked.report.findings.iter().filter(|finding| finding.waived.is_some());
    let list = List {
        kind: "waiver",
        caption: "accepted findings, the most severe first; they fail no check".to_owned(),
        columns: &COLUMNS,
        rows: accepted.map(|finding| cells(page, finding)).collect(),
        identity: page.identity.clone(),
    };
    let unsigned = page
        .review
        .checked
        .report
        .findings
        .iter()
        .filter(|finding| finding.waived.as_ref().is_some_and(|waived| waived.by.is_none()))
        .count();
    let body = html! {
        @if list.rows.is_empty() { p { "No finding is accepted by a waiver." } } @else {
            (list.markup(&page.links))
            @if unsigned > 0 { p { strong { (unsigned) " without a name" } ": nobody signed." } }
        }
        p.sign { "Reviewed by: " span.line {} " on: " span.line.short {} }
    };
    Section { id: "waivers", title: "Waivers", body }
}

fn cells(page: &Page<'_>, finding: &Judged) -> Row {
    let Some(waived) = &finding.waived else { return Row::default() };
    Row {
        id: page.links.define(Kind::Finding, &finding.fingerprint),
        cells: vec![
            Cell::Text(finding.headline.clone()),
            Cell::Other(findings::level(finding.level), finding.level.name().to_owned()),
            Cell::text(waived.reason.clone()),
            Cell::text(waived.by.clone().unwrap_or_else(|| "nobody named".to_owned())),
            Cell::text(waived.until.map_or_else(|| "no end".to_owned(), |until| until.to_string())),
            Cell::text(waived.reviewed.clone().unwrap_or_default()),
            Cell::Place(waived.span),
        ],
    }
}
