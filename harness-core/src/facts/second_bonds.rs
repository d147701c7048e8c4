//! Contacts that join the neutral of the grid to protective earth: the bond of an inverter or generator that stays closed while the grid feeds.
//!
//! The grid has its bond where it comes from. A second one makes the protective earth a second way for the current of the neutral, and a residual-current
//! device before it sees a part of that current only.
//!
//! Cost: nothing where there is no mains; else a search of the network for each contact between a neutral and an earth and each mode in which it is closed.

use super::{
    Facts,
    mains_sides::{is_earth, is_machine},
};
use crate::{
    model::{ElementId, ModeId, Owner, PointId},
    network::Edge,
    vocabulary::Role,
};

impl Facts {
    /// Contacts that bond the neutral of the grid a second time, in the order of the elements.
    ///
    /// Asked by `domain/chassis-tied`.
    #[must_use]
    pub fn second_bonds(&self) -> &[SecondBond] {
        self.made.second_bonds.get_or_init(|| second_bonds(self))
    }
}

/// A contact that bonds the neutral of the grid a second time.
#[derive(Debug)]
pub struct SecondBond {
    /// The contact.
    pub element: ElementId,
    /// The source whose neutral it bonds.
    pub source: ElementId,
    /// The modes in which it does.
    pub modes: Vec<ModeId>,
}

fn second_bonds(facts: &Facts) -> Vec<SecondBond> {
    let (model, network) = (facts.model(), facts.network());
    let grid: Vec<(Edge, ElementId, Owner)> = facts
        .mains()
        .into_iter()
        .map(|(id, _)| network[id])
        .filter(|edge| edge.role.is_source())
        .filter_map(|edge| Some((edge, edge.element()?)))
        .filter(|(_, source)| !is_machine(model, *source))
        .map(|(edge, source)| (edge, source, model[source].owner))
        .collect();
    if grid.is_empty() {
        return Vec::new();
    }
    // Where a neutral is on the earth as well, that is a fault of its wires and no bond by a contact.
    let at_earth = |point: PointId| {
        let net = network.net_points(network.net(point));
        let is_neutral = |point: &PointId| model.role_at(*point) == Some(Role::Neutral);
        net.iter().any(|point| is_earth(model, *point)) && !net.iter().any(is_neutral)
    };
    let is_pole = |element: ElementId| model.residual.iter().any(|group| group.poles.iter().any(|(pole, _)| *pole == element));
    let mut found: Vec<SecondBond> = Vec::new();
    for (id, edge) in network.edges().filter(|(_, edge)| edge.role.is_switched()) {
        let neutral = match (at_earth(edge.a), at_earth(edge.b)) {
            (true, false) => edge.b,
            (false, true) => edge.a,
            (true, true) | (false, false) => continue,
        };
        let Some(element) = edge.element().filter(|element| !is_pole(*element)) else { continue };
        for mode in facts.electrical().modes_as_written().into_iter().filter(|mode| mode.conducts(id)) {
            let walk = network.walk([neutral], |by, at| by != id && at.role.conducts_when_closed() && mode.conducts(by));
            let is_fed = |(source, _, owner): &&(Edge, ElementId, Owner)| {
                *owner != model[element].owner && [source.a, source.b].iter().any(|pole| walk.reached().contains(pole))
            };
            let Some((_, source, _)) = grid.iter().find(is_fed) else { continue };
            match found.iter_mut().find(|known| known.element == element) {
                Some(known) if known.modes.last() != Some(&mode.id) => known.modes.push(mode.id),
                Some(_) => {}
                None => found.push(SecondBond { element, source: *source, modes: vec![mode.id] }),
            }
        }
    }
    found
}
