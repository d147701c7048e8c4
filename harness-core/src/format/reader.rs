//! Reading of trees into records, item by item, so that one mistake hides no other.

use super::{
    Attribute,
    collect::Findings,
    content::Content,
    rules,
    shape::{FieldShape, Limit, RecordShape, Shape, VariantsShape},
};
use crate::{
    finding::{Remedy, RemedyKind},
    quantity::Unit,
    suggest::{nearest, question},
    text::{At, FileId, Kind, Name, Names, NodeId, Sources, Span, Tree},
};
use std::collections::{BTreeMap, BTreeSet};

/// Reads the nodes of one file and collects every mistake.
#[derive(Debug)]
pub struct Reader<'a> {
    /// The tree that is read.
    pub tree: &'a Tree,
    /// All texts of the design.
    pub names: &'a Names,
    /// The key whose value is being read.
    pub(super) key: &'a str,
    /// The mistakes found so far.
    pub findings: Findings,
    /// How often keys were given that nothing reads yet.
    pub unread: Unread,
    /// What the thing lacks that was read last.
    pub(super) lacks: Lacks,
    /// The files that say which list they were made from.
    sources: &'a Sources,
    /// Cavities that ranges and lists have named so far.
    pub(super) cavities: usize,
    /// The files that give rows and do not.
    pub(super) without_list: BTreeSet<FileId>,
}

/// What must be written of a thing and is not.
#[derive(Debug, Default)]
pub(super) struct Lacks {
    /// The value that lacks it.
    pub(super) node: Option<NodeId>,
    /// The keys, each noted by a finding of its own.
    pub(super) keys: Vec<String>,
}

/// How often each key was given that no rule, figure or paper reads yet, by its word.
pub type Unread = BTreeMap<Attribute, usize>;

/// A record of the format; made by the macro `record!`.
pub trait Record: Default {
    /// Its keys.
    const SHAPE: &'static RecordShape;
    /// Says where it is, and whether something in it was reported.
    fn place(&mut self, span: Span, is_faulty: bool);
    /// Reads the value of `key`; `false` if it has no such key.
    fn set(&mut self, key: &str, reader: &mut Reader<'_>, node: NodeId) -> bool;
    /// What it says, without how it is written.
    fn tell(&self, names: &Names) -> Content;
}

impl Content {
    /// What a design says.
    #[must_use]
    pub fn of(design: &super::Design, names: &Names) -> Self {
        Record::tell(design, names)
    }
}

/// A choice of records; made by the macro `variants!`.
pub trait Variants: Sized {
    /// The variants.
    const SHAPE: &'static VariantsShape;
    /// Reads the variant that `key` names.
    fn read_variant(key: &str, reader: &mut Reader<'_>, node: NodeId) -> Option<Self>;
    /// What it says, without how it is written.
    fn tell(&self, names: &Names) -> Content;
}

/// Something that can be read from one node.
pub trait Read: Sized {
    /// Reads it; `None` after a mistake was noted.
    fn read(reader: &mut Reader<'_>, node: NodeId) -> Option<Self>;
    /// What may be written there.
    fn shape() -> Shape;
    /// What it says, without how it is written.
    fn tell(&self, names: &Names) -> Content;
}

/// A place in a record that holds nothing, one or many of something.
pub trait Field {
    /// Reads `node` into the place.
    fn read(place: &mut Self, reader: &mut Reader<'_>, node: NodeId);
    /// What may be written there.
    fn shape() -> Shape;
    /// What it says, without how it is written; `None` if nothing.
    fn tell(&self, names: &Names) -> Option<Content>;
}

impl<T: Read> Field for Option<T> {
    fn read(place: &mut Self, reader: &mut Reader<'_>, node: NodeId) {
        *place = T::read(reader, node);
    }

    fn shape() -> Shape {
        T::shape()
    }

    fn tell(&self, names: &Names) -> Option<Content> {
        self.as_ref().map(|value| value.tell(names))
    }
}

/// A quantity that a field of a record may ask to be above zero.
pub trait Limited: Copy {
    /// The figure in the stored unit.
    fn stored(self) -> f64;
    /// What it measures, for messages.
    fn measured(self) -> &'static str;
}

impl<U: Unit> Limited for U {
    fn stored(self) -> f64 {
        self.get()
    }

    fn measured(self) -> &'static str {
        U::MEASURES
    }
}

impl<'a> Reader<'a> {
    /// A reader of `tree`.
    #[must_use]
    pub fn new(tree: &'a Tree, names: &'a Names, sources: &'a Sources) -> Self {
        Self {
            tree,
            names,
            key: "",
            findings: Findings::new(),
            unread: Unread::new(),
            lacks: Lacks::default(),
            sources,
            cavities: 0,
            without_list: BTreeSet::new(),
        }
    }

    /// Whether a file says which list it was made from.
    pub(super) fn has_list(&self, file: FileId) -> bool {
        self.sources.file(file).is_some_and(|file| file.list().is_some())
    }

    /// The text behind `span` in its file.
    pub(super) fn follows(&self, span: Span) -> Option<&'a str> {
        self.sources.file(span.file)?.text().get(span.end as usize..)
    }

