//! A block of a net: its run straight, what leaves it on levels below, the leftmost furthest down, so that no line crosses another.

use super::{block::Cutter, mark::Mark, shelf::Size};
use crate::render::pictures::{
    frame::WIDE,
    stop::{Look, break_at, draw_stop, look},
};
use harness_core::views::{
    function::{Stop, StopKind},
    net::{NetStop, Run},
};
use harness_draw::{LineKind, Point, Sheet, Symbol, Turn};

/// What is written above a line of things, and below it.
const ABOVE: f64 = 30.0;
const BELOW: f64 = 40.0;
/// Between two levels, and from what leaves a run to what is left of it.
const GAP: f64 = 8.0;
const BESIDE: f64 = 10.0;
/// From where something leaves a run to its symbol.
const LEAD: f64 = 20.0;
/// What a cut end takes.
const CUT: f64 = 64.0;
/// From several things at the beginning to the line that joins them.
const RAKE: f64 = 12.0;
/// Between two things at the beginning.
const PITCH: f64 = 44.0;

/// A run from one of its stops on.
#[derive(Clone, Copy)]
pub(super) struct Piece<'n> {
    pub(super) run: &'n Run,
    pub(super) from: usize,
}

impl<'n> Piece<'n> {
    /// The whole of a run.
    pub(super) const fn root(run: &'n Run) -> Self {
        Self { run, from: 0 }
    }
}

/// A run in its place, its line on y = 0 from x = 0 on.
pub(super) struct Laid<'n> {
    /// What is at the left of its beginning, one below the other.
    begin: Vec<Mark>,
    /// From its beginning to its first thing.
    lead: f64,
    looks: Vec<Look<'n>>,
    twigs: Vec<Twig<'n>>,
    end: Option<Mark>,
    /// The room that it takes at the left, to the right, above and below.
    pub(super) left: f64,
    width: f64,
    pub(super) up: f64,
    down: f64,
}

/// What leaves a run.
struct Twig<'n> {
    x: f64,
    /// Whether it leaves at a splice, which is the joint itself.
    at_splice: bool,
    level: f64,
    laid: Laid<'n>,
}

/// Puts a block in its place; `begin` is the letter that it comes from, and the root of a net has none.
pub(super) fn lay<'n>(cutter: &mut Cutter<'n>, piece: Piece<'n>, begin: Option<Mark>) -> Laid<'n> {
    let begin: Vec<Mark> = match begin {
        Some(mark) => vec![mark],
        None => piece.run.begin.iter().map(|end| Mark::of(end, true)).collect(),
    };
    let rake = if begin.len() > 1 { RAKE } else { 0.0 };
    let left = begin.iter().map(Mark::width).fold(0.0, f64::max) + rake;
    let mut laid = run(cutter, piece, WIDE - left - LEAD, LEAD);
    let heights = begin.iter().map(Mark::height);
    let (up, down) = heights
        .enumerate()
        .fold((0.0_f64, 0.0_f64), |(up, down), (at, (above, below))| (up.max(above), down.max(PITCH * at as f64 + below)));
    (laid.up, laid.down, laid.left) = (laid.up.max(up), laid.down.max(down), left);
    laid.begin = begin;
    laid
}

/// The looks of the stops of a run from one on, as many as there is room for, and whether the row ends before the run.
fn looks<'n>(cutter: &Cutter<'n>, Piece { run, from }: Piece<'n>, room: f64, is_block: bool) -> (Vec<Look<'n>>, bool) {
    let mut looks: Vec<Look<'n>> = Vec::new();
    let mut x = 0.0;
    let stops = run.stops.get(from..).unwrap_or_default();
    for (at, NetStop { stop, branches }) in stops.iter().enumerate() {
        if at > 0 && cutter.is_cut(run, from + at) {
            return (looks, true);
        }
        let goes_on =
            at > 0 && matches!(stop.kind, StopKind::Bar(_)) && stops.get(at - 1).is_some_and(|last| last.stop.kind == stop.kind);
        let one = if goes_on { look(stop, "").silent() } else { look(stop, "").stacked() };
        let end = x + one.width;
        let is_last = at + 1 == stops.len();
        let needs = branches.iter().map(least).fold(if is_last { ends_width(run) } else { CUT }, f64::max);
        if end + needs > room && !(is_block && at == 0) {
            let before: Vec<Stop> = stops.iter().take(looks.len() + 1).map(|one| one.stop.clone()).collect();
            looks.truncate(break_at(&before, looks.len()).min(looks.len()));
            return (looks, true);
        }
        x = end;
        looks.push(one);
    }
    (looks, false)
}

