//! Loads as JSON, as structs. `loads.schema.json` describes the same for readers.

use super::rows::{ConductorRow, FuseRow};
use crate::render::kit::document;
use crate::{
    args::LoadsBy,
    render::{
        Checked,
        kit::caution::CAUTION,
        kit::figures::{MarginJson, PlaceJson},
    },
};
use harness_core::inspect::{ConductorLoad, FuseLoad, Loads};
use serde::Serialize;
use std::{
    borrow::Cow,
    io::{self, Write},
};

/// The version of the JSON: raised when a reader of the one before would misread it.
pub const VERSION: u32 = 1;

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(crate) struct LoadsJson<'a> {
    version: u32,
    file: String,
    modes: &'a [String],
    #[serde(skip_serializing_if = "Option::is_none")]
    fuses: Option<Vec<FuseJson<'a>>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    conductors: Option<Vec<ConductorJson<'a>>>,
    unknown: &'a [String],
    caution: &'a [&'a str],
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct FuseJson<'a> {
    #[serde(flatten)]
    row: FuseRow<'a>,
    written: PlaceJson,
    margins: Vec<MarginJson<'a>>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct ConductorJson<'a> {
    #[serde(flatten)]
    row: ConductorRow<'a>,
    written: PlaceJson,
    fuses_before: &'a [String],
    margins: Vec<MarginJson<'a>>,
}

/// Writes the tables asked for as JSON, both if none is.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, loads: &Loads, by: Option<LoadsBy>, out: &mut dyn Write) -> io::Result<()> {
    let fuses = |row| fuse_json(checked, row);
    let conductors = |row| conductor_json(checked, row);
    let value = LoadsJson {
        version: VERSION,
        file: checked.shown(&checked.root),
        modes: &loads.modes,
        fuses: (by != Some(LoadsBy::Conductor)).then(|| loads.fuses.iter().map(fuses).collect()),
        conductors: (by != Some(LoadsBy::Fuse)).then(|| loads.conductors.iter().map(conductors).collect()),
        unknown: &loads.unknown,
        caution: &CAUTION,
    };
    document(&value, out)
}

fn fuse_json<'a>(checked: &Checked, row: &'a FuseLoad) -> FuseJson<'a> {
    FuseJson {
        row: FuseRow::new(checked, row, |text| Cow::Borrowed(text)),
        written: PlaceJson::of(checked, row.span),
        margins: row.margins.iter().map(MarginJson::from).collect(),
    }
}

fn conductor_json<'a>(checked: &Checked, row: &'a ConductorLoad) -> ConductorJson<'a> {
    ConductorJson {
        row: ConductorRow::new(checked, row, |text| Cow::Borrowed(text)),
        written: PlaceJson::of(checked, row.span),
        fuses_before: &row.fuses,
        margins: row.margins.iter().map(MarginJson::from).collect(),
    }
}
