//! What faults are looked at for: everything that draws, the limits of every point, the signals that permit or forbid something.

use super::rows::Rows;
use crate::{
    arena::IdVec,
    electrical::Electrical,
    model::{DeviceId, ElementId, PointId},
    network::{Edge, EdgeId, EdgeRole, Network},
    quantity::Volt,
    standards::voltage::class_a_limit,
    vocabulary::{Active, Role},
};
use rustc_hash::FxHashMap;

/// Voltage by which a point must be beyond the limit of its domain to count as lifted, as a share of the limit.
pub(super) const BEYOND: f64 = 1.02;
/// How far below the return of its device a signal may be, as a share of the highest voltage of its domain.
const BELOW: f64 = 0.1;

/// What draws.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Draws {
    Load,
    Coil,
    Converter,
}

/// Something that draws.
#[derive(Debug, Clone, Copy)]
pub(super) struct Thing {
    pub(super) element: ElementId,
    pub(super) points: (PointId, PointId),
    /// The voltage that it is made for.
    pub(super) nominal: Volt,
    /// The highest voltage of its domain; zero where none is known.
    pub(super) most: Volt,
    pub(super) what: Draws,
}

/// What points of one kind may be at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Limits {
    /// The limit of voltage class A; zero where no domain is known.
    pub(super) touch: Volt,
    /// The highest voltage of its domain.
    pub(super) domain: Volt,
    /// How far below the return of its device it may be: what takes or gives a signal is harmed below it, a return that has come loose may
    /// be anywhere.
    pub(super) least: Volt,
    /// A point of a device, which is made for the voltage of its domain.
    pub(super) is_boxed: bool,
}

impl Limits {
    /// Whether a voltage against the return of the device is above the one or below the other.
    pub(super) fn are_passed(&self, volts: Volt) -> bool {
        volts > self.domain * BEYOND || volts < self.least
    }
}

/// All of it, found once.
#[derive(Debug)]
pub(super) struct Things<'e> {
    pub(super) network: &'e Network,
    /// Per edge: its place in `draws`, from one; zero for what does not draw.
    slots: IdVec<EdgeId, u32>,
    draws: Vec<Thing>,
    /// Per point: its kind, by place in `kinds`.
    limits: IdVec<PointId, u32>,
    kinds: Vec<Limits>,
    /// Per point: the return of its own device against which its level counts; `None` where it is the chassis.
    pub(super) returns: IdVec<PointId, Option<PointId>>,
    /// Per return: the points whose level counts against it.
    pub(super) dependents: FxHashMap<PointId, Vec<PointId>>,
    /// Pins with the place of a guard among theirs, its level and the nominal voltage of the pin's domain.
    pub(super) guards: Vec<(PointId, usize, Active, Volt)>,
    /// What is in a row with nothing leading off.
    pub(super) rows: Rows,
}

