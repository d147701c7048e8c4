//! A way that runs to the right: a stretch of a rail, ways past each other, a row by itself.

use super::{
    column::Pen,
    look::{Look, WIDEST, Word, look, spot_words, widest},
};
use harness_core::views::chain::{Item, Step};
use harness_draw::{Anchor, Point, Rect, Symbol, Text, Turn};

/// Between the base lines of two lines of text.
const LEADING: f64 = 14.0;
/// From the ends of ways side by side to what is in them.
const TURN: f64 = 18.0;
/// A rail without anything on it is so high in the outline of its device.
pub(super) const STRIP: f64 = 16.0;

/// On which side of a way the ways past it are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Past {
    Below,
    Above,
}

/// A way to the right.
pub(super) struct Way {
    pub(super) slots: Vec<Slot>,
    /// How far it reaches up and down.
    pub(super) up: f64,
    pub(super) down: f64,
    /// How far the outlines of what is on it reach.
    pub(super) frame: (f64, f64),
    /// Whether it comes into a device, whose name is written beside it.
    has_title: bool,
}

/// A thing in it.
pub(super) struct Slot {
    what: What,
    /// From its middle to its left and right edge.
    pub(super) before: f64,
    pub(super) after: f64,
    up: f64,
    down: f64,
    /// The device at its left and at its right.
    devices: [Option<String>; 2],
    /// What it is on both rails: the connector.
    pub(super) plug: Option<String>,
}

enum What {
    Look(Box<Look>),
    Spot(Vec<Word>),
    Beside(Vec<Way>),
}

/// The same steps from their other end.
pub(super) fn turned(steps: &[Step]) -> Vec<Step> {
    steps.iter().rev().map(turned_step).collect()
}

fn turned_step(step: &Step) -> Step {
    match step {
        Step::Spot(spot) => Step::Spot(spot.clone()),
        Step::Beside(lanes) => Step::Beside(lanes.iter().map(|lane| turned(lane)).collect()),
        Step::Item(item) => {
            let mut item = item.clone();
            match &mut item {
                Item::Piece { turned, .. } => *turned = !*turned,
                Item::Source { plus_first, .. } => *plus_first = !*plus_first,
                Item::Joint { halves, .. } => halves.reverse(),
                Item::Undrawn { pins, .. } => pins.reverse(),
                Item::Consumer { .. } | Item::Capacitor { .. } | Item::Wire(_) => {}
            }
            Step::Item(item)
        }
    }
}

/// Lays out a way; `begin` is the device of the place before it.
pub(super) fn way(steps: &[Step], past: Past, begin: Option<&str>) -> Way {
    let mut slots: Vec<Slot> = Vec::new();
    let mut device = begin.map(str::to_owned);
    for step in steps {
        match step {
            Step::Item(item) => slots.push(of_look(look(item))),
            Step::Spot(spot) => {
                let words = spot_words(spot);
                let wide = widest(&words);
                let half = if words.is_empty() { 0.0 } else { (wide / 2.0).ceil() + 8.0 };
                slots.push(Slot {
                    up: 10.0 + LEADING * words.len() as f64,
                    down: 6.0,
                    what: What::Spot(words),
                    before: half,
                    after: half,
                    devices: [spot.device.clone(), spot.device.clone()],
                    plug: None,
                });
            }
            Step::Beside(lanes) => slots.push(of_lanes(lanes, past, device.as_deref())),
        }
        device = slots.last().and_then(|slot| slot.devices[1].clone());
    }
    widen(&mut slots, begin);
    let most = |side: fn(&Slot) -> f64| slots.iter().map(side).fold(STRIP, f64::max);
    let framed = |side: fn(&Slot) -> f64| slots.iter().filter(|slot| !slot.is_mixed()).map(side).fold(STRIP, f64::max);
    let frame = (framed(|slot| slot.up), framed(|slot| slot.down));
    let mut before = begin;
    let mut has_title = false;
    for own in slots.iter().flat_map(|slot| &slot.devices) {
        has_title |= own.is_some() && own.as_deref() != before;
        before = own.as_deref();
    }
    Way { up: most(|slot| slot.up), down: most(|slot| slot.down), frame, has_title, slots }
}

fn of_look(look: Look) -> Slot {
    let turn = look.turn(false);
    let rect = look.symbol.map(|symbol| symbol.extent_at(Point::default(), turn));
    let (up, down) = rect.map_or((2.0, 2.0), |rect| (-rect.least.y, rect.most.y));
    let along = rect.map_or(12.0, |rect| rect.most.x.max(-rect.least.x).max(look.reach()));
    let devices = look.devices.clone();
    if let Some([left, right]) = &look.halves {
        let (before, after) = (left.width() + 14.0, right.width() + 14.0);
        let plug = look.also.first().map(|other| format!("{} {other}", look.key));
        let plug = plug.filter(|_| look.symbol == Some(Symbol::Pair));
        return Slot { before, after, up: 28.0, down: down + 6.0, devices, plug, what: What::Look(Box::new(look)) };
    }
    let half = (look.width() / 2.0 + 7.0).max(along + 8.0).ceil();
    let below = look.lines.len().saturating_sub(1) as f64;
    Slot {
        before: half,
        after: half,
        up: up + 20.0,
        down: down + 6.0 + LEADING * below,
        devices,
        plug: None,
        what: What::Look(Box::new(look)),
    }
}

