//! The end of a row: the symbol of what takes current there, its names, and the figures of the row.

use super::{
    block::{To, Twig},
    columns::{Before, Columns, MARGIN, UNIT},
    lanes::{Pen, source_title, title},
};
use crate::render::pictures::{
    symbols::{consumer_noun, symbol_of_consumer, symbol_of_source},
    words::{figure, figure_or_none, quantity, wrapped},
};
use harness_core::views::{
    Consumer, ConsumerKind, Part, SourceKind,
    power_tree::{Branch, End},
};
use harness_draw::{Anchor, Ink, LineKind, Point, Rect, Sheet, Symbol, Text, Turn};

/// Names run on into another line from this width on.
pub(super) const NAMES: f64 = 236.0;
/// Between the base lines of names.
const LEADING: f64 = 15.0;
/// Below this a margin is marked: it is nearly used up.
const SCARCE: f64 = 1.1;

/// A word of what is at the end of a row, with the thing that it names.
struct Word {
    text: String,
    /// The thing and what is said of it where it is pointed at.
    of: Option<(String, String)>,
    bold: bool,
    small: bool,
}

/// The end of a row.
pub(super) struct Leaf<'b> {
    symbol: Symbol,
    lines: Vec<Vec<Word>>,
    twig: &'b Twig<'b>,
}

fn plain(text: impl Into<String>) -> Word {
    Word { text: text.into(), of: None, bold: false, small: false }
}

fn bold(text: impl Into<String>) -> Word {
    Word { text: text.into(), of: None, bold: true, small: false }
}

fn named(name: &str, title: String) -> Word {
    Word { text: name.to_owned(), of: Some((name.to_owned(), title)), bold: false, small: false }
}

/// The end of a row that leads to no bar of its block.
pub(super) fn leaf<'b>(twig: &'b Twig<'b>) -> Leaf<'b> {
    let (mut symbol, mut lines) = (Symbol::Stud, Vec::new());
    match (&twig.to, twig.branch) {
        (To::Cut(letter, name), Some(_)) => lines.push(vec![bold(format!("→ {letter}")), plain(*name)]),
        (To::Cut(letter, _), None) => lines.push(vec![bold(format!("→ {letter}")), plain("the bar goes on")]),
        (To::Bar(_), _) | (To::End, None) => {}
        (To::End, Some(branch)) => {
            match &branch.end {
                End::Consumers(consumers) => {
                    symbol = consumers.first().map_or(Symbol::Electronics, symbol_of_consumer);
                    lines.extend(broken(consumers.iter().map(|one| named(&one.name, consumer_title(one))).collect()));
                    let letter = consumers.iter().find_map(|one| match one.kind {
                        ConsumerKind::Converter { letter, output, .. } => Some((letter, output)),
                        ConsumerKind::Load(_) | ConsumerKind::Coil | ConsumerKind::Resistor(_) => None,
                    });
                    if let (Some((letter, output)), Some(line)) = (letter, lines.last_mut()) {
                        line.push(plain(format!("to {}", quantity(output))));
                        line.extend(letter.map(|letter| bold(format!("→ {letter}"))));
                    }
                }
                End::Source(feeder) => {
                    let sources = feeder.way.iter().filter_map(|part| match part {
                        Part::Sources(sources) => Some(sources),
                        Part::One(_) | Part::Tap(_) | Part::Beside(_) => None,
                    });
                    let sources: Vec<_> = sources.flatten().collect();
                    if let Some(source) = sources.first() {
                        symbol = symbol_of_source(source, false);
                    }
                    let mut words: Vec<Word> = sources.iter().map(|source| named(&source.name, source_title(source))).collect();
                    words.extend(Part::pieces(&feeder.way).iter().map(|piece| named(&piece.name, piece.name.clone())));
                    lines.extend(broken(words));
                    let from = feeder.from.map(|letter| bold(format!("{letter} →")));
                    let does = if feeder.amps.get() < 0.0 { "is charged from here" } else { "feeds from here" };
                    lines.push(from.into_iter().chain([plain(does)]).collect());
                    let letter = sources.iter().find_map(|source| match source.kind {
                        SourceKind::Converter { letter, .. } => letter,
                        _ => None,
                    });
                    if let (Some(letter), Some(line)) = (letter, lines.first_mut()) {
                        line.insert(0, bold(format!("{letter} →")));
                    }
                }
                End::Meets(letter) => lines.push(vec![bold(format!("→ {letter}"))]),
                End::From(letter) => lines.push(vec![bold(format!("{letter} →"))]),
                End::OtherSide(names) => lines.extend(broken(
                    std::iter::once(plain("other side of")).chain(names.iter().map(|name| plain(name.clone()))).collect(),
                )),
                End::Pins(pins) => lines.extend(broken(
                    std::iter::once(plain("no load at")).chain(pins.iter().map(|pin| plain(pin.clone()))).collect(),
                )),
                End::Bus(_) => {}
            }
            if !branch.back.is_empty() {
                let mut words = vec![plain("in the return:")];
                words.extend(branch.back.iter().map(|piece| named(&piece.name, format!("{}, in the return", title(piece)))));
                words.iter_mut().for_each(|word| word.small = true);
                lines.extend(broken(words));
            }
        }
    }
    Leaf { symbol, lines, twig }
}

