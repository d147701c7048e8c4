//! What a source feeds at one time is within its limit.

use crate::{
    analysis::Analysis,
    electrical::{ModeState, connectivity::Connectivity},
    evidence::{few_names, in_modes},
    facts::Facts,
    finding::{Finding, Level, Weighed},
    model::{ElementId, ElementKind, ModeId, Model, PointId},
    network::{Edge, EdgeId, EdgeRole, GroupId, Network},
    quantity::{Ampere, Volt},
    rules::{Rule, RulePage},
    vocabulary::Demand,
};
use rustc_hash::{FxHashMap, FxHashSet};

pub(super) static RULE: Rule = Rule {
    page: RulePage {
        name: "netlist/source-overload",
        level: Level::Error,
        since: "0.1.0",
        finds: "a source or converter whose loads ask for more than its limit in a mode",
        docs: include_str!("source_overload.md"),
    },
    check,
};

/// Share by which a sum of currents may seem to exceed a limit.
const ROUNDING: f64 = 1e-9;

/// Current that counts as none.
const NOTHING: f64 = 1e-6;

/// What takes current, by the lump at which it does.
type Takers = FxHashMap<GroupId, Vec<(EdgeId, ElementId)>>;

/// A source at its limit, in the first of the modes.
struct Overload {
    source: ElementId,
    modes: Vec<ModeId>,
    limit: Ampere,
    asked: Ampere,
    left: Volt,
    emf: Volt,
    /// The loads, the largest first.
    loads: Vec<String>,
}

/// A source that gives all it can in a mode.
struct Limited {
    id: EdgeId,
    edge: Edge,
    source: ElementId,
    emf: Volt,
    limit: Ampere,
}

fn check(analysis: &Analysis) -> Vec<Finding> {
    let facts = analysis.facts();
    let (model, network) = (facts.model(), facts.network());
    let mut found: Vec<Overload> = Vec::new();
    let mut by_source: FxHashMap<ElementId, usize> = FxHashMap::default();
    for mode in analysis.electrical().modes() {
        let limited = limiting(facts, mode);
        if limited.is_empty() {
            continue;
        }
        let view = facts.joined_in(mode);
        // What is beside a source that has something left keeps its voltage.
        let buffered = network.components(|id, edge| {
            let role = edge.role;
            let gives_all = limited.iter().any(|one| one.id == id);
            let spare = role.drives_without_limit() || mode.amps(id).get() > NOTHING;
            let buffers = role.drives() && !gives_all && spare;
            mode.conducts(id) && (role.conducts_when_closed() || buffers)
        });
        let mut by_lump: FxHashMap<GroupId, Vec<&Limited>> = FxHashMap::default();
        for one in &limited {
            by_lump.entry(view.closed.of(one.edge.b)).or_default().push(one);
        }
        let takers = takers(facts, view);
        // Sources side by side that are at their limits are one fault.
        let mut judged: FxHashSet<GroupId> = FxHashSet::default();
        for Limited { edge, source, emf, limit, .. } in &limited {
            let (lump, pole, emf) = top(network, mode, view, &takers, (edge, *emf));
            if buffered.of(edge.a) == buffered.of(edge.b) || !judged.insert(lump) {
                continue;
            }
            let left = Volt::new(mode.volts(pole).get() - mode.volts(edge.a).get());
            let full = if left.get() > 0.0 { emf.get() / left.get() } else { 1.0 };
            let takers = takers.get(&lump).into_iter().flatten();
            let asked = takers.filter_map(|(id, taker)| Some((*taker, asked(facts, mode, *id, *taker, full)?)));
            let mut loads: Vec<(ElementId, f64)> = asked.collect();
            if loads.is_empty() {
                continue;
            }
            let beside = || by_lump.get(&lump).into_iter().flatten();
            let given = beside().map(|one| one.limit.get()).sum::<f64>().max(limit.get());
            // Of sources side by side the first by name has the finding, so that the order of the file does not matter.
            let source = beside().map(|one| one.source).min_by_key(|source| model.element_name(*source)).unwrap_or(*source);
            if let Some(known) = by_source.get(&source).and_then(|at| found.get_mut(*at)) {
                known.modes.push(mode.id);
                continue;
            }
            let sum: f64 = loads.iter().map(|(_, amps)| amps).sum();
            // Exactly the limit is none too much; a converter that fell out asks for what nobody sees.
            let fell_out = loads.iter().any(|(_, amps)| *amps == 0.0);
            if sum <= given * (1.0 + ROUNDING) && !fell_out {
                continue;
            }
            loads.sort_by(|a, b| b.1.total_cmp(&a.1));
            let loads = loads.into_iter().map(|(load, _)| model.element_name(load)).collect();
            let (limit, asked) = (Ampere::new(given), Ampere::new(sum.max(given)));
            by_source.insert(source, found.len());
            found.push(Overload { source, modes: vec![mode.id], limit, asked, left, emf, loads });
        }
    }
    found.iter().map(|overload| finding(model, overload)).collect()
}

/// The EMF and the limit of a source or converter; `None` without a limit.
fn limit(model: &Model, edge: &Edge) -> Option<(Volt, Ampere)> {
    let element = edge.element()?;
    match model[element].kind {
        ElementKind::Source { emf, limit, .. } => Some((emf, limit?.value)),
        ElementKind::Converter { output, limit, .. } => Some((output, limit?.value)),
        ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) | ElementKind::Diode(_) => None,
        ElementKind::Fuse { .. } | ElementKind::Switch { .. } | ElementKind::Relay { .. } => None,
        ElementKind::Disconnect { .. } | ElementKind::Link { .. } | ElementKind::Interlock { .. } => None,
    }
}