fn of_lanes(lanes: &[Vec<Step>], past: Past, device: Option<&str>) -> Slot {
    let ways: Vec<Way> = lanes.iter().map(|lane| way(lane, past, device)).collect();
    let half = (ways.iter().map(Way::width).fold(0.0, f64::max) / 2.0 + TURN).ceil();
    let first = ways.first().map_or((0.0, 0.0), |first| (first.up, first.down));
    let rest: f64 = ways.windows(2).map(|pair| gap(pair, past)).sum();
    let last = ways.last().map_or(0.0, |last| if past == Past::Below { last.down } else { last.up });
    let (up, down) = match past {
        Past::Below => (first.0, rest + last),
        Past::Above => (rest + last, first.1),
    };
    let device = device.map(str::to_owned);
    let one = [device.clone(), device];
    Slot { before: half, after: half, up, down, devices: one, plug: None, what: What::Beside(ways) }
}

/// From one way to the next past it, with room for the names of devices.
fn gap(pair: &[Way], past: Past) -> f64 {
    let [one, other] = pair else { return 0.0 };
    let title = if other.has_title { 20.0 } else { 4.0 };
    match past {
        Past::Below => one.down + other.up + title,
        Past::Above => one.up + other.down + title,
    }
}

/// Makes room for the names of devices over what is in them.
fn widen(slots: &mut [Slot], begin: Option<&str>) {
    let mut device = begin.map(str::to_owned);
    let mut run: Option<(String, f64)> = None;
    for at in 0..slots.len() {
        let Some(slot) = slots.get(at) else { continue };
        let joint = slot.devices[0] != slot.devices[1];
        let halves = if joint { vec![(0, slot.before), (1, slot.after)] } else { vec![(0, slot.before + slot.after)] };
        let next = slots.get(at + 1).and_then(|next| next.devices[0].clone());
        for (side, wide) in halves {
            let own = slots.get(at).and_then(|slot| slot.devices.get(side).cloned().flatten());
            if own != device {
                run = own.clone().map(|own| (own, 0.0));
                device.clone_from(&own);
            }
            if let Some((_, sum)) = &mut run {
                *sum += wide;
            }
            let ends = if joint && side == 0 { true } else { next != own };
            if let Some((name, sum)) = run.as_ref().filter(|_| ends) {
                let short = Text::bold(name).within(WIDEST + 30.0).width() + 10.0 - sum;
                if short > 0.0
                    && let Some(slot) = slots.get_mut(at)
                {
                    if joint && side == 0 {
                        slot.before += short.ceil();
                    } else {
                        slot.after += short.ceil();
                    }
                }
            }
        }
    }
}

impl Way {
    pub(super) fn width(&self) -> f64 {
        self.slots.iter().map(|slot| slot.before + slot.after).sum()
    }

    /// The middles of its slots, one after the other.
    pub(super) fn middles(&self, from: f64) -> Vec<f64> {
        let mut x = from;
        let place = |slot: &Slot| {
            let middle = x + slot.before;
            x = middle + slot.after;
            middle
        };
        self.slots.iter().map(place).collect()
    }

    /// Draws it at `y` from `from` to `to`, its slots at `middles`; `ends` are the devices of the places before and behind it.
    pub(super) fn draw(
        &self,
        pen: &mut Pen<'_>,
        y: f64,
        (from, to): (f64, f64),
        middles: &[f64],
        past: Past,
        ends: [Option<&str>; 2],
    ) {
        let (upper, lower) = (y - self.frame.0, y + self.frame.1);
        let strip = |a: f64, b: f64| Rect::between(Point::new(a, upper), Point::new(b, lower));
        let mut x = from;
        let mut device = ends[0];
        for (slot, middle) in self.slots.iter().zip(middles) {
            let [left, right] = [slot.devices[0].as_deref(), slot.devices[1].as_deref()];
            pen.sheet.line(pen.kind, &[Point::new(x, y), Point::new(middle - slot.before, y)], None);
            let start = if device == left { x } else { middle - slot.before };
            let end = middle + slot.after;
            if slot.is_mixed() {
                // What is in other devices has outlines of its own.
                for (a, b) in [(start, middle - slot.before + TURN / 2.0), (end - TURN / 2.0, end)] {
                    pen.frames.add(left, Rect::between(Point::new(a, y - STRIP), Point::new(b, y + STRIP)));
                }
            } else {
                let whole = strip(start, *middle);
                pen.frames.add(left, whole);
                enter(pen, device, left, whole, past);
                let second = strip(*middle, end);
                pen.frames.add(right, second);
                enter(pen, left, right, second, past);
            }
            slot.draw(pen, Point::new(*middle, y), past);
            x = end;
            device = right;
        }
        pen.sheet.line(pen.kind, &[Point::new(x, y), Point::new(to, y)], None);
        if device == ends[1] {
            pen.frames.add(device, strip(x, to));
        }
    }
}

