//! Capacitors that contacts join to a source with nothing between that limits the current: what is called precharge is missing, or bridged.
//!
//! The idea: an empty capacitor is a short. What it takes at first is found by putting a resistor in its place, in each mode in which its source
//! reaches it: from the voltage with it and without it follows what limits the current. A mode in which that is little charges it softly;
//! one is enough, for the design does not say in which order its modes follow each other. So is a resistor across the contact.
//!
//! Cost: nothing where no capacitor stores enough; else two solutions for each mode in which one is charged.

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
    /// The resistor through which one of these modes charges it: one that limits too little.
    pub resistor: Option<ElementId>,
    /// A resistor that leads past one of these contacts, and why it charges nothing.
    pub idle: Option<(ElementId, Idle)>,
    /// The contact of a precharge that would do is closed in the modes in which the main contact is, and not in the mode for the precharge.
    pub is_unordered: bool,
    /// The voltage to which it is charged.
    pub volts: Volt,
    /// Its capacitance.
    pub farad: Farad,
    /// What limits its current.
    pub ohms: Ohm,
}

/// Why a precharge resistor charges nothing in any mode.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Idle {
    /// This contact on its way is closed in no mode.
    NeverClosed(ElementId),
    /// The contact that it leads past is closed whenever it is.
    Bridged(Option<ElementId>),
    /// In the mode in which it is closed alone, this contact on the way back is open.
    NoWayBack(ElementId, ModeId),
    /// What takes current behind it leaves the capacitor less than half of its voltage.
    Nothing,
}

/// Energy in J from which a capacitor is precharged; common practice, no source: the smallest power converters of 48 V have some 2 J.
const LEAST_ENERGY: f64 = 1.0;
/// Current in A that every contact makes for the instant that it lasts; common practice, no source.
pub(in crate::facts) const HARMLESS: f64 = 50.0;
/// Time in s in which what is across a contact for good has charged a capacitor to 95 %; common practice, no source: the key is not turned
/// sooner after a battery was connected.
const LONGEST: f64 = 120.0;
/// Resistance in ohm that is put in place of the capacitor.
const PROBE: f64 = 1.0;
/// Resistance in ohm from which a resistor holds an inrush back.
const LIMITS: f64 = 1.0;

fn inrushes(facts: &Facts) -> Vec<Inrush> {
    let modes: Vec<&ModeState> = facts.electrical().modes().collect();
    large_capacitors(facts, &modes).filter_map(|capacitor| inrush(facts, &modes, capacitor)).collect()
}

/// A capacitor with the highest voltage that it gets in any mode, and its capacitance.
pub(super) type Charged = (EdgeId, Edge, ElementId, Volt, Farad);

/// Capacitors that store enough to be precharged, in the order of their edges; none where not all modes were computed.
pub(super) fn large_capacitors(facts: &Facts, modes: &[&ModeState]) -> impl Iterator<Item = Charged> {
    let (model, network) = (facts.model(), facts.network());
    let is_judged = modes.len() > 1 && modes.len() == model.modes().len();
    network.edges().filter(move |_| is_judged).filter_map(move |(id, edge)| {
        let element = edge.element()?;
        let ElementKind::Capacitor(capacitor) = &model[element].kind else { return None };
        let volts = modes.iter().map(|mode| across(facts, mode, edge)).fold(0.0, f64::max);
        let farad = capacitor.farad.value;
        (farad.get() * volts * volts / 2.0 >= LEAST_ENERGY).then_some((id, *edge, element, Volt::new(volts), farad))
    })
}

