//! Findings as JSON.

use super::{
    report_json::{
        CountsJson, CoveredJson, DesignJson, EditJson, FigureJson, FindingJson, HotJson, JudgedJson, KeyJson, LabelJson,
        ModeJson, PositionJson, RemedyJson, RunJson, SummaryJson, UntouchedJson, VERSION, WaivedJson,
    },
    summary::counts,
};
use crate::render::kit::{caution::CAUTION, document, figures::RowJson, words};
use crate::render::{Checked, Run};
use harness_core::{
    finding::{Edit, Judged, Label, Level, Offer, Remedy, Waived},
    source::Span,
};
use std::io::{self, Write};

/// Writes the report of one run.
///
/// # Errors
/// If `out` can't be written.
pub fn write(run: &Run<'_>, out: &mut dyn Write) -> io::Result<()> {
    let run = RunJson {
        version: VERSION,
        designs: run.designs.iter().map(design).collect(),
        failures: run.failures.iter().map(|failed| failed.reason.as_str()).collect(),
        untouched: run.untouched.map(|it| UntouchedJson { since: &it.revision, designs: &it.designs }),
        caution: &CAUTION,
    };
    document(&run, out)
}

fn design(checked: &Checked) -> DesignJson<'_> {
    DesignJson {
        file: checked.shown(&checked.root),
        files: checked.report.sources.files().map(|(_, file)| checked.shown(file.name())).collect(),
        findings: checked.report.findings.iter().enumerate().map(|(at, it)| finding(checked, at, it)).collect(),
        summary: summary(checked),
    }
}

fn finding<'a>(checked: &'a Checked, at: usize, finding: &'a Judged) -> FindingJson<'a> {
    let (cause, held_back) = checked.cause_of(at);
    FindingJson {
        rule: finding.rule,
        level: finding.level.name(),
        headline: &finding.headline,
        primary: label(checked, &finding.primary),
        labels: finding.labels.iter().map(|it| label(checked, it)).collect(),
        path: &finding.path,
        figures: finding.figures.iter().map(|it| FigureJson { name: it.name, value: &it.value }).collect(),
        help: &finding.help,
        remedy: finding.offer.as_ref().map(|it| remedy(checked, it)),
        concerns: &finding.concerns,
        fingerprint: &finding.fingerprint,
        waived: finding.waived.as_ref().map(|it| waived(checked, it)),
        known: finding.known,
        cause,
        held_back,
        follows: finding.follows,
        rests_on: words::rests_on_word(finding),
    }
}

fn remedy<'a>(checked: &Checked, offer: &'a Offer) -> RemedyJson<'a> {
    let Remedy { kind, words, edits, .. } = &offer.remedy;
    let edit = |edit: &'a Edit| EditJson {
        file: checked.file_name(edit.span.file),
        start: position(checked, edit.span, edit.span.start),
        end: position(checked, edit.span, edit.span.end),
        text: &edit.text,
    };
    let (tried, others, safe) = (offer.tried, offer.others, offer.is_safe());
    RemedyJson { kind: kind.name(), words, tried, others, safe, edits: edits.iter().map(edit).collect() }
}

fn waived<'a>(checked: &Checked, waived: &'a Waived) -> WaivedJson<'a> {
    let (line, file) = match checked.report.sources.file(waived.span.file) {
        Some(file) => (file.line_column(waived.span.start).0, checked.file_name(waived.span.file)),
        None => (1, checked.shown(&checked.root)),
    };
    let until = waived.until.map(|until| until.to_string());
    WaivedJson { reason: &waived.reason, by: waived.by.as_deref(), until, reviewed: waived.reviewed.as_deref(), file, line }
}

fn label<'a>(checked: &'a Checked, label: &'a Label) -> LabelJson<'a> {
    let span = label.span;
    let file = match checked.report.sources.file(span.file) {
        Some(_) => checked.file_name(span.file),
        None => checked.shown(&checked.root),
    };
    let row = RowJson::of(checked, span);
    LabelJson { file, start: position(checked, span, span.start), end: position(checked, span, span.end), text: &label.text, row }
}

fn position(checked: &Checked, span: Span, byte: u32) -> PositionJson {
    let (line, column) = checked.report.sources.file(span.file).map_or((1, 1), |file| file.line_column(byte));
    PositionJson { byte, line, column }
}

fn covered(covered: &harness_core::Covered) -> CoveredJson {
    CoveredJson {
        conductors: covered.judged,
        not: covered.unjudged.iter().map(|(reason, count)| (reason.word(), *count)).collect(),
    }
}

fn summary(checked: &Checked) -> SummaryJson<'_> {
    let summary = &checked.report.summary;
    let found = counts(checked);
    let of = |level: Level| found.iter().find(|(known, _)| *known == level).map_or(0, |(_, number)| *number);
    SummaryJson {
        design: &summary.design,
        revision: &summary.revision,
        devices: summary.devices,
        looms: summary.looms,
        ends: summary.ends,
        conductors: summary.conductors,
        nets: summary.nets,
        rules: summary.rules,
        unchecked: summary.unchecked,
        given_not_checked: summary.unread.iter().map(|(key, count)| KeyJson { key, count: *count }).collect(),
        untried: checked.report.untried,
        modes: summary.modes.iter().map(|mode| ModeJson { name: &mode.name, loaded: mode.loaded, solved: mode.solved }).collect(),
        hottest: summary
            .hottest
            .iter()
            .map(|hot| HotJson { conductor: &hot.name, mode: &hot.mode, temperature: hot.temperature, rated: hot.rated })
            .collect(),
        judged: JudgedJson {
            load: covered(&summary.coverage.load),
            shorts: covered(&summary.coverage.shorts),
            drop: covered(&summary.coverage.drop),
            insulation_assumed: summary.coverage.insulation_assumed,
            unnamed_pins: summary.coverage.unnamed_pins,
        },
        found: CountsJson {
            danger: of(Level::Danger),
            error: of(Level::Error),
            warning: of(Level::Warning),
            note: of(Level::Note),
        },
        waived: checked.report.findings.iter().filter(|finding| finding.waived.is_some()).count(),
        known: checked.report.findings.iter().filter(|finding| finding.known).count(),
        hidden: checked.hidden.len(),
        gone: checked.report.compared.map(|compared| compared.gone),
    }
}
