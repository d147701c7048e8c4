//! The resistance of metal that is no wire: contacts, rings on studs, links, screens, the chassis.

use crate::{
    model::{ElementKind, EndId, Mate, Model},
    network::{Edge, EdgeKind, Terminal},
    quantity::Ohm,
    standards::contact,
};

/// The resistance of a joint of metal; `None` for a wire, and for what is not plain metal.
#[must_use]
pub fn joint(model: &Model, edge: &Edge) -> Option<Ohm> {
    match edge.kind {
        EdgeKind::Wire(_) => None,
        EdgeKind::Screen(_) => Some(contact::plug_resistance().value),
        EdgeKind::Contact(end) => Some(mated(model, end)),
        EdgeKind::Joint(_) => {
            let own = model.policy.joint_resistance.map(|at| at.value);
            Some(own.unwrap_or(contact::bolted_resistance().value))
        }
        EdgeKind::Chassis(_) => Some(contact::closed_resistance().value),
        EdgeKind::Element(element, Terminal::Bar) => match &model.element(element)?.kind {
            ElementKind::Link { resistance, .. } => {
                Some(resistance.map_or(contact::closed_resistance().value, |at| at.value)).filter(|ohm| ohm.get() > 0.0)
            }
            _ => None,
        },
        EdgeKind::Element(..) => None,
    }
}

/// Resistance of a mated contact: its housing's, else its partner's, else the policy's, else the usual one.
fn mated(model: &Model, end: EndId) -> Ohm {
    let Some(end) = model.end(end) else { return contact::plug_resistance().value };
    let own = end.housing().and_then(|housing| model.housing(housing));
    let partner = match end.mate {
        Some(Mate::Port(port)) => model.port(port).and_then(|port| model.housing(port.housing()?)),
        _ => None,
    };
    let said = own.and_then(|housing| housing.contact_resistance).or(partner.and_then(|housing| housing.contact_resistance));
    let said = said.or(model.policy.contact_resistance).map(|at| at.value);
    said.filter(|ohm| ohm.get() > 0.0).unwrap_or(contact::plug_resistance().value)
}
