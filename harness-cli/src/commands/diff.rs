//! `harness diff`: two revisions of a design compared by what they mean.

use super::parallel::beside;
use crate::{
    args::{Diff, DiffFormat},
    clock, exit,
    failure::Failure,
    output,
    phrase::{all, counted, did_you_mean, quoted},
    render::{
        Checked,
        diff::{self, Compared},
        kit::printable,
        rework,
    },
    source::Source,
    terminal::Look,
};
use harness_core::{
    Options,
    diff::{
        Edits, Inventory, Kind, changes,
        effect::{Pair, Threshold, effect},
        inventory,
        renames::Renames,
        rework::rework as order,
    },
    finding::Level,
};
use std::{
    io::{self, Read, Write},
    path::Path,
    thread,
};

/// Compares two revisions.
///
/// # Errors
/// If one can't be read, if neither has a mode asked for, if the picture can't be written, or if `out` can't be.
pub fn run(args: &Diff, look: Look, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    if args.old == Path::new("-") && args.new == Path::new("-") {
        return Err(Failure::Told("compare standard input with itself: name a file for OLD or for NEW".to_owned()));
    }
    let new = Source::file(&args.new, input)?;
    let old = Source::file_or_revision(&args.old, &args.new, input)?;
    let options = Options { modes: args.modes.clone(), today: Some(clock::today(None)?), ..Options::default() };
    let sides = Pair { old, new };
    let compared = compare(&sides, &options);
    known_modes(args, &compared)?;
    // The picture first: an answer on the screen would hide that there is no file.
    if let Some(path) = &args.svg {
        let read = [sides.old.read_so_far(), sides.new.read_so_far()].concat();
        output::write(path, diff::picture::draw(&compared).as_bytes(), args.force, &read)?;
    }
    // A reader that has left changes no verdict.
    match write(args, &compared, look, out) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(error.into()),
        _ => Ok(verdict(&compared, args.fail_on.level())),
    }
}

fn write(args: &Diff, compared: &Compared, look: Look, out: &mut dyn Write) -> io::Result<()> {
    if args.rework {
        return write_rework(args.format, compared, look, out);
    }
    match args.format {
        DiffFormat::Full => {
            diff::full::write(compared, look, out)?;
            if let Some(path) = &args.svg {
                writeln!(out, "picture of the changes: {}", printable(&path.display().to_string()))?;
            }
        }
        DiffFormat::Short => diff::short::write(compared, look, out)?,
        DiffFormat::Json => diff::json::write(compared, out)?,
        DiffFormat::Markdown => diff::markdown::write(compared, out)?,
    }
    out.flush()
}

fn write_rework(format: DiffFormat, compared: &Compared, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let mut order = order(&compared.inventories.old, &compared.inventories.new, &compared.edits);
    let grave = compared.brought().filter(|told| told.level >= Level::Error).count();
    if grave > 0 {
        let told = format!("the changes brought {}: look at them before a wire is cut", counted(grave, "grave finding"));
        order.cautions.insert(0, told);
    }
    match format {
        DiffFormat::Full => rework::text::full(compared, &order, look, out)?,
        DiffFormat::Short => rework::text::short(compared, &order, look, out)?,
        DiffFormat::Json => rework::json(compared, &order, out)?,
        DiffFormat::Markdown => rework::text::markdown(compared, &order, out)?,
    }
    out.flush()
}

/// Reads both revisions, checks both, and tells what is between them.
///
/// Both analysed designs are alive at once, because each figure of one is held against that of the other; meanwhile what was
/// edited is found beside them.
fn compare(sides: &Pair<Source>, options: &Options) -> Compared {
    let Pair { old, new } = sides;
    thread::scope(|scope| {
        let edited = beside(scope, || {
            let inventories = Pair { old: inventory(old, old.root()), new: inventory(new, new.root()) };
            let edits = Edits::between(&inventories.old, &inventories.new);
            (inventories, edits)
        });
        let (new_report, (old_report, (inventories, edits, effect))) =
            harness_core::analyse(new, new.root(), options, |new_analysis, new_report| {
                harness_core::analyse(old, old.root(), options, |old_analysis, old_report| {
                    let (inventories, edits): (Pair<Inventory>, Edits) = edited();
                    let renames = renames(&edits);
                    let threshold = Threshold::default();
                    let effect = effect(old_analysis, old_report, new_analysis, new_report, &renames, threshold);
                    (inventories, edits, effect)
                })
            });
        let checked = |side: &Source, report| Checked { prefix: side.prefix(), root: side.root().to_owned(), report };
        Compared {
            old: checked(old, old_report),
            new: checked(new, new_report),
            inventories,
            changes: changes(&edits),
            edits,
            effect,
        }
    })
}

/// The renamings of what findings and figures name.
fn renames(edits: &Edits) -> Renames {
    let named = |kind| {
        use Kind::{Cable, Device, Element, End, Loom, Pin, Port, Segment, Splice, Wire};
        matches!(kind, Device | Port | Pin | Element | Loom | End | Splice | Wire | Cable | Segment)
    };
    let renamed = edits.renamed.iter().filter(|renamed| named(renamed.new.kind));
    Renames::new(renamed.map(|renamed| (renamed.old.path.clone(), renamed.new.path.clone())))
}

/// Refuses a mode that neither revision has.
fn known_modes(args: &Diff, compared: &Compared) -> Result<(), Failure> {
    let mut known: Vec<&str> =
        [&compared.new, &compared.old].iter().flat_map(|it| &it.report.known_modes).map(String::as_str).collect();
    known.sort_unstable();
    known.dedup();
    let Some(unknown) = args.modes.iter().find(|name| !known.contains(&name.as_str())) else { return Ok(()) };
    let near = match did_you_mean(unknown, &known) {
        near if !near.is_empty() => near,
        _ if known.is_empty() => String::new(),
        _ => format!("; they have {}", all(&quoted(&known))),
    };
    let (old, new) = (args.old.display(), args.new.display());
    Err(Failure::Told(format!("compare `{old}` with `{new}` in mode `{unknown}`: neither has such a mode{near}")))
}

/// The exit code: whether the changes brought a finding from `fail_on` up that nobody has accepted, or made one as grave.
fn verdict(compared: &Compared, fail_on: Level) -> u8 {
    if compared.brought().any(|told| told.level >= fail_on) { exit::FINDINGS } else { exit::CLEAN }
}
