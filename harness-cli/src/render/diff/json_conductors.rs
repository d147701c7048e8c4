//! What changes do to conductors and fuses as JSON, as structs. `diff.schema.json` describes the same for readers.

#![allow(non_snake_case, reason = "the key names the unit as it is written")]

use super::json_steps::{StepJson, figures, perhaps, step};
use crate::render::kit::figures::{figure, outcome, rounded};
use harness_core::{
    diff::effect::{ConductorChange, Crossing, FuseChange, InMode, MarginChange, Worst},
    inspect::{Margin, Short},
    quantity::Ampere,
};
use serde::Serialize;

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct ConductorJson {
    name: String,
    was: Option<String>,
    limit: &'static str,
    size_mm2: StepJson<Option<f64>>,
    current: Option<StepJson<WorstJson>>,
    drop_V: Option<StepJson<f64>>,
    temperature_degC: Option<StepJson<Option<f64>>>,
    capacity_A: Option<StepJson<Option<f64>>>,
    margins: Vec<MarginStepJson>,
    short: Option<StepJson<Option<ShortJson>>>,
    modes: Vec<InModeJson>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct WorstJson {
    current_A: f64,
    mode: Option<String>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct MarginStepJson {
    against: &'static str,
    limit: &'static str,
    old: Option<MarginJson>,
    new: Option<MarginJson>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct MarginJson {
    figure: String,
    limit: String,
    ratio: f64,
    holds: bool,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct ShortJson {
    outcome: &'static str,
    mode: String,
    current_A: f64,
    ends_s: Option<f64>,
    stands_s: Option<f64>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct InModeJson {
    mode: String,
    current_A: StepJson<f64>,
    drop_V: StepJson<f64>,
    temperature_degC: StepJson<Option<f64>>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(super) struct FuseJson {
    name: String,
    was: Option<String>,
    limit: &'static str,
    rating_A: Option<StepJson<Option<f64>>>,
    load_A: Option<StepJson<f64>>,
    margins: Vec<MarginStepJson>,
}

pub(super) fn conductor(change: &ConductorChange) -> ConductorJson {
    let worst = |worst: &Worst<Ampere>| WorstJson { current_A: figure(worst.figure), mode: worst.mode.clone() };
    ConductorJson {
        name: change.name.clone(),
        was: change.was.clone(),
        limit: crossing(change.crossing),
        size_mm2: perhaps(&change.size),
        current: change.amps.as_ref().map(|pair| step(pair, worst)),
        drop_V: change.drop.as_ref().map(figures),
        temperature_degC: change.temperature.as_ref().map(perhaps),
        capacity_A: change.capacity.as_ref().map(perhaps),
        margins: change.margins.iter().map(margin_step).collect(),
        short: change.short.as_ref().map(|pair| step(pair, |short| short.as_ref().map(of_short))),
        modes: change.modes.iter().map(in_mode).collect(),
    }
}

fn of_short(short: &Short) -> ShortJson {
    ShortJson {
        outcome: outcome(&short.outcome),
        mode: short.mode.clone(),
        current_A: figure(short.amps),
        ends_s: short.ends.map(figure),
        stands_s: short.stands.map(figure),
    }
}

fn in_mode(row: &InMode) -> InModeJson {
    InModeJson {
        mode: row.mode.clone(),
        current_A: figures(&row.amps),
        drop_V: figures(&row.drop),
        temperature_degC: perhaps(&row.temperature),
    }
}

pub(super) fn fuse(change: &FuseChange) -> FuseJson {
    FuseJson {
        name: change.name.clone(),
        was: change.was.clone(),
        limit: crossing(change.crossing),
        rating_A: change.rating.as_ref().map(perhaps),
        load_A: change.amps.as_ref().map(|pair| step(pair, |(amps, _)| figure(*amps))),
        margins: change.margins.iter().map(margin_step).collect(),
    }
}

fn margin_step(change: &MarginChange) -> MarginStepJson {
    let margin = |margin: &Margin| MarginJson {
        figure: margin.figure.clone(),
        limit: margin.limit.clone(),
        ratio: rounded(margin.ratio),
        holds: margin.holds(),
    };
    MarginStepJson {
        against: change.against.word(),
        limit: crossing(change.crossing),
        old: change.margin.old.as_ref().map(margin),
        new: change.margin.new.as_ref().map(margin),
    }
}

/// On which side of its limit a figure was and is, in a word.
fn crossing(crossing: Crossing) -> &'static str {
    match crossing {
        Crossing::Out => "left",
        Crossing::Beyond => "beyond",
        Crossing::Back => "regained",
        Crossing::Within => "kept",
    }
}
