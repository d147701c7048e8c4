//! The chain of class B: each circuit between its rails, what hangs at it, and below a rule what lets its contacts go.

mod column;
mod frames;
mod ladder;
mod look;
mod low;
mod rows;
mod way;

use super::{
    frame::{WIDE, notes, plain},
    words::quantity,
};
use crate::{phrase::counted, render::kit::printable};
use column::Pen;
use frames::Frames;
use harness_core::views::chain::{Chain, Circuit, Reason, Row};
use harness_draw::{Anchor, Drawing, LineKind, Point, Sheet, Text, broken};
use ladder::{Ladder, ladder};
pub(crate) use low::effects;
use rows::{Line, lines};

/// Between a heading and what is below it.
const HEAD: f64 = 26.0;
/// How tall the drawing on a sheet may be, unless one thing alone is taller: a sheet of A3 across, without heading and notes.
const TALL: f64 = 1040.0;
/// Above a circuit, and above what opens contacts.
const ABOVE: f64 = 20.0;
/// Above the outlines of a circuit for their names, and below them.
const NAMES: f64 = 20.0;
const UNDER: f64 = 24.0;
/// What words above rows take.
const WORDS: f64 = 36.0;

/// The sheets of a chain; `design` is what the design is called.
#[must_use]
pub fn draw(chain: &Chain, design: &str) -> Vec<Drawing> {
    let sheets = sheets(chain);
    let count = sheets.len();
    let title = format!("{design}: chain of class B");
    let about = low::about(chain);
    let one = |(number, blocks): (usize, Vec<Block<'_>>)| {
        let of = if count > 1 { format!(", sheet {} of {count}", number + 1) } else { String::new() };
        let mut sheet = Sheet::new("chain", format!("{title}{of}"), &about);
        let mut y = heading(&mut sheet, &format!("{design}{of}"), &[about.clone(), low::at_rest(chain)]);
        let mut pen = Pen { sheet: &mut sheet, frames: Frames::default(), kind: LineKind::ClassB };
        for block in blocks {
            y = block.draw(&mut pen, chain, y);
        }
        pen.frames.draw(pen.sheet);
        let left = if number + 1 == count { left_out(chain) } else { Vec::new() };
        notes(&mut sheet, y + 14.0, left);
        sheet.finish()
    };
    sheets.into_iter().enumerate().map(one).collect()
}

/// Something that is on one sheet.
enum Block<'c> {
    Circuit(&'c Circuit, Box<Ladder>),
    /// What is said of the rows below it.
    Words(&'static str),
    Line(Line<'c>),
    /// What opens the contacts.
    Low,
}

/// All of a chain in its order.
fn blocks(chain: &Chain) -> Vec<Block<'_>> {
    let of_circuit = |circuit| std::iter::once(Block::Circuit(circuit, Box::new(ladder(circuit)))).chain(of_rows(&circuit.rows));
    let mut blocks: Vec<Block<'_>> = chain.circuits.iter().flat_map(of_circuit).collect();
    blocks.extend((!chain.loose.is_empty()).then_some(Block::Words("conductors at which no source is drawn")));
    blocks.extend(of_rows(&chain.loose));
    blocks.push(Block::Low);
    blocks
}

fn of_rows(rows: &[Row]) -> impl Iterator<Item = Block<'_>> {
    lines(rows).into_iter().map(Block::Line)
}

/// The same, as much on each sheet as it has room for.
fn sheets(chain: &Chain) -> Vec<Vec<Block<'_>>> {
    let mut sheets: Vec<Vec<Block<'_>>> = Vec::new();
    let mut filled = f64::INFINITY;
    for block in blocks(chain) {
        let height = block.height(chain);
        filled += height;
        match sheets.last_mut().filter(|_| filled <= TALL) {
            Some(sheet) => sheet.push(block),
            None => {
                sheets.push(vec![block]);
                filled = height;
            }
        }
    }
    // Words stay with what they are said of.
    for at in 1..sheets.len() {
        let (before, from) = sheets.split_at_mut(at);
        if let (Some(before), Some(next)) = (before.last_mut(), from.first_mut())
            && matches!(before.last(), Some(Block::Words(_)))
        {
            next.splice(0..0, before.pop());
        }
    }
    sheets.retain(|sheet| !sheet.is_empty());
    sheets
}

impl Block<'_> {
    fn height(&self, chain: &Chain) -> f64 {
        match self {
            Self::Circuit(_, ladder) => {
                let (up, down) = ladder.reach();
                ABOVE + HEAD + NAMES + up + ladder.height() + down + UNDER
            }
            Self::Words(_) => WORDS,
            Self::Line(line) => line.height(),
            Self::Low => ABOVE + low::draw(&mut Sheet::new("chain", "", ""), chain, 0.0),
        }
    }

    /// Draws it from `y` on; gives where it ends.
    fn draw(&self, pen: &mut Pen<'_>, chain: &Chain, y: f64) -> f64 {
        match self {
            Self::Circuit(circuit, ladder) => draw_circuit(pen, (circuit, ladder), y + ABOVE),
            Self::Words(words) => {
                pen.sheet.text(Point::new(0.0, y + WORDS - 6.0), Anchor::Start, Text::bold(words), None);
                y + WORDS
            }
            Self::Line(line) => line.draw(pen, y),
            Self::Low => low::draw(pen.sheet, chain, y + ABOVE),
        }
    }
}

fn draw_circuit(pen: &mut Pen<'_>, (circuit, ladder): (&Circuit, &Ladder), y: f64) -> f64 {
    let kind = if circuit.ac { "AC" } else { "DC" };
    let about = format!("{} {kind}, at most {}, {}", quantity(circuit.nominal), quantity(circuit.max), circuit.reference.word());
    let name = Text::bold(&circuit.domain).within(300.0);
    let beside = name.width() + 10.0;
    pen.sheet.text(Point::new(0.0, y + 16.0), Anchor::Start, name, None);
    pen.sheet.text(Point::new(beside, y + 16.0), Anchor::Start, Text::small(about), None);
    let (up, down) = ladder.reach();
    ladder.draw(pen, y + HEAD + NAMES + up) + down + UNDER
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
