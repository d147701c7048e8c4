//! Elements at which it matters which side is positive.

use super::Facts;
use crate::{
    model::{ElementId, ElementKind},
    network::{Edge, EdgeRole},
    vocabulary::Suppression,
};

impl Facts {
    /// The element of an edge whose first point is its positive side: a polarised load, switch or capacitor, a coil with a built-in diode, the
    /// input of a converter that direct current feeds. `None` for all others.
    ///
    /// Asked by `netlist/reversed-polarity` and for the reversed sources. Cost: a look-up.
    #[must_use]
    pub fn polarised(&self, edge: &Edge) -> Option<ElementId> {
        let element = edge.element()?;
        let is_polarised = match self.model()[element].kind {
            // Alternating voltage has no plus.
            ElementKind::Load { polarised, .. } | ElementKind::Switch { polarised, .. } => {
                polarised && !self.is_alternating(edge)
            }
            ElementKind::Relay { suppression, .. } => edge.role == EdgeRole::Coil && suppression == Some(Suppression::Diode),
            // At an alternating input either line may be first.
            ElementKind::Converter { .. } => edge.role == EdgeRole::ConverterInput && !self.is_alternating(edge),
            ElementKind::Capacitor(capacitor) => capacitor.polarised,
            ElementKind::Source { .. } | ElementKind::Resistor(_) => false,
            ElementKind::Diode(_) | ElementKind::Fuse { .. } | ElementKind::Disconnect { .. } | ElementKind::Link { .. } => false,
            ElementKind::Interlock { .. } => false,
        };
        is_polarised.then_some(element)
    }

    /// Whether one of the points of an edge is in a domain of alternating voltage.
    #[must_use]
    pub fn is_alternating(&self, edge: &Edge) -> bool {
        let domains = self.electrical().domains();
        [edge.a, edge.b].iter().any(|point| domains.of(*point).is_some_and(|domain| self.model()[domain].ac))
    }
}
