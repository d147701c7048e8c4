//! Places for labels at the edge of a plot, so that none overlap.

use super::frame::plain;
use harness_draw::{Anchor, LineKind, Point, Rect, Sheet, Text, ThingId, clipped};

/// Between the base lines of a label.
const LINE: f64 = 17.0;
/// Room between two labels.
const BETWEEN: f64 = 6.0;

/// A label of one or more lines.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Label {
    pub(super) lines: Vec<String>,
}

impl Label {
    /// The lines of a label, none wider than `most` units: what goes is the middle of a line.
    pub(super) fn new(lines: impl IntoIterator<Item = String>, most: f64) -> Self {
        let lines = lines.into_iter().map(|line| harness_draw::printable(&plain(&line)).into_owned());
        Self { lines: lines.map(|line| clipped(&line, 14.0, false, most)).collect() }
    }

    pub(super) fn height(&self) -> f64 {
        self.lines.len() as f64 * LINE
    }

    pub(super) fn width(&self) -> f64 {
        self.lines.iter().map(|line| Text::plain(line).width()).fold(0.0, f64::max)
    }
}

/// The upper edges of labels that want their middle at a height each, pushed apart, between `top` and `bottom`.
///
/// Where they do not all fit they run over the bottom rather than over each other.
pub(super) fn spread(wanted: &[(f64, f64)], top: f64, bottom: f64) -> Vec<f64> {
    let get = |at: usize| wanted.get(at).copied().unwrap_or_default();
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|a, b| get(*a).0.total_cmp(&get(*b).0).then(get(*a).1.total_cmp(&get(*b).1)));
    let mut placed = vec![0.0; wanted.len()];
    // Up from below first, then down from above: the second pass moves only what the first left too high.
    let mut floor = bottom;
    for at in order.iter().rev() {
        let (middle, height) = get(*at);
        let y = (middle - height / 2.0).min(floor - height);
        floor = y - BETWEEN;
        placed.get_mut(*at).into_iter().for_each(|slot| *slot = y);
    }
    let mut ceiling = top;
    for at in &order {
        let (_, height) = get(*at);
        if let Some(slot) = placed.get_mut(*at) {
            *slot = slot.max(ceiling);
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
pub(super) fn stagger(wanted: &[(f64, f64, f64)]) -> Vec<f64> {
    let mut rises = vec![0.0; wanted.len()];
    // What is placed: left edge, and the height up to which it is taken.
    let mut placed: Vec<(f64, f64)> = Vec::new();
    for (at, (x, width, height)) in wanted.iter().enumerate().rev() {
        let reach = x + width + 2.0 * BETWEEN;
        let rise = placed.iter().filter(|(left, _)| *left < reach).map(|(_, top)| *top).fold(BETWEEN, f64::max);
        placed.push((*x, rise + height));
        rises.get_mut(at).into_iter().for_each(|slot| *slot = rise);
    }
    rises
}

/// Where a curve ends, and its name.
pub(super) type Named = (Point, Label, Option<ThingId>);

/// Names the curves at the right edge, each joined to its curve.
pub(super) fn beside(sheet: &mut Sheet, names: &[Named], rect: Rect) {
    let wanted: Vec<(f64, f64)> = names.iter().map(|(end, label, _)| (end.y, label.height())).collect();
    let edge = rect.most.x;
    for ((end, label, of), y) in names.iter().zip(spread(&wanted, rect.least.y, rect.most.y)) {
        let middle = y + label.height() / 2.0;
        let start = Point::new(end.x.max(edge), end.y);
        let leader = [*end, start, Point::new(edge + 24.0, middle), Point::new(edge + 32.0, middle)];
        sheet.line(LineKind::Rule, &leader, *of);
        put(sheet, label, Point::new(edge + 38.0, y), *of);
    }
}

/// Writes a label with its upper left corner at `at`.
pub(super) fn put(sheet: &mut Sheet, label: &Label, at: Point, of: Option<ThingId>) {
    for (row, line) in label.lines.iter().enumerate() {
        sheet.text(at.by(0.0, 13.0 + row as f64 * LINE), Anchor::Start, Text::plain(line), of);
    }
}

#[cfg(test)]
mod tests {
    use super::{Label, spread, stagger};
    use harness_draw::width_of;
    use proptest::prelude::*;

    #[test]
    fn a_long_name_keeps_both_ends() {
        let label = Label::new(["fuse-box.F4".to_owned(), "x".repeat(80) + "end"], 200.0);
        assert_eq!(label.lines[0], "fuse-box.F4");
        assert!(label.lines[1].ends_with("end") && width_of(&label.lines[1], 14.0, false) <= 200.0);
    }

    proptest! {
        #[test]
        fn labels_beside_the_plot_stay_apart(wanted in prop::collection::vec((0.0..600.0_f64, 10.0..40.0_f64), 0..12)) {
            let placed = spread(&wanted, 0.0, 600.0);
            let mut boxes: Vec<(f64, f64)> = placed.iter().zip(&wanted).map(|(y, (_, height))| (*y, y + height)).collect();
            boxes.sort_by(|a, b| a.0.total_cmp(&b.0));
            prop_assert!(boxes.windows(2).all(|pair| pair[0].1 < pair[1].0), "{boxes:?}");
            prop_assert!(boxes.iter().all(|(top, _)| *top >= 0.0));
        }

        #[test]
        fn labels_above_the_plot_stay_apart_and_no_line_crosses_one(
            mut wanted in prop::collection::vec((0.0..800.0_f64, 20.0..300.0_f64, 10.0..40.0_f64), 0..8),
        ) {
            wanted.sort_by(|a, b| a.0.total_cmp(&b.0));
            let rises = stagger(&wanted);
            let boxes: Vec<(f64, f64, f64, f64)> =
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