    /// The text of a scalar with its name; `None` after a mistake was noted.
    ///
    /// What was expected is asked for only then: a netlist has some hundred thousand scalars and few mistakes.
    pub fn scalar<T: AsRef<str>>(&mut self, node: NodeId, expected: impl FnOnce() -> T) -> Option<(Name, &'a str)> {
        match self.tree.kind(node) {
            Kind::Scalar { text, .. } => Some((text, self.names.text(text))),
            _ => {
                self.unexpected(node, expected().as_ref());
                None
            }
        }
    }

    /// Takes a quantity out of its place again if it is beyond `limit`, and notes the mistake.
    pub fn keep<T: Limited>(&mut self, place: &mut Option<At<T>>, node: NodeId, limit: Limit) {
        let Some(at) = *place else { return };
        let why = match limit {
            Limit::AboveZero | Limit::Share if at.value.stored() <= 0.0 => "zero",
            Limit::Share if at.value.stored() > 1.0 => "above the whole",
            _ => return,
        };
        *place = None;
        let written = self.tree.text(node).map_or_else(String::new, |text| clip(self.names.text(text)));
        let help = match limit {
            Limit::AboveZero => "write a figure above zero, or take the key out if it is not known",
            Limit::Share => "write a share above 0 % and up to 100 %, or take the key out if it is not known",
        };
        let measures = at.value.measured();
        self.findings
            .push(rules::QUANTITY.finding(at.span, format!("{measures} `{written}` is {why}")).label("this quantity").help(help));
    }

    /// Notes that `node` is not what belongs there.
    ///
    /// Says nothing where the text itself was at fault: what is absent there was reported already.
    pub fn unexpected(&mut self, node: NodeId, expected: &str) {
        if self.tree.is_incomplete(node) {
            return;
        }
        let found = match self.tree.kind(node) {
            Kind::Scalar { text, .. } => format!("`{}`", clip(self.names.text(text))),
            Kind::List => "a list".to_owned(),
            Kind::Map => "a map".to_owned(),
            Kind::Missing => "nothing".to_owned(),
        };
        let span = self.tree.span(node);
        // Words that would do for a wire or a pin, in the place of another thing.
        let are_words = expected.starts_with("a map") && found.contains([',', ' ']) && found.starts_with('`');
        let only = if are_words { "; of the things of a design, wires and pins alone may be words" } else { "" };
        self.findings.push(
            rules::UNEXPECTED_VALUE
                .finding(span, format!("{found} is written where {expected} belongs"))
                .label(format!("expected {expected}"))
                .help(format!("write {expected} here{only}")),
        );
    }

    /// Notes that `node` is not a map.
    pub(super) fn expected_map(&mut self, node: NodeId, shape: &RecordShape) {
        self.unexpected(node, &format!("a map ({})", example_keys(shape)));
    }

    /// Reads a record: every key is looked up, unknown ones are noted with the nearest, missing ones are named.
    pub fn record<R: Record>(&mut self, node: NodeId) -> Option<R> {
        let mut record = R::default();
        let reported = self.findings.found();
        record.place(self.tree.span(node), false);
        let shape = R::SHAPE;
        match self.tree.kind(node) {
            Kind::Map => {}
            // `{}` may be left out where nothing must be said.
            Kind::Missing if shape.fields.iter().all(|field| !field.required) => return Some(record),
            _ => {
                self.expected_map(node, shape);
                return None;
            }
        }
        let mut seen = 0_u64;
        let tree = self.tree;
        let mut entries = tree.entries(node).peekable();
        while let Some((key, value)) = entries.next() {
            let Kind::Scalar { text, .. } = tree.kind(key) else { continue };
            let word = self.names.text(text);
            if let Some(rest) = entries.peek().and_then(|(next, rest)| self.decimals(value, *next, *rest)) {
                entries.next();
                seen |= shape.fields.iter().position(|field| field.key.word() == word).map_or(0, |index| 1 << index.min(63));
                self.decimal_comma(value, rest);
                continue;
            }
            if let Some(index) = shape.fields.iter().position(|field| field.required && field.key.word() == word) {
                seen |= 1 << index.min(63);
            }
            self.key = word;
            if !record.set(word, self, value) {
                self.unknown_key(word, tree.span(key), shape.fields);
            } else if shape.has_unread
                && let Some(field) = shape.fields.iter().find(|field| !field.is_read && field.key.word() == word)
            {
                *self.unread.entry(field.key).or_default() += 1;
            }
        }
        if !tree.is_incomplete(node) {
            for (index, field) in shape.fields.iter().enumerate() {
                let is_absent = field.required && seen & (1 << index.min(63)) == 0;
                if is_absent && !field.unless.is_some_and(|other| self.has(node, other)) {
                    self.missing_key(field, node);
                }
            }
        }
        let is_faulty = self.findings.found() > reported || tree.is_incomplete(node);
        record.place(tree.span(node), is_faulty);
        Some(record)
    }

