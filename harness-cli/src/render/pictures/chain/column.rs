//! A way that runs down, from the plus rail or a place above to the minus rail or a place below.

use super::{
    frames::Frames,
    look::{Look, Word, look, spot_words, widest},
};
use harness_core::views::chain::Step;
use harness_draw::{Anchor, LineKind, Point, Rect, Sheet, Symbol, Text, Turn};

/// Between the base lines of the texts of one thing.
pub(super) const LEADING: f64 = 15.0;
/// From a line to the text beside it.
const BESIDE: f64 = 9.0;
/// From the upper edge of ways side by side to the line that joins them.
const BAR: f64 = 10.0;
/// Between the outlines of two devices side by side.
const GAP: f64 = 4.0;

/// The sheet and the outlines on it.
pub(super) struct Pen<'s> {
    pub(super) sheet: &'s mut Sheet,
    pub(super) frames: Frames,
    pub(super) kind: LineKind,
}

impl Pen<'_> {
    pub(super) fn dot(&mut self, at: Point) {
        self.sheet.symbol(Symbol::WideJoint, at, Turn::None, self.kind, None);
    }
}

/// A way down.
pub(super) struct Column {
    slots: Vec<Slot>,
    pub(super) height: f64,
    /// From its line to its left and right edge.
    pub(super) left: f64,
    pub(super) right: f64,
}

struct Slot {
    what: What,
    height: f64,
    left: f64,
    right: f64,
    /// The device at its upper and at its lower end.
    devices: [Option<String>; 2],
    works: bool,
}

enum What {
    Title(String),
    Look(Box<Look>),
    Spot(Vec<Word>),
    Beside(Vec<Column>),
}

/// Lays out a way; `ends` are the devices of the places above and below.
pub(super) fn column(steps: &[Step], ends: [Option<&str>; 2]) -> Column {
    let mut slots: Vec<Slot> = Vec::new();
    let mut device: Option<String> = ends[0].map(str::to_owned);
    for (at, step) in steps.iter().enumerate() {
        match step {
            Step::Item(item) => {
                let look = look(item);
                if look.halves.is_none() {
                    enter(&mut slots, &mut device, look.devices[0].clone());
                }
                slots.push(of_look(look, item.works()));
                let behind = slots.last().and_then(|slot| slot.devices[1].clone());
                if behind != device {
                    let runs_out =
                        runs_to_end(steps.get(at + 1..).unwrap_or_default(), behind.as_deref()) && behind.as_deref() == ends[1];
                    if runs_out {
                        device = behind;
                    } else {
                        enter(&mut slots, &mut device, behind);
                    }
                }
            }
            Step::Spot(spot) => {
                let words = spot_words(spot);
                if !words.is_empty() {
                    let wide = widest(&words);
                    let height = 8.0 + LEADING * words.len() as f64;
                    slots.push(Slot {
                        what: What::Spot(words),
                        height,
                        left: 8.0,
                        right: BESIDE + wide + 6.0,
                        devices: [spot.device.clone(), spot.device.clone()],
                        works: false,
                    });
                }
            }
            Step::Beside(lanes) => {
                let before = spot_device(steps, at.checked_sub(1)).or(ends[0]);
                let behind = spot_device(steps, Some(at + 1)).or(ends[1]);
                let columns: Vec<Column> = lanes.iter().map(|lane| column(lane, [before, behind])).collect();
                let left = columns.first().map_or(8.0, |first| first.left);
                let wide: f64 = columns.iter().map(|column| column.left + column.right).sum();
                let height = columns.iter().map(|column| column.height).fold(0.0, f64::max) + 2.0 * BAR;
                slots.push(Slot {
                    what: What::Beside(columns),
                    height,
                    left,
                    right: wide - left,
                    devices: [before.map(str::to_owned), behind.map(str::to_owned)],
                    works: step.works(),
                });
                device = behind.map(str::to_owned);
            }
        }
    }
    let most = |side: fn(&Slot) -> f64, least: f64| slots.iter().map(side).fold(least, f64::max) + GAP;
    let height = slots.iter().map(|slot| slot.height).sum();
    Column { height, left: most(|slot| slot.left, 14.0), right: most(|slot| slot.right, 14.0), slots }
}

/// Notes that a way comes into another device, whose name is written there.
fn enter(slots: &mut Vec<Slot>, device: &mut Option<String>, to: Option<String>) {
    if *device == to {
        return;
    }
    if let Some(name) = &to {
        let wide = Text::bold(name).within(super::look::WIDEST + 30.0).width();
        slots.push(Slot {
            what: What::Title(name.clone()),
            height: 22.0,
            left: 8.0,
            right: BESIDE + wide + 4.0,
            devices: [to.clone(), to.clone()],
            works: false,
        });
    }
    *device = to;
}

