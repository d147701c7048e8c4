//! Capacitors of voltage class B that stay charged once every contactor and disconnect is open.
//!
//! The idea: open all contacts of class B, then ask what empties each capacitor; and again with each connector unmated that reaches it, for the
//! resistor may be on the far side of the plug.
//!
//! Cost: nothing without such a capacitor; else a solution for each of them, and one for each connector that takes something away from it.

use super::{
    Facts,
    charged_parts::{Charged, Stored},
    loops::is_contactor,
    openings::Opening,
};
use crate::{
    electrical::{ModeState, what_if::Change},
    model::{ElementId, ModeId, PointId},
    network::{Components, Edge, EdgeId, EdgeRole, GroupId, Network},
    quantity::Joule,
    standards::interlock::{harmless_energy, longest_wait},
};
use rustc_hash::FxHashMap;

impl Facts {
    /// Capacitors that nothing empties, or not while people wait, in the order of their edges, each with the least that has to be opened for it.
    ///
    /// Asked by `interlock/no-discharge`.
    #[must_use]
    pub fn undischarged(&self) -> Vec<Undischarged> {
        undischarged(self)
    }

    /// What each capacitor of class B keeps once every contactor and disconnect is open, in the order of their edges; those that are live even
    /// then are left out.
    ///
    /// Cost: as [`undischarged`](Self::undischarged) without the connectors. Asked by the picture of the discharge.
    #[must_use]
    pub fn charges_when_opened(&self) -> Vec<Charged> {
        let opened = opened(self);
        let mut open_in = Vec::new();
        self.class_b_capacitors().iter().filter_map(|one| Some(all_open(self, one, &opened, &mut open_in)?.1)).collect()
    }
}

/// The state of each mode with contacts open, as far as asked for.
type OpenIn = Vec<(ModeId, Option<ModeState>)>;

/// Every contactor and disconnect of class B open.
fn opened(facts: &Facts) -> Vec<Change> {
    let is_open = |edge: &Edge| is_contactor(facts, edge) || is_disconnect(facts, edge);
    facts.network().edges().filter(|(_, edge)| is_open(edge)).map(|(id, _)| Change::Open(id)).collect()
}

/// What a capacitor keeps with all that open, in the first mode in which it keeps anything.
///
/// One that all contacts together cut off in no mode is live, which other rules see. A charger may hold it up in one.
fn all_open(facts: &Facts, one: &Stored, opened: &[Change], open_in: &mut OpenIn) -> Option<(ModeId, Charged)> {
    let mut modes = std::iter::once(one.mode).chain(facts.electrical().modes().map(|state| state.id));
    modes.find_map(|mode| {
        let state = match open_in.iter().find(|(of, _)| *of == mode) {
            Some((_, state)) => state,
            None => {
                open_in.push((mode, facts.electrical().altered(mode, opened)));
                &open_in.last()?.1
            }
        };
        Some((mode, facts.charge_kept(*one, state.as_ref()?, opened)?))
    })
}

/// A capacitor that stays charged.
#[derive(Debug)]
pub struct Undischarged {
    /// The capacitor with what it keeps.
    pub charged: Charged,
    /// Its energy.
    pub energy: Joule,
    /// The connector that has to be unmated for it; `None` if it is so with contactors and disconnects open.
    pub unmated: Option<Opening>,
    /// Loads that draw from it in every mode: nobody knows down to which voltage.
    pub drawn_by: Vec<ElementId>,
}

fn undischarged(facts: &Facts) -> Vec<Undischarged> {
    let network = facts.network();
    let stored = facts.class_b_capacitors();
    if stored.is_empty() {
        return Vec::new();
    }
    let opened = opened(facts);
    let mut open_in = OpenIn::new();
    let mut found = Vec::new();
    for one in &stored {
        let Some((mode, charged)) = all_open(facts, one, &opened, &mut open_in) else { continue };
        let keeps = |changes: &[Change]| facts.charge_kept(*one, &facts.electrical().altered(mode, changes)?, changes);
        let Some((_, Some(state))) = open_in.iter().find(|(of, _)| *of == mode) else { continue };
        let energy = Joule::new(charged.farad.get() * charged.volts.get() * charged.volts.get() / 2.0);
        if energy < harmless_energy().value {
            continue;
        }
        let is_slow = |charged: &Charged| charged.time.is_none_or(|time| time > longest_wait().value);
        if is_slow(&charged) {
            let drawn_by = drawn_by(facts, one.edge);
            found.push(Undischarged { charged, energy, unmated: None, drawn_by });
            continue;
        }
        let edge = network[one.edge];
        let near = network
            .components(|id, edge| edge.role.conducts_when_closed() && !opened.iter().any(|change| change.edge() == Some(id)));
        let touches = |point: &PointId| [edge.a, edge.b].iter().any(|side| near.of(*side) == near.of(*point));
        let around = Around::new(facts, state, one.edge);
        for unmated in facts.unmatings().iter().filter(|unmated| {
            unmated.is_class_b
                && matches!(unmated.what, Opening::Connector(_))
                && unmated.exposed.iter().any(touches)
                && !around.stays(network, state, &unmated.edges)
        }) {
            let mut changes = opened.clone();
            changes.extend(unmated.changes());
            let Some(charged) = keeps(&changes).filter(is_slow) else { continue };
            found.push(Undischarged { charged, energy, unmated: Some(unmated.what), drawn_by: drawn_by(facts, one.edge) });
            break;
        }
    }
    found
}

