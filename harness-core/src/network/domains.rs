//! Voltage domains, carried from the pins that name them to everything that is joined to them.

use super::{Edge, EdgeKind, Network, Terminal};
use crate::model::{DomainId, ElementKind, Model, PointId};
use std::collections::VecDeque;

/// The nearest domain of each point, and the pin that names it.
#[derive(Debug, Default)]
pub struct Domains {
    of: Vec<Option<(DomainId, PointId)>>,
}

impl Domains {
    /// The domain of `point`: its own, or that of the nearest pin that names one; `None` where none is joined to it.
    #[must_use]
    pub fn of(&self, point: PointId) -> Option<DomainId> {
        self.of.get(point.index()).copied().flatten().map(|(domain, _)| domain)
    }

    /// The pin whose domain `point` has.
    #[must_use]
    pub fn named_by(&self, point: PointId) -> Option<PointId> {
        self.of.get(point.index()).copied().flatten().map(|(_, pin)| pin)
    }
}

/// Whether an edge joins its two points galvanically: everything but converters and capacitors, which is what domains
/// are parted by. The coil and the contact of a relay are edges of their own and do not meet.
#[must_use]
pub fn is_galvanic(model: &Model, edge: &Edge) -> bool {
    match edge.kind {
        EdgeKind::Element(_, Terminal::Input | Terminal::Output) => true,
        EdgeKind::Element(element, _) => {
            !model.element(element).is_some_and(|item| matches!(item.kind, ElementKind::Capacitor(_)))
        }
        _ => true,
    }
}

/// Carries the domains over metal first and over elements then, so that a domain never reaches past another's metal.
#[must_use]
pub fn domains(model: &Model, network: &Network) -> Domains {
    let mut of: Vec<Option<(DomainId, PointId)>> = vec![None; network.point_count()];
    let mut waiting = VecDeque::new();
    for (point, item) in model.points() {
        let domain = item.pin.and_then(|pin| model.pin(pin)).and_then(|pin| pin.domain);
        if let (Some((domain, _)), Some(slot)) = (domain, of.get_mut(point.index())) {
            *slot = Some((domain, point));
            waiting.push_back(point);
        }
    }
    for metal_only in [true, false] {
        if !metal_only {
            waiting = of.iter().enumerate().filter(|(_, found)| found.is_some()).map(|(at, _)| PointId::from_index(at)).collect();
        }
        while let Some(point) = waiting.pop_front() {
            let Some(found) = of.get(point.index()).copied().flatten() else { continue };
            for (_, edge, other) in network.around(point) {
                let passes = if metal_only { edge.is_metal() } else { is_galvanic(model, edge) };
                if let (true, Some(slot @ None)) = (passes, of.get_mut(other.index())) {
                    *slot = Some(found);
                    waiting.push_back(other);
                }
            }
        }
    }
    Domains { of }
}
