//! `harness baseline`: writes down what is known, so that `harness check --baseline` fails on what is new.

use crate::{
    args::Baseline,
    clock, exit,
    failure::Failure,
    output,
    phrase::{agree, counted},
    render::kit::{printable, wrap},
    source::{
        design,
        input::{self, Unread},
    },
    terminal::Look,
};
use harness_core::{
    Checker, Report, baseline,
    finding::{Judged, Level},
};
use std::{
    io::{Read, Write},
    path::{Path, PathBuf},
};

/// What the file says of itself. Nothing in it depends on who wrote it where: the same findings give the same bytes.
const PREFACE: &str = "\
# Findings of `harness check` that were known when this was written: with `--baseline` it fails on others only.
# One finding a line, sorted: rule and names of what it concerns | level | what it said then.
# A line taken out makes its finding new again, and so does a higher level or a figure that has become worse. Known is not
# accepted: a finding that was reviewed gets a waiver in its design, with the reason. To write it again, from the designs
# named below:
#   harness baseline FILE... --output THIS-FILE --force
";

/// Checks the designs and writes their findings into one file, whole or not at all.
///
/// # Errors
/// If a design can't be read, has no name or shares it with another, if a rule broke off, if the file can't be written, or `out` can't.
pub fn run(args: &Baseline, look: Look, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    let checker = Checker::new().today(clock::today(args.today)?).fold();
    let (mut designs, mut read) = (Vec::<(&PathBuf, Report)>::new(), Vec::new());
    for path in &args.files {
        let files = design::open(path, input)?;
        let report = harness_core::check(&files, files.root(), &checker);
        named(path, &report, &designs)?;
        if let Some(rule) = report.broken_rules.first() {
            let why =
                format!("the rule `{rule}` failed, and its findings are missing; report the fault with the design that shows it");
            return Err(Failure::Told(format!("write a baseline of `{}`: {why}", path.display())));
        }
        read.extend(files.read_so_far());
        designs.push((path, report));
    }
    let text =
        baseline::write(PREFACE, designs.iter().map(|(_, report)| (report.summary.design.as_str(), report.findings.as_slice())));
    output::write(&args.output, text.as_bytes(), args.force, &read)?;
    summary(args, designs.iter().flat_map(|(_, report)| &report.findings), look, out)?;
    out.flush()?;
    Ok(exit::CLEAN)
}

/// Reads a baseline.
///
/// # Errors
/// If the file can't be read, or with the first line that is at fault.
pub fn read(path: &Path) -> Result<baseline::Baseline, Failure> {
    let failure = |why: String| Failure::Told(format!("read the baseline `{}`: {why}", path.display()));
    let bytes = input::file(path).map_err(|unread| match unread {
        Unread::Missing => failure("no such file; `harness baseline` writes one".to_owned()),
        other => failure(other.why()),
    })?;
    let text = String::from_utf8(bytes).map_err(|error| {
        let valid = error.as_bytes().get(..error.utf8_error().valid_up_to()).unwrap_or_default();
        let line = valid.iter().filter(|byte| **byte == b'\n').count() + 1;
        failure(format!("line {line}: bytes that are not UTF-8"))
    })?;
    baseline::Baseline::read(&text).map_err(|bad| failure(bad.to_string()))
}

/// A baseline knows designs by name: without one, or with the same one twice, findings of one would be taken for known in
/// another.
fn named(path: &Path, report: &Report, others: &[(&PathBuf, Report)]) -> Result<(), Failure> {
    let name = &report.summary.design;
    let refused = |why: String| Err(Failure::Told(format!("write a baseline of `{}`: {why}", path.display())));
    if name.trim().is_empty() {
        return refused("the design has no name, by which the baseline would know it; add `design: NAME`".to_owned());
    }
    match others.iter().find(|(_, other)| other.summary.design.trim() == name.trim()) {
        Some((other, _)) => {
            refused(format!("it has the name `{name}`, and so has `{}`; give each a name of its own", other.display()))
        }
        None => Ok(()),
    }
}

/// Says what was written and what was left out.
fn summary<'a>(
    args: &Baseline,
    findings: impl Iterator<Item = &'a Judged>,
    look: Look,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let (mut known, mut dangers, mut unread, mut waived, mut stale) = (0, 0, 0, 0, 0);
    for finding in findings {
        match finding {
            finding if baseline::belongs(finding) => {
                known += 1;
                dangers += usize::from(finding.level == Level::Danger);
            }
            finding if finding.waived.is_some() => waived += 1,
            finding if finding.rule.starts_with("format/") => unread += 1,
            _ => stale += 1,
        }
    }
    let mut lines = vec![format!("wrote {}: {} known", args.output.display(), counted(known, "finding"))];
    if dangers > 0 {
        lines.push(format!("{} among them: `harness check` still shows each in full", counted(dangers, "danger")));
    }
    let left = [
        (
            unread,
            format!("{}, which {} what could not be read", counted(unread, "reading mistake"), agree(unread, "hides", "hide")),
        ),
        (stale, counted(stale, "finding") + " about waivers that do not hold"),
        (waived, format!("{waived} waived, for which the design gives the reason")),
    ];
    lines.extend(left.into_iter().filter(|(number, _)| *number > 0).map(|(_, words)| format!("left out: {words}")));
    for line in lines.iter().flat_map(|line| wrap(&printable(line), look.width)) {
        writeln!(out, "{line}")?;
    }
    Ok(())
}
