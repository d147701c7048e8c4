//! Several cavities in one word: a range (`14..23`, `A1..A8`), a list (`1, 3, 5`), or a list with ranges in it.
//!
//! Owns what such a word means and what is said of one that means nothing. A word is kept as it is written and spread where it is used: a
//! range of a thousand pins takes the room of one. Quotes change nothing, as everywhere: a list between braces needs them.

use super::{
    content::Content,
    devices::PinUse,
    limits::{COUNT, POINTS, grouped},
    reader::{Field, Reader, clip},
    rules,
    shape::Shape,
    values::{Entry, List, Map},
};
use crate::{
    finding::Finding,
    text::{At, Kind, Name, Names, NodeId, Span, Text},
    wording::{commas, quoted},
};
use rustc_hash::FxHashMap;

/// The cavities that a word names: itself, where it is neither a range nor a list.
#[must_use]
pub fn spread(word: &str) -> Vec<String> {
    parse(word).unwrap_or_default()
}

/// Whether a word may name several cavities.
fn is_several(word: &str) -> bool {
    word.contains("..") || word.contains(',')
}

/// Why a word names nothing, and what to write.
pub(super) struct Fault {
    pub(super) why: String,
    pub(super) help: String,
}

fn parse(word: &str) -> Result<Vec<String>, Fault> {
    if !is_several(word) {
        return Ok(vec![word.to_owned()]);
    }
    let mut labels = Vec::new();
    for part in word.split(',').map(str::trim) {
        if part.is_empty() {
            return Err(Fault {
                why: "has a comma with no cavity beside it".to_owned(),
                help: "write the cavities with one comma between two of them".to_owned(),
            });
        }
        match part.split_once("..") {
            Some((first, last)) => labels.extend(range(first.trim(), last.trim())?),
            None => labels.push(part.to_owned()),
        }
        if labels.len() > COUNT.most {
            let help = "write what the housing has".to_owned();
            return Err(Fault { why: format!("names more than {} cavities", grouped(COUNT.most)), help });
        }
    }
    Ok(labels)
}

/// The cavities from the first to the last, both included.
pub(super) fn range(first: &str, last: &str) -> Result<Vec<String>, Fault> {
    let fault = |why: String, help: String| Err(Fault { why, help });
    let (start, end) = (parted(first), parted(last));
    let whole = format!("{}..{}", clip(first), clip(last));
    if first.is_empty() || last.is_empty() {
        let help = "write the first and the last cavity with two dots between: `14..23`".to_owned();
        return fault("lacks one of its ends".to_owned(), help);
    }
    // Letters alone, as round plugs have them.
    if let ((_, ""), (_, ""), [from], [to]) = (start, end, first.as_bytes(), last.as_bytes())
        && from.is_ascii_alphabetic()
        && from.is_ascii_uppercase() == to.is_ascii_uppercase()
        && to.is_ascii_alphabetic()
    {
        if from > to {
            return fault(format!("runs backwards from `{first}` to `{last}`"), format!("write `{last}..{first}`"));
        }
        return Ok((*from..=*to).map(|letter| char::from(letter).to_string()).collect());
    }
    if start.0 != end.0 || start.1.is_empty() || end.1.is_empty() {
        let help = format!(
            "write a range within one row, such as `{0}1..{0}8`, and a further one behind a comma; or list the cavities with commas",
            clip(start.0)
        );
        return fault(format!("leads from `{}` to `{}`, which do not count on from each other", clip(first), clip(last)), help);
    }
    let (Ok(from), Ok(to)) = (start.1.parse::<u32>(), end.1.parse::<u32>()) else {
        return fault(
            "has a number that no housing has".to_owned(),
            "write the numbers that are printed on the housing".to_owned(),
        );
    };
    if from > to {
        return fault(
            format!("runs backwards from `{}` to `{}`", clip(first), clip(last)),
            format!("write `{}..{}`", clip(last), clip(first)),
        );
    }
    if (to - from) as usize >= COUNT.most {
        return fault(
            format!("names {} cavities", u64::from(to - from) + 1),
            format!("write what the housing has; `{whole}` is more than any"),
        );
    }
    // `01..10` has zeros before its digits and `1..10` has not; `08..012` counts in neither way.
    let padded = start.1.starts_with('0') || end.1.starts_with('0');
    if padded && start.1.len() != end.1.len() && start.1 != "0" {
        let help =
            "write both ends as they are printed: `01..12` where all have two digits, `1..12` where none has a zero before it";
        return fault(
            format!("leads from `{}` to `{}`, with and without a zero before the digits", clip(first), clip(last)),
            help.to_owned(),
        );
    }
    let width = if padded && start.1.len() == end.1.len() { start.1.len() } else { 1 };
    Ok((from..=to).map(|number| format!("{}{number:0width$}", start.0)).collect())
}

