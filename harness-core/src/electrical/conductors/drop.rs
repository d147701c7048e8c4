//! Volts lost between a source and what it feeds, for every load and every battery on charge, in the mode in which they
//! are most.
//!
//! Lost is what conductors, contacts, fuses and closed switches take between the poles of the source and the two points of the
//! load; the source's own resistance, diodes, resistors and loads in the way are left out. Conductors without a length or a
//! size count nothing, so that a verdict never rests on an assumption.

use crate::{
    electrical::{
        ModeState,
        current_path::{CurrentPath, Direction, Loss, is_source},
    },
    model::{ElementId, ElementKind, ModeId, Model, PointId},
    network::{Domains, EdgeId, Network, Terminal},
    quantity::Volt,
    standards::{
        Source,
        drop::{Limit, Served, limit},
    },
    text::Span,
    vocabulary::LoadKind,
};

/// What is fed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fed {
    /// A load.
    Load,
    /// A battery that is charged.
    Battery,
}

/// What a load, or a battery on charge, loses in its worst mode.
#[derive(Debug, Clone, PartialEq)]
pub struct Drop {
    /// What is fed.
    pub fed: Fed,
    /// The element.
    pub element: ElementId,
    /// The mode.
    pub mode: ModeId,
    /// The point at which the current enters it, and the one at which it leaves.
    pub points: (PointId, PointId),
    /// Nominal voltage of its domain.
    pub nominal: Volt,
    /// What the feed loses.
    pub feed: Loss,
    /// What the return loses.
    pub back: Loss,
    /// The most it may lose, with the place in the policy or the table that says so.
    pub limit: (Limit, Authority),
}

/// Who sets a limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Authority {
    /// The policy, at this place.
    Policy(Span),
    /// A table.
    Table(&'static Source),
}

impl Drop {
    /// The volts that count against the limit.
    #[must_use]
    pub fn volts(&self) -> Volt {
        self.limit.0.counts(Volt::new(self.feed.volts), Volt::new(self.back.volts))
    }

    /// The limit in volts.
    #[must_use]
    pub fn most(&self) -> Volt {
        self.limit.0.volts(self.nominal)
    }

    /// Whether a conductor on the way is not counted, because it has no length or no size.
    #[must_use]
    pub fn is_partial(&self) -> bool {
        let covers_return = matches!(self.limit.0, Limit::Share(_));
        self.feed.is_partial || (covers_return && self.back.is_partial)
    }

    /// Volts by which the limit is passed; at most zero where it is kept.
    #[must_use]
    pub fn excess(&self) -> f64 {
        self.volts().get() - self.most().get()
    }
}

/// The drop of each load and of each battery on charge in the worst of `modes`, in the order of the elements.
///
/// Loads that are not fed, that lack a return or whose domain nobody names are left out. Cost: two passes over the network a mode.
pub(in crate::electrical) fn drops(network: &Network, domains: &Domains, modes: &[ModeState]) -> Vec<Drop> {
    let model = network.model();
    let fed: Vec<(EdgeId, ElementId, Fed)> = network
        .edges()
        .filter_map(|(id, edge)| {
            let (element, terminal) = edge.element()?;
            match (&model.element(element)?.kind, terminal) {
                (ElementKind::Load { .. }, Terminal::Whole) => Some((id, element, Fed::Load)),
                (ElementKind::Source { limit: None, .. }, _) if is_source(model, edge) => Some((id, element, Fed::Battery)),
                _ => None,
            }
        })
        .collect();
    let mut worst: Vec<Option<Drop>> = vec![None; fed.len()];
    for mode in modes {
        let mut starts = Vec::new();
        for (at, (id, _, kind)) in fed.iter().enumerate() {
            let Some(edge) = network.edge(*id) else { continue };
            let amps = mode.working_amps(*id, edge).get();
            let on_charge = *kind == Fed::Battery && amps < 0.0;
            if amps == 0.0 || !(on_charge || *kind == Fed::Load) || mode.no_return.binary_search(id).is_ok() {
                continue;
            }
            starts.push((at, if amps > 0.0 { (edge.a, edge.b) } else { (edge.b, edge.a) }));
        }
        let ends = |which: fn(&(PointId, PointId)) -> PointId| starts.iter().map(|(_, points)| which(points)).collect::<Vec<_>>();
        let feeds = CurrentPath::new(network, mode, Direction::Feed).losses(&ends(|points| points.0));
        let backs = CurrentPath::new(network, mode, Direction::Return).losses(&ends(|points| points.1));
        for ((at, points), (feed, back)) in starts.into_iter().zip(feeds.into_iter().zip(backs)) {
            let (Some((_, element, kind)), Some(slot)) = (fed.get(at), worst.get_mut(at)) else { continue };
            // A way that ends at no source is another rule's.
            if feed.source.is_none() || back.source.is_none() {
                continue;
            }
            let Some(domain) = domains.of(points.0).and_then(|domain| model.domain(domain)) else { continue };
            if domain.nominal.get() <= 0.0 {
                continue;
            }
            let limit = limit_of(model, *element, *kind, domain.nominal, domain.ac);
            let drop = Drop { fed: *kind, element: *element, mode: mode.id, points, nominal: domain.nominal, feed, back, limit };
            if slot.as_ref().is_none_or(|before| drop.volts() > before.volts()) {
                *slot = Some(drop);
            }
        }
    }
    worst.into_iter().flatten().collect()
}

fn limit_of(model: &Model, element: ElementId, fed: Fed, nominal: Volt, alternating: bool) -> (Limit, Authority) {
    let own = &model.policy.voltage_drop;
    let kind = match model.element(element).map(|element| &element.kind) {
        Some(ElementKind::Load { kind, .. }) => *kind,
        _ => None,
    };
    let (said, served) = match (fed, kind) {
        (Fed::Battery, _) => (own.charging, Served::Battery),
        (Fed::Load, Some(LoadKind::Electronics)) => (own.electronics, Served::Electronics),
        (Fed::Load, Some(LoadKind::Sensor)) => (own.sensor, Served::Electronics),
        (Fed::Load, Some(LoadKind::Lamp)) => (own.lamp, Served::General),
        (Fed::Load, Some(LoadKind::Motor)) => (own.motor, Served::General),
        (Fed::Load, Some(LoadKind::Heater)) => (own.heater, Served::General),
        (Fed::Load, Some(LoadKind::Coil)) => (own.coil, Served::General),
        (Fed::Load, None) => (own.other, Served::General),
    };
    match said {
        Some(share) => (Limit::Share(share.value), Authority::Policy(share.span)),
        None => {
            let limit = limit(served, nominal, alternating);
            (limit.value, Authority::Table(limit.source))
        }
    }
}
