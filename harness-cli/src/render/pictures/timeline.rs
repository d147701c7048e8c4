//! Timelines of class B: a precharge as contacts, volts and watts over one axis of time, and a capacitor that empties.

use super::{
    frame::{self, WIDE, heading, notes},
    spread::{Label, Named, beside},
    words::quantity,
};
use harness_core::{
    quantity::{Second, Volt, Watt},
    views::{DischargeTimeline, PrechargeTimeline},
};
use harness_draw::{
    Anchor, Drawing, Ink, LineKind, Near, Point, Rect, Sheet, Text, ThingId,
    axes::{Axis, Growth},
};

/// Room at the left for names and figures, at the right for the names of curves.
const LEFT: f64 = 200.0;
const RIGHT: f64 = 270.0;
const WIDEST: f64 = RIGHT - 40.0;
/// Height of the row of a contact, of a bar in it, and of a plot.
const ROW: f64 = 26.0;
const BAR: f64 = 8.0;
const VOLTS: f64 = 210.0;
const WATTS: f64 = 140.0;
/// Between two rows of the figure.
const APART: f64 = 34.0;
/// Places of a curve.
const STEPS: u32 = 120;
/// Time constants that are shown: what is missing then is less than one part in a hundred.
const CONSTANTS: f64 = 5.0;

/// Draws a precharge.
#[must_use]
pub fn precharge(one: &PrechargeTimeline, design: &str) -> Drawing {
    let capacitors = one.capacitors.join(", ");
    let title = format!("Precharge of {capacitors}");
    let constant = one.ohms.get() * one.farad.get();
    let closes = one.given.or(one.time).map(Second::get);
    let reached = match (one.time, one.given) {
        (Some(time), Some(given)) => format!("{} after {time}, the main contact shuts after {given}", one.goal),
        (Some(time), None) => format!("{} after {time}", one.goal),
        (None, _) => format!("{} is never reached", one.goal),
    };
    let mut sheet = Sheet::new("precharge", &title, format!("{reached}; {} takes {} in one precharge", one.resistor, one.energy));
    let about = [
        design.to_owned(),
        format!(
            "{} through {}, {}. All resistance on the way {}, time constant {}.",
            one.farad,
            one.resistor,
            if one.mode == one.then {
                format!("at the beginning of mode {}", one.mode)
            } else {
                format!("mode {}, then {}", one.mode, one.then)
            },
            one.ohms,
            Second::new(constant)
        ),
    ];
    let top = class_b(&mut sheet, &title, &about);
    let last = closes.map_or(0.0, |closes| closes * 1.25).max(constant * CONSTANTS);
    let Some(time) = Axis::new(Growth::Linear, (0.0, last), (LEFT, WIDE - RIGHT)) else {
        return without(sheet, top);
    };
    let contacts = contacts(&mut sheet, one, &time, closes, top);
    let volts = Plot::new(
        Rect::at(Point::new(LEFT, contacts + APART), WIDE - LEFT - RIGHT, VOLTS),
        time,
        one.full.get().max(one.reaches.get()),
    );
    let watts =
        Plot::new(Rect::at(Point::new(LEFT, contacts + 2.0 * APART + VOLTS), WIDE - LEFT - RIGHT, WATTS), time, one.power.get());
    let (Some(volts), Some(watts)) = (volts, watts) else { return without(sheet, contacts) };
    let thing = sheet.thing(capacitors.as_str(), format!("{capacitors}: {}", quantity(one.farad)));
    volts.frame(&mut sheet, "volts, V");
    rising(&mut sheet, one, &volts, (constant, closes), thing);
    let resistor = sheet.thing(&one.resistor, format!("{}: {}", one.resistor, quantity(one.ohms)));
    watts.frame(&mut sheet, "watts in the resistor, W");
    falling(&mut sheet, one, &watts, (constant, closes), resistor);
    let bottom = watts.times(&mut sheet);
    let mut below = vec![
        "Dashed with long strokes: the bus is shorted. It gets no voltage, and the resistor takes all the power until something opens.".to_owned(),
    ];
    if one.given.is_none() {
        below.push("The design gives no time for the precharge (`lasts` of the mode, closing delay of the main contact): the contacts are drawn as if the main contact shut at the goal.".to_owned());
    }
    below.push(
        "Computed: tau = RC, the capacitor empty at first, the resistance constant; goal and figures as in `harness check`."
            .to_owned(),
    );
    notes(&mut sheet, bottom, below);
    sheet.finish()
}

/// A heading with the sign of class B before it.
fn class_b(sheet: &mut Sheet, title: &str, about: &[String]) -> f64 {
    let y = heading(sheet, title, about);
    frame::class_b(sheet, y, false) + 4.0
}

