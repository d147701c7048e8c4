//! The commands, one file each.

mod apply;
pub mod baseline;
mod changed;
pub mod check;
pub mod completions;
pub mod diagnose;
pub mod diff;
pub mod draw;
pub mod explain;
pub mod export;
pub mod format;
pub mod golive;
pub mod import;
pub mod isolation;
pub mod live;
pub mod loads;
pub mod lsp;
pub mod manual;
pub mod merge;
pub mod new;
pub mod papers;
mod parallel;
pub mod review;
pub mod ringout;
pub mod rules;
pub mod schema;
pub mod swaps;
pub mod tidy;
pub mod trace;
mod values;
pub mod watch;
pub mod whatif;

use crate::{
    clock,
    failure::Failure,
    phrase::{all, counted, did_you_mean, quoted},
    render::kit::printable,
    source::{design, disk::DiskFiles},
};
use harness_core::{Analysis, Checker, Design, Modes, finding::Level};
use std::{
    io::{Read, Write},
    path::Path,
};

/// Reads the design in a file and computes what flows in the modes that were asked for, to do `to` with it.
///
/// # Errors
/// If the file can't be read, or the design does not have one of the modes.
pub(crate) fn analyse(path: &Path, modes: &[String], to: &str, input: &mut dyn Read) -> Result<(DiskFiles, Analysis), Failure> {
    let files = design::open(path, input)?;
    let analysis = analysis(&Design::load(&files, files.root()), path, modes, to)?;
    Ok((files, analysis))
}

/// What flows in a design, in all its modes if none was asked for.
///
/// # Errors
/// If the design does not have one of the modes.
pub(crate) fn analysis(design: &Design, path: &Path, modes: &[String], to: &str) -> Result<Analysis, Failure> {
    let asked = if modes.is_empty() { Modes::All } else { Modes::Named(modes) };
    Analysis::of(design, asked).map_err(|unknown| {
        let near = match did_you_mean(&unknown.name, &unknown.known) {
            near if !near.is_empty() => near,
            _ if unknown.known.is_empty() => String::new(),
            _ => format!("; it has {}", all(&quoted(&unknown.known))),
        };
        let (path, mode) = (path.display(), unknown.name);
        Failure::Told(format!("{to} `{path}` in mode `{mode}`: the design has no such mode{near}"))
    })
}

/// Findings as of today.
pub(crate) fn checker() -> Result<Checker, Failure> {
    Ok(Checker::new().today(clock::today(None)?))
}

/// Says on standard error why something could not be done.
pub(crate) fn complain(err: &mut dyn Write, failure: &Failure) {
    // If standard error can't be written either, the exit code has to speak.
    let _ = writeln!(err, "error: failed to {}", printable(&failure.to_string())).and_then(|()| err.flush());
}

/// What mistakes of reading mean for figures, if there are any.
pub(crate) fn mistakes(analysis: &Analysis) -> Option<String> {
    let number = analysis.design().mistakes().iter().filter(|mistake| mistake.stated >= Level::Error).count();
    let them = if number == 1 { "it" } else { "them" };
    let mistakes = counted(number, "mistake");
    (number > 0).then(|| format!("what the file says at {mistakes} (`harness check` shows {them}): the figures are of the rest"))
}
