//! Volts lost between a source and what it feeds, for every load and every battery on charge, in the mode in which they
//! are most.
//!
//! Lost is what conductors, contacts, fuses and closed switches take between the poles of the source and the two points of the
//! load; the source's own resistance, diodes, resistors and loads in the way are left out. A load that several sources feed is
//! measured from the one that loses the fewest volts on its way, and from one at its limit only where no other feeds it: that one
//! raises its own pole as far as its current needs. What charges a battery is measured along the most current. Conductors without a length or a
//! size count nothing, so that a verdict never rests on an assumption.

use crate::{
    arena::IdVec,
    electrical::{
        Charge, ModeState, Nominal,
        current_path::{CurrentPath, Direction, Loss},
    },
    model::{ElementId, ElementKind, ModeId, Model, PointId},
    network::{Domains, EdgeId, Network},
    quantity::{Ampere, Volt},
    standards::{
        Source,
        drop::{Limit, Served, limit},
    },
    text::Span,
    vocabulary::LoadKind,
};

/// The voltage that each element is made for.
type Nominals = IdVec<ElementId, Option<Nominal>>;

/// What is fed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fed {
    /// A load.
    Load,
    /// A battery that is charged.
    Battery,
}

impl Fed {
    /// The ways on which what is fed is measured.
    #[must_use]
    pub fn path<'a>(self, network: &'a Network, mode: &'a ModeState, direction: Direction) -> CurrentPath<'a> {
        match self {
            Self::Load => CurrentPath::from_firm(network, mode, direction),
            Self::Battery => CurrentPath::new(network, mode, direction),
        }
    }
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
        self.limit.0.counts(self.feed.volts, self.back.volts)
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
    pub fn excess(&self) -> Volt {
        self.volts() - self.most()
    }
}

/// The drop of each load and of each battery on charge in the worst of `modes`, in the order of the elements.
///
/// Loads that are not fed, that lack a return or whose domain nobody names are left out. Cost: two passes over the network a mode.
pub(in crate::electrical) fn drops(
    network: &Network,
    domains: &Domains,
    nominals: &Nominals,
    modes: &[ModeState],
    charges: &[Charge],
) -> Vec<Drop> {
    let model = network.model();
    let taken: Vec<Taker> = network
        .edges()
        .filter_map(|(id, edge)| {
            let element = edge.element()?;
            let fed = edge.role.has_drop_limit().then_some(Fed::Load).or(edge.role.takes_charge().then_some(Fed::Battery))?;
            Some(Taker { edge: id, element, fed })
        })
        .collect();
    let mut takers: Vec<(Taker, Option<Drop>)> = taken.into_iter().map(|taker| (taker, None)).collect();
    // Where batteries are on charge, loads are judged with full ones and the charging line with flat ones.
    let mut states: Vec<(&ModeState, Fed)> = Vec::new();
    for mode in modes {
        let charge = charges.iter().find(|charge| charge.mode == mode.id);
        let (full, flat) = charge.map_or((mode, mode), |charge| (&charge.full, &charge.flat));
        states.extend([(full, Fed::Load), (flat, Fed::Battery)]);
    }
    for (mode, fed) in states {
        let mut starts = Vec::new();
        for (taker, worst) in takers.iter_mut().filter(|(taker, _)| taker.fed == fed) {
            let edge = &network[taker.edge];
            let amps = mode.working_amps(taker.edge, edge);
            let takes = if fed == Fed::Battery { amps < Ampere::ZERO } else { amps != Ampere::ZERO };
            if !takes || mode.no_return.binary_search(&taker.edge).is_ok() {
                continue;
            }
            starts.push((taker.element, worst, if amps > Ampere::ZERO { (edge.a, edge.b) } else { (edge.b, edge.a) }));
        }
        if starts.is_empty() {
            continue;
        }
        let ends =
            |which: fn(&(PointId, PointId)) -> PointId| starts.iter().map(|(_, _, points)| which(points)).collect::<Vec<_>>();
        let feeds = fed.path(network, mode, Direction::Feed).losses(&ends(|points| points.0));
        let backs = fed.path(network, mode, Direction::Return).losses(&ends(|points| points.1));
        for ((element, worst, points), (feed, back)) in starts.into_iter().zip(feeds.into_iter().zip(backs)) {
            // A way that ends at no source is another rule's.
            if feed.source.is_none() || back.source.is_none() {
                continue;
            }
            // Of what no pin names a domain the nominal voltage is not known.
            let Some(domain) = domains.of(points.0).map(|domain| &model[domain]) else { continue };
            if domain.nominal <= Volt::ZERO {
                continue;
            }
            // A sensor is held to the supply that it has.
            let nominal = nominals[element].filter(|own| own.supply.is_some()).map_or(domain.nominal, |own| own.volts);
            let limit = limit_of(model, &model[element].kind, fed, (nominal, domain.ac));
            let drop = Drop { fed, element, mode: mode.id, points, nominal, feed, back, limit };
            if worst.as_ref().is_none_or(|before| drop.volts() > before.volts()) {
                *worst = Some(drop);
            }
        }
    }
    takers.into_iter().filter_map(|(_, worst)| worst).collect()
}

/// Something whose feed loses volts.
#[derive(Debug, Clone, Copy)]
struct Taker {
    edge: EdgeId,
    element: ElementId,
    fed: Fed,
}

fn limit_of(model: &Model, kind: &ElementKind, fed: Fed, (nominal, alternating): (Volt, bool)) -> (Limit, Authority) {
    let policy = &model.policy.voltage_drop;
    let (said, served) = match (fed, load_kind(kind)) {
        (Fed::Battery, _) => (policy.charging, Served::Battery),
        (Fed::Load, Some(LoadKind::Electronics)) => (policy.electronics, Served::Electronics),
        (Fed::Load, Some(LoadKind::Sensor)) => (policy.sensor, Served::Electronics),
        (Fed::Load, Some(LoadKind::Lamp)) => (policy.lamp, Served::General),
        (Fed::Load, Some(LoadKind::Motor | LoadKind::Starter)) => (policy.motor, Served::General),
        (Fed::Load, Some(LoadKind::Heater)) => (policy.heater, Served::General),
        (Fed::Load, Some(LoadKind::Coil)) => (policy.coil, Served::General),
        (Fed::Load, None) => (policy.other, Served::General),
    };
    match said {
        Some(share) => (Limit::Share(share.value), Authority::Policy(share.span)),
        None => {
            let limit = limit(served, nominal, alternating);
            (limit.value, Authority::Table(limit.source))
        }
    }
}

/// What a load is; `None` for one that does not say, and for every other element.
#[must_use]
pub fn load_kind(kind: &ElementKind) -> Option<LoadKind> {
    match kind {
        ElementKind::Load { kind, .. } => *kind,
        ElementKind::Source { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) | ElementKind::Diode(_) => None,
        ElementKind::Fuse { .. } | ElementKind::Switch { .. } | ElementKind::Relay { .. } | ElementKind::Disconnect { .. } => {
            None
        }
        ElementKind::Link { .. } | ElementKind::Converter { .. } | ElementKind::Interlock { .. } => None,
    }
}
