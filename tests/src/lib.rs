//! Shared helpers of the whole-program tests: marked fixtures and quick checks.
//!
//! A marked fixture is a netlist in which every line that must be found carries a comment that ends with
//! `level: group/fault`, such as `# error: netlist/unconnected-pin`. Several marks are separated by a comma. A line
//! without a mark must stay silent; notes need no mark unless the fixture is about them.

pub mod corpus;
mod numbers;
pub mod repository;
pub mod tier;

pub use numbers::Numbers;

use harness_cli::{Io, Terminal, run};
use harness_core::{Checker, MemoryFiles, Report, check};
use std::path::{Path, PathBuf};

/// A design whose names would act on a reader, a browser or a terminal if they were not shown as text.
pub const HOSTILE: &str = include_str!("hostile.yaml");

/// The folder of the fixtures.
#[must_use]
pub fn fixtures() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures")
}

/// The report of one netlist held in memory, called `design.yaml`.
#[must_use]
pub fn report(netlist: &str) -> Report {
    check(&MemoryFiles::one("design.yaml", netlist), "design.yaml", &Checker::new())
}

/// Line, level and rule of each mark of a fixture, in the order of the lines.
#[must_use]
pub fn marks(netlist: &str) -> Vec<(usize, String)> {
    let mut marks = Vec::new();
    for (index, line) in netlist.lines().enumerate() {
        let Some((_, comment)) = line.rsplit_once("# ") else { continue };
        for mark in comment.split(',').map(str::trim) {
            let named = mark.split_once(": ").is_some_and(|(level, rule)| {
                ["danger", "error", "warning", "note"].contains(&level) && rule.contains('/') && !rule.contains(' ')
            });
            if named {
                marks.push((index + 1, mark.to_owned()));
            }
        }
    }
    marks
}

/// Line, level and rule of each finding, in the order of the lines; notes only of `noted` rules.
#[must_use]
pub fn found(report: &Report, noted: &str) -> Vec<(usize, String)> {
    let mut found: Vec<(usize, String)> = report
        .findings
        .iter()
        .filter(|finding| finding.level > harness_core::finding::Level::Note || finding.rule == noted)
        .filter_map(|finding| {
            let file = report.sources.file(finding.primary.span.file)?;
            Some((file.line_column(finding.primary.span.start).0, format!("{}: {}", finding.level, finding.rule)))
        })
        .collect();
    found.sort();
    found
}

/// All findings in words, for a failing test.
#[must_use]
pub fn words(report: &Report) -> String {
    let lines: Vec<String> = report
        .findings
        .iter()
        .map(|finding| {
            format!(
                "{}: {}[{}]: {}; {}\n    help: {}",
                report.sources.place(finding.primary.span),
                finding.level,
                finding.rule,
                finding.headline,
                finding.primary.text,
                finding.help
            )
        })
        .collect();
    lines.join("\n")
}

/// All files below `folder` that end with `.yaml`, sorted.
#[must_use]
pub fn netlists(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        let Ok(entries) = std::fs::read_dir(&folder) else { continue };
        for path in entries.flatten().map(|entry| entry.path()) {
            if path.is_dir() {
                // What is written out says what the terse design beside it says, which a test holds: it is checked once.
                folders.extend(Some(path).filter(|path| !path.ends_with("written-out")));
            } else if path.extension().is_some_and(|extension| extension == "yaml") {
                files.push(path);
            }
        }
    }
    files.sort();
    files
}

/// What a run of the program left behind.
#[derive(Debug)]
pub struct Done {
    /// The exit code.
    pub code: u8,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

/// Where tests may write: `tmp`, the folder that cargo gives them, as seen from where they run. Then lines are as long wherever the checkout is.
#[must_use]
pub fn scratch(tmp: &str) -> PathBuf {
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap_or(Path::new("/"));
    Path::new(tmp).strip_prefix(top).map_or_else(|_| PathBuf::from(tmp), |below| Path::new("..").join(below))
}

/// Runs the program in this process.
///
/// # Panics
/// If it writes what is not UTF-8.
#[must_use]
#[expect(clippy::expect_used, reason = "a test fails by panicking")]
pub fn harness_at(terminal: Terminal, input: &str, args: &[&str]) -> Done {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let io = Io { input: &mut input.as_bytes(), out: &mut out, err: &mut err, terminal };
    let code = run(std::iter::once(&"harness").chain(args), io);
    let text = |bytes| String::from_utf8(bytes).expect("the program writes UTF-8");
    Done { code, out: text(out), err: text(err) }
}
