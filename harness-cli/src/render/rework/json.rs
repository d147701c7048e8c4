//! The rework order as JSON, as structs. `rework.schema.json` describes the same for readers.

use crate::render::kit::document;
use crate::render::{
    diff::{
        Compared,
        json::{item, name},
    },
    kit::caution::CAUTION,
};
use harness_core::diff::rework::{Label, Rework};
use serde::Serialize;
use std::io::{self, Write};

/// The version of the JSON: raised when a reader of the one before would misread it.
const VERSION: u32 = 1;

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub(crate) struct ReworkJson<'a> {
    version: u32,
    old: String,
    new: String,
    design: &'a str,
    findings_that: String,
    cautions: &'a [String],
    steps: Vec<EntryJson<'a>>,
    tests: Vec<EntryJson<'a>>,
    labels: Vec<LabelJson<'a>>,
    paper: Vec<PaperJson<'a>>,
    not_compared: Vec<String>,
    caution: &'a [&'a str],
}

/// A step or a test.
#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct EntryJson<'a> {
    number: u32,
    when: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    loom: Option<&'a str>,
    headline: &'a str,
    detail: &'a [String],
    trained_people_only: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    points: Option<Vec<String>>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct LabelJson<'a> {
    of: &'static str,
    name: &'a str,
    label: &'static str,
    from: Option<&'a str>,
    to: Option<&'a str>,
}

#[derive(Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
struct PaperJson<'a> {
    headline: &'a str,
    remark: Option<&'a str>,
    concerned: Vec<&'a str>,
}

/// Writes the order.
///
/// # Errors
/// If `out` can't be written.
pub fn write(compared: &Compared, rework: &Rework, out: &mut dyn Write) -> io::Result<()> {
    let steps = rework.steps.iter().map(|step| EntryJson {
        number: step.number,
        when: step.stage.title(),
        loom: step.loom.as_deref(),
        headline: step.headline(),
        detail: &step.detail,
        trained_people_only: step.trained,
        points: None,
    });
    let tests = rework.tests.iter().map(|test| EntryJson {
        number: test.number,
        when: test.when.title(),
        loom: None,
        headline: test.headline(),
        detail: &test.detail,
        trained_people_only: test.trained,
        points: Some(test.points.iter().map(item).collect()),
    });
    let labels = rework.labels.iter().map(|change| LabelJson {
        of: change.key.kind.noun(),
        name: name(&change.key),
        label: label(change.label),
        from: change.old.as_deref(),
        to: change.new.as_deref(),
    });
    let paper = rework.paper.iter().map(|paper| PaperJson {
        headline: &paper.headline,
        remark: paper.remark.as_deref(),
        concerned: paper.concerned.iter().map(name).collect(),
    });
    let json = ReworkJson {
        version: VERSION,
        old: compared.old.shown(&compared.old.root),
        new: compared.new.shown(&compared.new.root),
        design: &compared.new.report.summary.design,
        findings_that: compared.findings(),
        cautions: &rework.cautions,
        steps: steps.collect(),
        tests: tests.collect(),
        labels: labels.collect(),
        paper: paper.collect(),
        not_compared: compared.unread(),
        caution: &CAUTION,
    };
    document(&json, out)
}

/// What a label says.
fn label(label: Label) -> &'static str {
    match label {
        Label::Name => "name",
        Label::Signal => "signal",
        Label::Legend => "fuse",
    }
}