/// Words in lines.
fn broken(words: Vec<Word>) -> Vec<Vec<Word>> {
    let texts: Vec<String> = words.iter().map(|word| word.text.clone()).collect();
    let lines = wrapped(&texts, ", ", 14.0, NAMES);
    let mut words = words.into_iter();
    lines.iter().map(|line| words.by_ref().take(line.len()).collect()).collect()
}

fn consumer_title(consumer: &Consumer) -> String {
    let noun = consumer_noun(consumer.kind);
    let runs = match consumer.runs {
        Some(false) => ", off in this mode",
        Some(true) | None => "",
    };
    format!("{noun} {}, takes {}{runs}", consumer.name, quantity(consumer.amps))
}

impl Leaf<'_> {
    /// What it takes above its line.
    pub(super) fn above(&self) -> f64 {
        -self.symbol.extent().least.y + 2.0
    }

    /// What it takes below its line.
    pub(super) fn below(&self) -> f64 {
        let text = LEADING * self.lines.len().saturating_sub(1) as f64 + 9.0;
        text.max(self.symbol.extent().most.y + 2.0)
    }

    /// The width of its names.
    pub(super) fn width(&self) -> f64 {
        let of = |line: &Vec<Word>| line.iter().map(|word| width(word) + Text::plain(", ").width()).sum::<f64>();
        self.lines.iter().map(of).fold(0.0, f64::max)
    }

    /// Draws it at the height `y`; gives where its line ends.
    pub(super) fn draw(
        &self,
        sheet: &mut Sheet,
        pen: &Pen<'_>,
        columns: &Columns,
        y: f64,
        branch: Option<&Branch>,
        before: Before<'_>,
    ) -> Point {
        let at = Point::new(columns.load, y);
        let first = self.lines.iter().flatten().find_map(|word| word.of.as_ref());
        let thing = first.map(|(name, title)| sheet.thing(name, title));
        sheet.symbol(self.symbol, at, Turn::None, pen.kind, thing);
        let mut line_y = y + 5.0;
        for line in &self.lines {
            let mut x = columns.names;
            for (number, word) in line.iter().enumerate() {
                let of = match &word.of {
                    Some((name, _)) if first.is_some_and(|(known, _)| known == name) => thing,
                    Some((name, title)) => Some(sheet.thing(name, title)),
                    None => None,
                };
                let next = line.get(number + 1);
                let comma = word.of.is_some() && next.is_some_and(|next| next.of.is_some());
                let text = if comma { format!("{},", word.text) } else { word.text.clone() };
                let text = set(word, text);
                let wide = text.width();
                sheet.text(Point::new(x, line_y), Anchor::Start, text, of);
                x += wide + if comma { 1.0 } else { 4.0 };
            }
            line_y += LEADING;
        }
        if let Some(branch) = branch.filter(|_| self.has_figures()) {
            figures(sheet, columns, y, branch, before, thing);
        }
        let [enters, _] = self.symbol.ends(at, Turn::None);
        enters
    }

    fn has_figures(&self) -> bool {
        match (&self.twig.to, self.twig.branch.map(|branch| &branch.end)) {
            (To::Cut(..), Some(_)) => true,
            (_, Some(End::Consumers(_) | End::Source(_) | End::Pins(_))) => true,
            (_, Some(End::Meets(_) | End::From(_) | End::OtherSide(_) | End::Bus(_)) | None) => false,
        }
    }
}

