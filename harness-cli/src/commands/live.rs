//! `harness live`: what is live in each mode, and what opening something does.

use crate::{
    args::{Live, LiveFormat},
    exit,
    failure::Failure,
    phrase::{all, did_you_mean, quoted},
    render::{Checked, live},
    terminal::Look,
};
use harness_core::inspect::{self, LiveQuery};
use std::io::{Read, Write};

/// Shows what is live in a design.
///
/// # Errors
/// If the design can't be read, if it has no such mode or thing, or if `out` can't be written.
pub fn run(args: &Live, look: Look, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    // All modes are computed: what stays charged has the voltage of the mode before.
    let (files, analysis) = super::analyse(&args.file, &[], "list the live parts of", input)?;
    let known: Vec<&str> = analysis.design().mode_names().collect();
    if let Some(unknown) = args.modes.iter().find(|mode| !known.contains(&mode.as_str())) {
        let near = match did_you_mean(unknown, &known) {
            near if !near.is_empty() => near,
            _ if known.is_empty() => String::new(),
            _ => format!("; it has {}", all(&quoted(&known))),
        };
        let path = args.file.display();
        return Err(Failure::Told(format!(
            "list the live parts of `{path}` in mode `{unknown}`: the design has no such mode{near}"
        )));
    }
    let query = LiveQuery { open: args.open.clone(), welded: args.welded.clone(), half_out: args.half_out.clone() };
    let found = inspect::live(&analysis, &args.modes, &query);
    let report = super::checker()?.check(&analysis);
    let mistakes = super::mistakes(&analysis);
    let mut found = found.map_err(|reason| {
        let because = mistakes.as_ref().map_or_else(String::new, |mistakes| format!("; not known: {mistakes}"));
        Failure::Told(format!("list the live parts of `{}`: {reason}{because}", args.file.display()))
    })?;
    found.unknown.extend(mistakes);
    let checked = Checked::new(files.prefix(), files.root().to_owned(), report);
    match args.format {
        LiveFormat::Text => live::text(&checked, &found, look, out)?,
        LiveFormat::Csv => live::csv(&checked, &found, out)?,
        LiveFormat::Json => live::json(&checked, &found, out)?,
    }
    out.flush()?;
    Ok(exit::CLEAN)
}
