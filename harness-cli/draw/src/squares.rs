//! Boxes found by where they are: a sheet in squares, each with the boxes that reach into it.

use crate::Rect;
use std::collections::{BTreeSet, HashMap};

/// The side of a square.
const SIDE: f64 = 64.0;

/// Boxes by squares. Only asked by square, never walked, so that nothing hangs on the order of its keys.
#[derive(Default)]
pub(crate) struct Squares {
    boxes: Vec<Rect>,
    squares: HashMap<(i32, i32), Vec<usize>>,
}

fn squares_of(rect: &Rect) -> impl Iterator<Item = (i32, i32)> + use<> {
    let place = |value: f64| (value / SIDE).floor() as i32;
    let (left, right) = (place(rect.least.x), place(rect.most.x));
    let (top, bottom) = (place(rect.least.y), place(rect.most.y));
    (top..=bottom).flat_map(move |row| (left..=right).map(move |column| (column, row)))
}

impl Squares {
    /// Adds a box, which is called by how many were added before it.
    pub(crate) fn add(&mut self, rect: Rect) {
        let id = self.boxes.len();
        for square in squares_of(&rect) {
            self.squares.entry(square).or_default().push(id);
        }
        self.boxes.push(rect);
    }

    /// The boxes that share more than an edge with `rect`, in the order added.
    pub(crate) fn meeting(&self, rect: &Rect) -> BTreeSet<usize> {
        squares_of(rect)
            .filter_map(|square| self.squares.get(&square))
            .flatten()
            .copied()
            .filter(|id| self.boxes.get(*id).is_some_and(|taken| taken.meets(rect)))
            .collect()
    }

    /// Whether no box shares more than an edge with `rect`.
    pub(crate) fn is_free(&self, rect: &Rect) -> bool {
        !squares_of(rect)
            .filter_map(|square| self.squares.get(&square))
            .flatten()
            .any(|id| self.boxes.get(*id).is_some_and(|taken| taken.meets(rect)))
    }
}
