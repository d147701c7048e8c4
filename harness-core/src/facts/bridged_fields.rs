//! Reversing contacts that are closed together and so bridge what they reverse, while the current goes on past it.
//!
//! The idea: what is reversed is between two lumps, and each of two other lumps has a contact to both. Both contacts of one side closed is how
//! a motor is braked at rest; with one of the other side closed too, the current passes by, and what is reversed gets none. Where that
//! joins the poles of a source it is a short, and where it is a load, that load has no voltage: both are reported as such.
//!
//! Cost: a pass over the edges, and for each resistor with contacts at both ends one over its contacts for each mode.

use super::Facts;
use crate::{
    model::{ElementId, ModeId},
    network::{Edge, EdgeId, EdgeRole, GroupId},
};
use std::collections::BTreeMap;

impl Facts {
    /// Resistors, such as field windings, that closed reversing contacts bridge, in the order of their edges.
    ///
    /// Asked by `netlist/closed-together`.
    #[must_use]
    pub fn bridged_fields(&self) -> Vec<BridgedField> {
        bridged_fields(self)
    }
}

/// What contacts bridge that should only reverse it.
#[derive(Debug)]
pub struct BridgedField {
    /// What is reversed.
    pub field: ElementId,
    /// The two contacts of one side that are closed together.
    pub contacts: (ElementId, ElementId),
    /// The modes.
    pub modes: Vec<ModeId>,
}

/// The contacts from one end of a field to each lump.
type Ways = BTreeMap<GroupId, Vec<EdgeId>>;

fn bridged_fields(facts: &Facts) -> Vec<BridgedField> {
    let network = facts.network();
    let is_field = |edge: &Edge| matches!(edge.role, EdgeRole::Resistor | EdgeRole::Shunt);
    let is_contact = |edge: &Edge| matches!(edge.role, EdgeRole::Switch { .. } | EdgeRole::MakeContact | EdgeRole::BreakContact);
    if !network.edges().any(|(_, edge)| is_field(edge)) {
        return Vec::new();
    }
    let lumps = network.components(|_, edge| edge.is_metal() || edge.role.is_fuse());
    let mut contacts: BTreeMap<GroupId, Ways> = BTreeMap::new();
    for (id, edge) in network.edges().filter(|(_, edge)| is_contact(edge)) {
        let (a, b) = (lumps.of(edge.a), lumps.of(edge.b));
        if a != b {
            contacts.entry(a).or_default().entry(b).or_default().push(id);
            contacts.entry(b).or_default().entry(a).or_default().push(id);
        }
    }
    let mut found = Vec::new();
    for (_, edge) in network.edges().filter(|(_, edge)| is_field(edge)) {
        let (a, b) = (lumps.of(edge.a), lumps.of(edge.b));
        let (Some(element), Some(of_a), Some(of_b)) = (edge.element(), contacts.get(&a), contacts.get(&b)) else { continue };
        let sides: Vec<(&Vec<EdgeId>, &Vec<EdgeId>)> =
            of_a.iter().filter_map(|(lump, at_a)| Some((at_a, of_b.get(lump)?))).collect();
        if a == b || sides.len() < 2 {
            continue;
        }
        let mut one: Option<BridgedField> = None;
        for mode in facts.electrical().modes().filter(|mode| !mode.is_shorted(edge.a)) {
            let closed = |contacts: &[EdgeId]| contacts.iter().copied().find(|contact| mode.conducts(*contact));
            let pairs: Vec<(Option<EdgeId>, Option<EdgeId>)> =
                sides.iter().map(|(at_a, at_b)| (closed(at_a), closed(at_b))).collect();
            let others = pairs.iter().filter(|(at_a, at_b)| at_a.is_some() || at_b.is_some()).count();
            let both = pairs.iter().find_map(|pair| if let (Some(at_a), Some(at_b)) = *pair { Some((at_a, at_b)) } else { None });
            let Some((at_a, at_b)) = both.filter(|_| others >= 2) else { continue };
            let (Some(first), Some(second)) = (network[at_a].element(), network[at_b].element()) else { continue };
            let known = one.get_or_insert_with(|| BridgedField { field: element, contacts: (first, second), modes: Vec::new() });
            known.modes.push(mode.id);
        }
        found.extend(one);
    }
    found
}