/// A drawing of which the figures have no room on any axis.
fn without(mut sheet: Sheet, y: f64) -> Drawing {
    sheet.text(Point::new(0.0, y + 16.0), Anchor::Start, Text::plain("Not drawn: a figure is zero or beyond all axes."), None);
    notes(&mut sheet, y + 40.0, []);
    sheet.finish()
}

/// The contacts as bars where they are shut; gives where they end.
fn contacts(sheet: &mut Sheet, one: &PrechargeTimeline, time: &Axis, closes: Option<f64>, top: f64) -> f64 {
    let end = WIDE - RIGHT;
    let change = closes.map_or(end, |closes| time.place(closes));
    let mut y = top;
    if one.contacts.is_empty() {
        return y;
    }
    sheet.text(Point::new(0.0, y + 14.0), Anchor::Start, Text::small("contacts"), None);
    for contact in &one.contacts {
        let level = y + ROW / 2.0;
        let thing = sheet.thing(&contact.name, format!("contact {}", contact.name));
        sheet.text(
            Point::new(LEFT - 12.0, level + 4.0),
            Anchor::End,
            Text::small(&contact.name).within(LEFT - 80.0),
            Some(thing),
        );
        sheet.line(LineKind::Rule, &[Point::new(LEFT, level), Point::new(end, level)], Some(thing));
        let (from, to) = (if contact.during { LEFT } else { change }, if contact.after { end } else { change });
        if to > from {
            sheet.fill(Ink::Black, Rect::at(Point::new(from, level - BAR / 2.0), to - from, BAR), Some(thing));
        }
        let words = match (contact.during, contact.after) {
            (true, true) => "shut throughout",
            (true, false) => "shut, then open",
            (false, true) => "open, then shut",
            (false, false) => "open",
        };
        sheet.text(Point::new(end + 12.0, level + 4.0), Anchor::Start, Text::small(words), Some(thing));
        y += ROW;
    }
    y
}

/// The volts of the capacitors.
fn rising(sheet: &mut Sheet, one: &PrechargeTimeline, plot: &Plot, (constant, closes): (f64, Option<f64>), of: ThingId) {
    let mut names: Vec<Named> = Vec::new();
    let last = closes.unwrap_or(plot.last).min(plot.last);
    let after = |time: f64| one.reaches.get() * (1.0 - (-time / constant).exp());
    let mut curve = plot.curve(last, after);
    let edge = plot.rect.most.x;
    if last < plot.last {
        let full = plot.volts.place(one.full.get());
        let x = plot.time.place(last);
        curve.extend([Point::new(x, full), Point::new(edge, full)]);
    }
    sheet.line(LineKind::Curve, &curve, Some(of));
    let comes = if last < plot.last { one.full } else { Volt::new(after(plot.last)) };
    names.extend(curve.last().map(|end| (*end, Label::new([format!("comes to {comes}")], WIDEST), Some(of))));
    let goal = plot.volts.place(one.goal.get());
    sheet.line(LineKind::Driven, &[Point::new(plot.rect.least.x, goal), Point::new(edge, goal)], None);
    let share = one.goal.get() / one.full.get() * 100.0;
    names.push((
        Point::new(edge, goal),
        Label::new([format!("goal {}", one.goal), format!("{share:.0} % of {}", one.full)], WIDEST),
        None,
    ));
    if let Some(time) = one.time.filter(|time| time.get() <= plot.last) {
        let at = Point::new(plot.time.place(time.get()), goal);
        sheet.line(LineKind::Rule, &[at, Point::new(at.x, plot.rect.most.y)], Some(of));
        sheet.dot(LineKind::Outline, at, 3.0, Some(of));
        let near = Near::Line(vec![Point::new(at.x, plot.rect.most.y), Point::new(at.x, goal)]);
        sheet.number(near, Text::small(format!("goal after {time}")), Some(of));
    }
    if let Some(given) = one.given.filter(|given| given.get() < plot.last) {
        let x = plot.time.place(given.get());
        sheet.line(LineKind::Rule, &[Point::new(x, plot.rect.least.y - 6.0), Point::new(x, plot.rect.most.y)], None);
        let near = Near::Point(Point::new(x, plot.rect.least.y - 6.0));
        sheet.value(near, Text::small(format!("main contact shuts: {given}")), None);
    }
    let floor = plot.rect.most.y;
    sheet.line(LineKind::CurveDashed, &[Point::new(plot.rect.least.x, floor), Point::new(edge, floor)], None);
    names.push((Point::new(edge, floor), Label::new(["bus shorted: 0 V".to_owned()], WIDEST), None));
    beside(sheet, &names, plot.rect);
}

