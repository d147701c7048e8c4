//! Contacts that something closed in every mode bridges, so that opening them switches nothing.

use super::Facts;
use crate::{
    electrical::ModeState,
    model::ElementKind,
    network::{Edge, EdgeId, EdgeRole, Step},
};

impl Facts {
    /// Contacts that open in some mode while something that is closed in every mode joins both their sides, in the order of the edges;
    /// none where the design has fewer than two modes, or not all were computed. What metal bridges is not among them.
    ///
    /// Cost: a pass over the edges for each mode, and a walk for each that is found. Asked by `netlist/bypassed-part` and for the loads
    /// that contacts switch.
    #[must_use]
    pub fn bridged(&self) -> &[Bridged] {
        self.made.bridged.get_or_init(|| bridged(self))
    }
}

/// A contact that is bridged in every mode.
#[derive(Debug)]
pub struct Bridged {
    /// The contact.
    pub contact: EdgeId,
    /// From one of its sides to the other, past what is closed in every mode.
    pub steps: Vec<Step>,
}

fn bridged(facts: &Facts) -> Vec<Bridged> {
    let (model, network) = (facts.model(), facts.network());
    let modes: Vec<&ModeState> = facts.electrical().modes().collect();
    if modes.len() < 2 || modes.len() != model.modes().len() {
        return Vec::new();
    }
    let always = |id: EdgeId, edge: &Edge| {
        let leads = edge.role.conducts_when_closed() && edge.role != EdgeRole::Diode;
        leads && modes.iter().all(|mode| mode.conducts(id))
    };
    let joined = network.components(always);
    // Positions of one selector join the same points again and again.
    let is_of_selector = |edge: &Edge| {
        edge.element().is_some_and(|element| matches!(model[element].kind, ElementKind::Switch { throw: Some(_), .. }))
    };
    let contacts = network.edges().filter(|(id, edge)| {
        let opens = edge.role.is_switched() && modes.iter().any(|mode| !mode.conducts(*id));
        opens && joined.of(edge.a) == joined.of(edge.b) && network.net(edge.a) != network.net(edge.b) && !is_of_selector(edge)
    });
    let with_way = contacts.filter_map(|(contact, edge)| {
        let steps = network.path(edge.a, |point| point == edge.b, always)?;
        // What goes past fuses and metal alone is a feed of its own: the loads that it keeps alive are reported.
        steps.iter().any(|step| network[step.edge].role.is_switched()).then_some(Bridged { contact, steps })
    });
    with_way.collect()
}
