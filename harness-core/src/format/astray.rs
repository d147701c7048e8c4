//! Names that are in one file alone and lack what makes them a thing: facts laid over a thing of another file under a misspelt name.
//!
//! A design of one file has none. Leaves names that are referred to and lead nowhere to `model`.

use super::{
    collect::Findings,
    content::Content,
    design::Design,
    devices::{Device, Port},
    looms::Loom,
    reader::{Read, Reader, clip},
    rules,
    shape::FieldShape,
    values::{Entry, Map},
};
use crate::{
    finding::{Finding, Level, Remedy, RemedyKind},
    format::{Kind as Thing, Naming},
    suggest::{nearest, question},
    text::{Names, NodeId, Span},
};
use std::collections::BTreeSet;

/// Where an entry of a map lacks keys and has no other mistake: says so once, with the name of another file that is near to its own.
/// `reported` is how much had been found before it was read.
pub(super) fn instead_of_lacks(reader: &mut Reader<'_>, (map, key, value): (NodeId, NodeId, NodeId), reported: usize) {
    let (tree, names) = (reader.tree, reader.names);
    let lacks = &reader.lacks;
    if lacks.node != Some(value) || lacks.keys.len() != reader.findings.found() - reported {
        return;
    }
    let others = tree.entries(map).filter(|(other, _)| tree.file_of(*other) != tree.file_of(key));
    let others = others.filter_map(|(other, _)| Some((names.text(tree.text(other)?), tree.span(other))));
    let Some(written) = tree.text(key).map(|name| names.text(name)) else { return };
    let Some((near, place)) = near(written, others) else { return };
    let lacked = crate::wording::commas(&lacks.keys);
    let finding = astray(written, tree.span(key), &format!("lacks {lacked}"), (near, place));
    let finding = finding.help(format!("write `{}`, or add {lacked} to `{}`", clip(near), clip(written)));
    reader.findings.replace_last(lacks.keys.len(), finding);
}

/// The name nearest to `written`, with its place.
fn near<'a>(written: &str, others: impl Iterator<Item = (&'a str, Span)> + Clone) -> Option<(&'a str, Span)> {
    let near = nearest(written, others.clone().map(|(text, _)| text))?;
    others.into_iter().find(|(text, _)| *text == near)
}

fn astray(written: &str, span: Span, lacks: &str, (near, place): (&str, Span)) -> Finding {
    // Names that differ in their numbers are often two things: which number is meant is not in the text.
    let digits = |text: &str| text.chars().filter(char::is_ascii_digit).collect::<String>();
    let is_slip = digits(written) == digits(near);
    let remedy = is_slip.then(|| Remedy::new(RemedyKind::Spelling, format!("write `{}`", clip(near))).edit(span, near));
    rules::ASTRAY_NAME
        .finding(span, format!("`{}` is in one file alone and {lacks}", clip(written)))
        .label(question(written, near))
        .context(place, format!("`{}` of another file", clip(near)))
        .remedy(remedy)
}

/// Notes things of which one file alone says something, and not what they are.
pub(super) fn check(design: &mut Design, findings: &mut Findings, names: &Names) {
    let mut finder = Finder { findings, names, doubtful: Vec::new() };
    finder.bare("device", &mut design.devices, "has no ports", "give it its `ports`, or a kind by `device`", |device| {
        device.device.is_none() && device.ports.0.is_empty() && !device.is_faulty
    });
    finder.bare("loom", &mut design.looms, "has no ends and no wires", "give it its `ends` and `wires`", |loom| {
        let nothing = loom.ends.0.is_empty() && loom.wires.0.is_empty() && loom.cables.0.is_empty();
        nothing && loom.splices.0.is_empty() && loom.inside.0.is_empty() && !loom.is_faulty
    });
    let kinds = design.parts.iter_mut().flat_map(|parts| &mut parts.devices.0);
    for device in design.devices.0.iter_mut().chain(kinds) {
        finder.ports(&mut device.value);
    }
    for loom in &mut design.looms.0 {
        finder.ends(&mut loom.value);
    }
    finder.apart(Thing::Zone, &design.zones);
    finder.apart(Thing::Mode, &design.modes);
    if let Some(parts) = &design.parts {
        finder.apart(Thing::ConductorKind, &parts.conductors);
        finder.apart(Thing::PointKind, &parts.points);
        finder.apart(Thing::TerminalKind, &parts.terminals);
        finder.apart(Thing::DeviceKind, &parts.devices);
    }
    let doubtful = std::mem::take(&mut finder.doubtful);
    if doubtful.is_empty() {
        return;
    }
    let mut named = BTreeSet::new();
    if let Content::Record(fields) = Content::of(design, names) {
        fields.iter().for_each(|(field, content)| collect(field, content, &mut named));
    }
    let is_named = |thing: Thing, name: &str| named.contains(&(thing, name.to_owned()));
    // Of two that nothing names one finding asks which is meant.
    let asks = |doubt: &Doubt| {
        let Doubt { thing, name, near, .. } = doubt;
        !is_named(*thing, name) && (is_named(*thing, near) || name < near)
    };
    findings.extend(doubtful.into_iter().filter(asks).map(|doubt| doubt.finding));
}

struct Finder<'a> {
    findings: &'a mut Findings,
    names: &'a Names,
    /// What is noted if nothing in the design names it.
    doubtful: Vec<Doubt>,
}

