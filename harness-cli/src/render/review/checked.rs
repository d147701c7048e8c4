//! What was checked, what could not be and why, and what the figures rest on.

use super::{
    Page, Section,
    link::Kind,
    list::{CHUNK, Cell, Column, List, Row},
};
use crate::phrase::counted;
use harness_core::{Covered, values::Source};
use maud::{Markup, html};

const COVERAGE: [Column; 4] =
    [Column::words("conductors for"), Column::figures("judged", ""), Column::figures("not judged", ""), Column::words("why not")];
const RESTS: [Column; 4] = [
    Column::figures("number", ""),
    Column::words("source"),
    Column::words("status"),
    Column::figures("margins that rest on it", ""),
];

pub(super) fn section(page: &Page<'_>) -> Section {
    let report = &page.review.checked.report;
    let summary = &report.summary;
    let missing = report.findings.iter().filter(|finding| finding.rule == "review/missing-fact");
    let missing: Vec<_> = missing.collect();
    let body = html! {
        p {
            (counted(summary.files, "file")) ", " (counted(summary.devices, "device")) ", " (counted(summary.looms, "loom")) ", "
            (counted(summary.ends, "end")) ", " (counted(summary.conductors, "conductor")) ", " (counted(summary.nets, "net")) "; "
            strong { (counted(summary.rules, "rule")) " run" } "."
        }
        (coverage(page).markup(&page.links))
        ul {
            @if summary.coverage.insulation_assumed > 0 {
                li { "Insulation of " (summary.coverage.insulation_assumed) " conductors is not given: PVC taken as the worse material of its rating." }
            }
            @if summary.coverage.unnamed_pins > 0 {
                li { (summary.coverage.unnamed_pins) " wired pins have no signal: swaps among those of one role and domain are not seen." }
            }
            @for mode in summary.modes.iter().filter(|mode| !mode.solved) {
                li { strong { "Not computed: " } "what needs currents in mode " (page.links.of_kind(Kind::Mode, &mode.name)) "." }
            }
            @for (key, count) in &summary.unread { li { "Given and not checked: " code { (key) } " (" (count) ")." } }
            @if report.untried > 0 { li { "Remedies of " (counted(report.untried, "finding")) " were not tried: their number in one run is limited." } }
        }
        h3 { "Not checked for want of a fact (" (summary.unchecked) ")" }
        @if summary.unchecked == 0 { p { "Every rule had the facts that it asks for." } }
        @for some in missing.chunks(CHUNK) {
            ul.chunk { @for finding in some {
                li { a href=(super::findings::href(finding)) { "finding" } ": " (page.links.shown(&finding.headline)) " " (page.links.place(finding.primary.span)) }
            } }
        }
        h3 #sources { "What the margins rest on" }
        (rests(page))
    };
    Section { id: "checked", title: "What was checked", body }
}

fn coverage(page: &Page<'_>) -> List {
    let covered = &page.review.checked.report.summary.coverage;
    let row = |(what, covered): (&str, &Covered)| {
        let why: Vec<String> = covered.unjudged.iter().map(|(reason, count)| format!("{count} {}", reason.reason())).collect();
        let left: usize = covered.unjudged.iter().map(|(_, count)| count).sum();
        Row {
            id: String::new(),
            cells: vec![
                Cell::text(what),
                Cell::Figure(covered.judged as f64),
                Cell::Figure(left as f64),
                Cell::text(why.join(", ")),
            ],
        }
    };
    let rows = [("load", &covered.load), ("shorts", &covered.shorts), ("voltage drop", &covered.drop)];
    List {
        kind: "",
        caption: "how many conductors were judged for what, and why the others were not".to_owned(),
        columns: &COVERAGE,
        rows: rows.into_iter().map(row).collect(),
        identity: page.identity.clone(),
    }
}

/// The sources of the figures, the least sure first.
fn rests(page: &Page<'_>) -> Markup {
    let row = |(at, (source, count)): (usize, (&'static Source, usize))| Row {
        id: String::new(),
        cells: vec![
            Cell::Figure((at + 1) as f64),
            Cell::text(source.standard),
            Cell::text(source.status.to_string()),
            Cell::Figure(count as f64),
        ],
    };
    let list = List {
        kind: "",
        caption:
            "tables and values behind the margins of fuses and conductors, the least sure first; then those of loads and the rest"
                .to_owned(),
        columns: &RESTS,
        rows: page.sources.all().into_iter().enumerate().map(row).collect(),
        identity: page.identity.clone(),
    };
    html! {
        @if list.rows.is_empty() { p { "No margin could be computed." } } @else { (list.markup(&page.links)) }
        p { "What a finding rests on is said with it. " code { "harness rules --values" } " lists every value from memory or common practice, with the key that replaces it." }
    }
}
