//! The changed wires of both revisions in one picture, as SVG.
//!
//! Ends are boxes in two columns, the wires run between. Every line has a strip of its own beside its box where its label
//! is, so none can cover another, and every state has its stroke and its word, so a print without colour says as much. What is
//! not a wire is listed in words below.

mod column;
mod model;
mod plan;
mod svg;

use super::Compared;
use crate::{
    phrase::{counted, fitting},
    render::kit::{caution::SHORT_CAUTION, printable, wrap},
};
use model::Picture;
use plan::Inventory;

/// At most so many changed wires are drawn; the others are counted.
const MOST_WIRES: usize = 40;
/// At most so many changes that are not of wires are listed in words.
const MOST_WORDS: usize = 24;
/// Characters of a line below the drawing.
const LINE: usize = 132;

/// Draws the picture.
#[must_use]
pub fn draw(compared: &Compared) -> String {
    let picture = Picture::of(compared, MOST_WIRES);
    let mut inventory = Inventory::new();
    let (old, new) = (compared.old.shown(&compared.old.root), compared.new.shown(&compared.new.root));
    inventory.title(&printable(&format!("{}: {}", compared.design(), counted(compared.changes.len(), "change"))));
    inventory.words(&printable(&format!("old: {old}")));
    inventory.words(&printable(&format!("new: {new}")));
    if !picture.looms.is_empty() {
        inventory.legend();
    }
    for loom in &picture.looms {
        inventory.loom(loom);
    }
    for line in below(compared, &picture) {
        inventory.words(&line);
    }
    svg::write(&inventory.finish(), &printable(&format!("changed wires of {}", compared.design())))
}

/// What is below the drawing.
fn below(compared: &Compared, picture: &Picture) -> Vec<String> {
    let mut lines = Vec::new();
    if picture.left_out > 0 {
        let more = counted(picture.left_out, "more changed wire");
        lines.extend(wrap(&format!("not drawn: {more}; `harness diff` lists all"), LINE));
    }
    if compared.is_same() {
        lines.push(super::SAME.to_owned());
    }
    for unread in compared.unread() {
        lines.extend(wrap(&printable(&format!("not compared: {unread}")), LINE));
    }
    let others: Vec<String> =
        compared.changes.iter().filter(|change| !model::is_drawn(change)).map(harness_core::diff::Change::headline).collect();
    if !others.is_empty() {
        lines.push("Changed besides the wires:".to_owned());
    }
    let shown = fitting(others.len(), MOST_WORDS);
    for headline in others.iter().take(shown) {
        let indented = wrap(&printable(headline).replace('`', ""), LINE - 4).into_iter().enumerate();
        lines.extend(indented.map(|(at, line)| if at == 0 { format!("–  {line}") } else { format!("    {line}") }));
    }
    if others.len() > shown {
        lines.push(format!("and {}; `harness diff` lists all", counted(others.len() - shown, "more change")));
    }
    lines.push(SHORT_CAUTION.to_owned());
    lines
}
