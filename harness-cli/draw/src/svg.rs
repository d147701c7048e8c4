//! A drawing written as SVG: presentation attributes only, so that a strict policy of a page has nothing to refuse.

use crate::{
    Anchor, Drawing, Ink, LineKind, Links, Point, Rect, Symbol, Turn,
    drawing::{Item, Shape},
    escaped,
    measure::extent,
    symbol::Stroke,
};
use std::fmt::Write;

/// The letters of all drawings.
const FONT: &str = "DejaVu Sans, Liberation Sans, Arial, sans-serif";

/// A number in as few characters as say it, to a hundredth of a unit.
pub(crate) fn num(value: f64) -> String {
    let rounded = (value * 100.0).round() / 100.0;
    // No minus before a zero.
    if rounded == 0.0 { "0".to_owned() } else { rounded.to_string() }
}

/// What is drawn first, so that what follows is above it: areas, then lines, then what is on them.
fn layer(shape: &Shape) -> u8 {
    match shape {
        Shape::Fill { .. } | Shape::Area { .. } => 0,
        Shape::Line { .. } | Shape::Path { .. } => 1,
        Shape::Cover { .. } => 2,
        Shape::Symbol { .. } | Shape::Warning { .. } | Shape::Text { .. } => 3,
    }
}

impl Drawing {
    /// As SVG, the same bytes each time.
    #[must_use]
    pub fn svg(&self, links: &Links<'_>) -> String {
        written(self, links)
    }
}

fn written(drawing: &Drawing, links: &Links<'_>) -> String {
    let Rect { least, .. } = drawing.frame;
    let (width, height) = drawing.size();
    let mut out = String::new();
    let role = if matches!(links, Links::By(..)) { "group" } else { "img" };
    // In a page letters and ground are those of the page, and so is the size that most letters have.
    let is_alone = matches!(links, Links::None);
    let (alone, label) = if is_alone {
        let label = format!(" aria-label=\"{}\"", escaped(&drawing.title));
        (format!(" xmlns=\"http://www.w3.org/2000/svg\" font-family=\"{FONT}\""), label)
    } else {
        Default::default()
    };
    let how = How { usual: if is_alone { USUAL } else { usual_size(drawing) }, is_alone };
    // Writing to a string can't fail, here and below.
    let _ = write!(
        out,
        "<svg{alone} viewBox=\"{} {} {} {}\" width=\"{}mm\" height=\"{}mm\" role=\"{role}\"{label} \
         font-size=\"{}\">\n<title>{title}</title>\n<desc>{about}</desc>\n",
        num(least.x),
        num(least.y),
        num(width),
        num(height),
        num(width / 4.0),
        num(height / 4.0),
        num(how.usual),
        title = escaped(&drawing.title),
        about = escaped(&drawing.about),
    );
    if is_alone {
        let _ = writeln!(
            out,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"#ffffff\"/>",
            num(least.x),
            num(least.y),
            num(width),
            num(height)
        );
    }
    let mut items: Vec<&Item> = drawing.items.iter().collect();
    // What is of one thing is together in a layer, where the first of it was drawn.
    let of = |item: &Item| item.of.filter(|_| !matches!(links, Links::Quiet));
    // What no one points at is together by its kind: one path for all of it.
    let kind = |item: &Item| match &item.shape {
        Shape::Line { kind, .. } | Shape::Path { kind, .. } if matches!(links, Links::Quiet) => Some(*kind),
        _ => None,
    };
    items.sort_by_key(|item| (layer(&item.shape), of(item), kind(item)));
    let mut is_named = vec![false; drawing.things.len()];
    for run in items.chunk_by(|one, other| of(one) == of(other) && layer(&one.shape) == layer(&other.shape)) {
        let own = run.first().and_then(|item| of(item)).map(|of| of.0 as usize);
        let thing = own.and_then(|of| drawing.things.get(of));
        let first = own.and_then(|of| is_named.get_mut(of)).is_some_and(|is_named| !std::mem::replace(is_named, true));
        let mut body = String::new();
        shapes(&mut body, run, how);
        let is_marked = thing.is_some_and(|thing| links.is_marked(&thing.key));
        if let Some(name) = run.iter().filter(|_| is_marked).find_map(|item| text_extent(&item.shape)) {
            double_frame(&mut body, name);
        }
        let address = thing.and_then(|thing| links.address(&thing.key));
        let _ = match (links, thing, address) {
            // A link says once what it is; the others of the thing are for the eye.
            (_, Some(thing), Some(address)) if first => writeln!(
                out,
                "<a href=\"{}\" tabindex=\"-1\"><title>{}</title>{body}</a>",
                escaped(&address),
                escaped(&thing.title)
            ),
            (_, Some(_), Some(address)) => {
                writeln!(out, "<a href=\"{}\" tabindex=\"-1\" aria-hidden=\"true\">{body}</a>", escaped(&address))
            }
            (Links::None, Some(thing), None) => writeln!(out, "<g><title>{}</title>{body}</g>", escaped(&thing.title)),
            (Links::None | Links::By(..) | Links::Quiet, _, None) | (_, None, Some(_)) => writeln!(out, "{body}"),
        };
    }
    out.push_str("</svg>\n");
    out
}

