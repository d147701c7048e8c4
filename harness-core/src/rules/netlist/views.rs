//! What edges are to the rules of this group: what can switch, which loads are alive with their voltage, what is nominal.

use crate::{
    model::{Element, ElementKind, Model},
    network::{Domains, Edge, EdgeKind, Terminal},
    quantity::Volt,
    vocabulary::LoadKind,
};

pub(super) use crate::electrical::connectivity::{Connectivity, Part, part};

/// Whether the edge can be open in one mode and closed in another.
pub(super) fn switches(model: &Model, edge: &Edge) -> bool {
    let EdgeKind::Element(element, terminal) = edge.kind else { return false };
    matches!(terminal, Terminal::Make | Terminal::Break)
        || matches!(
            model.element(element).map(|element| &element.kind),
            Some(ElementKind::Switch { .. } | ElementKind::Disconnect { .. })
        )
}

/// Whether a load of this kind is alive whenever it has its voltage; electronics and sensors decide for themselves.
pub(super) fn is_switched(kind: LoadKind) -> bool {
    matches!(kind, LoadKind::Lamp | LoadKind::Motor | LoadKind::Heater | LoadKind::Coil)
}

/// Nominal voltage at the points of an element; `None` where no domain is joined to them.
pub(super) fn nominal(model: &Model, domains: &Domains, element: &Element) -> Option<Volt> {
    let domain = element.points.iter().take(2).find_map(|point| domains.of(*point))?;
    model.domain(domain).map(|domain| domain.nominal).filter(|nominal| nominal.get() > 0.0)
}
