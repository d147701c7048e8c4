//! `harness check --apply`: writes the safe remedies into the files of the designs, before they are checked.

use super::changed::Wanted;
use crate::{
    failure::Failure,
    output::{self, Rewrite},
    phrase::{count, counted},
    render::kit::printable,
    source::{
        design,
        disk::{DiskFiles, STDIN},
    },
};
use harness_core::{Applied, Checker};
use std::{
    io::{self, Write},
    path::Path,
};

/// Applies what can be applied to each design, one after the other, and says on `err` what was written and what is left.
///
/// The files of a design are written all or none, each in one step, and nothing is written into a file that is not as it was read.
///
/// # Errors
/// For standard input, which can't be written, and if a file can't be read or written. Designs before it are written by then.
pub(super) fn apply(designs: &[Wanted<'_>], checker: &Checker, err: &mut dyn Write) -> Result<(), Failure> {
    if designs.iter().any(|design| design.path == Path::new(STDIN)) {
        return Err(Failure::Told("apply remedies to standard input: it can't be written; name a file".to_owned()));
    }
    for design in designs {
        let files = design::open(design.path, &mut io::empty())?;
        let applied = harness_core::apply(&files, files.root(), checker);
        let mut rewrites = Vec::new();
        for (name, (old, new)) in &applied.files {
            rewrites.push(Rewrite { path: files.folder().join(name), old: old.as_bytes(), new: new.as_bytes() });
        }
        output::rewrite(&rewrites)?;
        // The files are written; that nobody reads this does not undo it.
        let _ = report(design.path, &files, &applied, err).and_then(|()| err.flush());
    }
    Ok(())
}

/// What was written, a line each, and what is left to decide.
fn report(path: &Path, files: &DiskFiles, applied: &Applied, err: &mut dyn Write) -> io::Result<()> {
    let shown = printable(&path.display().to_string()).into_owned();
    match applied.written.len() {
        0 => writeln!(err, "{shown}: nothing to apply")?,
        steps => {
            writeln!(err, "{shown}: applied {} to {}", count(steps, "remedy", "remedies"), counted(applied.files.len(), "file"))?
        }
    }
    for step in &applied.written {
        let line = format!("{}{}: {} ({})", files.prefix(), step.place, step.words, step.rule);
        writeln!(err, "  {}", printable(&line))?;
    }
    let left: Vec<_> = applied.report.findings.iter().filter_map(|finding| Some((finding, finding.offer.as_ref()?))).collect();
    let (tried, untried): (Vec<_>, Vec<_>) = left.into_iter().partition(|(_, offer)| offer.tried);
    if !tried.is_empty() {
        writeln!(err, "  left for you to decide: {}", count(tried.len(), "remedy", "remedies"))?;
        for (finding, offer) in tried {
            let line = format!(
                "{}{}: {} ({})",
                files.prefix(),
                applied.report.sources.place(finding.primary.span),
                offer.remedy.words,
                finding.rule
            );
            writeln!(err, "    {}", printable(&line))?;
        }
    }
    if !untried.is_empty() {
        writeln!(err, "  not tried, because a run makes only so many trials: {}", count(untried.len(), "remedy", "remedies"))?;
    }
    Ok(())
}
