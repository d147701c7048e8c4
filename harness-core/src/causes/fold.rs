//! Which findings have one cause.
//!
//! Findings of one rule and level are one cause where they say the same of several things and
//! - lack the same fact (`review/missing-fact`) or key, or the same name is unknown (`format/…`),
//! - are at the same place,
//! - or point at the same kind of part or the same domain: there is the one line to change (a fault of circuits that share a kind is
//!   theirs: it counts only with the very same figures).
//!
//! Wires of one loom that one device feeds past no fuse are one cause: their fuses were forgotten together. So are findings of one rule
//! that rest on taking a loom without routes as one bundle.
//!
//! A plug that is misnumbered and the faces that it shows as not fitting each other are one cause.
//!
//! Findings of the rules that a plug on the wrong mate or with its wires swapped sets off are one cause where they are at one mated pair.
//!
//! Whatever is removed by the same swap is one cause, whichever rules found it and however severe each is: findings that propose it, and
//! those of the rules that swapped wires set off ([`FOLLOWS`]) that concern nothing else.

use super::{
    is_reading,
    owners::{Owners, Sort},
    quoted,
};
use crate::{
    finding::{Edit, Judged, RemedyKind},
    model::Model,
    text::{Sources, Span},
};
use petgraph::unionfind::UnionFind;
use std::collections::{BTreeMap, BTreeSet};

/// Rules that one reversed, swapped or wrong plug sets off together.
const PLUG: [&str; 7] = [
    "mating/contact-mismatch",
    "mating/family-mismatch",
    "mating/key-mismatch",
    "mating/position-mismatch",
    "netlist/reversed-polarity",
    "netlist/role-conflict",
    "netlist/signal-mismatch",
];

/// Rules whose fault is that of a circuit, even where many circuits use one kind of fuse or housing.
const CIRCUIT: [&str; 6] = [
    "contact/above-rated-current",
    "contact/over-current",
    "protection/fuse-over-conductor",
    "protection/missing-fuse",
    "protection/selectivity",
    "protection/uncleared-fault",
];

/// Rules that two swapped wires set off, and that do not know of the swap.
const FOLLOWS: [&str; 8] = [
    "domain/chassis-tied",
    "domain/crossing",
    "domain/missing-bond",
    "domain/wrong-voltage",
    "netlist/no-return",
    "netlist/no-source",
    "netlist/role-conflict",
    "netlist/sneak-short",
];

