//! The JSON report, as structs. `report.schema.json` describes the same for readers.
//!
//! These structs are the format and change only with [`VERSION`]; the library's own types may change freely.

use crate::render::kit::figures::RowJson;
use serde::Serialize;

/// The version of the format: raised when a reader of the one before would misread it. A field more does not raise it.
pub const VERSION: u32 = 1;

/// One run of `harness check`.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct RunJson<'a> {
    /// [`VERSION`].
    pub version: u32,
    /// The designs that were checked, in the order of the command line.
    pub designs: Vec<DesignJson<'a>>,
    /// What could not be done; each completes "failed to …".
    pub failures: Vec<&'a str>,
    /// What was left out because it did not change; absent if all was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub untouched: Option<UntouchedJson<'a>>,
    /// What a clean result does not mean.
    pub caution: &'a [&'a str],
}

/// Designs that did not change.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct UntouchedJson<'a> {
    /// The revision since when.
    pub since: &'a str,
    /// The designs, as named.
    pub designs: &'a [String],
}

/// One design.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct DesignJson<'a> {
    /// The file it starts in.
    pub file: String,
    /// All files that were read.
    pub files: Vec<String>,
    /// Findings: reading mistakes first, then by level and cause, what may only follow from a reading mistake last.
    pub findings: Vec<FindingJson<'a>>,
    /// What was checked.
    pub summary: SummaryJson<'a>,
}

/// One finding.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct FindingJson<'a> {
    /// `group/fault`.
    pub rule: &'a str,
    /// `danger`, `error`, `warning` or `note`.
    pub level: &'a str,
    /// One line that makes sense by itself.
    pub headline: &'a str,
    /// The place to edit.
    pub primary: LabelJson<'a>,
    /// The other parties.
    pub labels: Vec<LabelJson<'a>>,
    /// Where the fault travels, from cause to effect.
    pub path: &'a [String],
    /// What the verdict rests on.
    pub figures: Vec<FigureJson<'a>>,
    /// What to do; may be empty.
    pub help: &'a str,
    /// The step that removes it, as changes of the text; `null` if none is known.
    pub remedy: Option<RemedyJson<'a>>,
    /// Stable names of what it concerns.
    pub concerns: &'a [String],
    /// What distinguishes it from all others of the design and stays when lines are moved and files renamed.
    pub fingerprint: &'a str,
    /// The waiver that accepts it; it then fails no check.
    pub waived: Option<WaivedJson<'a>>,
    /// Whether the baseline knew it; it then fails no check.
    pub known: bool,
    /// The number of its cause: findings with the same number are likely to be put right by one change.
    pub cause: usize,
    /// Whether it may only follow from a reading mistake of the report.
    pub held_back: bool,
    /// Whether it follows from the first finding of its cause: with the remedy of that one made, a check no longer had it.
    pub follows: bool,
    /// For a danger or an error, the weakest status of its figures: `memory` or `practice`; null where all were read or computed.
    pub rests_on: Option<&'static str>,
}

/// A step as changes of the text.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct RemedyJson<'a> {
    /// `spelling`, `colour`, `swap`, `move`, `size`, `fuse`, `part`, `core`, `addition`, `mating` or `record`.
    pub kind: &'a str,
    /// The step in words.
    pub words: &'a str,
    /// Whether it was made in memory and checked: the finding was gone, and none had come or become more severe.
    pub tried: bool,
    /// Findings from a warning up about the same things that it leaves as they were.
    pub others: usize,
    /// Whether `harness check --apply` writes it.
    pub safe: bool,
    /// The changes, all of them or none.
    pub edits: Vec<EditJson<'a>>,
}

/// A change of the text.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct EditJson<'a> {
    /// The file.
    pub file: String,
    /// First byte that is replaced.
    pub start: PositionJson,
    /// One past the last byte; equal to `start` for an insertion.
    pub end: PositionJson,
    /// The new text.
    pub text: &'a str,
}

/// Why a finding is accepted.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct WaivedJson<'a> {
    /// Why.
    pub reason: &'a str,
    /// By whom.
    pub by: Option<&'a str>,
    /// The last day on which it holds, year-month-day.
    pub until: Option<String>,
    /// What was reviewed; it accepts nothing more severe. `null` if the waiver does not record it.
    pub reviewed: Option<&'a str>,
    /// The file the waiver is written in.
    pub file: String,
    /// The line, from 1.
    pub line: usize,
}

