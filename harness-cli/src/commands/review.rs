//! `harness review`: a whole design as one page for those who accept it.

use super::diff;
use crate::{
    args::{PictureKind, Review},
    clock, exit,
    failure::Failure,
    output,
    phrase::counted,
    render::{
        Checked,
        diff::Compared,
        kit::printable,
        pictures::gallery::{Plate, chained, largest_loads, plates},
        review, swaps,
    },
    source::Source,
};
use harness_core::{
    Analysis, Checker, Date, Design, Document, ModeSummary,
    diff::rework::Rework,
    inspect::{
        self, Asked, FitRow, Grade, Lists, LiveQuery, Written,
        single_faults::{self, SingleFaults},
    },
    internals::{electrical::single_faults::Fault, threads},
    views::Chain,
};
use std::{
    io::{Read, Write},
    path::PathBuf,
};

/// Fuses with the least margins whose time-current pictures are on the page.
const CURVES: usize = 5;
/// So many circuits are on the page.
const CIRCUITS: usize = 10;

/// Of a design with more conductors only fuses are tried as single faults and nothing is drawn: each fault computes every mode again, and each
/// picture is as large as the page of a small design.
const LARGE: usize = 1_000;

/// Writes the page.
///
/// # Errors
/// If a design can't be read, or the page can't be written.
pub fn run(args: &Review, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    let today = clock::today(None)?;
    let Some(new) = &args.new else {
        let files = Source::file(&args.file, input)?;
        let document = Document::read(&files, files.root());
        let written = Written::of(&document);
        let analysis = Analysis::of_all(&Design::of(document));
        let checked = checked(&files, &analysis, today);
        let page = page(&analysis, &checked, written, None, today)?;
        return hand_out(args, &page, &checked, &files.read_so_far(), out);
    };
    let sides = diff::sides(&args.file, new, input)?;
    let documents = diff::read(&sides);
    let written = Written::of(&documents.new);
    let compared = diff::compare(&sides, documents, &[], |_| Ok(()))?;
    let order = diff::rework_order(&compared);
    let analysis = &compared.analyses.new;
    let checked = checked(&sides.new, analysis, today);
    let page = page(analysis, &checked, written, Some((&compared, &order)), today)?;
    hand_out(args, &page, &checked, &[sides.old.read_so_far(), sides.new.read_so_far()].concat(), out)
}

/// The findings of a design as the page shows them.
fn checked(files: &Source, analysis: &Analysis, today: Date) -> Checked {
    let report = Checker::new().today(today).fold().try_remedies().check(analysis);
    Checked::new(files.prefix(), files.root().to_owned(), report)
}

/// Writes the page into its file and says what is in it, or gives it to who reads the output.
fn hand_out(args: &Review, page: &str, checked: &Checked, read: &[PathBuf], out: &mut dyn Write) -> Result<u8, Failure> {
    match &args.output {
        Some(path) => {
            output::write(path, page.as_bytes(), args.force, read)?;
            let summary = &checked.report.summary;
            writeln!(
                out,
                "{}: {}, {}, {}",
                printable(&path.display().to_string()),
                counted(summary.conductors, "conductor"),
                counted(summary.ends, "end"),
                counted(checked.report.findings.len(), "finding")
            )?;
        }
        None => out.write_all(page.as_bytes())?,
    }
    out.flush()?;
    Ok(exit::CLEAN)
}

/// The page of a design as it was checked.
fn page(
    analysis: &Analysis,
    checked: &Checked,
    written: Written,
    changed: Option<(&Compared, &Rework)>,
    today: Date,
) -> Result<String, Failure> {
    let conductors = checked.report.summary.conductors;
    // What takes longest is done beside the rest.
    let tried = || faults(analysis, conductors);
    let opened = || if conductors > LARGE { Vec::new() } else { single_faults::unplugged(analysis) };
    let rest = || shown(analysis, checked, written);
    let ((faults, left_out), (unplugged, shown)) = threads::both(tried, || threads::both(opened, rest));
    let Shown { lists, loads, live, swaps: found, matrix, chain, plates, plates_left_out } = shown?;
    Ok(review::page(&review::Review {
        analysis,
        checked,
        lists: &lists,
        loads: &loads,
        live: &live,
        swaps: &found,
        matrix: &matrix,
        loops: &chain.loops,
        faults: &faults,
        unplugged: &unplugged,
        faults_left_out: left_out,
        plates: &plates,
        plates_left_out: &plates_left_out,
        mistakes: super::mistakes(analysis),
        changed,
        today,
    }))
}

/// What the page shows of a design without a fault.
struct Shown {
    lists: Lists,
    loads: inspect::Loads,
    live: inspect::Live,
    swaps: inspect::Swaps,
    matrix: Vec<FitRow>,
    chain: Chain,
    plates: Vec<Plate>,
    plates_left_out: Vec<String>,
}

