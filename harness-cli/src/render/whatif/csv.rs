//! Single faults as comma-separated values: a row for each fault and state.

use super::{Shown, words};
use crate::render::{
    Checked,
    kit::{
        figures::figure,
        sheet::{cell, sheet},
    },
};
use harness_core::{
    finding::Level,
    inspect::single_faults::{FaultRow, InState, What},
};
use serde::Serialize;
use std::io::{self, Write};

/// A row.
#[derive(Debug, Default, Serialize)]
#[allow(non_snake_case, reason = "the key names the unit as it is written")]
struct Row {
    level: String,
    fault: &'static str,
    at: String,
    to: String,
    mode: String,
    mode_level: String,
    follows: String,
    stops: String,
    too_little: String,
    stays_on: String,
    becomes_live: String,
    lifted: String,
    burns: String,
    fuses_open: String,
    relays_move: String,
    current_A: Option<f64>,
    heat_W: Option<f64>,
}

/// Writes one row for each fault and state in which something follows, one without a state for a fault from which nothing does.
///
/// # Errors
/// If `out` can't be written.
pub fn write(_: &Checked, shown: &Shown<'_>, out: &mut dyn Write) -> io::Result<()> {
    let rows = shown.rows().flat_map(|fault| {
        let alone = fault.states.is_empty().then(|| row(fault, None));
        alone.into_iter().chain(fault.states.iter().map(|state| row(fault, Some(state))))
    });
    sheet(rows, out)
}

fn row(fault: &FaultRow, state: Option<&InState>) -> Row {
    let outcomes = state.map_or(&[][..], |state| &state.outcomes);
    let of = |wanted: &[What]| {
        let names: Vec<&str> = outcomes.iter().filter(|it| wanted.contains(&it.what)).map(|it| it.name.as_str()).collect();
        cell(&names.join("; ")).into_owned()
    };
    let level = |level: Option<Level>| level.map_or_else(|| "nothing".to_owned(), |level| level.name().to_owned());
    Row {
        level: level(fault.level),
        fault: fault.kind.word(),
        at: cell(fault.names.first().map_or("", String::as_str)).into_owned(),
        to: cell(fault.names.get(1).map_or("", String::as_str)).into_owned(),
        mode: cell(state.map_or("", |state| &state.state)).into_owned(),
        mode_level: level(outcomes.iter().map(|outcome| outcome.level).max()),
        follows: cell(&outcomes.iter().map(words::single).collect::<Vec<_>>().join("; ")).into_owned(),
        stops: of(&[What::Stops]),
        too_little: of(&[What::Weakens]),
        stays_on: of(&[What::Starts, What::StaysOn]),
        becomes_live: of(&[What::Dangerous, What::Live]),
        lifted: of(&[What::Lifted, What::Overvoltage]),
        burns: of(&[What::Burns]),
        fuses_open: of(&[What::Opens]),
        relays_move: of(&[What::Releases, What::PullsIn]),
        current_A: outcomes.iter().find_map(|outcome| outcome.amps).map(figure),
        heat_W: outcomes.iter().find_map(|outcome| outcome.heat).map(figure),
    }
}
