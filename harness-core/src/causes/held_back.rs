//! Which findings may only follow from a reading mistake.
//!
//! A mistake touches the thing in whose entry it is written, the names that it quotes (what was written and what it was probably meant to
//! be), and from there the ends of a wire and what they mate. Held back is what concerns such a thing; further away (the loom of a wire
//! that could not be read, the pins it would have led to) only what says that something is missing. A file that could not be read may
//! hold anything: then all but reading mistakes waits. A mistake in a kind of part touches what is shown with that kind. Of two mistakes
//! the second waits if the first explains it: a key that is missing because it is misspelt beside, a name that is defined in an entry that
//! was not read. A danger is never held back, whatever it concerns.

use super::{
    hides, is_reading,
    owners::{Owners, Sort},
    quoted,
};
use crate::{
    finding::{Judged, Level},
    model::{Model, PointId, PointKind},
    text::Sources,
};
use std::collections::{BTreeMap, BTreeSet};

/// Reading mistakes after which a whole file, or the rest of one, is missing.
const WHOLE_FILE: [&str; 8] = [
    "format/empty-file",
    "format/encoding",
    "format/extra-document",
    "format/include",
    "format/limit",
    "format/syntax",
    "format/tab",
    "format/version",
];

/// Rules that say that something is missing: what a lost entry would have given may be what they miss.
const MISSING: [&str; 8] = [
    "mating/half-mated",
    "netlist/dangling-wire",
    "netlist/no-return",
    "netlist/no-source",
    "netlist/unconnected-pin",
    "review/missing-fact",
    "review/stale-waiver",
    "review/unsure-fact",
];

/// What mistakes touch, by name.
#[derive(Debug, Default)]
struct Touched {
    /// All that concerns these, or what is in them, follows.
    near: BTreeSet<String>,
    /// What is missing at these, or in them, follows.
    far: BTreeSet<String>,
    /// Kinds of parts with a mistake in their record: what is shown with one of them follows.
    kinds: BTreeSet<String>,
}

/// Of each finding whether it may only follow from a reading mistake.
pub(super) fn held_back(model: &Model, sources: &Sources, owners: &Owners, findings: &[Judged]) -> Vec<bool> {
    let mistakes: Vec<&Judged> = findings.iter().filter(|finding| hides(finding)).collect();
    if mistakes.is_empty() {
        return vec![false; findings.len()];
    }
    let whole = mistakes.iter().any(|mistake| WHOLE_FILE.contains(&mistake.rule));
    let mut touched = Touched::default();
    if !whole {
        let leads = Leads::of(model);
        mistakes.iter().for_each(|mistake| touch(sources, owners, &leads, mistake, &mut touched));
    }
    let lost: Vec<&str> = mistakes.iter().filter_map(|mistake| entry(sources, mistake)).collect();
    let misspelt: BTreeSet<(Option<&str>, &str)> =
        mistakes.iter().filter_map(|mistake| meant(sources, owners, mistake)).collect();
    let follows = |finding: &Judged| match finding.rule {
        // A name that nothing has may be defined in the file that is missing, or in an entry that was not read.
        "format/unknown-name" => whole || quoted(&finding.headline).any(|name| lost.iter().any(|entry| defines(entry, name))),
        "format/missing-key" => quoted(&finding.headline).any(|key| misspelt.contains(&(holder(sources, owners, finding), key))),
        _ if is_reading(finding) || finding.level == Level::Danger => false,
        _ => whole || touched.holds(finding),
    };
    findings.iter().map(follows).collect()
}

/// The thing in whose entry a mistake is.
fn holder<'a>(sources: &Sources, owners: &'a Owners, mistake: &Judged) -> Option<&'a str> {
    owners.of_place(sources, mistake.primary.span).map(|owner| owner.name.as_str())
}

/// The key that an unknown key was probably meant to be, and the thing in whose entry it is.
fn meant<'a>(sources: &Sources, owners: &'a Owners, mistake: &'a Judged) -> Option<(Option<&'a str>, &'a str)> {
    let near = (mistake.rule == "format/unknown-key").then(|| quoted(&mistake.primary.text).next()).flatten()?;
    Some((holder(sources, owners, mistake), near))
}

/// The text below an unknown key, which was not read: up to the next line that is indented as little as the key.
fn entry<'a>(sources: &'a Sources, mistake: &Judged) -> Option<&'a str> {
    let span = mistake.primary.span;
    let file = (mistake.rule == "format/unknown-key").then(|| sources.file(span.file)).flatten()?;
    let (_, column) = file.line_column(span.start);
    let rest = file.text().get(span.end as usize..)?;
    let is_inside = |line: &str| {
        let inner = line.trim_start();
        inner.is_empty() || inner.starts_with('#') || line.len() - inner.len() >= column
    };
    let mut lines = rest.split_inclusive('\n');
    let first = lines.next()?.len();
    let end = first + lines.take_while(|line| is_inside(line)).map(str::len).sum::<usize>();
    rest.get(..end)
}

