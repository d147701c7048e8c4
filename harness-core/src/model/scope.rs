//! Where names are looked up, and what is said when one is not found.

use crate::{
    finding::{Finding, Remedy, RemedyKind},
    format::{Findings, clip, rules},
    suggest::{Candidates, question},
    text::{Name, Names, Span, Text},
    wording::{commas, quoted},
};
use rustc_hash::FxHashMap;

/// The names of one kind of thing, each with its id.
#[derive(Debug)]
pub(super) struct Scope<I> {
    what: &'static str,
    ids: FxHashMap<Name, I>,
    order: Vec<Name>,
    candidates: Candidates,
}

impl<I: Copy> Scope<I> {
    /// An empty scope of things called `what`.
    pub(super) fn new(what: &'static str) -> Self {
        Self { what, ids: FxHashMap::default(), order: Vec::new(), candidates: Candidates::default() }
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
    pub(super) fn names(&self) -> &[Name] {
        &self.order
    }

    /// Looks `text` up; notes a mistake where nothing bears the name.
    pub(super) fn refer(&mut self, names: &Names, text: &Text, findings: &mut Findings) -> Option<I> {
        let found = self.get(text.value);
        if found.is_none() {
            // Names may have come since the last one was missed.
            if self.candidates.len() != self.order.len() {
                self.candidates = Candidates::new(self.order.iter().map(|name| names.text(*name)));
            }
            findings.push(unknown(self.what, names.text(text.value), text.span, &mut self.candidates));
        }
        found
    }
}

/// Where a name may be within the text that holds it: all of it, its start (`front` of `front.P1`), its end, or what is in quotes.
fn places(span: Span, written: &str) -> Vec<Span> {
    let (whole, own) = (span.end - span.start, written.len() as u32);
    match whole.checked_sub(own) {
        Some(0) => vec![span],
        Some(more) => {
            let quoted = (more == 2).then(|| Span::new(span.file, span.start + 1, span.end - 1));
            let ends = [Span::new(span.file, span.start, span.start + own), Span::new(span.file, span.end - own, span.end)];
            quoted.into_iter().chain(ends).collect()
        }
        None => Vec::new(),
    }
}

/// The finding about a name that nothing has, with the nearest of `candidates`.
pub(super) fn unknown(what: &str, written: &str, span: Span, candidates: &mut Candidates) -> Finding {
    let finding = rules::UNKNOWN_NAME.finding(span, format!("there is no {what} `{}`", clip(written)));
    if let Some(near) = candidates.nearest(written) {
        let spelling = |place: Span| Remedy::new(RemedyKind::Spelling, format!("write `{near}`")).edit(place, near);
        let finding = finding.label(question(written, near)).help(format!("write `{near}`, or define `{}`", clip(written)));
        return places(span, written).into_iter().map(spelling).fold(finding, Finding::remedy);
    }
    let finding = finding.label(format!("unknown {what}"));
    if candidates.is_empty() {
        return finding.help(format!("define the {what} `{}`; there is none yet", clip(written)));
    }
    finding.help(format!("define `{}`, or use one of {}", clip(written), few(candidates.iter())))
}

/// A few names for a message, in the order given.
pub(super) fn few<'a>(names: impl ExactSizeIterator<Item = &'a str>) -> String {
    const MOST: usize = 6;
    // Only what is shown is made: there may be as many names as there are unknown ones.
    let all = names.len();
    let shown: Vec<String> = names.take(MOST).map(|name| quoted(clip(name))).collect();
    let shown = commas(&shown);
    match all.checked_sub(MOST) {
        Some(more) if more > 0 => format!("{shown} and {more} more"),
        _ => shown,
    }
}
