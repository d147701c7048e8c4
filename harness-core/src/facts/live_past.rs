//! Contacts and fuses that no longer separate because a resistor is across them.
//!
//! The idea: what is behind the contact stays at the voltage of its supply through the resistor. In a domain of class A that is a usual way to charge
//! a capacitor; in one of class B the contact is there to make what is behind it safe to touch. A fuse there is too: with it blown, a precharge
//! path that begins before it still leads to what is behind it.
//!
//! Cost: nothing without resistors of this size; else two passes over the edges.

use super::Facts;
use crate::{
    model::{ElementId, ElementKind, PointId},
    network::{Edge, GroupId, Step},
    quantity::Ohm,
};
use rustc_hash::FxHashSet;

impl Facts {
    /// Such contacts, in the order of the resistors.
    ///
    /// Asked by `netlist/bypassed-part`.
    #[must_use]
    pub fn live_past(&self) -> &[LivePast] {
        self.made.live_past.get_or_init(|| live_past(self))
    }
}

/// A contact or fuse with a resistor across it.
#[derive(Debug, Clone)]
pub struct LivePast {
    /// The contact or fuse.
    pub contact: ElementId,
    /// Of a fuse, the way to the resistor from the side of it that cells are on, contacts closed.
    pub past_fuse: Option<(PointId, Vec<Step>)>,
    /// The resistor.
    pub resistor: ElementId,
    /// Its resistance.
    pub ohms: Ohm,
}

/// Resistance in ohm from which on what is behind it is a measurement and not a supply: 30 kohm pass 2 mA at 60 V; common practice, no source.
const MEASURES: f64 = 30e3;

fn live_past(facts: &Facts) -> Vec<LivePast> {
    let (model, network) = (facts.model(), facts.network());
    let resistors = || {
        network.edges().filter_map(|(_, edge)| {
            let resistor = edge.element()?;
            let ElementKind::Resistor(item) = model[resistor].kind else { return None };
            let domain = facts.electrical().domains().of(edge.a)?;
            (item.ohm.value.get() < MEASURES && model[domain].is_class_b()).then_some((edge, resistor, item.ohm.value))
        })
    };
    if resistors().next().is_none() {
        return Vec::new();
    }
    let lumps = network.components(|_, edge| edge.role.conducts_when_closed() && !edge.role.is_switched());
    let found = resistors().filter_map(|(edge, resistor, ohms)| {
        let ends = (lumps.of(edge.a), lumps.of(edge.b));
        let mut contacts = network.edges().filter(|(_, contact)| {
            let own = (lumps.of(contact.a), lumps.of(contact.b));
            contact.role.cuts_coils() && ends.0 != ends.1 && (own == ends || own == (ends.1, ends.0))
        });
        let contact = contacts.next()?.1.element()?;
        Some(LivePast { contact, past_fuse: None, resistor, ohms })
    });
    let mut found: Vec<LivePast> = found.collect();
    let leads = |edge: &Edge| edge.role.conducts_when_closed() && !edge.role.is_fuse();
    let fuses: Vec<Edge> = network.edges().filter(|(_, edge)| edge.role.is_fuse()).map(|(_, edge)| *edge).collect();
    if fuses.is_empty() {
        return found;
    }
    let closed = network.components(|_, edge| leads(edge));
    let cells: FxHashSet<GroupId> = network
        .edges()
        .filter(|(_, edge)| edge.role.takes_charge())
        .flat_map(|(_, edge)| [closed.of(edge.a), closed.of(edge.b)])
        .collect();
    for (edge, resistor, ohms) in resistors() {
        let ends = (closed.of(edge.a), closed.of(edge.b));
        let across = fuses.iter().find(|fuse| {
            let own = (closed.of(fuse.a), closed.of(fuse.b));
            ends.0 != ends.1 && (own == ends || own == (ends.1, ends.0))
        });
        let Some((fuse, contact)) = across.and_then(|fuse| Some((fuse, fuse.element()?))) else { continue };
        let goal = |at: PointId| at == edge.a || at == edge.b;
        let way = |side: PointId| Some((side, network.path(side, goal, |_, step| leads(step))?));
        let past_fuse = [fuse.a, fuse.b].into_iter().filter(|side| cells.contains(&closed.of(*side))).find_map(way);
        if past_fuse.is_some() {
            found.push(LivePast { contact, past_fuse, resistor, ohms });
        }
    }
    found
}
