//! The small values of the format: texts, flags, quantities, each with its place.

pub use super::collections::{Entry, List, Map};
use super::{
    content::Content,
    limits::COUNT,
    reader::{Limited, Read, Reader, Record, Variants, clip},
    rules,
    shape::Shape,
};
use crate::{
    date::Date,
    finding::{Remedy, RemedyKind},
    quantity::{self, Between, Unit, Volt},
    standards::{colour::WireColour, made_for::MadeFor, rated::RatedVoltage},
    suggest::{nearest, question},
    text::{At, Names, NodeId, Span, Text},
    vocabulary::Word,
};

impl Read for Text {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let (name, text) = reader.scalar(node, || "a text")?;
        if text.is_empty() {
            reader.unexpected(node, "a text");
            return None;
        }
        let span = reader.tree.span(node);
        reader.take_text(name, span).then_some(At { value: name, span })
    }

    fn shape() -> Shape {
        Shape::Text
    }

    fn tell(&self, names: &Names) -> Content {
        Content::Text(names.text(self.value).to_owned())
    }
}

impl Read for At<bool> {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let (_, text) = reader.scalar(node, || "`yes` or `no`")?;
        let value = match text {
            "yes" | "true" => true,
            "no" | "false" => false,
            _ => {
                reader.unexpected(node, "`yes` or `no`");
                return None;
            }
        };
        Some(At { value, span: reader.tree.span(node) })
    }

    fn shape() -> Shape {
        Shape::Flag
    }

    fn tell(&self, _: &Names) -> Content {
        Content::Text(self.value.to_string())
    }
}

/// Most positions, rings or wires a count of the format may give.
const MOST_COUNT: u32 = COUNT.most as u32;

impl Read for At<u32> {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let (_, text) = reader.scalar(node, || "a whole number")?;
        match text.parse::<u32>() {
            Ok(value) if value <= MOST_COUNT => Some(At { value, span: reader.tree.span(node) }),
            _ => {
                reader.unexpected(node, &format!("a whole number from 0 to {MOST_COUNT}"));
                None
            }
        }
    }

    fn shape() -> Shape {
        Shape::Whole(0, MOST_COUNT)
    }

    fn tell(&self, _: &Names) -> Content {
        Content::Text(self.value.to_string())
    }
}

fn units<U: Unit>() -> Vec<&'static str> {
    U::SPELLINGS.iter().map(|(unit, _)| *unit).collect()
}

impl<U: Unit> Read for At<U> {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let (_, text) = reader.scalar(node, || format!("a {} with its unit", U::MEASURES))?;
        let span = reader.tree.span(node);
        match quantity::parse::<U>(text) {
            Ok(value) => Some(At { value, span }),
            Err(error) => {
                quantity_fault(reader, span, error.headline(text), error.help());
                None
            }
        }
    }

    fn shape() -> Shape {
        Shape::Quantity { measures: U::MEASURES, units: units::<U> }
    }

    fn tell(&self, _: &Names) -> Content {
        Content::quantity(self.value)
    }
}

impl Limited for RatedVoltage {
    fn stored(self) -> f64 {
        self.to_earth.map_or(self.volts, |earth| if earth < self.volts { earth } else { self.volts }).get()
    }

    fn measured(self) -> &'static str {
        Volt::MEASURES
    }
}

impl Read for At<RatedVoltage> {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let (_, text) = reader.scalar(node, || "a rated voltage, such as 60 V, 250 V AC or 300/500 V")?;
        let span = reader.tree.span(node);
        match RatedVoltage::parse(text) {
            Ok(value) => Some(At { value, span }),
            Err(error) => {
                quantity_fault(reader, span, error.headline(text), error.help());
                None
            }
        }
    }

    fn shape() -> Shape {
        Shape::Rating { measures: Volt::MEASURES, units: units::<Volt> }
    }

    fn tell(&self, _: &Names) -> Content {
        let RatedVoltage { to_earth, kind, volts } = self.value;
        if to_earth.is_none() && kind.is_none() { Content::quantity(volts) } else { Content::Text(self.value.to_string()) }
    }
}

impl Limited for MadeFor {
    fn stored(self) -> f64 {
        self.least.get()
    }

    fn measured(self) -> &'static str {
        Volt::MEASURES
    }
}

impl Read for At<MadeFor> {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let (_, text) = reader.scalar(node, || "a voltage that a part is made for, such as 24 V, 12/24 V or 9 V .. 32 V")?;
        let span = reader.tree.span(node);
        match MadeFor::parse(text) {
            Ok(value) => Some(At { value, span }),
            Err(error) => {
                quantity_fault(reader, span, error.headline(text), error.help());
                None
            }
        }
    }

    fn shape() -> Shape {
        Shape::Either(&[<At<RatedVoltage> as Read>::shape, <At<Between<Volt>> as Read>::shape])
    }

    fn tell(&self, names: &Names) -> Content {
        if let Some(range) = self.value.range() {
            return At { value: range, span: self.span }.tell(names);
        }
        let MadeFor { least, most, kind, .. } = self.value;
        if least < most || kind.is_some() { Content::Text(self.value.to_string()) } else { Content::quantity(most) }
    }
}

