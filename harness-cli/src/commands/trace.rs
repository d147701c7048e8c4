//! `harness trace`: all that is known of one thing, and the picture of a fuse.

use crate::{
    args::{Trace, TraceFormat},
    exit,
    failure::Failure,
    output, phrase,
    render::{
        Checked,
        kit::printable,
        pictures::time_current,
        trace::{json, text},
    },
    terminal::Look,
};
use harness_core::{
    Report,
    inspect::{self, Found, Names, Thing, TimeCurrent},
};
use harness_draw::Links;
use std::io::{Read, Write};

/// Shows what is known of the thing asked for.
///
/// # Errors
/// If the design can't be read, if nothing or more than one thing has this name, if the picture can't be drawn or written,
/// or if `out` can't be written.
pub fn run(args: &Trace, look: Look, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    let (files, analysis) = super::analyse(&args.file, &args.modes, "trace", input)?;
    let report = super::checker()?.check(&analysis);
    let seen = match Names::new(analysis.model()).find(&args.name) {
        Found::One(thing) => {
            let picture = args.svg.is_some().then(|| match thing {
                Thing::Element(fuse) => TimeCurrent::of(&analysis, fuse),
                _ => Err(format!("`{}` is not a fuse", thing.name(analysis.model()))),
            });
            Ok((inspect::trace(&analysis, &report.findings, thing), picture))
        }
        Found::Several { names, more } => Err(phrase::several(&names, more)),
        Found::Nothing(near) => Err(phrase::nothing(&near)),
    };
    let mistakes = super::mistakes(&analysis);
    let (mut found, picture) = seen.map_err(|reason| {
        let because = mistakes.as_ref().map_or_else(String::new, |mistakes| format!("; not known: {mistakes}"));
        Failure::Told(format!("trace `{}` in `{}`: {reason}{because}", args.name, args.file.display()))
    })?;
    found.unknown.extend(mistakes);
    // The picture first: an answer on the screen would hide that there is no file.
    if let (Some(path), Some(picture)) = (&args.svg, picture) {
        let told = |reason: String| Failure::Told(format!("draw `{}`: {reason}", path.display()));
        let drawn = time_current::draw(&picture.map_err(told)?, &design(&report));
        output::write(path, drawn.svg(&Links::none()).as_bytes(), args.force, &files.read_so_far())?;
    }
    let checked = Checked::new(files.prefix(), files.root().to_owned(), report);
    match args.format {
        TraceFormat::Text => {
            text::write(&checked, &found, look, out)?;
            if let Some(path) = &args.svg {
                writeln!(out, "time-current picture: {}", printable(&path.display().to_string()))?;
            }
        }
        TraceFormat::Json => json::write(&checked, &found, out)?,
    }
    out.flush()?;
    Ok(exit::CLEAN)
}

/// What the design is called.
fn design(report: &Report) -> String {
    let (name, revision) = (&report.summary.design, &report.summary.revision);
    if revision.is_empty() { name.clone() } else { format!("{name}, revision {revision}") }
}
