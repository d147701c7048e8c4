//! What changes do as JSON, as structs. `diff.schema.json` describes the same for readers.

use super::Compared;
use crate::render::{
    Checked,
    kit::figures::{figure, outcome, rounded},
};
use harness_core::{
    diff::effect::{
        ConductorChange, Crossing, DropFigure, FuseChange, FusesBefore, InMode, LoadChange, MarginChange, NetChange, NetName,
        NetTurn, Pair, Stayed, Supply, Told, Turn, Worst,
    },
    inspect::{Margin, Short},
    quantity::{Ampere, Unit},
};
use serde::Serialize;

/// What the changes do.
#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct EffectJson {
    findings: FindingsJson,
    loads: Vec<LoadJson>,
    nets: Vec<NetJson>,
    conductors: Vec<ConductorJson>,
    fuses: Vec<FuseJson>,
    modes: ModesJson,
}

/// A figure in both revisions.
#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct StepJson<T> {
    old: T,
    new: T,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct FindingsJson {
    came: Vec<FindingJson>,
    went: Vec<FindingJson>,
    changed: Vec<StayedJson>,
    unchanged: usize,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct FindingJson {
    rule: &'static str,
    level: &'static str,
    headline: String,
    place: String,
    concerns: Vec<String>,
    accepted: Option<String>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct StayedJson {
    finding: FindingJson,
    old_level: &'static str,
    was_accepted: bool,
    figures: Vec<FigureJson>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct FigureJson {
    name: &'static str,
    old: Option<String>,
    new: Option<String>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct LoadJson {
    name: String,
    was: Option<String>,
    what: &'static str,
    supply: Vec<SupplyJson>,
    fuses: Option<StepJson<FusesJson>>,
    drop: Option<StepJson<Option<DropJson>>>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct SupplyJson {
    of: &'static str,
    turn: &'static str,
    modes: Vec<String>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct FusesJson {
    fuses: Vec<FuseNameJson>,
    more: usize,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[allow(non_snake_case, reason = "the key names the unit as it is written")]
struct FuseNameJson {
    name: String,
    rating_A: Option<f64>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[allow(non_snake_case, reason = "the key names the unit as it is written")]
struct DropJson {
    lost_V: f64,
    most_V: f64,
    mode: String,
    partial: bool,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct NetJson {
    turn: &'static str,
    whole: PieceJson,
    parts: Vec<PieceJson>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct PieceJson {
    point: String,
    points: usize,
    signal: Option<String>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[allow(non_snake_case, reason = "the key names the unit as it is written")]
struct ConductorJson {
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
#[allow(non_snake_case, reason = "the key names the unit as it is written")]
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
#[allow(non_snake_case, reason = "the key names the unit as it is written")]
struct ShortJson {
    outcome: &'static str,
    mode: String,
    current_A: f64,
    ends_s: Option<f64>,
    stands_s: Option<f64>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[allow(non_snake_case, reason = "the key names the unit as it is written")]
struct InModeJson {
    mode: String,
    current_A: StepJson<f64>,
    drop_V: StepJson<f64>,
    temperature_degC: StepJson<Option<f64>>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[allow(non_snake_case, reason = "the key names the unit as it is written")]
struct FuseJson {
    name: String,
    was: Option<String>,
    limit: &'static str,
    rating_A: Option<StepJson<Option<f64>>>,
    load_A: Option<StepJson<f64>>,
    margins: Vec<MarginStepJson>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct ModesJson {
    both: Vec<String>,
    only_old: Vec<String>,
    only_new: Vec<String>,
    unsettled: StepJson<Vec<String>>,
}

impl EffectJson {
    pub(super) fn of(compared: &Compared) -> Self {
        let effect = &compared.effect;
        let told = |list: &[Told], checked: &Checked| list.iter().map(|told| finding(told, checked)).collect();
        let modes = &effect.modes;
        Self {
            findings: FindingsJson {
                came: told(&effect.findings.came, &compared.new),
                went: told(&effect.findings.went, &compared.old),
                changed: effect.findings.changed.iter().map(|it| stayed(it, &compared.new)).collect(),
                unchanged: effect.findings.unchanged,
            },
            loads: effect.loads.iter().map(load).collect(),
            nets: effect.nets.iter().map(net).collect(),
            conductors: effect.conductors.iter().map(conductor).collect(),
            fuses: effect.fuses.iter().map(fuse).collect(),
            modes: ModesJson {
                both: modes.both.clone(),
                only_old: modes.only_old.clone(),
                only_new: modes.only_new.clone(),
                unsettled: step(&modes.unsettled, Clone::clone),
            },
        }
    }
}

fn step<T, U>(pair: &Pair<T>, each: impl Fn(&T) -> U) -> StepJson<U> {
    StepJson { old: each(&pair.old), new: each(&pair.new) }
}

fn figures<U: Unit>(pair: &Pair<U>) -> StepJson<f64> {
    step(pair, |value| figure(*value))
}

fn perhaps<U: Unit>(pair: &Pair<Option<U>>) -> StepJson<Option<f64>> {
    step(pair, |value| value.map(figure))
}

fn finding(told: &Told, checked: &Checked) -> FindingJson {
    FindingJson {
        rule: told.rule,
        level: told.level.name(),
        headline: told.headline.clone(),
        place: checked.shown(&told.place),
        concerns: told.concerns.clone(),
        accepted: told.waived.as_ref().map(|waived| waived.reason.clone()),
    }
}

fn stayed(stayed: &Stayed, checked: &Checked) -> StayedJson {
    let figure = |(name, Pair { old, new }): &(&'static str, Pair<Option<String>>)| FigureJson {
        name,
        old: old.clone(),
        new: new.clone(),
    };
    StayedJson {
        finding: finding(&stayed.new, checked),
        old_level: stayed.old.level.name(),
        was_accepted: stayed.old.waived.is_some(),
        figures: stayed.figures.iter().map(figure).collect(),
    }
}

fn load(load: &LoadChange) -> LoadJson {
    LoadJson {
        name: load.name.clone(),
        was: load.was.clone(),
        what: load.what,
        supply: load
            .supply
            .iter()
            .map(|change| SupplyJson {
                of: match change.supply {
                    Supply::Source => "source",
                    Supply::Return => "return",
                },
                turn: match change.turn {
                    Turn::Lost => "lost",
                    Turn::Gained => "gained",
                },
                modes: change.modes.clone(),
            })
            .collect(),
        fuses: load.fuses.as_ref().map(|pair| step(pair, fuses_before)),
        drop: load.drop.as_ref().map(|pair| step(pair, |drop| drop.as_ref().map(drop_figure))),
    }
}

fn fuses_before(fuses: &FusesBefore) -> FusesJson {
    let name =
        |fuse: &harness_core::diff::effect::FuseName| FuseNameJson { name: fuse.name.clone(), rating_A: fuse.rating.map(figure) };
    FusesJson { fuses: fuses.fuses.iter().map(name).collect(), more: fuses.more }
}

fn drop_figure(drop: &DropFigure) -> DropJson {
    DropJson { lost_V: figure(drop.volts), most_V: figure(drop.most), mode: drop.mode.clone(), partial: drop.is_partial }
}

fn net(net: &NetChange) -> NetJson {
    NetJson {
        turn: match net.turn {
            NetTurn::Split => "split",
            NetTurn::Joined => "joined",
        },
        whole: piece(&net.whole),
        parts: net.parts.iter().map(piece).collect(),
    }
}

fn piece(name: &NetName) -> PieceJson {
    PieceJson { point: name.point.clone(), points: name.points, signal: name.signal.clone() }
}

fn conductor(change: &ConductorChange) -> ConductorJson {
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

fn fuse(change: &FuseChange) -> FuseJson {
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

/// How a figure came to stand to its limit, in a word.
fn crossing(crossing: Crossing) -> &'static str {
    match crossing {
        Crossing::Out => "left",
        Crossing::Beyond => "beyond",
        Crossing::Back => "regained",
        Crossing::Within => "kept",
    }
}
