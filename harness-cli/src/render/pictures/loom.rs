//! How a loom is laid out: the longest way through it straight, branches off it at right angles in their lengths, what hangs where.
//!
//! To scale: a length along a line is that of the branch, and a break mark says where it is not. Only what the design says is drawn: branches
//! whose nodes are not given are lines of their own, and an end of which only the branch is known hangs at the middle of it.

mod paths;
mod words;

use self::{
    paths::{Forest, Path, Stretch},
    words::{Hung, is_mixed},
};
use super::frame::{WIDE, class_b, heading, notes};
use crate::phrase::counted;
use harness_core::bench::{Branch, Layout};
use harness_draw::{Anchor, Drawing, LineKind, Point, Rect, Sheet, Symbol, Text, ThingId, Turn};

/// Scales that a drawing may have, the largest first.
const SCALES: [u32; 4] = [1, 2, 5, 10];
const LAST: u32 = 20;
/// Units of a millimetre on paper.
const UNITS: f64 = 4.0;
/// The width of a sheet of paper and its height, in landscape inside the margins that every printer leaves.
const PAPER: (f64, f64) = (1040.0, 760.0);
/// Between two looms of branches that are not joined.
const APART: f64 = 20.0;
/// Half of the length of a break mark.
const BREAK: f64 = 9.0;

/// Draws a loom in the largest scale in which a sheet is wide enough, else as small as a scale may be.
#[must_use]
pub fn draw(layout: &Layout, design: &str) -> Drawing {
    let scaled = |scale: u32| scaled(layout, design, scale);
    // One that is higher than a sheet goes on below; one that is wider is hard to follow.
    SCALES.into_iter().map(scaled).find(|drawing| drawing.size().0 <= PAPER.0).unwrap_or_else(|| scaled(LAST))
}

/// Draws a loom in a scale on as many sheets as it needs.
#[must_use]
pub fn sheets(layout: &Layout, design: &str, scale: u32) -> Vec<Drawing> {
    scaled(layout, design, scale.max(1)).sheets(PAPER.0, PAPER.1)
}

/// Draws a loom: one millimetre on paper is `scale` millimetres of it.
fn scaled(layout: &Layout, design: &str, scale: u32) -> Drawing {
    let title = format!("Layout of loom {}", layout.loom);
    let units = UNITS / f64::from(scale);
    let forest = Forest::of(layout, units);
    let has_length = layout.branches.iter().any(|branch| branch.length.is_some());
    let mut sheet = Sheet::new("loom", &title, about(layout));
    let said = if has_length { format!("Scale 1:{scale}, in millimetres") } else { "Not to scale".to_owned() };
    let design = if design.is_empty() { said } else { format!("{design}. {said}") };
    let mut y = heading(&mut sheet, &title, &[design]);
    if layout.has_class_b {
        y = class_b(&mut sheet, y, true);
    }
    if has_length {
        y = ruler(&mut sheet, y, scale);
    }
    let mut right = WIDE;
    let mut drawn = Drawn { layout, sheet: &mut sheet };
    for path in &forest.paths {
        let at = Point::new(20.0 + path.left, y + path.up);
        drawn.path(path, at);
        y = at.y + path.down;
        right = right.max(at.x + path.width);
        if path.is_trunk {
            y = drawn.dimensions(path, at, y);
        }
        y += APART;
    }
    notes(&mut sheet, y, below(layout, &forest));
    sheet.reserve(Rect::at(Point::default(), right, y));
    sheet.finish()
}

fn about(layout: &Layout) -> String {
    let ends = counted(layout.wires_of_ends.len(), "end");
    let lengths: Vec<f64> = layout.branches.iter().filter_map(|branch| branch.length).map(|length| length.get()).collect();
    let together = if lengths.is_empty() { String::new() } else { format!(", {:.2} m together", lengths.iter().sum::<f64>()) };
    match layout.branches.len() {
        0 => format!("loom {} with {ends}; where it branches is not given", layout.loom),
        branches => format!("{} of loom {}{together}, {ends}", counted(branches, "branch"), layout.loom),
    }
}

