//! `harness loads`: fuses and conductors with their loads and margins.

use crate::{
    args::{Loads, LoadsBy, LoadsFormat},
    exit,
    failure::Failure,
    render::{Checked, loads},
    terminal::Look,
};
use harness_core::inspect;
use std::io::{Read, Write};

/// Lists the loads of a design.
///
/// # Errors
/// If the design can't be read, if it has no such mode, or if `out` can't be written.
pub fn run(args: &Loads, look: Look, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    let (files, analysis) = super::analyse(&args.file, &args.modes, "list the loads of", input)?;
    let report = super::checker()?.check(&analysis);
    let mut found = inspect::Loads::of(&analysis);
    found.unknown.extend(super::mistakes(&report));
    // The rows hold all that is shown; a large analysis beside the text of its table would be the most memory of all.
    drop(analysis);
    let checked = Checked { prefix: files.prefix(), root: files.root().to_owned(), report };
    match args.format {
        LoadsFormat::Table => loads::table(&checked, &found, args.by, look, out)?,
        LoadsFormat::Csv => loads::csv(&checked, &found, args.by.unwrap_or(LoadsBy::Conductor), out)?,
        LoadsFormat::Json => loads::json(&checked, &found, args.by, out)?,
    }
    out.flush()?;
    Ok(exit::CLEAN)
}
