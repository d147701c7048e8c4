//! No wire or cable is bent more tightly than it takes.

use crate::{
    analysis::Analysis,
    facts::segment_members::Member,
    finding::{Finding, Level, Weighed},
    model::{Model, SegmentId},
    quantity::Millimetre,
    rules::{Rule, RulePage},
    standards::route::{bend_radius, is_too_tight},
    text::Span,
    wording::{list_of_first, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "route/tight-bend",
        level: Level::Warning,
        since: "0.1.0",
        finds: "a wire or cable that is bent below its least bend radius",
        docs: include_str!("tight_bend.md"),
    },
    check,
};

/// Wires and cables that a message names.
const NAMED: usize = 4;

fn check(analysis: &Analysis) -> Vec<Finding> {
    analysis.facts().segment_members().iter().filter_map(|(id, members)| finding(analysis, id, members)).collect()
}

/// What a wire or cable takes, with where it comes from.
struct Least {
    member: Member,
    radius: Millimetre,
    place: Option<Span>,
    of: String,
}

fn finding(analysis: &Analysis, id: SegmentId, members: &[Member]) -> Option<Finding> {
    let model = analysis.model();
    let segment = &model[id];
    let bend = segment.bend?;
    let mut tight: Vec<Least> = members.iter().filter_map(|member| least(model, *member, segment.moves.is_some())).collect();
    tight.retain(|least| is_too_tight(bend.value, least.radius));
    tight.sort_by(|a, b| b.radius.total_cmp(a.radius).then(a.member.cmp(&b.member)));
    let worst = tight.first()?;
    let (name, place) = (worst.member.name(model), quoted(model.text(segment.name)));
    let (least, short) = (worst.radius, worst.radius - bend.value);
    let others: Vec<String> = tight.iter().skip(1).map(|least| quoted(least.member.name(model))).collect();
    let others = if others.is_empty() { String::new() } else { format!("; {} too", list_of_first(&others, NAMED, 0)) };
    let headline = format!(
        "{} `{name}` is bent to a radius of {} in segment {place}, {short} below the {least} that it takes{others}",
        worst.member.noun(),
        bend.value
    );
    let mut finding = RULE
        .finding(bend.span, headline, [Weighed::smaller(bend.value), Weighed::larger(short), Weighed::neither(least)])
        .label(format!("inner radius {}", bend.value))
        .figure("least radius", format!("{least}; {}", worst.of))
        .help(format!(
            "lead segment {place} in a bend of {least} or more, or use a thinner or more flexible kind; if the datasheet of a cable allows for \
             less, write it as `bend` of its kind"
        ))
        .concerns(model.segment_name(id));
    if let Some(place) = worst.place {
        finding = finding.context(place, format!("takes {least}"));
    }
    if let Some(moves) = segment.moves {
        finding = finding.context(moves, "it is bent at work");
    }
    Some(tight.iter().take(NAMED).fold(finding, |finding, least| finding.concerns(least.member.name(model))))
}

fn least(model: &Model, member: Member, moves: bool) -> Option<Least> {
    let own = match member {
        Member::Cable(cable) => model[cable].kind.and_then(|kind| model[kind].bend),
        Member::Wire(_) => None,
    };
    if let Some(own) = own {
        return Some(Least { member, radius: own.value, place: Some(own.span), of: "as its kind says".to_owned() });
    }
    // Without a diameter nothing is known; `review/missing-fact` says so.
    let diameter = member.diameter(model)?;
    let least = bend_radius(diameter.value, matches!(member, Member::Cable(_)), moves);
    let of = format!("diameter {}; {}", diameter.value, least.source);
    Some(Least { member, radius: least.value, place: diameter.place, of })
}
