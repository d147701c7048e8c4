//! Where everything is: boxes in two columns, a strip for each line beside its box, curves between the strips.
//!
//! An end that has wires to both sides is in both columns. Strips follow each other within a box and boxes within a column, so
//! labels do not overlap.

use super::{
    column::{BOX, Column, LETTER, ROW, Row, fitted},
    model::{Line, Loom, State},
};
use harness_core::diff::Key;
use std::collections::{BTreeMap, BTreeSet};

/// Width of the picture and of its parts, in pixels.
const WIDTH: i32 = 1100;
const MARGIN: i32 = 24;
/// Room for labels beside the boxes of each column.
const LEFT_STRIP: i32 = 250;
const RIGHT_STRIP: i32 = 200;
/// Text sizes.
const TEXT: i32 = 13;
const SMALL: i32 = 12;
/// The colours of Okabe and Ito, which those who see few colours can distinguish, and which differ in grey too.
const OUT: &str = "#b34700";
const NEW: &str = "#00518a";
const BLACK: &str = "#000000";
const GREY: &str = "#8a8a8a";

/// A shape.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Shape {
    /// A line of text, its `lead` in bold; `right`: it ends at its place.
    Text { at: (i32, i32), size: i32, bold: bool, grey: bool, right: bool, lead: String, text: String },
    /// A box.
    Box { at: (i32, i32), size: (i32, i32), thick: i32, dashed: bool },
    /// A stroke.
    Path { data: String, colour: &'static str, thick: i32, dashed: bool },
}

/// A finished drawing.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Plan {
    pub(super) width: i32,
    pub(super) height: i32,
    pub(super) shapes: Vec<Shape>,
}

/// A drawing that grows downwards.
#[derive(Debug)]
pub(super) struct Inventory {
    shapes: Vec<Shape>,
    /// Drawn last, so that no stroke crosses a letter.
    texts: Vec<Shape>,
    y: i32,
}

impl Inventory {
    pub(super) fn new() -> Self {
        Self { shapes: Vec::new(), texts: Vec::new(), y: MARGIN }
    }

    pub(super) fn finish(mut self) -> Plan {
        self.shapes.append(&mut self.texts);
        Plan { width: WIDTH, height: self.y + MARGIN, shapes: self.shapes }
    }

    /// A heading of the whole picture.
    pub(super) fn title(&mut self, text: &str) {
        self.y += 22;
        self.text((MARGIN, self.y - 4), 18, true, false, &fitted(text, WIDTH - 2 * MARGIN, 11));
        self.y += 4;
    }

    /// A line of words over the whole width.
    pub(super) fn words(&mut self, text: &str) {
        self.y += ROW + 2;
        self.text((MARGIN, self.y - 4), TEXT, false, false, &fitted(text, WIDTH - 2 * MARGIN, LETTER));
    }

    /// What the strokes mean.
    pub(super) fn legend(&mut self) {
        self.y += 30;
        let y = self.y - 4;
        let samples = [
            (State::Out, "dashed and crossed: out"),
            (State::New, "thick: new"),
            (State::Changed, "plain: stays, changed as written"),
            (State::Unchanged, "thin: unchanged"),
        ];
        let mut x = MARGIN;
        for (state, words) in samples {
            self.stroke(format!("M {x} {} H {}", y - 4, x + 56), state);
            if state == State::Out {
                self.cross((x + 28, y - 4));
            }
            self.text((x + 64, y), TEXT, false, false, words);
            x += 64 + words.len() as i32 * 7 + 26;
        }
        self.y += 6;
    }

    /// One loom: its ends in two columns, its lines between them.
    pub(super) fn loom(&mut self, loom: &Loom) {
        self.y += 34;
        self.text((MARGIN, self.y - 6), 16, true, false, &fitted(&format!("loom {}", loom.name), WIDTH - 2 * MARGIN, 10));
        self.y += 8;
        let sides = sides(&loom.lines);
        let top = self.y;
        let mut left = Column::new(loom, &sides, false);
        left.place(top);
        let mut right = Column::new(loom, &sides, true);
        // A box is near the lines that come to it.
        let heights: BTreeMap<usize, i32> = left.lines();
        right.boxes.sort_by_key(|it| {
            let ys: Vec<i32> = it.lines().filter_map(|line| heights.get(&line).copied()).collect();
            (ys.iter().sum::<i32>() / (ys.len() as i32).max(1), it.key.clone())
        });
        right.place(top);
        let (starts, ends) = (left.lines(), right.lines());
        let (from, to) = (MARGIN + BOX + LEFT_STRIP, WIDTH - MARGIN - BOX - RIGHT_STRIP);
        let (inner_left, inner_right) = (MARGIN + BOX, WIDTH - MARGIN - BOX);
        let middle = i32::midpoint(from, to);
        for (at, line) in loom.lines.iter().enumerate() {
            let (Some(start), Some(end)) = (starts.get(&at), ends.get(&at)) else { continue };
            let data = format!("M {inner_left} {start} H {from} C {middle} {start} {middle} {end} {to} {end} H {inner_right}");
            self.stroke(data, line.state);
            // At its ends, where no other line comes near.
            if line.state == State::Out {
                self.cross((from + 8, *start));
                self.cross((to - 8, *end));
            }
        }
        self.column(&left, false);
        self.column(&right, true);
        self.y = left.bottom.max(right.bottom) + 6;
    }

