//! The time-current picture of a fuse, as SVG.
//!
//! Every curve is named at its end and every current above its line, so that nothing has to be looked up; curves differ by
//! their strokes, so that a print without colour says as much. Labels get places of their own beside the plot: none ever is
//! on another. The library draws axes and strokes in memory; the same figures give the same bytes.

mod layout;
mod strokes;

pub(crate) use self::layout::shortened;
use self::{
    layout::{Label, spread, stagger},
    strokes::{Stroke, dashes, within},
};
use crate::render::kit::{caution::SHORT_CAUTION, printable, wrap, xml::escaped};
use harness_core::{
    inspect::{CurrentKind, TimeCurrent},
    quantity::{Ampere, Second},
};
use plotters::{
    coord::{Shift, combinators::WithKeyPoints},
    prelude::*,
    style::text_anchor::{HPos, Pos, VPos},
};
use std::fmt::Write;

type Canvas<'a> = DrawingArea<SVGBackend<'a>, Shift>;
type Fault = DrawingAreaErrorKind<std::io::Error>;
/// A point in seconds over ampere.
type Point = (f64, f64);
type Pixel = (i32, i32);
/// Colour, width in pixels and stroke of a line.
type Style = (RGBColor, i32, Stroke);

/// Units of the drawing in a pixel: the library rounds to whole units, and a curve of whole pixels is a staircase.
const FINE: i32 = 4;
/// Size of the picture; its height grows with the lines below it.
const WIDTH: i32 = 1200 * FINE;
const PLOT_HEIGHT: i32 = 620 * FINE;
/// Room at the right for the names of curves.
const RIGHT: i32 = 330 * FINE;
const LEFT: i32 = 90 * FINE;
/// Room above the plot for the title.
const TITLE: i32 = 78 * FINE;
const MARGIN: i32 = 8 * FINE;
const AXIS: i32 = 62 * FINE;
const BORDER: i32 = 24 * FINE;
/// Text sizes in pixels, and the height of a line.
const TEXT: f64 = 15.0;
const LINE: i32 = 19 * FINE;
/// Longest time that is of interest, in seconds.
const LONGEST: f64 = 10_000.0;
const SHORTEST: f64 = 1e-5;

const BLACK: RGBColor = RGBColor(0, 0, 0);
/// The colours of Okabe and Ito, which those who see few colours can distinguish.
const FUSE: RGBColor = RGBColor(0xd5, 0x5e, 0x00);
const BAND: RGBColor = RGBColor(0xf6, 0xe3, 0xd2);
const CONDUCTOR: RGBColor = RGBColor(0x00, 0x72, 0xb2);
const LOAD: RGBColor = RGBColor(0x00, 0x7f, 0x5f);
const GRID: RGBColor = RGBColor(0xd0, 0xd0, 0xd0);
const FAINT: RGBColor = RGBColor(0xee, 0xee, 0xee);

/// Draws the picture; `design` is what the design is called.
///
/// # Errors
/// If the library can't draw it, in its words.
pub fn draw(picture: &TimeCurrent, design: &str) -> Result<String, String> {
    let mut text = String::new();
    paint(picture, design, &mut text).map_err(|error| error.to_string())?;
    Ok(described(text, picture))
}

/// What the picture shows over which range.
struct Frame {
    amps: (f64, f64),
    time: (f64, f64),
}

impl Frame {
    /// Where a current will be on the axis: labels take their room above the plot before there is one.
    fn column(&self, amps: f64) -> i32 {
        let left = MARGIN + LEFT;
        let share = (amps / self.amps.0).ln() / (self.amps.1 / self.amps.0).ln();
        left + (share * f64::from(WIDTH - RIGHT - left)) as i32
    }

    fn of(picture: &TimeCurrent) -> Self {
        let rating = picture.rating.get();
        let currents = picture.currents.iter().map(|current| current.amps.get());
        let most = currents.clone().fold(rating * 20.0, f64::max);
        // A current far below the rating would press all else together: it is listed below the plot.
        let least = currents.filter(|amps| *amps >= rating / 20.0).fold(rating, f64::min);
        let amps = (least * 0.7, most * 1.25);
        // All curves leave the plot at its right edge, where their names are.
        let curves = [&picture.slowest, &picture.fastest].into_iter().chain(picture.conductors.iter().map(|it| &it.points));
        let ends = curves.flat_map(|points| points.iter().rfind(|(at, _)| at.get() <= amps.1)).map(|(_, time)| time.get());
        let lowest = ends.fold(0.1, f64::min).max(SHORTEST);
        Self { amps, time: (10_f64.powf((lowest * 0.9).log10().floor()), LONGEST) }
    }
}

