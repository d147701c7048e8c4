//! Capacitors that contacts join to a source with nothing between that limits the current: what is called precharge is missing, or bridged.
//!
//! The idea: an empty capacitor is a short. What it takes at first is found by putting a resistor in its place, in each mode in which its source
//! reaches it: from the voltage with it and without it follows what limits the current. A mode in which that is little charges it softly;
//! one is enough, for the design does not say in which order its modes follow each other. So is a resistor across the contact.
//!
//! Cost: nothing where no capacitor stores enough; else two passes over the edges, and a solution for each mode in which one is charged past
//! contacts that no resistor bridges.

use super::Facts;
use crate::{
    electrical::ModeState,
    model::{ElementId, ElementKind, ModeId, Model, PointId},
    network::{Edge, EdgeId, EdgeRole},
    quantity::{Ampere, Farad, Ohm, Volt},
};
use rustc_hash::FxHashSet;

impl Facts {
    /// Capacitors that no mode charges softly, in the order of their edges; none where not all modes were computed.
    ///
    /// Asked by `interlock/no-precharge`.
    #[must_use]
    pub fn inrushes(&self) -> &[Inrush] {
        self.made.inrushes.get_or_init(|| inrushes(self))
    }
}

/// A capacitor that is charged with nothing that limits the current.
#[derive(Debug)]
pub struct Inrush {
    /// The capacitor.
    pub capacitor: ElementId,
    /// The contacts that close onto it, each with its largest current at first and the mode; the largest first.
    pub contacts: Vec<(ElementId, Ampere, ModeId)>,
    /// The voltage to which it is charged.
    pub volts: Volt,
    /// Its capacitance.
    pub farad: Farad,
    /// What limits its current.
    pub ohms: Ohm,
}

/// Energy in J from which a capacitor is precharged; common practice, no source: the smallest power converters of 48 V have some 2 J.
const LEAST_ENERGY: f64 = 1.0;
/// Current in A that every contact makes for the instant that it lasts; common practice, no source.
const HARMLESS: f64 = 50.0;
/// Resistance in ohm that is put in place of the capacitor.
const PROBE: f64 = 1.0;
/// Resistance in ohm from which a resistor holds an inrush back.
const LIMITS: f64 = 1.0;

fn inrushes(facts: &Facts) -> Vec<Inrush> {
    let (model, network) = (facts.model(), facts.network());
    let modes: Vec<&ModeState> = facts.electrical().modes().collect();
    if modes.len() < 2 || modes.len() != model.modes().len() {
        return Vec::new();
    }
    let capacitors = network.edges().filter_map(|(id, edge)| {
        let element = edge.element()?;
        let ElementKind::Capacitor(capacitor) = &model[element].kind else { return None };
        let across = |mode: &&ModeState| (mode.volts(edge.a).get() - mode.volts(edge.b).get()).abs();
        let volts = modes.iter().map(across).fold(0.0, f64::max);
        let farad = capacitor.farad.value;
        (farad.get() * volts * volts / 2.0 >= LEAST_ENERGY).then_some((id, *edge, element, Volt::new(volts), farad))
    });
    capacitors.filter_map(|capacitor| inrush(facts, &modes, capacitor)).collect()
}

type Charged = (EdgeId, Edge, ElementId, Volt, Farad);

