//! `harness export`: the lists of a design as a workbook, or as a folder of comma-separated values.

use super::{analysis, checker};
use crate::{
    args::Export,
    exit,
    failure::Failure,
    output,
    phrase::{all, counted, quoted},
    render::{
        export::{self as render, Rest, Unread},
        kit::{
            book::{Sheet, tab_names, workbook},
            printable,
        },
    },
    source::{design, input},
};
use harness_core::{
    Design, Document, Origins,
    inspect::{Lists, Written},
};
use harness_import::mapping::{self, Listed, rows, written as written_mapping};
use harness_sheets::Options;
use std::{
    collections::BTreeSet,
    fs,
    io::{Read, Write},
    path::Path,
};

/// Writes the lists, all or none.
///
/// # Errors
/// If the design can't be read, or the lists can't be written.
pub fn run(args: &Export, input: &mut dyn Read, out: &mut dyn Write) -> Result<u8, Failure> {
    let files = design::open(&args.file, input)?;
    let document = Document::read(&files, files.root());
    let written = Written::of(&document);
    let design = Design::of(document);
    let analysis = analysis(&design, &args.file, &[], "export")?;
    let report = checker()?.check(&analysis);
    let lists = Lists::of(&analysis, design.sources(), written, &report.findings);
    let origins = Origins::new(design.sources());
    let origin = |span| origins.of(span).map(|place| (place.list.clone(), place.row));
    let rest = Rest::new(unread(files.folder())?, &origin);
    let summary = &report.summary;
    let about = [
        ("design", summary.design.clone()),
        ("revision", summary.revision.clone()),
        ("file", files.root().to_owned()),
        ("findings", counted(report.findings.iter().filter(|finding| finding.counts()).count(), "finding")),
        ("caution", "a clean result is no safety certificate; voltage class B (above 60 V DC or 30 V AC) is for trained people; local codes decide".to_owned()),
        ("kept as text", "every cell is text, so that a pin 01 stays 01; an apostrophe before = + - @ is not part of the cell".to_owned()),
    ];
    let (mut sheets, meanings): (Vec<Sheet>, Vec<Listed>) =
        render::lists(&lists, &about, rest).into_iter().map(|list| (list.sheet, list.meaning)).unzip();
    let read = files.read_so_far();
    if is_workbook(&args.to) {
        sheets.push(Sheet { rows: rows(&named(&sheets, meanings)), ..Sheet::new(mapping::TAB, &mapping::HEAD) });
        let book = workbook(&summary.design, &sheets).map_err(|why| failed(&args.to, &why))?;
        output::write(&args.to, &book, args.force, &read)?;
    } else {
        let meanings: Vec<Listed> =
            sheets.iter().zip(meanings).map(|(sheet, meaning)| Listed { name: sheet.file(), ..meaning }).collect();
        folder(&args.to, (&sheets, &written_mapping(&meanings)), args.force, &read)?;
    }
    let wires: usize = lists.looms.iter().map(|loom| loom.wires.len()).sum();
    writeln!(
        out,
        "{}: {} of {}, {}, {}",
        printable(&args.to.display().to_string()),
        counted(wires, "wire"),
        counted(lists.looms.len(), "loom"),
        counted(lists.contacts.len(), "contact"),
        counted(lists.fuses.len(), "fuse")
    )?;
    out.flush()?;
    Ok(exit::CLEAN)
}

/// The lists by the names of their tabs.
fn named(sheets: &[Sheet], meanings: Vec<Listed>) -> Vec<Listed> {
    tab_names(sheets).into_iter().zip(meanings).map(|(name, meaning)| Listed { name, ..meaning }).collect()
}

/// The cells that the import of a design did not read.
fn unread(folder: &Path) -> Result<Vec<Unread>, Failure> {
    let path = folder.join("imported/not-read.csv");
    let Ok(bytes) = input::file(&path) else { return Ok(Vec::new()) };
    let book = harness_sheets::read("not-read.csv", &bytes, &Options { encoding: Some("utf-8".to_owned()) });
    let book = book.map_err(|why| Failure::Told(format!("read `{}`: {why}", path.display())))?;
    let rows = book.tabs.into_iter().flat_map(|tab| tab.rows.into_iter().skip(1));
    let cell = |row: harness_sheets::Row| Unread {
        list: row.text(0).to_owned(),
        row: row.text(1).parse().unwrap_or(0),
        thing: row.text(2).to_owned(),
        column: row.text(3).to_owned(),
        text: row.text(4).to_owned(),
    };
    Ok(rows.map(cell).collect())
}

fn failed(path: &Path, why: &str) -> Failure {
    Failure::Told(format!("write `{}`: {why}", path.display()))
}

/// Whether a path names a workbook.
fn is_workbook(path: &Path) -> bool {
    path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("xlsx"))
}

/// Writes a folder of lists. One that is there is written into only if it is asked for and holds no list beside those: what is left of a loom that
/// is gone would be taken for one of the design.
fn folder(path: &Path, (sheets, mapping): (&[Sheet], &str), replace: bool, read: &[std::path::PathBuf]) -> Result<(), Failure> {
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    for sheet in sheets {
        files.push((sheet.file(), sheet.csv().map_err(|why| failed(path, &why))?));
    }
    files.push(("mapping.yaml".to_owned(), mapping.as_bytes().to_vec()));
    let own: BTreeSet<String> = files.iter().map(|(name, _)| name.to_lowercase()).collect();
    if own.len() < files.len() {
        return Err(failed(path, "two looms have names that are one as names of files; export to a workbook"));
    }
    if path.extension().is_some() && !path.is_dir() {
        return Err(failed(path, "lists are written as a workbook, `lists.xlsx`, or into a folder"));
    }
    if !path.is_dir() || !replace {
        return output::folder(path, &files).map_err(|failure| match failure {
            Failure::Told(why) if path.is_dir() => Failure::Told(format!("{why}, or replace its lists with `--force`")),
            other => other,
        });
    }
    let there = fs::read_dir(path).map_err(|error| failed(path, &input::reason(&error)))?;
    let names = there.filter_map(Result::ok).filter_map(|entry| entry.file_name().into_string().ok());
    let mut others: Vec<String> =
        names.filter(|name| name.to_lowercase().ends_with(".csv") && !own.contains(&name.to_lowercase())).collect();
    if !others.is_empty() {
        others.sort_unstable();
        let others = all(&quoted(others));
        return Err(failed(path, &format!("it has {others}, of no list of this design; remove it, or export to another folder")));
    }
    files.iter().try_for_each(|(name, bytes)| output::write(&path.join(name), bytes, true, read))
}
