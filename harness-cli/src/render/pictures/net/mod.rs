//! One net: its straight run from left to right, what leaves it downward, what is joined at its ends.
//!
//! A net is a tree, so that no two lines cross. One of more than twelve ends, or wider than a sheet, is cut where that halves it, and both cut ends
//! bear a letter.

mod block;
mod found;
mod mark;
mod tree;

pub use found::points;

use self::{
    block::Cutter,
    mark::Mark,
    tree::{Laid, Piece, lay},
};
use super::{
    frame::{self, WIDE},
    words::quantity,
};
use crate::phrase::counted;
use harness_core::views::Net;
use harness_draw::{Drawing, LineKind, Point, Rect, Sheet};

/// Between two blocks.
const BETWEEN: f64 = 26.0;

/// The sheet of a net; `design` is what the design is called.
#[must_use]
pub fn draw(net: &Net, design: &str) -> Drawing {
    let about = about(net);
    let title = format!("Net of {}", net.name);
    let mut sheet = Sheet::new("net", &title, &about);
    let mut y = frame::heading(&mut sheet, &title, &[design.to_owned(), about]);
    if net.class_b {
        y = frame::class_b(&mut sheet, y, true);
    }
    let kind = if net.class_b { LineKind::ClassB } else { LineKind::ClassA };
    let blocks = blocks(net);
    for block in &blocks {
        let at = Point::new(block.left.ceil(), (y + block.up).ceil());
        block.draw(&mut sheet, kind, at);
        y = at.y + block.down + BETWEEN;
    }
    let mut notes = vec![
        "What is longest and carries current is straight; what else is joined leaves it downward, in the order written. Above a wire its number, \
         below it size, colour and length. Behind a fuse, a contact or a load another net begins."
            .to_owned(),
    ];
    notes.extend((blocks.len() > 1 || net.letters > 0).then(|| "→ a goes on at a →.".to_owned()));
    notes.extend((net.letters > 0).then(|| format!("{} closed: each is drawn once, between two letters.", rings(net))));
    frame::notes(&mut sheet, y, notes);
    sheet.reserve(Rect::at(Point::default(), WIDE, y));
    sheet.finish()
}

/// The blocks of a net, in the order in which their letters are met.
fn blocks(net: &Net) -> Vec<Laid<'_>> {
    let mut cutter = Cutter::new(net);
    let mut blocks = vec![lay(&mut cutter, Piece::root(&net.run), None)];
    while let Some((run, from, letter)) = cutter.next_block() {
        blocks.push(lay(&mut cutter, Piece { run, from }, Some(Mark::letter(letter, false))));
    }
    blocks
}

fn rings(net: &Net) -> String {
    let count = net.letters as usize;
    if count == 1 { "1 ring is".to_owned() } else { format!("{count} rings are") }
}

fn about(net: &Net) -> String {
    let kind = if net.alternating { "alternating current" } else { "direct current" };
    let domain = net.domain.as_ref().map_or_else(|| "no domain".to_owned(), |domain| format!("domain {domain}, {kind}"));
    let counts = [
        counted(net.counts.wires, "wire"),
        counted(net.counts.points, "point"),
        format!("{} joined to it", counted(net.counts.joined, "thing")),
    ];
    let most = match &net.most {
        Some((mode, amps)) => format!("most at one place: {} in mode {mode}", quantity(*amps)),
        None => "no current in any mode that was computed".to_owned(),
    };
    let signals = if net.signals.is_empty() { String::new() } else { format!("; signals {}", net.signals) };
    format!("{domain}; {}; {most}{signals}", counts.join(", "))
}
