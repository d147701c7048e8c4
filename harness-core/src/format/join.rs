//! The documents of several files joined to one; what is in two of them is a mistake that names both places.

use super::{Design, Findings, parts::Parts, reader::clip, rules, values::Map};
use crate::text::{Name, Names, Span};
use rustc_hash::FxHashMap;

/// Where each name of each map was first written, over all files read so far.
#[derive(Debug, Default)]
pub(super) struct Joined {
    first: FxHashMap<(&'static str, Name), Span>,
}

impl Joined {
    /// Joins a file's document to the whole. Cost: its own size, whatever was joined before.
    pub(super) fn join(&mut self, into: &mut Design, from: Design, findings: &mut Findings, names: &Names) {
        let mut joiner = Joiner { findings, names, first: &mut self.first };
        if into.format.is_none() {
            into.span = from.span;
        }
        into.format = into.format.or(from.format);
        joiner.one("design", &mut into.design, from.design, |text| text.span);
        joiner.one("revision", &mut into.revision, from.revision, |text| text.span);
        joiner.one("policy", &mut into.policy, from.policy, |policy| policy.span);
        match (into.sequence.first(), from.sequence.first()) {
            (Some(first), Some(second)) => joiner.repeated("sequence", "", first.span, second.span),
            (None, Some(_)) => into.sequence = from.sequence,
            (_, None) => {}
        }
        into.include.extend(from.include);
        into.waivers.extend(from.waivers);
        into.retired.extend(from.retired);
        joiner.maps("domain", &mut into.domains, from.domains);
        joiner.maps("zone", &mut into.zones, from.zones);
        joiner.maps("mode", &mut into.modes, from.modes);
        joiner.maps("network", &mut into.networks, from.networks);
        joiner.maps("device", &mut into.devices, from.devices);
        joiner.maps("loom", &mut into.looms, from.looms);
        let Some(parts) = from.parts else { return };
        let have = into.parts.get_or_insert_with(|| Parts { span: parts.span, is_faulty: parts.is_faulty, ..Parts::default() });
        joiner.maps("housing", &mut have.housings, parts.housings);
        joiner.maps("terminal", &mut have.terminals, parts.terminals);
        joiner.maps("point kind", &mut have.points, parts.points);
        joiner.maps("conductor", &mut have.conductors, parts.conductors);
        joiner.maps("cable", &mut have.cables, parts.cables);
        joiner.maps("fuse", &mut have.fuses, parts.fuses);
        joiner.maps("device kind", &mut have.devices, parts.devices);
    }
}

struct Joiner<'a> {
    findings: &'a mut Findings,
    names: &'a Names,
    first: &'a mut FxHashMap<(&'static str, Name), Span>,
}

impl Joiner<'_> {
    fn one<T>(&mut self, key: &str, into: &mut Option<T>, from: Option<T>, span: impl Fn(&T) -> Span) {
        match (&into, from) {
            (Some(first), Some(second)) => self.repeated(key, "", span(first), span(&second)),
            (None, Some(second)) => *into = Some(second),
            _ => {}
        }
    }

    fn maps<T>(&mut self, what: &'static str, into: &mut Map<T>, from: Map<T>) {
        if into.0.is_empty() {
            // No key is twice in one file: that was reported when its map was read.
            self.first.extend(from.iter().map(|entry| ((what, entry.name.value), entry.name.span)));
            *into = from;
            return;
        }
        for entry in from.0 {
            let span = entry.name.span;
            match self.first.get(&(what, entry.name.value)).copied() {
                Some(first) => {
                    let name = self.names.text(entry.name.value).to_owned();
                    self.repeated(what, &name, first, span);
                }
                None => {
                    self.first.insert((what, entry.name.value), span);
                    into.0.push(entry);
                }
            }
        }
    }

    fn repeated(&mut self, what: &str, name: &str, first: Span, second: Span) {
        let called = if name.is_empty() { format!("`{what}`") } else { format!("{what} `{}`", clip(name)) };
        self.findings.push(
            rules::REPEATED_NAME
                .finding(second, format!("{called} is written in two files"))
                .label("second time")
                .context(first, "first time")
                .help("take one of them out, or give it another name"),
        );
    }
}
