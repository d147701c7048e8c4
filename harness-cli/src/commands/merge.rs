//! `harness diff --three`: where two branches of a design collide in what they mean.

use crate::{
    args::{Diff, DiffFormat},
    exit,
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
    Analysis, Checker, Design, Document,
    diff::{Edits, Grade, Inventory, Revision, changes, collisions, inventory},
};
use std::{
    io::{self, Read, Write},
    path::Path,
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
    let branches = compare(&base, &ours, &last, super::checker()?);
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
        DiffFormat::Line => text::line(branches, out)?,
    }
    out.flush()
}

/// Reads and checks the three designs, and finds what collides between the branches.
fn compare(base: &Source, ours: &Source, theirs: &Source, checker: Checker) -> Branches {
    let documents = [base, ours, theirs].map(|side| Document::read(side, side.root()));
    let inventories = documents.each_ref().map(inventory);
    let designs = documents.map(Design::of);
    let [in_base, in_ours, in_theirs] = &inventories;
    let made = |branch: &Inventory| changes(&Edits::between(in_base, branch)).len();
    let (ours_made, theirs_made) = (made(in_ours), made(in_theirs));
    let [of_base, of_ours, of_theirs] = &designs;
    let collisions = collisions(
        Revision { design: of_base, inventory: in_base },
        Revision { design: of_ours, inventory: in_ours },
        Revision { design: of_theirs, inventory: in_theirs },
    );
    let checked = |side: &Source, design: &Design| {
        let report = checker.check(&Analysis::of_all(design));
        Checked::new(side.prefix(), side.root().to_owned(), report)
    };
    let (base, ours, theirs) = (checked(base, of_base), checked(ours, of_ours), checked(theirs, of_theirs));
    Branches { base, ours, theirs, ours_made, theirs_made, collisions }
}
