//! Capacitors that a resistor charges before a contact closes onto them, and how far and how fast it does.
//!
//! The idea: the resistance through which a mode charges a capacitor follows from what the same mode gives a resistor in its place. With the
//! capacitance it gives the time to nine tenths of the voltage that the capacitor gets once the contact is closed; loads that run while it
//! is charged may hold it below that for good.
//!
//! Cost: nothing where no capacitor stores enough; else two solutions for each mode in which one is charged.

use super::{
    Facts,
    inrush::{HARMLESS, Way, across, large_capacitors, rated, resistance},
};
use crate::{
    electrical::ModeState,
    model::{ElementId, ModeId},
    network::{Edge, EdgeId, EdgeRole, GroupId},
    quantity::{Ampere, Farad, Ohm, Second, Volt},
    standards::precharge::precharged,
};
use rustc_hash::FxHashSet;

impl Facts {
    /// Capacitors that are charged through a resistor by closing a contact, each in the mode that charges it soonest; in the order of
    /// their edges.
    ///
    /// Asked by `interlock/slow-precharge` and `review/missing-fact`.
    #[must_use]
    pub fn precharges(&self) -> &[Precharge] {
        self.made.precharges.get_or_init(|| precharges(self))
    }

    /// Precharges of which no capacitor is drawn, in the order of their resistors.
    ///
    /// Asked by `interlock/no-precharge` and `review/missing-fact`.
    #[must_use]
    pub fn undrawn_precharges(&self) -> &[Undrawn] {
        self.made.undrawn_precharges.get_or_init(|| undrawn(self))
    }
}

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
fn undrawn(facts: &Facts) -> Vec<Undrawn> {
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

/// A capacitor and the mode that charges it.
#[derive(Debug, Clone, Copy)]
pub struct Precharge {
    /// The capacitor.
    pub capacitor: ElementId,
    /// Its capacitance.
    pub farad: Farad,
    /// The largest resistor on the way.
    pub resistor: ElementId,
    /// All resistance on the way.
    pub ohms: Ohm,
    /// The mode that charges it.
    pub mode: ModeId,
    /// The voltage that it comes to in this mode.
    pub reaches: Volt,
    /// The voltage that it gets once the main contact is closed, and the mode.
    pub full: (Volt, ModeId),
    /// The time to nine tenths of that; `None` where it never comes so far.
    pub time: Option<Second>,
}

/// Share of its voltage from which a mode charges a capacitor at all.
const CHARGES: f64 = 0.05;

fn precharges(facts: &Facts) -> Vec<Precharge> {
    let modes: Vec<&ModeState> = facts.electrical().modes().collect();
    large_capacitors(facts, &modes)
        .filter_map(|(id, edge, capacitor, most, farad)| precharge(facts, &modes, (id, &edge), (capacitor, farad), most.get()))
        .collect()
}

fn precharge(
    facts: &Facts,
    modes: &[&ModeState],
    (id, edge): (EdgeId, &Edge),
    (capacitor, farad): (ElementId, Farad),
    most: f64,
) -> Option<Precharge> {
    let mut full: Option<(f64, ModeId)> = None;
    let mut soft: Vec<(f64, f64, ModeId, ElementId)> = Vec::new();
    for mode in modes.iter().filter(|mode| !mode.is_shorted(edge.a) && !mode.is_adrift(edge.a)) {
        let volts = across(facts, mode, edge);
        if volts < CHARGES * most {
            continue;
        }
        let way = Way::new(facts, modes, mode, edge, Ohm::ZERO);
        if way.is_whole {
            // Nothing closes onto it.
            if way.closing.is_empty() {
                return None;
            }
            full = full.filter(|(known, _)| *known >= volts).or(Some((volts, mode.id)));
            continue;
        }
        let ohms = resistance(facts, mode, id, volts)?;
        // What runs behind the resistor is beside it as seen from the capacitor.
        let way = Way::new(facts, modes, mode, edge, Ohm::new(ohms * most / volts));
        // A resistor across the contact has all the time that there is.
        if way.is_whole && way.closing.is_empty() {
            return None;
        }
        soft.extend(way.resistor.filter(|_| way.is_whole).map(|resistor| (volts, ohms, mode.id, resistor)));
    }
    let (full, main) = full?;
    let time = |volts: f64, ohms: f64| {
        let share = precharged().value.get() * full / volts;
        (share < 1.0).then(|| -ohms * farad.get() * (1.0 - share).ln())
    };
    let soonest = |one: &&(f64, f64, ModeId, ElementId), other: &&(f64, f64, ModeId, ElementId)| {
        let at = |one: &(f64, f64, ModeId, ElementId)| time(one.0, one.1).unwrap_or(f64::INFINITY);
        at(one).total_cmp(&at(other)).then(other.0.total_cmp(&one.0))
    };
    let (volts, ohms, mode, resistor) = *soft.iter().min_by(soonest)?;
    Some(Precharge {
        capacitor,
        farad,
        resistor,
        ohms: Ohm::new(ohms),
        mode,
        reaches: Volt::new(volts),
        full: (Volt::new(full), main),
        time: time(volts, ohms).map(Second::new),
    })
}