/// A label as what is before its last digits, and these.
fn parted(label: &str) -> (&str, &str) {
    let digits = label.bytes().rev().take_while(u8::is_ascii_digit).count();
    label.split_at(label.len() - digits)
}

/// Words that name cavities, judged one after the other.
#[derive(Default)]
struct Judge {
    /// By which word each cavity was named.
    named: FxHashMap<String, (Span, String)>,
}

impl Judge {
    /// Whether a word names something; notes what is wrong with it in one finding.
    fn take(&mut self, reader: &mut Reader<'_>, word: &Text) -> bool {
        let text = reader.names.text(word.value);
        let labels = match parse(text) {
            Ok(labels) => labels,
            Err(Fault { why, help }) => {
                reader.findings.push(range_fault(word.span, format!("`{}` {why}", clip(text))).help(help));
                return false;
            }
        };
        // A few letters may name ten thousand cavities.
        reader.cavities += labels.len();
        if reader.cavities > POINTS.most {
            let headline = format!("with `{}` ranges name {} cavities", clip(text), grouped(reader.cavities));
            reader.findings.push(POINTS.exceeded(word.span, headline));
            return false;
        }
        let mut again: Vec<&String> = Vec::new();
        let mut first = None;
        for label in &labels {
            if let Some((place, by)) = self.named.get(label) {
                again.push(label);
                first.get_or_insert((*place, by.clone()));
            } else {
                self.named.insert(label.clone(), (word.span, text.to_owned()));
            }
        }
        let Some((place, by)) = first else { return true };
        let shown: Vec<String> = again.iter().take(4).map(|label| quoted(clip(label))).collect();
        let more = again.len().saturating_sub(shown.len());
        let more = if more == 0 { String::new() } else { format!(" and {more} more") };
        let names = format!("{}{more}", commas(&shown));
        let finding = if labels.len() == 1 && place != word.span {
            range_fault(word.span, format!("{names} is among `{}` too", clip(&by))).context(place, "first time")
        } else if place == word.span {
            range_fault(word.span, format!("`{}` names {names} twice", clip(text)))
        } else {
            range_fault(word.span, format!("`{}` names {names}, which `{}` names too", clip(text), clip(&by)))
                .context(place, "first time")
        };
        reader.findings.push(finding.help("name each cavity once: shorten the range, or take the cavity out of one of them"));
        true
    }
}

fn range_fault(span: Span, headline: String) -> Finding {
    rules::RANGE.finding(span, headline).label("these cavities")
}

/// What the pins of a port need, by label or by several labels at once.
#[derive(Debug, Default, Clone)]
pub struct Pins(pub Map<PinUse>);

impl Pins {
    /// The pins one by one, each with the entry that says what it needs. Where two entries name one pin, which was noted, both are there.
    pub fn each<'p>(&'p self, names: &mut Names) -> Vec<(Name, &'p Entry<PinUse>)> {
        let mut pins = Vec::with_capacity(self.0.0.len());
        for entry in &self.0 {
            if Self::is_shared(entry, names) {
                let labels = spread(names.text(entry.name.value));
                pins.extend(labels.iter().map(|label| (names.intern(label), entry)));
            } else {
                pins.push((entry.name.value, entry));
            }
        }
        pins
    }

    /// How many pins are named.
    #[must_use]
    pub fn count(&self, names: &Names) -> usize {
        let several = |entry: &Entry<PinUse>| spread(names.text(entry.name.value)).len();
        self.0.iter().map(|entry| if Self::is_shared(entry, names) { several(entry) } else { 1 }).sum()
    }

    /// Whether an entry names several pins.
    #[must_use]
    pub fn is_shared(entry: &Entry<PinUse>, names: &Names) -> bool {
        is_several(names.text(entry.name.value))
    }
}

impl Field for Pins {
    fn read(place: &mut Self, reader: &mut Reader<'_>, node: NodeId) {
        let torn = torn_list(reader, node);
        Field::read(&mut place.0, reader, node);
        if !torn.is_empty() {
            place.0.0.retain(|entry| !torn.contains(&entry.name.span));
        }
        // Labels one by one were found to be different when their map was read.
        if !place.0.iter().any(|entry| is_several(reader.names.text(entry.name.value))) {
            return;
        }
        let mut judge = Judge::default();
        place.0.0.retain(|entry| judge.take(reader, &entry.name));
    }

    fn shape() -> Shape {
        <Map<PinUse> as Field>::shape()
    }

    fn tell(&self, names: &Names) -> Option<Content> {
        let mut told = std::collections::BTreeMap::new();
        for entry in &self.0 {
            for label in spread(names.text(entry.name.value)) {
                told.entry(label).or_insert_with(|| super::reader::Read::tell(&entry.value, names));
            }
        }
        (!told.is_empty()).then_some(Content::Map(told))
    }
}

