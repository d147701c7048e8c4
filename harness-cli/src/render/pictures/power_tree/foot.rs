//! What is below the trees: what is in common returns, what the lines mean, what is not shown.

use super::lanes::{symbol, title};
use crate::phrase::counted;
use crate::render::{
    kit::caution::SHORT_CAUTION,
    pictures::{frame::plain, words::wrapped},
};
use harness_core::views::{
    PowerTree,
    power_tree::{DomainTree, End, Why},
};
use harness_draw::{Anchor, LineKind, Point, Sheet, Text, Turn};

const LEADING: f64 = 16.0;
/// So many names are listed for each reason; the data has all.
const MOST: usize = 150;

/// The main thing in words.
pub(super) fn about(tree: &PowerTree) -> String {
    let branches =
        || tree.domains.iter().flat_map(|domain| &domain.trees).flat_map(|tree| &tree.buses).flat_map(|bus| &bus.branches);
    let rows = branches().filter(|branch| matches!(branch.end, End::Consumers(_))).count();
    let least = branches().filter_map(|branch| branch.least.as_ref()).reduce(|a, b| if b.ratio < a.ratio { b } else { a });
    let first = format!("{rows} rows of loads in {} voltage domains.", tree.domains.len());
    match least {
        Some(least) => {
            format!("{first} The least margin is {:.2} of {}, against {}.", least.ratio, least.of, least.against.word())
        }
        None => first,
    }
}

/// What several rows have in their common return; gives where it ends.
pub(super) fn returns(sheet: &mut Sheet, domain: &DomainTree, top: f64, right: f64) -> f64 {
    let mut y = top;
    for common in &domain.returns {
        let thing = sheet.thing(&common.piece.name, format!("{}, in the return", title(&common.piece)));
        y += 8.0;
        let at = Point::new(24.0, y + LEADING - 4.0);
        let (symbol, kind) = (symbol(common.piece.kind), if domain.class_b { LineKind::ClassB } else { LineKind::ClassA });
        let [enters, leaves] = symbol.ends(at, Turn::None);
        sheet.line(kind, &[Point::new(0.0, at.y), enters], Some(thing));
        sheet.line(kind, &[leaves, Point::new(48.0, at.y)], Some(thing));
        sheet.symbol(symbol, at, Turn::None, kind, Some(thing));
        let name = Text::small(&common.piece.name);
        let of = if common.of.is_empty() {
            "in the return of the domain".to_owned()
        } else {
            format!("in the return of {}", common.of.join(", "))
        };
        y += LEADING;
        let beside = 58.0 + name.width() + 8.0;
        sheet.text(Point::new(58.0, y), Anchor::Start, name, Some(thing));
        sheet.text(Point::new(beside, y), Anchor::Start, Text::small(of).within(right - beside), None);
    }
    if domain.returns.is_empty() { top + 8.0 } else { y + 14.0 }
}

/// What the lines mean, and on the last sheet what is not shown.
pub(super) fn foot(sheet: &mut Sheet, tree: &PowerTree, top: f64, right: f64, is_last: bool) {
    sheet.line(LineKind::Rule, &[Point::new(0.0, top), Point::new(right, top)], None);
    let mut y = top + 20.0;
    let mut x = 0.0;
    for (kind, words) in
        [(LineKind::ClassB, "class B"), (LineKind::ClassA, "class A"), (LineKind::BusA, "one net: bar, stud or splice")]
    {
        let text = Text::small(words);
        let wide = text.width();
        sheet.line(kind, &[Point::new(x, y - 4.0), Point::new(x + 40.0, y - 4.0)], None);
        sheet.text(Point::new(x + 50.0, y), Anchor::Start, text, None);
        x += 50.0 + wide + 24.0;
    }
    sheet.text(Point::new(x, y), Anchor::Start, Text::small("→ a goes on at a →"), None);
    let margin = "margin: limit over figure, the least of load, rating, short and breaking; size: the thinnest conductor behind the fuse; in brackets: nothing of its own, that of the bar, its fuse or the limit of its source";
    y = set(sheet, margin, y, right);
    for line in left_out(tree, is_last) {
        y = set(sheet, &line, y + 2.0, right);
    }
    set(sheet, &plain(SHORT_CAUTION), y + 2.0, right);
}

/// What is not shown, by reason on the last sheet.
fn left_out(tree: &PowerTree, is_last: bool) -> Vec<String> {
    if !is_last {
        let count = tree.not_shown.len();
        return (count > 0)
            .then(|| format!("Not shown: {}, listed on the last sheet.", counted(count, "thing")))
            .into_iter()
            .collect();
    }
    let of = |why: Why| {
        let names: Vec<&str> = tree.not_shown.iter().filter(|one| one.why == why).map(|one| one.name.as_str()).collect();
        let rest = match names.len().saturating_sub(MOST) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        let named = names.get(..MOST.min(names.len())).unwrap_or_default();
        (!names.is_empty()).then(|| format!("Not shown, {}: {}{rest}", why.words(), named.join(", ")))
    };
    Why::ALL.into_iter().filter_map(of).collect()
}

/// Sets a text in lines; gives where the last one is.
fn set(sheet: &mut Sheet, words: &str, y: f64, right: f64) -> f64 {
    let all: Vec<String> = words.split(' ').map(str::to_owned).collect();
    let mut at = y;
    for line in wrapped(&all, " ", 12.0, right) {
        at += LEADING;
        let text: Vec<&str> = line.iter().filter_map(|word| all.get(*word)).map(String::as_str).collect();
        sheet.text(Point::new(0.0, at), Anchor::Start, Text::small(text.join(" ")), None);
    }
    at
}
