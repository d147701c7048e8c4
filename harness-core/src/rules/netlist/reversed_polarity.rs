//! What must not be fed the other way round is not.

use super::{
    ends::{and_more, in_modes},
    feeds::path,
    views::Connectivity,
};
use crate::{
    analysis::Analysis,
    electrical::ModeState,
    finding::{Finding, Level},
    model::{ElementId, ElementKind, ModeId},
    network::{Edge, EdgeId, NetId, Terminal},
    quantity::Volt,
    rules::{Rule, RulePage},
    standards::contact,
    vocabulary::Suppression,
};
use rustc_hash::FxHashMap;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/reversed-polarity",
        level: Level::Error,
        since: "0.1.0",
        finds: "a polarised load or switch, or a coil with a built-in diode, that is fed the other way round",
        docs: include_str!("reversed_polarity.md"),
    },
    check,
};

/// Current that counts as none.
const NOTHING: f64 = 1e-6;

/// Things on the same two nets that are fed the other way round.
struct Reversed {
    things: Vec<ElementId>,
    edge: EdgeId,
    modes: Vec<ModeId>,
    /// What is reversed: the voltage across it, or the current through a closed switch.
    shown: (&'static str, String, String),
    path: Vec<String>,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let suspects: Vec<(EdgeId, Edge, ElementId)> =
        analysis.network().edges().filter_map(|(id, edge)| suspect(analysis, id, edge)).collect();
    if suspects.is_empty() {
        return Vec::new();
    }
    let drop = contact::diode_drop().value.get();
    let mut found: Vec<Reversed> = Vec::new();
    let mut by_nets: FxHashMap<(NetId, NetId), usize> = FxHashMap::default();
    for mode in analysis.electrical().modes() {
        let view = Connectivity::new(analysis.network(), Some(mode));
        for (id, edge, element) in &suspects {
            let across = mode.volts(edge.a).get() - mode.volts(edge.b).get();
            let joined = view.all.of(edge.a) == view.all.of(edge.b) && !mode.is_shorted(edge.a);
            let backwards = is_closed_switch(analysis, mode, *id, *element) && mode.amps(*id).get() < -NOTHING;
            if !joined || !(across < -drop || backwards) {
                continue;
            }
            let nets = (analysis.network().net(edge.a), analysis.network().net(edge.b));
            match by_nets.get(&nets).and_then(|at| found.get_mut(*at)) {
                Some(known) => {
                    if !known.modes.contains(&mode.id) {
                        known.modes.push(mode.id);
                    }
                    if !known.things.contains(element) {
                        known.things.push(*element);
                    }
                }
                None => {
                    by_nets.insert(nets, found.len());
                    let shown = if backwards {
                        ("current", mode.amps(*id).to_string(), "from the first point to the second".to_owned())
                    } else {
                        let limit = format!("reversed by less than {}", contact::diode_drop());
                        ("voltage", Volt::new(across).to_string(), limit)
                    };
                    let path = path(analysis, mode, *id, edge.b);
                    found.push(Reversed { things: vec![*element], edge: *id, modes: vec![mode.id], shown, path });
                }
            }
        }
    }
    found.iter().filter_map(|reversed| finding(analysis, reversed)).collect()
}

fn suspect(analysis: &Analysis, id: EdgeId, edge: &Edge) -> Option<(EdgeId, Edge, ElementId)> {
    let (element, terminal) = edge.element()?;
    let polarised = match (&analysis.model().element(element)?.kind, terminal) {
        (ElementKind::Load { polarised, .. } | ElementKind::Switch { polarised, .. }, _) => *polarised,
        (ElementKind::Relay { suppression, .. }, Terminal::Coil) => *suppression == Some(Suppression::Diode),
        _ => false,
    };
    polarised.then_some((id, *edge, element))
}

fn is_closed_switch(analysis: &Analysis, mode: &ModeState, edge: EdgeId, element: ElementId) -> bool {
    let kind = analysis.model().element(element).map(|element| &element.kind);
    matches!(kind, Some(ElementKind::Switch { .. })) && mode.conducts(edge)
}

fn finding(analysis: &Analysis, reversed: &Reversed) -> Option<Finding> {
    let model = analysis.model();
    let first = *reversed.things.first()?;
    let (element, edge) = (model.element(first)?, analysis.network().edge(reversed.edge)?);
    let name = model.element_name(first);
    let more = and_more(reversed.things.len().saturating_sub(1), "thing");
    let (label, what) = match element.kind {
        ElementKind::Relay { .. } => ("its built-in diode conducts", "the coil of "),
        _ => ("polarised: `from` is its positive side", ""),
    };
    let (plus, minus) = (model.point_name(edge.a), model.point_name(edge.b));
    let is = if reversed.things.len() == 1 { "is" } else { "are" };
    let finding = RULE
        .finding(
            element.value_span,
            format!(
                "{what}`{name}`{more} {is} fed the other way round{}: plus is at `{minus}`",
                in_modes(model, &reversed.modes)
            ),
        )
        .label(label)
        .path(reversed.path.clone())
        .figure(reversed.shown.0, &reversed.shown.1)
        .figure("limit", &reversed.shown.2)
        .help(format!("exchange the two wires that lead to `{plus}` and `{minus}`"));
    Some(reversed.things.iter().fold(finding, |finding, thing| finding.concerns(model.element_name(*thing))))
}
