//! A circuit between its two rails: ways down side by side, and the main way along both rails to where it branches again.

use super::{
    column::{Column, Pen, column},
    way::{Past, STRIP, Slot, Way, turned, way},
};
use harness_core::views::chain::{Circuit, Spot, Step};
use harness_draw::{Anchor, Point, Rect, Symbol, Text, Turn};

/// How wide a band, or a line of rows, may be: a sheet of A3 across.
pub(super) const WIDEST: f64 = 1600.0;
/// Where the rails of a band below begin.
const BEGIN: f64 = 104.0;
/// The least between the rails of a band, and between what two bands reach.
const LEAST: f64 = 150.0;
const BANDS: f64 = 70.0;

/// A circuit, or what is behind a stretch of its rails.
pub(super) struct Ladder {
    columns: Vec<(Column, Place)>,
    /// Names and letters of the places where both rails begin.
    heads: Option<[Way; 2]>,
    main: Option<Box<Main>>,
    /// The devices that the two rails are in.
    devices: [Option<String>; 2],
    is_first: bool,
    /// How far the outlines reach above the plus rail and below the minus rail.
    reach: (f64, f64),
    /// How far apart the rails are in each band; those of what is behind a stretch of rails are in the outermost.
    between: Vec<f64>,
}

/// The way that goes on along both rails.
struct Main {
    place: Place,
    rails: [Way; 2],
    middles: [Vec<f64>; 2],
    width: f64,
    inner: Ladder,
}

/// Which band something is in, and its left edge there.
#[derive(Debug, Clone, Copy, Default)]
struct Place {
    band: usize,
    edge: f64,
}

/// Where the next thing goes; what is too wide for the sheet goes on in a band below.
struct Cursor {
    edge: f64,
    /// How far apart the rails of each band must be.
    between: Vec<f64>,
}

impl Cursor {
    /// The place of something `wide` units wide with something of `more` units beside it.
    fn place(&mut self, wide: f64, more: f64, between: f64) -> Place {
        if self.edge + wide + more > WIDEST && self.edge > BEGIN {
            self.edge = BEGIN;
            self.between.push(LEAST);
        }
        let place = Place { band: self.between.len().saturating_sub(1), edge: self.edge };
        self.take(wide, between);
        place
    }

    fn take(&mut self, wide: f64, between: f64) {
        self.edge += wide;
        if let Some(own) = self.between.last_mut() {
            *own = own.max(between);
        }
    }
}

/// Lays out a circuit.
pub(super) fn ladder(circuit: &Circuit) -> Ladder {
    let mut ladder = branches(&circuit.lanes, [&circuit.plus, &circuit.minus].map(|spot| spot.device.clone()));
    ladder.is_first = true;
    let has_words = |spot: &Spot| !super::look::spot_words(spot).is_empty();
    if has_words(&circuit.plus) || has_words(&circuit.minus) {
        let head = |spot: &Spot, past| {
            let steps: Vec<Step> = if has_words(spot) { vec![Step::Spot(spot.clone())] } else { Vec::new() };
            way(&steps, past, spot.device.as_deref())
        };
        ladder.heads = Some([head(&circuit.plus, Past::Below), head(&circuit.minus, Past::Above)]);
    }
    let reach = ladder.reach();
    ladder.level(reach);
    let mut cursor = Cursor { edge: 0.0, between: vec![LEAST] };
    ladder.place(&mut cursor);
    ladder.between = cursor.between;
    ladder
}

