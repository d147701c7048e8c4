//! Where everything is: boxes in two columns, a strip for each line beside its box, tracks between the strips.
//!
//! An end that has wires to both sides is in both columns. Strips follow each other within a box and boxes within a column, so
//! labels do not overlap. A line goes straight from its strip to its track, up or down that, and straight to its other strip; lines share a track
//! where they do not meet.

use super::{
    column::{BOX, Column, GAP, ROW, Row, Slot},
    model::{Line, Loom, State},
};
use harness_core::diff::Key;
use harness_draw::{Anchor, Ink, LineKind, Point, Rect, Sheet, Text, ThingId};
use std::collections::{BTreeMap, BTreeSet};

/// Room for labels beside the boxes of each column.
const LEFT_STRIP: f64 = 250.0;
const RIGHT_STRIP: f64 = 200.0;
/// Between two tracks, and from the strips to the first.
const TRACK: f64 = 14.0;
/// Widest line of words.
const WIDE: f64 = 1012.0;

/// The line of a state.
const fn kind(state: State) -> LineKind {
    match state {
        State::Out => LineKind::Out,
        State::New => LineKind::New,
        State::Changed => LineKind::Changed,
        State::Unchanged => LineKind::Same,
    }
}

/// What the lines mean; gives where the next may begin.
pub(super) fn legend(sheet: &mut Sheet, y: f64) -> f64 {
    let samples = [
        (State::Out, "dashed and crossed: out"),
        (State::New, "triangles: new"),
        (State::Changed, "double: stays, changed as written"),
        (State::Unchanged, "thin: the same"),
    ];
    let mut x = 0.0;
    for (state, words) in samples {
        sheet.line(kind(state), &[Point::new(x, y + 10.0), Point::new(x + 56.0, y + 10.0)], None);
        let text = Text::small(words);
        let width = text.width();
        sheet.text(Point::new(x + 66.0, y + 14.0), Anchor::Start, text, None);
        x += 66.0 + width + 26.0;
    }
    y + 26.0
}

/// One loom: its ends in two columns, its lines between them; gives where it ends.
pub(super) fn loom(sheet: &mut Sheet, loom: &Loom, y: f64) -> f64 {
    // Lines of the left column are at whole tens and five, those of the right one at whole tens.
    let top = (y / 10.0).ceil() * 10.0 + 40.0;
    sheet.text(Point::new(0.0, top - 12.0), Anchor::Start, Text::bold(format!("loom {}", loom.name)).within(WIDE), None);
    let sides = sides(&loom.lines);
    let mut left = Column::new(loom, &sides, false);
    left.place(top);
    let mut right = Column::new(loom, &sides, true);
    // A box is near the lines that come to it.
    let starts = left.lines();
    right.boxes.sort_by(|one, other| {
        let mean = |it: &super::column::Standing<'_>| {
            let ys: Vec<f64> = it.lines().filter_map(|line| starts.get(&line).copied()).collect();
            ys.iter().sum::<f64>() / (ys.len() as f64).max(1.0)
        };
        mean(one).total_cmp(&mean(other)).then_with(|| one.key.cmp(&other.key))
    });
    right.place(top + 5.0);
    let ends = right.lines();
    let levels: Vec<Option<(f64, f64)>> = (0..loom.lines.len()).map(|at| Some((*starts.get(&at)?, *ends.get(&at)?))).collect();
    let tracks = tracks(&levels);
    let count = tracks.iter().flatten().max().map_or(0, |most| most + 1);
    let from = BOX + LEFT_STRIP;
    let to = (from + (count + 1) as f64 * TRACK).max(WIDE - BOX - RIGHT_STRIP);
    let far = to + RIGHT_STRIP;
    // In the middle of the room that there is.
    let first = from + (to - from - count.saturating_sub(1) as f64 * TRACK) / 2.0;
    let mut things: BTreeMap<&str, ThingId> = BTreeMap::new();
    for line in &loom.lines {
        things.entry(&line.name).or_insert_with(|| sheet.thing(&line.name, format!("wire {}", line.name)));
    }
    for ((line, level), track) in loom.lines.iter().zip(&levels).zip(&tracks) {
        let (Some((start, end)), Some(track)) = (level, track) else { continue };
        let x = first + *track as f64 * TRACK;
        let way = [Point::new(BOX, *start), Point::new(x, *start), Point::new(x, *end), Point::new(far, *end)];
        sheet.line(kind(line.state), &way, things.get(line.name.as_str()).copied());
    }
    let drawn = Drawn { things: &things, lines: &loom.lines };
    drawn.column(sheet, &left, 0.0);
    drawn.column(sheet, &right, far);
    left.bottom.max(right.bottom)
}

/// The track of each line, counted from the left. Of two lines that meet, the one that leaves the other's way first is nearer to where it comes
/// from, so that they cross only where they must.
fn tracks(levels: &[Option<(f64, f64)>]) -> Vec<Option<usize>> {
    let mut order: Vec<(usize, f64, f64)> =
        levels.iter().enumerate().filter_map(|(at, level)| level.map(|(from, to)| (at, from, to))).collect();
    let key = |(_, from, to): &(usize, f64, f64)| if to >= from { (0, -from) } else { (1, *from) };
    order.sort_by(|one, other| {
        let (one, other) = (key(one), key(other));
        one.0.cmp(&other.0).then(one.1.total_cmp(&other.1))
    });
    let mut taken: Vec<Vec<(f64, f64)>> = Vec::new();
    let mut tracks = vec![None; levels.len()];
    for (at, from, to) in order {
        let (low, high) = (from.min(to) - 8.0, from.max(to) + 8.0);
        let meets = |lines: &Vec<(f64, f64)>| lines.iter().any(|(top, bottom)| *top < high && low < *bottom);
        let track = taken.iter().rposition(meets).map_or(0, |last| last + 1);
        if track == taken.len() {
            taken.push(Vec::new());
        }
        taken.get_mut(track).into_iter().for_each(|lines| lines.push((low, high)));
        tracks.get_mut(at).into_iter().for_each(|slot| *slot = Some(track));
    }
    tracks
}

