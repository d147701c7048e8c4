//! A row of a way: the things that follow one another on it, with the frames of the devices that they are in.

use crate::render::pictures::stop::{Look, asides_height, break_at, draw_stop, look};
use harness_core::views::function::Stop;
use harness_draw::{Anchor, LineKind, Point, Rect, Sheet, Text};

/// What a cut end takes with its letter.
pub(super) const CUT: f64 = 58.0;
/// Above a row with frames, and without.
const FRAMED: f64 = 90.0;
const BARE: f64 = 44.0;
/// So many things fit into no row.
const MANY: usize = 60;

/// A row.
pub(super) struct Row<'s> {
    looks: Vec<Look<'s>>,
}

/// What rows may take: all of a sheet, and where a row turns to what takes the current.
#[derive(Clone, Copy)]
pub(super) struct Rooms {
    pub(super) whole: f64,
    pub(super) turning: f64,
}

/// A way in rows with their cut ends; of the feed the last turns, of the return the first.
pub(super) fn rows(stops: &[Stop], rooms: Rooms, is_feed: bool) -> Vec<Row<'_>> {
    let mut rows: Vec<Row<'_>> = Vec::new();
    let mut rest = stops;
    while !rest.is_empty() {
        let (is_first, begin) = (rows.is_empty(), if rows.is_empty() { 0.0 } else { CUT });
        let as_last = if is_feed || is_first { rooms.turning } else { rooms.whole } - begin;
        let as_other = if is_first && !is_feed { rooms.turning } else { rooms.whole } - begin - CUT;
        let fits = |count: usize, room: f64| rest.get(..count).is_some_and(|head| Row { looks: looks(head) }.width() <= room);
        if rest.len() < 2 || rest.len() < MANY && fits(rest.len(), as_last) {
            rows.push(Row { looks: looks(rest) });
            break;
        }
        let most = (2..rest.len()).find(|count| !fits(*count, as_other)).map_or(rest.len() - 1, |count| count - 1);
        let (head, tail) = rest.split_at(break_at(rest, most));
        rows.push(Row { looks: looks(head) });
        rest = tail;
    }
    rows
}

/// How the stops are written; those of one device are together as wide as its name.
fn looks(stops: &[Stop]) -> Vec<Look<'_>> {
    let mut looks: Vec<Look<'_>> = stops.iter().map(|stop| look(stop, stop.device.as_deref().unwrap_or(""))).collect();
    let mut at = 0;
    while let Some(stop) = stops.get(at) {
        let count = stops.iter().skip(at).take_while(|next| next.device == stop.device).count();
        if let Some(device) = &stop.device {
            let wide: f64 = looks.iter().skip(at).take(count).map(|look| look.width).sum();
            let short = Text::bold(device).width().min(WIDEST) + 8.0 - wide;
            if short > 0.0
                && let Some(look) = looks.get_mut(at)
            {
                look.width += short.ceil();
            }
        }
        at += count;
    }
    for at in 0..looks.len() {
        let device = |at: Option<usize>| stops.get(at?)?.device.as_deref();
        let neighbours = [device(at.checked_sub(1)), device(Some(at + 1))];
        looks.get_mut(at).into_iter().for_each(|look| look.part_sides(neighbours));
    }
    looks
}

/// The widest name of a device that a frame makes room for.
const WIDEST: f64 = 200.0;

impl Row<'_> {
    pub(super) fn width(&self) -> f64 {
        self.looks.iter().map(|look| look.width).sum()
    }

    /// What it takes above its line: names, and the frames of devices.
    pub(super) fn above(&self) -> f64 {
        if self.looks.iter().any(|look| look.device().is_some()) { FRAMED } else { BARE }
    }

    /// What it takes below its line for what is joined beside it.
    pub(super) fn below(&self) -> f64 {
        self.looks.iter().map(|look| asides_height(look.stop)).fold(0.0, f64::max)
    }

    /// Draws it from `from` on, to the right or, where `way` is negative, to the left; gives where it ends.
    pub(super) fn draw(&self, sheet: &mut Sheet, kind: LineKind, from: Point, way: f64) -> Point {
        let mut at = from;
        for look in &self.looks {
            let end = at.by(way * look.width, 0.0);
            draw_stop(sheet, kind, look, at, end);
            at = end;
        }
        self.frames(sheet, from, way);
        at
    }

    /// The frames of devices round stops that follow one another; each ends in the middle of the joints at its edges.
    fn frames(&self, sheet: &mut Sheet, from: Point, way: f64) {
        let looks = &self.looks;
        let (mut x, y) = (from.x, from.y);
        let mut edges: Vec<f64> = vec![x];
        for look in looks {
            x += way * look.width;
            edges.push(x);
        }
        let middle = |at: usize| Some(looks.get(at)?.middle(*edges.get(at)?, *edges.get(at + 1)?));
        let mut at: usize = 0;
        while let Some(device) = looks.get(at).map(Look::device) {
            let Some(device) = device else {
                at += 1;
                continue;
            };
            let count = looks.iter().skip(at).take_while(|look| look.device() == Some(device)).count();
            let is_edge = |at: Option<usize>| at.filter(|at| looks.get(*at).is_some_and(|look| look.is_edge_of(device)));
            let begin = is_edge(at.checked_sub(1)).and_then(middle).or(edges.get(at).copied());
            let end = is_edge(Some(at + count)).and_then(middle).or(edges.get(at + count).copied());
            if let (Some(a), Some(b)) = (begin, end) {
                let (a, b) = (a.min(b), a.max(b));
                let rect = Rect::between(Point::new(a, y - 62.0), Point::new(b, y + 40.0));
                sheet.frame(LineKind::Enclosure, rect, None);
                sheet.text(Point::new(a + 2.0, y - 68.0), Anchor::Start, Text::bold(device).within(b - a - 4.0), None);
            }
            at += count;
        }
    }
}