/// Ways side by side; the last one goes on along the rails where it branches again.
fn branches(lanes: &[Vec<Step>], devices: [Option<String>; 2]) -> Ladder {
    let ends = [devices[0].as_deref(), devices[1].as_deref()];
    let branch = |lane: &Vec<Step>| {
        let at = lane.iter().position(|step| matches!(step, Step::Beside(_)) && step.works())?;
        let more = lane.get(at + 1..)?.iter().any(Step::works);
        (!more && !lane.get(..at)?.iter().any(Step::works)).then_some(at)
    };
    let main = lanes.last().and_then(|lane| Some((lane, branch(lane)?)));
    let plain = if main.is_some() { lanes.len().saturating_sub(1) } else { lanes.len() };
    let columns = lanes.iter().take(plain).map(|lane| (column(lane, ends), Place::default())).collect();
    let main = main.and_then(|(lane, at)| {
        let (before, behind) = (lane.get(..at)?, lane.get(at + 1..)?);
        let Step::Beside(inner) = lane.get(at)? else { return None };
        let spot_device = |step: Option<&Step>, other: &Option<String>| match step {
            Some(Step::Spot(spot)) => spot.device.clone(),
            Some(Step::Item(_) | Step::Beside(_)) | None => other.clone(),
        };
        let own = [spot_device(before.last(), &devices[0]), spot_device(behind.first(), &devices[1])];
        let rails = [way(before, Past::Below, ends[0]), way(&turned(behind), Past::Above, ends[1])];
        let (middles, width) = aligned(&rails);
        Some(Box::new(Main { place: Place::default(), rails, middles, width, inner: branches(inner, own) }))
    });
    Ladder { columns, heads: None, main, devices, is_first: false, reach: (STRIP, STRIP), between: Vec::new() }
}

/// Places the things of both rails: connectors that are on both of them above each other.
fn aligned([top, bottom]: &[Way; 2]) -> ([Vec<f64>; 2], f64) {
    // The longest common sequence of connectors.
    let (rows, columns) = (top.slots.len(), bottom.slots.len());
    let same = |a: usize, b: usize| {
        let plug = |way: &Way, at: usize| way.slots.get(at).and_then(|slot| slot.plug.clone());
        let key = |plug: String| {
            let mut halves: Vec<String> = plug.split(' ').map(str::to_owned).collect();
            halves.sort();
            halves
        };
        plug(top, a).map(key).zip(plug(bottom, b).map(key)).is_some_and(|(a, b)| a == b)
    };
    let mut best = vec![vec![0_usize; columns + 1]; rows + 1];
    let at = |best: &Vec<Vec<usize>>, a: usize, b: usize| best.get(a).and_then(|row| row.get(b)).copied().unwrap_or(0);
    for a in (0..rows).rev() {
        for b in (0..columns).rev() {
            let value = if same(a, b) { at(&best, a + 1, b + 1) + 1 } else { at(&best, a + 1, b).max(at(&best, a, b + 1)) };
            if let Some(slot) = best.get_mut(a).and_then(|row| row.get_mut(b)) {
                *slot = value;
            }
        }
    }
    let (mut upper, mut lower): (Vec<f64>, Vec<f64>) = Default::default();
    let (mut x, mut y, mut a, mut b) = (0.0_f64, 0.0_f64, 0, 0);
    let put = |places: &mut Vec<f64>, end: &mut f64, way: &Way, at: usize| {
        if let Some(slot) = way.slots.get(at) {
            places.push(*end + slot.before);
            *end += slot.before + slot.after;
        }
    };
    while a < rows || b < columns {
        if a < rows && b < columns && same(a, b) {
            let before = |way: &Way, at: usize| way.slots.get(at).map_or(0.0, |slot| slot.before);
            let middle = (x + before(top, a)).max(y + before(bottom, b));
            (x, y) = (middle - before(top, a), middle - before(bottom, b));
            put(&mut upper, &mut x, top, a);
            put(&mut lower, &mut y, bottom, b);
            (a, b) = (a + 1, b + 1);
        } else if b >= columns || (a < rows && at(&best, a + 1, b) >= at(&best, a, b + 1)) {
            put(&mut upper, &mut x, top, a);
            a += 1;
        } else {
            put(&mut lower, &mut y, bottom, b);
            b += 1;
        }
    }
    ([upper, lower], x.max(y))
}

impl Ladder {
    /// Gives everything its place.
    fn place(&mut self, cursor: &mut Cursor) {
        let rails = |[top, bottom]: &[Way; 2]| top.down + bottom.up + 50.0;
        for (number, (column, place)) in self.columns.iter_mut().enumerate() {
            *place = cursor.place(column.left + column.right, 0.0, column.height + 12.0);
            if number == 0
                && let Some(heads) = &self.heads
            {
                cursor.take(heads[0].width().max(heads[1].width()), rails(heads));
            }
        }
        if let Some(main) = &mut self.main {
            let next = main.inner.columns.first().map_or(0.0, |(column, _)| column.left + column.right);
            main.place = cursor.place(main.width, next, rails(&main.rails));
            main.inner.place(cursor);
        }
    }