/// What may empty a capacitor in a state, or be emptied with it.
struct Around {
    /// What closed conductors join.
    leads: Components,
    /// The capacitor, and all of it but conductors.
    parts: Vec<EdgeId>,
    /// A contact that a coil moves is at it, so that it may become another one.
    is_switched: bool,
}

impl Around {
    fn new(facts: &Facts, state: &ModeState, capacitor: EdgeId) -> Self {
        let network = facts.network();
        let leads = network.components(|id, edge| is_lead(state, id, edge));
        let all = network.components(|id, edge| id != capacitor && (is_lead(state, id, edge) || empties(edge)));
        let own = network[capacitor];
        let is_at = |edge: &Edge| {
            let sides = [all.of(own.a), all.of(own.b)];
            sides.contains(&all.of(edge.a)) || sides.contains(&all.of(edge.b))
        };
        let parts = network.edges().filter(|(_, edge)| (empties(edge) || edge.role == EdgeRole::Capacitor) && is_at(edge));
        let is_moved = |edge: &Edge| edge.role.is_relay_contact() && !is_contactor(facts, edge) && is_at(edge);
        let is_switched = network.edges().any(|(_, edge)| is_moved(edge));
        Self { parts: parts.map(|(id, _)| id).collect(), leads, is_switched }
    }

    /// Whether all of it stays joined as it is with these edges open too: then the capacitor empties as before.
    fn stays(&self, network: &Network, state: &ModeState, opened: &[EdgeId]) -> bool {
        if self.is_switched || self.parts.iter().any(|part| opened.contains(part)) {
            return false;
        }
        let after = network.components(|id, edge| is_lead(state, id, edge) && !opened.contains(&id));
        let mut known: FxHashMap<GroupId, GroupId> = FxHashMap::default();
        let mut ends = self.parts.iter().flat_map(|part| [network[*part].a, network[*part].b]);
        ends.all(|end| *known.entry(self.leads.of(end)).or_insert(after.of(end)) == after.of(end))
    }
}

fn is_lead(state: &ModeState, id: EdgeId, edge: &Edge) -> bool {
    edge.role.conducts_when_closed() && edge.role != EdgeRole::Diode && state.conducts(id)
}

/// Whether a charge flows off through an edge, conductors left out: what [`Electrical::discharge`](crate::electrical::Electrical::discharge)
/// counts.
fn empties(edge: &Edge) -> bool {
    matches!(edge.role, EdgeRole::Resistor | EdgeRole::Coil | EdgeRole::Diode)
}

/// A service disconnect in a conductor of class B.
fn is_disconnect(facts: &Facts, edge: &Edge) -> bool {
    let (model, domains) = (facts.model(), facts.electrical().domains());
    let is_class_b = domains.of(edge.a).is_some_and(|domain| model[domain].is_class_b());
    is_class_b && edge.role.is_switched() && !edge.role.cuts_coils()
}

/// Loads between the two sides of a capacitor that run in every mode.
fn drawn_by(facts: &Facts, capacitor: EdgeId) -> Vec<ElementId> {
    let network = facts.network();
    let leads = network.components(|_, edge| edge.is_metal());
    let own = network[capacitor];
    let across = |edge: &Edge| {
        let (ends, sides) = ([leads.of(edge.a), leads.of(edge.b)], [leads.of(own.a), leads.of(own.b)]);
        ends == sides || [ends[1], ends[0]] == sides
    };
    let always = |id: EdgeId| facts.electrical().modes().all(|mode| mode.conducts(id));
    let loads = network.edges().filter(|(id, edge)| edge.role.draws() && across(edge) && always(*id));
    loads.filter_map(|(_, edge)| edge.element()).collect()
}
