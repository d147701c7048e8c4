//! What is switched off is off: nothing feeds a load in a mode in which it does not run.

use super::{
    ends::{and_more, in_modes},
    fed_coils::{FedCoil, fed_coils},
    feeds::{ALIVE, Walks, few, path},
    views::{Connectivity, Part, is_switched, nominal, part, switches},
};
use crate::{
    analysis::Analysis,
    finding::{Finding, Level},
    model::{ElementId, ElementKind, ModeId},
    network::{Edge, EdgeId, NetId},
    quantity::Volt,
    rules::{Rule, RulePage},
};
use rustc_hash::{FxHashMap, FxHashSet};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/back-feed",
        level: Level::Error,
        since: "0.1.0",
        finds: "a load that stays alive in a mode in which it should be off",
        docs: include_str!("back_feed.md"),
    },
    check,
};

/// Loads on one net that stay alive.
struct Alive {
    loads: Vec<ElementId>,
    modes: Vec<ModeId>,
    volts: Volt,
    nominal: Volt,
    path: Vec<String>,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let model = analysis.model();
    let coils = fed_coils(analysis);
    let told: FxHashSet<&str> = coils.iter().flat_map(|coil| coil.behind.iter().map(String::as_str)).collect();
    let suspects: Vec<(EdgeId, Edge, ElementId)> = analysis
        .network()
        .edges()
        .filter_map(|(id, edge)| {
            let (element, _) = edge.element()?;
            let ElementKind::Load { kind: Some(kind), .. } = model.element(element)?.kind else { return None };
            (is_switched(kind) && !told.contains(model.element_name(element).as_str())).then_some((id, *edge, element))
        })
        .collect();
    let by_coils = coils.iter().filter_map(|coil| coil_finding(analysis, coil));
    if suspects.is_empty() {
        return by_coils.collect();
    }
    let domains = analysis.electrical().domains();
    let permanent = analysis.network().components(|_, edge| match part(model, edge) {
        Part::Conductor => !switches(model, edge),
        Part::Source | Part::Resistor => true,
        Part::Load => false,
    });
    let mut walks = Walks::default();
    let mut found: Vec<Alive> = Vec::new();
    let mut by_net: FxHashMap<NetId, usize> = FxHashMap::default();
    for mode in analysis.electrical().modes() {
        let view = Connectivity::new(analysis.network(), Some(mode));
        for (id, edge, load) in &suspects {
            let Some(element) = model.element(*load) else { continue };
            let ElementKind::Load { modes, .. } = element.kind else { continue };
            if modes.has(mode.id) || view.all.of(edge.a) != view.all.of(edge.b) {
                continue;
            }
            let Some(nominal) = nominal(model, domains, element) else { continue };
            let across = mode.volts(edge.a).get() - mode.volts(edge.b).get();
            if across.abs() < ALIVE * nominal.get() || !walks.is_switched(analysis, &permanent, (*id, edge), modes) {
                continue;
            }
            let hot = if across > 0.0 { edge.a } else { edge.b };
            let net = analysis.network().net(hot);
            match by_net.get(&net).and_then(|at| found.get_mut(*at)) {
                Some(known) => {
                    if !known.loads.contains(load) {
                        known.loads.push(*load);
                    }
                    if known.loads.first() == Some(load) {
                        known.modes.push(mode.id);
                    }
                }
                None => {
                    by_net.insert(net, found.len());
                    let path = path(analysis, mode, *id, hot);
                    found.push(Alive { loads: vec![*load], modes: vec![mode.id], volts: Volt::new(across.abs()), nominal, path });
                }
            }
        }
    }
    by_coils.chain(found.into_iter().filter_map(|alive| finding(analysis, alive))).collect()
}

fn coil_finding(analysis: &Analysis, coil: &FedCoil) -> Option<Finding> {
    let model = analysis.model();
    let (name, element) = (model.element_name(coil.relay), model.element(coil.relay)?);
    let mut finding = RULE
        .finding(
            element.value_span,
            format!("`{name}` is pulled in{}, {} through what is no feed of its own", in_modes(model, &coil.modes), coil.volts),
        )
        .label("its own switch is open")
        .path(coil.path.clone())
        .figure("coil voltage", coil.volts)
        .help("cut the path shown, with a contact or a diode of its own for the coil")
        .concerns(name);
    if !coil.behind.is_empty() {
        finding = finding.figure("keeps alive", few(&coil.behind));
    }
    Some(coil.behind.iter().fold(finding, |finding, name| finding.concerns(name)))
}

fn finding(analysis: &Analysis, alive: Alive) -> Option<Finding> {
    let model = analysis.model();
    let first = *alive.loads.first()?;
    let element = model.element(first)?;
    let name = model.element_name(first);
    let through = match alive.path.len() {
        0..=2 => "the way shown".to_owned(),
        _ => format!("`{}`", alive.path.iter().rev().nth(1).cloned().unwrap_or_default()),
    };
    let finding = RULE
        .finding(
            element.value_span,
            format!(
                "`{name}`{} {}{}, {} of {}",
                and_more(alive.loads.len() - 1, "load"),
                if alive.loads.len() == 1 { "stays alive" } else { "stay alive" },
                in_modes(model, &alive.modes),
                alive.volts,
                alive.nominal
            ),
        )
        .label("does not run in this mode")
        .path(alive.path)
        .figure("voltage across it", alive.volts)
        .figure("limit", format!("half of {}", alive.nominal))
        .help(format!("open the path shown, which reaches it last through {through}, or add the mode to the load's `in:`"));
    Some(alive.loads.iter().fold(finding, |finding, load| finding.concerns(model.element_name(*load))))
}