    /// How far its rails reach up and down.
    pub(super) fn reach(&self) -> (f64, f64) {
        let rails = |ways: &[Way; 2]| (ways[0].up, ways[1].down);
        let own = self.heads.as_ref().map(rails);
        let main = self.main.as_ref().map(|main| rails(&main.rails));
        let inner = self.main.as_ref().map(|main| main.inner.reach());
        let all = own.into_iter().chain(main).chain(inner);
        all.fold((STRIP, STRIP), |(up, down), (more, below)| (up.max(more), down.max(below)))
    }

    /// Makes all outlines reach equally far beyond the rails.
    fn level(&mut self, (up, down): (f64, f64)) {
        self.reach = (up, down);
        let rails = self.heads.iter_mut().chain(self.main.iter_mut().map(|main| &mut main.rails));
        for [top, bottom] in rails {
            top.frame.0 = up;
            bottom.frame.1 = down;
        }
        if let Some(main) = &mut self.main {
            main.inner.level((up, down));
        }
    }

    /// The part of a rail between two places in its outline.
    fn strip(&self, is_plus: bool, level: f64, (from, to): (f64, f64)) -> Rect {
        let (up, down) = if is_plus { (self.reach.0, STRIP) } else { (STRIP, self.reach.1) };
        Rect::between(Point::new(from, level - up), Point::new(to, level + down))
    }

    /// From the plus rail of the first band to the minus rail of the last.
    pub(super) fn height(&self) -> f64 {
        self.bands(0.0).last().map_or(0.0, |[_, bottom]| *bottom)
    }

    /// The rails of each band, the first plus rail at `top`.
    fn bands(&self, top: f64) -> Vec<[f64; 2]> {
        let mut bands: Vec<[f64; 2]> = Vec::new();
        for between in &self.between {
            let top = bands.last().map_or(top, |[_, bottom]| bottom + self.reach.0 + self.reach.1 + BANDS);
            bands.push([top, top + between]);
        }
        bands
    }

    /// Draws it with its left edge at zero and its plus rail at `top`, on bands one below the other, each as tall as what is on it. Gives the
    /// height of the last minus rail.
    pub(super) fn draw(&self, pen: &mut Pen<'_>, top: f64) -> f64 {
        let bands = self.bands(top);
        self.draw_on(pen, &bands, Place::default());
        bands.last().map_or(top, |[_, bottom]| *bottom)
    }

