//! `harness loads`: fuses and conductors with their loads and margins.

use crate::{
    args::{Loads, LoadsBy, LoadsFormat},
    exit,
    failure::Failure,
    phrase::{counted, did_you_mean, quoted},
    render::{Checked, loads},
    terminal::Look,
};
use harness_core::{Analysis, inspect};
use std::{
    collections::BTreeSet,
    io::{Read, Write},
};

/// Lists the loads of a design.
///
/// # Errors
/// If the design can't be read, if it has no such mode, or if `out` can't be written.
pub fn run(args: &Loads, look: Look, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    let (files, analysis) = super::analyse(&args.file, &args.modes, "list the loads of", input)?;
    let report = super::checker()?.check(&analysis);
    let mut found = inspect::Loads::of(&analysis);
    found.unknown.extend(super::mistakes(&analysis));
    let left_out = select(args, &analysis, &mut found)?;
    // The rows hold all that is shown; a large analysis beside the text of its table would be the most memory of all.
    drop(analysis);
    let checked = Checked::new(files.prefix(), files.root().to_owned(), report);
    match args.format {
        LoadsFormat::Table => loads::table(&checked, &found, (args.by, left_out.as_deref()), look, out)?,
        LoadsFormat::Csv => loads::csv(&checked, &found, args.by.unwrap_or(LoadsBy::Conductor), out)?,
        LoadsFormat::Json => loads::json(&checked, &found, args.by, out)?,
    }
    out.flush()?;
    Ok(exit::CLEAN)
}

/// Keeps the rows that `--below` and `--loom` ask for; what was left out in words, if anything was asked for.
///
/// # Errors
/// If the design has no such loom.
fn select(args: &Loads, analysis: &Analysis, found: &mut inspect::Loads) -> Result<Option<String>, Failure> {
    if args.below.is_none() && args.looms.is_empty() {
        return Ok(None);
    }
    let model = analysis.model();
    let known: Vec<&str> = model.looms().map(|(id, _)| model.loom_name(id)).collect();
    if let Some(unknown) = args.looms.iter().find(|name| !known.contains(&name.as_str())) {
        let near = did_you_mean(unknown, &known);
        let near = if near.is_empty() { format!("; it has {}", quoted(&known).join(", ")) } else { near };
        return Err(Failure::Told(format!("list the loads of loom `{unknown}`: the design has no such loom{near}")));
    }
    let (fuses, conductors) = (found.fuses.len(), found.conductors.len());
    if !args.looms.is_empty() {
        let in_loom = |name: &str| name.split_once('.').is_some_and(|(loom, _)| args.looms.iter().any(|it| it == loom));
        found.conductors.retain(|row| in_loom(&row.name));
        let before: BTreeSet<&String> = found.conductors.iter().flat_map(|row| &row.fuses).collect();
        found.fuses.retain(|row| in_loom(&row.name) || before.contains(&row.name));
    }
    if let Some(below) = args.below {
        let is_below = |margin: Option<&inspect::Margin>| margin.is_some_and(|margin| margin.ratio < below);
        found.fuses.retain(|row| is_below(row.least()));
        found.conductors.retain(|row| is_below(row.least()));
    }
    let (fuses, conductors) = (fuses - found.fuses.len(), conductors - found.conductors.len());
    let asked: Vec<String> = args
        .below
        .iter()
        .map(|below| format!("`--below {below}`"))
        .chain(args.looms.iter().map(|loom| format!("`--loom {loom}`")))
        .collect();
    Ok(Some(format!("left out by {}: {} and {}", asked.join(" "), counted(fuses, "fuse"), counted(conductors, "conductor"))))
}
