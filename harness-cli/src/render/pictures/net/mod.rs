//! One net: its straight run from left to right, what leaves it downward, what is joined at its ends.
//!
//! A net is a tree, so that no two lines cross. One of more than twelve ends, or wider than a sheet, is cut where that halves it, and both cut ends
//! bear a letter.

mod block;
mod found;
mod mark;
mod shelf;
mod tree;

pub use found::points;

use self::{
    block::Cutter,
    mark::Mark,
    shelf::{Place, Size, shelved},
    tree::{Laid, Piece, lay},
};
use super::{
    frame::{self, WIDE},
    words::quantity,
};
use crate::phrase::counted;
use harness_core::views::Net;
use harness_draw::{Drawing, LineKind, Point, Rect, Sheet};

/// Below the last block.
const BELOW: f64 = 26.0;

/// The sheets of a net; `design` is what the design is called.
#[must_use]
pub fn draw(net: &Net, design: &str) -> Vec<Drawing> {
    let blocks = blocks(net);
    let sizes: Vec<Size> = blocks.iter().map(Laid::size).collect();
    let placed: Vec<(&Laid<'_>, Place)> = blocks.iter().zip(shelved(&sizes)).collect();
    let sheets: Vec<&[(&Laid<'_>, Place)]> = placed.chunk_by(|one, next| one.1.sheet == next.1.sheet).collect();
    let count = sheets.len();
    let kind = if net.class_b { LineKind::ClassB } else { LineKind::ClassA };
    let one = |(number, blocks): (usize, &&[(&Laid<'_>, Place)])| {
        let about = about(net);
        let title = match count {
            1 => format!("Net of {}", net.name),
            _ => format!("Net of {}, sheet {} of {count}", net.name, number + 1),
        };
        let mut sheet = Sheet::new("net", &title, &about);
        let mut top = frame::heading(&mut sheet, &title, &[design.to_owned(), about]);
        if net.class_b {
            top = frame::class_b(&mut sheet, top, true);
        }
        let mut bottom = top;
        for (block, place) in *blocks {
            block.draw(&mut sheet, kind, Point::new((place.left + block.left).ceil(), (top + place.top + block.up).ceil()));
            bottom = bottom.max(top + place.top + block.size().height);
        }
        let mut notes = vec![
            "What is longest and carries current is straight; what else is joined leaves it downward, in the order written. Above a wire its \
             number, below it size, colour and length. Behind a fuse, a contact or a load another net begins."
                .to_owned(),
        ];
        notes.extend((placed.len() > 1 || net.letters > 0).then(|| "→ a goes on at a →.".to_owned()));
        notes.extend((net.letters > 0).then(|| format!("{} closed: each is drawn once, between two letters.", rings(net))));
        let y = bottom + BELOW;
        frame::notes(&mut sheet, y, notes);
        sheet.reserve(Rect::at(Point::default(), WIDE, y));
        sheet.finish()
    };
    sheets.iter().enumerate().map(one).collect()
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
