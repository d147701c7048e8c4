//! `harness whatif`: what single faults of a design lead to.

use crate::{
    args::{Whatif, WhatifFormat},
    exit,
    failure::Failure,
    render::{
        Checked,
        whatif::{self, Shown},
    },
    terminal::{Look, Terminal},
};
use harness_core::{
    Analysis,
    finding::Level,
    inspect::{
        Found,
        single_faults::{self, FaultKind, SingleFaults},
    },
    internals::electrical::single_faults::Fault,
};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::{Read, Write};

/// Kinds of things that a name may begin with.
const KINDS: [&str; 5] = ["wire", "element", "point", "cable", "pair"];
/// Fewer faults than this are done before anybody would read a bar.
const WORTH_A_BAR: usize = 200;

/// Tries faults of a design and lists what they lead to.
///
/// # Errors
/// If the design can't be read, if it has no such mode, if a name leads to nothing that can have the fault, or if `out` can't be written.
pub fn run(
    args: &Whatif,
    (look, terminal): (Look, Terminal),
    input: &mut dyn Read,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> Result<u8, Failure> {
    let asked = asked(args)?;
    let (files, analysis) = super::analyse(&args.file, &args.modes, "try faults of", input)?;
    let report = super::checker()?.check(&analysis);
    let faults = faults(&analysis, &asked, args)?;
    let how = single_faults::how(args.by, args.jobs);
    let bar = Bar::new(terminal, faults.len());
    let found = SingleFaults::of(&analysis, &faults, how, &|done| bar.advance(done));
    bar.end();
    let level = args.level.map_or(if asked.is_empty() { Level::Warning } else { Level::Note }, |level| level.level());
    let unknown: Vec<String> = super::mistakes(&analysis).into_iter().collect();
    drop(analysis);
    let checked = Checked::new(files.prefix(), files.root().to_owned(), report);
    let shown = Shown { faults: &found, level, in_full: !asked.is_empty(), unknown: &unknown };
    match args.format {
        WhatifFormat::Table => whatif::table(&checked, &shown, look, out)?,
        WhatifFormat::Csv => {
            whatif::csv(&checked, &shown, out)?;
            // Rows have no place for it, and whoever counts them has to know.
            if let Some(left) = shown.left_out() {
                writeln!(err, "{left}")?;
            }
        }
        WhatifFormat::Json => whatif::json(&checked, &shown, out)?,
    }
    out.flush()?;
    Ok(exit::CLEAN)
}

/// The faults that were asked for by name; none if all are meant.
fn asked(args: &Whatif) -> Result<Vec<(FaultKind, Vec<String>)>, Failure> {
    let mut rest = args.rest.iter();
    let mut name = |name: &String| match KINDS.contains(&name.as_str()).then(|| rest.next()).flatten() {
        Some(more) => format!("{name} {more}"),
        None => name.clone(),
    };
    let singles = [
        (FaultKind::Open, &args.open),
        (FaultKind::Blown, &args.blow),
        (FaultKind::Raised, &args.raise),
        (FaultKind::Welded, &args.weld),
        (FaultKind::Stuck, &args.stick),
    ];
    let mut asked = Vec::new();
    for (kind, names) in singles {
        asked.extend(names.iter().map(|wanted| (kind, vec![name(wanted)])));
    }
    asked.extend(args.bridge.chunks(2).map(|pair| (FaultKind::Bridged, pair.to_vec())));
    match rest.next() {
        Some(more) => Err(Failure::Told(format!("try faults of one design at a time: `{more}` is one argument too many"))),
        None => Ok(asked),
    }
}

/// The faults to try: those asked for, else all that the design can have.
fn faults(analysis: &Analysis, asked: &[(FaultKind, Vec<String>)], args: &Whatif) -> Result<Vec<Fault>, Failure> {
    if asked.is_empty() {
        return Ok(analysis.electrical().single_faults());
    }
    let mut faults = Vec::new();
    for (kind, names) in asked {
        let found = single_faults::named(analysis, *kind, names).map_err(|(name, found)| {
            let reason = match found {
                Some(Found::Several { names, more }) => crate::phrase::several(&names, more),
                Some(Found::Nothing(near)) => crate::phrase::nothing(&near),
                Some(Found::One(_)) | None => format!("it cannot have that fault; write {}", wanted(*kind)),
            };
            Failure::Told(format!("try `{}` as {} in `{}`: {reason}", name, kind.noun(), args.file.display()))
        })?;
        faults.extend(found);
    }
    Ok(faults)
}

/// What a fault of this kind can be tried at.
fn wanted(kind: FaultKind) -> &'static str {
    match kind {
        FaultKind::Open => "the name of one wire or core",
        FaultKind::Blown => "the name of one fuse",
        FaultKind::Bridged => "the names of two different contacts, studs or splices",
        FaultKind::Raised => "the name of one mated contact, ring or stud",
        FaultKind::Welded | FaultKind::Stuck => "the name of one relay or contactor",
    }
}

/// One line on a terminal that says how far the work is.
struct Bar {
    bar: Option<ProgressBar>,
}

impl Bar {
    fn new(terminal: Terminal, faults: usize) -> Self {
        let bar = (terminal.err_terminal && faults >= WORTH_A_BAR).then(|| {
            let bar = ProgressBar::with_draw_target(Some(faults as u64), ProgressDrawTarget::stderr());
            match ProgressStyle::with_template("{pos} of {len} faults {wide_bar}") {
                Ok(style) => bar.with_style(style.progress_chars("#. ")),
                Err(_) => bar,
            }
        });
        Self { bar }
    }

    fn advance(&self, done: usize) {
        if let Some(bar) = &self.bar {
            bar.inc(done as u64);
        }
    }

    fn end(&self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}