/// What is said in the picture and what in the page that it is in.
#[derive(Debug, Clone, Copy)]
struct How {
    /// The size of letters that say none.
    usual: f64,
    /// It is a file of its own.
    is_alone: bool,
}

/// The size of letters that say no other.
const USUAL: f64 = 14.0;

/// The size that most texts of a drawing have.
fn usual_size(drawing: &Drawing) -> f64 {
    let sizes = |drawing: &Drawing, of: f64| {
        let texts = drawing.items.iter().filter(|item| matches!(&item.shape, Shape::Text { size, .. } if *size == of));
        texts.count()
    };
    let known = drawing.items.iter().filter_map(|item| match &item.shape {
        Shape::Text { size, .. } => Some(*size),
        _ => None,
    });
    let mut known: Vec<f64> = known.collect();
    known.sort_by(f64::total_cmp);
    known.dedup();
    known.into_iter().max_by_key(|size| sizes(drawing, *size)).unwrap_or(USUAL)
}

fn font_size(size: f64, usual: f64) -> String {
    if size == usual { String::new() } else { format!(" font-size=\"{}\"", num(size)) }
}

/// The box of a text.
fn text_extent(shape: &Shape) -> Option<Rect> {
    match shape {
        Shape::Text { .. } => extent(shape),
        Shape::Line { .. } | Shape::Fill { .. } | Shape::Area { .. } | Shape::Symbol { .. } => None,
        Shape::Path { .. } | Shape::Warning { .. } | Shape::Cover { .. } => None,
    }
}

/// Two frames round a name, without a colour.
fn double_frame(out: &mut String, name: Rect) {
    let frames = [1.5, 4.0].map(|gap| {
        let Rect { least, most } = name.grown(gap);
        format!("M{},{}H{}V{}H{}Z", num(least.x), num(least.y), num(most.x), num(most.y), num(least.x))
    });
    // Writing to a string can't fail.
    let _ = write!(out, "<path d=\"{}\"{PLAIN}/>", frames.concat());
}

/// The shapes of a run; lines and outlines of one kind that follow one another are one path.
fn shapes(out: &mut String, run: &[&Item], how: How) {
    let kind = |item: &&Item| match &item.shape {
        Shape::Line { kind, .. } if kind.is_plain() => Some(*kind),
        Shape::Path { kind, is_filled: false, .. } => Some(*kind),
        _ => None,
    };
    for same in run.chunk_by(|one, other| kind(one).is_some() && kind(one) == kind(other)) {
        match same.first().and_then(kind) {
            Some(kind) => {
                let data = same.iter().map(|item| match &item.shape {
                    Shape::Line { points, .. } => path(points),
                    Shape::Path { data, .. } => escaped(data),
                    _ => String::new(),
                });
                let _ = write!(out, "<path d=\"{}\"{}/>", data.collect::<String>(), outline(kind, how));
            }
            None => same.iter().for_each(|item| shape(out, &item.shape, how)),
        }
    }
}

