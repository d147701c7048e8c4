//! The changed wires of both revisions in one picture.
//!
//! Ends are boxes in two columns, the wires run between. Every line has a strip of its own beside its box where its label
//! is, so none can cover another, and every state has its line and its word, so a print without colour says as much. What is
//! not a wire is listed in words below.

mod column;
mod model;
mod plan;

use super::Compared;
use crate::{
    phrase::{counted, fitting},
    render::{
        Checked,
        pictures::frame::{heading, notes},
    },
};
use harness_draw::{Drawing, Sheet};
use model::Picture;

/// At most so many changed wires are drawn; the others are counted.
const MOST_WIRES: usize = 40;
/// At most so many changes that are not of wires are listed in words.
const MOST_WORDS: usize = 24;

/// Draws the picture.
#[must_use]
pub fn draw(compared: &Compared) -> Drawing {
    let picture = Picture::of(compared, MOST_WIRES);
    let changes = counted(compared.changes.len(), "change");
    let mut sheet = Sheet::new("diff", format!("changed wires of {}", compared.design()), &changes);
    let about = [format!("old: {}", revision(&compared.old)), format!("new: {}", revision(&compared.new))];
    let mut y = heading(&mut sheet, &format!("{}: {changes}", compared.design()), &about);
    if !picture.looms.is_empty() {
        y = plan::legend(&mut sheet, y);
    }
    for loom in &picture.looms {
        y = plan::loom(&mut sheet, loom, y);
    }
    notes(&mut sheet, y + 12.0, below(compared, &picture));
    sheet.finish()
}

/// A small picture for each loom with changed wires, by its name: for a page that has the words already.
#[must_use]
pub fn by_loom(compared: &Compared) -> Vec<(String, Drawing)> {
    let picture = Picture::of(compared, MOST_WIRES);
    let mut drawn: Vec<(String, Drawing)> = Vec::new();
    for (at, loom) in picture.looms.iter().enumerate() {
        let title = format!("changed wires of loom {}", loom.name);
        let mut sheet = Sheet::new(format!("diff{}", at + 1), &title, counted(loom.lines.len(), "wire"));
        let y = plan::legend(&mut sheet, 0.0);
        plan::loom(&mut sheet, loom, y);
        drawn.push((loom.name.clone(), sheet.finish()));
    }
    drawn
}

/// A revision as people know it. The folder in which it was read is nobody's business but the reader's: a picture is handed on.
fn revision(checked: &Checked) -> String {
    let name = match checked.root.as_str() {
        "-" => "standard input",
        root => root.rsplit(['/', '\\']).next().unwrap_or(root),
    };
    // `main:looms/` where the revision is one of git.
    let of_git = checked.prefix.split_once(':').map(|(revision, _)| revision);
    let of_git = of_git.filter(|revision| revision.len() > 1 && !revision.starts_with(['/', '\\', '.']));
    let own = match checked.report.summary.revision.as_str() {
        "" => String::new(),
        revision => format!(", revision {revision}"),
    };
    format!("{name}{own}{}", of_git.map_or_else(String::new, |revision| format!(" as of {revision}")))
}

/// What is below the drawing.
fn below(compared: &Compared, picture: &Picture) -> Vec<String> {
    let mut lines = Vec::new();
    if picture.left_out > 0 {
        let more = counted(picture.left_out, "more changed wire");
        lines.push(format!("not drawn: {more}; `harness diff` lists all"));
    }
    if compared.is_same() {
        lines.push(super::SAME.to_owned());
    }
    for unread in compared.unread() {
        lines.push(format!("not compared: {unread}"));
    }
    let others: Vec<String> =
        compared.changes.iter().filter(|change| !model::is_drawn(change)).map(harness_core::diff::Change::headline).collect();
    if !others.is_empty() {
        lines.push("Changed besides the wires:".to_owned());
    }
    let shown = fitting(others.len(), MOST_WORDS);
    for headline in others.iter().take(shown) {
        lines.push(format!("– {}", headline.replace('`', "")));
    }
    if others.len() > shown {
        lines.push(format!("and {}; `harness diff` lists all", counted(others.len() - shown, "more change")));
    }
    lines
}
