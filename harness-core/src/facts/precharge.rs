//! Capacitors that a resistor charges before a contact closes onto them, and how far and how fast it does.
//!
//! The idea: the resistance through which a mode charges a capacitor follows from what the same mode gives a resistor in its place. With the
//! capacitance it gives the time to nine tenths of the voltage that the capacitor gets once the contact is closed; loads that run while it
//! is charged may hold it below that for good.
//!
//! Cost: nothing where no capacitor stores enough; else two solutions for each mode in which one is charged.

mod undrawn;

pub use undrawn::Undrawn;

use super::{
    Facts,
    charged_parts::in_parallel,
    inrush::{Way, across, large_capacitors, resistance},
};
use crate::{
    electrical::{ModeState, what_if::Change},
    model::{ElementId, ModeId},
    network::{Edge, EdgeId, EdgeRole},
    quantity::{Ampere, Farad, Joule, Ohm, Second, Volt, Watt},
    standards::precharge::{Charging, precharged},
    text::{At, Span},
};

impl Facts {
    /// Capacitors that are charged through a resistor by closing a contact, each in the mode that charges it soonest; in the order of
    /// their edges.
    ///
    /// Asked by `interlock/slow-precharge` and `review/missing-fact`.
    #[must_use]
    pub fn precharges(&self) -> &[Precharge] {
        self.made.precharges.get_or_init(|| precharges(self))
    }

    /// What each precharge resistor takes, all capacitors that it charges in one mode together, in the order of the resistors.
    ///
    /// Asked by `interlock/overloaded-precharge` and `review/missing-fact`.
    #[must_use]
    pub fn precharge_loads(&self) -> Vec<PrechargeLoad> {
        precharge_loads(self)
    }

    /// Precharges of which no capacitor is drawn, in the order of their resistors.
    ///
    /// Asked by `interlock/no-precharge` and `review/missing-fact`.
    #[must_use]
    pub fn undrawn_precharges(&self) -> &[Undrawn] {
        self.made.undrawn_precharges.get_or_init(|| undrawn::undrawn(self))
    }
}

/// What a precharge resistor takes.
#[derive(Debug, Clone, Copy)]
pub struct PrechargeLoad {
    /// The resistor.
    pub resistor: ElementId,
    /// The mode in which it charges.
    pub mode: ModeId,
    /// Its energy in one pulse: as much as the capacitors hold in the end.
    pub energy: Joule,
    /// The power in it at first.
    pub power: Watt,
    /// The power in it for good, from what runs behind it.
    pub lasting: Watt,
}

fn precharge_loads(facts: &Facts) -> Vec<PrechargeLoad> {
    let mut found: Vec<PrechargeLoad> = Vec::new();
    for one in facts.precharges() {
        let energy = Charging { farad: one.farad, ..one.charging() }.energy();
        let Some(ohms) = facts.model()[one.resistor].kind.resistance() else { continue };
        // At first all of the voltage is across the resistor, whatever else is on the way.
        let power = Watt::new(one.full.0.get() * one.full.0.get() / ohms.get());
        let lasting = Watt::new(one.lasting.get() * one.lasting.get() * ohms.get());
        match found.iter_mut().find(|known| known.resistor == one.resistor && known.mode == one.mode) {
            Some(known) => known.energy = Joule::new(known.energy.get() + energy.get()),
            None => found.push(PrechargeLoad { resistor: one.resistor, mode: one.mode, energy, power, lasting }),
        }
    }
    found.sort_by_key(|one| one.resistor);
    found
}

/// A capacitor and the mode that charges it.
#[derive(Debug, Clone)]
pub struct Precharge {
    /// The capacitor.
    pub capacitor: ElementId,
    /// Its capacitance.
    pub farad: Farad,
    /// That of all that are charged with it, itself among them.
    pub together: Farad,
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
    /// The main contact that closes onto it.
    pub main: Option<ElementId>,
    /// The mode begins with the precharge: the main contact is closed in it too, after its closing delay.
    pub is_within: bool,
    /// The modes that charge it through the resistor, and those in which the main contact is closed.
    pub soft: Vec<ModeId>,
    /// The modes in which the main contact is closed.
    pub closed: Vec<ModeId>,
    /// What limits the current once the main contact is closed.
    pub rest: Ohm,
    /// The largest current of the resistor in the mode that charges it, once it has: that of what runs meanwhile.
    pub lasting: Ampere,
}

impl Precharge {
    /// The capacitor as it is charged.
    #[must_use]
    pub fn charging(&self) -> Charging {
        Charging { volts: self.reaches, ohms: self.ohms, farad: self.together }
    }

