//! `harness check`: reads designs, has them checked and shows what was found.

use super::{baseline, complain, known_modes};
use crate::{
    args::{Check, Format},
    clock, exit,
    failure::Failure,
    files::DiskFiles,
    show::{self, Checked, full, short, summary},
    terminal::Look,
};
use harness_core::{Options, finding::Level, review::baseline::Baseline};
use std::{
    io::{self, Read, Write},
    path::Path,
};

/// Checks the designs one after the other. One that can't be read does not keep the others from being checked.
///
/// # Errors
/// If `out` can't be written; a closed pipe is none, the verdict stands without its reader.
pub fn run(args: &Check, look: Look, input: &mut dyn Read, out: &mut dyn Write, err: &mut dyn Write) -> Result<u8, Failure> {
    let options = Options { modes: args.modes.clone(), today: Some(clock::today(args.today)?) };
    let baseline = args.baseline.as_deref().map(baseline::read).transpose()?;
    let mut designs = Vec::new();
    let mut failures = Vec::new();
    for path in &args.files {
        match check(path, &options, baseline.as_ref(), input) {
            Ok(checked) => designs.push(checked),
            Err(failure) => {
                complain(err, &failure);
                failures.push(failure.to_string());
            }
        }
    }
    let code = if failures.is_empty() { verdict(&designs, args.fail_on.level()) } else { exit::FAILED };
    match write(args, look, &designs, &failures, out) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(error.into()),
        _ => Ok(code),
    }
}

fn check(path: &Path, options: &Options, baseline: Option<&Baseline>, input: &mut dyn Read) -> Result<Checked, Failure> {
    let files = DiskFiles::open(path, input)?;
    let mut report = harness_core::check(&files, files.root(), options);
    known_modes(path, &options.modes, &report, "check")?;
    if let Some(baseline) = baseline {
        baseline.compare(&mut report, options.modes.is_empty());
    }
    Ok(Checked { prefix: files.prefix(), root: files.root().to_owned(), report })
}

/// The exit code for what was found.
fn verdict(designs: &[Checked], fail_on: Level) -> u8 {
    let mut findings = designs.iter().flat_map(|checked| &checked.report.findings);
    if findings.any(|finding| finding.counts() && finding.level >= fail_on) { exit::FINDINGS } else { exit::CLEAN }
}

fn write(args: &Check, look: Look, designs: &[Checked], failures: &[String], out: &mut dyn Write) -> io::Result<()> {
    if args.format == Format::Json {
        show::json(designs, failures, out)?;
        return out.flush();
    }
    for checked in designs {
        match args.format {
            Format::Short => short::write(checked, look, out)?,
            _ => full::write(checked, look, args.most, out)?,
        }
        summary::write(checked, look, out)?;
        writeln!(out)?;
    }
    if !designs.is_empty() {
        summary::caution(look, out)?;
    }
    out.flush()
}

#[cfg(test)]
mod tests {
    use super::verdict;
    use crate::{exit, show::Checked};
    use harness_core::{
        Report,
        finding::{Finding, Level},
        text::{Sources, Span},
    };

    fn checked(levels: &[Level]) -> Checked {
        let findings = levels.iter().map(|&level| Finding::new("group/fault", level, Span::default(), "headline")).collect();
        let report = Report { sources: Sources::new(), findings, ..Report::default() };
        Checked { prefix: String::new(), root: "a.yaml".to_owned(), report }
    }

    #[test]
    fn findings_fail_the_check_from_the_level_asked_for() {
        for found in Level::ALL {
            for fail_on in Level::ALL {
                let expected = if found >= fail_on { exit::FINDINGS } else { exit::CLEAN };
                assert_eq!(verdict(&[checked(&[]), checked(&[found])], fail_on), expected, "{found} {fail_on}");
            }
        }
        assert_eq!(verdict(&[checked(&[])], Level::Note), exit::CLEAN);
    }
}
