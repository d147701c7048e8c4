//! A plot of time over current: axes, grid, and where a point is.

use super::cut::{Pair, within};
use harness_core::quantity::{Ampere, Second};
use harness_draw::{
    Anchor, LineKind, Point, Rect, Sheet, Text,
    axes::{Axis, Growth},
};

/// Longest time that is of interest, in seconds.
pub(super) const LONGEST: f64 = 10_000.0;
/// Width that a figure of the axis of currents needs.
const FIGURE: f64 = 44.0;

/// A plot and its axes.
pub(super) struct Plot {
    pub(super) rect: Rect,
    range: (Pair, Pair),
    amps: Axis,
    time: Axis,
}

impl Plot {
    /// A plot of a range of currents and one of times; `None` where one is empty or no number.
    pub(super) fn new(rect: Rect, amps: Pair, time: Pair) -> Option<Self> {
        Some(Self {
            rect,
            range: (amps, time),
            amps: Axis::new(Growth::Decades, amps, (rect.least.x, rect.most.x))?,
            time: Axis::new(Growth::Decades, time, (rect.most.y, rect.least.y))?,
        })
    }

    pub(super) fn holds(&self, amps: f64) -> bool {
        self.amps.holds(amps)
    }

    pub(super) fn column(&self, amps: f64) -> f64 {
        self.amps.place(amps)
    }

    /// Where a point is, if it is inside.
    pub(super) fn inside(&self, amps: f64, time: f64) -> Option<Point> {
        (self.amps.holds(amps) && self.time.holds(time)).then(|| Point::new(self.amps.place(amps), self.time.place(time)))
    }

    /// A falling curve, cut at the edges.
    pub(super) fn curve(&self, points: &[(Ampere, Second)]) -> Vec<Point> {
        let points: Vec<Pair> = points.iter().map(|(amps, time)| (amps.get(), time.get())).collect();
        let cut = within(&points, self.range);
        cut.into_iter().map(|(amps, time)| Point::new(self.amps.place(amps), self.time.place(time))).collect()
    }

    /// The outline, the figures of both axes with their names, and a grid at the figures.
    pub(super) fn frame(&self, sheet: &mut Sheet) {
        let Rect { least, most } = self.rect;
        for value in self.amps.marks((self.rect.width() / FIGURE) as usize) {
            let x = self.amps.place(value);
            if x > least.x && x < most.x {
                sheet.line(LineKind::Grid, &[Point::new(x, least.y), Point::new(x, most.y)], None);
            }
            sheet.text(Point::new(x, most.y + 17.0), Anchor::Middle, Text::small(format!("{value}")), None);
        }
        for value in self.time.marks((self.rect.height() / 18.0) as usize) {
            let y = self.time.place(value);
            if y > least.y && y < most.y {
                sheet.line(LineKind::Grid, &[Point::new(least.x, y), Point::new(most.x, y)], None);
            }
            sheet.text(Point::new(least.x - 8.0, y + 4.0), Anchor::End, Text::small(format!("{value}")), None);
        }
        sheet.frame(LineKind::Rule, self.rect, None);
        let middle = Point::new((least.x + most.x) / 2.0, most.y + 36.0);
        sheet.text(middle, Anchor::Middle, Text::small("current, A"), None);
        sheet.axis_name(Point::new(least.x - 62.0, (least.y + most.y) / 2.0), Text::small("time, s"));
    }
}
