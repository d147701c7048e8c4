//! Which thing of the design a place in the text belongs to, and whether that is a kind of part or a domain.

use crate::{
    model::Model,
    text::{FileId, SourceFile, Sources, Span},
};

/// What a thing is to the causes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sort {
    /// A loom: many things are in it.
    Loom,
    /// A device, port, pin, element, end, splice, wire or cable.
    Thing,
    /// A kind of housing, terminal, cable or fuse, or a domain: what many things share.
    Shared,
    /// A kind of conductor: many wires share it without sharing a fault.
    Conductor,
    /// A zone, a mode, a segment of a route.
    Other,
}

/// A thing at the place of its key.
#[derive(Debug, Clone)]
pub(super) struct Owner {
    file: FileId,
    start: u32,
    /// The name as findings show it.
    pub(super) name: String,
    pub(super) sort: Sort,
}

/// All things of a design by the place of their key.
#[derive(Debug)]
pub(super) struct Owners(Vec<Owner>);

impl Owners {
    /// The things of a design. Cost: one pass and a sort.
    pub(super) fn of(model: &Model) -> Self {
        let mut owners = Vec::new();
        let mut add = |span: Span, name: String, sort| {
            if span.end > span.start {
                owners.push(Owner { file: span.file, start: span.start, name, sort });
            }
        };
        let text = |name| model.text(name).to_owned();
        model.domains().for_each(|(_, it)| add(it.span, text(it.name), Sort::Shared));
        model.housings().for_each(|(_, it)| add(it.span, text(it.name), Sort::Shared));
        model.terminals().for_each(|(_, it)| add(it.span, text(it.name), Sort::Shared));
        model.cable_kinds().for_each(|(_, it)| add(it.span, text(it.name), Sort::Shared));
        model.fuse_kinds().for_each(|(_, it)| add(it.span, text(it.name), Sort::Shared));
        model.conductor_kinds().for_each(|(_, it)| add(it.span, text(it.name), Sort::Conductor));
        model.zones().for_each(|(_, it)| add(it.span, text(it.name), Sort::Other));
        model.modes().for_each(|(id, it)| add(it.span, model.mode_name(id).to_owned(), Sort::Other));
        model.segments().for_each(|(_, it)| add(it.span, text(it.name), Sort::Other));
        model.devices().for_each(|(id, it)| add(it.span, model.device_name(id).to_owned(), Sort::Thing));
        model.looms().for_each(|(id, it)| add(it.span, model.loom_name(id).to_owned(), Sort::Loom));
        model.ports().for_each(|(id, it)| add(it.span, model.port_name(id), Sort::Thing));
        model.ends().for_each(|(id, it)| add(it.span, model.end_name(id), Sort::Thing));
        model.points().for_each(|(id, it)| add(it.span, model.point_name(id), Sort::Thing));
        model.elements().for_each(|(id, it)| add(it.span, model.element_name(id), Sort::Thing));
        model.wires().for_each(|(id, it)| add(it.span, model.wire_name(id), Sort::Thing));
        model.cables().for_each(|(id, it)| add(it.span, model.cable_name(id), Sort::Thing));
        owners.sort_by(|a, b| (a.file, a.start, &a.name).cmp(&(b.file, b.start, &b.name)));
        Self(owners)
    }

    /// The thing in whose entry a place is: the nearest key before it that is on its line, or on an earlier line and less indented than
    /// all lines from there to the place. `None` in what belongs to no thing, such as the policy.
    pub(super) fn of_place(&self, sources: &Sources, span: Span) -> Option<&Owner> {
        let file = sources.file(span.file)?;
        let (line, _) = file.line_column(span.start);
        let end = self.0.partition_point(|owner| (owner.file, owner.start) <= (span.file, span.start));
        let mut before = self.0.get(..end)?.iter().rev().take_while(|owner| owner.file == span.file).peekable();
        if before.peek().is_some_and(|owner| file.line_of(owner.start) == file.line_of(span.start)) {
            return before.next();
        }
        // Going up, a key holds the place if no line so far is indented as little as it.
        let (mut least, mut at) = (usize::MAX, line + 1);
        for owner in before {
            let (key_line, key_column) = file.line_column(owner.start);
            while at > key_line + 1 && least > 0 {
                at -= 1;
                least = least.min(indent(text_of(file, at)).unwrap_or(usize::MAX));
            }
            if key_column <= least {
                return Some(owner);
            }
            if least == 0 {
                return None;
            }
        }
        None
    }
}

/// The text of a line, counted from 1.
fn text_of(file: &SourceFile, line: usize) -> &str {
    let start = |line: usize| file.line_starts().get(line).map(|start| *start as usize);
    let end = start(line).unwrap_or(file.text().len());
    line.checked_sub(1).and_then(start).and_then(|begin| file.text().get(begin..end)).unwrap_or_default()
}

/// How many columns a line is indented; `None` for an empty one and a comment.
fn indent(line: &str) -> Option<usize> {
    let inner = line.trim_start();
    (!inner.is_empty() && !inner.starts_with('#')).then(|| line.len() - inner.len())
}