    fn column(&mut self, column: &Column<'_>, is_right: bool) {
        let x = if is_right { WIDTH - MARGIN - BOX } else { MARGIN };
        for one in &column.boxes {
            let state = one.end.state;
            let thick = if state == State::New { 4 } else { 2 };
            self.shapes.push(Shape::Box { at: (x, one.y), size: (BOX, one.height()), thick, dashed: state == State::Out });
            let word = match state {
                State::Out => "  (out)",
                State::New => "  (new)",
                State::Changed | State::Unchanged => "",
            };
            let mut y = one.y + 19;
            self.text((x + 10, y), 15, true, false, &fitted(&format!("{}{word}", one.end.name), BOX - 20, 10));
            for words in &one.words {
                y += ROW;
                self.text((x + 10, y), SMALL, false, false, words);
            }
            for row in &one.rows {
                self.row(row, x, is_right);
            }
            if one.more > 0 {
                let text = format!("and {} more, unchanged", one.more);
                self.text((x + 10, one.y + one.height() - 7), SMALL, false, true, &text);
            }
        }
    }

    fn row(&mut self, row: &Row, x: i32, is_right: bool) {
        self.shapes.push(Shape::Path {
            data: format!("M {x} {} H {}", row.y, x + BOX),
            colour: "#cccccc",
            thick: 1,
            dashed: false,
        });
        let mut y = row.y + 16;
        self.text((x + 10, y), TEXT, true, false, &fitted(&row.cavity, 40, LETTER));
        for words in &row.words {
            self.text((x + 54, y), SMALL, false, false, words);
            y += ROW;
        }
        let mut y = row.y;
        for slot in &row.slots {
            let strip = if is_right { RIGHT_STRIP } else { LEFT_STRIP };
            let room = strip - 20;
            let mut baseline = y + 14;
            for (lead, text) in slot.lines(room) {
                let at = (if is_right { x - 10 } else { x + BOX + 10 }, baseline);
                let grey = slot.state == State::Unchanged;
                self.texts.push(Shape::Text { at, size: SMALL, bold: false, grey, right: is_right, lead, text });
                baseline += ROW;
            }
            y += slot.height();
            if slot.line.is_none() {
                let (from, to) = if is_right { (x - room, x) } else { (x + BOX, x + BOX + room) };
                self.stroke(format!("M {from} {} H {to}", y - 5), State::Unchanged);
            }
        }
    }

    fn text(&mut self, at: (i32, i32), size: i32, bold: bool, grey: bool, text: &str) {
        self.texts.push(Shape::Text { at, size, bold, grey, right: false, lead: String::new(), text: text.to_owned() });
    }

    fn stroke(&mut self, data: String, state: State) {
        let (colour, thick, dashed) = match state {
            State::Out => (OUT, 2, true),
            State::New => (NEW, 5, false),
            State::Changed => (BLACK, 2, false),
            State::Unchanged => (GREY, 1, false),
        };
        self.shapes.push(Shape::Path { data, colour, thick, dashed });
    }

    /// The cross-stroke of a wire that is out.
    fn cross(&mut self, (x, y): (i32, i32)) {
        let data = format!("M {} {} L {} {} M {} {} L {} {}", x - 7, y - 7, x + 7, y + 7, x - 7, y + 7, x + 7, y - 7);
        self.shapes.push(Shape::Path { data, colour: OUT, thick: 3, dashed: false });
    }
}

/// Which end of each line goes to the left column: 0 or 1.
fn sides(lines: &[Line]) -> Vec<usize> {
    let mut columns: [BTreeSet<&Key>; 2] = Default::default();
    let mut chosen = Vec::with_capacity(lines.len());
    for line in lines {
        let [a, b] = &line.ends;
        let cost = |left: &Key, right: &Key| {
            let [lefts, rights] = &columns;
            // One more box costs one, a box that is on the other side already costs two.
            let one = |key: &Key, here: &BTreeSet<&Key>, there: &BTreeSet<&Key>| {
                if here.contains(key) { 0 } else { 1 + u8::from(there.contains(key)) }
            };
            one(left, lefts, rights) + one(right, rights, lefts)
        };
        let left = usize::from(cost(&b.end, &a.end) < cost(&a.end, &b.end));
        let (first, second) = if left == 0 { (a, b) } else { (b, a) };
        let [lefts, rights] = &mut columns;
        lefts.insert(&first.end);
        rights.insert(&second.end);
        chosen.push(left);
    }
    chosen
}

