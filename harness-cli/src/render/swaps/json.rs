//! Swaps as JSON, as structs. `swaps.schema.json` describes the same for readers.

use super::word;
use crate::render::{
    Checked,
    kit::{caution::CAUTION, document, figures::rounded},
};
use harness_core::inspect::{CureRow, Swap, Swaps};
use serde::Serialize;
use std::io::{self, Write};

/// The version of the JSON: raised when a reader of the one before would misread it.
pub const VERSION: u32 = 1;

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(crate) struct SwapsJson<'a> {
    version: u32,
    file: String,
    compared: ComparedJson,
    swaps: Vec<SwapJson<'a>>,
    swaps_left_out: usize,
    cures: Vec<CureJson<'a>>,
    not_compared: &'a [String],
    without_zone: &'a [String],
    without_face: &'a [String],
    #[serde(skip_serializing_if = "Option::is_none")]
    unknown: Option<&'a str>,
    caution: &'a [&'a str],
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct ComparedJson {
    connectors: usize,
    fits: usize,
    pairs: usize,
    pairs_apart: usize,
    pairs_kept_apart_by_keys: usize,
    danger: usize,
    damage: usize,
    not_judged: usize,
    mixed_up: usize,
    harmless: usize,
    turned: usize,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct SwapJson<'a> {
    grade: &'static str,
    plugs: &'a [String],
    mates: &'a [String],
    moved: &'a str,
    onto: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    way: Option<&'static str>,
    effect: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    points: Option<&'a [String]>,
    words: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    current_a: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    fuse: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    opens_s: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    ends: Option<&'a str>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct CureJson<'a> {
    family: &'a str,
    positions: usize,
    keys: &'a [String],
    keys_more: usize,
    changes: Vec<ChangeJson<'a>>,
    fewest: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    at_least: Option<usize>,
    pairs_before: usize,
    pairs_left: usize,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct ChangeJson<'a> {
    plug: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    was: Option<&'a str>,
    key: &'a str,
}

/// Writes all pairs as JSON.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, swaps: &Swaps, unknown: Option<&str>, out: &mut dyn Write) -> io::Result<()> {
    let counts = &swaps.counts;
    let value = SwapsJson {
        version: VERSION,
        file: checked.shown(&checked.root),
        compared: ComparedJson {
            connectors: swaps.plugs,
            fits: swaps.fits,
            pairs: counts.pairs,
            pairs_apart: counts.apart,
            pairs_kept_apart_by_keys: counts.keyed,
            danger: counts.danger,
            damage: counts.damage,
            not_judged: counts.unjudged,
            mixed_up: counts.mixed,
            harmless: counts.harmless,
            turned: swaps.turned,
        },
        swaps: swaps.rows.iter().map(swap).collect(),
        swaps_left_out: swaps.left_out,
        cures: swaps.cures.iter().map(cure).collect(),
        not_compared: &swaps.unknown,
        without_zone: &swaps.without_zone,
        without_face: &swaps.without_face,
        unknown,
        caution: &CAUTION,
    };
    document(&value, out)
}

fn swap(row: &Swap) -> SwapJson<'_> {
    SwapJson {
        grade: word(row.grade),
        plugs: &row.plugs,
        mates: &row.mates,
        moved: &row.moved,
        onto: &row.onto,
        way: row.way,
        effect: row.effect,
        points: row.points.as_ref().map(<[String; 2]>::as_slice),
        words: &row.words,
        current_a: row.amps.map(|amps| rounded(amps.get())),
        fuse: row.fuse.as_ref().map(|(name, _)| name.as_str()),
        opens_s: row.fuse.as_ref().map(|(_, time)| rounded(time.get())),
        ends: row.ends.as_deref(),
    }
}

fn cure(row: &CureRow) -> CureJson<'_> {
    CureJson {
        family: &row.family,
        positions: row.positions,
        keys: &row.letters,
        keys_more: row.letters_more,
        changes: row.changes.iter().map(|(plug, was, key)| ChangeJson { plug, was: was.as_deref(), key }).collect(),
        fewest: row.at_least.is_none(),
        at_least: row.at_least,
        pairs_before: row.before,
        pairs_left: row.left,
    }
}
