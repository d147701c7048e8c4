//! The resistance of metal that is not a wire: contacts, rings on studs, links, screens, the chassis.

use crate::{
    model::{Element, ElementKind, EndId, Mate, Model},
    network::{Edge, EdgeKind},
    quantity::Ohm,
    standards::contact,
};

/// The resistance of a joint of metal; `None` for a wire, and for what is not plain metal.
#[must_use]
pub fn joint(model: &Model, edge: &Edge) -> Option<Ohm> {
    match edge.kind {
        EdgeKind::Wire(_) => None,
        EdgeKind::Screen(_) => Some(screen()),
        EdgeKind::Contact(end) => Some(mated(model, end)),
        EdgeKind::Joint(_) => Some(bolted(model)),
        EdgeKind::Chassis(_) => Some(chassis()),
        EdgeKind::Element(element) => bar(&model[element]),
    }
}

/// Resistance of a screen from end to end.
pub(in crate::electrical) fn screen() -> Ohm {
    contact::plug_resistance().value
}

/// Resistance between two places of the chassis.
pub(in crate::electrical) fn chassis() -> Ohm {
    contact::closed_resistance().value
}

/// Resistance of a ring on its stud: the policy's, else the usual one.
#[must_use]
pub fn bolted(model: &Model) -> Ohm {
    model.policy.joint_resistance.map_or(contact::bolted_resistance().value, |at| at.value)
}

/// Resistance of a link between neighbours: its own, else that of a closed contact, which also replaces one that is not above zero: a
/// nodal analysis has no place for it. `None` for every other element.
#[must_use]
pub fn bar(element: &Element) -> Option<Ohm> {
    match element.kind {
        ElementKind::Link { resistance, .. } => {
            let own = resistance.map(|at| at.value).filter(|ohm| *ohm > Ohm::ZERO);
            Some(own.unwrap_or(contact::closed_resistance().value))
        }
        ElementKind::Source { .. } | ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) => None,
        ElementKind::Diode(_) | ElementKind::Fuse { .. } | ElementKind::Switch { .. } | ElementKind::Relay { .. } => None,
        ElementKind::Disconnect { .. } | ElementKind::Converter { .. } | ElementKind::Interlock { .. } => None,
    }
}

/// Resistance of a mated contact: its housing's, else its partner's, else the policy's, else the usual one.
#[must_use]
pub fn mated(model: &Model, end: EndId) -> Ohm {
    let end = &model[end];
    let own = end.housing().map(|housing| &model[housing]);
    let partner = match end.mate {
        Some(Mate::Port(port)) => model[port].housing().map(|housing| &model[housing]),
        Some(Mate::End(_)) | None => None,
    };
    let said = own.and_then(|housing| housing.contact_resistance).or(partner.and_then(|housing| housing.contact_resistance));
    let said = said.or(model.policy.contact_resistance).map(|at| at.value);
    said.filter(|ohm| *ohm > Ohm::ZERO).unwrap_or(contact::plug_resistance().value)
}
