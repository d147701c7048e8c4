//! The chain of class B: each circuit between its rails, what hangs at it, and below a rule what lets its contacts go.

mod column;
mod frames;
mod ladder;
mod look;
mod low;
mod way;

use super::{
    frame::{WIDE, notes, plain},
    words::quantity,
};
use crate::{phrase::counted, render::kit::printable};
use column::Pen;
use frames::Frames;
use harness_core::views::chain::{Chain, Circuit, CutEnd, Reason, Row};
use harness_draw::{Anchor, Drawing, LineKind, Point, Sheet, Symbol, Text, Turn, broken};
use ladder::ladder;
pub(crate) use low::effects;
use way::{Past, way};

/// Between a heading and what is below it.
const HEAD: f64 = 26.0;

/// The sheet of a chain; `design` is what the design is called.
#[must_use]
pub fn draw(chain: &Chain, design: &str) -> Drawing {
    let about = low::about(chain);
    let mut sheet = Sheet::new("chain", format!("{design}: chain of class B"), &about);
    let mut y = heading(&mut sheet, design, &[about, low::at_rest(chain)]);
    let mut pen = Pen { sheet: &mut sheet, frames: Frames::default(), kind: LineKind::ClassB };
    for circuit in &chain.circuits {
        y = draw_circuit(&mut pen, circuit, y + 20.0);
    }
    if !chain.loose.is_empty() {
        pen.sheet.text(Point::new(0.0, y + 30.0), Anchor::Start, Text::bold("conductors at which no source is drawn"), None);
        y = draw_rows(&mut pen, &chain.loose, y + 36.0);
    }
    pen.frames.draw(pen.sheet);
    let y = low::draw(&mut sheet, chain, y + 20.0);
    notes(&mut sheet, y + 14.0, left_out(chain));
    sheet.finish()
}

fn draw_circuit(pen: &mut Pen<'_>, circuit: &Circuit, y: f64) -> f64 {
    let kind = if circuit.ac { "AC" } else { "DC" };
    let about = format!("{} {kind}, at most {}, {}", quantity(circuit.nominal), quantity(circuit.max), circuit.reference.word());
    let name = Text::bold(&circuit.domain).within(300.0);
    let beside = name.width() + 10.0;
    pen.sheet.text(Point::new(0.0, y + 16.0), Anchor::Start, name, None);
    pen.sheet.text(Point::new(beside, y + 16.0), Anchor::Start, Text::small(about), None);
    let ladder = ladder(circuit);
    let (up, down) = ladder.reach();
    let top = y + HEAD + 20.0 + up;
    let [_, bottom] = ladder.draw(pen, 0.0, [top, top + ladder.between()]);
    let end = bottom + down + 24.0;
    if circuit.rows.is_empty() { end } else { draw_rows(pen, &circuit.rows, end) }
}

/// Rows one below the other.
fn draw_rows(pen: &mut Pen<'_>, rows: &[Row], mut y: f64) -> f64 {
    for row in rows {
        let own = way(&row.steps, Past::Below, None);
        let level = y + 26.0 + own.up;
        let start = end_width(&row.from);
        let middles = own.middles(start);
        let stop = start + own.width() + 6.0;
        own.draw(pen, level, (start, stop), &middles, Past::Below, [None, None]);
        draw_end(pen, &row.from, Point::new(start, level), false);
        draw_end(pen, &row.to, Point::new(stop, level), true);
        y = level + own.down;
    }
    y + 16.0
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

/// What is of class B and not drawn, by reason, with counts.
fn left_out(chain: &Chain) -> Vec<String> {
    let lines = Reason::ALL.into_iter().filter_map(|reason| {
        let names: Vec<&str> = chain.left_out.iter().filter(|one| one.reason == reason).map(|one| one.name.as_str()).collect();
        (!names.is_empty())
            .then(|| format!("Not drawn, {}: {}: {}.", reason.words(), counted(names.len(), "thing"), names.join(", ")))
    });
    lines.chain(["Protective earth and screens are not drawn.".to_owned()]).collect()
}

/// The sign, what the sheet is of, and what is said of it all.
fn heading(sheet: &mut Sheet, design: &str, about: &[String]) -> f64 {
    sheet.warning(Point::new(0.0, 0.0));
    let title = Text::title("voltage class B").within(WIDE);
    let beside = 38.0 + title.width() + 12.0;
    sheet.text(Point::new(38.0, 19.0), Anchor::Start, title, None);
    sheet.text(
        Point::new(beside, 19.0),
        Anchor::Start,
        Text::plain(format!("chain and what opens it, {design}")).within(WIDE - beside),
        None,
    );
    let mut y = 26.0;
    for line in about.iter().flat_map(|line| broken(&printable(&plain(line)), 12.0, false, WIDE)) {
        y += 17.0;
        sheet.text(Point::new(0.0, y), Anchor::Start, Text::small(line), None);
    }
    y
}