/// The watts of the resistor.
fn falling(sheet: &mut Sheet, one: &PrechargeTimeline, plot: &Plot, (constant, closes): (f64, Option<f64>), of: ThingId) {
    let (first, lasting) = (one.power.get(), one.lasting.get().min(one.power.get()));
    let last = closes.unwrap_or(plot.last).min(plot.last);
    let (edge, floor) = (plot.rect.most.x, plot.rect.most.y);
    // The current falls to that of what runs behind; its square is the power.
    let power = |time: f64| {
        let share = (lasting / first).sqrt();
        let current = share + (1.0 - share) * (-time / constant).exp();
        first * current * current
    };
    let mut curve = plot.curve(last, power);
    if last < plot.last {
        curve.extend([Point::new(plot.time.place(last), floor), Point::new(edge, floor)]);
    }
    sheet.line(LineKind::Curve, &curve, Some(of));
    let mut energy = vec![format!("{} in one precharge", one.energy)];
    energy.extend(one.rated.1.map(|rated| format!("rated {rated} in a pulse")));
    let mut names: Vec<Named> = Vec::new();
    names.extend(curve.last().map(|end| (*end, Label::new(energy, WIDEST), Some(of))));
    let level = plot.volts.place(first);
    sheet.line(LineKind::CurveDashed, &[Point::new(plot.rect.least.x, level), Point::new(edge, level)], Some(of));
    let shorted = [format!("bus shorted: {}", Watt::new(first)), "until something opens".to_owned()];
    names.push((Point::new(edge, level), Label::new(shorted, WIDEST), Some(of)));
    if let Some(rated) = one.rated.0.filter(|rated| *rated < one.power) {
        let level = plot.volts.place(rated.get());
        sheet.line(LineKind::Driven, &[Point::new(plot.rect.least.x, level), Point::new(edge, level)], Some(of));
        names.push((Point::new(edge, level), Label::new([format!("rated {rated} for good")], WIDEST), Some(of)));
    }
    beside(sheet, &names, plot.rect);
}

/// Draws how a capacitor empties.
#[must_use]
pub fn discharge(one: &DischargeTimeline, design: &str) -> Drawing {
    let title = format!("Discharge of {}", one.capacitor);
    let falls = match one.time {
        Some(time) => format!("from {} it is at {} after {time}", one.from.0, one.limit),
        None => format!("nothing empties it: it keeps {}", one.from.0),
    };
    let mut sheet = Sheet::new("discharge", &title, &falls);
    let through = match (one.through.as_slice(), one.ohms) {
        ([], None) => "no resistor is across it".to_owned(),
        ([], Some(ohms)) => format!("through {ohms}"),
        (names, Some(ohms)) => format!("through {}, {ohms}", names.join(", ")),
        (names, None) => format!("through {}", names.join(", ")),
    };
    let about = [
        design.to_owned(),
        format!("All contactors and disconnects open. {} from {} as in mode `{}`, {through}.", one.farad, one.from.0, one.from.1),
    ];
    let top = class_b(&mut sheet, &title, &about);
    let (time, wait) = (one.time.map(Second::get), one.wait.get());
    // A wait that is far beyond would press the fall together.
    let last = time.map_or(wait * 1.25, |time| if time * 3.0 > wait { (time * 1.5).max(wait * 1.25) } else { time * 3.0 });
    let axis = Axis::new(Growth::Linear, (0.0, last), (LEFT, WIDE - RIGHT));
    let rect = Rect::at(Point::new(LEFT, top + 20.0), WIDE - LEFT - RIGHT, 300.0);
    let Some(plot) = axis.and_then(|axis| Plot::new(rect, axis, one.from.0.get())) else {
        return without(sheet, top);
    };
    let thing = sheet.thing(&one.capacitor, format!("{}: {}", one.capacitor, quantity(one.farad)));
    plot.frame(&mut sheet, "volts, V");
    let constant = one.ohms.map(|ohms| ohms.get() * one.farad.get()).filter(|constant| *constant > 0.0);
    let (curve, kind, words) = match (one.own_means, constant) {
        (Some(own), _) => {
            let limit = plot.volts.place(one.limit.get());
            let points =
                vec![Point::new(LEFT, plot.volts.place(one.from.0.get())), Point::new(plot.time.place(own.get()), limit)];
            (points, LineKind::Driven, "by a means of its own; how it falls is not known")
        }
        (None, Some(constant)) => {
            let volts = |time: f64| one.from.0.get() * (-time / constant).exp();
            (plot.curve(plot.last, volts), LineKind::Curve, "volts of the capacitor")
        }
        (None, None) => (plot.curve(plot.last, |_| one.from.0.get()), LineKind::Curve, "nothing empties it"),
    };
    sheet.line(kind, &curve, Some(thing));
    let edge = rect.most.x;
    let mut names: Vec<Named> = Vec::new();
    let words: Vec<String> = harness_draw::broken(words, 14.0, false, WIDEST);
    if one.own_means.is_none() {
        names.extend(curve.last().map(|end| (*end, Label::new(words.clone(), WIDEST), Some(thing))));
    }
    let limit = plot.volts.place(one.limit.get());
    sheet.line(LineKind::Driven, &[Point::new(LEFT, limit), Point::new(edge, limit)], None);
    names.push((Point::new(edge, limit), Label::new([format!("{}: limit of class A", one.limit)], WIDEST), None));
    if let Some(time) = one.time {
        let at = Point::new(plot.time.place(time.get()), limit);
        sheet.dot(LineKind::Outline, at, 3.0, Some(thing));
        sheet.line(LineKind::Rule, &[at, Point::new(at.x, rect.most.y)], Some(thing));
        let near = Near::Line(vec![Point::new(at.x, rect.most.y), at]);
        sheet.number(near, Text::small(format!("after {time}")), Some(thing));
    }
    if wait < last {
        let at = Point::new(plot.time.place(wait), rect.least.y - 6.0);
        sheet.line(LineKind::Rule, &[at, Point::new(at.x, rect.most.y)], None);
        sheet.value(Near::Point(at), Text::small(format!("nobody waits longer than {}", one.wait)), None);
    }
    beside(&mut sheet, &names, rect);
    let bottom = plot.times(&mut sheet);
    let mut below = vec![
        "Computed: V exp(-t / RC) from the highest voltage of any mode; capacitors in parallel count. Measure that there is no voltage before touching."
            .to_owned(),
    ];
    if one.own_means.is_some() {
        below.insert(0, format!("The time is that which the design gives the device (`discharged-in`); {}.", words.join(" ")));
    }
    notes(&mut sheet, bottom, below);
    sheet.finish()
}

