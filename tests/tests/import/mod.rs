//! From lists to netlists.

mod again;
mod cells;
mod dialects;
mod program;
mod round;
mod strangers;

use harness_cli::Terminal;
use harness_tests::{Done, fixtures, harness_at, scratch};
use serde_json::Value;
use std::{
    fs,
    path::{Path, PathBuf},
};

fn harness(args: &[&str]) -> Done {
    harness_at(Terminal::PIPE, "", args)
}

/// A folder that is not there yet.
fn fresh(name: &str) -> PathBuf {
    let folder = scratch(env!("CARGO_TARGET_TMPDIR")).join(format!("import-{name}"));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    folder
}

fn text(path: &Path) -> String {
    path.to_str().unwrap().to_owned()
}

fn list(name: &str) -> String {
    text(&fixtures().join("lists").join(name))
}

/// Imports lists into `folder`, which must succeed.
fn imported(folder: &Path, lists: &[&str], more: &[&str]) -> String {
    let out = text(&folder.join("design"));
    let args: Vec<&str> =
        ["import"].into_iter().chain(lists.iter().copied()).chain(["--out", &out]).chain(more.iter().copied()).collect();
    let done = harness(&args);
    assert_eq!((done.code, done.err.as_str()), (0, ""), "{}", done.out);
    done.out
}

fn written(folder: &Path, name: &str, rows: &str) -> String {
    let path = folder.join(name);
    fs::write(&path, rows).unwrap();
    text(&path)
}

/// The findings of a design, by `check --format json`.
fn findings(folder: &Path) -> Vec<(String, String)> {
    let done = harness(&["check", "--all", "--format", "json", &text(&folder.join("design"))]);
    let report: Value = serde_json::from_str(&done.out).unwrap_or_else(|error| panic!("{error}: {}{}", done.out, done.err));
    let found = report["designs"][0]["findings"].as_array().unwrap();
    found
        .iter()
        .map(|finding| (finding["rule"].as_str().unwrap().to_owned(), finding["headline"].as_str().unwrap().to_owned()))
        .collect()
}
