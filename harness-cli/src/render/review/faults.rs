//! Single faults: what follows from each, by severity, and how many were tried.

use super::{
    Page, Section, findings,
    list::{Cell, Column, List, Row},
};
use crate::render::whatif::words;
use harness_core::{
    bench::EndKindSheet,
    finding::Level,
    inspect::single_faults::{FaultKind, FaultRow, InState, Outcome},
};
use maud::{Markup, html};

const COLUMNS: [Column; 5] = [
    Column::words("fault"),
    Column::words("severity"),
    Column::words("mode"),
    Column::words("what follows"),
    Column::words("also in"),
];
const COUNTS: [Column; 9] = [
    Column::words("tried"),
    Column::figures("all", ""),
    Column::figures("danger", ""),
    Column::figures("error", ""),
    Column::figures("warning", ""),
    Column::figures("note", ""),
    Column::figures("none", ""),
    Column::figures("no current", ""),
    Column::figures("unknown", ""),
];
/// Sentences for one state.
const SENTENCES: usize = 6;

pub(super) fn section(page: &Page<'_>) -> Section {
    let faults = page.review.faults;
    let rows: Vec<&FaultRow> = faults.rows.iter().filter(|row| row.level.is_some_and(|level| level >= Level::Warning)).collect();
    let below = faults.rows.iter().filter(|row| row.level == Some(Level::Note)).count();
    let list = List {
        kind: "fault",
        caption: "single faults from which a warning or worse follows, the most severe first".to_owned(),
        columns: &COLUMNS,
        rows: rows.iter().map(|row| cells(row)).collect(),
        identity: page.identity.clone(),
    };
    let body = html! {
        p { "One thing breaks at a time: what stops, what stays on, what becomes live, what no fuse clears. Contacts raised by " (super::people(&faults.raised.to_string())) "." }
        @if let Some(left) = &page.review.faults_left_out { p { strong { (page.links.shown(left)) } } }
        @if let Some(unopened) = unopened(page) { p { strong { (page.links.shown(&unopened)) } } }
        (counts(page))
        @if list.rows.is_empty() { p { "No fault that was tried has more than a note." } } @else { (list.markup(&page.links)) }
        @if below > 0 { p { "Not listed: " (below) " faults from which only a note follows; " code { "harness whatif --level note" } " lists them." } }
    };
    Section { id: "faults", title: "Single faults", body }
}

/// That no connector was taken apart, where that is so: what stops then is said nowhere else.
fn unopened(page: &Page<'_>) -> Option<String> {
    let connectors = page.bench.end_sheets().iter().filter(|sheet| matches!(sheet.kind, EndKindSheet::Connector(_))).count();
    // What is too much for all faults is too much for connectors.
    (page.review.faults_left_out.is_some() && page.review.unplugged.is_empty() && connectors > 0).then(|| {
        format!(
            "{} not taken apart here, as the design is so large: what stops when one is opened is not on this page; `harness live --open NAME` says what becomes live.",
            if connectors == 1 { "1 connector was".to_owned() } else { format!("{connectors} connectors were") }
        )
    })
}

fn counts(page: &Page<'_>) -> Markup {
    let tried = FaultKind::ALL.iter().zip(&page.review.faults.counts).filter(|(_, count)| count.tried > 0);
    let figure = |count: usize| Cell::Figure(count as f64);
    let rows = tried.map(|(kind, count)| {
        let mut cells = vec![Cell::text(kind.noun()), figure(count.tried)];
        cells.extend(count.levels.iter().map(|count| figure(*count)));
        cells.extend([figure(count.harmless), figure(count.idle), figure(count.unknown)]);
        Row { id: String::new(), cells }
    });
    let list = List {
        kind: "",
        caption: "how many were tried and what came of them".to_owned(),
        columns: &COUNTS,
        rows: rows.collect(),
        identity: page.identity.clone(),
    };
    html! { @if list.rows.is_empty() { p { "Nothing to try." } } @else {
        (list.markup(&page.links))
        p.small { "None: nothing changes in any mode. No current: nothing flows there, and what a signal means to a box is not computed. Unknown: some mode has no steady state to begin from." }
    } }
}

fn cells(row: &FaultRow) -> Row {
    let first = row.states.first();
    let others: Vec<String> = row.states.iter().skip(1).map(|state| state.state.clone()).collect();
    Row {
        id: String::new(),
        cells: vec![
            Cell::Text(format!(
                "{} {}",
                row.kind.word(),
                row.names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(" and ")
            )),
            row.level.map_or(Cell::None, |level| Cell::Other(findings::level(level), level.name().to_owned())),
            first.map_or(Cell::None, |state| Cell::text(state.state.clone())),
            first.map_or(Cell::None, |state| Cell::Brief(sentences(state).join("; "))),
            Cell::text(others.join(", ")),
        ],
    }
}

/// What follows in a state, a sentence for each kind and level, with every name.
pub(super) fn all(state: &InState) -> Vec<String> {
    groups(state).iter().map(|group| words::sentence(group, true)).collect()
}

/// What follows in a state, a sentence for each kind and level.
fn sentences(state: &InState) -> Vec<String> {
    let groups = groups(state);
    let mut lines: Vec<String> = groups.iter().take(SENTENCES).map(|group| words::sentence(group, false)).collect();
    if groups.len() > SENTENCES {
        lines.push(format!("and {} more", groups.len() - SENTENCES));
    }
    lines
}

/// What follows in a state, by kind and level.
fn groups(state: &InState) -> Vec<Vec<&Outcome>> {
    let mut groups: Vec<Vec<&Outcome>> = Vec::new();
    for outcome in &state.outcomes {
        let key = |of: &Outcome| (of.what, of.level, of.function);
        match groups.iter_mut().find(|group| group.first().is_some_and(|first| key(first) == key(outcome))) {
            Some(group) => group.push(outcome),
            None => groups.push(vec![outcome]),
        }
    }
    groups
}