/// A plot over time.
struct Plot {
    rect: Rect,
    time: Axis,
    last: f64,
    volts: Axis,
}

impl Plot {
    /// A plot from nothing to a little more than `most`.
    fn new(rect: Rect, time: Axis, most: f64) -> Option<Self> {
        let volts = Axis::new(Growth::Linear, (0.0, most * 1.1), (rect.most.y, rect.least.y))?;
        let last = time.values().1;
        Some(Self { rect, time, last, volts })
    }

    fn curve(&self, last: f64, value: impl Fn(f64) -> f64) -> Vec<Point> {
        (0..=STEPS)
            .map(|step| last * f64::from(step) / f64::from(STEPS))
            .map(|time| Point::new(self.time.place(time), self.volts.place(value(time))))
            .collect()
    }

    /// The outline, its figures at the left, and a grid at the figures of both axes.
    fn frame(&self, sheet: &mut Sheet, name: &str) {
        let Rect { least, most } = self.rect;
        for value in self.volts.marks((self.rect.height() / 26.0) as usize) {
            let y = self.volts.place(value);
            if y > least.y && y < most.y {
                sheet.line(LineKind::Grid, &[Point::new(least.x, y), Point::new(most.x, y)], None);
            }
            sheet.text(Point::new(least.x - 8.0, y + 4.0), Anchor::End, Text::small(format!("{value}")), None);
        }
        for value in self.marks() {
            let x = self.time.place(value);
            if x > least.x && x < most.x {
                sheet.line(LineKind::Grid, &[Point::new(x, least.y), Point::new(x, most.y)], None);
            }
        }
        sheet.frame(LineKind::Rule, self.rect, None);
        sheet.axis_name(Point::new(least.x - 74.0, (least.y + most.y) / 2.0), Text::small(name));
    }

    fn marks(&self) -> Vec<f64> {
        self.time.marks((self.rect.width() / 64.0) as usize)
    }

    /// The figures and the name of the axis of time; gives where they end.
    fn times(&self, sheet: &mut Sheet) -> f64 {
        let bottom = self.rect.most.y;
        for value in self.marks() {
            let at = Point::new(self.time.place(value), bottom + 17.0);
            sheet.text(at, Anchor::Middle, Text::small(format!("{value}")), None);
        }
        let middle = Point::new((self.rect.least.x + self.rect.most.x) / 2.0, bottom + 36.0);
        sheet.text(middle, Anchor::Middle, Text::small("time, s"), None);
        bottom + 50.0
    }
}
