//! `harness check`: reads designs, has them checked and shows what was found.

use super::{
    analysis, apply, baseline,
    changed::{self, Wanted},
    complain, explain,
    parallel::{Share, each},
};
use crate::{
    args::{Check, FailOn, Format},
    clock, exit,
    failure::Failure,
    render::{
        Checked, Failed, Run,
        check::{self, annotations, full, junit, sarif, short, summary},
        kit::caution::caution,
    },
    terminal::Look,
};
use harness_core::{Baseline, Checker, Design, finding::Judged, rule_pages};
use std::{
    io::{self, Read, Write},
    path::PathBuf,
};

/// Checks the designs, several at a time. One that can't be read does not keep the others from being checked.
///
/// # Errors
/// If it can't be known which designs changed, or if `out` can't be written; a closed pipe is not an error: then nobody reads the
/// verdict.
pub fn run(args: &Check, look: Look, input: &mut dyn Read, out: &mut dyn Write, err: &mut dyn Write) -> Result<u8, Failure> {
    let (wanted, untouched) = changed::wanted(args, input)?;
    if args.apply {
        apply::apply(&wanted, &Checker::new().today(clock::today(args.today)?).fold(), err)?;
    }
    let done = checked(args, wanted)?;
    for failed in &done.failures {
        complain(err, &Failure::Told(failed.reason.clone()));
    }
    let run =
        Run { designs: &done.designs, failures: &done.failures, untouched: untouched.as_ref(), fail_on: args.fail_on.level() };
    match write(args, look, &run, out) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(error.into()),
        _ => Ok(done.code),
    }
}

/// What came of checking.
pub(super) struct Done {
    /// The designs, with what the user asked not to see hidden.
    pub designs: Vec<Checked>,
    /// Those that could not be checked.
    pub failures: Vec<Failed>,
    /// The exit code for all of them.
    pub code: u8,
    /// The files that were asked for, whether they could be read or not.
    pub files: Vec<PathBuf>,
}

/// Checks the designs that are wanted as the arguments say, with what they ask to be hidden hidden.
///
/// # Errors
/// If the baseline can't be read, or a rule that was named does not exist.
pub(super) fn checked(args: &Check, wanted: Vec<Wanted<'_>>) -> Result<Done, Failure> {
    let baseline = args.baseline.as_deref().map(baseline::read).transpose()?;
    let share = Share::new(args.jobs, wanted.len());
    let checker = Checker::new().threads(share.threads).today(clock::today(args.today)?).fold();
    let checker = match args.format {
        // One line a finding has no room for what to do.
        Format::Short => checker,
        Format::Full | Format::Json | Format::Sarif | Format::Junit | Format::Annotations => checker.try_remedies(),
    };
    let check = |design: Wanted<'_>| {
        let (shown, path) = (changed::shown(design.path), design.path.to_owned());
        let (checked, mut files) = check(design, args, checker, baseline.as_ref());
        files.push(path);
        (shown, checked, files)
    };
    let mut done = Done { designs: Vec::new(), failures: Vec::new(), code: exit::FAILED, files: Vec::new() };
    for (design, checked, files) in each(wanted, share.designs, check) {
        done.files.extend(files);
        match checked {
            Ok(checked) => done.designs.push(checked),
            Err(failure) => done.failures.push(Failed { design, reason: failure.to_string() }),
        }
    }
    let broken = done.designs.iter().any(|checked| exit::is_broken(&checked.report));
    if done.failures.is_empty() && !broken {
        done.code = exit::code(&done.designs, args.fail_on.level());
    }
    let picked = explain::picked(&args.rules, &rule_pages())?;
    if args.level.is_some() || !args.rules.is_empty() {
        let least = args.level.map(FailOn::level);
        let keep = |finding: &Judged| {
            least.is_none_or(|least| finding.level >= least) && picked.as_ref().is_none_or(|it| it.contains(finding.rule))
        };
        done.designs.iter_mut().for_each(|checked| checked.filter(keep));
    }
    Ok(done)
}

/// What was found in a design, and the files that were asked for.
fn check(
    design: Wanted<'_>,
    args: &Check,
    checker: Checker,
    baseline: Option<&Baseline>,
) -> (Result<Checked, Failure>, Vec<PathBuf>) {
    let path = design.path;
    let files = match design.open() {
        Ok(files) => files,
        Err(failure) => return (Err(failure), Vec::new()),
    };
    let analysis = analysis(&Design::load(&files, files.root()), path, &args.modes, "check");
    let seen = [files.read_so_far(), files.missing_so_far()].concat();
    let checked = analysis.map(|analysis| {
        let mut report = checker.check(&analysis);
        if let Some(baseline) = baseline {
            baseline.compare(&mut report, args.modes.is_empty());
        }
        Checked::new(files.prefix(), files.root().to_owned(), report)
    });
    (checked, seen)
}

/// Writes a run in the format asked for.
///
/// # Errors
/// If `out` can't be written.
pub(super) fn write(args: &Check, look: Look, run: &Run<'_>, out: &mut dyn Write) -> io::Result<()> {
    let whole = match args.format {
        Format::Json => Some(check::json(run, out)),
        Format::Sarif => Some(sarif::write(run, out)),
        Format::Junit => Some(junit::write(run, out)),
        Format::Annotations => Some(annotations::write(run, out)),
        Format::Full | Format::Short => None,
    };
    if let Some(written) = whole {
        return written.and_then(|()| out.flush());
    }
    for checked in run.designs {
        match args.format {
            Format::Short => short::write(checked, look, args.all, out)?,
            _ => full::write(checked, look, args.most, args.all, out)?,
        }
        summary::write(checked, look, (!args.all, run.fail_on), out)?;
        writeln!(out)?;
    }
    if let Some(untouched) = run.untouched {
        summary::untouched(untouched, run.is_empty(), out)?;
    }
    if !run.designs.is_empty() || run.untouched.is_some() {
        caution(look, out)?;
    }
    out.flush()
}
