//! Trees cut into blocks that fit on a sheet.

use super::{columns::Before, lanes};
use harness_core::views::{
    Letter, Part, PowerTree,
    power_tree::{Branch, DomainTree, End, Feeder, Tree},
};
use harness_draw::LineKind;

/// A block has up to so many rows.
const ROWS: usize = 18;
/// A line of a feeder is up to so long.
const LONG: f64 = 420.0;
/// So many names at the end of a row take the room of another row.
const NAMES: usize = 4;
/// Bars within bars are drawn so deep.
const DEPTH: usize = 3;
/// A bar behind another one has a block of its own from so many rows on, where the whole does not fit.
const WORTH: usize = 5;

/// What is drawn in one piece.
pub(super) struct Block<'t> {
    pub(super) domain: &'t DomainTree,
    pub(super) feeders: Vec<Line<'t>>,
    /// The letter that it begins with, where it is cut from another block.
    pub(super) from: Option<Letter>,
    pub(super) root: Bar<'t>,
    /// What is before its root; a fuse where one is before every feeder.
    pub(super) before: Before<'t>,
}

/// A feeder, or a stretch of one that is too long for a line.
pub(super) struct Line<'t> {
    pub(super) feeder: &'t Feeder,
    pub(super) parts: &'t [Part],
    /// The letter that it begins with, where it is not the first stretch.
    pub(super) from: Option<Letter>,
    /// The letter that it ends with, where it is not the last.
    pub(super) to: Option<Letter>,
}

/// A net at which a tree branches.
pub(super) struct Bar<'t> {
    pub(super) name: &'t str,
    pub(super) rows: Vec<Twig<'t>>,
}

/// What leaves a bar.
pub(super) struct Twig<'t> {
    /// `None` for the cut end of a bar that goes on in another block.
    pub(super) branch: Option<&'t Branch>,
    pub(super) to: To<'t>,
}

/// What a twig leads to.
pub(super) enum To<'t> {
    /// What its branch says.
    End,
    /// A bar within the block.
    Bar(Bar<'t>),
    /// A block of its own, by the name of its root.
    Cut(Letter, &'t str),
}

/// All blocks of a power tree, in the order of its domains.
pub(super) fn blocks(tree: &PowerTree) -> Vec<Block<'_>> {
    let mut next = tree.letters;
    let mut blocks = Vec::new();
    for domain in &tree.domains {
        for tree in &domain.trees {
            let mut cutter = Cutter {
                tree,
                domain,
                next: &mut next,
                waiting: vec![Waiting { bus: 0, from: 0, letter: None, before: Before::default() }],
            };
            while let Some(block) = cutter.block() {
                blocks.push(block);
            }
        }
    }
    blocks
}

struct Cutter<'t, 'n> {
    tree: &'t Tree,
    domain: &'t DomainTree,
    next: &'n mut u32,
    waiting: Vec<Waiting<'t>>,
}

/// A block that is still to be made: a bus from one of its branches on.
struct Waiting<'t> {
    bus: usize,
    from: usize,
    letter: Option<Letter>,
    before: Before<'t>,
}

impl<'t> Cutter<'t, '_> {
    fn block(&mut self) -> Option<Block<'t>> {
        if self.waiting.is_empty() {
            return None;
        }
        let Waiting { bus, from, letter, mut before } = self.waiting.remove(0);
        let mut room = ROWS;
        let feeders = if letter.is_none() { self.tree.feeders.as_slice() } else { &[] };
        if letter.is_none() {
            before.fuse = before.fuse.or_else(|| lanes::guard(feeders));
        }
        let root = self.bar(bus, from, 0, before, &mut room)?;
        let feeders = feeders.iter().flat_map(|feeder| self.lines(feeder)).collect();
        Some(Block { domain: self.domain, feeders, from: letter, root, before })
    }

    /// A feeder in lines that are not too long.
    fn lines(&mut self, feeder: &'t Feeder) -> Vec<Line<'t>> {
        let pen = lanes::Pen { kind: LineKind::ClassA, holder: "", ac: false, ratings: true };
        let mut lines = Vec::new();
        let (mut rest, mut from) = (feeder.way.as_slice(), None);
        while lanes::of_way(&pen, rest).width > LONG {
            let fits = (1..rest.len())
                .rev()
                .find(|count| rest.get(..*count).is_some_and(|head| lanes::of_way(&pen, head).width <= LONG));
            let Some((head, tail)) = rest.split_at_checked(fits.unwrap_or(1)).filter(|(_, tail)| !tail.is_empty()) else { break };
            let letter = self.letter();
            lines.push(Line { feeder, parts: head, from, to: Some(letter) });
            (rest, from) = (tail, Some(letter));
        }
        lines.push(Line { feeder, parts: rest, from, to: None });
        lines
    }

    fn letter(&mut self) -> Letter {
        let letter = Letter(*self.next);
        *self.next += 1;
        letter
    }

    /// How many rows a bus takes with all that is behind it, up to a few more than fit.
    fn size(&self, bus: usize) -> usize {
        let mut rows = 0;
        let mut waiting = vec![bus];
        while let Some(branches) = waiting.pop().and_then(|bus| self.tree.buses.get(bus)).map(|bus| &bus.branches) {
            for branch in branches {
                match branch.end {
                    End::Bus(next) => waiting.push(next),
                    _ => rows += weight(branch),
                }
            }
            if rows > ROWS * 4 {
                break;
            }
        }
        rows
    }

    fn bar(&mut self, number: usize, from: usize, depth: usize, before: Before<'t>, room: &mut usize) -> Option<Bar<'t>> {
        let bus = self.tree.buses.get(number)?;
        let mut bar = Bar { name: &bus.name, rows: Vec::new() };
        let whole = self.size(number) <= *room && depth == 0;
        for (at, branch) in bus.branches.iter().enumerate().skip(from) {
            let left = bus.branches.len() - at;
            // The last row of a block that is full says where the bar goes on.
            if depth == 0 && *room <= 1 && left > 1 {
                let letter = self.letter();
                self.waiting.insert(0, Waiting { bus: number, from: at, letter: Some(letter), before });
                bar.rows.push(Twig { branch: None, to: To::Cut(letter, &bus.name) });
                return Some(bar);
            }
            let to = match branch.end {
                End::Bus(next) => {
                    let size = self.size(next);
                    let is_small = size < WORTH && size < *room;
                    if depth < DEPTH && (whole || is_small || (depth > 0 && size <= *room)) {
                        match self.bar(next, 0, depth + 1, before.behind(branch), room) {
                            Some(bar) => To::Bar(bar),
                            None => To::End,
                        }
                    } else {
                        let letter = self.letter();
                        self.waiting.push(Waiting { bus: next, from: 0, letter: Some(letter), before: before.behind(branch) });
                        *room = room.saturating_sub(1);
                        To::Cut(letter, self.tree.buses.get(next).map_or("", |bus| bus.name.as_str()))
                    }
                }
                _ => {
                    *room = room.saturating_sub(weight(branch));
                    To::End
                }
            };
            bar.rows.push(Twig { branch: Some(branch), to });
        }
        Some(bar)
    }
}

/// How many rows a branch takes.
fn weight(branch: &Branch) -> usize {
    let names = match &branch.end {
        End::Consumers(consumers) => consumers.len(),
        End::OtherSide(names) | End::Pins(names) => names.len(),
        End::Source(_) | End::Bus(_) | End::Meets(_) | End::From(_) => 1,
    };
    1 + (names + branch.back.len()) / NAMES
}
