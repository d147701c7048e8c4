//! `harness diff --three`: where two branches of a design collide in what they mean.

use super::parallel::beside;
use crate::{
    args::{Diff, DiffFormat},
    clock, exit,
    failure::Failure,
    render::{
        Checked,
        merge::{
            self,
            text::{self, Branches},
        },
    },
    source::Source,
    terminal::Look,
};
use harness_core::{
    Options,
    diff::{Edits, Grade, Inventory, changes, collisions, inventory},
};
use std::{
    io::{self, Read, Write},
    path::Path,
    thread,
};

/// Compares two branches with what they come from.
///
/// # Errors
/// If one of the three can't be read, or `out` can't be written.
pub fn run(args: &Diff, look: Look, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    let Some(theirs) = &args.theirs else {
        return Err(Failure::Told("compare three designs: name THEIRS after BASE and OURS".to_owned()));
    };
    let from_input = [&args.old, &args.new, theirs].into_iter().filter(|path| *path == Path::new("-"));
    if from_input.count() > 1 {
        return Err(Failure::Told("compare standard input with itself: only one of BASE, OURS and THEIRS can be `-`".to_owned()));
    }
    let last = Source::file(theirs, input)?;
    let ours = Source::file_or_revision(&args.new, theirs, input)?;
    let base = Source::file_or_revision(&args.old, theirs, input)?;
    let options = Options { today: Some(clock::today(None)?), ..Options::default() };
    let branches = compare(&base, &ours, &last, &options);
    let is_certain = branches.collisions.iter().any(|collision| collision.grade == Grade::Certain);
    // A reader that has left changes no verdict.
    match write(args.format, &branches, look, out) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(error.into()),
        _ => Ok(if is_certain { exit::FINDINGS } else { exit::CLEAN }),
    }
}

fn write(format: DiffFormat, branches: &Branches, look: Look, out: &mut dyn Write) -> io::Result<()> {
    match format {
        DiffFormat::Full => text::full(branches, look, out)?,
        DiffFormat::Short => text::short(branches, look, out)?,
        DiffFormat::Json => merge::json(branches, out)?,
        DiffFormat::Markdown => text::markdown(branches, out)?,
    }
    out.flush()
}

/// Checks each of the three, for what of it can't be read, and meanwhile tells what collides.
fn compare(base: &Source, ours: &Source, theirs: &Source, options: &Options) -> Branches {
    thread::scope(|scope| {
        let told = beside(scope, || {
            let [base, ours, theirs] = [base, ours, theirs].map(|side| inventory(side, side.root()));
            let made = |branch: &Inventory| changes(&Edits::between(&base, branch)).len();
            (made(&ours), made(&theirs), collisions(&base, &ours, &theirs))
        });
        let checked = |side: &Source| {
            let report = harness_core::check(side, side.root(), options);
            Checked { prefix: side.prefix(), root: side.root().to_owned(), report }
        };
        let (base, ours, theirs) = (checked(base), checked(ours), checked(theirs));
        let (ours_made, theirs_made, collisions) = told();
        Branches { base, ours, theirs, ours_made, theirs_made, collisions }
    })
}