    /// Draws it on bands; its rails come `from` the left as far as there.
    fn draw_on(&self, pen: &mut Pen<'_>, bands: &[[f64; 2]], from: Place) {
        let ends = [self.devices[0].as_deref(), self.devices[1].as_deref()];
        let rails_of = |band: usize| bands.get(band).copied().unwrap_or_default();
        let mut tap = if self.is_first { None } else { Some(from.edge) };
        let mut before = from;
        let count = self.columns.len();
        for (number, (column, Place { band, edge })) in self.columns.iter().enumerate() {
            let (band, mut edge) = (*band, *edge);
            let rails = rails_of(band);
            if before.band != band {
                self.go_on(pen, (tap.unwrap_or(before.edge), before.edge), rails_of(before.band), rails);
                tap = Some(BEGIN - 13.0);
            }
            let at = edge + column.left;
            column.draw(pen, at, (rails[0], rails[1]), ends);
            let goes_on = number + 1 < count || self.main.is_some();
            for ((level, device), is_plus) in rails.into_iter().zip(ends).zip([true, false]) {
                if let Some(from) = tap {
                    pen.sheet.line(pen.kind, &[Point::new(from, level), Point::new(at, level)], None);
                }
                if tap.is_some() && goes_on {
                    pen.dot(Point::new(at, level));
                }
                let left = if tap.is_some() || !self.is_first { edge } else { edge + 2.0 };
                let right = edge + column.left + column.right - if goes_on { 0.0 } else { 2.0 };
                pen.frames.add(device, self.strip(is_plus, level, (left, right)));
            }
            if self.is_first && number == 0 {
                for ((level, device), is_plus) in rails.into_iter().zip(ends).zip([true, false]) {
                    let Some(device) = device else { continue };
                    let strip = self.strip(is_plus, level, (edge + 2.0, at + 4.0));
                    let y = if is_plus { strip.least.y - 6.0 } else { strip.most.y + 16.0 };
                    pen.frames.title(device, Point::new(edge + 5.0, y), strip);
                }
            }
            tap = Some(at);
            edge += column.left + column.right;
            if number == 0
                && let Some(heads) = &self.heads
            {
                let wide = heads[0].width().max(heads[1].width());
                for ((head, level), (device, past)) in
                    heads.iter().zip(rails).zip(ends.into_iter().zip([Past::Below, Past::Above]))
                {
                    let to = if goes_on { edge + wide } else { edge + head.width() };
                    pen.sheet.line(pen.kind, &[Point::new(at, level), Point::new(edge, level)], None);
                    head.draw(pen, level, (edge, to), &head.middles(edge), past, [device, device]);
                }
                edge += wide;
                tap = Some(edge);
            }
            before = Place { band, edge };
        }
        let Some(main) = &self.main else { return };
        let Place { band, edge } = main.place;
        let rails = rails_of(band);
        if before.band != band {
            self.go_on(pen, (tap.unwrap_or(before.edge), before.edge), rails_of(before.band), rails);
            tap = Some(BEGIN - 13.0);
        }
        let behind = main.inner.devices.each_ref().map(|device| device.as_deref());
        let from = tap.unwrap_or(edge);
        for (((rail, middles), level), (past, at)) in
            main.rails.iter().zip(&main.middles).zip(rails).zip([(Past::Below, 0), (Past::Above, 1)])
        {
            let middles: Vec<f64> = middles.iter().map(|middle| edge + middle).collect();
            let ends = [ends.get(at).copied().flatten(), behind.get(at).copied().flatten()];
            pen.sheet.line(pen.kind, &[Point::new(from, level), Point::new(edge, level)], None);
            rail.draw(pen, level, (edge, edge + main.width), &middles, past, ends);
        }
        main.join(pen, edge, rails);
        main.inner.draw_on(pen, bands, Place { band, edge: edge + main.width });
    }

    /// Ends both rails at the right and begins them again at the left, in the band below.
    fn go_on(&self, pen: &mut Pen<'_>, (tap, edge): (f64, f64), rails: [f64; 2], below: [f64; 2]) {
        for ((level, next), (device, is_plus)) in rails.into_iter().zip(below).zip(self.devices.iter().zip([true, false])) {
            let stud = Point::new(edge + 16.0, level);
            pen.sheet.line(pen.kind, &[Point::new(tap, level), stud.by(-3.0, 0.0)], None);
            pen.sheet.symbol(Symbol::Stud, stud, Turn::None, pen.kind, None);
            pen.sheet.text(stud.by(8.0, 4.0), Anchor::Start, Text::small("goes on below"), None);
            let begin = Point::new(BEGIN - 16.0, next);
            pen.sheet.symbol(Symbol::Stud, begin, Turn::None, pen.kind, None);
            pen.sheet.text(begin.by(-8.0, 4.0), Anchor::End, Text::small("from above"), None);
            if let Some(device) = device {
                let strip = self.strip(is_plus, next, (BEGIN, BEGIN + 4.0));
                let y = if is_plus { strip.least.y - 6.0 } else { strip.most.y + 16.0 };
                pen.frames.title(device, Point::new(BEGIN + 3.0, y), strip);
            }
        }
    }
}

/// How wide the side of an outline is that joins what a device has on both rails.
const SIDE: f64 = 12.0;

impl Main {
    /// Joins what a device has on both rails where both come into it by one plug.
    fn join(&self, pen: &mut Pen<'_>, x: f64, rails: [f64; 2]) {
        let [top, bottom] = &self.rails;
        for (upper, at) in top.slots.iter().zip(&self.middles[0]) {
            let lower = bottom.slots.iter().zip(&self.middles[1]).find(|(_, other)| *other == at).map(|(slot, _)| slot);
            let device = upper.entered().filter(|device| lower.and_then(Slot::entered) == Some(device));
            if device.is_some() && upper.plug.is_some() {
                let side = Rect::between(Point::new(x + at, rails[0]), Point::new(x + at + SIDE, rails[1]));
                pen.frames.add(device, side);
            }
        }
    }
}