    /// Reads a choice of records by the key that distinguishes them.
    pub fn variants<V: Variants>(&mut self, node: NodeId) -> Option<V> {
        let shape = V::SHAPE;
        if !matches!(self.tree.kind(node), Kind::Map) {
            self.unexpected(node, &format!("a map whose first key is one of {}", variant_keys(shape)));
            return None;
        }
        let tree = self.tree;
        let told = tree.entries(node).find_map(|(key, _)| match tree.kind(key) {
            Kind::Scalar { text, .. } => shape.variants.iter().find(|(word, _)| *word == self.names.text(text)),
            _ => None,
        });
        if let Some((word, _)) = told {
            return V::read_variant(word, self, node);
        }
        // What it would be was lost to a fault that was noted.
        if tree.is_incomplete(node) {
            return None;
        }
        let first = tree.entries(node).next();
        let written = first.and_then(|(key, _)| match tree.kind(key) {
            Kind::Scalar { text, .. } => Some((self.names.text(text), tree.span(key))),
            _ => None,
        });
        let (near, span) = match written {
            Some((word, span)) => (nearest(word, shape.variants.iter().map(|(known, _)| *known)), span),
            None => (None, tree.span(node)),
        };
        let help = match near {
            Some(near) => format!("write `{near}`; the kinds are {}", variant_keys(shape)),
            None => format!("say what it is by one of the keys {}", variant_keys(shape)),
        };
        self.findings.push(
            rules::MISSING_KEY
                .finding(span, format!("nothing here says which kind of {} this is", shape.doc_noun()))
                .label("no key gives the kind")
                .help(help),
        );
        self.lacks(node, "a key that gives its kind".to_owned());
        None
    }

    /// Whether a map has a key.
    fn has(&self, node: NodeId, key: Attribute) -> bool {
        self.tree
            .entries(node)
            .any(|(written, _)| self.tree.text(written).is_some_and(|name| self.names.text(name) == key.word()))
    }

    fn unknown_key(&mut self, word: &str, span: Span, fields: &[FieldShape]) {
        let known = || fields.iter().map(|field| field.key.word());
        let finding = rules::UNKNOWN_KEY.finding(span, format!("there is no key `{}` here", clip(word)));
        let near = nearest(word, known()).filter(|_| word != Attribute::Like.word());
        self.findings.push(match near {
            Some(near) => finding
                .label(question(word, near))
                .help(format!("write `{near}`, or take the key out"))
                .remedy(Remedy::new(RemedyKind::Spelling, format!("write `{near}`")).edit(span, near)),
            None if word == Attribute::Like.word() => {
                finding.label("nothing to be like").help("take it out: things by name can be like another of the same map")
            }
            None => {
                let keys: Vec<String> = known().map(|key| format!("`{key}`")).collect();
                finding.label("unknown key").help(format!("take it out, or use one of {}", keys.join(", ")))
            }
        });
    }

    fn missing_key(&mut self, field: &FieldShape, node: NodeId) {
        let span = self.tree.span(node);
        let text = self.sources.file(span.file).and_then(|file| file.text().get(span.start as usize..span.end as usize));
        let first_letter = text.and_then(|text| text.chars().next()).map_or(0, |letter| letter.len_utf8() as u32);
        let span = Span::new(span.file, span.start, span.start + first_letter);
        self.findings.push(
            rules::MISSING_KEY
                .finding(span, format!("the key `{}` is missing here", field.key))
                .label(format!("no `{}`", field.key))
                .help(format!("add `{}`: {}", field.key, clause(field.doc.trim()))),
        );
        self.lacks(node, format!("`{}`", field.key));
    }

    fn lacks(&mut self, node: NodeId, what: String) {
        if self.lacks.node != Some(node) {
            self.lacks = Lacks { node: Some(node), keys: Vec::new() };
        }
        self.lacks.keys.push(what);
    }
}

impl VariantsShape {
    /// What one of the variants is called in a sentence.
    fn doc_noun(&self) -> String {
        self.name.to_lowercase()
    }
}

/// A sentence as a part of another: without its capital and its full stop.
fn clause(sentence: &str) -> String {
    let sentence = sentence.trim_end_matches('.');
    let mut letters = sentence.chars();
    match (letters.next(), letters.next()) {
        // An abbreviation keeps its capitals.
        (Some(first), Some(second)) if !second.is_uppercase() => first.to_lowercase().chain(sentence.chars().skip(1)).collect(),
        _ => sentence.to_owned(),
    }
}

fn variant_keys(shape: &VariantsShape) -> String {
    let keys: Vec<String> = shape.variants.iter().map(|(key, _)| format!("`{key}`")).collect();
    keys.join(", ")
}

fn example_keys(shape: &RecordShape) -> String {
    let keys: Vec<&str> = shape.fields.iter().take(4).map(|field| field.key.word()).collect();
    format!("with keys such as {}", keys.join(", "))
}

/// A text cut to a length that fits a message.
#[must_use]
pub fn clip(text: &str) -> String {
    const MOST: usize = 40;
    let clean: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).take(MOST + 1).collect();
    if clean.chars().count() > MOST { format!("{}…", clean.chars().take(MOST).collect::<String>()) } else { clean }
}
