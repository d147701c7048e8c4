//! The vehicle from afar: zones with their devices, looms as bars, and a lead from each device to every loom that meets it.
//!
//! A design says what is in which zone, not where a zone is, so that nothing is drawn as if it had a place: zones are below one another at both
//! sides, and the looms between them in the order in which their leads cross fewest bars.

use super::frame::{WIDE, class_b, heading, notes, plain};
use crate::phrase::counted;
use harness_core::views::{Lead, Plan, PlanZone};
use harness_draw::{Anchor, Drawing, Ink, LineKind, Point, Rect, Sheet, Symbol, Text, ThingId, Turn};

/// The width of a zone, and of a device in it.
const ZONE: f64 = 290.0;
const INSET: f64 = 12.0;
/// The height of a lead: twice what two leads from both sides need between them. Where looms meet, leads come from one side alone.
const ROW: f64 = 36.0;
const MEETS: f64 = 24.0;
/// Between two devices.
const GAP: f64 = 10.0;
/// The height of a name of a loom, and of the name of a zone.
const NAME: f64 = 20.0;
/// From the upper edge of a device to its first lead, and between leads from both sides.
const LEAD: f64 = 13.0;
const CLEAR: f64 = 18.0;
const HEAD: f64 = 28.0;
/// Between two looms, and from the zones to the first.
const APART: f64 = 56.0;
const FIRST: f64 = 60.0;
/// More looms than this are drawn in the order written.
const MANY: usize = 24;
/// Widest name of a loom.
const WIDEST: f64 = 420.0;

/// Draws the plan.
#[must_use]
pub fn draw(plan: &Plan, design: &str) -> Drawing {
    let devices: usize = plan.zones.iter().map(|zone| zone.devices.len()).sum();
    let (zones, looms) = (plan.zones.iter().filter(|zone| !zone.name.is_empty()).count(), plan.looms.len());
    let about = format!("{} in {}, {}", counted(devices, "device"), counted(zones, "zone"), counted(looms, "loom"));
    let mut sheet = Sheet::new("plan", "Vehicle plan", &about);
    let explained = "A bar is a loom, a lead goes from a device to every loom that meets it, with its count of wires. Not to scale: where a zone is, \
                     the design does not say.";
    let title = if design.is_empty() { "Vehicle plan".to_owned() } else { format!("Vehicle plan: {design}") };
    let mut y = heading(&mut sheet, &title, &[about, explained.to_owned()]);
    if plan.looms.iter().any(|loom| loom.has_class_b) {
        y = class_b(&mut sheet, y, true);
    }
    let mut bars = Bars::new(&mut sheet, plan, y);
    let top = bars.names(&mut sheet, plan, y);
    let (left, right) = plan.zones.split_at(at_left(plan));
    let ends = [bars.zones(&mut sheet, plan, (left, Side::Left), top), bars.zones(&mut sheet, plan, (right, Side::Right), top)];
    y = bars.between(&mut sheet, plan, ends.into_iter().fold(top, f64::max));
    bars.drawn(&mut sheet, plan);
    let below: Vec<String> = plan.left_out.iter().map(|(name, reason)| format!("Not drawn: {name}, {reason}.")).collect();
    notes(&mut sheet, y + 20.0, below);
    sheet.reserve(Rect::at(Point::default(), WIDE, y));
    sheet.finish()
}

/// At which side of the looms a zone is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    Left,
    Right,
}

/// How high a zone is.
fn height(plan: &Plan, zone: &PlanZone) -> f64 {
    let rows = |device: &String| {
        let has = |class: bool| plan.leads.iter().any(|lead| lead.device == *device && lead.is_class_b == class);
        ROW * if has(true) && has(false) { 2.0 } else { 1.0 }
    };
    HEAD + 14.0 + zone.devices.iter().map(rows).sum::<f64>().max(ROW)
}

/// How many zones are at the left, so that both sides are about as high: in the order written, the last ones at the right.
fn at_left(plan: &Plan) -> usize {
    let heights: Vec<f64> = plan.zones.iter().map(|zone| height(plan, zone)).collect();
    let higher = |count: usize| {
        let sum = |heights: &[f64]| heights.iter().sum::<f64>();
        heights.split_at_checked(count).map_or(f64::INFINITY, |(left, right)| sum(left).max(sum(right)))
    };
    let counts = 1..=heights.len().max(1);
    counts.reduce(|best, count| if higher(count) < higher(best) { count } else { best }).unwrap_or(1).min(heights.len())
}

