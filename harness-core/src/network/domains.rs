//! What each point of the network belongs to: a voltage domain, carried from the pins that name one to everything that is
//! joined to them.
//!
//! The walk goes out from all pins at once, in three stages: over metal, over all else that joins but resistors, and last over
//! resistors, the least resistance first. So a domain never reaches past another's metal, and a measuring divider belongs to
//! the side that holds it. A mated contact or a ring on its stud is one place. Where two domains reach a point in the same step
//! the one that comes along more conductors has it: a stray wire at a splice does not take the splice.
//!
//! Cost: a few passes over the edges, with a sort of what each step reaches.

use super::{Components, Edge, EdgeId, GroupId, Network};
use crate::{
    arena::IdVec,
    model::{DomainId, Model, Point, PointId, PointKind},
    quantity::Ohm,
    vocabulary::Role,
};
use std::{cmp::Reverse, collections::BinaryHeap};

/// The nearest mark of each point, and the pin that bears it.
#[derive(Debug, Clone)]
pub struct Nearest<L> {
    of: IdVec<PointId, Option<Claim<L>>>,
}

#[derive(Debug, Clone, Copy)]
struct Claim<L> {
    mark: L,
    pin: PointId,
    ohms: f64,
}

/// The nearest voltage domain of each point.
pub type Domains = Nearest<DomainId>;

/// What a point is held at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Potential {
    /// A voltage domain.
    Domain(DomainId),
    /// The metal of the chassis, or a pin of role `chassis`.
    Chassis,
    /// A pin of role `earth`.
    Earth,
}

impl Potential {
    /// The domain; `None` for the chassis and protective earth.
    #[must_use]
    pub fn domain(self) -> Option<DomainId> {
        match self {
            Self::Domain(domain) => Some(domain),
            Self::Chassis | Self::Earth => None,
        }
    }
}

impl<L: Copy> Nearest<L> {
    /// The mark of `point`: its own, or that of the nearest pin that bears one; `None` where none is joined to it.
    #[must_use]
    pub fn of(&self, point: PointId) -> Option<L> {
        self.claim(point).map(|claim| claim.mark)
    }

    /// The pin whose mark `point` has.
    #[must_use]
    pub fn named_by(&self, point: PointId) -> Option<PointId> {
        self.claim(point).map(|claim| claim.pin)
    }

    /// Sum of the resistors between `point` and the pin whose mark it has; zero where nothing but other edges is between.
    #[must_use]
    pub fn resistance(&self, point: PointId) -> Ohm {
        Ohm::new(self.claim(point).map_or(0.0, |claim| claim.ohms))
    }

    fn claim(&self, point: PointId) -> Option<Claim<L>> {
        self.of[point]
    }
}

/// The resistance of an edge that is a resistor; `None` for every other edge.
#[must_use]
pub fn resistor(model: &Model, edge: &Edge) -> Option<Ohm> {
    let element = edge.element()?;
    model[element].kind.resistance()
}

/// The voltage domain of each point.
#[must_use]
pub fn domains(network: &Network) -> Domains {
    let model = network.model();
    nearest(network, |_, point| domain(model, point))
}

/// What each point is held at: as [`domains`], but chassis and protective earth hold what is nearest to them.
#[must_use]
pub fn potentials(network: &Network) -> Nearest<Potential> {
    let model = network.model();
    nearest(network, |_, point| {
        let is_chassis = match point.kind {
            PointKind::Pin(port) | PointKind::Stud(port) => model[model[port].device].chassis,
            PointKind::Node(_) | PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => false,
        };
        match point.pin.and_then(|pin| model[pin].role).map(|role| role.value) {
            Some(Role::Earth) => Some(Potential::Earth),
            Some(Role::Chassis) => Some(Potential::Chassis),
            _ if is_chassis => Some(Potential::Chassis),
            _ => domain(model, point).map(Potential::Domain),
        }
    })
}

/// An edge whose two points have different marks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Boundary {
    /// The edge.
    pub edge: EdgeId,
    /// Its points.
    pub points: [PointId; 2],
    /// Sum of the resistors between the two pins that bear the marks.
    pub resistance: Ohm,
}

/// The places where marks meet, in the order of the edges. Two pins that bear different marks and are joined have at least
/// one between them, and the least resistance of all between two marks is that of the best way between them.
#[must_use]
pub fn boundaries<L: Copy + PartialEq>(network: &Network, nearest: &Nearest<L>) -> Vec<Boundary> {
    let model = network.model();
    let edges = network.edges().filter(|(_, edge)| edge.role.is_galvanic());
    let differing = edges.filter(|(_, edge)| match (nearest.of(edge.a), nearest.of(edge.b)) {
        (Some(a), Some(b)) => a != b,
        _ => false,
    });
    differing
        .map(|(id, edge)| {
            let own = resistor(model, edge).map_or(0.0, Ohm::get);
            let resistance = nearest.resistance(edge.a).get() + own + nearest.resistance(edge.b).get();
            Boundary { edge: id, points: [edge.a, edge.b], resistance: Ohm::new(resistance) }
        })
        .collect()
}

