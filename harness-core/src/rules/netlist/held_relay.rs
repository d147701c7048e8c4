//! A relay that was pulled in lets go when its switch opens.

use super::{
    ends::in_modes,
    feeds::{behind, few, path},
    views::nominal,
};
use crate::{
    analysis::Analysis,
    electrical::{Latched, LatchedCoil, Way},
    finding::{Finding, Level},
    model::{ElementId, ElementKind, ModeId},
    network::EdgeId,
    quantity::Volt,
    rules::{Rule, RulePage},
    standards::contact,
};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/held-relay",
        level: Level::Error,
        since: "0.1.0",
        finds: "a relay that stays in, once pulled in, because a second path leaves its coil enough voltage to hold",
        docs: include_str!("held_relay.md"),
    },
    check,
};

/// A coil that stays in, with the first of the states that show it.
struct Stuck<'a> {
    coil: EdgeId,
    element: ElementId,
    modes: Vec<ModeId>,
    held: &'a Latched,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let mut found: Vec<Stuck<'_>> = Vec::new();
    for held in analysis.electrical().held().iter().filter(|held| held.state.is_settled()) {
        for LatchedCoil { edge, .. } in held.coils.iter().filter(|coil| coil.way == Way::Load) {
            match found.iter_mut().find(|known| known.coil == *edge) {
                Some(known) => known.modes.push(held.state.id),
                None => {
                    let Some((element, _)) = analysis.network().edge(*edge).and_then(|edge| edge.element()) else { continue };
                    found.push(Stuck { coil: *edge, element, modes: vec![held.state.id], held });
                }
            }
        }
    }
    found.iter().filter_map(|stuck| finding(analysis, stuck)).collect()
}

fn finding(analysis: &Analysis, stuck: &Stuck<'_>) -> Option<Finding> {
    let model = analysis.model();
    let (element, edge) = (model.element(stuck.element)?, analysis.network().edge(stuck.coil)?);
    let ElementKind::Relay { hold, pull_in, .. } = element.kind else { return None };
    let state = &stuck.held.state;
    let (plus, minus) = (state.volts(edge.a).get(), state.volts(edge.b).get());
    let across = Volt::new((plus - minus).abs());
    let hot = if plus >= minus { edge.a } else { edge.b };
    let name = model.element_name(stuck.element);
    let usual = nominal(model, analysis.electrical().domains(), element);
    let share = |ratio: f64| usual.map_or_else(String::new, |volts| format!("{}", Volt::new(volts.get() * ratio)));
    let holds = match hold {
        Some(at) => at.value.to_string(),
        None => share(contact::hold().value.get()),
    };
    let after = model.mode_name(stuck.held.after);
    let first = analysis.electrical().modes().find(|mode| mode.id == state.id);
    let others = behind(analysis, stuck.element, state, first);
    let mut finding = RULE
        .finding(
            element.value_span,
            format!(
                "`{name}` stays in{} once pulled in: {across} is left across its coil, which holds down to {holds}",
                in_modes(model, &stuck.modes)
            ),
        )
        .label(format!("was pulled in in `{after}` and does not let go"))
        .path(path(analysis, state, stuck.coil, hot))
        .figure("coil voltage", across)
        .figure("holds down to", hold.map_or_else(|| format!("{holds}, {}", contact::hold().source), |_| holds.clone()))
        .figure("pulls in at", pull_in.map_or_else(|| share(contact::pull_in().value.get()), |at| at.value.to_string()))
        .help(format!(
            "cut the path shown, with a contact or a diode of its own for the coil, or take a relay that lets go above {across}"
        ))
        .concerns(name);
    if !others.is_empty() {
        finding = finding.figure("keeps alive", few(&others));
    }
    Some(others.into_iter().fold(finding, Finding::concerns))
}
