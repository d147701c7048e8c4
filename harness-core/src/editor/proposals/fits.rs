//! What goes into what: which ports suit a key, which housings go into each other.

use crate::{
    format::Attribute,
    model::{HousingId, Mate, Model, Port, PortKind},
};

/// Whether an end may be joined to a port by this key.
pub(super) fn suits(key: Attribute, port: &Port) -> bool {
    match (key, port.kind) {
        (Attribute::Mates, PortKind::Connector(_)) => true,
        (Attribute::BoltsTo | Attribute::Body, PortKind::Stud(_) | PortKind::Body) => true,
        (Attribute::LandsOn, PortKind::Landing(_)) => true,
        (_, PortKind::Connector(_) | PortKind::Stud(_) | PortKind::Body | PortKind::Landing(_)) => false,
    }
}

pub(super) fn housing_of(model: &Model, mate: Mate) -> Option<HousingId> {
    match mate {
        Mate::Port(port) => model[port].housing(),
        Mate::End(end) => model[end].housing(),
    }
}

/// Whether two housings go into each other.
pub(super) fn fit(model: &Model, one: HousingId, other: HousingId) -> bool {
    let (one, other) = (&model[one], &model[other]);
    let text = |at: Option<crate::text::Text>| at.map(|at| model.text(at.value));
    text(one.family) == text(other.family)
        && text(one.key) == text(other.key)
        && one.labels.len() == other.labels.len()
        && one.contacts.map(|at| at.value) != other.contacts.map(|at| at.value)
}
