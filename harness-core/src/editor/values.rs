//! What may be written behind a key, in words, and the words themselves.

use super::proposal::{Proposal, ProposalKind};
use crate::{
    format::shape::Shape,
    quantity::{Second, Unit},
    standards::colour::Colour,
};

/// What may be written there, in one line; empty for a text, a map or a list.
pub(super) fn words(shape: Shape) -> String {
    let of = |units: fn() -> Vec<&'static str>| units().join("`, `");
    match shape {
        Shape::Text | Shape::Map(_) | Shape::Record(_) | Shape::Variants(_) => String::new(),
        Shape::Flag => "`yes` or `no`".to_owned(),
        Shape::Whole(least, most) => format!("a whole number from {least} to {most}"),
        Shape::Quantity { measures, units } => format!("a {measures} in `{}`", of(units)),
        Shape::Range { measures, units } => {
            let unit = units().first().copied().unwrap_or("");
            format!("two of {measures}, the smaller first: `1 {unit} .. 2 {unit}`")
        }
        Shape::Lasting { measures, units } => {
            let unit = units().first().copied().unwrap_or("");
            format!("a {measures} in `{}`, with its time behind `for`: `40 {unit} for 200 ms`", of(units))
        }
        Shape::Rating { measures, units } => format!("a {measures} in `{}`, with `AC` or `DC` behind it", of(units)),
        Shape::Word(words) => {
            let words: Vec<String> = words.iter().map(|(word, _)| format!("`{word}`")).collect();
            words.join(", ")
        }
        Shape::Colour => "a colour in letters of IEC 60757, a stripe behind `/`".to_owned(),
        Shape::Date => "a date, year-month-day".to_owned(),
        Shape::List(item) => match words(item()) {
            words if words.is_empty() => words,
            words => format!("a list of: {words}"),
        },
        Shape::Either(shapes) => {
            let words: Vec<String> = shapes.iter().map(|shape| words(shape())).filter(|words| !words.is_empty()).collect();
            words.join(", or ")
        }
    }
}

/// The words, units and colours that may be written where `typed` is.
pub(super) fn of_shape(shape: Shape, typed: &str, found: &mut Vec<Proposal>) {
    match shape {
        Shape::Word(words) => found.extend(words.iter().map(|(word, doc)| Proposal::new(ProposalKind::Word, *word).doc(*doc))),
        Shape::Flag => found.extend(["yes", "no", "true", "false"].map(|word| Proposal::new(ProposalKind::Word, word))),
        Shape::Quantity { measures, units } | Shape::Rating { measures, units } | Shape::Range { measures, units } => {
            with_units(measures, &units(), typed, found);
        }
        Shape::Lasting { measures, units } => match typed.split_once(" for ") {
            Some((first, time)) => {
                let seconds: Vec<&str> = Second::SPELLINGS.iter().map(|(unit, _)| *unit).collect();
                let mut times = Vec::new();
                with_units(Second::MEASURES, &seconds, time, &mut times);
                found.extend(times.into_iter().map(|time| time.behind(&format!("{first} for "))));
            }
            None => with_units(measures, &units(), typed, found),
        },
        Shape::Colour => colours(typed, found),
        Shape::List(_) | Shape::Text | Shape::Whole(..) | Shape::Date | Shape::Map(_) | Shape::Record(_) | Shape::Variants(_) => {
        }
        Shape::Either(shapes) => shapes.iter().for_each(|shape| of_shape(shape(), typed, found)),
    }
}

/// What is typed with a unit behind its number.
fn with_units(measures: &str, units: &[&str], typed: &str, found: &mut Vec<Proposal>) {
    let (before, last) = match typed.rfind("..") {
        Some(at) => typed.split_at(at + 2),
        None => ("", typed),
    };
    let blank = last.len() - last.trim_start().len();
    let (blanks, last) = last.split_at(blank);
    let digits = last.find(|letter: char| !letter.is_ascii_digit() && letter != '.').unwrap_or(last.len());
    let number = last.get(..digits).unwrap_or("");
    if number.is_empty() {
        return;
    }
    for unit in units {
        found.push(Proposal::new(ProposalKind::Unit, format!("{before}{blanks}{number} {unit}")).detail(measures));
    }
    if measures == "cross-section" {
        found.push(Proposal::new(ProposalKind::Unit, format!("{before}{blanks}{number} AWG")).detail("gauge"));
    }
}

fn colours(typed: &str, found: &mut Vec<Proposal>) {
    let base = typed.rfind('/').map_or("", |at| typed.get(..=at).unwrap_or(""));
    for colour in Colour::ALL {
        let text = format!("{base}{}", colour.code());
        found.push(Proposal::new(ProposalKind::Word, text).detail(colour.name()));
    }
    if base.is_empty() {
        found.push(Proposal::new(ProposalKind::Word, "GNYE").detail("green and yellow"));
    }
}
