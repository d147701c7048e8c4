//! A range of kinds: one entry that defines several, which differ in one letter or number and in what goes in step with it.
//!
//! Owns which names `QL-2B-P..QL-2H-P` are, and which values behind such a key are ranges of as many. It is done to the tree, before
//! anything is taken over and before records are read: each kind is then as if it were written out, with the places of the one entry.
//! Cost: the names of the kinds; a design without such a name pays nothing more.

use super::{
    Attribute,
    cavities::{self, Fault},
    collect::Findings,
    limits::{POINTS, grouped},
    parts::Parts,
    reader::{Record, clip},
    repeated::called,
    rules,
    shape::{RecordShape, Shape},
};
use crate::{
    finding::Finding,
    text::{Kind, Name, Names, NodeId, Sources, Span, Tree},
    wording::{commas, quoted},
};
use rustc_hash::FxHashMap;

/// Whether the key of a kind may define several.
fn is_several(word: &str) -> bool {
    word.contains("..")
}

/// The names that a key defines: those of a range, else the word itself. None for a range that means nothing.
#[must_use]
pub fn named(word: &str) -> Vec<String> {
    if is_several(word) { range(word).unwrap_or_default() } else { vec![word.to_owned()] }
}

/// Whether several such things may have one entry.
#[must_use]
pub fn has_ranges(kind: super::Kind) -> bool {
    use super::Kind as Of;
    matches!(
        kind,
        Of::HousingKind | Of::TerminalKind | Of::PointKind | Of::ConductorKind | Of::CableKind | Of::FuseKind | Of::DeviceKind
    )
}

/// Whether a key of such a kind of parts may have a range behind it, one value for each kind.
#[must_use]
pub fn is_for_each(sort: &str, key: &str) -> bool {
    record_of(sort).is_some_and(|record| goes_in_step(key, record))
}

/// The record of the kinds behind a key of `parts`.
fn record_of(sort: &str) -> Option<&'static RecordShape> {
    let field = Parts::SHAPE.fields.iter().find(|field| field.key.word() == sort)?;
    let Shape::Map(item) = (field.shape)() else { return None };
    if let Shape::Record(record) = item() { Some(record) } else { None }
}

/// The names from the first to the last of a range, both included.
fn range(word: &str) -> Result<Vec<String>, Fault> {
    let (first, last) = word.split_once("..").map_or((word, ""), |(first, last)| (first.trim(), last.trim()));
    if first.is_empty() || last.is_empty() {
        let help = "write the first and the last with two dots between: `QL-2B-P..QL-2H-P`";
        return Err(Fault { why: "lacks one of its ends".to_owned(), help: help.to_owned() });
    }
    if first == last {
        return Ok(vec![first.to_owned()]);
    }
    let Some((before, [one, other], behind)) = differing(first, last) else {
        let why = format!("leads from `{}` to `{}`, which differ in more than one letter or number", clip(first), clip(last));
        return Err(Fault { why, help: "write them one by one, or as several ranges".to_owned() });
    };
    let whole = |labels: Vec<String>| labels.iter().map(|label| format!("{before}{label}{behind}")).collect();
    match cavities::range(one, other) {
        Ok(labels) => Ok(whole(labels)),
        Err(_) if cavities::range(other, one).is_ok() => Err(Fault {
            why: format!("runs backwards from `{}` to `{}`", clip(first), clip(last)),
            help: format!("write `{}..{}`", clip(last), clip(first)),
        }),
        Err(Fault { why, .. }) => Err(Fault { why, help: "write them one by one".to_owned() }),
    }
}

/// What two words have in common before and behind the one letter or number in which they differ, and these.
fn differing<'a>(first: &'a str, last: &'a str) -> Option<(&'a str, [&'a str; 2], &'a str)> {
    let same = |(one, other): &(char, char)| one == other;
    let length = |letters: &mut dyn Iterator<Item = (char, char)>| letters.take_while(same).map(|(one, _)| one.len_utf8()).sum();
    let mut before: usize = length(&mut first.chars().zip(last.chars()));
    let rest = |word: &'a str, before: usize| word.get(before..);
    let mut behind: usize = length(&mut rest(first, before)?.chars().rev().zip(rest(last, before)?.chars().rev()));
    let middle = |word: &'a str, before: usize, behind: usize| word.get(before..word.len().checked_sub(behind)?);
    let is_letter = |text: &str| text.len() == 1 && text.bytes().all(|byte| byte.is_ascii_alphabetic());
    if [first, last].iter().any(|word| !middle(word, before, behind).is_some_and(is_letter)) {
        // A number is whole: `9` and `10`, `08` and `12`.
        let digits = |bytes: &mut dyn Iterator<Item = u8>| bytes.take_while(u8::is_ascii_digit).count();
        before -= digits(&mut first.get(..before)?.bytes().rev());
        behind -= digits(&mut first.get(first.len() - behind..)?.bytes());
    }
    let middles = [middle(first, before, behind)?, middle(last, before, behind)?];
    let is_number = |text: &&str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let fits = middles.iter().all(|text| is_letter(text)) || middles.iter().all(is_number);
    fits.then_some((first.get(..before)?, middles, first.get(first.len() - behind..)?))
}