fn paint(picture: &TimeCurrent, design: &str, text: &mut String) -> Result<(), Fault> {
    let frame = Frame::of(picture);
    let (verticals, beyond): (Vec<_>, Vec<_>) =
        verticals(picture).into_iter().partition(|(amps, _, _)| (frame.amps.0..=frame.amps.1).contains(amps));
    let rises = stagger(
        &verticals.iter().map(|(amps, label, _)| (frame.column(*amps), label.width(), label.height())).collect::<Vec<_>>(),
    );
    let tops = rises.iter().zip(&verticals).map(|(rise, (_, label, _))| rise + label.height());
    let above = TITLE + tops.max().unwrap_or(0);
    let below = caption(picture, beyond.iter().map(|(_, label, _)| label));
    let under = 16 * FINE + below.len() as i32 * LINE + 10 * FINE;
    let height = above + PLOT_HEIGHT + AXIS + under;
    let root = SVGBackend::with_string(text, (WIDTH as u32, height as u32)).into_drawing_area();
    root.fill(&WHITE)?;
    let mut chart = ChartBuilder::on(&root)
        .margin_top(above)
        .margin_left(MARGIN)
        .margin_right(RIGHT)
        .margin_bottom(under)
        .set_label_area_size(LabelAreaPosition::Left, LEFT)
        .set_label_area_size(LabelAreaPosition::Bottom, AXIS)
        .build_cartesian_2d(axis(frame.amps, true), axis(frame.time, false))?;
    chart
        .configure_mesh()
        .bold_line_style(GRID.stroke_width(FINE as u32))
        .light_line_style(FAINT.stroke_width(FINE as u32))
        .axis_style(BLACK)
        .x_labels(60)
        .y_labels(60)
        .set_all_tick_mark_size(6 * FINE)
        .x_desc("current")
        .y_desc("time")
        .label_style(sans(TEXT))
        .axis_desc_style(sans(TEXT))
        .x_label_formatter(&|amps| Ampere::new(*amps).to_string())
        .y_label_formatter(&|time| seconds(*time))
        .draw()?;
    let plot = chart.plotting_area().as_coord_spec();
    let map = |point: Point| plot.translate(&point);
    let (from, to) = (map((frame.amps.0, frame.time.1)), map((frame.amps.1, frame.time.0)));
    let inside = (frame.amps, frame.time);

    let curve = |points: &[(Ampere, Second)]| -> Vec<Pixel> {
        let points: Vec<Point> = points.iter().map(|(amps, time)| (amps.get(), time.get())).collect();
        within(&points, inside).into_iter().map(map).collect()
    };
    // Below the current at which it is sure to open the fuse may never: its edge goes up from there.
    let never = picture.slowest.first().map(|(amps, _)| (*amps, Second::new(LONGEST * 10.0)));
    let edge: Vec<(Ampere, Second)> = never.into_iter().chain(picture.slowest.iter().copied()).collect();
    let (slowest, fastest) = (curve(&edge), curve(&picture.fastest));
    band(&root, &slowest, &fastest)?;
    // The frame of the plot over the band.
    stroke(&root, &[from, (to.0, from.1), to, (from.0, to.1), from], BLACK, 1, Stroke::Solid)?;

    let mut names: Vec<(Pixel, Label, RGBColor)> = Vec::new();
    let mut name = |points: &[Pixel], label: Label, colour: RGBColor| {
        if let Some(end) = points.last() {
            names.push((*end, label, colour));
        }
    };
    for (points, width, words) in [(&slowest, 4, "fuse has opened at the latest"), (&fastest, 2, "fuse may open from here on")] {
        stroke(&root, points, FUSE, width, Stroke::Solid)?;
        name(points, Label::new([words.to_owned()]), FUSE);
    }
    for (conductor, style) in picture.conductors.iter().zip([Stroke::Dashed, Stroke::DashDot, Stroke::Dotted]) {
        let points = curve(&conductor.points);
        stroke(&root, &points, CONDUCTOR, 3, style)?;
        let alike = if conductor.alike > 1 { format!(" and {} more", conductor.alike - 1) } else { String::new() };
        let says = format!("{}: {}{alike}", conductor.size, printable(&conductor.name));
        name(&points, Label::new([says, "overheats beyond this".to_owned()]), CONDUCTOR);
    }
    gates(&root, picture, inside, map)?;
    right_labels(&root, &names, from.1, to.1, to.0)?;
    let columns = verticals.iter().map(|(amps, _, _)| map((*amps, LONGEST)).0);
    for (((_, label, style), column), rise) in verticals.iter().zip(columns).zip(rises) {
        vertical(&root, label, *style, (column, from.1 - rise - label.height()), to.1)?;
    }
    title(&root, picture, design)?;
    for (at, line) in below.iter().enumerate() {
        let y = above + PLOT_HEIGHT + AXIS + 16 * FINE + at as i32 * LINE;
        words(&root, line, (BORDER, y), 13.0, BLACK)?;
    }
    root.present()
}

