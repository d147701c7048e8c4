//! `harness export`: what is in the lists, that both forms hold the same, and that nothing is written over.

use super::{folder, harness};
use harness_cli::exit;
use harness_core::Design;
use harness_sheets::{Book, Options, Row, read};
use harness_tests::{corpus, fixtures};
use std::{
    collections::BTreeSet,
    fs,
    path::{Path, PathBuf},
};

const TRACTOR: &str = "../fixtures/terrace-tractor/tractor.yaml";

fn book(path: &Path) -> Book {
    read(path.to_str().unwrap(), &fs::read(path).unwrap(), &Options::default()).unwrap()
}

/// The cells of a row; those behind the last one with a text are empty.
fn cells(row: &Row, count: u32) -> Vec<String> {
    // An apostrophe before what looks like a formula is the mark of a text.
    (0..count).map(|column| row.text(column).strip_prefix('\'').unwrap_or(row.text(column)).to_owned()).collect()
}

fn exported(name: &str, design: &str, to: &str) -> PathBuf {
    let path = folder(name, &[]).join(to);
    let done = harness(&["export", design, "--to", path.to_str().unwrap()]);
    assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""), "{design}");
    path
}

#[test]
fn a_workbook_and_a_folder_hold_the_same_cells() {
    let lists = exported("export/same-folder", TRACTOR, "lists");
    let workbook = book(&exported("export/same-book", TRACTOR, "lists.xlsx"));
    let mut tabs = BTreeSet::new();
    // What the columns mean is a file of its own beside the lists of a folder.
    assert!(lists.join("mapping.yaml").exists() && workbook.tabs.iter().any(|tab| tab.name == "mapping"));
    for tab in workbook.tabs.iter().filter(|tab| tab.name != "mapping") {
        let name = tab.name.clone();
        let sheet = book(&lists.join(format!("{name}.csv")));
        let rows = &sheet.tabs[0].rows;
        let wide = rows.iter().flat_map(|row| &row.cells).map(|cell| cell.column + 1).max().unwrap_or(0);
        let all = |rows: &[Row]| -> Vec<Vec<String>> { rows.iter().map(|row| cells(row, wide)).collect() };
        assert_eq!(all(&tab.rows), all(rows), "{name}");
        tabs.insert(name);
    }
    let files: BTreeSet<String> = fs::read_dir(&lists)
        .unwrap()
        .filter_map(|entry| entry.unwrap().file_name().into_string().unwrap().strip_suffix(".csv").map(str::to_owned))
        .collect();
    assert_eq!(files, tabs);
}

#[test]
fn every_wire_contact_and_fuse_is_in_its_list() {
    for name in ["terrace-tractor/tractor.yaml", "hut-truck/truck.yaml", "motorcycle-96v/motorcycle.yaml"] {
        let path = fixtures().join(name);
        let lists = exported(&format!("export/{name}"), path.to_str().unwrap(), "lists");
        let (files, root) = corpus::place(&path);
        let design = Design::load(&files, &root);
        let model = design.model();
        let column = |sheet: &Book, word: &str| {
            let head = &sheet.tabs[0].rows[0];
            (0..20).find(|column| head.text(*column) == word).unwrap_or_else(|| panic!("no column {word}"))
        };
        for (id, loom) in model.looms() {
            let sheet = book(&lists.join(format!("loom {}.csv", model.text(loom.name))));
            let [number, colour, length] = ["Wire", "Colour", "Length (mm)"].map(|word| column(&sheet, word));
            let mut written: Vec<(String, String, String)> = sheet.tabs[0].rows[1..]
                .iter()
                .map(|row| (row.text(number).to_owned(), row.text(colour).to_owned(), row.text(length).to_owned()))
                .collect();
            let wires = model.wires().filter(|(_, wire)| wire.loom == id);
            let mut own: Vec<(String, String, String)> = wires
                .map(|(_, wire)| {
                    let colour = wire.colour.map_or_else(String::new, |colour| colour.value.to_string());
                    let length =
                        wire.length.map_or_else(String::new, |length| format!("{}", (length.value.get() * 1000.0).round()));
                    (model.text(wire.name).to_owned(), colour, length)
                })
                .collect();
            written.sort();
            own.sort();
            assert_eq!(written, own, "{name}");
        }
        let contacts = book(&lists.join("contacts.csv"));
        let points: usize = model.ends().map(|(_, end)| end.points.len()).sum();
        assert_eq!(contacts.tabs[0].rows.len(), points + 1, "{name}");
        let fuses = book(&lists.join("fuses.csv"));
        let protects = column(&fuses, "Protects");
        let protected: BTreeSet<&str> = fuses.tabs[0].rows[1..]
            .iter()
            .flat_map(|row| row.text(protects).split("; "))
            .filter(|wire| !wire.is_empty())
            .collect();
        assert!(protected.len() * 2 > model.wires().len(), "{name}: fuses protect {} wires", protected.len());
    }
}

#[test]
fn lists_are_written_over_nothing_unasked() {
    let lists = exported("export/over", TRACTOR, "lists");
    let path = lists.to_str().unwrap();
    let again = harness(&["export", TRACTOR, "--to", path]);
    assert!(again.code == exit::FAILED && again.err.ends_with("or replace its lists with `--force`\n"), "{}", again.err);
    assert_eq!(harness(&["export", TRACTOR, "--to", path, "--force"]).code, exit::CLEAN);
    let other = harness(&["export", "../fixtures/boat-12v/boat.yaml", "--to", path, "--force"]);
    assert!(other.code == exit::FAILED && other.err.contains("of no list of this design"), "{}", other.err);
    let word = harness(&["export", TRACTOR, "--to", lists.with_extension("ods").to_str().unwrap()]);
    assert!(word.code == exit::FAILED && word.err.contains("as a workbook, `lists.xlsx`, or into a folder"), "{}", word.err);
}
