//! A trace as JSON, as structs. `trace.schema.json` describes the same for readers.

use crate::render::kit::document;
use crate::render::{
    Checked,
    kit::caution::CAUTION,
    kit::figures::{MarginJson, PlaceJson, ShortJson, SourceJson, figure, rounded},
};
use harness_core::inspect::{Charge, ModeRow, Trace};
use serde::Serialize;
use std::io::{self, Write};

/// The version of the JSON: raised when a reader of the one before would misread it.
pub const VERSION: u32 = 1;

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(crate) struct TraceJson<'a> {
    version: u32,
    file: String,
    name: &'a str,
    kind: &'a str,
    written: Option<PlaceJson>,
    facts: Vec<FactJson<'a>>,
    nets: Vec<NetJson<'a>>,
    way: WayJson<'a>,
    modes: Vec<ModeJson<'a>>,
    charges: Vec<ChargeJson<'a>>,
    members: Vec<MemberJson<'a>>,
    capacity: Option<CapacityJson>,
    neighbours: Vec<NeighbourJson<'a>>,
    fuses: Vec<FuseJson<'a>>,
    protects: Option<ProtectsJson<'a>>,
    largest_short: Option<DutyJson<'a>>,
    worst_short: Option<ShortJson<'a>>,
    margins: Vec<MarginJson<'a>>,
    findings: Vec<ConcernJson<'a>>,
    notes: &'a [String],
    unknown: &'a [String],
    caution: &'a [&'a str],
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct FactJson<'a> {
    name: &'a str,
    value: &'a str,
    source: Option<SourceJson>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[expect(non_snake_case, reason = "the unit is part of the key")]
struct ChargeJson<'a> {
    mode: &'a str,
    battery_A: f64,
    loads_A: f64,
    given: Vec<GivenJson<'a>>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[expect(non_snake_case, reason = "the unit is part of the key")]
struct GivenJson<'a> {
    name: &'a str,
    current_A: f64,
}