/// A line of a round length, by which a print is checked; gives where the drawing may begin.
fn ruler(sheet: &mut Sheet, y: f64, scale: u32) -> f64 {
    let (left, length) = (20.0, 50.0 * UNITS);
    let at = y + 22.0;
    sheet.line(LineKind::Rule, &[Point::new(left, at), Point::new(left + length, at)], None);
    for step in 0..=5 {
        let x = left + length * f64::from(step) / 5.0;
        sheet.line(LineKind::Rule, &[Point::new(x, at - 4.0), Point::new(x, at + 4.0)], None);
    }
    sheet.text(Point::new(left, at - 8.0), Anchor::Middle, Text::small("0"), None);
    sheet.text(Point::new(left + length, at - 8.0), Anchor::Middle, Text::small(format!("{}", 50 * scale)), None);
    let words = "mm; 50 mm on paper: measure it before trusting a print";
    sheet.text(Point::new(left + length + 40.0, at + 4.0), Anchor::Start, Text::small(words), None);
    at + 24.0
}

/// What is below the drawing.
fn below(layout: &Layout, forest: &Forest<'_>) -> Vec<String> {
    let mut lines = Vec::new();
    let mut say = |names: &[String], what: &str| {
        if !names.is_empty() {
            lines.push(format!("{what}: {}.", names.join(", ")));
        }
    };
    let names = |pick: fn(&Branch) -> bool| -> Vec<String> {
        layout.branches.iter().filter(|branch| pick(branch)).map(|branch| branch.name.clone()).collect()
    };
    say(
        &names(|branch| branch.nodes.iter().any(String::is_empty)),
        "Not given how these are joined (`from` and `to`), each is drawn by itself",
    );
    say(&names(|branch| branch.length.is_none()), "Without a length");
    say(&forest.rings, "These close a ring, each is drawn by itself");
    let reached: Vec<&String> =
        layout.branches.iter().flat_map(|branch| branch.reached.iter().flatten()).map(|one| &one.end).collect();
    let nowhere: Vec<String> = layout.unplaced.iter().filter(|end| !reached.contains(end)).cloned().collect();
    say(&nowhere, "Ends of which neither `at` nor a wire says where they hang, not drawn");
    say(&layout.unrouted, "Wires of which no branch is given (`via`), not counted");
    if forest.has_broken {
        lines.push("Two strokes across a line: it is not drawn in its length, the figure holds.".to_owned());
    }
    if layout.branches.iter().any(is_mixed) {
        lines.push("Both voltage classes in one branch: class B is the wide line below that of class A.".to_owned());
    }
    let marks = [
        ("a box is a grommet or conduit that it goes through", layout.branches.iter().any(|branch| branch.passage.is_some())),
        ("a ring says that it moves", layout.branches.iter().any(|branch| branch.moves)),
        ("dashes are a barrier", layout.branches.iter().any(|branch| branch.has_barrier && is_mixed(branch))),
    ];
    let marks: Vec<&str> = marks.into_iter().filter(|(_, is_there)| *is_there).map(|(words, _)| words).collect();
    if !marks.is_empty() {
        lines.push(format!("On a line {}; where on the branch is not given.", marks.join(", ")));
    }
    if layout.branches.iter().any(|branch| branch.diameter.is_some()) {
        lines.push("Diameter: of the bundle as a hand lays it, without its covering.".to_owned());
    }
    lines
}

/// A sheet that is drawn on, and what is drawn.
struct Drawn<'a, 's> {
    layout: &'a Layout,
    sheet: &'s mut Sheet,
}