/// The least that a branch takes: its first thing and a cut, or its end.
fn least(branch: &Run) -> f64 {
    match branch.stops.first() {
        Some(NetStop { stop, .. }) => {
            look(stop, "").stacked().width + CUT.max(if branch.stops.len() == 1 { ends_width(branch) } else { 0.0 })
        }
        None => ends_width(branch),
    }
}

fn ends_width(run: &Run) -> f64 {
    run.ends.iter().map(|end| Mark::of(end, false).width()).fold(0.0, f64::max) + LEAD + BESIDE
}

/// Lays a run of a block; `lead` is what its line takes before its first thing.
fn run<'n>(cutter: &mut Cutter<'n>, piece: Piece<'n>, room: f64, lead: f64) -> Laid<'n> {
    let Piece { run: own, from } = piece;
    let (looks, is_cut) = looks(cutter, piece, room - lead, lead > 0.0);
    let mut laid =
        Laid { begin: Vec::new(), lead, looks, twigs: Vec::new(), end: None, left: 0.0, width: 0.0, up: 0.0, down: 0.0 };
    let mut places: Vec<(f64, bool, &'n Run)> = Vec::new();
    if from == 0 {
        places.extend(own.branches.iter().map(|branch| (lead, false, branch)));
    }
    let mut x = lead;
    for (look, NetStop { branches, .. }) in laid.looks.iter().zip(own.stops.iter().skip(from)) {
        let end = x + look.width;
        let (joint, at_splice) = look.joint(x, end);
        places.extend(branches.iter().map(|branch| (joint, at_splice, branch)));
        x = end;
    }
    let until = from + laid.looks.len();
    let mut more: Vec<Laid<'n>> = Vec::new();
    if is_cut {
        let letter = cutter.cut_at(own, until).unwrap_or_else(|| cutter.cut(own, until));
        laid.end = Some(Mark::letter(letter, true));
    } else {
        let mut ends = own.ends.iter().map(|end| Mark::of(end, false));
        laid.end = ends.next();
        more.extend(ends.map(Laid::of_end));
    }
    let (above, below) = laid.end.as_ref().map_or((0.0, 0.0), Mark::height);
    let has_things = !laid.looks.is_empty();
    laid.up = if has_things { ABOVE.max(above) } else { above };
    laid.down = if has_things { BELOW.max(below) } else { below };
    laid.width = x + LEAD + laid.end.as_ref().map_or(0.0, Mark::width);
    let twigs = places.into_iter().map(|(x, at_splice, branch)| (x, at_splice, twig(cutter, branch, room - x)));
    let mut twigs: Vec<(f64, bool, Laid<'n>)> = twigs.collect();
    twigs.extend(more.into_iter().map(|end| (x, false, end)));
    laid.hang(twigs);
    laid
}

/// What leaves a run: a run of its own, or a letter where it is cut off.
fn twig<'n>(cutter: &mut Cutter<'n>, branch: &'n Run, room: f64) -> Laid<'n> {
    if let Some(letter) = cutter.cut_at(branch, 0) {
        return Laid::of_end(Mark::letter(letter, true));
    }
    run(cutter, Piece::root(branch), room, 0.0)
}

impl<'n> Laid<'n> {
    /// Nothing but an end.
    fn of_end(end: Mark) -> Self {
        let (up, down) = end.height();
        let width = LEAD + end.width();
        Self { begin: Vec::new(), lead: 0.0, looks: Vec::new(), twigs: Vec::new(), end: Some(end), left: 0.0, width, up, down }
    }

    /// Gives what leaves it a level each: from the right, each as near as nothing is in its way; those of one place in their order.
    fn hang(&mut self, twigs: Vec<(f64, bool, Laid<'n>)>) {
        let base = self.down;
        // What is taken: from where to where, and how far down.
        let mut taken: Vec<(f64, f64, f64)> = Vec::new();
        let mut order: Vec<(usize, f64, bool, Laid<'n>)> =
            twigs.into_iter().enumerate().map(|(at, (x, at_splice, laid))| (at, x, at_splice, laid)).collect();
        order.sort_by(|one, other| other.1.total_cmp(&one.1).then(one.0.cmp(&other.0)));
        for (_, x, at_splice, laid) in order {
            let (left, right) = (x - BESIDE, x + laid.width + BESIDE);
            let in_way = taken.iter().filter(|(from, to, _)| *from < right && left < *to);
            let level = (in_way.map(|(_, _, down)| *down).fold(base, f64::max) + GAP + laid.up).ceil();
            taken.push((left, right, level + laid.down));
            self.down = self.down.max(level + laid.down);
            self.width = self.width.max(x + laid.width);
            self.twigs.push(Twig { x, at_splice, level, laid });
        }
    }

    /// What it takes, with whole numbers for its corner.
    pub(super) fn size(&self) -> Size {
        Size { width: self.left.ceil() + self.width, height: self.up.ceil() + self.down }
    }

    /// Draws it with its line beginning at `at`.
    pub(super) fn draw(&self, sheet: &mut Sheet, kind: LineKind, at: Point) {
        self.beginning(sheet, kind, at);
        let mut x = at.by(self.lead, 0.0);
        if self.end.is_some() || !self.looks.is_empty() || !self.twigs.is_empty() {
            sheet.line(kind, &[at, x], None);
        }
        for look in &self.looks {
            let end = x.by(look.width, 0.0);
            draw_stop(sheet, kind, look, x, end);
            x = end;
        }
        if let Some(end) = &self.end {
            let mark = x.by(LEAD, 0.0);
            sheet.line(kind, &[x, mark], None);
            end.draw(sheet, kind, mark, 1.0);
        }
        let joint = if kind.is_class_b() { Symbol::WideJoint } else { Symbol::Joint };
        // How far down the line of a place is drawn.
        let mut drawn: Option<(f64, f64)> = None;
        for twig in &self.twigs {
            let from = match drawn {
                Some((x, level)) if x == twig.x => level,
                Some(_) | None => 0.0,
            };
            let corner = at.by(twig.x, from);
            if from > 0.0 || !twig.at_splice {
                sheet.symbol(joint, corner, Turn::None, kind, None);
            }
            let level = at.by(twig.x, twig.level);
            sheet.line(kind, &[corner, level], None);
            twig.laid.draw(sheet, kind, level);
            drawn = Some((twig.x, twig.level));
        }
    }

    /// What is at the left of its beginning.
    fn beginning(&self, sheet: &mut Sheet, kind: LineKind, at: Point) {
        let joint = if kind.is_class_b() { Symbol::WideJoint } else { Symbol::Joint };
        for (number, mark) in self.begin.iter().enumerate() {
            let place = at.by(0.0, PITCH * number as f64);
            let end = if self.begin.len() > 1 { place.by(-RAKE, 0.0) } else { place };
            sheet.line(kind, &[place, end], None);
            mark.draw(sheet, kind, end, -1.0);
            if number + 1 < self.begin.len() {
                sheet.symbol(joint, place, Turn::None, kind, None);
                sheet.line(kind, &[place, place.by(0.0, PITCH)], None);
            }
        }
    }
}
