//! A relay that was pulled in lets go when its switch opens.

use crate::{
    analysis::Analysis,
    electrical::{HeldBy, Latched, LatchedCoil},
    evidence::{few_names, in_modes},
    facts::{Facts, feed_paths::FeedPaths, relay_loads::RelayLoads},
    finding::{Finding, Level, Weighed},
    model::{ElementId, ElementKind, ModeId},
    network::EdgeId,
    quantity::Volt,
    rules::{Rule, RulePage},
    standards::contact,
};
use rustc_hash::FxHashMap;

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/held-relay",
        level: Level::Error,
        since: "0.1.0",
        finds: "a relay that stays energised, once pulled in, because a second path leaves its coil enough voltage to hold",
        docs: include_str!("held_relay.md"),
    },
    check,
};

/// A coil that stays in, with the first of the states that show it.
struct Stuck<'a> {
    coil: EdgeId,
    relay: ElementId,
    modes: Vec<ModeId>,
    held: &'a Latched,
    path: Vec<String>,
    /// What its contact keeps live.
    behind: Vec<ElementId>,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let (facts, network) = (analysis.facts(), analysis.network());
    let mut found: Vec<Stuck<'_>> = Vec::new();
    let mut by_coil: FxHashMap<EdgeId, usize> = FxHashMap::default();
    for held in analysis.electrical().latched().iter().filter(|held| held.state.is_settled()) {
        let (mut paths, mut loads) = (FeedPaths::default(), None);
        for LatchedCoil { edge: coil, .. } in held.coils.iter().filter(|coil| coil.by == HeldBy::Load) {
            if let Some(known) = by_coil.get(coil).and_then(|at| found.get_mut(*at)) {
                known.modes.push(held.state.id);
                continue;
            }
            let edge = &network[*coil];
            let Some(relay) = edge.element() else { continue };
            let hot = if held.state.volts(edge.a).get() >= held.state.volts(edge.b).get() { edge.a } else { edge.b };
            let first = analysis.electrical().modes().find(|mode| mode.id == held.state.id);
            let loads = loads.get_or_insert_with(|| RelayLoads::new(facts, &held.state));
            by_coil.insert(*coil, found.len());
            found.push(Stuck {
                coil: *coil,
                relay,
                modes: vec![held.state.id],
                held,
                path: paths.names(network, &held.state, *coil, hot),
                behind: loads.behind(network, relay, first),
            });
        }
    }
    found.into_iter().filter_map(|stuck| finding(facts, stuck)).collect()
}

fn finding(facts: &Facts, stuck: Stuck<'_>) -> Option<Finding> {
    let model = facts.model();
    let (element, edge) = (&model[stuck.relay], &facts.network()[stuck.coil]);
    let ElementKind::Relay { hold, pull_in, .. } = element.kind else { return None };
    let state = &stuck.held.state;
    let across = Volt::new((state.volts(edge.a).get() - state.volts(edge.b).get()).abs());
    let name = model.element_name(stuck.relay);
    let usual = facts.nominal(stuck.relay);
    let share = |ratio: f64| usual.map_or_else(String::new, |volts| format!("{}", Volt::new(volts.get() * ratio)));
    let holds = match hold {
        Some(at) => at.value.to_string(),
        None => share(contact::hold().value.get()),
    };
    let after = model.mode_name(stuck.held.after);
    let others: Vec<String> = stuck.behind.iter().map(|load| model.element_name(*load)).collect();
    let mut finding = RULE
        .finding(
            element.value_span,
            format!(
                "`{name}` does not drop out{} once pulled in: {across} is left across its coil, which holds down to {holds}",
                in_modes(model, &stuck.modes)
            ), [Weighed::larger(across), Weighed::smaller(&holds)])
        .label(format!("pulled in during `{after}` and does not drop out"))
        .path(stuck.path)
        .figure("coil voltage", across)
        .figure("holds down to", hold.map_or_else(|| format!("{holds}, {}", contact::hold().source), |_| holds.clone()))
        .figure("pulls in at", pull_in.map_or_else(|| share(contact::pull_in().value.get()), |at| at.value.to_string()))
        .help(format!(
            "interrupt the path shown with a contact or a diode of its own for the coil, or fit a relay that drops out above {across}"
        ))
        .concerns(name);
    if !others.is_empty() {
        finding = finding.figure("keeps live", few_names(&others));
    }
    Some(others.into_iter().fold(finding, Finding::concerns))
}
