//! Where names are looked up, and what is said when one is not found.

use crate::{
    finding::Finding,
    format::{Findings, clip, rules},
    suggest::nearest,
    text::{Name, Names, Span, Text},
};
use rustc_hash::FxHashMap;

/// The names of one kind of thing, each with its id.
#[derive(Debug)]
pub(super) struct Scope<I> {
    what: &'static str,
    ids: FxHashMap<Name, I>,
    order: Vec<Name>,
}

impl<I: Copy> Scope<I> {
    /// An empty scope of things called `what`.
    pub(super) fn new(what: &'static str) -> Self {
        Self { what, ids: FxHashMap::default(), order: Vec::new() }
    }

    /// Adds a name; of two equal ones the first stays (the second was reported when it was read).
    pub(super) fn add(&mut self, name: Name, id: I) {
        if self.ids.contains_key(&name) {
            return;
        }
        self.ids.insert(name, id);
        self.order.push(name);
    }

    /// The id of `name`.
    pub(super) fn get(&self, name: Name) -> Option<I> {
        self.ids.get(&name).copied()
    }

    /// The id of the thing called `text`.
    pub(super) fn find(&self, names: &Names, text: &str) -> Option<I> {
        names.find(text).and_then(|name| self.get(name))
    }

    /// All names in the order added.
    pub(super) fn texts<'n>(&'n self, names: &'n Names) -> impl Iterator<Item = &'n str> {
        self.order.iter().map(|name| names.text(*name))
    }

    /// Looks `text` up; notes a mistake where nothing bears the name.
    pub(super) fn refer(&self, names: &Names, text: &Text, findings: &mut Findings) -> Option<I> {
        let found = self.get(text.value);
        if found.is_none() {
            findings.push(unknown(self.what, names.text(text.value), text.span, self.texts(names)));
        }
        found
    }
}

/// The finding about a name that nothing bears, with the nearest of `candidates`.
pub(super) fn unknown<'a>(what: &str, written: &str, span: Span, candidates: impl Iterator<Item = &'a str>) -> Finding {
    let candidates: Vec<&str> = candidates.collect();
    let finding = rules::UNKNOWN_NAME.finding(span, format!("there is no {what} `{}`", clip(written)));
    if let Some(near) = nearest(written, candidates.iter().copied()) {
        return finding.label(format!("did you mean `{near}`?")).help(format!("write `{near}`, or define `{}`", clip(written)));
    }
    let finding = finding.label(format!("unknown {what}"));
    if candidates.is_empty() {
        return finding.help(format!("define the {what} `{}`; there is none yet", clip(written)));
    }
    finding.help(format!("define `{}`, or use one of {}", clip(written), few(&candidates)))
}

/// A few names for a message, in the order given.
pub(super) fn few(names: &[&str]) -> String {
    const MOST: usize = 6;
    let shown: Vec<String> = names.iter().take(MOST).map(|name| format!("`{}`", clip(name))).collect();
    match names.len().checked_sub(MOST) {
        Some(more) if more > 0 => format!("{} and {more} more", shown.join(", ")),
        _ => shown.join(", "),
    }
}