/// The currents as lines over all times, rising, with what is above them.
fn verticals(picture: &TimeCurrent) -> Vec<(f64, Label, Style)> {
    let mut lines: Vec<(f64, Label, Style)> = picture
        .currents
        .iter()
        .map(|current| {
            let (what, style) = match current.kind {
                CurrentKind::Load => ("load", (LOAD, 3, Stroke::Dotted)),
                CurrentKind::Rating => ("rating", (FUSE, 1, Stroke::Solid)),
                CurrentKind::FarShort => ("short, far end", (BLACK, 2, Stroke::DashDot)),
                CurrentKind::NearShort => ("short at the fuse", (BLACK, 2, Stroke::Dashed)),
            };
            let said = printable(&current.said).into_owned();
            let label = Label::new([format!("{what} {}", current.amps)].into_iter().chain((!said.is_empty()).then_some(said)));
            (current.amps.get(), label, style)
        })
        .collect();
    lines.sort_by(|a, b| a.0.total_cmp(&b.0));
    lines
}

/// What is below the plot.
fn caption<'a>(picture: &TimeCurrent, beyond: impl Iterator<Item = &'a Label>) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut add = |text: &str| lines.extend(wrap(&printable(text), 150));
    if !picture.gates.is_empty() {
        add("Dots: the gates that the fuse's times rest on; between them a fuse opens somewhere in the shaded band.");
    }
    if !picture.conductors.is_empty() {
        let others = match picture.others {
            0 => String::new(),
            more => format!(" {more} more of other sizes are behind the fuse."),
        };
        add(&format!(
            "Conductors: of each size the one in the worst place, at its continuous limit when the fault begins.{others}"
        ));
    }
    for label in beyond {
        add(&format!("Outside the plot: {}.", label.lines.join(" ")));
    }
    for conductor in picture.conductors.iter().filter(|conductor| conductor.points.is_empty()) {
        add(&format!("{} of {} withstands everything shown without limit of time.", conductor.size, conductor.name));
    }
    for unknown in &picture.unknown {
        add(&format!("Not known: {unknown}."));
    }
    for source in &picture.sources {
        add(&format!("Source: {source}."));
    }
    add(SHORT_CAUTION);
    lines
}

fn title(root: &Canvas<'_>, picture: &TimeCurrent, design: &str) -> Result<(), Fault> {
    words(root, &format!("{}: fuse of {}", printable(&picture.name), picture.rating), (BORDER, 14 * FINE), 22.0, BLACK)?;
    let design = printable(design);
    let kind = printable(&picture.kind);
    let second = if design.is_empty() { kind.into_owned() } else { format!("{kind}; {design}") };
    words(root, &shortened(&second, 150), (BORDER, 46 * FINE), TEXT, BLACK)
}

/// Shades what is between both edges.
fn band(root: &Canvas<'_>, slowest: &[Pixel], fastest: &[Pixel]) -> Result<(), Fault> {
    if slowest.len() < 2 || fastest.len() < 2 {
        return Ok(());
    }
    // The fast edge may begin below the upper end of the plot; the band is as high as that there.
    let corner = fastest.first().zip(slowest.first()).map(|((x, _), (_, y))| (*x, *y));
    let outline: Vec<Pixel> = slowest.iter().chain(fastest.iter().rev()).copied().chain(corner).collect();
    root.draw(&Polygon::new(outline, BAND.filled()))
}

fn gates(
    root: &Canvas<'_>,
    picture: &TimeCurrent,
    (amps, time): (Point, Point),
    map: impl Fn(Point) -> Pixel,
) -> Result<(), Fault> {
    for gate in &picture.gates {
        for at in [gate.least, gate.most].into_iter().flatten() {
            let point = (gate.amps.get(), at.get());
            if (amps.0..=amps.1).contains(&point.0) && (time.0..=time.1).contains(&point.1) {
                root.draw(&Circle::new(map(point), 6 * FINE, WHITE.filled()))?;
                root.draw(&Circle::new(map(point), 5 * FINE, FUSE.filled()))?;
            }
        }
    }
    Ok(())
}

