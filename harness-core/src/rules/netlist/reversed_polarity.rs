//! What has a positive side has plus there.

use crate::{
    analysis::Analysis,
    electrical::ModeState,
    evidence::{in_modes, remedies},
    facts::{Facts, feed_paths::FeedPaths, reversed_sources::ReversedSource},
    finding::{Finding, Level, Remedy},
    model::{ElementId, ModeId},
    network::{Edge, EdgeId, EdgeRole, NetId},
    quantity::Volt,
    rules::{Rule, RulePage},
    standards::contact,
    wording::{agree, and_more},
};
use rustc_hash::{FxHashMap, FxHashSet};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/reversed-polarity",
        level: Level::Error,
        since: "0.1.0",
        finds: "a polarised load, switch or capacitor, a converter input or a coil with a built-in diode that is connected the wrong way round",
        docs: include_str!("reversed_polarity.md"),
    },
    check,
};

/// Current that counts as none.
const NOTHING: f64 = 1e-6;

/// Things on the same two nets that are fed the other way round.
struct Reversed {
    /// At least one.
    things: Vec<ElementId>,
    edge: EdgeId,
    modes: Vec<ModeId>,
    /// What is reversed: the voltage across it, or the current through a closed switch; with its value and limit.
    shown: (&'static str, String, String),
    path: Vec<String>,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let (facts, network) = (analysis.facts(), analysis.network());
    let suspects = network.edges().filter_map(|(id, edge)| Some((id, *edge, facts.polarised(edge)?)));
    let suspects: Vec<(EdgeId, Edge, ElementId)> = suspects.collect();
    if suspects.is_empty() {
        return Vec::new();
    }
    let drop = contact::diode_drop().value.get();
    let mut found: Vec<Reversed> = Vec::new();
    let mut by_nets: FxHashMap<(NetId, NetId), usize> = FxHashMap::default();
    let mut members: FxHashSet<(usize, ElementId)> = FxHashSet::default();
    let mut paths = FeedPaths::default();
    for mode in analysis.electrical().modes() {
        let view = facts.joined_in(mode);
        for (id, edge, element) in &suspects {
            let across = mode.volts(edge.a).get() - mode.volts(edge.b).get();
            // What a reversed source has turned round is right once the source is.
            if facts.reversed_with(*element).is_some_and(ReversedSource::is_certain) {
                continue;
            }
            let joined = view.all.of(edge.a) == view.all.of(edge.b) && !mode.is_shorted(edge.a);
            let backwards = is_closed_switch(mode, *id, edge) && mode.amps(*id).get() < -NOTHING;
            if !joined || !(across < -drop || backwards) {
                continue;
            }
            let next = found.len();
            let at = *by_nets.entry((network.net(edge.a), network.net(edge.b))).or_insert(next);
            let is_new = members.insert((at, *element));
            match found.get_mut(at) {
                Some(known) => {
                    if known.modes.last() != Some(&mode.id) {
                        known.modes.push(mode.id);
                    }
                    if is_new {
                        known.things.push(*element);
                    }
                }
                None => {
                    let shown = if backwards {
                        ("current", mode.amps(*id).to_string(), "from the first point to the second".to_owned())
                    } else {
                        let limit = format!("reversed by less than {}", contact::diode_drop());
                        ("voltage", Volt::new(across).to_string(), limit)
                    };
                    let path = paths.names(network, mode, *id, edge.b);
                    found.push(Reversed { things: vec![*element], edge: *id, modes: vec![mode.id], shown, path });
                }
            }
        }
    }
    found.into_iter().filter_map(|reversed| finding(facts, reversed)).collect()
}

fn is_closed_switch(mode: &ModeState, id: EdgeId, edge: &Edge) -> bool {
    matches!(edge.role, EdgeRole::Switch { .. }) && mode.conducts(id)
}

fn finding(facts: &Facts, reversed: Reversed) -> Option<Finding> {
    let model = facts.model();
    let first = *reversed.things.first()?;
    let edge = &facts.network()[reversed.edge];
    let name = model.element_name(first);
    let more = and_more(reversed.things.len() - 1, "thing");
    let (label, what) = match edge.role {
        EdgeRole::Coil => ("its built-in diode conducts", "the coil of "),
        EdgeRole::ConverterInput => ("its positive input point is first in `from`", "the input of "),
        _ => ("polarised: `from` is its positive side", ""),
    };
    let minus = model.point_name(edge.b);
    let is = agree(reversed.things.len(), "is", "are");
    let modes = in_modes(model, &reversed.modes);
    let (figure, value, limit) = reversed.shown;
    // Where nothing but this thing says which way round its source is, either of them may be the one.
    let unsure = reversed.things.iter().find_map(|thing| facts.reversed_with(*thing)).and_then(|it| it.sources.first().copied());
    let swap = remedies::swapped(facts, edge.a, edge.b);
    let help = match unsure.map(|source| model.element_name(source)) {
        Some(source) => format!(
            "measure the polarity of `{source}`: swap the two leads of `{name}`, or those of `{source}` if that is the one the wrong way round"
        ),
        None => format!("swap the two leads of `{name}`, where they lead to it alone"),
    };
    let swap = if facts.reversed_sources().is_empty() { swap } else { swap.map(Remedy::one_of_several) };
    let finding = RULE
        .finding(model[first].value_span, format!("{what}`{name}`{more} {is} reversed{modes}: plus is at `{minus}`"), [])
        .label(label)
        .path(reversed.path)
        .figure(figure, value)
        .figure("limit", limit)
        .help(help)
        .remedy(swap);
    Some(reversed.things.iter().fold(finding, |finding, thing| finding.concerns(model.element_name(*thing))))
}