/// A line as path data: across and up in one number each.
fn path(points: &[Point]) -> String {
    let mut data = String::new();
    let mut before: Option<Point> = None;
    for point in points {
        let (x, y) = (num(point.x), num(point.y));
        let _ = match before {
            None => write!(data, "M{x},{y}"),
            Some(last) if num(last.y) == y => write!(data, "H{x}"),
            Some(last) if num(last.x) == x => write!(data, "V{y}"),
            Some(_) => write!(data, "L{x},{y}"),
        };
        before = Some(*point);
    }
    data
}

fn stroke(kind: LineKind) -> String {
    let dashes = match kind.dashes() {
        "" => String::new(),
        dashes => format!(" stroke-dasharray=\"{dashes}\""),
    };
    format!(" stroke=\"{}\" stroke-width=\"{}\"{dashes}", kind.ink().code(), num(kind.width()))
}

/// The marks along a line: what distinguishes what is out, new or changed without colour.
fn along(out: &mut String, kind: LineKind, points: &[Point], places: &str) {
    // Writing to a string can't fail.
    let _ = match kind {
        LineKind::Out => {
            let crosses = marks(points).map(|(at, _)| format!("M{},{}l10,10m-10,0l10,-10", num(at.x - 5.0), num(at.y - 5.0)));
            write!(out, "<path d=\"{}\"{PLAIN}/>", crosses.collect::<String>())
        }
        LineKind::New => {
            let triangles = marks(points).map(|(at, way)| {
                let (tip, side) = (Point::new(way.x * 6.0, way.y * 6.0), Point::new(-way.y * 6.0, way.x * 6.0));
                let corner = |x: f64, y: f64| format!("{},{}", num(at.x + x), num(at.y + y));
                let (from, to) = (corner(side.x - tip.x, side.y - tip.y), corner(-side.x - tip.x, -side.y - tip.y));
                format!("M{from}L{}L{to}Z", corner(tip.x, tip.y))
            });
            let triangles = triangles.collect::<String>();
            write!(out, "<path d=\"{triangles}\" fill=\"#ffffff\" stroke=\"#000000\" stroke-width=\"1.4\"/>")
        }
        LineKind::Changed => {
            write!(out, "<polyline points=\"{places}\" fill=\"none\" stroke=\"#ffffff\" stroke-width=\"1.6\"/>")
        }
        _ => Ok(()),
    };
}

/// Where the marks along a line are, and which way it runs there: about one for each 100 units, none where there is no room.
fn marks(points: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    crate::measure::segments(points).flat_map(|(a, b)| {
        let (x, y) = (b.x - a.x, b.y - a.y);
        let length = x.hypot(y);
        let count = if length < 26.0 { 0 } else { (length / 100.0).round().max(1.0) as u32 };
        (0..count).map(move |mark| {
            let share = (f64::from(mark) + 0.5) / f64::from(count);
            (a.by(x * share, y * share), Point::new(x / length, y / length))
        })
    })
}

/// How a line or an outline is drawn. In a page that of most is in the style of the page, and is not said.
fn outline(kind: LineKind, how: How) -> String {
    let said = format!(" fill=\"none\"{}", stroke(kind));
    if !how.is_alone && said == PLAIN { String::new() } else { said }
}

/// How most lines are drawn.
const PLAIN: &str = " fill=\"none\" stroke=\"#000000\" stroke-width=\"1.4\"";

