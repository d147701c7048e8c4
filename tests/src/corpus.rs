//! The designs that tests of general properties run over: every fixture, every example of a rule's documentation, and
//! a generated one.

#![expect(clippy::expect_used, reason = "a test fails by panicking")]

use crate::{fixtures, netlists};
use harness_core::{Analysis, Checker, Design, FileError, Files, MemoryFiles, Report, internals::rules};
use std::{
    path::{Path, PathBuf},
    sync::{
        OnceLock,
        atomic::{AtomicUsize, Ordering},
    },
    thread,
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

/// A design that was read, computed and checked once for all tests.
pub struct Checked {
    /// The design with what was computed, in all its modes.
    pub analysis: Analysis,
    /// What was found.
    pub report: Report,
}

impl Checked {
    fn new(files: &dyn Files, root: &str) -> Self {
        let analysis = Analysis::of_all(&Design::load(files, root));
        let report = Checker::new().check(&analysis);
        Self { analysis, report }
    }
}

/// A fixture.
pub struct Fixture {
    /// Where it is.
    pub path: PathBuf,
    /// What it says.
    pub netlist: String,
    /// It and what it includes.
    pub checked: Checked,
}

fn is_alone(netlist: &str) -> bool {
    !netlist.lines().any(|line| line.starts_with("include:"))
}

/// All fixtures as they are checked, in the order of [`files`].
pub fn checked_files() -> &'static [Fixture] {
    static CHECKED: OnceLock<Vec<Fixture>> = OnceLock::new();
    CHECKED.get_or_init(|| {
        let files = files();
        let checked = side_by_side(&files, |(path, _)| {
            let (folder, name) = place(path);
            Checked::new(&folder, &name)
        });
        files.into_iter().zip(checked).map(|((path, netlist), checked)| Fixture { path, netlist, checked }).collect()
    })
}

/// Those of [`texts`] that are not fixtures, as they are checked: the examples of all rules, and generated designs.
pub fn checked_examples() -> &'static [(Text, Checked)] {
    static CHECKED: OnceLock<Vec<(Text, Checked)>> = OnceLock::new();
    CHECKED.get_or_init(|| {
        let examples = examples();
        let files = |text: &Text| MemoryFiles::one("design.yaml", text.netlist.as_str());
        let checked = side_by_side(&examples, |text| Checked::new(&files(text), "design.yaml"));
        examples.into_iter().zip(checked).collect()
    })
}

/// The netlists of [`texts`] as they are checked, in the same order; a fixture under the name of its file.
pub fn checked_texts() -> impl Iterator<Item = (&'static Text, &'static Checked)> {
    let fixtures = checked_files().iter().filter(|fixture| is_alone(&fixture.netlist)).map(|fixture| &fixture.checked);
    texts().iter().zip(fixtures.chain(checked_examples().iter().map(|(_, checked)| checked)))
}

/// What `make` makes of each item, in their order, on as many threads as there are processors.
///
/// # Panics
/// If `make` does.
pub fn side_by_side<T: Sync, R: Send>(items: &[T], make: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let next = AtomicUsize::new(0);
    let work = || {
        let mut made = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(item) = items.get(at) else { return made };
            made.push((at, make(item)));
        }
    };
    let workers = thread::available_parallelism().map_or(1, |count| count.get().min(4));
    let mut made: Vec<(usize, R)> = thread::scope(|scope| {
        let running: Vec<_> = (0..workers).map(|_| scope.spawn(work)).collect();
        running.into_iter().flat_map(|worker| worker.join().expect("a worker")).collect()
    });
    made.sort_by_key(|(at, _)| *at);
    made.into_iter().map(|(_, made)| made).collect()
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
    let alone = files().into_iter().filter(|(_, netlist)| is_alone(netlist));
    let alone = alone.map(|(path, netlist)| Text { name: path.display().to_string(), netlist });
    alone.chain(examples()).collect()
}

fn examples() -> Vec<Text> {
    let mut texts: Vec<Text> = Vec::new();
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