/// Whether a text holds an entry of this name, in block or in flow style.
fn defines(entry: &str, name: &str) -> bool {
    entry.match_indices(name).any(|(at, _)| {
        let before = entry.get(..at).and_then(|text| text.chars().next_back());
        let after = entry.get(at + name.len()..).unwrap_or_default();
        before.is_none_or(|letter| letter.is_whitespace() || "{,'\"".contains(letter))
            && after.trim_start_matches(['\'', '"']).starts_with(':')
    })
}

fn touch(sources: &Sources, owners: &Owners, leads: &Leads, mistake: &Judged, touched: &mut Touched) {
    let owner = owners.of_place(sources, mistake.primary.span);
    let mut names: Vec<String> = mistake.concerns.clone();
    match owner {
        // Its entry was lost, or is of the loom as a whole: what is missing in the loom and where it leads may follow.
        Some(loom) if loom.sort == Sort::Loom => touched.lacks(leads, &loom.name),
        Some(thing) => {
            names.push(thing.name.clone());
            if matches!(thing.sort, Sort::Shared | Sort::Conductor) {
                touched.kinds.insert(thing.name.clone());
            }
        }
        None => {}
    }
    let holder = owner.and_then(|owner| owner.name.split('.').next()).unwrap_or_default().to_owned();
    for text in [&mistake.headline, &mistake.primary.text] {
        for name in quoted(text) {
            names.push(name.to_owned());
            names.push(format!("{holder}.{name}"));
        }
    }
    for name in names {
        touched.lacks(leads, &name);
        touched.near.insert(name);
    }
}

/// Where things lead: from a wire to its points and what they meet, from a connector to its mate.
struct Leads(BTreeMap<String, Vec<String>>);

impl Leads {
    fn of(model: &Model) -> Self {
        let mut leads: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for (id, wire) in model.wires() {
            let points = [wire.from, wire.to].into_iter().flatten();
            let to = points.flat_map(|point| std::iter::once(model.point_name(point)).chain(mate_of(model, point)));
            leads.entry(model.wire_name(id)).or_default().extend(to);
        }
        for (id, end) in model.ends() {
            let (own, mate) = (model.end_name(id), end.mate.map(|mate| model.mate_name(mate)));
            if let Some(mate) = mate {
                leads.entry(mate.clone()).or_default().push(own.clone());
                leads.entry(own.clone()).or_default().push(mate);
            }
            leads.entry(own.clone()).or_default().push(own);
        }
        Self(leads)
    }

    /// What a thing, or anything in it, leads to.
    fn from<'a>(&'a self, name: &str) -> impl Iterator<Item = &'a String> {
        let inside = format!("{name}.");
        let within = self.0.range(inside.clone()..).take_while(move |(known, _)| known.starts_with(&inside));
        self.0.get(name).into_iter().chain(within.map(|(_, leads)| leads)).flatten()
    }
}

/// The pin, stud or cavity that a point of a loom meets.
fn mate_of(model: &Model, point: PointId) -> Option<String> {
    let (PointKind::Cavity(end) | PointKind::Ring(end)) = model[point].kind else { return None };
    let mate = model.mate_name(model[end].mate?);
    match model[point].kind {
        PointKind::Cavity(_) => Some(format!("{mate}.{}", model.text(model[point].label))),
        _ => Some(mate),
    }
}

impl Touched {
    /// What is missing at a thing and where it leads may follow.
    fn lacks(&mut self, leads: &Leads, name: &str) {
        if self.far.insert(name.to_owned()) {
            self.far.extend(leads.from(name).cloned());
        }
    }

    fn holds(&self, finding: &Judged) -> bool {
        let said = [&finding.headline, &finding.primary.text];
        let names: Vec<&str> =
            finding.concerns.iter().map(String::as_str).chain(said.into_iter().flat_map(|text| quoted(text))).collect();
        let missing = MISSING.contains(&finding.rule);
        let mut shown = finding.labels.iter().flat_map(|label| quoted(&label.text));
        names.iter().any(|name| is_in(&self.near, name) || missing && is_in(&self.far, name))
            || shown.any(|name| self.kinds.contains(name))
    }
}

/// Whether a name, what it is in, or what is in it is among `names`.
fn is_in(names: &BTreeSet<String>, name: &str) -> bool {
    let mut above = Some(name);
    while let Some(at) = above {
        if names.contains(at) {
            return true;
        }
        above = at.rsplit_once('.').map(|(head, _)| head);
    }
    let below = format!("{name}.");
    names.range(below.clone()..).next().is_some_and(|next| next.starts_with(&below))
}