/// What the columns refer to.
struct Drawn<'a> {
    things: &'a BTreeMap<&'a str, ThingId>,
    lines: &'a [Line],
}

impl Drawn<'_> {
    fn column(&self, sheet: &mut Sheet, column: &Column<'_>, x: f64) {
        for one in &column.boxes {
            let rect = Rect::at(Point::new(x, one.y), BOX, one.height());
            let (frame, word) = match one.end.state {
                State::Out => (LineKind::Screen, "  (out)"),
                State::New => (LineKind::Outline, "  (new)"),
                State::Changed => (LineKind::Outline, ""),
                State::Unchanged => (LineKind::Rule, ""),
            };
            sheet.frame(frame, rect, None);
            let mut y = one.y + 19.0;
            let name = Text::bold(format!("{}{word}", one.end.name)).within(BOX - 20.0);
            sheet.text(Point::new(x + 10.0, y), Anchor::Start, name, None);
            for words in &one.words {
                y += ROW;
                sheet.text(Point::new(x + 10.0, y), Anchor::Start, Text::small(words), None);
            }
            for row in &one.rows {
                self.row(sheet, row, x, column.is_right);
            }
            if one.more > 0 {
                let text = Text::small(format!("and {} more, the same", one.more)).ink(Ink::Grey);
                sheet.text(Point::new(x + 10.0, rect.most.y - 6.0), Anchor::Start, text, None);
            }
        }
    }

    fn row(&self, sheet: &mut Sheet, row: &Row, x: f64, is_right: bool) {
        sheet.line(LineKind::Grid, &[Point::new(x, row.y), Point::new(x + BOX, row.y)], None);
        let mut y = row.y + 16.0;
        sheet.text(Point::new(x + 10.0, y), Anchor::Start, Text::small(&row.cavity).strong().within(40.0), None);
        for words in &row.words {
            sheet.text(Point::new(x + 56.0, y), Anchor::Start, Text::small(words), None);
            y += ROW;
        }
        let mut y = row.y;
        for slot in &row.slots {
            self.slot(sheet, slot, (x, y), is_right);
            y += slot.height();
        }
    }

    fn slot(&self, sheet: &mut Sheet, slot: &Slot, (x, y): (f64, f64), is_right: bool) {
        let room = if is_right { RIGHT_STRIP } else { LEFT_STRIP } - 20.0;
        let of = slot.line.and_then(|line| self.things.get(self.lines.get(line)?.name.as_str())).copied();
        let ink = if slot.state == State::Unchanged { Ink::Grey } else { Ink::Black };
        let mut baseline = y + 13.0;
        for (lead, words) in slot.lines(room) {
            let (lead, words) = (Text::small(lead).strong().ink(ink), Text::small(words).ink(ink));
            if is_right {
                let beside = if words.width() > 0.0 { words.width() + GAP } else { 0.0 };
                sheet.text(Point::new(x - 10.0, baseline), Anchor::End, words, of);
                sheet.text(Point::new(x - 10.0 - beside, baseline), Anchor::End, lead, of);
            } else {
                let beside = if lead.width() > 0.0 { lead.width() + GAP } else { 0.0 };
                sheet.text(Point::new(x + BOX + 10.0, baseline), Anchor::Start, lead, of);
                sheet.text(Point::new(x + BOX + 10.0 + beside, baseline), Anchor::Start, words, of);
            }
            baseline += ROW;
        }
        if slot.line.is_none() {
            let (from, to) = if is_right { (x - room, x) } else { (x + BOX, x + BOX + room) };
            let level = y + slot.height() - 5.0;
            sheet.line(LineKind::Same, &[Point::new(from, level), Point::new(to, level)], of);
        }
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
        legend, loom as draw,
    };
    use harness_core::diff::{Key, Kind};
    use harness_draw::{Links, Sheet};
    use proptest::prelude::*;
    use std::collections::{BTreeMap, BTreeSet};

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
        fn no_label_is_on_another_or_on_a_line(loom in loom()) {
            let mut sheet = Sheet::new("diff", "Terrace tractor", "");
            let y = legend(&mut sheet, 0.0);
            draw(&mut sheet, &loom, y);
            let drawing = sheet.clone().finish();
            let measured = drawing.measured();
            prop_assert!(measured.is_clean(), "{measured:#?}");
            prop_assert!(measured.most_bends <= 2);
            // Every wire is drawn once, and written at both of its ends.
            let names: BTreeSet<&str> = loom.lines.iter().map(|line| line.name.as_str()).collect();
            prop_assert_eq!(drawing.drawn().collect::<BTreeSet<_>>(), names);
            let svg = drawing.svg(&Links::none());
            prop_assert_eq!(svg, sheet.finish().svg(&Links::none()));
        }
    }

    #[test]
    fn cavities_are_in_the_order_in_which_people_count() {
        let mut cavities = ["10", "2", "A", "1"];
        cavities.sort_by_key(|cavity| natural(cavity));
        assert_eq!(cavities, ["1", "2", "10", "A"]);
    }
}
