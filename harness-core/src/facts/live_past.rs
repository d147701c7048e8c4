//! Contacts that no longer separate because a resistor is across them for good.
//!
//! The idea: what is behind the contact stays at the voltage of its supply through the resistor. In a domain of class A that is a usual way to charge
//! a capacitor; in one of class B the contact is there to make what is behind it safe to touch.
//!
//! Cost: nothing without resistors of this size; else a pass over the edges.

use super::Facts;
use crate::{
    model::{ElementId, ElementKind},
    quantity::Ohm,
};

impl Facts {
    /// Such contacts, in the order of the resistors.
    ///
    /// Asked by `netlist/bypassed-part`.
    #[must_use]
    pub fn live_past(&self) -> &[LivePast] {
        self.made.live_past.get_or_init(|| live_past(self))
    }
}

/// A contact with a resistor across it.
#[derive(Debug, Clone, Copy)]
pub struct LivePast {
    /// The contact.
    pub contact: ElementId,
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
        Some(LivePast { contact, resistor, ohms })
    });
    found.collect()
}