fn shown(analysis: &Analysis, checked: &Checked, written: Written) -> Result<Shown, Failure> {
    let lists = Lists::of(analysis, analysis.design().sources(), written, &checked.report.findings);
    let loads = inspect::Loads::of(analysis);
    let live = inspect::live(analysis, &[], &LiveQuery::default()).map_err(Failure::Told)?;
    let swaps = inspect::Swaps::of(analysis, Asked { least: Grade::Mixed, cured: Grade::Damage, most: swaps::MOST });
    let matrix = FitRow::of(analysis, swaps::MOST_DRAWN);
    let chain = Chain::of(analysis);
    let (plates, plates_left_out) = pictures(analysis, &checked.report.summary.modes, &loads, &chain);
    Ok(Shown { lists, loads, live, swaps, matrix, chain, plates, plates_left_out })
}

/// The pictures of the page, and what is left out.
fn pictures(analysis: &Analysis, modes: &[ModeSummary], loads: &inspect::Loads, chain: &Chain) -> (Vec<Plate>, Vec<String>) {
    if loads.conductors.len() > LARGE {
        let words = "Of so large a design no picture is on the page: `harness draw` draws each by itself.";
        return (Vec::new(), vec![words.to_owned()]);
    }
    let mut drawn = Vec::new();
    let mut left_out = Vec::new();
    for kind in review::KINDS {
        let (own, why) = match kind {
            PictureKind::Curves => curves(analysis, loads),
            PictureKind::Circuit => circuits(analysis),
            PictureKind::Power => power(analysis, modes),
            PictureKind::Net => {
                (Vec::new(), Some("Nets are in a table of their own; `harness draw FILE net` draws each.".to_owned()))
            }
            PictureKind::Chain => (chained(analysis, chain), None),
            PictureKind::Loom | PictureKind::Vehicle | PictureKind::Precharge | PictureKind::Discharge => {
                match plates(analysis, kind, &[]) {
                    Ok(own) => (own, None),
                    Err(why) => (Vec::new(), Some(why)),
                }
            }
        };
        drawn.extend(own);
        left_out.extend(why);
    }
    (drawn, left_out)
}

/// Those of `names` of which there is a picture of this kind: a fuse without known operating times has none, nor has a name that several things bear.
fn of_names(analysis: &Analysis, kind: PictureKind, names: &[String]) -> Vec<Plate> {
    names.iter().filter_map(|name| plates(analysis, kind, std::slice::from_ref(name)).ok()).flatten().collect()
}

fn curves(analysis: &Analysis, loads: &inspect::Loads) -> (Vec<Plate>, Option<String>) {
    let near: Vec<String> =
        loads.fuses.iter().filter(|row| row.least().is_some()).take(CURVES).map(|row| row.name.clone()).collect();
    let rest = loads.fuses.len().saturating_sub(near.len());
    let why = (rest > 0).then(|| {
        format!(
            "Time-current pictures are of the {} fuses with the least margin; `harness draw FILE curves` draws the other {rest}.",
            near.len()
        )
    });
    (of_names(analysis, PictureKind::Curves, &near), why)
}

fn circuits(analysis: &Analysis) -> (Vec<Plate>, Option<String>) {
    let (names, rest) = largest_loads(analysis, CIRCUITS);
    let why = (rest > 0).then(|| {
        format!("Circuits are of the {CIRCUITS} loads that take most; `harness draw FILE circuit` draws the other {rest}, and that of any wire or fuse.")
    });
    (of_names(analysis, PictureKind::Circuit, &names), why)
}

/// The power tree of the mode in which most conductors are loaded: the others differ in their figures.
fn power(analysis: &Analysis, modes: &[ModeSummary]) -> (Vec<Plate>, Option<String>) {
    let most = modes.iter().rev().max_by_key(|mode| mode.loaded).map(|mode| mode.name.clone());
    let why = most.as_ref().filter(|_| modes.len() > 1).map(|most| {
        let others = counted(modes.len() - 1, "mode");
        format!("The power tree is that of mode `{most}`; `harness draw FILE power` draws the other {others}.")
    });
    match plates(analysis, PictureKind::Power, most.as_slice()) {
        Ok(own) => (own, why),
        Err(why) => (Vec::new(), Some(why)),
    }
}

/// The single faults that are tried, and why not all were.
fn faults(analysis: &Analysis, conductors: usize) -> (SingleFaults, Option<String>) {
    let all = analysis.electrical().single_faults();
    let tried: Vec<Fault> = match conductors {
        0..=LARGE => all.clone(),
        _ => all.iter().filter(|fault| matches!(fault, Fault::Blown(_))).copied().collect(),
    };
    let left = all.len() - tried.len();
    let found = SingleFaults::of(analysis, &tried, single_faults::how(None, None), &|_| {});
    let left_out = (left > 0).then(|| {
        format!("Of so large a design only fuses were tried; {left} other faults were not: `harness whatif` tries them all.")
    });
    (found, left_out)
}