/// Whether the rest of a way stays in a device.
fn runs_to_end(rest: &[Step], device: Option<&str>) -> bool {
    rest.iter().all(|step| match step {
        Step::Item(item) => item.device() == device,
        Step::Spot(spot) => spot.device.as_deref() == device,
        Step::Beside(_) => false,
    })
}

fn spot_device(steps: &[Step], at: Option<usize>) -> Option<&str> {
    match steps.get(at?)? {
        Step::Spot(spot) => spot.device.as_deref(),
        Step::Item(_) | Step::Beside(_) => None,
    }
}

fn of_look(look: Look, works: bool) -> Slot {
    let turn = look.turn(true);
    let box_of = look.symbol.map(|symbol| symbol.extent_at(Point::default(), turn));
    let (left, right) = box_of.map_or((2.0, 2.0), |rect| (-rect.least.x, rect.most.x));
    let (height, wide) = match &look.halves {
        Some(halves) => (58.0, halves.iter().map(Text::width).fold(0.0, f64::max)),
        None => {
            let along = box_of.map_or(0.0, |rect| rect.height().max(2.0 * look.reach()));
            ((along + 14.0).max(LEADING * look.lines.len() as f64 + 10.0), look.width())
        }
    };
    let devices = look.devices.clone();
    Slot { what: What::Look(Box::new(look)), height, left: left + 8.0, right: right + BESIDE + wide + 6.0, devices, works }
}

impl Column {
    /// Whether all of it is in one device.
    fn is_all(&self, device: &str) -> bool {
        self.slots.iter().all(|slot| {
            let own = slot.devices.iter().all(|own| own.as_deref() == Some(device));
            own && match &slot.what {
                What::Beside(columns) => columns.iter().all(|column| column.is_all(device)),
                What::Title(_) | What::Look(_) | What::Spot(_) => true,
            }
        })
    }

    /// Where each slot begins, between two heights: what is before the first that works is above, what is behind the last below.
    fn starts(&self, top: f64, bottom: f64) -> Vec<f64> {
        let mut first = self.slots.iter().position(|slot| slot.works).unwrap_or(0);
        let last = self.slots.iter().rposition(|slot| slot.works).unwrap_or(self.slots.len().saturating_sub(1));
        // The name of a device stays with what it is above of.
        if let Some(before) = first.checked_sub(1)
            && self.slots.get(before).is_some_and(|slot| matches!(slot.what, What::Title(_)))
        {
            first = before;
        }
        let spare = (bottom - top - self.height).max(0.0);
        let (above, below) = ((spare / 2.0).round(), spare - (spare / 2.0).round());
        let mut y = top;
        let mut starts = Vec::new();
        for (at, slot) in self.slots.iter().enumerate() {
            if at == first {
                y += above;
            }
            starts.push(y);
            y += slot.height;
            if at == last {
                y += below;
            }
        }
        starts
    }

    /// Draws it with its line at `x`, from `top` to `bottom`.
    pub(super) fn draw(&self, pen: &mut Pen<'_>, x: f64, (top, bottom): (f64, f64), ends: [Option<&str>; 2]) {
        let starts = self.starts(top, bottom);
        let (from, to) = (x - self.left + GAP / 2.0, x + self.right - GAP / 2.0);
        let mut y = top;
        let mut device = ends[0];
        for (slot, start) in self.slots.iter().zip(&starts) {
            self.join(pen, (x, from, to), (y, *start), device, slot.devices[0].as_deref());
            slot.draw(pen, x, *start, (from, to));
            y = start + slot.height;
            device = slot.devices[1].as_deref();
        }
        self.join(pen, (x, from, to), (y, bottom), device, ends[1]);
    }

    /// The line between two slots, in the device that both are in.
    fn join(&self, pen: &mut Pen<'_>, (x, from, to): (f64, f64, f64), (y, end): (f64, f64), a: Option<&str>, b: Option<&str>) {
        if end <= y {
            return;
        }
        pen.sheet.line(pen.kind, &[Point::new(x, y), Point::new(x, end)], None);
        let device = a.filter(|_| a == b);
        pen.frames.add(device, Rect::between(Point::new(from, y), Point::new(to, end)));
    }
}