/// Sources that give all they can, and batteries that give more than may be taken from them; in the order of the edges.
fn limiting(facts: &Facts, mode: &ModeState) -> Vec<Limited> {
    let (model, network) = (facts.model(), facts.network());
    let is_exceeded = |(id, edge): &(EdgeId, &Edge)| {
        let allowed = edge.element().filter(|_| edge.role.is_source()).and_then(|source| model[source].kind.allowed_discharge());
        allowed.is_some_and(|allowed| mode.amps(*id) > allowed)
    };
    let exceeded = network.edges().filter(is_exceeded).map(|(id, _)| id);
    let mut limiting: Vec<EdgeId> = mode.limiting.iter().copied().chain(exceeded).collect();
    limiting.sort_unstable();
    let limiting = limiting.into_iter().filter_map(|id| {
        let edge = network[id];
        let source = edge.element().filter(|_| !mode.is_shorted(edge.a) && mode.conducts(id))?;
        let (emf, limit) = limit(model, &edge)?;
        Some(Limited { id, edge, source, emf, limit })
    });
    limiting.collect()
}

/// Where the loads of a source are connected: the lump at its positive pole, or in a string of sources the one past those in series
/// with it, with the pole there and the voltages of all of them.
fn top(
    network: &Network,
    mode: &ModeState,
    view: &Connectivity,
    takers: &Takers,
    (source, emf): (&Edge, Volt),
) -> (GroupId, PointId, Volt) {
    let (mut lump, mut pole, mut sum) = (view.closed.of(source.b), source.b, emf.get());
    let mut passed = FxHashSet::default();
    while !takers.contains_key(&lump) && passed.insert(lump) {
        let mut next = network.edges().filter(|(id, edge)| edge.role.drives() && mode.conducts(*id));
        let Some((_, edge)) = next.find(|(_, edge)| view.closed.of(edge.a) == lump) else { break };
        sum += edge.element().and_then(|element| emf_of(network.model(), element)).unwrap_or_default().get();
        (lump, pole) = (view.closed.of(edge.b), edge.b);
    }
    (lump, pole, Volt::new(sum))
}

/// The open-circuit voltage of a source or converter.
fn emf_of(model: &Model, element: ElementId) -> Option<Volt> {
    match model[element].kind {
        ElementKind::Source { emf, .. } => Some(emf),
        ElementKind::Converter { output, .. } => Some(output),
        ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) | ElementKind::Diode(_) => None,
        ElementKind::Fuse { .. } | ElementKind::Switch { .. } | ElementKind::Relay { .. } => None,
        ElementKind::Disconnect { .. } | ElementKind::Link { .. } | ElementKind::Interlock { .. } => None,
    }
}

/// What takes current at each lump, in the order of the edges.
fn takers(facts: &Facts, view: &Connectivity) -> Takers {
    let mut takers = Takers::default();
    for (id, edge) in facts.network().edges().filter(|(_, edge)| edge.role.drains()) {
        let Some(element) = edge.element() else { continue };
        let (a, b) = (view.closed.of(edge.a), view.closed.of(edge.b));
        for lump in [Some(a), (a != b).then_some(b)].into_iter().flatten() {
            takers.entry(lump).or_default().push((id, element));
        }
    }
    takers
}

/// What a taker asks for: at its nominal voltage, or, for a resistance, at that of the source, `full` times what is left of it.
fn asked(facts: &Facts, mode: &ModeState, id: EdgeId, taker: ElementId, full: f64) -> Option<f64> {
    use EdgeRole::{
        BreakContact, Capacitor, Coil, ConverterInput, ConverterOutput, Diode, Disconnect, Fuse, Interlock, Load, MakeContact,
        Metal, Resistor, Shunt, Source, Switch,
    };
    match facts.network()[id].role {
        Load => {
            let ElementKind::Load { demand, modes, .. } = facts.model()[taker].kind else { return None };
            match demand.value {
                _ if !modes.has(mode.id) => None,
                Demand::Current(amps) => Some(amps.get()),
                Demand::Power(watts) => Some(watts.get() / facts.nominal(taker)?.get()),
            }
        }
        Resistor | Coil => Some(mode.amps(id).get().abs() * full),
        ConverterInput => Some(mode.amps(id).get().abs()),
        Metal(_) | Fuse | Switch { .. } | Disconnect | Interlock | MakeContact | BreakContact | Source { .. } => None,
        ConverterOutput { .. } | Shunt | Capacitor | Diode => None,
    }
}

fn finding(model: &Model, overload: &Overload) -> Finding {
    let (element, name) = (&model[overload.source], model.element_name(overload.source));
    let Overload { limit, asked, left, emf, loads, .. } = overload;
    let modes = in_modes(model, &overload.modes);
    let excess = Ampere::new(asked.get() - limit.get());
    let gives = if element.kind.allowed_discharge().is_some() { "its limit allows" } else { "it gives" };
    let headline = if excess.get() > 0.0 {
        format!("the loads of `{name}` ask for {asked}{modes}, {excess} more than {gives}")
    } else {
        format!("the loads of `{name}` ask for more than the {limit} that {gives}{modes}")
    };
    let finding = RULE
        .finding(element.value_span, headline, [Weighed::larger(asked), Weighed::larger(excess), Weighed::smaller(limit)])
        .label(format!("{left} of {emf} are left"))
        .figure("asked for", asked)
        .figure("limit", limit)
        .figure("largest loads", few_names(loads))
        .help(format!("take loads off it, keep them from running at the same time, or fit a source whose limit is above {asked}"))
        .concerns(name);
    loads.iter().fold(finding, |finding, load| finding.concerns(load))
}