fn domain(model: &Model, point: &Point) -> Option<DomainId> {
    point.pin.and_then(|pin| model[pin].domain).map(|(domain, _)| domain)
}

/// Points that are one place: a contact with its mate, a stud with its rings.
#[must_use]
pub fn places(network: &Network) -> Components {
    network.components(|_, edge| edge.role.is_place())
}

fn nearest<L: Copy + Ord>(network: &Network, seed: impl Fn(PointId, &Point) -> Option<L>) -> Nearest<L> {
    let model = network.model();
    let seeds = model.points().map(|(point, item)| seed(point, item).map(|mark| Claim { mark, pin: point, ohms: 0.0 }));
    let of: IdVec<PointId, Option<Claim<L>>> = seeds.collect();
    let mut spread = Spread { network, of };
    let places = places(network);
    for point in spread.claimed() {
        if let Some(claim) = spread.claim(point) {
            spread.give(places.members(places.of(point)), claim);
        }
    }
    let eases = |edge: &Edge| edge.role.joins_directly();
    spread.spread(&places, Edge::is_metal);
    spread.spread(&network.nets, eases);
    spread.trickle(&network.components(|_, edge| eases(edge)), |edge| resistor(model, edge));
    Nearest { of: spread.of }
}

struct Spread<'n, L> {
    network: &'n Network,
    of: IdVec<PointId, Option<Claim<L>>>,
}

impl<L: Copy + Ord> Spread<'_, L> {
    fn claim(&self, point: PointId) -> Option<Claim<L>> {
        self.of[point]
    }

    fn claimed(&self) -> Vec<PointId> {
        self.of.iter().filter(|(_, claim)| claim.is_some()).map(|(point, _)| point).collect()
    }

    /// Gives a claim to those points that have none.
    fn give(&mut self, points: &[PointId], claim: Claim<L>) {
        for point in points {
            self.of[*point].get_or_insert(claim);
        }
    }

    /// Spreads all claims step by step over the edges that `passes` takes; a group is claimed as a whole.
    fn spread(&mut self, groups: &Components, passes: impl Fn(&Edge) -> bool) {
        let mut front = self.claimed();
        while !front.is_empty() {
            let mut votes: Vec<(GroupId, L, PointId)> = Vec::new();
            for point in &front {
                let Some(claim) = self.claim(*point) else { continue };
                for (_, edge, other) in self.network.around(*point) {
                    if passes(edge) && self.claim(other).is_none() {
                        votes.push((groups.of(other), claim.mark, claim.pin));
                    }
                }
            }
            votes.sort_unstable();
            front.clear();
            for group in votes.chunk_by(|a, b| a.0 == b.0) {
                let runs = group.chunk_by(|a, b| a.1 == b.1);
                let most = runs.max_by_key(|run| (run.len(), run.first().map(|vote| Reverse(vote.2))));
                let Some(&(number, mark, pin)) = most.and_then(|run| run.first()) else { continue };
                let members = groups.members(number);
                self.give(members, Claim { mark, pin, ohms: 0.0 });
                front.extend_from_slice(members);
            }
        }
    }

    /// Spreads all claims over resistors, the least sum first.
    fn trickle(&mut self, groups: &Components, ohms: impl Fn(&Edge) -> Option<Ohm>) {
        let mut waiting = BinaryHeap::new();
        let mut front = self.claimed();
        loop {
            for point in &front {
                let Some(claim) = self.claim(*point) else { continue };
                for (_, edge, other) in self.network.around(*point) {
                    if let (Some(own), None) = (ohms(edge), self.claim(other)) {
                        // The bits of positive numbers have the order of the numbers.
                        let sum = (claim.ohms + own.get().abs()).to_bits();
                        waiting.push(Reverse((sum, claim.pin, claim.mark, groups.of(other))));
                    }
                }
            }
            let Some(Reverse((sum, pin, mark, number))) = waiting.pop() else { return };
            front.clear();
            let members = groups.members(number);
            if members.first().is_some_and(|first| self.claim(*first).is_none()) {
                self.give(members, Claim { mark, pin, ohms: f64::from_bits(sum) });
                front.extend_from_slice(members);
            }
        }
    }
}

#[cfg(test)]
mod tests;
