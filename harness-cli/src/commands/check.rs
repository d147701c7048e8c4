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
use std::io::{self, Read, Write};

/// Checks the designs, several at a time. One that can't be read does not keep the others from being checked.
///
/// # Errors
/// If it can't be known which designs changed, or if `out` can't be written; a closed pipe is not an error: then nobody reads the
/// verdict.
pub fn run(args: &Check, look: Look, input: &mut dyn Read, out: &mut dyn Write, err: &mut dyn Write) -> Result<u8, Failure> {
    let baseline = args.baseline.as_deref().map(baseline::read).transpose()?;
    let (wanted, untouched) = changed::wanted(args, input)?;
    let share = Share::new(args.jobs, wanted.len());
    let checker = Checker::new().threads(share.threads).today(clock::today(args.today)?).fold();
    if args.apply {
        apply::apply(&wanted, &checker, err)?;
    }
    let checker = match args.format {
        // One line a finding has no room for what to do.
        Format::Short => checker,
        Format::Full | Format::Json | Format::Sarif | Format::Junit | Format::Annotations => checker.try_remedies(),
    };
    let check = |design: Wanted<'_>| (changed::shown(design.path), check(design, args, checker, baseline.as_ref()));
    let (mut designs, mut failures) = (Vec::new(), Vec::new());
    for (design, done) in each(wanted, share.designs, check) {
        match done {
            Ok(checked) => designs.push(checked),
            Err(failure) => {
                complain(err, &failure);
                failures.push(Failed { design, reason: failure.to_string() });
            }
        }
    }
    let fail_on = args.fail_on.level();
    let broken = designs.iter().any(|checked| exit::is_broken(&checked.report));
    let code = if failures.is_empty() && !broken { exit::code(&designs, fail_on) } else { exit::FAILED };
    let picked = explain::picked(&args.rules, &rule_pages())?;
    if args.level.is_some() || !args.rules.is_empty() {
        let least = args.level.map(FailOn::level);
        let keep = |finding: &Judged| {
            least.is_none_or(|least| finding.level >= least) && picked.as_ref().is_none_or(|it| it.contains(finding.rule))
        };
        designs.iter_mut().for_each(|checked| checked.filter(keep));
    }
    let run = Run { designs: &designs, failures: &failures, untouched: untouched.as_ref(), fail_on };
    match write(args, look, &run, out) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(error.into()),
        _ => Ok(code),
    }
}

fn check(design: Wanted<'_>, args: &Check, checker: Checker, baseline: Option<&Baseline>) -> Result<Checked, Failure> {
    let path = design.path;
    let files = design.open()?;
    let mut report = checker.check(&analysis(&Design::load(&files, files.root()), path, &args.modes, "check")?);
    if let Some(baseline) = baseline {
        baseline.compare(&mut report, args.modes.is_empty());
    }
    Ok(Checked::new(files.prefix(), files.root().to_owned(), report))
}

fn write(args: &Check, look: Look, run: &Run<'_>, out: &mut dyn Write) -> io::Result<()> {
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
