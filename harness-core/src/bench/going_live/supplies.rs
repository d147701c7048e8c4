//! What gives power and is not a battery: mains, generators, panels, converters that make class B of class A.

use super::{batteries::is_battery, pieces::is_class_b};
use crate::{
    facts::Facts,
    model::{ElementId, ElementKind, ModeId},
    network::{Edge, EdgeId},
};

/// A source that is not a battery: mains with all of its phases, a generator, panels of cells in the sun, a converter that makes class B of
/// class A.
pub(super) struct Supply {
    /// One, or several of one box that come at once.
    pub(super) elements: Vec<ElementId>,
    pub(super) edges: Vec<EdgeId>,
    pub(super) class_b: bool,
    /// It is there in the quiet mode too, so that somebody has to keep it off.
    pub(super) always: bool,
    /// It gives no more than its limit.
    pub(super) limited: bool,
}

/// All of them, in the order written, those of one box that come at once as one.
pub(super) fn supplies(facts: &Facts) -> Vec<Supply> {
    let sources = facts.network().edges().filter(|(_, edge)| edge.role.is_source() && !is_battery(facts, edge));
    let found = sources.filter_map(|(id, edge)| {
        Some(Supply {
            elements: vec![edge.element()?],
            edges: vec![id],
            class_b: is_class_b(facts, edge.a) || is_class_b(facts, edge.b),
            always: false,
            limited: !edge.role.drives_without_limit(),
        })
    });
    let mut found: Vec<Supply> = found.collect();
    // An inverter that makes class B of class A has to be off as long as class B is.
    let is_b = |edge: &Edge| is_class_b(facts, edge.a) || is_class_b(facts, edge.b);
    for (id, edge) in facts.network().edges().filter(|(_, edge)| edge.role.drives() && !edge.role.is_source() && is_b(edge)) {
        let Some(element) = edge.element() else { continue };
        let own = || facts.network().edges().filter(|(_, other)| other.element() == Some(element));
        if own().any(|(other, edge)| other != id && is_b(edge)) {
            continue;
        }
        let edges = own().map(|(id, _)| id).collect();
        found.push(Supply { elements: vec![element], edges, class_b: true, always: false, limited: false });
    }
    at_once(facts, found)
}

/// The supplies of one box that come in the same modes as one: the phases of the mains.
fn at_once(facts: &Facts, found: Vec<Supply>) -> Vec<Supply> {
    let model = facts.model();
    let key = |supply: &Supply| {
        let owner = supply.elements.first().map(|element| model[*element].owner);
        let modes: Vec<bool> = model.modes().map(|(mode, _)| supply.is_on(facts, mode)).collect();
        (owner, supply.class_b, supply.limited, modes)
    };
    let mut joined: Vec<(_, Supply)> = Vec::new();
    for supply in found {
        let own = key(&supply);
        match joined.iter_mut().find(|(known, _)| *known == own) {
            Some((_, known)) => {
                known.elements.extend(supply.elements);
                known.edges.extend(supply.edges);
            }
            None => joined.push((own, supply)),
        }
    }
    joined.into_iter().map(|(_, supply)| supply).collect()
}

impl Supply {
    /// Whether it gives power in a mode.
    pub(super) fn is_on(&self, facts: &Facts, mode: ModeId) -> bool {
        self.elements.iter().any(|element| match facts.model()[*element].kind {
            ElementKind::Source { modes, .. } | ElementKind::Converter { modes, .. } => modes.has(mode),
            _ => false,
        })
    }
}
