//! What changes do as JSON, as structs. `diff.schema.json` describes the same for readers.

use super::{
    Compared,
    json_conductors::{ConductorJson, FuseJson, conductor, fuse},
    json_steps::{StepJson, step},
};
use crate::render::{Checked, kit::figures::figure};
use harness_core::diff::effect::{
    DropFigure, FusesBefore, LoadChange, NetChange, NetName, NetTurn, Pair, Stayed, Supply, Told, Turn,
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