    /// The time that the design gives it, with the places: what the mode lasts, and the closing delay of the main contact; `None` where it gives
    /// neither.
    #[must_use]
    pub fn given(&self, facts: &Facts) -> Option<(Second, Vec<Span>)> {
        let model = facts.model();
        let lasts = model[self.mode].lasts.filter(|_| !self.is_within);
        let delay = self.main.and_then(|main| model[main].kind.closing_delay());
        let parts: Vec<At<Second>> = [lasts, delay].into_iter().flatten().collect();
        let sum = parts.iter().map(|at| at.value.get()).sum();
        (!parts.is_empty()).then(|| (Second::new(sum), parts.iter().map(|at| at.span).collect()))
    }

    /// The current through the main contact as it closes after a time, from the voltage that is missing then; against what the capacitor gets in
    /// the end.
    #[must_use]
    pub fn inrush_after(&self, time: Second) -> Ampere {
        let missing = (self.full.0 - self.charging().after(time)).get().max(0.0);
        Ampere::new(missing / self.rest.get().max(LEAST_REST))
    }
}

/// Resistance in ohm that is always on the way.
const LEAST_REST: f64 = 1e-3;

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
    let mut soft: Vec<Soft> = Vec::new();
    let mut closed: Vec<(f64, ModeId)> = Vec::new();
    let mut closing: Vec<ElementId> = Vec::new();
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
            closed.push((volts, mode.id));
            closing.extend(way.closing);
            continue;
        }
        let ohms = resistance(facts, mode, id, volts)?;
        // What runs behind the resistor is beside it as seen from the capacitor.
        let way = Way::new(facts, modes, mode, edge, Ohm::new(ohms * most / volts));
        // A resistor across the contact has all the time that there is.
        if way.is_whole && way.closing.is_empty() {
            return None;
        }
        let lasting = way.resistor.map_or(Ampere::ZERO, |resistor| through(facts, mode, resistor));
        soft.extend(way.resistor.filter(|_| way.is_whole).map(|resistor| Soft { volts, ohms, mode: mode.id, resistor, lasting }));
    }
    let (mut full, mut full_in) = full?;
    closing.sort_unstable();
    closing.dedup();
    // What the design closes in the same mode as the main contact comes before it by the closing delay.
    let is_within = soft.is_empty();
    let mut main = closing.iter().copied().find(|contact| !soft.iter().any(|soft| is_closed(facts, *contact, soft.mode)));
    if is_within {
        // Where a charger holds the capacitor up by itself, another mode shows what the battery gives it through the resistor.
        let first = |at: &(f64, ModeId)| Some((*at, within(facts, modes, (id, edge), *at, &closing, most)?));
        closed.sort_by(|one, other| other.0.total_cmp(&one.0));
        let (at, (first, found)) = closed.iter().find_map(first)?;
        (full, full_in) = at;
        main = Some(first);
        soft.push(found);
    }
    let rest = rest_of(facts, id, full_in, full);
    let together = |soft: &Soft| together(facts, soft.mode, main.filter(|_| is_within), edge).unwrap_or(farad);
    let time = |soft: &Soft| {
        let share = precharged().value.get() * full.max(soft.volts) / soft.volts;
        Charging { volts: Volt::new(soft.volts), ohms: Ohm::new(soft.ohms), farad: together(soft) }.time_to(share)
    };
    let soonest = |one: &&Soft, other: &&Soft| {
        let at = |one: &Soft| time(one).map_or(f64::INFINITY, Second::get);
        at(one).total_cmp(&at(other)).then(other.volts.total_cmp(&one.volts))
    };
    let best = soft.iter().min_by(soonest)?;
    // A battery under load has less than the one that the contact closes onto.
    let full = full.max(best.volts);
    Some(Precharge {
        capacitor,
        farad,
        together: together(best),
        resistor: best.resistor,
        ohms: Ohm::new(best.ohms),
        mode: best.mode,
        reaches: Volt::new(best.volts),
        full: (Volt::new(full), full_in),
        time: time(best),
        main,
        is_within,
        soft: soft.iter().filter(|_| !is_within).map(|soft| soft.mode).collect(),
        closed: closed.into_iter().map(|(_, mode)| mode).collect(),
        rest,
        lasting: best.lasting,
    })
}

/// A mode that charges a capacitor through a resistor.
struct Soft {
    volts: f64,
    ohms: f64,
    mode: ModeId,
    resistor: ElementId,
    lasting: Ampere,
}

