//! A bundle goes through the grommet or conduit that its segment names.

use crate::{
    analysis::Analysis,
    facts::segment_members::Member,
    finding::{Finding, Level, Weighed},
    model::SegmentId,
    quantity::Millimetre,
    rules::{Rule, RulePage},
    standards::route::bundle,
    wording::{list_of_first, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "route/tight-passage",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a bundle that is thicker than the grommet or conduit that it goes through",
        docs: include_str!("tight_passage.md"),
    },
    check,
};

/// Wires and cables that a message names.
const NAMED: usize = 4;

fn check(analysis: &Analysis) -> Vec<Finding> {
    analysis.facts().segment_members().iter().filter_map(|(id, members)| finding(analysis, id, members)).collect()
}

fn finding(analysis: &Analysis, id: SegmentId, members: &[Member]) -> Option<Finding> {
    let model = analysis.model();
    let segment = &model[id];
    let hole = segment.passage?;
    // What has no known diameter would only make it thicker; `review/missing-fact` names it.
    let mut known: Vec<(Member, Millimetre)> =
        members.iter().filter_map(|member| Some((*member, member.diameter(model)?.value))).collect();
    known.sort_by(|a, b| b.1.total_cmp(a.1).then(a.0.cmp(&b.0)));
    let diameters: Vec<Millimetre> = known.iter().map(|(_, diameter)| *diameter).collect();
    let thickness = bundle(&diameters)?;
    if thickness.passes(hole.value) {
        return None;
    }
    let (taken, level) = match thickness.never_passes(hole.value) {
        true => (thickness.least, Level::Error),
        false => (thickness.laid, Level::Warning),
    };
    let name = quoted(model.text(segment.name));
    let names: Vec<String> = known.iter().map(|(member, _)| quoted(member.name(model))).collect();
    let who = list_of_first(&names, NAMED, 0);
    let headline = format!(
        "{who} need {}{} in segment {name}, {} more than its passage of {}",
        if level == Level::Error { "" } else { "about " },
        taken.value,
        taken.value - hole.value,
        hole.value
    );
    let headline = if known.len() == 1 { headline.replacen(" need ", " needs ", 1) } else { headline };
    let figures = [Weighed::larger(taken.value), Weighed::larger(taken.value - hole.value), Weighed::smaller(hole.value)];
    let mut finding = RULE
        .finding(hole.span, headline, figures)
        .label(format!("inner diameter {}", hole.value))
        .figure("bundle", taken)
        .help(format!(
            "use a grommet or conduit of {} or more inside at {name}, or lead some of them through another segment",
            thickness.laid.value
        ))
        .concerns(model.segment_name(id));
    for (member, diameter) in known.iter().take(NAMED) {
        let source = member.diameter(model).and_then(|own| own.source);
        let of = source.map_or(String::new(), |source| format!("; {source}"));
        finding = finding.figure("diameter", format!("{} `{}`, {diameter}{of}", member.noun(), member.name(model)));
    }
    for (member, diameter) in known.iter().take(2) {
        finding = finding.context(member.span(model), format!("{diameter} thick"));
    }
    Some(finding.at_level(level))
}