#[cfg(test)]
mod tests {
    use super::{
        super::column::natural,
        super::model::{End, Line, Loom, Spot, State},
        Inventory, LETTER, Plan, SMALL, Shape, TEXT, WIDTH,
    };
    use harness_core::diff::{Key, Kind};
    use proptest::prelude::*;
    use std::collections::BTreeMap;

    /// Left, top, right and bottom of each label, as wide as letters may be.
    fn labels(plan: &Plan) -> Vec<((i32, i32, i32, i32), String)> {
        let of = |shape: &Shape| {
            let Shape::Text { at: (x, y), size, right, lead, text, .. } = shape else { return None };
            let letter = if *size <= TEXT.max(SMALL) { LETTER } else { 10 };
            let letters = format!("{lead}{}{text}", if lead.is_empty() || text.is_empty() { "" } else { "  " });
            let width = letters.chars().count() as i32 * letter;
            let left = if *right { x - width } else { *x };
            (width > 0).then(|| ((left, y - size + 2, left + width, y + 2), letters))
        };
        plan.shapes.iter().filter_map(of).collect()
    }

    fn name() -> impl Strategy<Value = String> {
        prop_oneof!["[A-Z][0-9]{1,2}", "[a-z-]{1,60}", "[0-9]{1,4}"]
    }

    fn words() -> impl Strategy<Value = Vec<String>> {
        prop::collection::vec("[a-z0-9 .]{1,50}", 0..5)
    }

    fn state() -> impl Strategy<Value = State> {
        prop_oneof![Just(State::Out), Just(State::New), Just(State::Changed)]
    }

    fn loom() -> impl Strategy<Value = Loom> {
        let end = (name(), state(), words(), prop::collection::vec((0..30_u8, "[a-z ]{1,40}"), 0..12));
        let line = (name(), state(), words(), (0..6_usize, 0..30_u8), (0..6_usize, 0..30_u8));
        (prop::collection::vec(end, 6), prop::collection::vec(line, 1..25)).prop_map(|(ends, lines)| {
            let key = |at: usize| Key::new(Kind::End, format!("front.{at}"));
            let spot = |(end, cavity): (usize, u8)| Spot { end: key(end), cavity: cavity.to_string() };
            let ends = ends.into_iter().enumerate().map(|(at, (name, state, words, beside))| {
                let signals: BTreeMap<String, Vec<String>> =
                    beside.iter().map(|(cavity, words)| (cavity.to_string(), vec![words.clone()])).collect();
                let beside = beside.into_iter().map(|(cavity, words)| (cavity.to_string(), words)).collect();
                (key(at), End { name, state, words, signals, beside })
            });
            let lines =
                lines.into_iter().map(|(name, state, words, from, to)| Line { name, state, ends: [spot(from), spot(to)], words });
            Loom { name: "front".to_owned(), lines: lines.collect(), ends: ends.collect() }
        })
    }

    proptest! {
        #[test]
        fn no_label_lies_on_another_or_leaves_the_picture(loom in loom()) {
            let mut inventory = Inventory::new();
            inventory.title("Terrace tractor");
            inventory.legend();
            inventory.loom(&loom);
            inventory.words("below");
            let plan = inventory.finish();
            let labels = labels(&plan);
            for (at, (one, text)) in labels.iter().enumerate() {
                prop_assert!(one.0 >= 0 && one.2 <= WIDTH && one.3 <= plan.height, "{text} {one:?}");
                for (other, words) in &labels[at + 1..] {
                    let apart = one.2 <= other.0 || other.2 <= one.0 || one.3 <= other.1 || other.3 <= one.1;
                    prop_assert!(apart, "`{text}` {one:?} and `{words}` {other:?}");
                }
            }
            // Every wire is drawn at both of its ends.
            let drawn = plan.shapes.iter().filter(|shape| matches!(shape, Shape::Path { data, .. } if data.contains(" C "))).count();
            prop_assert_eq!(drawn, loom.lines.len());
        }
    }

    #[test]
    fn cavities_stand_as_people_count() {
        let mut cavities = ["10", "2", "A", "1"];
        cavities.sort_by_key(|cavity| natural(cavity));
        assert_eq!(cavities, ["1", "2", "10", "A"]);
    }
}