fn set(word: &Word, text: String) -> Text {
    match (word.bold, word.small) {
        (true, _) => Text::bold(text),
        (false, true) => Text::small(text),
        (false, false) => Text::plain(text),
    }
}

fn width(word: &Word) -> f64 {
    set(word, word.text.clone()).width()
}

/// The figures of a row.
fn figures(sheet: &mut Sheet, columns: &Columns, y: f64, branch: &Branch, before: Before<'_>, of: Option<harness_draw::ThingId>) {
    let [load, fuse, size, margin] = columns.figures.map(|x| Point::new(x, y + 5.0));
    sheet.figure(load, Text::plain(figure(branch.amps.get())), of);
    match (&branch.fuse, before.fuse) {
        (Some(own), _) if !own.fitted => sheet.text(fuse.by(8.0, 0.0), Anchor::End, Text::plain("empty"), of),
        (Some(own), _) => sheet.figure(fuse, Text::plain(figure_or_none(own.rating)), of),
        (None, Some(rating)) => {
            sheet.text(fuse.by(14.0, 0.0), Anchor::End, Text::plain(format!("({})", figure(rating.get()))), of)
        }
        (None, None) => sheet.text(fuse.by(8.0, 0.0), Anchor::End, Text::bold("none"), of),
    }
    match (branch.size, before.size) {
        (None, Some(before)) => {
            sheet.text(size.by(14.0, 0.0), Anchor::End, Text::plain(format!("({})", figure(before.get()))), of)
        }
        (own, _) => sheet.figure(size, Text::plain(figure_or_none(own)), of),
    }
    let Some(least) = &branch.least else {
        match before.least {
            Some(before) => {
                let words = format!("({})", figure((before.ratio * 100.0).round() / 100.0));
                sheet.text(margin.by(14.0, 0.0), Anchor::End, Text::plain(words), of);
            }
            None => sheet.figure(margin, Text::plain("\u{2013}"), of),
        }
        return;
    };
    let written = figure((least.ratio * 100.0).round() / 100.0);
    let words = if least.ratio < 1.0 { format!("! {written}") } else { written };
    let text = if least.ratio < SCARCE { Text::bold(words) } else { Text::plain(words) };
    sheet.figure(margin, text, of);
    bar(sheet, Point::new(columns.margin, y), least.ratio, of);
    sheet.text(Point::new(columns.margin + MARGIN + 10.0, y + 4.0), Anchor::Start, Text::small(least.against.word()), of);
}

/// The bar of a margin: black when it is nearly used up, hatched and framed when it is, cut when it is longer than its scale.
fn bar(sheet: &mut Sheet, at: Point, ratio: f64, of: Option<harness_draw::ThingId>) {
    let length = (ratio * UNIT).clamp(1.0, MARGIN);
    let rect = Rect::at(at.by(0.0, -4.0), length, 8.0);
    if ratio < 1.0 {
        sheet.frame(LineKind::Outline, rect, of);
        let mut x = 3.0;
        while x < length {
            sheet.line(LineKind::Rule, &[at.by(x, 4.0), at.by((x + 4.0).min(length), -4.0)], of);
            x += 4.0;
        }
        return;
    }
    sheet.fill(if ratio < SCARCE { Ink::Black } else { Ink::Grey }, rect, of);
    if ratio > MARGIN / UNIT {
        let corner = at.by(MARGIN - 8.0, -5.0);
        sheet.path(LineKind::Outline, format!("M{},{}l5,10", corner.x, corner.y), false, Rect::at(corner, 5.0, 10.0), of);
    }
}
