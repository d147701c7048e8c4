//! Pieces of JSON that `trace` and `loads` share, as structs.

use crate::render::Checked;
use harness_core::{inspect, quantity::Unit, source::Span};
use serde::Serialize;

/// A place: where the thing is written.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct PlaceJson {
    /// The file.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// The row of a list from which the thing was made; absent if it was made from none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub row: Option<RowJson>,
}

/// A row of a list that a file of the design was made from.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct RowJson {
    /// The list, as the file names it by `from`.
    pub list: String,
    /// The row, from 1.
    pub row: u32,
}

impl RowJson {
    pub(crate) fn of(checked: &Checked, span: Span) -> Option<Self> {
        checked.row(span).map(|row| Self { list: row.list.clone(), row: row.row })
    }
}

impl PlaceJson {
    pub(crate) fn of(checked: &Checked, span: Span) -> Self {
        let row = RowJson::of(checked, span);
        match checked.report.sources.file(span.file) {
            Some(file) => {
                let (line, column) = file.line_column(span.start);
                Self { file: checked.shown(file.name()), line, column, row }
            }
            None => Self { file: checked.shown(&checked.root), line: 1, column: 1, row },
        }
    }
}

/// Where a figure comes from.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct SourceJson {
    /// Standard with clause or table.
    pub standard: &'static str,
    /// The page it was read on; may be empty.
    pub page: &'static str,
    /// `seen`, `seen second hand`, `computed`, `common practice, no source` or `from memory, not seen`.
    pub status: String,
}

impl From<&'static inspect::Source> for SourceJson {
    fn from(source: &'static inspect::Source) -> Self {
        Self { standard: source.standard, page: source.page, status: source.status.to_string() }
    }
}

/// A figure against its limit.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct MarginJson<'a> {
    /// What it is held against.
    pub against: &'static str,
    /// The figure in words.
    pub figure: &'a str,
    /// The limit in words.
    pub limit: &'a str,
    /// Limit over figure.
    pub ratio: f64,
    /// Whether the figure is within the limit.
    pub holds: bool,
    /// Where the limit comes from.
    pub sources: Vec<SourceJson>,
}

impl<'a> From<&'a inspect::Margin> for MarginJson<'a> {
    fn from(margin: &'a inspect::Margin) -> Self {
        Self {
            against: margin.against.word(),
            figure: &margin.figure,
            limit: &margin.limit,
            ratio: rounded(margin.ratio),
            holds: margin.holds(),
            sources: margin.sources.iter().map(|source| SourceJson::from(*source)).collect(),
        }
    }
}

/// The worst short of a conductor.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[allow(non_snake_case, reason = "the key names the unit as it is written")]
pub struct ShortJson<'a> {
    /// The conductor.
    pub wire: &'a str,
    /// `burns`, `unknown` or `stands`.
    pub outcome: &'static str,
    /// The mode in which it flows.
    pub mode: &'a str,
    /// The two points that are shorted.
    pub points: &'a [String; 2],
    /// The current in the conductor at first.
    pub current_A: f64,
    /// The fuse that opens first.
    pub fuse: Option<&'a str>,
    /// When that fuse has opened at the latest.
    pub fuse_opens_s: Option<f64>,
    /// When the current has ended at the latest.
    pub ends_s: Option<f64>,
    /// How long the conductor withstands it.
    pub stands_s: Option<f64>,
    /// The temperature from which it starts.
    pub start_degC: f64,
    /// The temperature that it reaches.
    pub reached_degC: f64,
    /// The temperature that its insulation withstands for as long as the current flows.
    pub limit_degC: f64,
    /// The insulation that is taken for that where the design gives none and the rating allows for a better one.
    pub insulation_taken: Option<String>,
    /// Where the figures come from.
    pub sources: Vec<SourceJson>,
}

impl<'a> From<&'a inspect::Short> for ShortJson<'a> {
    fn from(short: &'a inspect::Short) -> Self {
        Self {
            wire: &short.wire,
            outcome: outcome(&short.outcome),
            mode: &short.mode,
            points: &short.points,
            current_A: figure(short.amps),
            fuse: short.fuse.as_deref(),
            fuse_opens_s: short.opens.map(|opens| figure(opens.value)),
            ends_s: short.ends.map(figure),
            stands_s: short.stands.map(figure),
            start_degC: figure(short.start),
            reached_degC: figure(short.reached),
            limit_degC: figure(short.limit.value),
            insulation_taken: short.taken.map(|material| material.to_string()),
            sources: short.sources().map(SourceJson::from).collect(),
        }
    }
}

/// How a conductor comes through its worst short, in a word.
pub(crate) fn outcome(outcome: &inspect::Outcome) -> &'static str {
    match outcome {
        inspect::Outcome::Burns => "burns",
        inspect::Outcome::Unknown(_) => "unknown",
        inspect::Outcome::Stands => "stands",
    }
}

/// A value in its stored unit, to six significant digits: more are noise.
pub(crate) fn figure(value: impl Unit) -> f64 {
    rounded(value.get())
}

/// `value` to six significant digits.
pub(crate) fn rounded(value: f64) -> f64 {
    format!("{value:.5e}").parse().unwrap_or(value)
}

/// A ratio for people: `1.22`, `14`, `over 100`.
pub(crate) fn times(ratio: f64) -> String {
    match ratio {
        ratio if ratio > 100.0 => "over 100".to_owned(),
        // Rounded down, so that a figure beyond its limit is never printed as 1.
        ratio if ratio >= 10.0 => format!("{:.0}", ratio.floor()),
        ratio => format!("{:.2}", (ratio * 100.0).floor() / 100.0),
    }
}

#[cfg(test)]
mod tests {
    use super::{rounded, times};

    #[test]
    fn a_ratio_is_never_flattered() {
        assert_eq!([0.999, 1.0, 1.219, 14.9, 1e6].map(times), ["0.99", "1.00", "1.21", "14", "over 100"]);
        assert_eq!(rounded(1.0 / 3.0), 0.333333);
        assert_eq!(rounded(0.0), 0.0);
    }
}