fn inrush(facts: &Facts, modes: &[&ModeState], (id, edge, capacitor, volts, farad): Charged) -> Option<Inrush> {
    let mut contacts: Vec<(ElementId, Ampere, ModeId)> = Vec::new();
    let mut least = f64::INFINITY;
    let mut resistor: Option<ElementId> = None;
    for mode in modes.iter().filter(|mode| !mode.is_shorted(edge.a) && !mode.is_adrift(edge.a)) {
        let full = across(facts, mode, &edge);
        if full < volts.get() / 2.0 {
            continue;
        }
        let way = Way::new(facts, modes, mode, &edge, Ohm::ZERO);
        // It is always joined.
        if way.is_whole && way.closing.is_empty() {
            return None;
        }
        let ohms = resistance(facts, mode, id, full)?;
        let way = if way.is_whole { way } else { Way::new(facts, modes, mode, &edge, Ohm::new(ohms * volts.get() / full)) };
        // A leak or a voltage sense charges nothing.
        if !way.is_whole || !charges(ohms, farad) {
            continue;
        }
        // It is charged through a resistor as long as nothing is closed.
        if way.closing.is_empty() {
            return None;
        }
        let closing = way.closing;
        resistor = resistor.or(way.resistor);
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
    let closing: FxHashSet<ElementId> = contacts.iter().map(|(contact, ..)| *contact).collect();
    if contacts.is_empty() {
        return None;
    }
    let past = bypass(facts, &closing);
    // A resistor that nothing switches is always across the contact.
    if past.as_ref().is_some_and(|past| past.closing.is_empty()) {
        return None;
    }
    // A mode may begin with the precharge and not say so: then both are closed in it. Where the design has a mode for the precharge, that one
    // is not it.
    let within = past.as_ref().filter(|past| past.is_within(modes));
    let is_unordered = within.is_some_and(|within| within.is_soft(facts, volts));
    let is_delayed = within.is_some_and(|within| within.is_delayed(facts));
    if is_unordered && (is_delayed || !has_mode_for_it(facts.model())) {
        return None;
    }
    if let Some(within) = within.filter(|_| !is_unordered) {
        resistor = resistor.or(Some(within.resistor));
    }
    let idle =
        past.filter(|past| resistor != Some(past.resistor)).map(|past| (past.resistor, past.idle(facts, modes, &contacts)));
    contacts.sort_by(|one, other| other.1.get().total_cmp(&one.1.get()).then(one.0.cmp(&other.0)));
    Some(Inrush { capacitor, contacts, resistor, idle, is_unordered, volts, farad, ohms: Ohm::new(least) })
}

/// Whether a mode is there for the precharge: by its name, or because it says how long it lasts before the next step.
fn has_mode_for_it(model: &Model) -> bool {
    model.modes().any(|(_, mode)| {
        let name = mode.name.map_or("", |name| model.text(name)).to_lowercase().replace(['-', '_', ' '], "");
        mode.lasts.is_some() || name.contains("precharge")
    })
}

/// The voltage across a capacitor in V; none where nothing joins its sides in that mode, which then have no voltage against each other.
pub(super) fn across(facts: &Facts, mode: &ModeState, edge: &Edge) -> f64 {
    let view = facts.joined_in(mode);
    if view.all.of(edge.a) != view.all.of(edge.b) {
        return 0.0;
    }
    (mode.volts(edge.a).get() - mode.volts(edge.b).get()).abs()
}

/// Whether a resistance charges a capacitor at all, and not in hours.
fn charges(ohms: f64, farad: Farad) -> bool {
    3.0 * ohms * farad.get() <= LONGEST
}

/// The resistance in ohm through which a capacitor is charged in a mode; `full` is the voltage that it gets.
pub(super) fn resistance(facts: &Facts, mode: &ModeState, capacitor: EdgeId, full: f64) -> Option<f64> {
    let with = facts.electrical().volts_across(mode.id, &[(capacitor, Ohm::new(PROBE))])?.first()?.get();
    Some(if with > 0.0 { PROBE * (full / with - 1.0).max(0.0) } else { f64::INFINITY })
}

/// The rated current of a contact in A.
pub(in crate::facts) fn rated(model: &Model, contact: ElementId) -> Option<f64> {
    match &model[contact].kind {
        ElementKind::Switch { current, .. } | ElementKind::Relay { current, .. } | ElementKind::Disconnect { current, .. } => {
            current.map(|current| current.value.get())
        }
        ElementKind::Source { .. } | ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) => None,
        ElementKind::Diode(_) | ElementKind::Fuse { .. } | ElementKind::Link { .. } => None,
        ElementKind::Converter { .. } | ElementKind::Interlock { .. } => None,
    }
}

/// The way from a source to both sides of a capacitor in a mode.
pub(super) struct Way {
    /// The contacts on it that another mode opens; a service disconnect is put in with nothing running.
    pub closing: Vec<ElementId>,
    /// The largest resistor on it.
    pub resistor: Option<ElementId>,
    /// Whether it leads from pole to pole.
    pub is_whole: bool,
}

impl Way {
    /// The shortest way, past closed contacts and resistors of up to `most`.
    pub(super) fn new(facts: &Facts, modes: &[&ModeState], mode: &ModeState, edge: &Edge, most: Ohm) -> Self {
        let (model, network) = (facts.model(), facts.network());
        let ohms = |edge: &Edge| edge.element().and_then(|element| model[element].kind.resistance());
        // The resistance was measured with all that leads past the resistor; a tenth more is rounding and the rest of the way.
        let passes = |edge: &Edge| edge.role == EdgeRole::Resistor && ohms(edge).is_some_and(|own| own.get() <= 1.1 * most.get());
        let keep = |id: EdgeId, other: &Edge| (other.role.conducts_when_closed() || passes(other)) && mode.conducts(id);
        let poles = |positive: bool| -> FxHashSet<PointId> {
            // A charger with a limit drives no inrush.
            let on = network.edges().filter(|(id, edge)| edge.role.drives_without_limit() && mode.conducts(*id));
            on.map(|(_, edge)| if positive { edge.b } else { edge.a }).collect()
        };
        let (plus, minus) = (poles(true), poles(false));
        let mut way = Self { closing: Vec::new(), resistor: None, is_whole: false };
        for ends in [[(edge.a, &plus), (edge.b, &minus)], [(edge.a, &minus), (edge.b, &plus)]] {
            let found = ends.map(|(start, goal)| network.path(start, |point| goal.contains(&point), keep));
            way.is_whole |= found.iter().all(Option::is_some);
            for at in found.into_iter().flatten().flatten().map(|step| (step.edge, &network[step.edge])) {
                let Some(element) = at.1.element() else { continue };
                let opens = at.1.role.cuts_coils() && modes.iter().any(|mode| !mode.conducts(at.0));
                if opens && !way.closing.contains(&element) {
                    way.closing.push(element);
                }
                let own = |element: ElementId| model[element].kind.resistance().map_or(0.0, Ohm::get);
                if at.1.role == EdgeRole::Resistor && way.resistor.is_none_or(|known| own(element) > own(known)) {
                    way.resistor = Some(element);
                }
            }
        }
        way
    }
}

