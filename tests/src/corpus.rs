//! The designs that tests of general properties run over: every fixture, every example of a rule's documentation, and
//! a generated one.

#![expect(clippy::expect_used, reason = "a test fails by panicking")]

use crate::{fixtures, netlists};
use harness_core::{Checker, FileError, Files, Report, check, internals::rules};
use std::{
    path::{Path, PathBuf},
    sync::OnceLock,
};

#[path = "../../harness-core/benches/generator.rs"]
pub mod generator;

/// A netlist in a single text.
#[derive(Clone)]
pub struct Text {
    /// What it is called in a failure.
    pub name: String,
    /// The netlist.
    pub netlist: String,
}

/// All netlists of the fixtures, files that others include among them.
pub fn files() -> Vec<(PathBuf, String)> {
    let read = |path: PathBuf| {
        let netlist = std::fs::read_to_string(&path).expect("a fixture can be read");
        (path, netlist)
    };
    netlists(&fixtures()).into_iter().map(read).collect()
}

/// Every netlist that is complete in one file: fixtures without includes, examples and remedies of all rules, generated designs.
pub fn texts() -> &'static [Text] {
    static TEXTS: OnceLock<Vec<Text>> = OnceLock::new();
    TEXTS.get_or_init(read_texts)
}

fn read_texts() -> Vec<Text> {
    let alone = files().into_iter().filter(|(_, netlist)| !netlist.lines().any(|line| line.starts_with("include:")));
    let mut texts: Vec<Text> = alone.map(|(path, netlist)| Text { name: path.display().to_string(), netlist }).collect();
    for rule in rules::pages() {
        for (at, code) in rule.docs.split("```yaml\n").skip(1).enumerate() {
            let netlist = code.split("```").next().unwrap_or_default().to_owned();
            texts.push(Text { name: format!("{}, page {}", rule.name, at + 1), netlist });
        }
    }
    for seed in 0..3 {
        texts.push(Text { name: format!("generated, seed {seed}"), netlist: generator::design(80, seed) });
    }
    texts
}

/// A folder of the fixtures as the library sees it.
pub struct Folder(pub PathBuf);

impl Files for Folder {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        std::fs::read(self.0.join(name)).map_err(|error| FileError::Unreadable(error.to_string()))
    }
}

/// The folder and the name under which a fixture is checked.
pub fn place(path: &Path) -> (Folder, String) {
    let folder = path.parent().expect("a fixture is in a folder").to_owned();
    let name = path.file_name().expect("a fixture has a name").to_str().expect("a plain name").to_owned();
    (Folder(folder), name)
}

/// The report of a fixture with all that it includes.
pub fn report_of(path: &Path) -> Report {
    let (folder, name) = place(path);
    check(&folder, &name, &Checker::new())
}