impl Drawn<'_, '_> {
    /// A path from `at` to the right, with all that leaves it.
    fn path(&mut self, path: &Path<'_>, at: Point) {
        let end = at.by(path.length, 0.0);
        for stretch in &path.stretches {
            let (from, to) = (at.by(stretch.from, 0.0), at.by(stretch.to, 0.0));
            let thing = self.thing(stretch.branch);
            self.sheet.line(kind(stretch.branch), &[from, to], Some(thing));
            self.other_class(stretch, (from, to), thing);
            self.marks(stretch.branch, to, thing);
            self.named(stretch, (from, to), thing);
        }
        for side in &path.sides {
            let (foot, level) = (at.by(side.x, 0.0), at.by(side.x, side.level));
            match side.path.stretches.first() {
                Some(stretch) => {
                    let thing = self.thing(stretch.branch);
                    // The line begins at the one that it leaves and turns where it has room.
                    self.sheet.line(kind(stretch.branch), &[foot, level], Some(thing));
                }
                None => self.sheet.line(LineKind::Rule, &[foot, level, level.by(16.0, 0.0)], None),
            }
            self.path(&side.path, level);
        }
        self.hung(&path.hung, if path.stretches.is_empty() { at.by(16.0, 0.0) } else { end });
        self.before(&path.before, at);
        for (x, _) in &path.nodes {
            self.sheet.dot(LineKind::Outline, at.by(*x, 0.0), 4.0, None);
        }
    }

    fn thing(&mut self, branch: &Branch) -> ThingId {
        let key = format!("{}.{}", self.layout.loom, branch.name);
        let title = format!("branch {key}, {}", words::length(branch));
        self.sheet.thing(key, title)
    }

    /// Voltage class B on a line of its own, where class A runs in the same branch; between them a barrier, if there is one.
    fn other_class(&mut self, stretch: &Stretch<'_>, (from, to): (Point, Point), thing: ThingId) {
        if !is_mixed(stretch.branch) {
            return;
        }
        // Clear of what leaves the nodes downward, and of what hangs at its end.
        let (left, right) = (from.by(stretch.bare + 10.0, 0.0), to.by(-24.0, 0.0));
        let line = |down: f64| [left.by(0.0, down), right.by(0.0, down)];
        self.sheet.line(LineKind::BundleB, &line(paths::CLASSES), Some(thing));
        if stretch.branch.has_barrier {
            self.sheet.line(LineKind::Driven, &line(paths::CLASSES / 2.0), Some(thing));
        }
    }

    /// What a branch goes through and where it moves: the design says that it does, not where.
    fn marks(&mut self, branch: &Branch, to: Point, thing: ThingId) {
        let mut x = to.x - paths::tail(branch) + paths::MARK / 2.0;
        if branch.passage.is_some() {
            let rect = Rect::at(Point::new(x - 3.0, to.y - 9.0), 6.0, 18.0);
            self.sheet.frame(LineKind::Outline, rect, Some(thing));
            x += paths::MARK;
        }
        if branch.moves {
            self.sheet.symbol(Symbol::Stud, Point::new(x, to.y), Turn::None, kind(branch), Some(thing));
        }
    }

    /// The name and the length above a branch, what is in it below.
    fn named(&mut self, stretch: &Stretch<'_>, (from, to): (Point, Point), thing: ThingId) {
        let (left, right) = (from.x.max(from.x + stretch.bare), to.x);
        let words = words::words(stretch.branch, stretch.node);
        let start = left + (right - paths::tail(stretch.branch) - left - words.width).max(0.0) / 2.0;
        let both = if is_mixed(stretch.branch) { paths::CLASSES } else { 0.0 };
        self.sheet.text(Point::new(start, from.y - 9.0), Anchor::Start, Text::bold(&words.name), Some(thing));
        let beside = start + Text::bold(&words.name).width() + 10.0;
        self.sheet.text(Point::new(beside, from.y - 9.0), Anchor::Start, Text::plain(&words.length), Some(thing));
        for (row, line) in words.below.iter().enumerate() {
            let at = Point::new(start, from.y + 20.0 + both + 16.0 * row as f64);
            self.sheet.text(at, Anchor::Start, Text::small(line), Some(thing));
        }
        if stretch.is_broken {
            let x = to.x - 36.0;
            for shift in [0.0, 6.0] {
                let a = Point::new(x + shift - 3.0, from.y + BREAK);
                self.sheet.line(LineKind::Outline, &[a, a.by(6.0, -2.0 * BREAK)], Some(thing));
            }
        }
    }