impl<U: Unit> Read for At<Between<U>> {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let (_, text) = reader.scalar(node, || format!("two {}s joined by ` .. `", U::MEASURES))?;
        let span = reader.tree.span(node);
        match quantity::parse_range::<U>(text) {
            Ok((least, most)) => Some(At { value: Between { least, most }, span }),
            Err(error) => {
                quantity_fault(reader, span, error.headline(text), error.help());
                None
            }
        }
    }

    fn shape() -> Shape {
        Shape::Range { measures: U::MEASURES, units: units::<U> }
    }

    fn tell(&self, _: &Names) -> Content {
        match (Content::quantity(self.value.least), Content::quantity(self.value.most)) {
            (Content::Text(least), Content::Text(most)) => Content::Text(format!("{least} .. {most}")),
            (least, most) => Content::List(vec![least, most]),
        }
    }
}

pub(super) fn quantity_fault(reader: &mut Reader<'_>, span: Span, headline: String, help: String) {
    reader.findings.push(rules::QUANTITY.finding(span, headline).label("this quantity").help(help));
}

impl Read for At<WireColour> {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let (_, text) = reader.scalar(node, || "a colour in IEC 60757 letters")?;
        let span = reader.tree.span(node);
        match text.parse::<WireColour>() {
            Ok(value) => Some(At { value, span }),
            Err(error) => {
                reader.findings.push(
                    rules::UNEXPECTED_VALUE
                        .finding(span, format!("`{}` is not a colour of IEC 60757", clip(text)))
                        .label("unknown colour letters")
                        .help(colour_help(&error)),
                );
                None
            }
        }
    }

    fn shape() -> Shape {
        Shape::Colour
    }

    fn tell(&self, _: &Names) -> Content {
        Content::Text(self.value.to_string())
    }
}

fn colour_help(error: &crate::standards::colour::ColourError) -> String {
    match error.nearest {
        Some(nearest) => format!("write `{nearest}` ({})", nearest.name()),
        None => "use two letters for the colour, as in `RD`, and a stripe as in `RD/WH`".to_owned(),
    }
}

impl Read for At<Date> {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let (_, text) = reader.scalar(node, || "a date such as 2027-06-30")?;
        let Some(date) = Date::parse(text) else {
            reader.unexpected(node, "a date such as 2027-06-30");
            return None;
        };
        Some(At { value: date, span: reader.tree.span(node) })
    }

    fn shape() -> Shape {
        Shape::Date
    }

    fn tell(&self, _: &Names) -> Content {
        Content::Text(self.value.to_string())
    }
}

/// A word of the format at its place; a type of its own so that it does not clash with the quantities.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Choice<W> {
    /// The word.
    pub value: W,
    /// Where it is.
    pub span: Span,
}

fn words<W: Word>() -> String {
    let words: Vec<String> = W::WORDS.iter().map(|(word, _)| format!("`{word}`")).collect();
    words.join(", ")
}

impl<W: Word + Copy> Read for Choice<W> {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        let (_, text) = reader.scalar(node, || format!("one of {}", words::<W>()))?;
        let span = reader.tree.span(node);
        if let Some(value) = W::from_word(text) {
            return Some(Self { value, span });
        }
        let finding =
            rules::UNEXPECTED_VALUE.finding(span, format!("`{}` is not one of the words that are allowed here", clip(text)));
        reader.findings.push(match nearest(text, W::WORDS.iter().map(|(word, _)| *word)) {
            Some(near) => finding
                .label(question(text, near))
                .help(format!("write `{near}`, or another of {}", words::<W>()))
                .remedy(Remedy::new(RemedyKind::Spelling, format!("write `{near}`")).edit(span, near)),
            None => finding.label("unknown word").help(format!("write one of {}", words::<W>())),
        });
        None
    }

    fn shape() -> Shape {
        Shape::Word(W::WORDS)
    }

    fn tell(&self, _: &Names) -> Content {
        Content::Text(self.value.written().to_owned())
    }
}

impl<R: Record> Read for R {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        reader.record(node)
    }

    fn shape() -> Shape {
        Shape::Record(R::SHAPE)
    }

    fn tell(&self, names: &Names) -> Content {
        Record::tell(self, names)
    }
}

/// A choice of records behind a name; a type of its own for the same reason as [`Choice`].
#[derive(Debug, Clone)]
pub struct OneOf<V>(pub V);

impl<V: Variants> Read for OneOf<V> {
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self> {
        reader.variants(node).map(Self)
    }

    fn shape() -> Shape {
        Shape::Variants(V::SHAPE)
    }

    fn tell(&self, names: &Names) -> Content {
        self.0.tell(names)
    }
}
