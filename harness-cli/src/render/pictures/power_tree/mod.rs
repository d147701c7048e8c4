//! The power tree: sources at the left, a bar for each net at which it branches, a row for each fuse, loads in one column, figures at the right.
//!
//! One line is feed and return. Trees are walked, so that no two lines cross; what does not fit on a sheet is cut at a bar, and both
//! cut ends bear a letter.

mod block;
mod columns;
mod foot;
mod lanes;
mod leaf;
mod rows;
mod sheet;

pub(super) use lanes::{symbol as piece_symbol, title as piece_title};

use block::blocks;
use harness_core::views::PowerTree;
use harness_draw::{Drawing, Sheet};

/// The sheets of a power tree; `design` is what the design is called.
#[must_use]
pub fn draw(design: &str, tree: &PowerTree) -> Vec<Drawing> {
    sheet::sheets(design, tree, blocks(tree)).into_iter().map(Sheet::finish).collect()
}