fn shape(out: &mut String, shape: &Shape, how: How) {
    let _ = match shape {
        Shape::Line { kind, points } => {
            let places: Vec<String> = points.iter().map(|point| format!("{},{}", num(point.x), num(point.y))).collect();
            let _ = write!(out, "<polyline points=\"{}\" fill=\"none\"{}/>", places.join(" "), stroke(*kind));
            along(out, *kind, points, &places.join(" "));
            Ok(())
        }
        Shape::Area { ink, points } => {
            let places: Vec<String> = points.iter().map(|point| format!("{},{}", num(point.x), num(point.y))).collect();
            write!(out, "<polygon points=\"{}\" fill=\"{}\"/>", places.join(" "), ink.code())
        }
        Shape::Fill { ink, rect } => write!(
            out,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"{}\"/>",
            num(rect.least.x),
            num(rect.least.y),
            num(rect.width()),
            num(rect.height()),
            ink.code()
        ),
        Shape::Cover { rect } => write!(
            out,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"#ffffff\"/>",
            num(rect.least.x),
            num(rect.least.y),
            num(rect.width()),
            num(rect.height())
        ),
        Shape::Path { kind, data, is_filled, .. } => {
            let fill = if *is_filled { kind.ink().code() } else { "none" };
            write!(out, "<path d=\"{}\" fill=\"{fill}\"{}/>", escaped(data), stroke(*kind))
        }
        Shape::Text { at, anchor, size, is_bold, ink, upright, words } => {
            let anchor = match anchor {
                Anchor::Start => "",
                Anchor::Middle => " text-anchor=\"middle\"",
                Anchor::End => " text-anchor=\"end\"",
            };
            let weight = if *is_bold { " font-weight=\"bold\"" } else { "" };
            let colour = if *ink == Ink::Black { String::new() } else { format!(" fill=\"{}\"", ink.code()) };
            let size = font_size(*size, how.usual);
            let turned = if *upright { format!(" transform=\"rotate(-90 {} {})\"", num(at.x), num(at.y)) } else { String::new() };
            let (x, y) = (num(at.x), num(at.y));
            write!(out, "<text x=\"{x}\" y=\"{y}\"{size}{anchor}{weight}{colour}{turned}>{}</text>", escaped(words))
        }
        Shape::Symbol { symbol, at, turn, of } => {
            let turned = match turn {
                // The signs of the currents are read, not seen.
                _ if matches!(symbol, Symbol::Converter(..)) => String::new(),
                Turn::None => String::new(),
                turn => format!(" rotate({})", turn.degrees()),
            };
            let _ = write!(out, "<g transform=\"translate({} {}){turned}\"{PLAIN}>", num(at.x), num(at.y));
            for (kind, data) in symbol.strokes() {
                let conductor = format!(" stroke=\"{}\" stroke-width=\"{}\"", of.ink().code(), num(of.width().min(2.8)));
                let how = match kind {
                    Stroke::Outline => String::new(),
                    Stroke::Thick => " stroke-width=\"2.8\"".to_owned(),
                    Stroke::Dashed => " stroke-dasharray=\"3 2\"".to_owned(),
                    Stroke::Conductor => format!(" stroke-linecap=\"round\"{conductor}"),
                    Stroke::Filled => " fill=\"#000000\" stroke=\"none\"".to_owned(),
                    Stroke::FilledAsConductor => format!(" fill=\"{}\" stroke=\"none\"", of.ink().code()),
                    Stroke::White => " fill=\"#ffffff\"".to_owned(),
                };
                let _ = write!(out, "<path d=\"{data}\"{how}/>");
            }
            out.push_str("</g>");
            for (place, is_plus) in symbol.signs() {
                let sign = turn.of(*place);
                let (x, y) = (at.x + sign.x, at.y + sign.y);
                let upright = if *is_plus { format!("M{},{}v8", num(x), num(y - 4.0)) } else { String::new() };
                let _ = write!(
                    out,
                    "<path d=\"M{},{}h8{upright}\" fill=\"none\" stroke=\"#000000\" stroke-width=\"1.4\"/>",
                    num(x - 4.0),
                    num(y)
                );
            }
            match symbol.letter() {
                Some(letter) => {
                    write!(
                        out,
                        "<text x=\"{}\" y=\"{}\"{} text-anchor=\"middle\">{letter}</text>",
                        num(at.x),
                        num(at.y + 5.0),
                        font_size(USUAL, how.usual)
                    )
                }
                None => Ok(()),
            }
        }
        Shape::Warning { at } => write!(
            out,
            "<g transform=\"translate({} {})\"><title>Warning: electricity</title>\
             <path d=\"M14,2L26.5,22.6H1.5Z\" fill=\"#f9a800\" stroke=\"#000000\" stroke-width=\"2.6\" stroke-linejoin=\"round\"/>\
             <path d=\"M15.4,7L10.6,14.6H13.6L11.8,19.2L10.6,18.4L11.2,21.4L13.9,20L12.8,19.6L16.6,13.2H13.4L16.4,7Z\" fill=\"#000000\"/></g>",
            num(at.x),
            num(at.y)
        ),
    };
}
