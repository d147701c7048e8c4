//! What a source feeds at one time is within its limit.

use super::{
    ends::in_modes,
    feeds::few,
    views::{Connectivity, Part, nominal, part},
};
use crate::{
    analysis::Analysis,
    electrical::ModeState,
    finding::{Finding, Level},
    model::{ElementId, ElementKind, ModeId},
    network::{Edge, EdgeId, Terminal},
    quantity::{Ampere, Volt},
    rules::{Rule, RulePage},
    vocabulary::Demand,
};

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

fn check(analysis: &Analysis) -> Vec<Finding> {
    let mut found: Vec<Overload> = Vec::new();
    for mode in analysis.electrical().modes() {
        let limits = limiting(analysis, mode);
        if limits.is_empty() {
            continue;
        }
        let view = Connectivity::new(analysis.network(), Some(mode));
        // What lies beside a source that has something left keeps its voltage.
        let buffered = analysis.network().components(|id, edge| match part(analysis.model(), edge) {
            Part::Conductor => mode.conducts(id),
            Part::Source => {
                let spare = mode.amps(id).get() > NOTHING && mode.limiting.binary_search(&id).is_err();
                mode.conducts(id) && (limit(analysis, edge).is_none() || spare)
            }
            Part::Load | Part::Resistor => false,
        });
        // Sources side by side that are at their limits are one fault.
        let mut told: Vec<u32> = Vec::new();
        for (_, edge, source, (emf, limit)) in &limits {
            let lump = view.closed.of(edge.b);
            if buffered.of(edge.a) == buffered.of(edge.b) || told.contains(&lump) {
                continue;
            }
            told.push(lump);
            let left = Volt::new(mode.volts(edge.b).get() - mode.volts(edge.a).get());
            let mut loads = asked(analysis, mode, &view, (lump, left, *emf));
            // In a string of sources the one that the loads hang on stands for all.
            if loads.is_empty() {
                continue;
            }
            let beside = || limits.iter().filter(|(_, other, _, _)| view.closed.of(other.b) == lump);
            let given = beside().map(|(_, _, _, (_, limit))| limit.get()).sum::<f64>().max(limit.get());
            // Of sources side by side the first by name tells the fault, so that the order of the file does not matter.
            let named = beside().map(|(_, _, source, _)| *source);
            let source = named.min_by_key(|source| analysis.model().element_name(*source)).unwrap_or(*source);
            if let Some(known) = found.iter_mut().find(|known| known.source == source) {
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
            let loads = loads.into_iter().map(|(load, _)| analysis.model().element_name(load)).collect();
            let (limit, asked) = (Ampere::new(given), Ampere::new(sum.max(given)));
            found.push(Overload { source, modes: vec![mode.id], limit, asked, left, emf: *emf, loads });
        }
    }
    found.iter().filter_map(|overload| finding(analysis, overload)).collect()
}

/// The EMF and the limit of a source or converter; `None` without a limit.
fn limit(analysis: &Analysis, edge: &Edge) -> Option<(Volt, Ampere)> {
    let (element, _) = edge.element()?;
    match analysis.model().element(element)?.kind {
        ElementKind::Source { emf, limit, .. } => Some((emf, limit?.value)),
        ElementKind::Converter { output, limit, .. } => Some((output, limit?.value)),
        _ => None,
    }
}

/// Sources that give all they can.
fn limiting(analysis: &Analysis, mode: &ModeState) -> Vec<(EdgeId, Edge, ElementId, (Volt, Ampere))> {
    let limiting = mode.limiting.iter().filter_map(|id| {
        let edge = analysis.network().edge(*id).filter(|edge| !mode.is_shorted(edge.a) && mode.conducts(*id))?;
        Some((*id, *edge, edge.element()?.0, limit(analysis, edge)?))
    });
    limiting.collect()
}

/// What each load at a lump asks for: at its nominal voltage, or, for a resistance, at that of the source.
fn asked(
    analysis: &Analysis,
    mode: &ModeState,
    view: &Connectivity,
    (lump, left, emf): (u32, Volt, Volt),
) -> Vec<(ElementId, f64)> {
    let (model, domains) = (analysis.model(), analysis.electrical().domains());
    let full = if left.get() > 0.0 { emf.get() / left.get() } else { 1.0 };
    let loads = analysis.network().edges().filter_map(|(id, edge)| {
        let (element, terminal) = edge.element()?;
        if ![edge.a, edge.b].iter().any(|point| view.closed.of(*point) == lump) {
            return None;
        }
        let amps = match (&model.element(element)?.kind, terminal) {
            (ElementKind::Load { demand, modes, .. }, _) if modes.has(mode.id) => match demand.value {
                Demand::Current(amps) => amps.get(),
                Demand::Power(watts) => watts.get() / nominal(model, domains, model.element(element)?)?.get(),
            },
            (ElementKind::Resistor(_), _) | (_, Terminal::Coil) => mode.amps(id).get().abs() * full,
            (_, Terminal::Input) => mode.amps(id).get().abs(),
            _ => return None,
        };
        Some((element, amps))
    });
    loads.collect()
}

fn finding(analysis: &Analysis, overload: &Overload) -> Option<Finding> {
    let model = analysis.model();
    let (element, name) = (model.element(overload.source)?, model.element_name(overload.source));
    let Overload { limit, asked, left, emf, loads, .. } = overload;
    let modes = in_modes(model, &overload.modes);
    let excess = Ampere::new(asked.get() - limit.get());
    let headline = if excess.get() > 0.0 {
        format!("the loads of `{name}` ask for {asked}{modes}, {excess} more than it gives")
    } else {
        format!("the loads of `{name}` ask for more than the {limit} that it gives{modes}")
    };
    let finding = RULE
        .finding(element.value_span, headline)
        .label(format!("{left} of {emf} are left"))
        .figure("asked for", asked)
        .figure("limit", limit)
        .figure("largest loads", few(loads))
        .help(format!("fit a source of at least {asked}, take loads off it, or keep them from running at the same time"))
        .concerns(name);
    Some(loads.iter().fold(finding, |finding, load| finding.concerns(load)))
}