/// The way past one of these contacts, with all others closed, that leads through a resistor.
fn bypass(facts: &Facts, contacts: &FxHashSet<ElementId>) -> Option<Bypass> {
    let (model, network) = (facts.model(), facts.network());
    let is_gap = |edge: &Edge| edge.role.is_switched() && edge.element().is_some_and(|element| contacts.contains(&element));
    let limits = |edge: &Edge| match edge.element().map(|element| &model[element].kind) {
        Some(ElementKind::Resistor(item)) => edge.role == EdgeRole::Resistor && item.ohm.value.get() >= LIMITS,
        _ => false,
    };
    let joined = network.components(|_, edge| edge.role.conducts_when_closed() && !is_gap(edge));
    let resistors: Vec<&Edge> = network.edges().map(|(_, edge)| edge).filter(|edge| limits(edge)).collect();
    network.edges().filter(|(_, edge)| is_gap(edge)).find_map(|(gap_id, gap)| {
        let (a, b) = (joined.of(gap.a), joined.of(gap.b));
        let past = |resistor: &&&Edge| {
            let ends = (joined.of(resistor.a), joined.of(resistor.b));
            a != b && (ends == (a, b) || ends == (b, a))
        };
        let resistor = resistors.iter().find(past)?.element()?;
        let keep =
            |_: EdgeId, edge: &Edge| (edge.role.conducts_when_closed() && !is_gap(edge)) || edge.element() == Some(resistor);
        let steps = network.path(gap.a, |point| point == gap.b, keep)?;
        let closing = steps.iter().map(|step| step.edge).filter(|id| network[*id].role.is_switched()).collect();
        Some(Bypass { resistor, gap: gap_id, closing })
    })
}

/// A way past a contact through a resistor.
struct Bypass {
    resistor: ElementId,
    /// The contact that it leads past.
    gap: EdgeId,
    /// The contacts on it.
    closing: Vec<EdgeId>,
}

impl Bypass {
    /// Whether it is closed in every mode in which the contact is that it leads past.
    fn is_within(&self, modes: &[&ModeState]) -> bool {
        let mut main = modes.iter().filter(|mode| mode.conducts(self.gap));
        main.all(|mode| self.closing.iter().all(|id| mode.conducts(*id)))
    }

    /// Whether the contact that it leads past says by how much later it closes: that is the order.
    fn is_delayed(&self, facts: &Facts) -> bool {
        let contact = facts.network()[self.gap].element();
        contact.is_some_and(|contact| facts.model()[contact].kind.closing_delay().is_some())
    }

    /// Whether its resistor leaves no more than its contacts make.
    fn is_soft(&self, facts: &Facts, volts: Volt) -> bool {
        let (model, network) = (facts.model(), facts.network());
        let contacts = self.closing.iter().filter_map(|id| rated(model, network[*id].element()?));
        let makes = contacts.reduce(f64::min).unwrap_or(HARMLESS).max(HARMLESS);
        model[self.resistor].kind.resistance().is_some_and(|ohms| volts.get() <= makes * ohms.get())
    }

    /// Why it charges nothing in any mode.
    fn idle(&self, facts: &Facts, modes: &[&ModeState], contacts: &[(ElementId, Ampere, ModeId)]) -> Idle {
        let network = facts.network();
        let closed: Vec<&&ModeState> = modes.iter().filter(|mode| self.closing.iter().all(|id| mode.conducts(*id))).collect();
        let own = |id: EdgeId| network[id].element();
        if let (true, Some(contact)) = (closed.is_empty(), self.closing.first().and_then(|id| own(*id))) {
            return Idle::NeverClosed(contact);
        }
        let alone = closed.iter().find(|mode| !mode.conducts(self.gap));
        let Some(mode) = alone else { return Idle::Bridged(own(self.gap)) };
        let conducts = |element: ElementId| {
            network.edges().any(|(id, edge)| edge.role.is_switched() && edge.element() == Some(element) && mode.conducts(id))
        };
        let mut others = contacts.iter().map(|(contact, ..)| *contact).filter(|contact| Some(*contact) != own(self.gap));
        others.find(|contact| !conducts(*contact)).map_or(Idle::Nothing, |open| Idle::NoWayBack(open, mode.id))
    }
}