fn charge(charge: &Charge) -> ChargeJson<'_> {
    ChargeJson {
        mode: &charge.mode,
        battery_A: figure(charge.battery),
        loads_A: figure(charge.loads),
        given: charge.given.iter().map(|(name, amps)| GivenJson { name, current_A: figure(*amps) }).collect(),
    }
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[expect(non_snake_case, reason = "the unit is part of the key")]
struct MemberJson<'a> {
    name: &'a str,
    joins: &'a str,
    current_A: f64,
    mode: Option<&'a str>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct NetJson<'a> {
    domain: Option<&'a str>,
    points: &'a [String],
    wires: &'a [String],
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct WayJson<'a> {
    mode: Option<&'a str>,
    feed: Option<&'a [String]>,
    back: Option<&'a [String]>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[allow(non_snake_case, reason = "the key names the unit as it is written")]
struct ModeJson<'a> {
    mode: &'a str,
    current_A: f64,
    voltage_V: f64,
    across_V: Option<f64>,
    temperature_degC: Option<f64>,
    short: Option<PointShortJson<'a>>,
    live: bool,
    shorted: bool,
    settled: bool,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[allow(non_snake_case, reason = "the key names the unit as it is written")]
struct PointShortJson<'a> {
    current_A: f64,
    fuse: Option<&'a str>,
    fuse_opens_s: Option<f64>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[allow(non_snake_case, reason = "the key names the unit as it is written")]
struct DutyJson<'a> {
    current_A: f64,
    mode: &'a str,
    points: &'a [String; 2],
    breaks_A: Option<f64>,
    source: Option<SourceJson>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[allow(non_snake_case, reason = "the key names the unit as it is written")]
struct CapacityJson {
    size: String,
    size_mm2: f64,
    capacity_A: f64,
    chain: Vec<StepJson>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[allow(non_snake_case, reason = "the key names the unit as it is written")]
struct NeighbourJson<'a> {
    conductor: &'a str,
    mode: &'a str,
    current_A: f64,
    adds_K: f64,
    idle: bool,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct StepJson {
    what: String,
    value: f64,
    source: SourceJson,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[allow(non_snake_case, reason = "the key names the unit as it is written")]
struct FuseJson<'a> {
    name: &'a str,
    written: PlaceJson,
    rating_A: Option<f64>,
    kind: &'a str,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[allow(non_snake_case, reason = "the key names the unit as it is written")]
struct ProtectsJson<'a> {
    conductors: usize,
    thinnest: &'a str,
    size: String,
    size_mm2: f64,
    capacity_A: f64,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct ConcernJson<'a> {
    rule: &'a str,
    level: &'a str,
    headline: &'a str,
    place: PlaceJson,
    waived: bool,
}

/// Writes what is known of one thing.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, trace: &Trace, out: &mut dyn Write) -> io::Result<()> {
    let value = TraceJson {
        version: VERSION,
        file: checked.shown(&checked.root),
        name: &trace.name,
        kind: trace.kind,
        written: Some(PlaceJson::of(checked, trace.span)),
        facts: trace
            .facts
            .iter()
            .map(|fact| FactJson { name: fact.name, value: &fact.value, source: fact.source.map(SourceJson::from) })
            .collect(),
        nets: trace
            .nets
            .iter()
            .map(|net| NetJson { domain: net.domain.as_deref(), points: &net.points, wires: &net.wires })
            .collect(),
        way: WayJson { mode: trace.way.mode.as_deref(), feed: trace.way.feed.as_deref(), back: trace.way.back.as_deref() },
        modes: trace.modes.iter().map(mode).collect(),
        charges: trace.charges.iter().map(charge).collect(),
        members: trace
            .members
            .iter()
            .map(|member| MemberJson {
                name: &member.name,
                joins: &member.joins,
                current_A: figure(member.amps),
                mode: member.mode.as_deref(),
            })
            .collect(),
        capacity: trace.capacity.as_ref().map(|capacity| CapacityJson {
            size: capacity.size.to_string(),
            size_mm2: figure(capacity.size),
            capacity_A: figure(capacity.amps),
            chain: capacity
                .chain
                .iter()
                .map(|step| StepJson { what: step.what.to_string(), value: rounded(step.value), source: step.source.into() })
                .collect(),
        }),
        neighbours: trace
            .neighbours
            .iter()
            .map(|other| NeighbourJson {
                conductor: &other.name,
                mode: &other.mode,
                current_A: figure(other.amps),
                adds_K: figure(other.adds),
                idle: other.is_idle,
            })
            .collect(),
        fuses: trace
            .fuses
            .iter()
            .map(|fuse| FuseJson {
                name: &fuse.name,
                written: PlaceJson::of(checked, fuse.span),
                rating_A: fuse.rating.map(figure),
                kind: &fuse.kind,
            })
            .collect(),
        protects: trace.protects.as_ref().map(|(thinnest, conductors)| ProtectsJson {
            conductors: *conductors,
            thinnest: &thinnest.name,
            size: thinnest.size.to_string(),
            size_mm2: figure(thinnest.size),
            capacity_A: figure(thinnest.capacity),
        }),
        largest_short: trace.duty.as_ref().map(|duty| DutyJson {
            current_A: figure(duty.amps),
            mode: &duty.mode,
            points: &duty.points,
            breaks_A: duty.breaks.map(|breaks| figure(breaks.value)),
            source: duty.breaks.map(|breaks| breaks.source.into()),
        }),
        worst_short: trace.short.as_ref().map(ShortJson::from),
        margins: trace.margins.iter().map(MarginJson::from).collect(),
        findings: trace
            .concerns
            .iter()
            .map(|concern| ConcernJson {
                rule: concern.rule,
                level: concern.level.name(),
                headline: &concern.headline,
                place: PlaceJson::of(checked, concern.span),
                waived: concern.waived,
            })
            .collect(),
        notes: &trace.notes,
        unknown: &trace.unknown,
        caution: &CAUTION,
    };
    document(&value, out)
}

fn mode(row: &ModeRow) -> ModeJson<'_> {
    ModeJson {
        mode: &row.mode,
        current_A: figure(row.amps),
        voltage_V: figure(row.volts),
        across_V: row.across.map(figure),
        temperature_degC: row.temperature.map(figure),
        short: row.short.as_ref().map(|short| PointShortJson {
            current_A: figure(short.amps),
            fuse: short.fuse.as_deref(),
            fuse_opens_s: short.opens.map(figure),
        }),
        live: row.live,
        shorted: row.shorted,
        settled: row.settled,
    }
}
