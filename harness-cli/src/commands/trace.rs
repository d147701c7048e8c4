//! `harness trace`: all that is known of one thing, and the picture of a fuse.

use crate::{
    args::{Trace, TraceFormat},
    exit,
    failure::Failure,
    show::{Checked, trace, trace_json},
    terminal::Look,
};
use harness_core::{
    Report,
    analysis::Analysis,
    dossier::{self, Found, Names},
};
use std::io::{Read, Write};

/// Candidates that an answer lists.
const MOST: usize = 12;

/// Shows what is known of the thing asked for.
///
/// # Errors
/// If the design can't be read, if nothing or more than one thing is called so, if the picture can't be drawn or written,
/// or if `out` can't be written.
pub fn run(args: &Trace, look: Look, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    let see = |analysis: &Analysis<'_>, report: &Report| match Names::new(analysis.model).find(&args.name) {
        Found::One(thing) => Ok(dossier::trace(analysis, &report.findings, thing)),
        Found::Several { names, more } => Err(several(&names, more)),
        Found::Nothing(near) => Err(nothing(&near)),
    };
    let (files, report, seen) = super::analyse(&args.file, &args.modes, "trace", input, see)?;
    let mistakes = super::mistakes(&report);
    let mut found = seen.map_err(|reason| {
        let because = mistakes.as_ref().map_or_else(String::new, |mistakes| format!("; not known: {mistakes}"));
        Failure::Told(format!("trace `{}` in `{}`: {reason}{because}", args.name, args.file.display()))
    })?;
    found.unknown.extend(mistakes);
    let checked = Checked { prefix: files.prefix(), root: files.root().to_owned(), report };
    match args.format {
        TraceFormat::Text => trace::write(&checked, &found, look, out)?,
        TraceFormat::Json => trace_json::write(&checked, &found, out)?,
    }
    out.flush()?;
    Ok(exit::CLEAN)
}

fn several(names: &[String], more: usize) -> String {
    let shown: Vec<String> = names.iter().take(MOST).map(|name| format!("`{name}`")).collect();
    let more = more + names.len().saturating_sub(MOST);
    let more = if more == 0 { String::new() } else { format!(" and {more} more") };
    format!("that is no single thing; write one of {}{more}", shown.join(", "))
}

fn nothing(near: &[String]) -> String {
    let near: Vec<String> = near.iter().map(|name| format!("`{name}`")).collect();
    match near.as_slice() {
        [] => "nothing is called so; `harness loads` lists all fuses and conductors".to_owned(),
        _ => format!("nothing is called so; did you mean {}?", near.join(" or ")),
    }
}