/// The design with each kind of a range as an entry of its own. Notes ranges that mean nothing, and marks what is written once for several.
pub(super) fn spread(tree: &mut Tree, top: NodeId, names: &mut Names, sources: &mut Sources, findings: &mut Findings) -> NodeId {
    let parts: Option<Pair> = entry(tree, top, names, Attribute::Parts.word());
    let Some((_, parts)) = parts else { return top };
    let has_range = |map: NodeId, tree: &Tree, names: &Names| {
        tree.entries(map).any(|(key, _)| tree.text(key).is_some_and(|name| is_several(names.text(name))))
    };
    let maps: Vec<Pair> = tree.entries(parts).collect();
    if !maps.iter().any(|(_, map)| has_range(*map, tree, names)) {
        return top;
    }
    let mut spreader = Spreader { tree, names, sources, findings, named: 0 };
    let mut children = Vec::with_capacity(maps.len() * 2);
    for (key, map) in maps {
        let record = spreader.record(key).filter(|_| has_range(map, spreader.tree, spreader.names));
        let map = record.map_or(map, |record| spreader.map(key, map, record));
        children.extend([key, map]);
    }
    let incomplete = tree.is_incomplete(parts);
    let whole = tree.push_like(parts, children, incomplete);
    let entries: Vec<Pair> = tree.entries(top).collect();
    let replaced = entries.into_iter().flat_map(|(key, value)| [key, if value == parts { whole } else { value }]);
    let (replaced, incomplete) = (replaced.collect::<Vec<_>>(), tree.is_incomplete(top));
    tree.push_like(top, replaced, incomplete)
}

/// A key with its value.
type Pair = (NodeId, NodeId);

fn entry(tree: &Tree, map: NodeId, names: &Names, word: &str) -> Option<Pair> {
    tree.entries(map).find(|(key, _)| tree.text(*key).is_some_and(|name| names.text(name) == word))
}

struct Spreader<'a> {
    tree: &'a mut Tree,
    names: &'a mut Names,
    sources: &'a mut Sources,
    findings: &'a mut Findings,
    /// How many kinds ranges have named so far.
    named: usize,
}

