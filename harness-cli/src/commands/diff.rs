//! `harness diff`: two revisions of a design compared by what they mean.

use crate::{
    args::{Diff, DiffFormat},
    exit,
    failure::Failure,
    output,
    phrase::{all, counted, did_you_mean, quoted},
    render::{
        Checked,
        diff::{self, Compared, markdown::Beside},
        kit::printable,
        rework,
    },
    source::Source,
    terminal::Look,
};
use harness_core::{
    Analysis, Design, Document, Modes,
    diff::{
        Comparison, Revision,
        effect::Pair,
        inventory,
        rework::{Rework, rework as order},
    },
    finding::Level,
};
use harness_draw::{Drawing, Links};
use std::{
    io::{self, Read, Write},
    path::{Path, PathBuf},
};

/// Compares two revisions.
///
/// # Errors
/// If one can't be read, if neither has a mode asked for, if the picture can't be written, or if `out` can't be.
pub fn run(args: &Diff, look: Look, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    let sides = sides(&args.old, &args.new, input)?;
    let compared = compare(&sides, read(&sides), &args.modes, |designs| known_modes(args, designs))?;
    // The pictures first: an answer on the screen would hide that there is no file.
    let read = [sides.old.read_so_far(), sides.new.read_so_far()].concat();
    let beside = drawn(args, &compared, &read)?;
    // A reader that has left changes no verdict.
    match write(args, &compared, &beside, look, out) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(error.into()),
        _ => Ok(verdict(&compared, args.fail_on.level())),
    }
}

/// Draws the pictures that are asked for, and says which loom is in which file beside a comment.
fn drawn(args: &Diff, compared: &Compared, read: &[PathBuf]) -> Result<Vec<Beside>, Failure> {
    let Some(path) = &args.svg else { return Ok(Vec::new()) };
    let write = |path: &Path, drawing: &Drawing| output::write(path, drawing.svg(&Links::none()).as_bytes(), args.force, read);
    if args.format != DiffFormat::Markdown {
        write(path, &diff::picture::draw(compared))?;
        return Ok(Vec::new());
    }
    let looms = diff::picture::by_loom(compared);
    let paths = output::beside(path, looms.iter().map(|(loom, _)| loom.as_str()));
    let mut beside = Vec::new();
    for ((loom, drawing), path) in looms.into_iter().zip(paths) {
        write(&path, &drawing)?;
        let file = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        beside.push(Beside { loom, file });
    }
    Ok(beside)
}

fn write(args: &Diff, compared: &Compared, beside: &[Beside], look: Look, out: &mut dyn Write) -> io::Result<()> {
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
        DiffFormat::Markdown => diff::markdown::write(compared, beside, out)?,
        DiffFormat::Line => diff::line::write(compared, out)?,
    }
    out.flush()
}

fn write_rework(format: DiffFormat, compared: &Compared, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let order = rework_order(compared);
    match format {
        DiffFormat::Full => rework::text::full(compared, &order, look, out)?,
        DiffFormat::Short => rework::text::short(compared, &order, look, out)?,
        DiffFormat::Json => rework::json(compared, &order, out)?,
        DiffFormat::Markdown => rework::text::markdown(compared, &order, out)?,
        DiffFormat::Line => diff::line::write(compared, out)?,
    }
    out.flush()
}

/// The steps at the bench from the older revision to the newer, with what has to be looked at first.
pub(super) fn rework_order(compared: &Compared) -> Rework {
    let (analyses, inventories) = (&compared.analyses, &compared.inventories);
    let old = Revision { design: analyses.old.design(), inventory: &inventories.old };
    let new = Revision { design: analyses.new.design(), inventory: &inventories.new };
    let mut order = order(old, new, &compared.edits);
    let severe = compared.brought().filter(|told| told.level >= Level::Error).count();
    if severe > 0 {
        let told = format!("the changes brought {}: look at them before a wire is cut", counted(severe, "severe finding"));
        order.cautions.insert(0, told);
    }
    order
}

/// Where both revisions are read from.
///
/// # Errors
/// If one of them is not there, or both are standard input.
pub(super) fn sides(old: &Path, new: &Path, input: &mut dyn Read) -> Result<Pair<Source>, Failure> {
    if old == Path::new("-") && new == Path::new("-") {
        return Err(Failure::Told("compare standard input with itself: name a file for OLD or for NEW".to_owned()));
    }
    let newer = Source::file(new, input)?;
    Ok(Pair { old: Source::file_or_revision(old, new, input)?, new: newer })
}

/// Reads both revisions.
pub(super) fn read(sides: &Pair<Source>) -> Pair<Document> {
    Pair { old: Document::read(&sides.old, sides.old.root()), new: Document::read(&sides.new, sides.new.root()) }
}

/// Checks both revisions, and finds what is between them.
///
/// # Errors
/// If `known` refuses the modes, or they can't be computed.
pub(super) fn compare(
    sides: &Pair<Source>,
    documents: Pair<Document>,
    modes: &[String],
    known: impl FnOnce(&Pair<Design>) -> Result<(), Failure>,
) -> Result<Compared, Failure> {
    let inventories = Pair { old: inventory(&documents.old), new: inventory(&documents.new) };
    let designs = Pair { old: Design::of(documents.old), new: Design::of(documents.new) };
    known(&designs)?;
    let analyses = Pair { old: in_modes(&designs.old, modes)?, new: in_modes(&designs.new, modes)? };
    let Comparison { reports, inventories, edits, changes, effect, .. } =
        Comparison::between(inventories, &analyses.old, &analyses.new, &super::checker()?);
    let checked = |side: &Source, report| Checked::new(side.prefix(), side.root().to_owned(), report);
    Ok(Compared {
        old: checked(&sides.old, reports.old),
        new: checked(&sides.new, reports.new),
        inventories,
        analyses,
        edits,
        changes,
        effect,
    })
}

/// What flows in one revision, in those of the modes that it has: a mode may have come or gone.
fn in_modes(design: &Design, asked: &[String]) -> Result<Analysis, Failure> {
    if asked.is_empty() {
        return Ok(Analysis::of_all(design));
    }
    let had: Vec<String> = asked.iter().filter(|name| design.mode(name).is_some()).cloned().collect();
    Analysis::of(design, Modes::Named(&had)).map_err(|unknown| Failure::Told(format!("compare: {unknown}")))
}

/// Refuses a mode that neither revision has.
fn known_modes(args: &Diff, designs: &Pair<Design>) -> Result<(), Failure> {
    let mut known: Vec<&str> = designs.new.mode_names().chain(designs.old.mode_names()).collect();
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

/// The exit code: whether the changes brought a finding from `fail_on` up that nobody has accepted, or made one as severe. A rule that
/// broke off on either side leaves findings out, so that nothing can be said.
fn verdict(compared: &Compared, fail_on: Level) -> u8 {
    if [&compared.old, &compared.new].iter().any(|side| exit::is_broken(&side.report)) {
        return exit::FAILED;
    }
    if compared.brought().any(|told| told.level >= fail_on) { exit::FINDINGS } else { exit::CLEAN }
}