/// The capacitance of all capacitors that are joined to both sides of one in a mode, with `open` open.
fn together(facts: &Facts, mode: ModeId, open: Option<ElementId>, edge: &Edge) -> Option<Farad> {
    let state = facts.electrical().in_mode(mode)?;
    let is_open = |edge: &Edge| open.is_some() && edge.element() == open && edge.role.is_switched();
    let leads = facts.network().components(|id, edge| edge.role.conducts_when_closed() && state.conducts(id) && !is_open(edge));
    Some(in_parallel(facts, &leads, edge))
}

/// Whether a contact is closed in a mode.
fn is_closed(facts: &Facts, contact: ElementId, mode: ModeId) -> bool {
    let Some(state) = facts.electrical().in_mode(mode) else { return false };
    let mut edges = facts.network().edges().filter(|(_, edge)| edge.element() == Some(contact) && edge.role.is_switched());
    edges.any(|(id, _)| state.conducts(id))
}

/// The current of an element in a mode.
fn through(facts: &Facts, mode: &ModeState, element: ElementId) -> Ampere {
    let edge = facts.network().edges().find(|(_, edge)| edge.element() == Some(element));
    edge.map_or(Ampere::ZERO, |(id, _)| mode.amps(id).abs())
}

/// What limits the current into a capacitor in a mode.
fn rest_of(facts: &Facts, capacitor: EdgeId, mode: ModeId, full: f64) -> Ohm {
    let state = facts.electrical().in_mode(mode);
    let ohms = state.and_then(|state| resistance(facts, state, capacitor, full));
    Ohm::new(ohms.unwrap_or_default().max(LEAST_REST))
}

/// The precharge at the beginning of a mode in which the main contact is closed too: the mode with that contact open.
fn within(
    facts: &Facts,
    modes: &[&ModeState],
    (id, edge): (EdgeId, &Edge),
    (full, mode): (f64, ModeId),
    closing: &[ElementId],
    most: f64,
) -> Option<(ElementId, Soft)> {
    let (network, electrical) = (facts.network(), facts.electrical());
    closing.iter().find_map(|main| {
        // What runs behind it waits for the main contact.
        let waits = |edge: &Edge| {
            let domains = facts.electrical().domains();
            edge.role.draws() && edge.role != EdgeRole::Coil && domains.of(edge.a) == domains.of(network[id].a)
        };
        let opens = |edge: &Edge| edge.element() == Some(*main) && edge.role.is_switched();
        let opened: Vec<Change> =
            network.edges().filter(|(_, edge)| opens(edge) || waits(edge)).map(|(id, _)| Change::Open(id)).collect();
        // A charger holds it up by itself.
        if is_held(facts, id, mode, &opened) {
            return None;
        }
        let volts = |changes: &[Change]| {
            let state = electrical.altered(mode, changes)?;
            let all = network.components(|id, _| state.conducts(id));
            let volts = (state.volts(edge.a) - state.volts(edge.b)).get().abs();
            (all.of(edge.a) == all.of(edge.b)).then_some((volts, state))
        };
        let (reaches, state) = volts(&opened)?;
        if reaches < CHARGES * most {
            return None;
        }
        let mut probed = opened.clone();
        probed.push(Change::Resistor(id, Ohm::new(PROBE)));
        let (with, _) = volts(&probed)?;
        let ohms = if with > 0.0 { PROBE * (reaches / with - 1.0).max(0.0) } else { return None };
        let way = Way::new(facts, modes, &state, edge, Ohm::new(ohms * full / reaches));
        let resistor = way.resistor.filter(|_| way.is_whole && !way.closing.is_empty())?;
        let lasting = through(facts, &state, resistor);
        Some((*main, Soft { volts: reaches, ohms, mode, resistor, lasting }))
    })
}

/// Resistance in ohm that is put in place of the capacitor.
const PROBE: f64 = 1.0;

/// Whether closed conductors join a capacitor to both poles of a source in a mode, with these changes made in it.
fn is_held(facts: &Facts, capacitor: EdgeId, mode: ModeId, opened: &[Change]) -> bool {
    let network = facts.network();
    let Some(state) = facts.electrical().in_mode(mode) else { return false };
    let is_there = |id: EdgeId| state.conducts(id) && !opened.iter().any(|change| change.edge() == Some(id));
    let leads = network.components(|id, edge| edge.role.conducts_when_closed() && is_there(id));
    let sides = |edge: &Edge| [leads.of(edge.a), leads.of(edge.b)];
    let own = sides(&network[capacitor]);
    let is_across = |edge: &Edge| sides(edge) == own || sides(edge) == [own[1], own[0]];
    network.edges().any(|(id, edge)| edge.role.drives() && is_there(id) && is_across(edge))
}