fn inrush(facts: &Facts, modes: &[&ModeState], (id, edge, capacitor, volts, farad): Charged) -> Option<Inrush> {
    // What needs no solution of the network comes first: it answers most.
    let mut charging: Vec<(&ModeState, f64, Vec<ElementId>)> = Vec::new();
    for mode in modes.iter().filter(|mode| !mode.is_shorted(edge.a) && !mode.is_adrift(edge.a)) {
        let full = (mode.volts(edge.a).get() - mode.volts(edge.b).get()).abs();
        if full < volts.get() / 2.0 {
            continue;
        }
        let closing = closing(facts, modes, mode, &edge);
        // It is always joined.
        if closing.is_empty() {
            return None;
        }
        charging.push((mode, full, closing));
    }
    let gaps: FxHashSet<ElementId> = charging.iter().flat_map(|(_, _, closing)| closing).copied().collect();
    if gaps.is_empty() || is_bypassed_by_resistor(facts, &gaps) {
        return None;
    }
    let mut contacts: Vec<(ElementId, Ampere, ModeId)> = Vec::new();
    let mut least = f64::INFINITY;
    for (mode, full, closing) in charging {
        let with = facts.electrical().volts_across(mode.id, &[(id, Ohm::new(PROBE))])?.first()?.get();
        let ohms = if with > 0.0 { PROBE * (full / with - 1.0).max(0.0) } else { f64::INFINITY };
        let amps = if ohms > 0.0 { full / ohms } else { f64::INFINITY };
        let rated = closing.iter().filter_map(|contact| rated(facts.model(), *contact)).reduce(f64::min).unwrap_or(HARMLESS);
        // What closes onto it makes that current: in this mode it is charged softly.
        if amps <= rated.max(HARMLESS) {
            return None;
        }
        least = least.min(ohms);
        for contact in closing {
            match contacts.iter_mut().find(|(known, ..)| *known == contact) {
                Some(known) if known.1.get() < amps => *known = (contact, Ampere::new(amps), mode.id),
                Some(_) => {}
                None => contacts.push((contact, Ampere::new(amps), mode.id)),
            }
        }
    }
    contacts.sort_by(|one, other| other.1.get().total_cmp(&one.1.get()).then(one.0.cmp(&other.0)));
    Some(Inrush { capacitor, contacts, volts, farad, ohms: Ohm::new(least) })
}

/// The rated current of a contact in A.
fn rated(model: &Model, contact: ElementId) -> Option<f64> {
    match &model[contact].kind {
        ElementKind::Switch { current, .. } | ElementKind::Relay { current, .. } | ElementKind::Disconnect { current, .. } => {
            current.map(|current| current.value.get())
        }
        ElementKind::Source { .. } | ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) => None,
        ElementKind::Diode(_) | ElementKind::Fuse { .. } | ElementKind::Link { .. } => None,
        ElementKind::Converter { .. } | ElementKind::Interlock { .. } => None,
    }
}

/// The contacts on the way from a source to a capacitor that another mode opens; a service disconnect is put in with nothing running.
fn closing(facts: &Facts, modes: &[&ModeState], mode: &ModeState, edge: &Edge) -> Vec<ElementId> {
    let network = facts.network();
    let keep = |id: EdgeId, other: &Edge| other.role.conducts_when_closed() && mode.conducts(id);
    let poles = |positive: bool| -> FxHashSet<PointId> {
        // A charger with a limit drives no inrush.
        let on = network.edges().filter(|(id, edge)| edge.role.drives_without_limit() && mode.conducts(*id));
        on.map(|(_, edge)| if positive { edge.b } else { edge.a }).collect()
    };
    let (plus, minus) = (poles(true), poles(false));
    let mut found: Vec<ElementId> = Vec::new();
    for (start, goal) in [(edge.a, &plus), (edge.b, &minus), (edge.a, &minus), (edge.b, &plus)] {
        let Some(steps) = network.path(start, |point| goal.contains(&point), keep) else { continue };
        for step in steps {
            let at = &network[step.edge];
            let opens = at.role.cuts_coils() && modes.iter().any(|mode| !mode.conducts(step.edge));
            if let Some(element) = at.element().filter(|element| opens && !found.contains(element)) {
                found.push(element);
            }
        }
    }
    found
}

/// Whether a resistor leads past one of these contacts, with all others closed: a mode may begin with the precharge and not say so.
fn is_bypassed_by_resistor(facts: &Facts, contacts: &FxHashSet<ElementId>) -> bool {
    let (model, network) = (facts.model(), facts.network());
    let is_gap = |edge: &Edge| edge.role.is_switched() && edge.element().is_some_and(|element| contacts.contains(&element));
    let joined = network.components(|_, edge| edge.role.conducts_when_closed() && !is_gap(edge));
    let limits = |edge: &Edge| match edge.element().map(|element| &model[element].kind) {
        Some(ElementKind::Resistor(ohms)) => edge.role == EdgeRole::Resistor && ohms.value.get() >= LIMITS,
        _ => false,
    };
    let resistors: Vec<&Edge> = network.edges().map(|(_, edge)| edge).filter(|edge| limits(edge)).collect();
    let mut gaps = network.edges().map(|(_, edge)| edge).filter(|edge| is_gap(edge));
    gaps.any(|gap| {
        let (a, b) = (joined.of(gap.a), joined.of(gap.b));
        a != b
            && resistors.iter().any(|resistor| {
                let ends = (joined.of(resistor.a), joined.of(resistor.b));
                ends == (a, b) || ends == (b, a)
            })
    })
}
