//! What is drawn can be read: nothing covers anything, whatever is drawn beside one another.

use harness_draw::{Anchor, LineKind, Links, Near, Point, Rect, Sheet, Symbol, Text, Turn};
use proptest::prelude::*;

fn at(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

/// Every symbol in every turn, named, in a grid.
fn symbols() -> harness_draw::Drawing {
    let mut sheet = Sheet::new("symbols", "Symbols", "All symbols of the library.");
    for (row, symbol) in Symbol::ALL.into_iter().enumerate() {
        for (column, turn) in [Turn::None, Turn::Quarter, Turn::Half, Turn::Back].into_iter().enumerate() {
            let kind = if column % 2 == 0 { LineKind::ClassA } else { LineKind::ClassB };
            let place = at(170.0 * column as f64, 90.0 * row as f64);
            let [from, to] = symbol.ends(place, turn);
            let far = |end: Point| {
                at(
                    end.x + (end.x - place.x).signum() * if end.x == place.x { 0.0 } else { 20.0 },
                    end.y + (end.y - place.y).signum() * if end.y == place.y { 0.0 } else { 20.0 },
                )
            };
            if symbol.reach() > 0.0 {
                sheet.line(kind, &[far(from), from], None);
                sheet.line(kind, &[to, far(to)], None);
            }
            let thing = sheet.thing(format!("{symbol:?}.{column}"), format!("{symbol:?} turned by {}", turn.degrees()));
            sheet.symbol(symbol, place, turn, kind, Some(thing));
            sheet.name(
                symbol,
                place,
                turn,
                Text::small(format!("{symbol:?}").split('(').next().unwrap_or_default()),
                Some(thing),
            );
        }
    }
    sheet.finish()
}

#[test]
fn every_symbol_has_its_name_beside_it_and_its_leads_at_its_ends() {
    let drawing = symbols();
    let measured = drawing.measured();
    assert!(measured.is_clean(), "{measured:#?}");
    assert!(drawing.refused().is_empty());
    assert_eq!(drawing.drawn().count(), Symbol::ALL.len() * 4);
    if let Ok(folder) = std::env::var("DRAWINGS") {
        std::fs::write(format!("{folder}/symbols.svg"), drawing.svg(&Links::none())).unwrap();
    }
}

#[test]
fn what_is_wrong_is_counted() {
    let mut sheet = Sheet::new("wrong", "Wrong", "");
    sheet.line(LineKind::ClassA, &[at(0.0, 0.0), at(100.0, 0.0)], None);
    sheet.line(LineKind::ClassA, &[at(50.0, -50.0), at(50.0, 50.0)], None);
    sheet.line(LineKind::ClassA, &[at(80.0, -50.0), at(80.0, 0.0)], None);
    sheet.line(LineKind::ClassA, &[at(90.0, 0.0), at(140.0, 0.0)], None);
    sheet.line(LineKind::ClassB, &[at(0.0, 100.0), at(50.0, 120.0)], None);
    sheet.text(at(10.0, 3.0), Anchor::Start, Text::plain("on"), None);
    sheet.symbol(Symbol::Fuse, at(50.0, 30.0), Turn::None, LineKind::ClassA, None);
    let measured = sheet.finish().measured();
    assert_eq!(measured.crossings, 1);
    assert_eq!(measured.confusing.len(), 2, "{measured:#?}");
    assert_eq!(measured.slanted.len(), 1);
    // The text on a line, and a conductor through a fuse that it does not enter.
    assert_eq!(measured.covered.len(), 2, "{measured:#?}");
}

#[test]
fn whatever_a_name_says_is_text() {
    let hostile = "</text><script>alert(1)</script>\u{202e}\"'&\u{0}]]>";
    let mut sheet = Sheet::new("hostile", hostile, hostile);
    let thing = sheet.thing(hostile, hostile);
    sheet.text(at(0.0, 0.0), Anchor::Start, Text::plain(hostile), Some(thing));
    let address = |key: &str| Some(format!("#{key}"));
    let svg = sheet.finish().svg(&Links::by(&address));
    let mut reader = quick_xml::Reader::from_str(&svg);
    let mut names = Vec::new();
    loop {
        match reader.read_event().unwrap() {
            quick_xml::events::Event::Start(tag) | quick_xml::events::Event::Empty(tag) => {
                names.push(tag.name().as_ref().to_owned());
            }
            quick_xml::events::Event::Eof => break,
            _ => {}
        }
    }
    assert_eq!(names, ["svg", "title", "desc", "a", "title", "text"]);
    assert!(!svg.contains('\u{202e}') && !svg.contains('\0'));
}

#[test]
fn what_is_marked_has_two_frames_round_its_name_and_nothing_else_has_one() {
    let mut sheet = Sheet::new("marked", "Marked", "");
    for (row, name) in ["one", "other"].into_iter().enumerate() {
        let thing = sheet.thing(name, name);
        sheet.text(at(0.0, 40.0 * row as f64), Anchor::Start, Text::plain(name), Some(thing));
    }
    let drawing = sheet.finish();
    let address = |key: &str| Some(format!("#{key}"));
    let marks = |key: &str| key == "other";
    let svg = drawing.svg(&Links::marking(&address, &marks));
    let of = |name: &str| svg.split("<a ").find(|part| part.contains(&format!("#{name}"))).unwrap().to_owned();
    assert_eq!((of("one").matches("<path").count(), of("other").matches("<path").count()), (0, 1));
    // Two closed frames, and they differ by more than colour from what is not marked.
    assert_eq!(of("other").matches('Z').count(), 2);
    assert!(!drawing.svg(&Links::by(&address)).contains("<path"));
}

proptest! {
    /// Wires side by side with fuses in them, close and far, long names and short ones.
    #[test]
    fn no_label_covers_anything(rows in proptest::collection::vec((1u8..12, 2u8..9, "[a-zA-Z0-9. ]{1,40}", "[0-9.]{1,12}"), 1..14)) {
        let mut sheet = Sheet::new("random", "Random", "");
        let mut y = 0.0;
        for (gap, length, name, number) in &rows {
            y += 14.0 + f64::from(*gap) * 5.0;
            let end = 60.0 + f64::from(*length) * 30.0;
            sheet.line(LineKind::ClassA, &[at(0.0, y), at(45.0, y)], None);
            sheet.symbol(Symbol::Fuse, at(60.0, y), Turn::None, LineKind::ClassA, None);
            sheet.line(LineKind::ClassA, &[at(75.0, y), at(end + 20.0, y)], None);
            sheet.name(Symbol::Fuse, at(60.0, y), Turn::None, Text::bold(name), None);
            sheet.number(Near::Line(vec![at(75.0, y), at(end + 20.0, y)]), Text::small(number), None);
        }
        sheet.frame(LineKind::Enclosure, Rect::between(at(-30.0, -30.0), at(420.0, y + 40.0)), None);
        let drawing = sheet.clone().finish();
        let measured = drawing.measured();
        prop_assert!(measured.is_clean(), "{:#?}", measured);
        prop_assert_eq!(drawing.svg(&Links::none()), sheet.finish().svg(&Links::none()));
    }
}
