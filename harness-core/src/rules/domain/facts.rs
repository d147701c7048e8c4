//! What the rules of the group ask of a domain: its class, the isolation it needs, its name with its voltage.

use crate::{
    model::{Domain, DomainId, Model, PointId},
    network::{Nearest, Potential},
    quantity::{Ohm, Volt},
    standards::{
        Sourced,
        voltage::{VoltageClass, class, class_a_limit, isolation_per_volt_ac, least_isolation},
    },
};

/// The class of a domain.
pub(super) fn class_of(domain: &Domain) -> VoltageClass {
    class(domain.max, domain.ac)
}

/// Least isolation resistance of a domain: 100 ohm/V of a DC circuit, 500 ohm/V of an AC circuit.
pub(super) fn isolation_of(domain: &Domain) -> Sourced<Ohm> {
    if domain.ac {
        isolation_per_volt_ac().map(|per_volt| Ohm::new(per_volt.get() * domain.max.get().abs()))
    } else {
        least_isolation(domain.max)
    }
}

/// Whether a domain is of class B.
pub(super) fn is_class_b(model: &Model, domain: DomainId) -> bool {
    model.domain(domain).is_some_and(|domain| class_of(domain) == VoltageClass::B)
}

/// `traction` (up to 350 V DC)
pub(super) fn domain_words(model: &Model, domain: &Domain) -> String {
    let kind = if domain.ac { "AC" } else { "DC" };
    format!("`{}` (up to {} {kind})", model.text(domain.name), domain.max)
}

/// A domain as a figure.
pub(super) fn domain_figure(model: &Model, domain: &Domain) -> String {
    let kind = if domain.ac { "AC" } else { "DC" };
    format!("`{}`: {} {kind} nominal, {} highest, {}", model.text(domain.name), domain.nominal, domain.max, class_of(domain))
}

/// The limit between the voltage classes as a figure.
pub(super) fn class_figure(domain: &Domain) -> String {
    format!("up to {}", class_a_limit(domain.ac))
}

/// The voltage that a wire or part has to stand: that of the highest domain at `points`; `None` where none is known, or where
/// class B meets another domain or the chassis there: that is a joint, reported as such.
pub(super) fn highest(model: &Model, potentials: &Nearest<Potential>, points: &[PointId]) -> Option<(DomainId, Volt)> {
    let mut highest: Option<(DomainId, Volt)> = None;
    let mut mixed = false;
    let mut class_b = false;
    for point in points {
        let Some(Potential::Domain(id)) = potentials.of(*point) else {
            mixed |= potentials.of(*point).is_some();
            continue;
        };
        let Some(domain) = model.domain(id) else { continue };
        class_b |= class_of(domain) == VoltageClass::B;
        mixed |= highest.is_some_and(|(other, _)| other != id);
        if highest.is_none_or(|(_, volts)| domain.max > volts) {
            highest = Some((id, domain.max));
        }
    }
    highest.filter(|_| !(mixed && class_b))
}