/// The name of a device that a way comes into, outside its outline.
fn enter(pen: &mut Pen<'_>, from: Option<&str>, to: Option<&str>, at: Rect, past: Past) {
    let Some(device) = to.filter(|_| from != to) else { return };
    let place = match past {
        Past::Below => Point::new(at.least.x + 3.0, at.least.y - 6.0),
        Past::Above => Point::new(at.least.x + 3.0, at.most.y + 16.0),
    };
    pen.frames.title(device, place, at);
}

impl Slot {
    /// The device that it leads into.
    pub(super) fn entered(&self) -> Option<&str> {
        self.devices[1].as_deref().filter(|_| self.devices[0] != self.devices[1])
    }

    /// Whether it is ways side by side that are not all in one device.
    fn is_mixed(&self) -> bool {
        match &self.what {
            What::Beside(ways) => {
                let own = self.devices[0].as_deref();
                own.is_none()
                    || !ways
                        .iter()
                        .flat_map(|way| &way.slots)
                        .all(|slot| !slot.is_mixed() && slot.devices.iter().all(|device| device.as_deref() == own))
            }
            What::Look(_) | What::Spot(_) => false,
        }
    }

    fn draw(&self, pen: &mut Pen<'_>, at: Point, past: Past) {
        let (left, right) = (at.x - self.before, at.x + self.after);
        let line = |from: f64, to: f64| [Point::new(from, at.y), Point::new(to, at.y)];
        match &self.what {
            What::Spot(words) => {
                pen.sheet.line(pen.kind, &line(left, right), None);
                if !words.is_empty() {
                    pen.dot(at);
                    let mut y = at.y - 9.0;
                    for (text, key) in words.iter().rev() {
                        let of = key.as_ref().map(|key| pen.sheet.thing(key.clone(), key));
                        pen.sheet.text(Point::new(at.x, y), Anchor::Middle, text.clone(), of);
                        y -= LEADING;
                    }
                }
            }
            What::Look(look) => draw_look(pen, look, at, (left, right)),
            What::Beside(ways) => {
                let (first, last) = (left + TURN / 2.0, right - TURN / 2.0);
                pen.sheet.line(pen.kind, &line(left, first), None);
                pen.sheet.line(pen.kind, &line(last, right), None);
                let device = self.devices[0].as_deref();
                let mut y = at.y;
                for (number, way) in ways.iter().enumerate() {
                    let spare = ((last - first - way.width()) / 2.0).floor().max(0.0);
                    way.draw(pen, y, (first, last), &way.middles(first + spare), past, [device, device]);
                    if let Some(pair) = ways.get(number..number + 2) {
                        let step = gap(pair, past);
                        let next = if past == Past::Below { y + step } else { y - step };
                        for x in [first, last] {
                            pen.sheet.line(pen.kind, &[Point::new(x, y), Point::new(x, next)], None);
                            pen.dot(Point::new(x, y));
                        }
                        y = next;
                    }
                }
            }
        }
    }
}

/// Draws a thing on a way from `from` to `to`.
fn draw_look(pen: &mut Pen<'_>, look: &Look, at: Point, (from, to): (f64, f64)) {
    let thing = Some(pen.sheet.thing(look.key.clone(), &look.title));
    let turn = look.turn(false);
    let point = |x: f64| Point::new(x, at.y);
    let reach = look.reach();
    match look.symbol {
        Some(symbol) => {
            pen.sheet.line(pen.kind, &[point(from), point(at.x - reach)], thing);
            pen.sheet.line(pen.kind, &[point(at.x + reach), point(to)], thing);
            pen.sheet.symbol(symbol, at, turn, pen.kind, thing);
        }
        None => pen.sheet.line(pen.kind, &[point(from), point(to)], thing),
    }
    if let Some([left, right]) = &look.halves {
        let second = look.also.first().map(|key| pen.sheet.thing(key.clone(), &look.title));
        pen.sheet.text(at.by(-8.0, -13.0), Anchor::End, left.clone(), thing);
        pen.sheet.text(at.by(8.0, -13.0), Anchor::Start, right.clone(), second);
        return;
    }
    let rect = look.symbol.map(|symbol| symbol.extent_at(at, turn));
    let (up, down) = rect.map_or((at.y - 2.0, at.y + 2.0), |rect| (rect.least.y, rect.most.y));
    for (number, line) in look.lines.iter().enumerate() {
        let y = match number.checked_sub(1) {
            None => up - 6.0,
            Some(below) => down + 14.0 + LEADING * below as f64,
        };
        pen.sheet.text(Point::new(at.x, y), Anchor::Middle, line.clone(), thing);
    }
    debug_assert!(turn != Turn::Quarter, "a way to the right turns nothing upright");
}