    /// What hangs at a place, one below the other.
    fn hung(&mut self, hung: &[Hung], at: Point) {
        let top = at.y - paths::half(hung.len()) + 13.0;
        for (row, one) in hung.iter().enumerate() {
            let thing = self.sheet.thing(&one.key, &one.words);
            let place = Point::new(at.x + 8.0, top + 18.0 * row as f64);
            self.sheet.text(place, Anchor::Start, Text::bold(&one.name), Some(thing));
            let beside = place.by(Text::bold(&one.name).width() + 8.0, 0.0);
            self.sheet.text(beside, Anchor::Start, Text::small(&one.words), Some(thing));
        }
        self.boxed(hung, at.by(4.0, 0.0), 1.0);
    }

    /// A box round what hangs at a place.
    fn boxed(&mut self, hung: &[Hung], edge: Point, way: f64) {
        if hung.is_empty() {
            return;
        }
        let half = paths::half(hung.len());
        let far = edge.by(way * (paths::width(hung) + 8.0), half);
        self.sheet.frame(LineKind::Rule, Rect::between(edge.by(0.0, -half), far), None);
    }

    /// What hangs at the beginning of a branch.
    fn before(&mut self, hung: &[Hung], at: Point) {
        let half = paths::half(hung.len());
        for (row, one) in hung.iter().enumerate() {
            let thing = self.sheet.thing(&one.key, &one.words);
            let place = Point::new(at.x - 8.0 - paths::width(hung), at.y - half + 13.0 + 18.0 * row as f64);
            let name = Text::bold(&one.name);
            let beside = place.by(name.width() + 8.0, 0.0);
            self.sheet.text(place, Anchor::Start, name, Some(thing));
            self.sheet.text(beside, Anchor::Start, Text::small(&one.words), Some(thing));
        }
        self.boxed(hung, at.by(-4.0, 0.0), -1.0);
    }

    /// The distances of all nodes of a trunk from its beginning, below everything; gives where they end.
    fn dimensions(&mut self, path: &Path<'_>, at: Point, y: f64) -> f64 {
        let level = y + 26.0;
        let mut sum = Some(0.0);
        let put = |sheet: &mut Sheet, (x, room): (f64, f64), sum: Option<f64>| {
            let node = path.nodes.iter().find(|(place, _)| (at.x + place - x).abs() < 0.5);
            let node = node.map(|(_, node)| Text::small(node).within(room - 12.0));
            node.into_iter().for_each(|node| sheet.text(Point::new(x, level + 36.0), Anchor::Middle, node, None));
            sheet.line(LineKind::Grid, &[Point::new(x, at.y), Point::new(x, level + 5.0)], None);
            let words = sum.map_or_else(|| "?".to_owned(), |sum| format!("{sum:.0}"));
            sheet.text(Point::new(x, level + 20.0), Anchor::Middle, Text::small(words), None);
        };
        let first = path.stretches.first().map_or(0.0, |stretch| stretch.to - stretch.from);
        put(self.sheet, (at.x, first), sum);
        for stretch in &path.stretches {
            let (from, to) = (Point::new(at.x + stretch.from, level), Point::new(at.x + stretch.to, level));
            sum = sum.zip(stretch.branch.length).map(|(sum, length)| sum + length.get() * 1000.0);
            self.sheet.line(LineKind::Rule, &[from, to], None);
            let tip = |x: f64, way: f64| format!("M{x:.1},{level:.1}l{:.1},-3v6Z", 9.0 * way);
            let extent = Rect::at(Point::new(from.x, level - 3.0), to.x - from.x, 6.0);
            self.sheet.path(LineKind::Rule, tip(from.x, 1.0) + &tip(to.x, -1.0), true, extent, None);
            let next =
                path.stretches.iter().find(|next| next.from >= stretch.to).map_or(f64::INFINITY, |next| next.to - next.from);
            put(self.sheet, (to.x, (to.x - from.x).min(next)), sum);
        }
        level + 44.0
    }
}

/// The line of a branch; where both classes run in it that of class A, and class B has one of its own.
const fn kind(branch: &Branch) -> LineKind {
    if branch.class_b.is_empty() || !branch.class_a.is_empty() { LineKind::Bundle } else { LineKind::BundleB }
}
