//! One word for a pin: `spare`, the name of its signal, or something that is probably neither.

use super::super::{
    devices::Pin,
    reader::{Reader, Record, clip},
    rules,
    shape::Shape,
};
use crate::{
    finding::{Finding, Remedy, RemedyKind},
    suggest::{nearest, question},
    text::Span,
    vocabulary::{Role, Word},
};

/// The word for a pin with nothing behind it.
pub(super) const SPARE: &str = "spare";

/// What people write for a pin with nothing behind it; as signals they would join such pins. Common practice, no source.
const UNUSED: [&str; 24] = [
    "nc",
    "n/c",
    "n.c.",
    "n.c",
    "no connection",
    "not connected",
    "unconnected",
    "not used",
    "unused",
    "not fitted",
    "n/a",
    "na",
    "free",
    "empty",
    "blank",
    "vacant",
    "none",
    "nil",
    "plugged",
    "reserved",
    "unknown",
    "tbd",
    "open",
    "null",
];

/// Why one word is probably not the name of a signal.
pub(super) enum Doubt {
    /// A slip in `spare`.
    Slip,
    /// Another word for it.
    Unused,
    /// A role, or a fact with its key: the signal is not given.
    NoSignal,
    /// Nothing of which a name could be made.
    NoLetter,
}

/// What is doubtful about a text that is all that is said of a pin.
pub(super) fn doubt(text: &str) -> Option<Doubt> {
    let lower = text.trim().to_lowercase();
    if text == SPARE || text.contains(',') {
        return None;
    }
    if UNUSED.contains(&lower.as_str()) {
        return Some(Doubt::Unused);
    }
    if lower == SPARE || nearest(text, [SPARE].into_iter()).is_some() {
        return Some(Doubt::Slip);
    }
    if Role::WORDS.iter().any(|(word, _)| word.to_lowercase() == lower) || is_fact(text) {
        return Some(Doubt::NoSignal);
    }
    (!text.contains(char::is_alphabetic)).then_some(Doubt::NoLetter)
}

/// Whether a text is a key of a pin with a value that belongs behind it: `role supply`, `network drive-can`. Signals begin with such words too:
/// `signal ground`, `drive enable`.
pub(super) fn is_fact(text: &str) -> bool {
    let Some((key, value)) = text.split_once(char::is_whitespace) else { return false };
    let Some(field) = Pin::SHAPE.fields.iter().find(|field| field.key.word() == key) else { return false };
    let value = value.trim();
    match (field.shape)() {
        Shape::Word(words) => words.iter().any(|(word, _)| *word == value),
        Shape::Flag => ["yes", "no", "true", "false"].contains(&value),
        Shape::Whole(..) => value.parse::<u32>().is_ok(),
        Shape::Text => ["domain", "network"].contains(&key) && !value.contains(char::is_whitespace),
        _ => false,
    }
}

/// Notes a text for a pin that is neither `spare` nor the name of a signal.
pub(in super::super) fn doubtful(reader: &mut Reader<'_>, text: &str, span: Span) {
    reader.findings.push(finding(text, span));
}

pub(super) fn finding(text: &str, span: Span) -> Finding {
    let shown = clip(text);
    let spare = || Remedy::new(RemedyKind::Spelling, format!("write `{SPARE}`")).edit(span, SPARE);
    let finding = |why: &str| rules::UNEXPECTED_VALUE.finding(span, format!("`{shown}` {why}"));
    match doubt(text) {
        Some(Doubt::Slip) => {
            let letters = |text: &str| {
                let mut letters: Vec<char> = text.to_lowercase().chars().collect();
                letters.sort_unstable();
                letters
            };
            // The same letters in another order are a slip and nothing else.
            let remedy = if letters(text) == letters(SPARE) { spare() } else { spare().one_of_several() };
            finding("is all that is said of a pin, and near to `spare`")
                .label(question(text, SPARE))
                .help(format!("write `{SPARE}`; if it is a signal, write its role behind it: `{shown}, input`"))
                .remedy(remedy)
        }
        Some(Doubt::Unused) => finding("is all that is said of a pin, and not the name of a signal")
            .label("nothing behind it?")
            .help(format!("write `{SPARE}` if nothing is behind the pin; a signal of that name is written `{{ signal: {shown} }}`"))
            .remedy(spare().one_of_several()),
        Some(Doubt::NoSignal) => finding("says what a pin does, and not which signal it has")
            .label("the signal comes first")
            .help(format!("write the signal before it: `NAME, {shown}`; without a signal, or if this is its name, write a map, such as `{{ signal: NAME, role: input }}`")),
        Some(Doubt::NoLetter) | None => finding("is not the name of a signal")
            .label("expected `spare`, or a signal with its role")
            .help("write `spare`, words such as `coolant pump supply, supply`, or a map such as { signal: NAME, role: input }"),
    }
}