/// A thing that may be another, misspelt.
struct Doubt {
    thing: Thing,
    name: String,
    near: String,
    finding: Finding,
}

impl Finder<'_> {
    /// Entries that say nothing of what they are, where the map is spread over files.
    fn bare<T>(&mut self, noun: &str, map: &mut Map<T>, lacks: &str, remedy: &str, is_bare: impl Fn(&T) -> bool) {
        let Some(first) = map.0.first().map(|entry| entry.name.span.file) else { return };
        if map.iter().all(|entry| entry.name.span.file == first) {
            return;
        }
        for entry in map.iter().filter(|entry| is_bare(&entry.value)) {
            let written = clip(self.names.text(entry.name.value));
            let finding = match self.near(map, entry) {
                Some(near) => {
                    astray(&written, entry.name.span, lacks, near).help(format!("write `{}`, or {remedy}", clip(near.0)))
                }
                None => {
                    let finding = rules::ASTRAY_NAME
                        .finding(entry.name.span, format!("{noun} `{written}` is in one file alone and {lacks}"))
                        .label(format!("nothing is joined to this {noun}"))
                        .help(format!("write the name that the {noun} has in the other files, or {remedy}"));
                    Finding { stated: Level::Warning, ..finding }
                }
            };
            self.findings.push(finding);
        }
    }

    fn ports(&mut self, device: &mut Device) {
        let is_bare = |port: &Port| {
            let sorts = [port.housing, port.stud, port.screw, port.tab, port.strip, port.ferrule, port.body];
            sorts.iter().all(Option::is_none) && port.pins.0.0.is_empty() && !port.is_faulty
        };
        for at in self.misspelt(&device.ports, is_bare, "has no housing and is not a point", "say what it is") {
            if let Some(entry) = device.ports.0.get_mut(at) {
                entry.value.is_faulty = true;
            }
        }
    }

    fn ends(&mut self, loom: &mut Loom) {
        let is_bare = |end: &super::looms::End| {
            [end.housing, end.ring, end.mates, end.lands_on].iter().all(Option::is_none) && !end.is_faulty
        };
        for at in self.misspelt(&loom.ends, is_bare, "has no housing and goes nowhere", "say what it is") {
            if let Some(entry) = loom.ends.0.get_mut(at) {
                entry.value.is_faulty = true;
            }
        }
    }

    /// Notes the bare entries that are near to one of another file; others are noted when the model is made. Their places in the map.
    fn misspelt<T>(&mut self, map: &Map<T>, is_bare: impl Fn(&T) -> bool, lacks: &str, remedy: &str) -> Vec<usize> {
        let mut places = Vec::new();
        for (at, entry) in map.iter().enumerate().filter(|(_, entry)| is_bare(&entry.value)) {
            let Some(near) = self.near(map, entry) else { continue };
            let written = self.names.text(entry.name.value);
            let finding = astray(written, entry.name.span, lacks, near);
            self.findings.push(finding.help(format!("write `{}`, or {remedy}", clip(near.0))));
            places.push(at);
        }
        places
    }

    /// Entries of kinds of which nothing must be said: one that nothing names, near to another, with facts that the other lacks.
    fn apart<T: Read>(&mut self, thing: Thing, map: &Map<T>) {
        for entry in map {
            let Some(near) = self.near(map, entry) else { continue };
            let other = map.iter().find(|other| other.name.span == near.1);
            let (Some(here), Some(there)) = (self.keys(&entry.value), other.and_then(|other| self.keys(&other.value))) else {
                continue;
            };
            if here.is_empty() || !here.is_disjoint(&there) {
                continue;
            }
            let written = self.names.text(entry.name.value);
            let finding = astray(written, entry.name.span, "nothing names it", near);
            let finding = finding.help(format!("write `{}`, or use `{}` somewhere", clip(near.0), clip(written)));
            let finding = Finding { stated: Level::Warning, ..finding };
            self.doubtful.push(Doubt { thing, name: written.to_owned(), near: near.0.to_owned(), finding });
        }
    }

    /// The keys that say something of a thing.
    fn keys<T: Read>(&self, value: &T) -> Option<BTreeSet<&'static str>> {
        match value.tell(self.names) {
            Content::Record(fields) => Some(fields.iter().map(|(field, _)| field.key.word()).collect()),
            Content::Text(_) | Content::List(_) | Content::Map(_) => None,
        }
    }

    /// The nearest name of another file.
    fn near<T>(&self, map: &Map<T>, entry: &Entry<T>) -> Option<(&str, Span)> {
        let others = map.iter().filter(|other| other.name.span.file != entry.name.span.file);
        near(self.names.text(entry.name.value), others.map(|other| (self.names.text(other.name.value), other.name.span)))
    }
}

/// The names in a content, by what they may be names of.
fn collect(field: &'static FieldShape, content: &Content, named: &mut BTreeSet<(Thing, String)>) {
    match content {
        Content::Text(text) => {
            if let Naming::Anywhere(kinds) = field.class.naming {
                named.extend(kinds.iter().map(|kind| (*kind, text.clone())));
            }
        }
        Content::List(items) => items.iter().for_each(|item| collect(field, item, named)),
        Content::Map(map) => map.values().for_each(|item| collect(field, item, named)),
        Content::Record(fields) => fields.iter().for_each(|(field, content)| collect(field, content, named)),
    }
}
