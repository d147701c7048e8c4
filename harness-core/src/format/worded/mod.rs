//! Wires and pins in words: `P40.2 to P43.1, 0.75 mm2, RD/BK, via TRUNK` is the map that it means.
//!
//! Owns what the words of a wire and of a pin mean, and what is said of those that mean nothing. It works on the tree of a file, before
//! files are joined and records are read: whatever comes behind sees a map whose facts have their exact places in the text. A text with
//! escapes in it has no such places and is refused.

mod ends;
mod form;
mod pieces;
mod pin;
mod torn;
mod unclear;
mod words;

pub(crate) use form::{Form, form_of};
pub(crate) use pieces::pieces;
pub(super) use pin::doubtful;

use super::Attribute;
use crate::{
    finding::Finding,
    text::{self, FileId, Kind, Name, Names, NodeId, Parsed, Problem, Sources, Span, Tree},
};
use form::{PIN, WIRE};
use rustc_hash::FxHashMap;
use words::{Said, Words};

/// What came of spelling out a file.
#[derive(Debug, Default)]
pub(super) struct Spelled {
    /// What is wrong with its words.
    pub(super) findings: Vec<Finding>,
    /// Texts that a comma has cut between braces.
    torn: Vec<Span>,
}

impl Spelled {
    /// Whether a problem is that of a key which is a piece of a text that a comma has cut.
    pub(super) fn is_torn(&self, problem: &Problem) -> bool {
        let place = problem.span;
        self.torn.iter().any(|torn| torn.file == place.file && torn.start <= place.start && place.end <= torn.end)
    }
}

/// Reads a file, with its wires and pins as maps. What is wrong with their words is left to whoever reads the design.
pub(crate) fn parse(sources: &Sources, file: FileId, names: &mut Names) -> Parsed {
    let mut parsed = text::parse(sources, file, names);
    spell_out(sources, &mut parsed, names);
    parsed
}

/// Makes maps of the wires and pins of a file that are written as words.
///
/// # Cost
/// A look at each wire and pin; those in words are taken apart once.
pub(super) fn spell_out(sources: &Sources, parsed: &mut Parsed, names: &mut Names) -> Spelled {
    let Some(root) = parsed.root else { return Spelled::default() };
    let file = parsed.tree.file_of(root);
    let Some(source) = sources.file(file) else { return Spelled::default() };
    let rooms = rooms(&parsed.tree, root, names);
    let spelling = Spelling { file, text: source.text(), tree: &mut parsed.tree, names };
    spelling.all(rooms)
}

/// A map that holds wires or pins.
pub(crate) struct Room {
    /// The name of the loom, device or kind of device.
    #[cfg_attr(not(feature = "diff"), expect(dead_code, reason = "only what tidies asks for it"))]
    pub(crate) owner: NodeId,
    /// The map.
    pub(crate) map: NodeId,
    /// How its things are written as words.
    pub(crate) form: &'static Form,
}

/// The maps of a file that hold wires or pins.
pub(crate) fn rooms(tree: &Tree, root: NodeId, names: &Names) -> Vec<Room> {
    let get = |map: NodeId, key: Attribute| {
        let is = |written: NodeId| tree.text(written).is_some_and(|name| names.text(name) == key.word());
        tree.entries(map).find(|(written, _)| is(*written)).map(|(_, value)| value)
    };
    let mut rooms = Vec::new();
    for (owner, loom) in get(root, Attribute::Looms).into_iter().flat_map(|looms| tree.entries(looms)) {
        rooms.extend(get(loom, Attribute::Wires).map(|map| Room { owner, map, form: &WIRE }));
    }
    let kinds = get(root, Attribute::Parts).and_then(|parts| get(parts, Attribute::Devices));
    for devices in [get(root, Attribute::Devices), kinds].into_iter().flatten() {
        for (owner, device) in tree.entries(devices) {
            let ports = get(device, Attribute::Ports).into_iter().flat_map(|ports| tree.entries(ports));
            let pins = ports.filter_map(|(_, port)| get(port, Attribute::Pins));
            rooms.extend(pins.map(|map| Room { owner, map, form: &PIN }));
        }
    }
    rooms
}

/// A fact in words: its key, its value or those of a list, and whether it is a list.
#[cfg(feature = "diff")]
pub(crate) type Fact = (Attribute, Vec<String>, bool);

