//! Places for labels, so that none overlap.

use super::{FINE, LINE};
use unicode_width::UnicodeWidthStr;

/// Width of a character at the size of labels; wide for a sans-serif, so that no font runs over.
const CHARACTER: f64 = 8.4 * FINE as f64;
/// Characters of a line; longer ones lose their middle.
const LONGEST_LINE: usize = 34;
/// Room between two labels.
const BETWEEN: i32 = 6 * FINE;

/// A label of one or two lines.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Label {
    pub(super) lines: Vec<String>,
}

impl Label {
    pub(super) fn new(lines: impl IntoIterator<Item = String>) -> Self {
        Self { lines: lines.into_iter().map(|line| shortened(&line, LONGEST_LINE)).collect() }
    }

    pub(super) fn height(&self) -> i32 {
        self.lines.len() as i32 * LINE
    }

    pub(super) fn width(&self) -> i32 {
        self.lines.iter().map(|line| width_of(line)).max().unwrap_or(0)
    }
}

pub(super) fn width_of(text: &str) -> i32 {
    (text.width() as f64 * CHARACTER).ceil() as i32
}

/// `text` in at most `most` characters; what goes is its middle, because both ends of a name say more.
pub(crate) fn shortened(text: &str, most: usize) -> String {
    let letters: Vec<char> = text.chars().collect();
    if letters.len() <= most || most < 3 {
        return text.to_owned();
    }
    let (head, tail) = (most / 2, most - most / 2 - 1);
    let start: String = letters.iter().take(head).collect();
    let end: String = letters.iter().skip(letters.len() - tail).collect();
    format!("{start}…{end}")
}

/// The upper edges of labels that want their middle at a height each, pushed apart, between `top` and `bottom`.
///
/// Where they do not all fit they run over the bottom rather than over each other.
pub(super) fn spread(wanted: &[(i32, i32)], top: i32, bottom: i32) -> Vec<i32> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by_key(|at| wanted.get(*at).copied().unwrap_or_default());
    let get = |at: usize| wanted.get(at).copied().unwrap_or_default();
    let mut placed = vec![0; wanted.len()];
    // Up from below first, then down from above: the second pass moves only what the first left too high.
    let mut floor = bottom;
    for at in order.iter().rev() {
        let (middle, height) = get(*at);
        let y = (middle - height / 2).min(floor - height);
        floor = y - BETWEEN;
        if let Some(slot) = placed.get_mut(*at) {
            *slot = y;
        }
    }
    let mut ceiling = top;
    for at in &order {
        let (_, height) = get(*at);
        if let Some(slot) = placed.get_mut(*at) {
            *slot = (*slot).max(ceiling);
            ceiling = *slot + height + BETWEEN;
        }
    }
    placed
}

/// How far above the plot the labels of lines are that rise at `x`, as `(x, width, height)` by rising `x`; each reads to
/// the right of its line.
///
/// From the right on each label goes as low as no label further right is in its way. A line then never crosses a label:
/// all that are lower begin at its right.
pub(super) fn stagger(wanted: &[(i32, i32, i32)]) -> Vec<i32> {
    let mut rises = vec![0; wanted.len()];
    // What is placed: left edge, and the height up to which it is taken.
    let mut placed: Vec<(i32, i32)> = Vec::new();
    for (at, (x, width, height)) in wanted.iter().enumerate().rev() {
        let reach = x + width + 2 * BETWEEN;
        let rise = placed.iter().filter(|(left, _)| *left < reach).map(|(_, top)| *top).max().unwrap_or(BETWEEN);
        placed.push((*x, rise + height));
        if let Some(slot) = rises.get_mut(at) {
            *slot = rise;
        }
    }
    rises
}

#[cfg(test)]
mod tests {
    use super::{Label, shortened, spread, stagger};
    use proptest::prelude::*;

    #[test]
    fn a_long_name_keeps_both_ends() {
        assert_eq!(shortened("fuse-box.F4", 34), "fuse-box.F4");
        assert_eq!(shortened("abcdefghij", 5), "ab…ij");
        assert_eq!(Label::new(["x".repeat(80)]).lines[0].chars().count(), 34);
    }

    proptest! {
        #[test]
        fn labels_beside_the_plot_stay_apart(wanted in prop::collection::vec((0..2400_i32, 40..160_i32), 0..12)) {
            let placed = spread(&wanted, 0, 2400);
            let mut boxes: Vec<(i32, i32)> = placed.iter().zip(&wanted).map(|(y, (_, height))| (*y, y + height)).collect();
            boxes.sort_unstable();
            prop_assert!(boxes.windows(2).all(|pair| pair[0].1 < pair[1].0), "{boxes:?}");
            prop_assert!(boxes.iter().all(|(top, _)| *top >= 0));
        }

        #[test]
        fn labels_above_the_plot_stay_apart_and_no_line_crosses_one(
            mut wanted in prop::collection::vec((0..800_i32, 20..300_i32, 10..40_i32), 0..8),
        ) {
            wanted.sort_unstable();
            let rises = stagger(&wanted);
            let boxes: Vec<(i32, i32, i32, i32)> =
                wanted.iter().zip(&rises).map(|((x, width, height), rise)| (*x, x + width, *rise, rise + height)).collect();
            for (at, one) in boxes.iter().enumerate() {
                for other in &boxes[at + 1..] {
                    let apart = one.1 < other.0 || other.1 < one.0 || one.3 <= other.2 || other.3 <= one.2;
                    prop_assert!(apart, "{one:?} {other:?}");
                    // The line of the one rises at its left edge up to its top.
                    let crosses = other.0 < one.0 && one.0 < other.1 && other.2 < one.3;
                    prop_assert!(!crosses, "{one:?} {other:?}");
                }
            }
        }
    }
}
