//! A drawing written as SVG: presentation attributes only, so that a strict policy of a page has nothing to refuse.

use crate::{
    Anchor, Drawing, Ink, LineKind, Links, Point, Rect, Symbol, Turn,
    drawing::{Item, Shape},
    escaped,
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

/// What is drawn first, so that what follows is above it.
fn layer(shape: &Shape) -> u8 {
    match shape {
        Shape::Fill { .. } | Shape::Area { .. } => 0,
        Shape::Line { .. } => 1,
        Shape::Path { .. } => 2,
        Shape::Symbol { .. } | Shape::Warning { .. } => 3,
        Shape::Text { .. } | Shape::Cover { .. } => 4,
    }
}

pub(crate) fn written(drawing: &Drawing, links: &Links<'_>) -> String {
    let Rect { least, .. } = drawing.frame;
    let (width, height) = drawing.size();
    let mut out = String::new();
    let role = if links.0.is_some() { "group" } else { "img" };
    // Writing to a string can't fail, here and below.
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{} {} {} {}\" width=\"{}mm\" height=\"{}mm\" role=\"{role}\" \
         aria-label=\"{title}\" font-family=\"{FONT}\" font-size=\"14\">\n<title>{title}</title>\n<desc>{about}</desc>\n",
        num(least.x),
        num(least.y),
        num(width),
        num(height),
        num(width / 4.0),
        num(height / 4.0),
        title = escaped(&drawing.title),
        about = escaped(&drawing.about),
    );
    let _ = writeln!(
        out,
        "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"#ffffff\"/>",
        num(least.x),
        num(least.y),
        num(width),
        num(height)
    );
    let mut items: Vec<&Item> = drawing.items.iter().collect();
    items.sort_by_key(|item| layer(&item.shape));
    for run in items.chunk_by(|one, other| one.of == other.of && layer(&one.shape) == layer(&other.shape)) {
        let thing = run.first().and_then(|item| item.of).and_then(|of| drawing.things.get(of.0 as usize));
        let address = thing.and_then(|thing| links.0.and_then(|address| address(&thing.key)));
        if let Some(address) = &address {
            let said = thing.map_or("", |thing| thing.title.as_str());
            let _ = write!(out, "<a href=\"{}\" tabindex=\"-1\" aria-label=\"{}\">", escaped(address), escaped(said));
        }
        if let Some(thing) = thing {
            let _ = write!(out, "<g><title>{}</title>", escaped(&thing.title));
        }
        run.iter().for_each(|item| shape(&mut out, &item.shape));
        out.push_str(if thing.is_some() { "</g>" } else { "" });
        out.push_str(if address.is_some() { "</a>\n" } else { "\n" });
    }
    out.push_str("</svg>\n");
    out
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
            write!(out, "<path d=\"{}\" fill=\"none\" stroke=\"#000000\" stroke-width=\"1.4\"/>", crosses.collect::<String>())
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

fn shape(out: &mut String, shape: &Shape) {
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
            let size = if *size == 14.0 { String::new() } else { format!(" font-size=\"{}\"", num(*size)) };
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
            let _ = write!(out, "<g transform=\"translate({} {}){turned}\">", num(at.x), num(at.y));
            for (kind, data) in symbol.strokes() {
                let conductor = format!(" stroke=\"{}\" stroke-width=\"{}\"", of.ink().code(), num(of.width().min(2.8)));
                let how = match kind {
                    Stroke::Outline => "fill=\"none\" stroke=\"#000000\" stroke-width=\"1.4\"".to_owned(),
                    Stroke::Thick => "fill=\"none\" stroke=\"#000000\" stroke-width=\"2.8\"".to_owned(),
                    Stroke::Dashed => "fill=\"none\" stroke=\"#000000\" stroke-width=\"1.4\" stroke-dasharray=\"3 2\"".to_owned(),
                    Stroke::Conductor => format!("fill=\"none\" stroke-linecap=\"round\"{conductor}"),
                    Stroke::Filled => "fill=\"#000000\"".to_owned(),
                    Stroke::FilledAsConductor => format!("fill=\"{}\"", of.ink().code()),
                    Stroke::White => "fill=\"#ffffff\" stroke=\"#000000\" stroke-width=\"1.4\"".to_owned(),
                };
                let _ = write!(out, "<path d=\"{data}\" {how}/>");
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
                    write!(out, "<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">{letter}</text>", num(at.x), num(at.y + 5.0))
                }
                None => Ok(()),
            }
        }
        Shape::Warning { at } => write!(
            out,
            "<g transform=\"translate({} {})\"><title>Warning: electricity</title>\
             <path d=\"M14,2L26.5,22.6H1.5Z\" fill=\"#f9a800\" stroke=\"#000000\" stroke-width=\"2.6\" stroke-linejoin=\"round\"/>\
             <path d=\"M15.4,7L10.6,14.6H13.6L11.8,19.2L10.6,18.4L11.2,21.4L13.9,20L12.8,19.6L16.6,13.2H13.4L16.4,7Z\"/></g>",
            num(at.x),
            num(at.y)
        ),
    };
}
