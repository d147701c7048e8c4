//! Blocks on a sheet: side by side as long as there is room, short ones below each other beside a tall one.
//!
//! What a sheet has no room for is on the next. They are read from left to right and in each column downward, in the order in which their letters are met.

use crate::render::pictures::frame::WIDE;

/// Between two blocks: beside each other, and one below the other.
const BESIDE: f64 = 40.0;
const BETWEEN: f64 = 26.0;

/// What a block takes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Size {
    pub(super) width: f64,
    pub(super) height: f64,
}

/// How far down the blocks of a sheet may reach from where they begin, unless one alone does: a sheet of A4, without heading and notes.
const TALL: f64 = 1080.0;

/// Where a block is: its sheet, and its upper left corner below where the blocks of a sheet begin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Place {
    pub(super) sheet: usize,
    pub(super) left: f64,
    pub(super) top: f64,
}

/// A row of columns that is being filled.
#[derive(Debug, Default)]
struct Row {
    sheet: usize,
    top: f64,
    height: f64,
    /// Where the last column begins, how wide it is and how far down it is filled.
    left: f64,
    width: f64,
    filled: f64,
}

impl Row {
    /// A row with one block.
    fn of(size: &Size, sheet: usize, top: f64) -> Self {
        Self { sheet, top, height: size.height, left: 0.0, width: size.width, filled: size.height }
    }

    /// Takes a block where there is room: below the last one if that makes the row no taller, else beside it.
    fn take(&mut self, size: &Size) -> bool {
        let (below, beside) = (self.filled + BETWEEN, self.left + self.width + BESIDE);
        if self.left + size.width <= WIDE && below + size.height <= self.height {
            self.width = self.width.max(size.width);
            self.filled = below + size.height;
            return true;
        }
        let fits = beside + size.width <= WIDE && (size.height <= self.height || self.top + size.height <= TALL);
        if fits {
            (self.left, self.width, self.filled) = (beside, size.width, size.height);
            self.height = self.height.max(size.height);
        }
        fits
    }
}

/// The place of each block.
pub(super) fn shelved(sizes: &[Size]) -> Vec<Place> {
    let mut row: Option<Row> = None;
    let mut places = Vec::with_capacity(sizes.len());
    for size in sizes {
        let next = match row.take() {
            None => Row::of(size, 0, 0.0),
            Some(mut row) => {
                if row.take(size) {
                    row
                } else {
                    let top = row.top + row.height + BETWEEN;
                    if top + size.height <= TALL { Row::of(size, row.sheet, top) } else { Row::of(size, row.sheet + 1, 0.0) }
                }
            }
        };
        places.push(Place { sheet: next.sheet, left: next.left, top: next.top + next.filled - size.height });
        row = Some(next);
    }
    places
}

#[cfg(test)]
mod tests {
    use super::{BESIDE, BETWEEN, Place, Size, TALL, shelved};
    use crate::render::pictures::frame::WIDE;
    use proptest::prelude::*;

    #[test]
    fn short_blocks_go_below_each_other_beside_a_tall_one_and_what_has_no_room_on_the_next_sheet() {
        let size = |width, height| Size { width, height };
        let sizes = [size(400.0, 300.0), size(300.0, 100.0), size(250.0, 100.0), size(900.0, 50.0), size(500.0, TALL)];
        let right = 400.0 + BESIDE;
        let place = |sheet, left, top| Place { sheet, left, top };
        let wanted = [
            place(0, 0.0, 0.0),
            place(0, right, 0.0),
            place(0, right, 100.0 + BETWEEN),
            place(0, 0.0, 300.0 + BETWEEN),
            place(1, 0.0, 0.0),
        ];
        assert_eq!(shelved(&sizes), wanted);
    }

    proptest! {
        #[test]
        fn blocks_stay_apart_on_their_sheet_and_in_their_order(
            sizes in prop::collection::vec((50.0..WIDE, 20.0..1500.0_f64), 1..30),
        ) {
            let sizes: Vec<Size> = sizes.into_iter().map(|(width, height)| Size { width, height }).collect();
            let all: Vec<(Place, Size)> = shelved(&sizes).into_iter().zip(sizes).collect();
            // A sheet is as tall as paper, or as a block that alone is taller.
            let tall = |sheet: usize| {
                let highest = all.iter().filter(|(place, _)| place.sheet == sheet && place.top == 0.0);
                highest.map(|(_, size)| size.height).fold(TALL, f64::max)
            };
            for (at, (one, size)) in all.iter().enumerate() {
                let (right, bottom) = (one.left + size.width, one.top + size.height);
                prop_assert!(right <= WIDE + 1e-9);
                prop_assert!(bottom <= tall(one.sheet) + 1e-9);
                for (other, _) in &all[at + 1..] {
                    let is_after = other.sheet > one.sheet || other.left >= right || other.top >= bottom;
                    prop_assert!(is_after && other.sheet >= one.sheet, "{one:?} {other:?}");
                }
            }
        }
    }
}
