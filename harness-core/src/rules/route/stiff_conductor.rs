//! What is bent at work is stranded for it.

use crate::{
    analysis::Analysis,
    facts::segment_members::Member,
    finding::{Finding, Level},
    model::SegmentId,
    rules::{Rule, RulePage},
    standards::route::is_flexible,
    text::Span,
    wording::{agree, list_of_first, quoted},
};
use std::collections::BTreeMap;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "route/stiff-conductor",
        level: Level::Error,
        since: "0.1.0",
        finds: "a conductor for fixed laying in a segment that moves",
        docs: include_str!("stiff_conductor.md"),
    },
    check,
};

/// Wires and cables that a message names.
const NAMED: usize = 4;

fn check(analysis: &Analysis) -> Vec<Finding> {
    analysis.facts().segment_members().iter().flat_map(|(id, members)| of_segment(analysis, id, members)).collect()
}

/// One finding for each kind of conductor.
fn of_segment(analysis: &Analysis, id: SegmentId, members: &[Member]) -> Vec<Finding> {
    let model = analysis.model();
    let segment = &model[id];
    let Some(moves) = segment.moves else { return Vec::new() };
    let mut stiff: BTreeMap<(String, Span), Vec<Member>> = BTreeMap::new();
    for member in members {
        // What says nothing of its strands is a missing fact.
        let Some(stranding) = member.stranding(model) else { continue };
        if let Some((strand, place)) = stranding.strand
            && !is_flexible(strand.class()).value
        {
            stiff.entry((format!("{} conductors (`{}`)", strand.word(), stranding.kind), place)).or_default().push(*member);
        }
    }
    let finding = |((kind, place), members): ((String, Span), Vec<Member>)| {
        let names: Vec<String> = members.iter().map(|member| member.name(model)).collect();
        let quotes: Vec<String> = names.iter().map(quoted).collect();
        let headline = format!(
            "{} {} {kind} for fixed laying and {} bent at work in segment `{}`",
            list_of_first(&quotes, NAMED, 0),
            agree(names.len(), "has", "have"),
            agree(names.len(), "is", "are"),
            model.text(segment.name)
        );
        let finding = RULE
            .finding(moves, headline, [])
            .label("bent at work")
            .context(place, "how it is stranded")
            .figure("rule", is_flexible(0).source)
            .help(format!(
                "use a kind of `strand: fine` or `strand: extra fine` for {}, or lead {} past the joint",
                agree(names.len(), "it", "them"),
                agree(names.len(), "it", "them")
            ))
            .concerns(model.segment_name(id));
        names.into_iter().fold(finding, Finding::concerns)
    };
    stiff.into_iter().map(finding).collect()
}
