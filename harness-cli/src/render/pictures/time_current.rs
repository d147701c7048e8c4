//! The time-current picture of a fuse, and of several for selectivity.
//!
//! The band in which a fuse opens is grey; every curve is named at its end and every current above its line, so that nothing has to be looked
//! up; curves differ by their strokes, so that a print without colour says as much.

mod cut;
mod plot;
mod several;

pub use several::draw as several;

use self::plot::{LONGEST, Plot};
use super::{
    frame::{WIDE, heading, notes, plain},
    spread::{Label, Named, beside, put, stagger},
    words::quantity,
};
use harness_core::{
    inspect::{CurrentKind, TimeCurrent},
    quantity::{Ampere, Second},
};
use harness_draw::{Drawing, Ink, LineKind, Point, Rect, Sheet, ThingId, clipped, width_of};

/// Room at the left for the figures of the axis, at the right for the names of curves.
const LEFT: f64 = 78.0;
const RIGHT: f64 = 300.0;
const HEIGHT: f64 = 470.0;
/// Below the plot: figures and name of the axis.
const AXIS: f64 = 48.0;
/// Widest label beside the plot and above it.
const WIDEST: f64 = RIGHT - 42.0;
const SHORTEST: f64 = 1e-5;
/// The strokes of the conductors.
const STROKES: [LineKind; 3] = [LineKind::CurveDashed, LineKind::CurveDashDot, LineKind::CurveDotted];

/// Draws the picture; `design` is what the design is called.
#[must_use]
pub fn draw(picture: &TimeCurrent, design: &str) -> Drawing {
    let title = format!("{}: fuse of {}", picture.name, picture.rating);
    let mut sheet = Sheet::new("time-current", format!("Time-current picture of {}", picture.name), plain(&described(picture)));
    let second = if design.is_empty() { picture.kind.clone() } else { format!("{}; {design}", picture.kind) };
    let top = heading(&mut sheet, &title, &[second]);
    let (amps, time) = range(&[picture]);
    let own = sheet.thing(&picture.name, &title);
    let bare = Plot::new(Rect::at(Point::new(LEFT, 0.0), WIDE - LEFT - RIGHT, HEIGHT), amps, time);
    let is_inside = |amps: f64| bare.as_ref().is_some_and(|plot| plot.holds(amps));
    let (verticals, beyond): (Vec<_>, Vec<_>) = verticals(picture).into_iter().partition(|(amps, _)| is_inside(*amps));
    let column = |amps: f64| bare.as_ref().map_or(0.0, |plot| plot.column(amps));
    let rises =
        stagger(&verticals.iter().map(|(amps, label)| (column(*amps), label.width() + 7.0, label.height())).collect::<Vec<_>>());
    let above = rises.iter().zip(&verticals).map(|(rise, (_, label))| rise + label.height()).fold(0.0, f64::max);
    let rect = Rect::at(Point::new(LEFT, top + above + 10.0), WIDE - LEFT - RIGHT, HEIGHT);
    if let Some(plot) = Plot::new(rect, amps, time) {
        plot.frame(&mut sheet);
        let names = curves(&mut sheet, picture, &plot, own);
        beside(&mut sheet, &names, rect);
        for ((amps, label), rise) in verticals.iter().zip(rises) {
            let (x, top) = (plot.column(*amps), rect.least.y - rise - label.height());
            sheet.line(LineKind::Rule, &[Point::new(x, top + 3.0), Point::new(x, rect.most.y)], Some(own));
            put(&mut sheet, label, Point::new(x + 7.0, top), Some(own));
        }
    }
    let below = caption(picture, beyond.iter().map(|(_, label)| label));
    notes(&mut sheet, rect.most.y + AXIS, below);
    sheet.finish()
}

/// The band and the conductors; gives the names of the curves.
fn curves(sheet: &mut Sheet, picture: &TimeCurrent, plot: &Plot, own: ThingId) -> Vec<Named> {
    let mut names: Vec<Named> = Vec::new();
    let (slowest, fastest) = band(sheet, picture, plot, (LineKind::Curve, LineKind::Outline), own);
    for (end, words) in [(slowest, "fuse has opened at the latest"), (fastest, "fuse may open from here on")] {
        names.extend(end.map(|end| (end, Label::new([words.to_owned()], WIDEST), Some(own))));
    }
    for (conductor, kind) in picture.conductors.iter().zip(STROKES) {
        let thing = sheet.thing(&conductor.name, format!("{}: {}", conductor.name, quantity(conductor.size)));
        let points = plot.curve(&conductor.points);
        sheet.line(kind, &points, Some(thing));
        let alike = (conductor.alike > 1).then(|| format!("and {} more", conductor.alike - 1));
        let size = format!(", {}", quantity(conductor.size));
        // A long name is cut, its size never.
        let name = clipped(&conductor.name, 14.0, false, WIDEST - width_of(&size, 14.0, false));
        let says = [format!("{name}{size}")].into_iter().chain(alike).chain(["overheats beyond this".to_owned()]);
        names.extend(points.last().map(|end| (*end, Label::new(says, WIDEST), Some(thing))));
    }
    for gate in &picture.gates {
        for time in [gate.least, gate.most].into_iter().flatten() {
            plot.inside(gate.amps.get(), time.get()).into_iter().for_each(|at| sheet.dot(LineKind::Outline, at, 3.0, Some(own)));
        }
    }
    names
}

