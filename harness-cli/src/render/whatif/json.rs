//! Single faults as JSON, as structs. `whatif.schema.json` describes the same for readers.

use super::{Shown, words};
use crate::render::{
    Checked,
    kit::{
        caution::CAUTION,
        document,
        figures::{PlaceJson, figure},
    },
};
use harness_core::{
    finding::Level,
    inspect::single_faults::{FaultCount, FaultKind, FaultRow, InState, Outcome},
    internals::vocabulary::Function,
};
use serde::Serialize;
use std::io::{self, Write};

/// The version of the JSON: raised when a reader of the one before would misread it.
pub const VERSION: u32 = 1;

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[allow(non_snake_case, reason = "the key names the unit as it is written")]
pub(crate) struct WhatifJson<'a> {
    version: u32,
    file: String,
    states: &'a [String],
    contact_raised_ohm: f64,
    level: &'static str,
    left_out: usize,
    faults: Vec<FaultJson<'a>>,
    counts: Vec<CountJson>,
    unknown: &'a [String],
    caution: &'a [&'a str],
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct FaultJson<'a> {
    kind: &'static str,
    at: &'a [String],
    written: PlaceJson,
    level: Option<&'static str>,
    states: Vec<StateJson<'a>>,
    no_current: bool,
    not_judged: &'a [String],
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct StateJson<'a> {
    state: &'a str,
    level: Option<&'static str>,
    outcomes: Vec<OutcomeJson<'a>>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[allow(non_snake_case, reason = "the key names the unit as it is written")]
struct OutcomeJson<'a> {
    what: &'static str,
    level: &'static str,
    name: &'a str,
    text: String,
    function: Option<&'static str>,
    before_V: Option<f64>,
    after_V: Option<f64>,
    limit_V: Option<f64>,
    current_A: Option<f64>,
    heat_W: Option<f64>,
    time_s: Option<f64>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct CountJson {
    kind: &'static str,
    tried: usize,
    danger: usize,
    error: usize,
    warning: usize,
    note: usize,
    nothing: usize,
    no_current: usize,
    not_judged: usize,
}

/// Writes the faults that are listed, and what came of all that were tried.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, shown: &Shown<'_>, out: &mut dyn Write) -> io::Result<()> {
    let counts = FaultKind::ALL.iter().zip(&shown.faults.counts);
    let value = WhatifJson {
        version: VERSION,
        file: checked.shown(&checked.root),
        states: &shown.faults.states,
        contact_raised_ohm: figure(shown.faults.raised),
        level: shown.level.name(),
        left_out: shown.below(),
        faults: shown.rows().map(|row| fault(checked, row)).collect(),
        counts: counts.filter(|(_, count)| count.tried > 0).map(|(kind, count)| of_kind(*kind, count)).collect(),
        unknown: shown.unknown,
        caution: &CAUTION,
    };
    document(&value, out)
}

fn fault<'a>(checked: &Checked, row: &'a FaultRow) -> FaultJson<'a> {
    FaultJson {
        kind: row.kind.word(),
        at: &row.names,
        written: PlaceJson::of(checked, row.span),
        level: row.level.map(Level::name),
        states: row.states.iter().map(state).collect(),
        no_current: row.idle,
        not_judged: &row.unknown,
    }
}

fn state(state: &InState) -> StateJson<'_> {
    StateJson {
        state: &state.state,
        level: state.outcomes.iter().map(|outcome| outcome.level).max().map(Level::name),
        outcomes: state.outcomes.iter().map(outcome).collect(),
    }
}

fn outcome(outcome: &Outcome) -> OutcomeJson<'_> {
    OutcomeJson {
        what: outcome.what.word(),
        level: outcome.level.name(),
        name: &outcome.name,
        text: words::single(outcome),
        function: outcome.function.map(Function::word),
        before_V: outcome.before.map(figure),
        after_V: outcome.after.map(figure),
        limit_V: outcome.limit.map(figure),
        current_A: outcome.amps.map(figure),
        heat_W: outcome.heat.map(figure),
        time_s: outcome.time.map(figure),
    }
}

fn of_kind(kind: FaultKind, count: &FaultCount) -> CountJson {
    let [danger, error, warning, note] = count.levels;
    CountJson {
        kind: kind.word(),
        tried: count.tried,
        danger,
        error,
        warning,
        note,
        nothing: count.harmless,
        no_current: count.idle,
        not_judged: count.unknown,
    }
}
