//! `harness papers`: what the bench works by, as a folder of pages and tables or one paper alone.

use super::checker;
use crate::{
    args::{PaperKind, Papers},
    exit,
    failure::Failure,
    output,
    phrase::{all, counted, did_you_mean, quoted},
    render::{
        kit::{
            paper::{self, Paper, PaperFormat},
            printable,
        },
        papers as render,
    },
    terminal::Look,
};
use clap::ValueEnum;
use harness_core::{bench::Bench, finding::Level};
use std::{
    io::{self, Read, Write},
    path::Path,
};

/// Writes papers, all or none.
///
/// # Errors
/// If the design can't be read, has no such loom or end, or the papers can't be written.
pub fn run(args: &Papers, look: Look, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    let (files, analysis) = super::analyse(&args.file, &[], "make the papers of", input)?;
    let report = checker()?.check(&analysis);
    let bench = Bench::of(&analysis);
    let of = |what: &str| format!("make the papers of {what}");
    known(&args.looms, &bench.looms(), "loom", &of)?;
    if !args.ends.is_empty() {
        let ends: Vec<String> = bench.end_sheets().into_iter().map(|end| end.name).collect();
        known(&args.ends, &ends, "end", &of)?;
    }
    let wanted = render::Wanted { looms: args.looms.clone(), ends: args.ends.clone() };
    let is_part = !args.looms.is_empty() || !args.ends.is_empty();
    let kinds: Vec<PaperKind> = match args.papers.as_slice() {
        [] => render::ALL.into_iter().filter(|kind| !is_part || kind.is_of_looms()).collect(),
        named => named.to_vec(),
    };
    if let Some(whole) = kinds.iter().find(|kind| is_part && !kind.is_of_looms()) {
        let name = whole.to_possible_value().map_or_else(String::new, |value| value.get_name().to_owned());
        return Err(Failure::Told(format!(
            "{}: it is of the whole design; leave out `--loom` and `--end`",
            of(&format!("kind `{name}`"))
        )));
    }
    let verdict = verdict(&report.findings);
    let mut papers: Vec<Paper> = kinds.into_iter().flat_map(|kind| render::papers(kind, &bench, &wanted)).collect();
    let mistakes = super::mistakes(&analysis);
    for paper in &mut papers {
        paper.lead.insert(0, verdict.clone());
        paper.unknown.extend(mistakes.clone());
    }
    let identity = bench.identity();
    if let Some(folder) = &args.out {
        let made =
            paper::files(&papers, &identity).map_err(|why| Failure::Told(format!("write `{}`: {why}", folder.display())))?;
        write_folder(folder, &made, args.force, &files.read_so_far())?;
        writeln!(
            out,
            "{}: {}, {}; open papers.html, which has them all",
            printable(&folder.display().to_string()),
            counted(papers.len(), "paper"),
            counted(made.len(), "file")
        )?;
        out.flush()?;
        return Ok(exit::CLEAN);
    }
    let book =
        args.output.as_ref().filter(|path| path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("xlsx")));
    if let Some(path) = book {
        let told = |why: String| Failure::Told(format!("write `{}`: {why}", path.display()));
        let made = paper::book(&papers, &identity).map_err(told)?;
        output::write(path, &made, args.force, &files.read_so_far())?;
        writeln!(out, "{}: {}", printable(&path.display().to_string()), counted(papers.len(), "paper"))?;
        out.flush()?;
        return Ok(exit::CLEAN);
    }
    let mut bytes = Vec::new();
    if args.papers.is_empty() && args.output.is_none() && args.format == PaperFormat::Text {
        paper::index(&papers, &identity, look, out)?;
        out.flush()?;
        return Ok(exit::CLEAN);
    }
    let look = if args.output.is_some() { Look { colour: false, ..look } } else { look };
    paper::write(&papers, &identity, (args.format, args.table.as_deref()), look, &mut bytes).map_err(|error| {
        match error.kind() {
            io::ErrorKind::InvalidInput => Failure::Told(format!("make the papers of `{}`: {error}", args.file.display())),
            _ => error.into(),
        }
    })?;
    match &args.output {
        Some(path) => {
            output::write(path, &bytes, args.force, &files.read_so_far())?;
            writeln!(out, "{}: {}", printable(&path.display().to_string()), counted(papers.len(), "paper"))?;
        }
        None => out.write_all(&bytes)?,
    }
    out.flush()?;
    Ok(exit::CLEAN)
}

/// What the check says of the design, for the head of every paper.
pub(super) fn verdict(findings: &[harness_core::finding::Judged]) -> String {
    let count = |level: Level| findings.iter().filter(|finding| finding.counts() && finding.level == level).count();
    let (dangers, errors) = (count(Level::Danger), count(Level::Error));
    match (dangers, errors) {
        (0, 0) => match count(Level::Warning) {
            0 => "Checked: nothing found at the level of an error or worse.".to_owned(),
            more => format!("Checked: no error; {} to look at first (`harness check`).", counted(more, "warning")),
        },
        (0, errors) => format!("Do not build: the check finds {} (`harness check`).", counted(errors, "error")),
        (dangers, 0) => format!("Do not build: the check finds {} (`harness check`).", counted(dangers, "danger")),
        (dangers, errors) => format!(
            "Do not build: the check finds {} and {} (`harness check`).",
            counted(dangers, "danger"),
            counted(errors, "error")
        ),
    }
}

/// That the design has what was asked for.
fn known(asked: &[String], known: &[String], what: &str, of: &dyn Fn(&str) -> String) -> Result<(), Failure> {
    let names: Vec<&str> = known.iter().map(String::as_str).collect();
    match asked.iter().find(|name| !known.contains(name)) {
        None => Ok(()),
        Some(name) => {
            let near = match did_you_mean(name, &names) {
                near if !near.is_empty() => near,
                _ if names.is_empty() => "; it has none".to_owned(),
                _ if names.len() > 12 => String::new(),
                _ => format!("; it has {}", all(&quoted(&names))),
            };
            Err(Failure::Told(format!("{}: the design has no such {what}{near}", of(&format!("{what} `{name}`")))))
        }
    }
}

/// Writes the folder: a new one, or into one that an earlier run wrote and that holds nothing else.
fn write_folder(folder: &Path, files: &[(String, Vec<u8>)], force: bool, read: &[std::path::PathBuf]) -> Result<(), Failure> {
    if !force || !folder.is_dir() {
        return output::folder(folder, files).map_err(|failure| match failure {
            Failure::Told(why) if folder.is_dir() => Failure::Told(format!("{why}, or replace its papers with `--force`")),
            other => other,
        });
    }
    let told = |why: String| Failure::Told(format!("write `{}`: {why}", folder.display()));
    let there = std::fs::read_dir(folder).map_err(|error| told(error.to_string()))?;
    let mut others: Vec<String> = there
        .filter_map(Result::ok)
        .filter_map(|entry| entry.file_name().into_string().ok())
        .filter(|name| !files.iter().any(|(own, _)| own == name))
        .collect();
    if !others.is_empty() {
        others.sort_unstable();
        return Err(told(format!(
            "it has {}, of no paper of this design; remove it, or name another folder",
            all(&quoted(others))
        )));
    }
    files.iter().try_for_each(|(name, bytes)| output::write(&folder.join(name), bytes, true, read))
}