impl Spreader<'_> {
    /// The record of the kinds behind a key of `parts`.
    fn record(&self, key: NodeId) -> Option<&'static RecordShape> {
        record_of(self.names.text(self.tree.text(key)?))
    }

    fn map(&mut self, sort: NodeId, map: NodeId, record: &'static RecordShape) -> NodeId {
        let entries: Vec<Pair> = self.tree.entries(map).collect();
        let text = |spreader: &Self, key: NodeId| spreader.tree.text(key);
        // What is written by itself has its name first.
        let mut defined: FxHashMap<Name, Span> = FxHashMap::default();
        for (key, _) in &entries {
            if let Some(name) = text(self, *key).filter(|name| !is_several(self.names.text(*name))) {
                defined.insert(name, self.tree.span(*key));
            }
        }
        let mut children = Vec::with_capacity(entries.len() * 2);
        for (key, value) in entries {
            let word = text(self, key).map(|name| self.names.text(name).to_owned());
            match word.filter(|word| is_several(word)) {
                None => children.extend([key, value]),
                Some(word) => children.extend(self.kinds((sort, key, value), &word, record, &mut defined)),
            }
        }
        let incomplete = self.tree.is_incomplete(map);
        self.tree.push_like(map, children, incomplete)
    }

    /// The entries of one range.
    fn kinds(
        &mut self,
        (sort, key, value): (NodeId, NodeId, NodeId),
        word: &str,
        record: &'static RecordShape,
        defined: &mut FxHashMap<Name, Span>,
    ) -> Vec<NodeId> {
        let place = self.tree.span(key);
        let labels = match range(word) {
            Ok(labels) => labels,
            Err(Fault { why, help }) => {
                self.findings.push(fault(place, format!("`{}` {why}", clip(word)), "these kinds").help(help));
                return Vec::new();
            }
        };
        self.named += labels.len();
        if self.named > POINTS.most {
            let headline = format!("with `{}` ranges name {} kinds", clip(word), grouped(self.named));
            self.findings.push(POINTS.exceeded(place, headline));
            return Vec::new();
        }
        let whole = self.tree.span(value);
        if let Some(file) = self.sources.file_mut(place.file).filter(|_| labels.len() > 1) {
            file.share(place.start, whole.end.max(place.end), Vec::new());
        }
        let stepped = self.stepped(value, (word, labels.len()), record);
        let mut children = Vec::new();
        let mut again = Vec::new();
        for (at, label) in labels.iter().enumerate() {
            let name = self.names.intern(label);
            if let Some(first) = defined.get(&name) {
                again.push((name, *first));
                continue;
            }
            defined.insert(name, place);
            let key = self.tree.push_text_like(key, name);
            children.extend([key, self.one(value, &stepped, at)]);
        }
        self.repeated(sort, (word, place), &again);
        children
    }

    /// The values of an entry that are ranges, each with the texts that they are one by one; none where they are not as many as the kinds.
    fn stepped(
        &mut self,
        value: NodeId,
        (word, count): (&str, usize),
        record: &'static RecordShape,
    ) -> FxHashMap<NodeId, Vec<Name>> {
        let mut stepped = FxHashMap::default();
        let entries: Vec<Pair> = self.tree.entries(value).collect();
        for (key, value) in entries {
            let (Some(key), Some(text)) = (self.tree.text(key), self.tree.text(value)) else { continue };
            let (key, text) = (self.names.text(key), self.names.text(text));
            if !is_several(text) || !goes_in_step(key, record) {
                continue;
            }
            let span = self.tree.span(value);
            match range(text) {
                Ok(labels) if labels.len() == count => {
                    let labels: Vec<String> = labels;
                    let texts = labels.iter().map(|label| self.names.intern(label)).collect();
                    stepped.insert(value, texts);
                    continue;
                }
                Ok(labels) => {
                    let headline =
                        format!("`{}` has {} values, and `{}` names {count} kinds", clip(text), labels.len(), clip(word));
                    let help = format!("give `{key}` one value for each kind, or one for all");
                    self.findings.push(fault(span, headline, "these values").help(help));
                }
                Err(Fault { why, help }) => {
                    self.findings.push(fault(span, format!("`{}` {why}", clip(text)), "these values").help(help));
                }
            }
            stepped.insert(value, Vec::new());
        }
        stepped
    }

    /// What the kind number `at` of a range says.
    fn one(&mut self, value: NodeId, stepped: &FxHashMap<NodeId, Vec<Name>>, at: usize) -> NodeId {
        if !matches!(self.tree.kind(value), Kind::Map) {
            return value;
        }
        let entries: Vec<Pair> = self.tree.entries(value).collect();
        let mut incomplete = self.tree.is_incomplete(value);
        let mut children = Vec::with_capacity(entries.len() * 2);
        for (key, value) in entries {
            match stepped.get(&value).map(|texts| texts.get(at)) {
                None => children.extend([key, value]),
                Some(Some(text)) => children.extend([key, self.tree.push_text_like(value, *text)]),
                // What was noted is not missing too.
                Some(None) => incomplete = true,
            }
        }
        self.tree.push_like(value, children, incomplete)
    }

    /// Notes names of a range that are defined already.
    fn repeated(&mut self, sort: NodeId, (word, place): (&str, Span), again: &[(Name, Span)]) {
        let Some((first, span)) = again.first().copied() else { return };
        let way = |name: Name| {
            let parts = self.names.find(Attribute::Parts.word());
            parts.into_iter().chain(self.tree.text(sort)).chain([name]).collect::<Vec<_>>()
        };
        let shown: Vec<String> = again.iter().take(4).map(|(name, _)| quoted(clip(self.names.text(*name)))).collect();
        let more = again.len().saturating_sub(shown.len());
        let more = if more == 0 { String::new() } else { format!(" and {more} more") };
        let finding = rules::REPEATED_NAME
            .finding(place, format!("`{}` names {}{more}, which has an entry already", clip(word), commas(&shown)))
            .label("second time")
            .context(span, format!("first time: {}", called(self.names, &way(first))))
            .help("name each kind once: shorten the range, or take the other entry out");
        self.findings.push(finding);
    }
}

/// Whether a value of a range may be one for each kind: a name or a text that something is looked up by.
fn goes_in_step(key: &str, record: &'static RecordShape) -> bool {
    let is_text = || record.fields.iter().any(|field| field.key.word() == key && matches!((field.shape)(), Shape::Text));
    key == Attribute::Like.word() || (key != Attribute::Note.word() && is_text())
}

fn fault(span: Span, headline: String, label: &str) -> Finding {
    rules::RANGE.finding(span, headline).label(label)
}

#[cfg(test)]
mod tests {
    use super::{named, range};

    #[test]
    fn one_letter_or_number_varies() {
        for (word, names) in [
            ("QL-2B-P..QL-2D-P", "QL-2B-P QL-2C-P QL-2D-P"),
            ("B..D", "B C D"),
            ("b9..b11", "b9 b10 b11"),
            ("x-08-y .. x-10-y", "x-08-y x-09-y x-10-y"),
            ("x19y..x21y", "x19y x20y x21y"),
            ("blade-2.5..blade-4.5", "blade-2.5 blade-3.5 blade-4.5"),
            ("A..A", "A"),
            ("plain", "plain"),
        ] {
            assert_eq!(named(word).join(" "), names, "{word}");
        }
    }

    #[test]
    fn a_range_that_means_nothing_says_why() {
        for (word, why) in [
            ("QL-2H-P..QL-2B-P", "runs backwards from `QL-2H-P`"),
            ("QL-2B-P..", "lacks one of its ends"),
            ("QL-2B-P..QL-3C-P", "more than one letter or number"),
            ("B..d", "which do not count on"),
            ("A1..B", "more than one"),
            ("é..ü", "more than one"),
            ("x08..x012", "zero before"),
            ("a...c", "more than one"),
        ] {
            let fault = range(word).err().map(|fault| fault.why).unwrap_or_default();
            assert!(fault.contains(why), "{word}: {fault}");
        }
    }
}