/// Names the curves at the right edge, each joined to its curve.
fn right_labels(root: &Canvas<'_>, names: &[(Pixel, Label, RGBColor)], top: i32, bottom: i32, edge: i32) -> Result<(), Fault> {
    let wanted: Vec<(i32, i32)> = names.iter().map(|(end, label, _)| (end.1, label.height())).collect();
    for ((end, label, colour), y) in names.iter().zip(spread(&wanted, top, bottom)) {
        let middle = y + label.height() / 2;
        let start = (end.0.max(edge), end.1);
        stroke(root, &[*end, start, (edge + 26 * FINE, middle), (edge + 34 * FINE, middle)], *colour, 1, Stroke::Solid)?;
        for (at, line) in label.lines.iter().enumerate() {
            words(root, line, (edge + 40 * FINE, y + at as i32 * LINE), TEXT, *colour)?;
        }
    }
    Ok(())
}

/// Draws the line of a current from `bottom` up to its label, which begins at `at`.
fn vertical(root: &Canvas<'_>, label: &Label, (colour, width, style): Style, (x, top): Pixel, bottom: i32) -> Result<(), Fault> {
    stroke(root, &[(x, top + 4 * FINE), (x, bottom)], colour, width, style)?;
    for (at, line) in label.lines.iter().enumerate() {
        words(root, line, (x + 7 * FINE, top + at as i32 * LINE), TEXT, colour)?;
    }
    Ok(())
}

fn stroke(root: &Canvas<'_>, points: &[Pixel], colour: RGBColor, width: i32, style: Stroke) -> Result<(), Fault> {
    for dash in dashes(points, style) {
        root.draw(&PathElement::new(dash, colour.stroke_width((width * FINE) as u32)))?;
    }
    Ok(())
}

/// Writes a line of text with its upper left corner at `at`.
fn words(root: &Canvas<'_>, text: &str, at: Pixel, size: f64, colour: RGBColor) -> Result<(), Fault> {
    let style = sans(size).color(&colour).pos(Pos::new(HPos::Left, VPos::Top));
    root.draw(&Text::new(text.to_owned(), at, style))
}

/// A sans-serif text of `size` pixels; the library takes the height of its line.
fn sans(size: f64) -> TextStyle<'static> {
    ("sans-serif", size * 1.24 * f64::from(FINE)).into_text_style(&(WIDTH as u32, PLOT_HEIGHT as u32))
}

/// A logarithmic axis with lines at every digit and figures where they have room.
fn axis((from, to): Point, dense: bool) -> WithKeyPoints<LogCoord<f64>> {
    let decades = (from.log10().floor() as i32)..=(to.log10().ceil() as i32);
    let digits = decades.flat_map(|decade| (1..10).map(move |digit| (digit, f64::from(digit) * 10_f64.powi(decade))));
    let inside: Vec<(i32, f64)> = digits.filter(|(_, value)| (from..=to * (1.0 + 1e-9)).contains(value)).collect();
    let spacious = dense && (to / from).log10() < 2.5;
    let figures = inside.iter().filter(|(digit, _)| *digit == 1 || spacious && [2, 5].contains(digit)).map(|(_, value)| *value);
    let lines = inside.iter().map(|(_, value)| *value);
    (from..to).log_scale().with_key_points(figures.collect()).with_light_points(lines)
}

/// A time on the axis; minutes and hours would hide that the scale is one of decades.
fn seconds(time: f64) -> String {
    match time {
        time if time >= 1.0 => format!("{time:.0} s"),
        _ => Second::new(time).to_string(),
    }
}

/// Adds what the picture shows in words, for those who can't see it, and its size in pixels.
fn described(text: String, picture: &TimeCurrent) -> String {
    let mut said = format!("fuse {}, {}", picture.name, picture.rating);
    for current in &picture.currents {
        let what = match current.kind {
            CurrentKind::Load => "load",
            CurrentKind::Rating => continue,
            CurrentKind::FarShort => "short at the far end",
            CurrentKind::NearShort => "short at the fuse",
        };
        let _ = write!(said, "; {what} {} {}", current.amps, current.said);
    }
    for conductor in &picture.conductors {
        let _ = write!(said, "; conductor {}, {}", conductor.name, conductor.size);
    }
    match text.split_once('\n') {
        Some((head, rest)) => format!(
            "{}\n<title>Time-current picture of {}</title>\n<desc>{}</desc>\n{rest}",
            sized(head),
            escaped(&picture.name),
            escaped(said.trim_end())
        ),
        None => text,
    }
}

/// The head of the picture with its size in pixels; the units of the drawing are finer.
fn sized(head: &str) -> String {
    let Some((size, rest)) = head.split_once(" viewBox=") else { return head.to_owned() };
    let mut parts = size.split('"');
    let (Some(width), Some(height)) = (parts.nth(1), parts.nth(1)) else { return head.to_owned() };
    let pixels = |units: &str| units.parse::<i32>().map_or_else(|_| units.to_owned(), |units| (units / FINE).to_string());
    format!("<svg width=\"{}\" height=\"{}\" viewBox={rest}", pixels(width), pixels(height))
}
