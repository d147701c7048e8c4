//! The positive pole of a source is where the supplies are.

use crate::{
    analysis::Analysis,
    evidence::{few_names, in_modes, poles_swapped},
    facts::{
        Facts,
        reversed_sources::{ReversedSource, Sign},
    },
    finding::{Finding, Level, Weighed},
    model::{ElementKind, PointId},
    network::Edge,
    rules::{Rule, RulePage},
    wording::{agree, any, quoted},
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/reversed-source",
        level: Level::Danger,
        since: "0.1.0",
        finds: "a battery, charger or other source that is connected the wrong way round",
        docs: include_str!("reversed_source.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let known = facts.reversed_sources().iter().filter(|reversed| !reversed.shorts.is_empty() || reversed.is_certain());
    known.filter_map(|reversed| finding(facts, reversed)).collect()
}

fn finding(facts: &Facts, reversed: &ReversedSource) -> Option<Finding> {
    let (model, network) = (facts.model(), facts.network());
    let (first, others) = reversed.sources.split_first()?;
    let names: Vec<String> = reversed.sources.iter().map(|source| model.element_name(*source)).collect();
    let short =
        reversed.shorts.iter().filter_map(|at| facts.shorts().get(*at)).max_by(|a, b| a.amps.get().total_cmp(&b.amps.get()));
    let (who, is) = match reversed.sign {
        Sign::Ring => (any(&names.iter().map(quoted).collect::<Vec<_>>()), "is"),
        Sign::Joined { .. } => (few_names(&names), agree(names.len(), "is", "are")),
    };
    let drives = short.map(|short| {
        let verb = if is == "is" { "it drives" } else { "they drive" };
        format!(": {verb} the other sources{} with no load between, {}", in_modes(model, &short.modes), short.amps)
    });
    let joined = match reversed.sign {
        Sign::Joined { at_plus, at_minus, .. } if short.is_none() => {
            format!(": plus is at {}, minus at {}", described(facts, at_plus), described(facts, at_minus))
        }
        Sign::Joined { .. } | Sign::Ring => String::new(),
    };
    let is_converter = matches!(model[*first].kind, ElementKind::Converter { .. });
    let keys = if is_converter { "the order of the two points in `to`" } else { "`positive` and `negative`" };
    let weighed = short.map(|short| Weighed::larger(short.amps));
    let mut finding = RULE
        .finding(model[*first].value_span, format!("{who} {is} reversed{}{joined}", drives.unwrap_or_default()), weighed)
        .label("its poles are swapped, or its leads")
        .help(match reversed.is_inside {
            true => format!(
                "measure the polarity of {who}, and swap its poles: correct {keys}, or swap its leads and correct its pins"
            ),
            false => format!("swap the leads at the poles of {who}, and measure its polarity before it is connected again"),
        });
    finding = poles_swapped(facts, reversed).into_iter().fold(finding, Finding::remedy);
    let beside = if reversed.sign == Sign::Ring { "or this one" } else { "reversed with it" };
    finding = others.iter().fold(finding, |finding, source| finding.context(model[*source].value_span, beside));
    let conducts = |_, edge: &Edge| edge.role.conducts_when_closed();
    let mut path = short.map(|short| network.names(short.start, &short.steps));
    if let Sign::Joined { at_plus, at_minus, .. } = reversed.sign {
        for (point, which) in [(at_plus, "plus"), (at_minus, "minus")] {
            finding = finding.context(model[point].span, format!("at its {which}: {}", described(facts, point)));
        }
        let way = network.path(reversed.poles[0], |point| point == at_plus, conducts);
        path = path.or_else(|| way.map(|way| network.names(reversed.poles[0], &way)));
    }
    finding = finding.path(path.unwrap_or_default());
    if let Some(short) = short {
        finding = finding.figure("prospective current", short.amps);
    }
    let turned: Vec<String> = reversed.things.iter().map(|thing| model.element_name(*thing)).collect();
    if !turned.is_empty() {
        finding = finding.figure("reversed with it", few_names(&turned));
    }
    finding = finding.figure("first", "correct this and check again: other findings on its nets may only follow from it");
    let closing = short.map(|short| short.source).filter(|source| !reversed.sources.contains(source));
    Some(
        reversed
            .sources
            .iter()
            .copied()
            .chain(closing)
            .fold(finding, |finding, source| finding.concerns(model.element_name(source))),
    )
}

/// A point with what it says of its net: its role, or that it is of the chassis.
fn described(facts: &Facts, point: PointId) -> String {
    let model = facts.model();
    let name = model.point_name(point);
    let is_chassis = model.device_at(point).is_some_and(|device| model[device].chassis);
    match model.role_at(point) {
        _ if is_chassis => format!("`{name}`, chassis"),
        Some(role) => format!("`{name}`, {}", role.word()),
        None => format!("`{name}`"),
    }
}
