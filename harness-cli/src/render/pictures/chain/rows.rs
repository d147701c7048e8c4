//! Ways that are not between rails: what was cut, what hangs and what no source is drawn at, each from an end to an end.

use super::{
    column::Pen,
    ladder::WIDEST,
    look,
    way::{Past, Way, way},
};
use harness_core::views::chain::{CutEnd, Row};
use harness_draw::{Anchor, Point, Symbol, Text, Turn};

/// Between two rows side by side.
const BESIDE: f64 = 48.0;
/// Above a line of rows.
const ABOVE: f64 = 26.0;
/// Behind the last thing of a row.
const BEHIND: f64 = 6.0;

/// Rows side by side.
pub(super) struct Line<'c>(Vec<Laid<'c>>);

struct Laid<'c> {
    row: &'c Row,
    way: Way,
    left: f64,
}

/// Rows in their order, as many on each line as it has room for.
pub(super) fn lines(rows: &[Row]) -> Vec<Line<'_>> {
    let mut lines: Vec<Line<'_>> = Vec::new();
    let mut edge = 0.0;
    for row in rows {
        let way = way(&row.steps, Past::Below, None);
        let wide = end_width(&row.from) + way.width() + BEHIND + end_width(&row.to);
        match lines.last_mut().filter(|_| edge + BESIDE + wide <= WIDEST) {
            Some(line) => {
                let left = edge + BESIDE;
                edge = left + wide;
                line.0.push(Laid { row, way, left });
            }
            None => {
                edge = wide;
                lines.push(Line(vec![Laid { row, way, left: 0.0 }]));
            }
        }
    }
    lines
}

impl Line<'_> {
    /// How far it reaches above the level of its rows, and below.
    fn reach(&self) -> (f64, f64) {
        let ways = self.0.iter().map(|laid| &laid.way);
        ways.fold((0.0, 0.0), |(up, down): (f64, f64), way| (up.max(way.up), down.max(way.down)))
    }

    pub(super) fn height(&self) -> f64 {
        let (up, down) = self.reach();
        ABOVE + up + down
    }

    /// Draws it from `y` on; gives where it ends.
    pub(super) fn draw(&self, pen: &mut Pen<'_>, y: f64) -> f64 {
        let (up, down) = self.reach();
        let level = y + ABOVE + up;
        for Laid { row, way, left } in &self.0 {
            let start = left + end_width(&row.from);
            let stop = start + way.width() + BEHIND;
            way.draw(pen, level, (start, stop), &way.middles(start), Past::Below, [None, None]);
            draw_end(pen, &row.from, Point::new(start, level), false);
            draw_end(pen, &row.to, Point::new(stop, level), true);
        }
        level + down
    }
}

fn end_width(end: &CutEnd) -> f64 {
    match end {
        CutEnd::Letter(letter) => Text::bold(format!("{letter} →")).width() + 12.0,
        CutEnd::Open(spot) => look::widest(&look::spot_words(spot)) + 12.0,
    }
}

/// The end of a row at `at`: its letter, or an open end with what is there.
fn draw_end(pen: &mut Pen<'_>, end: &CutEnd, at: Point, is_right: bool) {
    let (sign, anchor) = if is_right { (1.0, Anchor::Start) } else { (-1.0, Anchor::End) };
    pen.sheet.symbol(Symbol::Stud, at.by(sign * 3.0, 0.0), Turn::None, pen.kind, None);
    let words = match end {
        CutEnd::Letter(letter) => {
            vec![(Text::bold(if is_right { format!("→ {letter}") } else { format!("{letter} →") }), None)]
        }
        CutEnd::Open(spot) => look::spot_words(spot),
    };
    let mut y = at.y + 4.0 - 7.0 * words.len().saturating_sub(1) as f64;
    for (text, key) in words {
        let of = key.map(|key| pen.sheet.thing(key.clone(), key));
        pen.sheet.text(Point::new(at.x + sign * 10.0, y), anchor, text, of);
        y += 14.0;
    }
}
