//! Supply and return of a source meet only through something that takes the voltage.

use super::{
    ends::{and_more, in_modes},
    shorts::{Short, shorts},
    views::switches,
};
use crate::{
    analysis::Analysis,
    electrical::coils::Across,
    finding::{Finding, Level},
    model::{ElementId, PointId},
    network::EdgeKind,
    rules::{Rule, RulePage},
    text::Span,
    vocabulary::Role,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/sneak-short",
        level: Level::Danger,
        since: "0.1.0",
        finds: "supply meets return with no load between, in any mode",
        docs: include_str!("sneak_short.md"),
    },
    check,
};

fn check(analysis: &Analysis) -> Vec<Finding> {
    shorts(analysis).iter().filter_map(|short| finding(analysis, short)).collect()
}

fn finding(analysis: &Analysis, short: &Short) -> Option<Finding> {
    let model = analysis.model();
    let source = model.element(short.source)?;
    let name = model.element_name(short.source);
    let turned = turned_diode(analysis, short);
    let joint = turned.clone().or_else(|| joint(analysis, short));
    let (more, modes, amps) = (and_more(short.others, "source"), in_modes(model, &short.modes), short.amps);
    let (span, headline, label, help) = match &joint {
        Some((span, by)) if turned.is_some() => (
            *span,
            format!("source `{name}`{more} is shorted{modes} through the diode `{by}`, {amps}"),
            "lies across a coil and conducts when the coil is fed",
            format!("turn `{by}` round: its cathode (`to`) belongs to the positive side of the coil"),
        ),
        Some((span, by)) => (
            *span,
            format!("source `{name}`{more} is shorted{modes} through `{by}`, {amps}"),
            "supply meets return here",
            format!("part `{by}` from the one side or the other, or put the load between that belongs there"),
        ),
        None => (
            source.value_span,
            format!("source `{name}`{more} lies across sources of another voltage{modes}, {amps}"),
            "nothing takes the difference",
            format!("part `{name}` from the sources on the path, or use sources of equal voltage"),
        ),
    };
    let mut finding = RULE
        .finding(span, headline)
        .label(label)
        .path(analysis.network().names(model, short.start, &short.steps))
        .figure("prospective current", amps)
        .help(help)
        .concerns(name);
    if let Some((_, by)) = joint {
        finding = finding.context(source.value_span, "this source").concerns(by);
    }
    Some(finding)
}

/// A diode on the path that lies across a coil the wrong way round.
fn turned_diode(analysis: &Analysis, short: &Short) -> Option<(Span, String)> {
    let on_path: Vec<ElementId> =
        short.steps.iter().filter_map(|step| Some(analysis.network().edge(step.edge)?.element()?.0)).collect();
    let diode = analysis.facts().coils().iter().find_map(|coil| match coil.across {
        Across::Reversed(diode) => Some(diode).filter(|diode| on_path.contains(diode)),
        _ => None,
    })?;
    Some((analysis.model().element(diode)?.value_span, analysis.model().element_name(diode)))
}

/// Where the path goes over from supply to return: the wire there, else what closes it.
fn joint(analysis: &Analysis, short: &Short) -> Option<(Span, String)> {
    let role = |point: PointId| {
        let pin = analysis.model().point(point)?.pin?;
        analysis.model().pin(pin)?.role.map(|role| role.value)
    };
    let supply = |point| matches!(role(point), Some(Role::Supply | Role::Line | Role::Reference | Role::Output));
    let ground =
        |point| matches!(role(point), Some(Role::Return | Role::Chassis | Role::Earth | Role::Neutral | Role::SensorReturn));
    let last = short.steps.iter().rposition(|step| supply(step.point)).map_or(0, |at| at + 1);
    let rest = short.steps.get(last..).unwrap_or_default();
    let first = rest.iter().position(|step| ground(step.point)).map_or(rest.len(), |at| at + 1);
    let between = rest.get(..first).unwrap_or_default();
    let all = [between, &short.steps];
    all.into_iter().find_map(|steps| by_switch(analysis, steps).or_else(|| by_wire(analysis, steps)))
}

fn by_switch(analysis: &Analysis, steps: &[crate::network::Step]) -> Option<(Span, String)> {
    let model = analysis.model();
    let closes = |edge: &&crate::network::Edge| switches(model, edge) || edge.element().is_some_and(|_| edge.is_metal());
    let edge = steps.iter().filter_map(|step| analysis.network().edge(step.edge)).find(closes)?;
    let (element, _) = edge.element()?;
    Some((model.element(element)?.value_span, model.element_name(element)))
}

fn by_wire(analysis: &Analysis, steps: &[crate::network::Step]) -> Option<(Span, String)> {
    steps.iter().find_map(|step| {
        let EdgeKind::Wire(id) = analysis.network().edge(step.edge)?.kind else { return None };
        let wire = analysis.model().wire(id)?;
        let span = if wire.to == Some(step.point) { wire.to_span } else { wire.from_span };
        Some((span, analysis.model().wire_name(id)))
    })
}