/// The band in which a fuse opens, its edges in two strokes; gives where both end.
fn band(
    sheet: &mut Sheet,
    picture: &TimeCurrent,
    plot: &Plot,
    (late, early): (LineKind, LineKind),
    own: ThingId,
) -> (Option<Point>, Option<Point>) {
    // Below the current at which it is sure to open the fuse may never: its edge goes up from there.
    let never = picture.slowest.first().map(|(amps, _)| (*amps, Second::new(LONGEST * 10.0)));
    let edge: Vec<(Ampere, Second)> = never.into_iter().chain(picture.slowest.iter().copied()).collect();
    let (slowest, fastest) = (plot.curve(&edge), plot.curve(&picture.fastest));
    if slowest.len() > 1 && fastest.len() > 1 {
        // The fast edge may begin below the upper end of the plot; the band is as high as that there.
        let corner = fastest.first().zip(slowest.first()).map(|(fast, slow)| Point::new(fast.x, slow.y));
        sheet.area(Ink::Pale, slowest.iter().chain(fastest.iter().rev()).copied().chain(corner).collect(), Some(own));
    }
    sheet.line(late, &slowest, Some(own));
    sheet.line(early, &fastest, Some(own));
    (slowest.last().copied(), fastest.last().copied())
}

/// Which currents and times all pictures together need.
fn range(pictures: &[&TimeCurrent]) -> ((f64, f64), (f64, f64)) {
    let (mut amps, mut lowest) = ((f64::INFINITY, 0.0_f64), 0.1_f64);
    for picture in pictures {
        let rating = picture.rating.get();
        let currents = picture.currents.iter().map(|current| current.amps.get());
        let most = currents.clone().fold(rating * 20.0, f64::max);
        // A current far below the rating would press all else together: it is listed below the plot.
        let least = currents.filter(|amps| *amps >= rating / 20.0).fold(rating, f64::min);
        amps = (amps.0.min(least * 0.7), amps.1.max(most * 1.25));
    }
    for picture in pictures {
        // All curves leave the plot at its right edge, where their names are.
        let curves = [&picture.slowest, &picture.fastest].into_iter().chain(picture.conductors.iter().map(|it| &it.points));
        let ends = curves.flat_map(|points| points.iter().rfind(|(at, _)| at.get() <= amps.1)).map(|(_, time)| time.get());
        lowest = ends.fold(lowest, f64::min).max(SHORTEST);
    }
    (amps, (10_f64.powf((lowest * 0.9).log10().floor()).max(SHORTEST), LONGEST))
}

/// The currents as lines over all times, rising, with what is above them.
fn verticals(picture: &TimeCurrent) -> Vec<(f64, Label)> {
    let label = |current: &harness_core::inspect::Current| {
        let first = format!("{} {}", what(current.kind), current.amps);
        let said = current.said.replace(" in `", " in mode `");
        Label::new([first].into_iter().chain((!said.is_empty()).then_some(said)), WIDEST)
    };
    let mut lines: Vec<(f64, Label)> = picture.currents.iter().map(|current| (current.amps.get(), label(current))).collect();
    lines.sort_by(|a, b| a.0.total_cmp(&b.0));
    lines
}

/// The words of a current.
fn what(kind: CurrentKind) -> &'static str {
    match kind {
        CurrentKind::Load => "load",
        CurrentKind::Rating => "rating",
        CurrentKind::FarShort => "short, far end",
        CurrentKind::NearShort => "short at the fuse",
    }
}

/// What is below the plot.
fn caption<'a>(picture: &TimeCurrent, beyond: impl Iterator<Item = &'a Label>) -> Vec<String> {
    let mut lines = Vec::new();
    if !picture.gates.is_empty() {
        lines.push(
            "Dots: the gates that the fuse's times rest on; between them a fuse opens somewhere in the shaded band.".to_owned(),
        );
    }
    if !picture.conductors.is_empty() {
        let others = match picture.others {
            0 => String::new(),
            more => format!(" {more} more of other sizes are behind the fuse."),
        };
        lines.push(format!(
            "Conductors: of each size the one in the worst place, at its continuous limit when the fault begins.{others}"
        ));
    }
    lines.extend(beyond.map(|label| format!("Outside the plot: {}.", label.lines.join(" "))));
    let endless = picture.conductors.iter().filter(|conductor| conductor.points.is_empty());
    lines.extend(
        endless.map(|conductor| {
            format!("{} of {} withstands everything shown without limit of time.", conductor.size, conductor.name)
        }),
    );
    lines.extend(picture.unknown.iter().map(|unknown| format!("Not known: {unknown}.")));
    lines.extend(picture.sources.iter().map(|source| format!("Source: {source}.")));
    lines
}

/// What the picture shows in words, for those who can't see it.
fn described(picture: &TimeCurrent) -> String {
    let mut said = vec![format!("fuse {}, {}", picture.name, picture.rating)];
    for current in picture.currents.iter().filter(|current| current.kind != CurrentKind::Rating) {
        said.push(format!("{} {} {}", what(current.kind), current.amps, current.said).trim_end().to_owned());
    }
    said.extend(picture.conductors.iter().map(|conductor| format!("conductor {}, {}", conductor.name, conductor.size)));
    said.join("; ")
}
