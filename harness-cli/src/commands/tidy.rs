//! `harness tidy`: the files of designs in the one form that suits reviews best; with `--check` it says which are not.

use crate::{
    args::Tidy,
    exit,
    failure::Failure,
    output::{self, Rewrite},
    phrase::counted,
    render::kit::printable,
    source::{design, disk::STDIN},
};
use harness_core::{Outcome, tidy};
use std::{
    io::{self, Write},
    path::Path,
};

/// Writes the tidy text of each file of the designs; with `--check` nothing is written.
///
/// The files of a design are written all or none, each in one step, and nothing is written into a file that is not as it was read.
///
/// # Errors
/// For standard input, which can't be written, and if a file can't be read or written. Designs before it are written by then.
pub fn run(args: &Tidy, out: &mut dyn Write) -> Result<u8, Failure> {
    if args.files.iter().any(|path| path == Path::new(STDIN)) {
        return Err(Failure::Told("tidy standard input: it can't be written; name a file".to_owned()));
    }
    let mut code = exit::CLEAN;
    for path in &args.files {
        let files = design::open(path, &mut io::empty())?;
        let outcomes = tidy(&files, files.root());
        let mut rewrites = Vec::new();
        let mut said: Vec<String> = Vec::new();
        for (name, outcome) in &outcomes {
            let shown = printable(&format!("{}{name}", files.prefix())).into_owned();
            match outcome {
                Outcome::Tidy => {}
                Outcome::Changed { old, new } => {
                    rewrites.push(Rewrite { path: files.folder().join(name), old: old.as_bytes(), new: new.as_bytes() });
                    let (before, after) = (counted(old.lines().count(), "line"), counted(new.lines().count(), "line"));
                    let what = if args.check { "is not tidy" } else { "tidied" };
                    said.push(format!("{shown}: {what}, {before} to {after}, {} to {} bytes", old.len(), new.len()));
                }
                Outcome::Left(why) => said.push(format!("{shown}: it is left as it is: {why}")),
            }
        }
        if args.check {
            code = if rewrites.is_empty() { code } else { exit::FINDINGS };
        } else {
            output::rewrite(&rewrites)?;
        }
        for line in said {
            writeln!(out, "{line}")?;
        }
        if rewrites.is_empty() {
            writeln!(out, "{}{}: nothing to tidy", files.prefix(), files.root())?;
        }
    }
    out.flush()?;
    Ok(code)
}