/// A place with words.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct LabelJson<'a> {
    /// The file.
    pub file: String,
    /// First byte.
    pub start: PositionJson,
    /// One past the last byte.
    pub end: PositionJson,
    /// What to see there; may be empty.
    pub text: &'a str,
    /// The row of a list from which what is there was made; absent if it was made from none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub row: Option<RowJson>,
}

/// A place between two characters.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct PositionJson {
    /// Bytes from the start of the file.
    pub byte: u32,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

/// One figure.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct FigureJson<'a> {
    /// What it is.
    pub name: &'a str,
    /// Its value with unit, and its source where it comes from a table.
    pub value: &'a str,
}

/// A key that the design gives and nothing reads yet.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct KeyJson {
    /// The key.
    pub key: &'static str,
    /// How often it is given.
    pub count: usize,
}

/// What was checked.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct SummaryJson<'a> {
    /// The design's name; may be empty.
    pub design: &'a str,
    /// Its revision; may be empty.
    pub revision: &'a str,
    /// Number of devices.
    pub devices: usize,
    /// Number of looms.
    pub looms: usize,
    /// Number of loom ends.
    pub ends: usize,
    /// Number of conductors.
    pub conductors: usize,
    /// Number of electrical nets.
    pub nets: usize,
    /// Rules that ran to their end.
    pub rules: usize,
    /// Checks that could not be made for want of a fact.
    pub unchecked: usize,
    /// Keys that the design gives and nothing reads yet.
    pub given_not_checked: Vec<KeyJson>,
    /// The modes checked in.
    pub modes: Vec<ModeJson<'a>>,
    /// The conductors nearest to the temperature that they are rated for, the worst first.
    pub hottest: Vec<HotJson<'a>>,
    /// How many conductors were judged for what.
    pub judged: JudgedJson,
    /// Findings whose remedies were not tried because the limit of trials was reached.
    pub untried: usize,
    /// Findings of each level that are neither waived nor known.
    pub found: CountsJson,
    /// Findings that a waiver accepts.
    pub waived: usize,
    /// Findings that the baseline knew.
    pub known: usize,
    /// Findings that were asked not to be shown; they are counted above and fail the check as the others do.
    pub hidden: usize,
    /// Findings of the baseline that were not found any more; `null` without a baseline.
    pub gone: Option<usize>,
}

/// How many conductors were judged for what, and how many were not, by reason.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct JudgedJson {
    /// Current and temperature against what the conductor may carry.
    pub load: CoveredJson,
    /// The worst short against what the conductor withstands.
    pub shorts: CoveredJson,
    /// The volts along it, counted for what it feeds.
    pub drop: CoveredJson,
    /// Of those judged for shorts, the ones whose insulation is not given though their rating allows for two materials: the worse is taken.
    pub insulation_assumed: usize,
    /// Pins with a wire of which no signal is given: among those of one role and domain a swap is not seen.
    pub unnamed_pins: usize,
}

/// How many conductors were judged, and why the others were not.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct CoveredJson {
    /// Conductors that were judged.
    pub conductors: usize,
    /// Those that were not, by reason.
    pub not: std::collections::BTreeMap<&'static str, usize>,
}

/// How one mode went.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct ModeJson<'a> {
    /// Its name.
    pub name: &'a str,
    /// Conductors that carry current in it.
    pub loaded: usize,
    /// Whether its currents could be computed.
    pub solved: bool,
}

/// A conductor that carries current, in the mode in which it is hottest.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct HotJson<'a> {
    /// The wire.
    pub conductor: &'a str,
    /// The mode.
    pub mode: &'a str,
    /// Its steady temperature in degC; `null` where it warms without end.
    pub temperature: Option<f64>,
    /// The temperature in degC that it is computed for.
    pub rated: f64,
}

/// Findings of each level.
#[derive(Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct CountsJson {
    /// May hurt someone or start a fire.
    pub danger: usize,
    /// Cannot be built as written, will not work, or will be damaged.
    pub error: usize,
    /// Outside a limit, or probably a slip.
    pub warning: usize,
    /// Not checked, or untidy.
    pub note: usize,
}
