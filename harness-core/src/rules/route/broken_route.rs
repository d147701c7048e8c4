//! The segments that a wire runs through are one way from node to node.

use crate::{
    analysis::Analysis,
    facts::segment_members::Member,
    finding::{Finding, Level},
    model::{Model, SegmentId},
    rules::{Rule, RulePage},
    text::Name,
    wording::{agree, list_of_first, quoted},
};
use std::collections::{BTreeMap, BTreeSet};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "route/broken-route",
        level: Level::Error,
        since: "0.1.0",
        finds: "a wire or cable whose segments do not meet, or of which three meet in one node",
        docs: include_str!("broken_route.md"),
    },
    check,
};

/// Segments and wires that a message names.
const NAMED: usize = 4;

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    // Wires through the same segments have one fault.
    let mut ways: BTreeMap<Vec<SegmentId>, Vec<Member>> = BTreeMap::new();
    let mut seen: BTreeSet<Member> = BTreeSet::new();
    for (id, wire) in model.wires().filter(|(_, wire)| wire.via.len() > 1 && model[wire.loom].fitted) {
        let member = wire.core.map_or(Member::Wire(id), |(cable, _)| Member::Cable(cable));
        if seen.insert(member) {
            let mut via = wire.via.to_vec();
            via.sort_unstable();
            via.dedup();
            ways.entry(via).or_default().push(member);
        }
    }
    ways.iter().filter_map(|(via, members)| finding(model, via, members)).collect()
}

/// What is wrong with a way.
enum Broken {
    /// The first piece of it meets none of the others.
    Apart(Vec<SegmentId>),
    /// More than two of its segments meet in a node.
    Branches(Name, Vec<SegmentId>),
}

fn broken(model: &Model, via: &[SegmentId]) -> Option<Broken> {
    let mut at: BTreeMap<Name, Vec<SegmentId>> = BTreeMap::new();
    for segment in via {
        // Of a segment without nodes nobody knows where it leads.
        let [Some(from), Some(to)] = model[*segment].nodes else { return None };
        for node in [from.value, to.value] {
            at.entry(node).or_default().push(*segment);
        }
    }
    let first = *via.first()?;
    let mut reached = BTreeSet::from([first]);
    let mut next = vec![first];
    while let Some(segment) = next.pop() {
        let nodes = model[segment].nodes.into_iter().flatten().filter_map(|node| at.get(&node.value));
        next.extend(nodes.flatten().filter(|segment| reached.insert(**segment)));
    }
    if reached.len() < via.len() {
        return Some(Broken::Apart(reached.into_iter().collect()));
    }
    // The order of the nodes is that of their names.
    let mut crowded: Vec<(&Name, &Vec<SegmentId>)> = at.iter().filter(|(_, segments)| segments.len() > 2).collect();
    crowded.sort_by_key(|(node, _)| model.text(**node));
    crowded.first().map(|(node, segments)| Broken::Branches(**node, (*segments).clone()))
}

fn finding(model: &Model, via: &[SegmentId], members: &[Member]) -> Option<Finding> {
    let broken = broken(model, via)?;
    let first = *members.first()?;
    let quotes = |segments: &[SegmentId]| -> String {
        let names: Vec<String> = segments.iter().map(|segment| quoted(model.text(model[*segment].name))).collect();
        list_of_first(&names, NAMED, 0)
    };
    let names: Vec<String> = members.iter().map(|member| member.name(model)).collect();
    let who = list_of_first(&names.iter().map(quoted).collect::<Vec<_>>(), NAMED, 0);
    let run = agree(names.len(), "runs", "run");
    let (headline, shown) = match &broken {
        Broken::Apart(piece) => {
            let rest: Vec<SegmentId> = via.iter().copied().filter(|segment| !piece.contains(segment)).collect();
            let words = format!("{who} {run} through {} and through {}, which share no node", quotes(piece), quotes(&rest));
            (words, [piece.first().copied(), rest.first().copied()])
        }
        Broken::Branches(node, segments) => {
            let words = format!("{who} {run} through {}, which all meet in node `{}`", quotes(segments), model.text(*node));
            (words, [segments.first().copied(), segments.last().copied()])
        }
    };
    let mut finding = RULE.finding(first.span(model), headline, []).label("by this way").help(format!(
        "correct `via` of {}: name each segment on the way and no other; or correct `from` and `to` of the segments",
        agree(names.len(), "it", "them")
    ));
    for segment in shown.into_iter().flatten() {
        finding = finding.context(model[segment].span, "of its route");
    }
    for segment in via.iter().take(NAMED) {
        let node = |at: usize| model[*segment].nodes.get(at).and_then(|node| *node).map_or("", |node| model.text(node.value));
        finding =
            finding.figure("segment", format!("`{}`, from `{}` to `{}`", model.text(model[*segment].name), node(0), node(1)));
    }
    Some(names.into_iter().fold(finding, Finding::concerns))
}