/// What findings of one cause share.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Shared {
    /// What they say, names and figures left out.
    Said(&'static str, String),
    /// What they say, word for word.
    Mistake(&'static str, String),
    /// Where they are.
    Place(&'static str, Span),
    /// What they say, and the kind or domain that they point at.
    Kind(&'static str, String, String),
    /// The mated pair.
    Plug(String),
    /// The device that feeds, and the loom.
    Feed(&'static str, String, String),
    /// The loom that is taken as one bundle.
    Bundle(&'static str, String),
}

/// Findings by cause.
pub(super) struct Groups {
    pub(super) groups: Vec<Vec<usize>>,
    /// Findings that follow from a swap, each with one that proposes to undo it.
    pub(super) follow: Vec<(usize, usize)>,
}

/// Findings by cause. What is held back is never of one cause with what is not.
/// Those of `follow` are of the cause that a trial has shown and of no other.
pub(super) fn groups(
    model: &Model,
    sources: &Sources,
    owners: &Owners,
    findings: &[Judged],
    held: &[bool],
    follow: &[(usize, usize)],
) -> Groups {
    let pairs = pairs(model);
    let shown: BTreeSet<usize> = follow.iter().flat_map(|(follower, root)| [*follower, *root]).collect();
    let mut joined = UnionFind::<usize>::new(findings.len());
    let mut first = BTreeMap::new();
    for (at, finding) in findings.iter().enumerate() {
        if shown.contains(&at) {
            continue;
        }
        let apart = (finding.level, held.get(at).copied().unwrap_or_default());
        for shared in shared(sources, owners, &pairs, finding) {
            let one = *first.entry((apart, shared)).or_insert(at);
            joined.union(one, at);
        }
    }
    let swapped = by_swap(findings, |at| shown.contains(&at) || held.get(at).copied().unwrap_or_default());
    for (follower, leader) in swapped.iter().chain(follow) {
        joined.union(*leader, *follower);
    }
    let faces = by_face(findings, |at| held.get(at).copied().unwrap_or_default());
    for (face, plug) in faces {
        joined.union(face, plug);
    }
    let mut groups: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (at, root) in joined.into_labeling().into_iter().enumerate() {
        groups.entry(root).or_default().push(at);
    }
    Groups { groups: groups.into_values().collect(), follow: swapped }
}

/// Faces that do not fit each other, each with every plug whose wires follow one of them: whoever drew the part from the other side populated
/// it so.
fn by_face(findings: &[Judged], is_held: impl Fn(usize) -> bool) -> Vec<(usize, usize)> {
    let of = |rule: &'static str| findings.iter().enumerate().filter(move |(_, finding)| finding.rule == rule);
    let mut found = Vec::new();
    for (face, clash) in of("mating/mirrored-face").filter(|(at, _)| !is_held(*at)) {
        let is_shown = |finding: &Judged| finding.labels.iter().any(|label| label.span == clash.primary.span);
        let plugs = of("netlist/misnumbered-plug").filter(|(at, finding)| !is_held(*at) && is_shown(finding));
        found.extend(plugs.map(|(plug, _)| (face, plug)));
    }
    found
}

/// Each finding that a swap would remove with the first that proposes the swap; what is settled is left alone.
fn by_swap(findings: &[Judged], is_settled: impl Fn(usize) -> bool) -> Vec<(usize, usize)> {
    let mut leaders: BTreeMap<Vec<Edit>, usize> = BTreeMap::new();
    let mut follow = Vec::new();
    let mut concerned: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (at, finding) in findings.iter().enumerate() {
        let Some(swap) = finding.remedies.first().filter(|remedy| remedy.kind == RemedyKind::Swap && !is_settled(at)) else {
            continue;
        };
        let mut edits = swap.edits.clone();
        edits.sort_unstable();
        let leader = *leaders.entry(edits).or_insert(at);
        if leader != at {
            follow.push((at, leader));
        }
        finding.concerns.iter().for_each(|name| concerned.entry(name).or_default().push(leader));
    }
    for (at, finding) in findings.iter().enumerate() {
        if !FOLLOWS.contains(&finding.rule) || !finding.remedies.is_empty() || is_settled(at) {
            continue;
        }
        let by = |name: &String| concerned.get(name.as_str()).map_or(&[][..], Vec::as_slice);
        let Some((first, rest)) = finding.concerns.split_first() else { continue };
        let mut leaders: Vec<usize> =
            by(first).iter().copied().filter(|leader| rest.iter().all(|name| by(name).contains(leader))).collect();
        leaders.sort_unstable();
        leaders.dedup();
        // What two swaps may have brought is neither's.
        if let [leader] = leaders.as_slice() {
            follow.push((at, *leader));
        }
    }
    follow
}

fn shared(sources: &Sources, owners: &Owners, pairs: &BTreeMap<String, String>, finding: &Judged) -> Vec<Shared> {
    let rule = finding.rule;
    if rule == "format/missing-key" {
        return vec![Shared::Mistake(rule, format!("{} {}", without_names(&finding.headline), finding.primary.text))];
    }
    if is_reading(finding) {
        return vec![Shared::Mistake(rule, format!("{} {}", finding.headline, finding.primary.text))];
    }
    let said = format!("{}\n{}", without_names(&finding.headline), without_names(&finding.primary.text));
    if rule == "review/missing-fact" {
        return vec![Shared::Said(rule, said)];
    }
    let mut all = Vec::new();
    if finding.primary.span.end > finding.primary.span.start {
        all.push(Shared::Place(rule, finding.primary.span));
    }
    for label in finding.labels.iter().chain([&finding.primary]) {
        let Some(owner) = owners.of_place(sources, label.span) else { continue };
        match owner.sort {
            Sort::Shared if !CIRCUIT.contains(&rule) && !rule.starts_with("conductor/") => {
                all.push(Shared::Kind(rule, said.clone(), owner.name.clone()))
            }
            // Many wires of a kind are too thin each for a reason of its own, unless they are so by the very same figures.
            Sort::Shared | Sort::Conductor => {
                let figures: String = finding.headline.split('`').step_by(2).collect();
                all.push(Shared::Kind(rule, format!("{figures}\n{:?}", finding.figures), owner.name.clone()));
            }
            Sort::Loom | Sort::Thing | Sort::Other => {}
        }
    }
    if rule == "protection/missing-fuse" {
        all.extend(feed(sources, owners, finding));
    }
    all.extend(one_bundle(finding).map(|loom| Shared::Bundle(rule, loom)));
    if PLUG.contains(&rule) {
        all.extend(plugs(pairs, finding).into_iter().map(Shared::Plug));
    }
    all
}

/// The loom whose wires name no route, where a verdict rests on taking it as one bundle: routes are what is missing, for all its wires.
fn one_bundle(finding: &Judged) -> Option<String> {
    let assumed = finding.figures.iter().filter(|figure| figure.name == "assumed" && figure.value.contains("has no route"));
    // The wire is named first, then its loom.
    assumed.into_iter().find_map(|figure| quoted(&figure.value).nth(1).map(str::to_owned))
}

/// The one device that feeds what is without a fuse, and the loom of that; `None` where several devices feed it.
fn feed(sources: &Sources, owners: &Owners, finding: &Judged) -> Option<Shared> {
    let head = |span| owners.of_place(sources, span)?.name.split('.').next().map(str::to_owned);
    let mut devices: Vec<String> = finding.labels.iter().filter_map(|label| head(label.span)).collect();
    devices.dedup();
    let [device]: [String; 1] = devices.try_into().ok()?;
    Some(Shared::Feed(finding.rule, device, head(finding.primary.span)?))
}

/// The mated pairs at whose positions a finding is.
fn plugs(pairs: &BTreeMap<String, String>, finding: &Judged) -> Vec<String> {
    let names = quoted(&finding.headline).chain(quoted(&finding.primary.text)).chain(finding.concerns.iter().map(String::as_str));
    let of = |name: &str| pairs.get(name).or_else(|| pairs.get(name.rsplit_once('.')?.0)).cloned();
    let mut found: Vec<String> = names.filter_map(of).collect();
    found.sort();
    found.dedup();
    // At several pairs it is not the fault of one of them.
    if found.len() == 1 { found } else { Vec::new() }
}

/// Each connector of a mated pair with one name for the pair.
fn pairs(model: &Model) -> BTreeMap<String, String> {
    let mut pairs = BTreeMap::new();
    for (id, end) in model.ends() {
        let own = model.end_name(id);
        let mate = end.mate.map(|mate| model.mate_name(mate));
        let pair = mate.iter().fold(own.clone(), |pair, mate| pair.min(mate.clone()));
        if let Some(mate) = mate {
            pairs.insert(mate, pair.clone());
        }
        pairs.insert(own, pair);
    }
    pairs
}

/// A sentence without its names and figures, which differ from one finding of a cause to the next.
fn without_names(text: &str) -> String {
    let outside = text.split('`').step_by(2).collect::<Vec<_>>().join("`");
    outside.chars().filter(|letter| !letter.is_ascii_digit() && *letter != '.').collect()
}