/// The facts that a text gives, if all of it is understood.
#[cfg(feature = "diff")]
pub(crate) fn understood(form: &'static Form, written: &str, plain: bool) -> Option<Vec<Fact>> {
    let (_, inner) = pieces::inside(written, plain)?;
    if form.leaves(inner) {
        return None;
    }
    let mut words = Words::new(form, FileId::default());
    words.read(&pieces(inner, 0));
    let facts = |said: Said| (said.key, said.values.into_iter().map(|(_, text)| text).collect(), said.is_list);
    (words.findings.is_empty() && !words.is_incomplete).then(|| words.said.into_iter().map(facts).collect())
}

struct Spelling<'a> {
    file: FileId,
    text: &'a str,
    tree: &'a mut Tree,
    names: &'a mut Names,
}

impl Spelling<'_> {
    fn all(mut self, rooms: Vec<Room>) -> Spelled {
        let mut spelled = Spelled::default();
        // Texts and maps that aliases use in several places are taken apart once.
        let mut done: FxHashMap<NodeId, Option<NodeId>> = FxHashMap::default();
        for Room { map, form, .. } in rooms {
            let is_text = |value: NodeId| matches!(self.tree.kind(value), Kind::Scalar { .. });
            if !self.tree.entries(map).any(|(_, value)| is_text(value)) || done.insert(map, None).is_some() {
                continue;
            }
            let entries: Vec<(NodeId, NodeId)> = self.tree.entries(map).collect();
            let mut kept: Vec<NodeId> = Vec::with_capacity(entries.len() * 2);
            let mut at = 0;
            while let Some((key, value)) = entries.get(at).copied() {
                at += 1;
                let torn = torn::of(self.tree, self.text, (map, &entries), at - 1, form);
                if let Some(torn) = &torn {
                    at += torn.entries;
                    spelled.torn.push(torn.span);
                    spelled.findings.push(torn::finding(self.text, self.tree.span(key), torn, form));
                }
                let place = torn.map(|torn| torn.span);
                let whole = match done.get(&value) {
                    Some(whole) => *whole,
                    None => {
                        let whole = self.spell(form, value, place, &mut spelled.findings);
                        done.insert(value, whole);
                        whole
                    }
                };
                kept.extend([key, whole.unwrap_or(value)]);
            }
            self.tree.set_children(map, kept);
        }
        spelled
    }

    /// The map that a text means; `None` if it is none, or one that is left to whoever reads it.
    fn spell(&mut self, form: &'static Form, value: NodeId, place: Option<Span>, findings: &mut Vec<Finding>) -> Option<NodeId> {
        let Kind::Scalar { text, plain } = self.tree.kind(value) else { return None };
        let span = place.unwrap_or_else(|| self.tree.span(value));
        let written = self.text.get(span.start as usize..span.end as usize)?;
        if place.is_none() && form.leaves(self.names.text(text)) {
            return None;
        }
        let mut words = Words::new(form, self.file);
        words.is_cut = self.text.get(span.end as usize..).is_some_and(|rest| rest.starts_with(':'));
        match pieces::inside(written, plain) {
            Some((start, inner)) => words.read(&pieces(inner, span.start + start as u32)),
            None => words.escaped(span),
        }
        let Words { said, findings: own, is_incomplete, .. } = words;
        findings.extend(own);
        let children: Vec<NodeId> = said.iter().flat_map(|said| self.entry(said)).collect();
        Some(self.tree.push_whole(span, true, children, is_incomplete))
    }

    /// The key and the value of a fact.
    fn entry(&mut self, said: &Said) -> [NodeId; 2] {
        let key = self.names.intern(said.key.word());
        let key = self.tree.push_text(said.at, key);
        let mut items: Vec<NodeId> = Vec::with_capacity(said.values.len());
        for (span, text) in &said.values {
            let name: Name = self.names.intern(text);
            items.push(self.tree.push_text(*span, name));
        }
        let value = match items.as_slice() {
            [one] if !said.is_list => *one,
            _ => {
                let first = said.values.first().map_or(said.at, |(span, _)| *span);
                let last = said.values.last().map_or(first, |(span, _)| *span);
                self.tree.push_whole(first.to(last), false, items, false)
            }
        };
        [key, value]
    }
}
