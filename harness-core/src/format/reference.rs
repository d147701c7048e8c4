//! The format reference: every record and key in words, made from the records that read them.

use super::{
    design::Design,
    reader::Record,
    shape::{Limit, RecordShape, Shape, VariantsShape},
    worded,
};
use std::fmt::Write;

/// What is said of a key that nothing reads.
const UNREAD: &str = " Given, not checked yet.";

/// The format reference in Markdown.
#[must_use]
pub fn reference() -> String {
    let mut text = String::from(
        "# The netlist format, version 1\n\n\
         Generated from the definition that reads it; do not edit. A figure always carries its unit. Labels are kept as \
         written: `01` is not `1`. The order of keys never matters, and neither does in which of its files a design has a key: files may \
         share every thing, key by key. `yes` and `no` may be written `true` and `false`. Where cavities are named, `14..23` and `A1..A8` \
         are all from the first to the last, and `1, 3, 5..8` is a list, in quotes where it is between braces.\n\n\
         A thing with a name may be like another of the same map, \"like that one, but\": `K3: { like: K2, contact: [BAT, R3] }` has all keys \
         of `K2` that it does not give itself, but for `note` and `row`. A map inside is taken whole or not at all. That one may be like a \
         third, may come before it or behind it, and may be in another file of the design.\n\n\
         Kinds of parts that differ in one letter or number may have one entry: `QL-2A-P..QL-2H-P: { family: QL, positions: 2, key: A..H }` \
         are eight housings. A name or text behind one of its keys that is a range too, of as many, goes in step with them; anything else is \
         the same for all.\n",
    );
    let mut waiting: Vec<Part> = vec![Part::Record(Design::SHAPE)];
    let mut done: Vec<&'static str> = Vec::new();
    let mut next = 0;
    while let Some(part) = waiting.get(next).copied() {
        next += 1;
        if done.contains(&part.name()) {
            continue;
        }
        done.push(part.name());
        match part {
            Part::Record(record) => write_record(record, &mut text, &mut waiting),
            Part::Variants(shape) => write_variants(shape, &mut text, &mut waiting),
        }
    }
    text
}

#[derive(Clone, Copy)]
enum Part {
    Record(&'static RecordShape),
    Variants(&'static VariantsShape),
}

impl Part {
    fn name(self) -> &'static str {
        match self {
            Self::Record(record) => record.name,
            Self::Variants(shape) => shape.name,
        }
    }
}

// Writing to a String never fails, so the results of `write!` say nothing here.
fn write_record(record: &'static RecordShape, text: &mut String, waiting: &mut Vec<Part>) {
    let _ = write!(text, "\n## {}\n\n{}\n\n", record.name, record.doc.trim());
    if let Some(form) = worded::form_of(record) {
        let _ = write!(text, "May be written as words, between braces in quotes: `{}`. {}\n\n", form.example, form.doc);
    }
    text.push_str("| key | value | meaning |\n|---|---|---|\n");
    for field in record.fields {
        let shape = (field.shape)();
        let mark = match (field.required, field.unless) {
            (true, Some(other)) => format!(" (required without `{other}`)"),
            (true, None) => " (required)".to_owned(),
            (false, _) => String::new(),
        };
        let limit = match field.limit {
            Some(Limit::AboveZero) => ", above zero",
            Some(Limit::Share) => ", above 0 % and up to 100 %",
            None => "",
        };
        let unread = if field.is_read { "" } else { UNREAD };
        let _ = writeln!(text, "| `{}`{mark} | {}{limit} | {}{unread} |", field.key, words(shape, waiting), field.doc.trim());
    }
}

fn write_variants(shape: &'static VariantsShape, text: &mut String, waiting: &mut Vec<Part>) {
    let _ = write!(text, "\n## {}\n\n{} One of these keys gives its kind:\n\n", shape.name, shape.doc.trim());
    for (key, record) in shape.variants {
        let _ = writeln!(text, "- `{key}`: {}", record.doc.trim());
        waiting.push(Part::Record(record));
    }
}

fn words(shape: Shape, waiting: &mut Vec<Part>) -> String {
    match shape {
        Shape::Text => "text".to_owned(),
        Shape::Flag => "`yes` or `no`".to_owned(),
        Shape::Whole(..) => "whole number".to_owned(),
        Shape::Quantity { measures, units } => format!("{measures}, in {}", units().first().copied().unwrap_or("")),
        Shape::Range { measures, units } => {
            let unit = units().first().copied().unwrap_or("");
            format!("two of {measures}, as `1 {unit} .. 2 {unit}`")
        }
        Shape::Lasting { measures, units } => {
            let unit = units().first().copied().unwrap_or("");
            format!("{measures}, in {unit}, with its time behind `for`, as `40 {unit} for 200 ms`")
        }
        Shape::Rating { measures, units } => {
            let unit = units().first().copied().unwrap_or("");
            format!("{measures}, in {unit}, with `AC` or `DC` behind it or as `300/500 {unit}`")
        }
        Shape::Word(words) => words.iter().map(|(word, _)| format!("`{word}`")).collect::<Vec<_>>().join(", "),
        Shape::Colour => "colour in IEC 60757 letters, stripe behind `/`".to_owned(),
        Shape::Date => "date, year-month-day".to_owned(),
        Shape::List(item) => format!("list of {}", words_many(item(), waiting)),
        Shape::Map(item) => format!("by name: {}", words(item(), waiting)),
        Shape::Record(record) => {
            waiting.push(Part::Record(record));
            let words = if worded::form_of(record).is_some() { ", or its words" } else { "" };
            format!("[{0}](#{1}){words}", record.name, record.name.to_lowercase())
        }
        Shape::Variants(shape) => {
            waiting.push(Part::Variants(shape));
            format!("[{0}](#{1})", shape.name, shape.name.to_lowercase())
        }
        Shape::Either(shapes) => shapes.iter().map(|shape| words(shape(), waiting)).collect::<Vec<_>>().join(" or "),
    }
}

fn words_many(shape: Shape, waiting: &mut Vec<Part>) -> String {
    match shape {
        Shape::Text => "texts".to_owned(),
        other => words(other, waiting),
    }
}