impl Slot {
    /// Draws it from `y` on; its column reaches from `from` to `to`.
    fn draw(&self, pen: &mut Pen<'_>, x: f64, y: f64, (from, to): (f64, f64)) {
        let (end, middle) = (y + self.height, y + self.height / 2.0);
        let whole = Rect::between(Point::new(from, y), Point::new(to, end));
        match &self.what {
            What::Title(device) => {
                pen.sheet.line(pen.kind, &[Point::new(x, y), Point::new(x, end)], None);
                pen.frames.add(Some(device), whole);
                pen.frames.title(device, Point::new(x + BESIDE, y + 15.0), whole);
            }
            What::Spot(words) => {
                pen.sheet.line(pen.kind, &[Point::new(x, y), Point::new(x, end)], None);
                pen.dot(Point::new(x, middle));
                pen.frames.add(self.devices[0].as_deref(), whole);
                beside(pen, Point::new(x + BESIDE, middle), words);
            }
            What::Look(look) => {
                let at = Point::new(x, middle);
                pen.frames.add(look.devices[0].as_deref(), Rect::between(whole.least, Point::new(to, middle)));
                pen.frames.add(look.devices[1].as_deref(), Rect::between(Point::new(from, middle), whole.most));
                draw_look(pen, look, at, (y, end));
            }
            What::Beside(columns) => {
                let (upper, lower) = (y + BAR, end - BAR);
                pen.sheet.line(pen.kind, &[Point::new(x, y), Point::new(x, upper)], None);
                pen.sheet.line(pen.kind, &[Point::new(x, lower), Point::new(x, end)], None);
                let (above, below) = (self.devices[0].as_deref(), self.devices[1].as_deref());
                let strip = |a: f64, b: f64| Rect::between(Point::new(from, a), Point::new(to, b));
                let all = above.filter(|device| above == below && columns.iter().all(|column| column.is_all(device)));
                if all.is_some() {
                    pen.frames.add(all, whole);
                } else {
                    pen.frames.add(above, strip(y, upper + BAR / 2.0));
                    pen.frames.add(below, strip(lower - BAR / 2.0, end));
                }
                let mut at = x;
                for (number, column) in columns.iter().enumerate() {
                    column.draw(pen, at, (upper, lower), [above, below]);
                    let is_last = number + 1 == columns.len();
                    if !is_last {
                        let next = at + column.right + columns.get(number + 1).map_or(0.0, |next| next.left);
                        for level in [upper, lower] {
                            pen.sheet.line(pen.kind, &[Point::new(at, level), Point::new(next, level)], None);
                            pen.dot(Point::new(at, level));
                        }
                        at = next;
                    }
                }
            }
        }
    }
}

/// Draws a thing in a way that runs down from `from` to `to`.
fn draw_look(pen: &mut Pen<'_>, look: &Look, at: Point, (from, to): (f64, f64)) {
    let thing = Some(pen.sheet.thing(look.key.clone(), &look.title));
    let turn = look.turn(true);
    let reach = look.reach();
    let x = at.x;
    match look.symbol {
        Some(symbol) => {
            pen.sheet.line(pen.kind, &[Point::new(x, from), Point::new(x, at.y - reach)], thing);
            pen.sheet.line(pen.kind, &[Point::new(x, at.y + reach), Point::new(x, to)], thing);
            pen.sheet.symbol(symbol, at, turn, pen.kind, thing);
        }
        None => pen.sheet.line(pen.kind, &[Point::new(x, from), Point::new(x, to)], thing),
    }
    let right = look.symbol.map_or(x, |symbol| symbol.extent_at(at, turn).most.x);
    if let Some([upper, lower]) = &look.halves {
        let second = look.also.first().map(|key| pen.sheet.thing(key.clone(), &look.title));
        pen.sheet.text(Point::new(right + 6.0, at.y - 8.0), Anchor::Start, upper.clone(), thing);
        pen.sheet.text(Point::new(right + 6.0, at.y + 18.0), Anchor::Start, lower.clone(), second);
        return;
    }
    let words: Vec<Word> = look.lines.iter().map(|line| (line.clone(), Some(look.key.clone()))).collect();
    beside(pen, Point::new(right + BESIDE, at.y), &words);
}

/// Lines of text at the right of a way, their middle at `at`.
fn beside(pen: &mut Pen<'_>, at: Point, lines: &[Word]) {
    let mut y = at.y - LEADING * (lines.len().saturating_sub(1)) as f64 / 2.0 + 4.0;
    for (text, key) in lines {
        let of = key.as_ref().map(|key| pen.sheet.thing(key.clone(), key));
        pen.sheet.text(Point::new(at.x, y), Anchor::Start, text.clone(), of);
        y += LEADING;
    }
}