impl<'e> Things<'e> {
    pub(super) fn new(electrical: &'e Electrical) -> Self {
        let network = electrical.network();
        let model = network.model();
        let domain = |point: PointId| electrical.domains().of(point).map(|domain| &model[domain]);
        let draws = |edge: &Edge| {
            let what = match edge.role {
                EdgeRole::Load => Draws::Load,
                EdgeRole::Coil => Draws::Coil,
                EdgeRole::ConverterInput => Draws::Converter,
                _ => return None,
            };
            let element = edge.element()?;
            let nominal = electrical.nominal(element);
            // What a sensor supply feeds has no domain of its own to be beyond.
            let most = domain(edge.a).filter(|_| nominal.is_some_and(|nominal| nominal.supply.is_none()));
            Some(Thing {
                element,
                points: (edge.a, edge.b),
                nominal: nominal?.volts,
                most: most.map_or(Volt::ZERO, |domain| domain.max),
                what,
            })
        };
        let (mut slots, mut list) = (IdVec::of(0, network.edge_count()), Vec::new());
        for (id, edge) in network.edges() {
            if let Some(thing) = draws(edge) {
                list.push(thing);
                slots[id] = list.len() as u32;
            }
        }
        let limits = |id: PointId| {
            let none = Limits { touch: Volt::ZERO, domain: Volt::ZERO, least: Volt::ZERO, is_boxed: false };
            domain(id).map_or(none, |domain| {
                let takes_signal = model.role_at(id).is_some_and(|role| !role.takes_back() && role != Role::Screen);
                Limits {
                    touch: class_a_limit(domain.ac).value,
                    domain: domain.max,
                    least: if takes_signal { -(domain.max * BELOW) } else { Volt::new(f64::MIN) },
                    is_boxed: model.device_at(id).is_some(),
                }
            })
        };
        let mut kinds: Vec<Limits> = Vec::new();
        let of_points = model.points().map(|(id, _)| {
            let limits = limits(id);
            let known = kinds.iter().position(|kind| *kind == limits);
            let place = known.unwrap_or(kinds.len());
            if known.is_none() {
                kinds.push(limits);
            }
            place as u32
        });
        let of_points = of_points.collect();
        let guards = model.points().flat_map(|(id, _)| {
            let guards = model.pin_at(id).map_or(&[][..], |pin| &pin.guards);
            let nominal = domain(id).map_or(Volt::ZERO, |domain| domain.nominal);
            guards.iter().enumerate().map(move |(place, guard)| (id, place, guard.active, nominal))
        });
        let guards = guards.collect();
        // What either conducts or draws, whatever becomes of the rest.
        let is_load = |id: EdgeId| {
            let thing: Option<&Thing> = (slots[id] as usize).checked_sub(1).and_then(|place| list.get(place));
            thing.is_some_and(|thing| thing.what == Draws::Load)
        };
        let may = |id: EdgeId| {
            let edge = &network[id];
            edge.wire().is_some() || edge.role.is_place() || edge.role.is_fuse() || is_load(id)
        };
        let rows = Rows::new(network, may);
        let returns = returns(network);
        let mut dependents: FxHashMap<PointId, Vec<PointId>> = FxHashMap::default();
        for (point, own) in returns.iter() {
            if let Some(own) = own {
                dependents.entry(*own).or_default().push(point);
            }
        }
        Self { network, slots, draws: list, limits: of_points, kinds, returns, dependents, guards, rows }
    }

    /// What draws at an edge.
    #[inline]
    pub(super) fn of(&self, edge: EdgeId) -> Option<&Thing> {
        self.draws.get((self.slots[edge] as usize).checked_sub(1)?)
    }

    /// Whether a signal at a point permits or forbids something.
    pub(super) fn is_guard(&self, point: PointId) -> bool {
        self.network.model().pin_at(point).is_some_and(|pin| !pin.guards.is_empty())
    }

    /// What a point may be at; `None` where no domain is known.
    #[inline]
    pub(super) fn limits(&self, point: PointId) -> Option<&Limits> {
        self.kinds.get(self.limits[point] as usize).filter(|limits| limits.touch > Volt::ZERO)
    }
}

/// The return of each pin's own device: that to which what is drawn at the pin leads, else one of its port, else any of the device; of
/// several one of its domain. What is a return itself counts against the chassis.
fn returns(network: &Network) -> IdVec<PointId, Option<PointId>> {
    let model = network.model();
    let is_return = |point: PointId| model.role_at(point).is_some_and(Role::takes_back);
    let mut of_device: FxHashMap<DeviceId, Vec<PointId>> = FxHashMap::default();
    for (point, _) in model.points().filter(|(point, _)| is_return(*point)) {
        if let Some(device) = model.device_at(point) {
            of_device.entry(device).or_default().push(point);
        }
    }
    let domain = |point: PointId| model.pin_at(point).and_then(|pin| pin.domain.map(|(domain, _)| domain));
    let found = model.points().map(|(point, _)| {
        if is_return(point) {
            return None;
        }
        let returns = of_device.get(&model.device_at(point)?)?;
        let drawn = network.around(point).filter(|(_, edge, _)| edge.element().is_some()).map(|(_, _, other)| other);
        let mut drawn = drawn.filter(|other| returns.contains(other));
        drawn.next().or_else(|| {
            let suits = |other: &&PointId| {
                let here = model.port_at(**other) == model.port_at(point);
                (here, domain(**other) == domain(point))
            };
            // The first of those that suit best.
            returns.iter().rev().max_by_key(suits).copied()
        })
    });
    found.collect()
}
