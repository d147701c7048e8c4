//! Blocks on sheets: heading, domains, columns, foot.

use super::{
    block::Block,
    columns::{Columns, MARGIN, UNIT},
    foot,
    rows::{Laid, WIRES, lay},
};
use crate::render::pictures::words::quantity;
use harness_core::views::{PowerTree, Reference, power_tree::DomainTree};
use harness_draw::{Anchor, Ink, LineKind, Point, Rect, Sheet, Text};

/// A sheet is about so high.
const HIGH: f64 = 1000.0;
/// Between two blocks.
const BETWEEN: f64 = 22.0;
/// The heading of a sheet, and that of a domain.
const HEAD: f64 = 92.0;
const DOMAIN: f64 = 44.0;

/// The sheets of a power tree.
pub(super) fn sheets(design: &str, tree: &PowerTree, blocks: Vec<Block<'_>>) -> Vec<Sheet> {
    let laid: Vec<Laid<'_>> = blocks.iter().map(lay).collect();
    let mut pages: Vec<Vec<&Laid<'_>>> = Vec::new();
    let mut used = f64::INFINITY;
    for block in &laid {
        let starts =
            pages.last().and_then(|page| page.last()).is_none_or(|last| !std::ptr::eq(last.block.domain, block.block.domain));
        let need = block.height + BETWEEN + if starts { DOMAIN } else { 0.0 };
        if used + need > HIGH {
            pages.push(Vec::new());
            used = HEAD;
        }
        used += need;
        pages.last_mut().into_iter().for_each(|page| page.push(block));
    }
    if pages.is_empty() {
        pages.push(Vec::new());
    }
    let count = pages.len();
    pages.iter().enumerate().map(|(number, page)| one(design, tree, page, (number + 1, count))).collect()
}

fn one(design: &str, tree: &PowerTree, page: &[&Laid<'_>], (number, count): (usize, usize)) -> Sheet {
    let name = if count == 1 { "power-tree".to_owned() } else { format!("power-tree-{number}") };
    let mode = tree.mode.as_deref().map_or_else(|| "no mode computed".to_owned(), |mode| format!("mode {mode}"));
    let of = if count > 1 { format!(", sheet {number} of {count}") } else { String::new() };
    let mut sheet = Sheet::new(name, format!("Power tree of {design}, {mode}{of}"), foot::about(tree));
    let columns = columns(page);
    let right = columns.margin + MARGIN + 70.0;
    let heading = Text::title(design);
    let beside = heading.width() + 10.0;
    sheet.text(Point::new(0.0, 20.0), Anchor::Start, heading, None);
    sheet.text(Point::new(beside, 20.0), Anchor::Start, Text::plain(format!("power tree, {mode}{of}")), None);
    let first = "One line is feed and return. Contacts are drawn at rest, currents are those of the mode, margins the least of all modes.";
    sheet.text(Point::new(0.0, 40.0), Anchor::Start, Text::small(first), None);
    if !tree.settled {
        let words = "This mode has no steady state: its currents are not known and read as 0.";
        sheet.text(Point::new(0.0, 56.0), Anchor::Start, Text::small(words), None);
    }
    let mut y = HEAD;
    heads(&mut sheet, &columns, y - 22.0);
    sheet.line(LineKind::Rule, &[Point::new(0.0, y), Point::new(right, y)], None);
    let mut domain: Option<&DomainTree> = None;
    for (at, laid) in page.iter().enumerate() {
        let own = laid.block.domain;
        if !domain.is_some_and(|known| std::ptr::eq(known, own)) {
            if domain.is_some() {
                sheet.line(LineKind::Rule, &[Point::new(0.0, y), Point::new(right, y)], None);
            }
            let is_first_of_b = own.class_b && !page.iter().take(at).any(|before| before.block.domain.class_b);
            domain_head(&mut sheet, own, y, is_first_of_b);
            y += DOMAIN;
            domain = Some(own);
        }
        laid.draw(&mut sheet, &columns, y);
        limit(&mut sheet, &columns, y, laid.height);
        y += laid.height + BETWEEN;
        let is_last = page.get(at + 1).is_none_or(|next| !std::ptr::eq(next.block.domain, own));
        if is_last {
            y = foot::returns(&mut sheet, own, y - 8.0, right);
        }
    }
    foot::foot(&mut sheet, tree, y, right, number == count);
    sheet
}

/// Where the columns are: the same for all blocks of a sheet.
fn columns(page: &[&Laid<'_>]) -> Columns {
    let left = page.iter().map(|laid| laid.left()).fold(80.0, f64::max).ceil();
    let reach = page.iter().map(|laid| laid.right()).fold(40.0, f64::max).ceil();
    let names = page.iter().map(|laid| laid.names()).fold(60.0, f64::max).ceil();
    let load = left + reach + WIRES + 40.0;
    let after = load + 36.0 + names + 44.0;
    Columns {
        bar: left,
        load,
        names: load + 34.0,
        figures: [after, after + 66.0, after + 126.0, after + 188.0],
        margin: after + 222.0,
    }
}

fn heads(sheet: &mut Sheet, columns: &Columns, y: f64) {
    let [load, fuse, size, margin] = columns.figures;
    for (x, first, second) in [(load, "load", "A"), (fuse, "fuse", "A"), (size, "size", "mm²"), (margin, "margin", "")] {
        sheet.text(Point::new(x + 8.0, y), Anchor::End, Text::small(first), None);
        sheet.text(Point::new(x + 8.0, y + 16.0), Anchor::End, Text::small(second), None);
    }
    sheet.text(Point::new(columns.margin + UNIT, y + 16.0), Anchor::Middle, Text::small("limit"), None);
    sheet.text(Point::new(columns.margin + MARGIN + 10.0, y + 16.0), Anchor::Start, Text::small("against"), None);
}

/// The mark of the limit beside the rows of a block.
fn limit(sheet: &mut Sheet, columns: &Columns, top: f64, height: f64) {
    let x = columns.margin + UNIT;
    sheet.line(LineKind::Rule, &[Point::new(x, top + 6.0), Point::new(x, top + height)], None);
}

fn domain_head(sheet: &mut Sheet, domain: &DomainTree, y: f64, warn: bool) {
    let class = if domain.class_b { "voltage class B" } else { "voltage class A" };
    let ink = if domain.class_b { Ink::ClassB } else { Ink::Black };
    let left = if warn {
        sheet.warning(Point::new(0.0, y + 8.0));
        36.0
    } else {
        0.0
    };
    let head = Text::bold(class).ink(ink);
    let beside = left + head.width() + 12.0;
    sheet.text(Point::new(left, y + 20.0), Anchor::Start, head, None);
    let kind = if domain.ac { "AC" } else { "DC" };
    let against = match domain.reference {
        Some(Reference::Floating) => ", floating",
        Some(Reference::Chassis) => ", against chassis",
        Some(Reference::Earth) => ", against protective earth",
        None => "",
    };
    let words = match &domain.name {
        Some(name) => format!("{name}: {} {kind}, at most {}{against}", quantity(domain.nominal), quantity(domain.max)),
        None => "no pin names a domain".to_owned(),
    };
    sheet.text(Point::new(beside, y + 20.0), Anchor::Start, Text::small(words), None);
    sheet.reserve(Rect::at(Point::new(0.0, y), 40.0, DOMAIN));
}
