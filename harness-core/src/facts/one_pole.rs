//! Batteries above extra-low voltage of which the contactors open one pole alone.
//!
//! The idea: open every contactor. What is fed by a floating battery is then joined to it at neither pole; where it still is at one, a single
//! fault of the insulation puts the whole voltage between the chassis and what everybody takes for dead.
//!
//! Cost: nothing without contactors that have coils; else a pass over the edges.

use super::{Facts, loops::is_contactor};
use crate::{
    model::{DomainId, ElementId, PointId},
    network::{Edge, EdgeId},
    standards::voltage::extra_low_limit,
    vocabulary::Reference,
};

impl Facts {
    /// Loads that stay joined to one pole of their battery, by domain, in the order of their edges.
    ///
    /// Asked by `interlock/one-pole`.
    #[must_use]
    pub fn one_poled(&self) -> Vec<OnePoled> {
        one_poled(self)
    }
}

/// Loads that stay joined to one pole.
#[derive(Debug)]
pub struct OnePoled {
    /// The domain.
    pub domain: DomainId,
    /// The contactor that opens the other pole.
    pub contactor: ElementId,
    /// The loads.
    pub loads: Vec<ElementId>,
    /// The point of the first load that stays joined.
    pub point: PointId,
}

fn one_poled(facts: &Facts) -> Vec<OnePoled> {
    let (model, network, domains) = (facts.model(), facts.network(), facts.electrical().domains());
    let contactors: Vec<(EdgeId, Edge)> = network
        .edges()
        .filter(|(_, edge)| edge.role.is_relay_contact() && is_contactor(facts, edge))
        .map(|(id, edge)| (id, *edge))
        .collect();
    if contactors.is_empty() {
        return Vec::new();
    }
    let leads = |edge: &Edge| edge.role.conducts_when_closed() && !is_contactor(facts, edge);
    let open = network.components(|_, edge| leads(edge) || edge.role.takes_charge());
    let floats = |point: PointId| {
        domains.of(point).filter(|domain| {
            let domain = &model[*domain];
            domain.max > extra_low_limit(false).value && !domain.ac && domain.reference == Reference::Floating
        })
    };
    let mut batteries: Vec<_> = network
        .edges()
        .filter(|(_, edge)| edge.role.takes_charge() && floats(edge.a).is_some())
        .map(|(_, edge)| open.of(edge.a))
        .collect();
    batteries.sort_unstable();
    batteries.dedup();
    let mut found: Vec<OnePoled> = Vec::new();
    for (_, edge) in network.edges().filter(|(_, edge)| edge.role.draws()) {
        let (Some(load), Some(domain)) = (edge.element(), floats(edge.a)) else { continue };
        let at = [edge.a, edge.b].map(|point| batteries.binary_search(&open.of(point)).is_ok());
        let point = match at {
            [true, false] => edge.a,
            [false, true] => edge.b,
            [true, true] | [false, false] => continue,
        };
        let contactor = contactors.iter().find(|(_, contact)| floats(contact.a) == Some(domain));
        let Some(contactor) = contactor.and_then(|(_, contact)| contact.element()) else { continue };
        match found.iter_mut().find(|known| known.domain == domain) {
            Some(known) => known.loads.push(load),
            None => found.push(OnePoled { domain, contactor, loads: vec![load], point }),
        }
    }
    found
}