/// The name of a zone, and what is said of it.
fn zone_words(zone: &PlanZone) -> (String, String) {
    let name = if zone.name.is_empty() { "in no zone".to_owned() } else { zone.name.clone() };
    let wet = zone.is_wet.then(|| "wet".to_owned());
    let said: Vec<String> = zone.ambient.map(|ambient| plain(&ambient.to_string())).into_iter().chain(wet).collect();
    (name, said.join(", "))
}

/// Which looms leave a place at a height, and at which side of the bars that is.
struct Reach {
    row: usize,
    side: Side,
    looms: Vec<usize>,
}

/// The rows of leads: devices by their sides from above, then where looms meet.
fn reaches(plan: &Plan) -> Vec<Reach> {
    let (left, right) = plan.zones.split_at(at_left(plan));
    let mut rows: Vec<Reach> = Vec::new();
    let mut last = 0;
    for (zones, side) in [(left, Side::Left), (right, Side::Right)] {
        for (row, device) in zones.iter().flat_map(|zone| &zone.devices).enumerate() {
            last = last.max(row + 1);
            for is_class_b in [true, false] {
                let own = plan.leads.iter().filter(|lead| lead.device == *device && lead.is_class_b == is_class_b);
                let looms: Vec<usize> = own.map(|lead| lead.loom).collect();
                if !looms.is_empty() {
                    rows.push(Reach { row, side, looms });
                }
            }
        }
    }
    let between = plan.between.iter().enumerate();
    rows.extend(between.map(|(at, one)| Reach { row: last + at, side: Side::Left, looms: one.looms.to_vec() }));
    rows
}

/// The columns of the looms: as written, then moved as long as that saves a crossing.
fn columns(plan: &Plan) -> Vec<usize> {
    let rows = reaches(plan);
    let count = plan.looms.len();
    let mut last = vec![0; count];
    for Reach { row, looms, .. } in &rows {
        for loom in looms {
            last.get_mut(*loom).into_iter().for_each(|last: &mut usize| *last = (*last).max(*row));
        }
    }
    let crossings = |order: &[usize]| -> usize {
        let crossed = |reach: &Reach| {
            let is_own = |loom: &usize| reach.looms.contains(loom);
            let passed: &[usize] = match reach.side {
                Side::Left => order.get(..order.iter().rposition(is_own).unwrap_or(0)).unwrap_or_default(),
                Side::Right => order.get(order.iter().position(is_own).unwrap_or(count)..).unwrap_or_default(),
            };
            let passed = passed.iter().filter(|loom| !is_own(loom));
            passed.filter(|loom| last.get(**loom).is_some_and(|last| *last >= reach.row)).count()
        };
        rows.iter().map(crossed).sum()
    };
    let mut order: Vec<usize> = (0..count).collect();
    // So many looms no vehicle has; a list of more is drawn as written.
    if count <= MANY {
        let mut least = crossings(&order);
        while let Some((fewer, better)) = moved(&order).map(|order| (crossings(&order), order)).min_by_key(|(found, _)| *found) {
            if fewer >= least {
                break;
            }
            (least, order) = (fewer, better);
        }
    }
    let mut columns = vec![0; count];
    for (column, loom) in order.into_iter().enumerate() {
        columns.get_mut(loom).into_iter().for_each(|slot| *slot = column);
    }
    columns
}

/// Every order in which one is elsewhere.
fn moved(order: &[usize]) -> impl Iterator<Item = Vec<usize>> {
    let places = 0..order.len();
    places.clone().flat_map(move |from| places.clone().map(move |to| (from, to))).filter(|(from, to)| from != to).map(
        |(from, to)| {
            let mut order = order.to_vec();
            let one = order.remove(from);
            order.insert(to, one);
            order
        },
    )
}

/// The looms as bars.
struct Bars {
    /// Which column each is in.
    columns: Vec<usize>,
    /// Where each begins and ends, as far as it is known.
    reach: Vec<(f64, f64)>,
    /// The heights of the leads from the left, and how far they reach: one from the right must not run through one or its figure.
    levels: Vec<(f64, f64)>,
    things: Vec<ThingId>,
}

