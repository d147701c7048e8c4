//! Chargers that reach the cells of a battery of voltage class B with its service disconnect out.
//!
//! The idea: take out all disconnects and close every contact. A charger whose two poles cells still join is on the wrong side, and its leads
//! stay live; one behind the disconnect, or at a battery that the disconnect splits in the middle, is not.
//!
//! Cost: nothing where no disconnect of class B is; else two passes over the edges.

use super::Facts;
use crate::{
    model::{DeviceId, ElementId, PointId},
    network::{Edge, EdgeId, EdgeRole, NetId, Step},
};
use rustc_hash::FxHashSet;

impl Facts {
    /// Chargers past a service disconnect, in the order of their edges.
    ///
    /// Asked by `interlock/past-disconnect`.
    #[must_use]
    pub fn past_disconnects(&self) -> Vec<PastDisconnect> {
        past_disconnects(self)
    }
}

/// A charger past a service disconnect.
#[derive(Debug)]
pub struct PastDisconnect {
    /// The charger, converter or generator.
    pub charger: ElementId,
    /// The disconnect of its domain.
    pub disconnect: ElementId,
    /// Its positive pole.
    pub start: PointId,
    /// From there to the positive end of the cells.
    pub path: Vec<Step>,
}

fn past_disconnects(facts: &Facts) -> Vec<PastDisconnect> {
    let (model, network, domains) = (facts.model(), facts.network(), facts.electrical().domains());
    let of_class_b = |point: PointId| domains.of(point).filter(|domain| model[*domain].is_class_b() && !model[*domain].ac);
    let disconnects: Vec<(ElementId, Edge)> = network
        .edges()
        .filter(|(_, edge)| edge.role == EdgeRole::Disconnect && of_class_b(edge.a).is_some())
        .filter_map(|(_, edge)| Some((edge.element()?, *edge)))
        .collect();
    if disconnects.is_empty() {
        return Vec::new();
    }
    let leads = |_: EdgeId, edge: &Edge| edge.role.conducts_when_closed() && edge.role != EdgeRole::Disconnect;
    let with_cells = network.components(|id, edge| leads(id, edge) || edge.role.takes_charge());
    let metal = network.components(leads);
    let shorted: FxHashSet<NetId> = facts.shorts().iter().flat_map(|short| short.nets(network)).collect();
    let cells: FxHashSet<PointId> =
        network.edges().filter(|(_, edge)| edge.role.takes_charge()).map(|(_, edge)| edge.b).collect();
    let own = |element: ElementId| model[element].owner.device();
    // What is in the box of the cells is behind their case.
    let boxes: FxHashSet<DeviceId> = network
        .edges()
        .filter(|(_, edge)| edge.role.takes_charge())
        .filter_map(|(_, edge)| own(edge.element()?))
        .chain(disconnects.iter().filter_map(|(element, _)| own(*element)))
        .collect();
    let chargers = network.edges().filter(|(_, edge)| edge.role.drives() && !edge.role.takes_charge());
    let found = chargers.filter_map(|(_, edge)| {
        let charger = edge.element()?;
        let domain = of_class_b(edge.b)?;
        let (disconnect, _) = disconnects.iter().find(|(_, at)| of_class_b(at.a) == Some(domain))?;
        let is_outside = own(charger).is_none_or(|device| !boxes.contains(&device));
        // Poles that a short joins are joined without the cells: the short is the fault.
        let is_shorted =
            metal.of(edge.a) == metal.of(edge.b) && [edge.a, edge.b].iter().any(|pole| shorted.contains(&network.net(*pole)));
        if !is_outside || is_shorted || with_cells.of(edge.a) != with_cells.of(edge.b) {
            return None;
        }
        let path = network.path(edge.b, |point| cells.contains(&point), leads)?;
        Some(PastDisconnect { charger, disconnect: *disconnect, start: edge.b, path })
    });
    found.collect()
}
