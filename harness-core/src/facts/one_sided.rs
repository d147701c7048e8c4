//! Contacts and fuses of which one side has no wire, and the other one the wires of both.
//!
//! The idea: who puts both wires on one terminal leaves the other one empty. What the wires then join goes past the contact.
//!
//! Cost: a walk for each wire at such a contact.

use super::Facts;
use crate::{
    model::{ElementId, PointId, WireId},
    network::{Edge, EdgeId},
};
use rustc_hash::FxHashSet;

impl Facts {
    /// Such contacts, by the point without a wire.
    ///
    /// Asked by `netlist/unconnected-pin`.
    #[must_use]
    pub fn one_sided(&self) -> &[OneSided] {
        self.made.one_sided.get_or_init(|| self.unconnected().iter().filter_map(|open| one_sided(self, *open)).collect())
    }
}

/// A contact or fuse with the wires of both sides on one.
#[derive(Debug)]
pub struct OneSided {
    /// The point without a wire.
    pub open: PointId,
    /// The contact or fuse.
    pub element: ElementId,
    /// Its edge.
    pub edge: EdgeId,
    /// The point with all the wires.
    pub other: PointId,
    /// The wires there; at least two.
    pub wires: Vec<WireId>,
    /// What those of the wires that lead to no source feed; empty where all lead to one.
    pub loads: Vec<ElementId>,
}

fn one_sided(facts: &Facts, open: PointId) -> Option<OneSided> {
    let network = facts.network();
    let mut own = network.around(open).filter(|(_, edge, _)| edge.element().is_some());
    let (id, edge, other) = own.next().filter(|(_, edge, _)| edge.role.is_switched() || edge.role.is_fuse())?;
    if own.next().is_some() {
        return None;
    }
    let is_joint = |edge: &Edge| edge.is_metal() && edge.wire().is_none() && edge.element().is_none();
    let place = network.walk([other], |_, edge| is_joint(edge));
    let around = place.reached().iter().flat_map(|point| network.around(*point));
    let mut leads: Vec<(EdgeId, WireId, PointId)> = around.filter_map(|(id, edge, to)| Some((id, edge.wire()?, to))).collect();
    leads.sort_unstable_by_key(|lead| lead.1);
    if leads.len() < 2 {
        return None;
    }
    let here: FxHashSet<EdgeId> = leads.iter().map(|(id, ..)| *id).collect();
    let mut loads: Vec<ElementId> = Vec::new();
    for (.., to) in &leads {
        let walk = network.walk([*to], |id, edge| !here.contains(&id) && edge.role.conducts_when_closed());
        let edges = || walk.reached().iter().flat_map(|point| network.around(*point));
        if edges().any(|(_, edge, _)| edge.role.drives()) {
            continue;
        }
        for load in edges().filter(|(_, edge, _)| edge.role.draws()).filter_map(|(_, edge, _)| edge.element()) {
            if !loads.contains(&load) {
                loads.push(load);
            }
        }
    }
    let wires = leads.iter().map(|(_, wire, _)| *wire).collect();
    let element = edge.element()?;
    Some(OneSided { open, element, edge: id, other, wires, loads })
}
