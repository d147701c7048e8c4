//! Each phase of a three-phase circuit leads to the same phase.

use crate::{
    analysis::Analysis,
    evidence::remedies,
    facts::{
        Facts,
        phases::{CrossedPhases, Crossing, PhaseAt},
    },
    finding::{Finding, Level, Remedy, RemedyKind},
    model::{CableId, WireId},
    rules::{Rule, RulePage},
    text::Span,
    wording::list,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/swapped-phases",
        level: Level::Error,
        since: "0.1.0",
        finds: "two of three phases swapped between a supply, starter, inverter or plug and a motor: it turns backwards",
        docs: include_str!("swapped_phases.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    facts.crossed_phases().iter().filter_map(|crossed| finding(facts, crossed)).collect()
}

fn finding(facts: &Facts, crossed: &CrossedPhases) -> Option<Finding> {
    let [first, second, ..] = crossed.crossings.as_slice() else { return None };
    let is_shift = crossed.crossings.len() > 2;
    let model = facts.model();
    let finding = match (first.odd, second.odd) {
        _ if !crossed.inside.is_empty() => inside(facts, crossed, [first, second])?,
        (PhaseAt::Core(one), PhaseAt::Core(other)) => cores(facts, first, [one, other])?,
        (PhaseAt::Point(_), _) if is_shift => shifted(facts, &crossed.crossings)?,
        (PhaseAt::Point(one), PhaseAt::Point(other)) => {
            let swap = remedies::swapped(facts, one, other);
            swapped(facts, [first, second])?.remedy(swap.map(|swap| Remedy { kind: RemedyKind::Move, ..swap }))
        }
        (PhaseAt::Point(_) | PhaseAt::Core(_), _) => return None,
    };
    let mut finding = finding;
    for crossing in &crossed.crossings {
        finding = finding.concerns(name(facts, crossing.odd)).concerns(name(facts, crossing.meets));
        if let PhaseAt::Point(meets) = crossing.meets {
            finding = finding
                .context(model[meets].span, format!("`{}` meets `{}`", model.point_name(meets), name(facts, crossing.odd)));
        }
    }
    Some(finding)
}

fn name(facts: &Facts, at: PhaseAt) -> String {
    let model = facts.model();
    match at {
        PhaseAt::Point(point) => model.point_name(point),
        PhaseAt::Core(wire) => core_name(facts, wire),
    }
}

fn core_name(facts: &Facts, wire: WireId) -> String {
    let model = facts.model();
    let label = |(cable, core): (CableId, u32)| {
        let label = model[model[cable].kind?].cores.get(core as usize)?.label;
        Some(format!("{}.{}", model.cable_name(cable), model.text(label)))
    };
    model[wire].core.and_then(label).unwrap_or_else(|| model.wire_name(wire))
}

/// Where the wire ends that leads to a point; the point itself where none does.
fn place(facts: &Facts, at: PhaseAt) -> Span {
    let model = facts.model();
    match at {
        PhaseAt::Point(point) => facts.wire_ends().wire_at(model, point).map_or(model[point].span, |end| end.span),
        PhaseAt::Core(wire) => model[wire].span,
    }
}

/// What comes of a swap.
const EFFECT: &str = "the phase order is reversed: a three-phase motor behind it turns backwards";

fn swapped(facts: &Facts, [first, second]: [&Crossing; 2]) -> Option<Finding> {
    let (one, other) = (name(facts, first.odd), name(facts, second.odd));
    let (meets, its) = (name(facts, first.meets), name(facts, second.meets));
    Some(
        RULE.finding(
            place(facts, first.odd),
            format!("two phases are swapped at `{one}` and `{other}`: they meet `{meets}` and `{its}`"),
            [],
        )
        .label(format!("leads to `{one}`"))
        .context(place(facts, second.odd), format!("leads to `{other}`"))
        .figure("effect", EFFECT)
        .help(format!(
            "swap the two wires at `{one}` and `{other}`; where the motor must turn the other way, name the points after the phases that they get"
        )),
    )
}

fn shifted(facts: &Facts, crossings: &[Crossing]) -> Option<Finding> {
    let first = crossings.first()?;
    let each: Vec<String> =
        crossings.iter().map(|one| format!("`{}` meets `{}`", name(facts, one.odd), name(facts, one.meets))).collect();
    let mut finding = RULE
        .finding(place(facts, first.odd), format!("three phases are shifted: {}", list(&each)), [])
        .label(format!("leads to `{}`", name(facts, first.odd)))
        .figure("effect", "the motor turns the right way; an inverter that knows the position of its rotor drives it wrongly")
        .help("lead each phase to the point of its name".to_owned());
    finding.stated = Level::Warning;
    Some(finding)
}

fn cores(facts: &Facts, first: &Crossing, [one, other]: [WireId; 2]) -> Option<Finding> {
    let model = facts.model();
    let (core, its) = (core_name(facts, one), core_name(facts, other));
    let mut finding = RULE
        .finding(
            place(facts, first.odd),
            format!("cores `{core}` and `{its}` are swapped at both ends: `{core}` leads to `{}`", name(facts, first.meets)),
            [],
        )
        .label(format!("wire `{}`", model.wire_name(one)))
        .context(model[other].span, format!("wire `{}`", model.wire_name(other)))
        .figure("effect", "right as drawn; whoever connects the cable again goes by the marks on its cores and swaps two phases")
        .help(format!(
            "use the core of each phase's name: swap `core` of wires `{}` and `{}`",
            model.wire_name(one),
            model.wire_name(other)
        ));
    finding.stated = Level::Warning;
    Some(finding)
}

fn inside(facts: &Facts, crossed: &CrossedPhases, [first, second]: [&Crossing; 2]) -> Option<Finding> {
    let model = facts.model();
    let element = *crossed.inside.first()?;
    let (one, other) = (name(facts, first.meets), name(facts, second.meets));
    let elements: Vec<String> = crossed.inside.iter().map(|id| format!("`{}`", model.element_name(*id))).collect();
    let finding = RULE
        .finding(
            model[element].value_span,
            format!(
                "two phases are swapped inside: `{one}` leads to `{}` and `{other}` to `{}`",
                name(facts, first.odd),
                name(facts, second.odd)
            ),
            [],
        )
        .label(format!("over {}", list(&elements)))
        .figure("effect", EFFECT)
        .help("correct the points of these elements; where the box reverses on purpose, name its points after the phases that they give".to_owned());
    Some(finding)
}