/// Notes a list of cavities that braces have torn: in `{ 1, 3, 5: spare }` the first two are keys without a value. Their places.
fn torn_list(reader: &mut Reader<'_>, node: NodeId) -> Vec<Span> {
    let tree = reader.tree;
    let mut torn = Vec::new();
    let mut bare: Vec<(Span, &str)> = Vec::new();
    for (key, value) in tree.entries(node) {
        let (Some(name), span) = (tree.text(key), tree.span(key)) else { continue };
        let is_missing = matches!(tree.kind(value), Kind::Missing) && !tree.is_incomplete(value);
        if is_missing && reader.follows(span).is_some_and(|rest| rest.trim_start().starts_with(',')) {
            bare.push((span, reader.names.text(name)));
            continue;
        }
        if is_missing || bare.is_empty() {
            bare.clear();
            continue;
        }
        let labels: Vec<&str> = bare.iter().map(|(_, label)| *label).chain([reader.names.text(name)]).collect();
        let shown: Vec<String> = labels.iter().take(6).map(|label| clip(label)).collect();
        let dots = if labels.len() > shown.len() { ", …" } else { "" };
        let whole = format!("{}{dots}", shown.join(", "));
        let first = bare.first().map_or(span, |(first, _)| *first);
        reader.findings.push(
            range_fault(
                first.to(span),
                format!("`{whole}` between braces is not a list: only `{}` has a value", clip(reader.names.text(name))),
            )
            .help(format!("put the list in quotes: `\"{whole}\": …`, or give each of them a value of its own, such as `{{}}`")),
        );
        torn.extend(bare.drain(..).map(|(span, _)| span));
    }
    torn
}

/// Cavities of an end: a list, whose items may be ranges, or one range.
#[derive(Debug, Default, Clone)]
pub struct Cavities(pub List<Text>);

impl Cavities {
    /// The cavities one by one, with the place of the word that names each.
    pub fn each<'c>(&'c self, names: &'c Names) -> impl Iterator<Item = (String, Span)> + 'c {
        self.0.iter().flat_map(|word| spread(names.text(word.value)).into_iter().map(|label| (label, word.span)))
    }
}

impl Field for Cavities {
    fn read(place: &mut Self, reader: &mut Reader<'_>, node: NodeId) {
        if let Kind::Scalar { text, .. } = reader.tree.kind(node) {
            let span = reader.tree.span(node);
            if !reader.names.text(text).is_empty() {
                // A place without letters: nothing can be added to a word as to a list.
                let word = At { value: text, span: Span::new(span.file, span.start, span.start) };
                place.0.push(word);
            } else {
                reader.unexpected(node, "a list of cavities, such as [1, 3, 5..8]");
            }
        } else {
            Field::read(&mut place.0, reader, node);
        }
        if place.0.iter().any(|word| is_several(reader.names.text(word.value))) {
            let mut judge = Judge::default();
            place.0.retain(|word| judge.take(reader, word));
        }
    }

    fn shape() -> Shape {
        Shape::Either(&[|| Shape::Text, <List<Text> as Field>::shape])
    }

    fn tell(&self, names: &Names) -> Option<Content> {
        let mut labels: Vec<String> = self.each(names).map(|(label, _)| label).collect();
        if self.0.iter().any(|word| is_several(names.text(word.value))) {
            labels.sort();
            labels.dedup();
        }
        (!labels.is_empty()).then(|| Content::List(labels.into_iter().map(Content::Text).collect()))
    }
}

#[cfg(test)]
mod tests {
    use super::{parse, spread};

    #[test]
    fn a_word_names_what_is_printed() {
        for (word, labels) in [
            ("7", "7"),
            ("9..12", "9 10 11 12"),
            ("9 .. 12", "9 10 11 12"),
            ("01..03", "01 02 03"),
            ("08..12", "08 09 10 11 12"),
            ("0..3", "0 1 2 3"),
            ("A1..A3", "A1 A2 A3"),
            ("A09..A11", "A09 A10 A11"),
            ("A..D", "A B C D"),
            ("1, 3,5", "1 3 5"),
            ("1..2, A1..A2, 9", "1 2 A1 A2 9"),
            ("4..4", "4"),
        ] {
            assert_eq!(spread(word).join(" "), labels, "{word}");
        }
    }

    #[test]
    fn a_word_that_means_nothing_says_why() {
        for (word, why) in [
            ("9..3", "runs backwards"),
            ("D..A", "runs backwards"),
            ("A1..B4", "do not count on"),
            ("1..B4", "do not count on"),
            ("A..d", "do not count on"),
            ("..4", "lacks one of its ends"),
            ("4..", "lacks one of its ends"),
            ("1,,2", "comma"),
            ("1,", "comma"),
            ("8..012", "zero before"),
            ("1..99999", "99999 cavities"),
            ("1..99999999999", "no housing has"),
        ] {
            let fault = parse(word).err().map(|fault| fault.why).unwrap_or_default();
            assert!(fault.contains(why), "{word}: {fault}");
        }
    }
}
