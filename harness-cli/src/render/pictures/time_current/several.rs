//! Several fuses on the same axes: each pair in series in a plot of its own, two plots a row.

use super::{
    super::{
        frame::{WIDE, heading, notes},
        spread::{Label, beside},
    },
    HEIGHT, LEFT, RIGHT, band,
    plot::Plot,
    range,
};
use crate::phrase::counted;
use harness_core::inspect::{Selective, TimeCurrent};
use harness_draw::{Anchor, Drawing, LineKind, Point, Rect, Sheet, Text};

/// Plots of one sheet; more pairs are counted.
const MOST: usize = 12;
/// Height of a small plot, and room above it for its title.
const SMALL: f64 = 250.0;
const TITLE: f64 = 46.0;
/// Below a plot: figures, the name of the axis, and air.
const AXIS: f64 = 62.0;
/// The edges of the upper fuse and of the lower one.
const UPPER: (LineKind, LineKind) = (LineKind::Curve, LineKind::Outline);
const LOWER: (LineKind, LineKind) = (LineKind::CurveDashed, LineKind::CurveDotted);

/// A plot: one fuse alone, or two in series.
#[derive(Clone, Copy)]
enum Shown<'a> {
    Alone(&'a TimeCurrent),
    Pair(&'a TimeCurrent, &'a TimeCurrent, &'a Selective),
}

/// Draws the fuses; `pairs` are those of [`harness_core::inspect::selective`] over the same fuses.
#[must_use]
pub fn draw(fuses: &[TimeCurrent], pairs: &[Selective], design: &str) -> Drawing {
    if let [one] = fuses {
        return super::draw(one, design);
    }
    let get = |at: usize| fuses.get(at);
    let in_series = pairs.iter().filter_map(|pair| Some(Shown::Pair(get(pair.upper)?, get(pair.lower)?, pair)));
    let is_alone = |at: &usize| !pairs.iter().any(|pair| pair.upper == *at || pair.lower == *at);
    let alone = (0..fuses.len()).filter(is_alone).filter_map(|at| Some(Shown::Alone(get(at)?)));
    let shown: Vec<Shown<'_>> = in_series.chain(alone).collect();
    let names: Vec<&str> = fuses.iter().map(|fuse| fuse.name.as_str()).collect();
    let said: Vec<String> = shown.iter().map(verdict).collect();
    let mut sheet = Sheet::new("selectivity", format!("Time-current picture of {}", names.join(", ")), said.join("; "));
    let about = [
        design.to_owned(),
        "Solid: the fuse nearer the source. Dashed: the one nearer the fault. A fuse opens somewhere in its band; the lower edge of a band is \
         the earliest time, the upper one the latest."
            .to_owned(),
    ];
    let top = heading(&mut sheet, &format!("{} and which of them opens first", counted(fuses.len(), "fuse")), &about);
    let (amps, time) = range(&fuses.iter().collect::<Vec<_>>());
    let mut bottom = top;
    for (at, (one, words)) in shown.iter().zip(&said).take(MOST).enumerate() {
        let is_large = shown.len() == 1;
        let (column, row) = ((at % 2) as f64, (at / 2) as f64);
        let (width, height) = if is_large { (WIDE - LEFT - RIGHT, HEIGHT) } else { (WIDE / 2.0 - LEFT - 14.0, SMALL) };
        let corner = Point::new(LEFT + column * WIDE / 2.0, top + TITLE + row * (SMALL + TITLE + AXIS));
        let rect = Rect::at(corner, width, height);
        bottom = rect.most.y + AXIS - 10.0;
        let Some(plot) = Plot::new(rect, amps, time) else { continue };
        let room = if is_large { WIDE - LEFT } else { width };
        sheet.text(corner.by(0.0, -26.0), Anchor::Start, Text::bold(title(*one)).within(room), None);
        sheet.text(corner.by(0.0, -9.0), Anchor::Start, Text::small(words).within(room), None);
        plot.frame(&mut sheet);
        lines(&mut sheet, *one, &plot, is_large);
    }
    let mut below = Vec::new();
    if shown.len() > MOST {
        below.push(format!("Not drawn: {}; name fewer fuses.", counted(shown.len() - MOST, "more plot")));
    }
    below.push(
        "The vertical line is the largest current that flows in the fuse nearer the fault, in a short at its terminals. Both are shown at the \
         same current; where loads beside it add to that of the fuse nearer the source, `harness check` counts what each carries."
            .to_owned(),
    );
    let mut sources: Vec<String> =
        fuses.iter().flat_map(|fuse| &fuse.sources).map(|source| format!("Source: {source}.")).collect();
    sources.sort();
    sources.dedup();
    notes(&mut sheet, bottom, below.into_iter().chain(sources));
    sheet.finish()
}

fn title(shown: Shown<'_>) -> String {
    match shown {
        Shown::Alone(fuse) => format!("{} {}", fuse.name, fuse.rating),
        Shown::Pair(upper, lower, _) => format!("{} {} before {} {}", upper.name, upper.rating, lower.name, lower.rating),
    }
}

/// What a plot shows in words.
fn verdict(shown: &Shown<'_>) -> String {
    match shown {
        Shown::Alone(_) => "in series with none of the others".to_owned(),
        Shown::Pair(_, lower, pair) => match pair.unsure {
            None => format!("{} opens first at every current up to {}", lower.name, pair.most),
            Some((from, to)) => format!("not sure that {} opens first from {from} to {to}", lower.name),
        },
    }
}

fn lines(sheet: &mut Sheet, shown: Shown<'_>, plot: &Plot, is_large: bool) {
    let mut names = Vec::new();
    let mut one = |sheet: &mut Sheet, fuse: &TimeCurrent, strokes: (LineKind, LineKind)| {
        let thing = sheet.thing(&fuse.name, format!("{}: fuse of {}", fuse.name, fuse.rating));
        let (late, early) = band(sheet, fuse, plot, strokes, thing);
        for (end, words) in [(late, "has opened at the latest"), (early, "may open from here on")] {
            let label = Label::new([fuse.name.clone(), words.to_owned()], RIGHT - 42.0);
            names.extend(end.map(|end| (end, label, Some(thing))));
        }
        thing
    };
    match shown {
        Shown::Alone(fuse) => {
            one(sheet, fuse, UPPER);
        }
        Shown::Pair(upper, lower, pair) => {
            one(sheet, upper, UPPER);
            let thing = one(sheet, lower, LOWER);
            if plot.holds(pair.most.get()) {
                let x = plot.column(pair.most.get());
                let (least, most) = (plot.rect.least.y, plot.rect.most.y);
                sheet.line(LineKind::Rule, &[Point::new(x, least), Point::new(x, most)], Some(thing));
            }
        }
    }
    if is_large {
        beside(sheet, &names, plot.rect);
    }
}
