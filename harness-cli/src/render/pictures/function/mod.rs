//! One function: its source at the left, what takes its current at the right, the feed above and the return below.
//!
//! The way is drawn in one round: along the feed to the right, down through the load, along the return to the left, up through the source. What
//! else is joined at a place of the way is named below it.

mod stop;

use super::{
    symbols::{symbol_of_consumer, symbol_of_source},
    words::{quantity, short},
};
use crate::render::kit::caution::SHORT_CAUTION;
use harness_core::views::{Consumer, Function, Source, function::Stop};
use harness_draw::{Anchor, Drawing, Ink, LineKind, Point, Rect, Sheet, Symbol, Text, ThingId, Turn};
use stop::{Look, asides_height, draw_stop, look};

/// From the left edge to the source.
const SOURCE: f64 = 130.0;
/// Between the feed and the return.
const BETWEEN: f64 = 130.0;
/// Above the feed: names, frames and the heading.
const TOP: f64 = 150.0;

/// The sheet of a function; `design` is what the design is called.
#[must_use]
pub fn draw(design: &str, function: &Function) -> Drawing {
    let about = about(function);
    let mut sheet = Sheet::new("function", format!("{} in {design}", function.name), &about);
    heading(&mut sheet, design, function, &about);
    let kind = if function.class_b { LineKind::ClassB } else { LineKind::ClassA };
    let (feed, back): (Vec<Look<'_>>, Vec<Look<'_>>) = (looks(&function.feed), looks(&function.back));
    let width = |looks: &[Look<'_>]| looks.iter().map(|look| look.width).sum::<f64>();
    let right = SOURCE + width(&feed).max(width(&back)).max(120.0) + 40.0;
    let upper = TOP;
    let below = feed.iter().map(|look| asides_height(look.stop)).fold(0.0, f64::max);
    let lower = upper + below + BETWEEN;
    // The feed from the left, the return from the right.
    let mut x = SOURCE + 20.0;
    sheet.line(kind, &[Point::new(SOURCE, upper), Point::new(x, upper)], None);
    for look in &feed {
        draw_stop(&mut sheet, kind, look, Point::new(x, upper), Point::new(x + look.width, upper));
        x += look.width;
    }
    frames(&mut sheet, &feed, SOURCE + 20.0, upper, 1.0);
    let mut end = Point::new(x, upper);
    if function.load.is_some() {
        sheet.line(kind, &[end, Point::new(right, upper)], None);
        end = Point::new(right, lower);
    } else {
        sheet.symbol(Symbol::Stud, end.by(3.0, 0.0), Turn::None, kind, None);
    }
    if let Some(load) = &function.load {
        draw_load(&mut sheet, kind, load, right, (upper, lower));
        let mut x = right - 20.0;
        sheet.line(kind, &[end, Point::new(x, lower)], None);
        for look in &back {
            draw_stop(&mut sheet, kind, look, Point::new(x, lower), Point::new(x - look.width, lower));
            x -= look.width;
        }
        frames(&mut sheet, &back, right - 20.0, lower, -1.0);
        match function.closed {
            true => sheet.line(kind, &[Point::new(x, lower), Point::new(SOURCE, lower)], None),
            false => sheet.symbol(Symbol::Stud, Point::new(x - 3.0, lower), Turn::None, kind, None),
        }
    }
    if let Some(source) = &function.source {
        draw_source(&mut sheet, kind, source, function, (upper, lower));
    }
    foot(&mut sheet, lower + back.iter().map(|look| asides_height(look.stop)).fold(0.0, f64::max) + 60.0, right + 150.0);
    sheet.finish()
}

/// How the stops are written; those of one device are together as wide as its name.
fn looks<'s>(stops: &'s [Stop]) -> Vec<Look<'s>> {
    let mut looks: Vec<Look<'s>> = stops.iter().map(look).collect();
    let mut at = 0;
    while let Some(stop) = stops.get(at) {
        let count = stops.iter().skip(at).take_while(|next| next.device == stop.device).count();
        if let Some(device) = &stop.device {
            let wide: f64 = looks.iter().skip(at).take(count).map(|look| look.width).sum();
            let short = Text::bold(device).width() + 8.0 - wide;
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

fn about(function: &Function) -> String {
    let count = function.feed.len() + function.back.len();
    let amps = quantity(function.amps);
    let how = match &function.mode {
        Some(mode) => format!("{amps} in mode {mode}"),
        None => "no current in any mode that was computed; drawn is what joins".to_owned(),
    };
    let ends = match (&function.source, &function.load, function.closed) {
        (None, _, _) => "no source is joined to it",
        (Some(_), None, _) => "nothing takes its current",
        (Some(_), Some(_), false) => "the way does not come back to its source",
        (Some(_), Some(_), true) => "from its source and back",
    };
    format!("{how}; {count} things on the way, {ends}")
}

fn heading(sheet: &mut Sheet, design: &str, function: &Function, about: &str) {
    let left = if function.class_b {
        sheet.warning(Point::new(0.0, 2.0));
        36.0
    } else {
        0.0
    };
    let title = Text::title(&function.name);
    let beside = left + title.width() + 12.0;
    sheet.text(Point::new(left, 20.0), Anchor::Start, title, None);
    sheet.text(Point::new(beside, 20.0), Anchor::Start, Text::plain(format!("what it runs through, {design}")), None);
    sheet.text(Point::new(left, 42.0), Anchor::Start, Text::small(about), None);
}

/// The frames of devices round stops that follow one another; each ends in the middle of the joints at its edges.
fn frames(sheet: &mut Sheet, looks: &[Look<'_>], from: f64, y: f64, way: f64) {
    let mut x = from;
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
            let rect = Rect::between(Point::new(a, y - 62.0), Point::new(b, y + 34.0));
            sheet.frame(LineKind::Enclosure, rect, None);
            sheet.text(Point::new(a + 2.0, y - 68.0), Anchor::Start, Text::bold(device).within(b - a - 4.0), None);
        }
        at += count;
    }
}

/// How far a symbol reaches on a line from above: a converter is not turned, its sides say what is in and out.
fn upright(symbol: Symbol) -> (Turn, f64) {
    match symbol {
        Symbol::Converter(..) => (Turn::None, 20.0),
        _ => (Turn::Quarter, symbol.reach()),
    }
}

fn draw_load(sheet: &mut Sheet, kind: LineKind, load: &Consumer, x: f64, (upper, lower): (f64, f64)) {
    let symbol = symbol_of_consumer(load);
    let (turn, reach) = upright(symbol);
    let at = Point::new(x, ((upper + lower) / 2.0).round());
    let thing = Some(sheet.thing(&load.name, format!("{}, takes {}", load.name, quantity(load.amps))));
    sheet.line(kind, &[Point::new(x, upper), at.by(0.0, -reach)], thing);
    sheet.line(kind, &[at.by(0.0, reach), Point::new(x, lower)], thing);
    sheet.symbol(symbol, at, turn, kind, thing);
    let beside = symbol.extent_at(at, turn).most.x + 8.0;
    beside_lines(sheet, Point::new(beside, at.y), &[Text::bold(&load.name), Text::small(quantity(load.amps))], thing);
}

fn draw_source(sheet: &mut Sheet, kind: LineKind, source: &Source, function: &Function, (upper, lower): (f64, f64)) {
    let symbol = symbol_of_source(source, false);
    let (turn, reach) = match upright(symbol) {
        (Turn::Quarter, reach) => (Turn::Back, reach),
        other => other,
    };
    let at = Point::new(SOURCE, ((upper + lower) / 2.0).round());
    let thing = Some(sheet.thing(&source.name, format!("source {}, {}", source.name, quantity(source.volts))));
    sheet.line(kind, &[Point::new(SOURCE, upper), at.by(0.0, -reach)], thing);
    let foot = if function.closed { lower } else { at.y + reach + 20.0 };
    sheet.line(kind, &[at.by(0.0, reach), Point::new(SOURCE, foot)], thing);
    sheet.symbol(symbol, at, turn, kind, thing);
    let left = symbol.extent_at(at, turn).least.x - 8.0;
    let name = short(&source.name, "");
    for (number, text) in [Text::bold(name), Text::small(quantity(source.volts))].into_iter().enumerate() {
        sheet.text(Point::new(left, at.y + 15.0 * number as f64), Anchor::End, text, thing);
    }
}

fn beside_lines(sheet: &mut Sheet, at: Point, lines: &[Text], of: Option<ThingId>) {
    for (number, text) in lines.iter().enumerate() {
        sheet.text(at.by(0.0, 15.0 * number as f64), Anchor::Start, text.clone(), of);
    }
}

fn foot(sheet: &mut Sheet, y: f64, right: f64) {
    sheet.line(LineKind::Rule, &[Point::new(0.0, y), Point::new(right, y)], None);
    let words = [
        "Drawn at rest. Above a wire its number, below it size, colour and length. Below a dot: what else is joined there, and where that leads.",
        SHORT_CAUTION,
    ];
    for (number, line) in words.iter().enumerate() {
        let text = Text::small(line).ink(if number == 0 { Ink::Black } else { Ink::Grey });
        sheet.text(Point::new(0.0, y + 18.0 + 16.0 * number as f64), Anchor::Start, text, None);
    }
}
