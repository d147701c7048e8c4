//! Precharges of which no capacitor is drawn: a contact with a resistor, both past another contact, and nothing behind them that says what they charge.

use crate::{
    electrical::ModeState,
    facts::{
        Facts,
        inrush::{HARMLESS, rated},
    },
    model::ElementId,
    network::{Edge, EdgeRole, GroupId},
    quantity::Ampere,
};
use rustc_hash::FxHashSet;

/// A precharge of which the capacitor is not drawn: a contact in series with a resistor, both past another contact.
#[derive(Debug, Clone, Copy)]
pub struct Undrawn {
    /// The contact of the precharge.
    pub contact: ElementId,
    /// Its resistor.
    pub resistor: ElementId,
    /// The main contact.
    pub main: ElementId,
    /// The most that flows at first into whatever is empty behind it; `None` where no domain says at which voltage.
    pub amps: Option<Ampere>,
    /// What the contact makes.
    pub makes: Ampere,
}

/// Precharges of which no capacitor is drawn.
pub(super) fn undrawn(facts: &Facts) -> Vec<Undrawn> {
    let (model, network) = (facts.model(), facts.network());
    let resistors = || {
        network.edges().filter_map(|(id, edge)| {
            let element = edge.element()?;
            let ohms =
                model[element].kind.resistance().filter(|ohms| edge.role == EdgeRole::Resistor && ohms.get() < MEASURES)?;
            let volts = facts.electrical().domains().of(edge.a).map(|domain| model[domain].nominal)?;
            // One that carries current for long makes a blower or a motor slower.
            let works = |mode: &ModeState| mode.amps(id).get().abs() > WORKS * volts.get() / ohms.get();
            (volts.get() >= LEAST_VOLTS && !facts.electrical().modes().any(works)).then_some((edge, element, ohms))
        })
    };
    if resistors().next().is_none() {
        return Vec::new();
    }
    let lumps = network.components(|_, edge| edge.role.conducts_when_closed() && !edge.role.is_switched());
    let contacts: Vec<&Edge> = network.edges().map(|(_, edge)| edge).filter(|edge| edge.role.cuts_coils()).collect();
    let everywhere = network.components(|_, edge| edge.role.conducts_when_closed());
    let capacitors: FxHashSet<GroupId> = network
        .edges()
        .filter(|(_, edge)| edge.role == EdgeRole::Capacitor)
        .flat_map(|(_, edge)| [everywhere.of(edge.a), everywhere.of(edge.b)])
        .collect();
    let found = resistors().filter_map(|(edge, resistor, ohms)| {
        // The contact is at either end, with nothing else between.
        let ends = [(edge.a, edge.b), (edge.b, edge.a)];
        let (contact, main) = ends.into_iter().find_map(|(middle, far)| {
            let between = lumps.of(middle);
            let mut own = contacts.iter().filter(|contact| lumps.of(contact.a) == between || lumps.of(contact.b) == between);
            let contact = *own.next().filter(|_| own.clone().next().is_none())?;
            let near = if lumps.of(contact.a) == between { lumps.of(contact.b) } else { lumps.of(contact.a) };
            let joins = |main: &&&Edge| {
                let own = (lumps.of(main.a), lumps.of(main.b));
                own == (near, lumps.of(far)) || own == (lumps.of(far), near)
            };
            Some((contact, *contacts.iter().find(joins)?))
        })?;
        let domain = facts.electrical().domains().of(main.a);
        let is_drawn = capacitors.contains(&everywhere.of(edge.a)) || capacitors.contains(&everywhere.of(edge.b));
        let contact = contact.element().filter(|_| !is_drawn)?;
        let makes = rated(model, contact).unwrap_or(HARMLESS).max(HARMLESS);
        let amps = domain.map(|domain| Ampere::new(model[domain].nominal.get() / ohms.get()));
        Some(Undrawn { contact, resistor, main: main.element()?, amps, makes: Ampere::new(makes) })
    });
    found.collect()
}

/// Share of the current at first that a precharge resistor may carry for long: what runs behind it meanwhile.
const WORKS: f64 = 0.05;
/// Nominal voltage in V from which boxes are precharged; common practice, no source: at 12 V and 24 V a resistor past a contact sets a speed.
const LEAST_VOLTS: f64 = 36.0;
/// Resistance in ohm from which on a resistor past a contact measures and charges nothing; common practice, no source.
const MEASURES: f64 = 20e3;