impl Bars {
    fn new(sheet: &mut Sheet, plan: &Plan, y: f64) -> Self {
        let things = plan.looms.iter().map(|loom| {
            let words = format!("loom {}, {}", loom.name, counted(loom.wires, "wire"));
            sheet.thing(&loom.name, words)
        });
        let things = things.collect();
        Self { columns: columns(plan), reach: vec![(y, y); plan.looms.len()], levels: Vec::new(), things }
    }

    fn x(&self, loom: usize) -> f64 {
        ZONE + FIRST + self.columns.get(loom).copied().unwrap_or(loom) as f64 * APART
    }

    /// The names, each on a level of its own above those at its right, so that no bar runs through one; gives where the zones may begin.
    fn names(&mut self, sheet: &mut Sheet, plan: &Plan, y: f64) -> f64 {
        for (at, loom) in plan.looms.iter().enumerate() {
            let level = y + NAME * self.columns.get(at).copied().unwrap_or(at) as f64;
            let thing = self.things.get(at).copied();
            let place = Point::new(self.x(at) + 8.0, level + 13.0);
            let name = Text::bold(&loom.name).within(WIDEST);
            let beside = place.by(name.width() + 8.0, 0.0);
            sheet.text(place, Anchor::Start, name, thing);
            sheet.text(beside, Anchor::Start, Text::small(counted(loom.wires, "wire")), thing);
            self.reach.get_mut(at).into_iter().for_each(|reach| *reach = (level, level + NAME));
        }
        y + NAME * plan.looms.len() as f64 + 14.0
    }

    /// Where the frames of the zones at the right begin.
    fn right(&self) -> f64 {
        ZONE + 2.0 * FIRST + APART * self.columns.len().saturating_sub(1) as f64
    }

    /// The zones of a side, one below the other; gives where they end.
    fn zones(&mut self, sheet: &mut Sheet, plan: &Plan, (zones, side): (&[PlanZone], Side), top: f64) -> f64 {
        let left = if side == Side::Left { 0.0 } else { self.right() };
        let mut y = top;
        for zone in zones {
            let top = y;
            let words = zone_words(zone);
            y += HEAD;
            for device in &zone.devices {
                y = self.device(sheet, plan, (device, side), Point::new(left + INSET, y));
            }
            if zone.devices.is_empty() {
                let place = Point::new(left + INSET + 8.0, y + 8.0);
                sheet.text(place, Anchor::Start, Text::small("no device").ink(Ink::Grey), None);
                y += ROW;
            }
            let said = Text::small(&words.1);
            let name = Text::bold(&words.0).within(ZONE - 2.0 * INSET - said.width() - 8.0);
            sheet.text(Point::new(left + INSET, top + 19.0), Anchor::Start, name, None);
            sheet.text(Point::new(left + ZONE - INSET, top + 19.0), Anchor::End, said, None);
            sheet.frame(LineKind::Enclosure, Rect::between(Point::new(left, top), Point::new(left + ZONE, y)), None);
            y += 14.0;
        }
        y
    }

