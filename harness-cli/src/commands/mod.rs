//! The commands, one file each.

pub mod baseline;
mod changed;
pub mod check;
pub mod diff;
pub mod explain;
pub mod format;
pub mod loads;
pub mod merge;
mod parallel;
pub mod rules;
pub mod schema;
pub mod trace;

use crate::{
    clock,
    failure::Failure,
    phrase::{all, counted, did_you_mean, quoted},
    render::kit::printable,
    source::disk::DiskFiles,
};
use harness_core::{Options, Report, analysis::Analysis, finding::Level};
use std::{
    io::{Read, Write},
    path::Path,
};

/// Reads and analyses the design at `path` in the modes asked for and lets `look` see it.
///
/// # Errors
/// If the file can't be read or a mode is none of the design's. `to` says what for: `trace`, `list the loads of`.
pub(crate) fn analyse<T>(
    path: &Path,
    modes: &[String],
    to: &str,
    input: &mut dyn Read,
    look: impl FnOnce(&Analysis<'_>, &Report) -> T,
) -> Result<(DiskFiles, Report, T), Failure> {
    let files = DiskFiles::open(path, input)?;
    let options = Options { modes: modes.to_vec(), today: Some(clock::today(None)?), ..Options::default() };
    let (report, seen) = harness_core::analyse(&files, files.root(), &options, look);
    known_modes(path, modes, &report, to)?;
    Ok((files, report, seen))
}

/// Refuses a mode that the design does not have, and names those that it has.
pub(crate) fn known_modes(path: &Path, modes: &[String], report: &Report, to: &str) -> Result<(), Failure> {
    let known = &report.known_modes;
    let Some(unknown) = modes.iter().find(|name| !known.contains(name)) else { return Ok(()) };
    let near = match did_you_mean(unknown, known) {
        near if !near.is_empty() => near,
        _ if known.is_empty() => String::new(),
        _ => format!("; it has {}", all(&quoted(known))),
    };
    Err(Failure::Told(format!("{to} `{}` in mode `{unknown}`: the design has no such mode{near}", path.display())))
}

/// Says on standard error why something could not be done.
pub(crate) fn complain(err: &mut dyn Write, failure: &Failure) {
    // If standard error can't be written either, the exit code has to speak.
    let _ = writeln!(err, "error: failed to {}", printable(&failure.to_string())).and_then(|()| err.flush());
}

/// What mistakes of reading mean for figures, if there are any.
pub(crate) fn mistakes(report: &Report) -> Option<String> {
    let mistakes = report.findings.iter().filter(|finding| finding.rule.starts_with("format/") && finding.level >= Level::Error);
    let number = mistakes.count();
    let them = if number == 1 { "it" } else { "them" };
    let mistakes = counted(number, "mistake");
    (number > 0).then(|| format!("what the file says at {mistakes} (`harness check` shows {them}): the figures are of the rest"))
}