    /// A device with its leads; gives where the next may begin.
    fn device(&mut self, sheet: &mut Sheet, plan: &Plan, (device, side): (&str, Side), mut at: Point) -> f64 {
        let thing = sheet.thing(device, format!("device {device}"));
        let leads: Vec<&Lead> = plan.leads.iter().filter(|lead| lead.device == device).collect();
        let classes: Vec<bool> =
            [true, false].into_iter().filter(|class| leads.iter().any(|lead| lead.is_class_b == *class)).collect();
        let height = ROW * classes.len().max(1) as f64;
        let wide = ZONE - 2.0 * INSET;
        // Of each class the lead to its farthest loom.
        let far = |class: &bool| {
            let places = leads.iter().filter(|lead| lead.is_class_b == *class).map(|lead| self.x(lead.loom));
            if side == Side::Left { places.reduce(f64::max) } else { places.reduce(f64::min) }
        };
        let reaches: Vec<f64> = classes.iter().filter_map(far).collect();
        let leads_at = |y: f64| reaches.iter().enumerate().map(move |(row, far)| (y + ROW * row as f64 + LEAD, *far));
        match side {
            Side::Left => self.levels.extend(leads_at(at.y)),
            Side::Right => {
                // Below all leads from the left there is always room.
                let lowest = self.levels.iter().map(|(level, _)| *level).fold(at.y, f64::max) + CLEAR;
                let is_apart = |(level, far): (f64, f64)| {
                    self.levels.iter().all(|(other, end)| *end < far || (other - level).abs() >= CLEAR)
                };
                while at.y < lowest && !leads_at(at.y).all(is_apart) {
                    at.y += 2.0;
                }
            }
        }
        sheet.frame(LineKind::Outline, Rect::at(at, wide, height - GAP), Some(thing));
        let words = Text::plain(device).within(wide - 16.0);
        sheet.text(at.by(8.0, (height - GAP) / 2.0 + 5.0), Anchor::Start, words, Some(thing));
        for (row, class) in classes.into_iter().enumerate() {
            let own: Vec<&Lead> = leads.iter().filter(|lead| lead.is_class_b == class).copied().collect();
            let edge = at.by(if side == Side::Left { wide } else { 0.0 }, ROW * row as f64 + LEAD);
            let ends: Vec<(usize, usize)> = own.iter().map(|lead| (lead.loom, lead.wires)).collect();
            self.lead(sheet, (edge, class, side), &ends, Some(thing));
        }
        at.y + height
    }

    /// A line from a place to looms, each with its count of wires.
    fn lead(
        &mut self,
        sheet: &mut Sheet,
        (from, is_class_b, side): (Point, bool, Side),
        looms: &[(usize, usize)],
        of: Option<ThingId>,
    ) {
        let places = looms.iter().map(|(loom, _)| self.x(*loom));
        let far = if side == Side::Left { places.reduce(f64::max) } else { places.reduce(f64::min) };
        let Some(far) = far else { return };
        let kind = if is_class_b { LineKind::ClassB } else { LineKind::ClassA };
        sheet.line(kind, &[from, Point::new(far, from.y)], of);
        for (loom, wires) in looms {
            let at = Point::new(self.x(*loom), from.y);
            // Wider than the bar, so that a lead that ends here differs from one that passes.
            sheet.symbol(Symbol::WideJoint, at, Turn::None, kind, of);
            let (shift, anchor) = if side == Side::Left { (-10.0, Anchor::End) } else { (10.0, Anchor::Start) };
            sheet.text(at.by(shift, -6.0), anchor, Text::small(wires.to_string()), of);
            self.reach.get_mut(*loom).into_iter().for_each(|reach| reach.1 = reach.1.max(from.y));
        }
    }

    /// Where looms meet each other, below the zones.
    fn between(&mut self, sheet: &mut Sheet, plan: &Plan, y: f64) -> f64 {
        if plan.between.is_empty() {
            return y;
        }
        sheet.text(Point::new(0.0, y + 16.0), Anchor::Start, Text::bold("between looms"), None);
        let mut y = y + 30.0;
        for one in &plan.between {
            let words = one.ends.join(" – ");
            let thing = sheet.thing(words.as_str(), format!("connectors {words}, {}", counted(one.wires, "wire")));
            let [a, b] = one.looms;
            let looms = if a == b { vec![(a, one.wires)] } else { vec![(a.min(b), one.wires), (a.max(b), one.wires)] };
            sheet.text(Point::new(INSET, y + 4.0), Anchor::Start, Text::small(&words).within(ZONE - 2.0 * INSET), Some(thing));
            self.lead(sheet, (Point::new(ZONE - 2.0, y), one.is_class_b, Side::Left), &looms, Some(thing));
            y += MEETS;
        }
        y
    }

    /// The bars themselves, as long as their leads need.
    fn drawn(&self, sheet: &mut Sheet, plan: &Plan) {
        for ((at, loom), (top, bottom)) in plan.looms.iter().enumerate().zip(&self.reach) {
            let kind = if loom.has_class_b { LineKind::BusB } else { LineKind::BusA };
            let x = self.x(at);
            sheet.line(kind, &[Point::new(x, *top), Point::new(x, bottom + 8.0)], self.things.get(at).copied());
        }
    }
}
