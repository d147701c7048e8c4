//! Places where two potentials are joined that must keep apart, one for each fault.
//!
//! The boundaries of the nearest-potential walk are the joints. Where several of them meet at one place that hangs on its own
//! side by a single conductor, that conductor is the joint; where it hangs on nothing, the pin that names the domain is.

use super::{Facts, bonds::feeds_mains};
use crate::{
    model::{DomainId, Owner, PointId},
    network::{Boundary, Components, Edge, EdgeId, GroupId, Nearest, Potential, boundaries, places},
    quantity::Ohm,
    vocabulary::Reference,
};
use rustc_hash::FxHashMap;

/// A joint between two potentials.
#[derive(Debug, Clone, Copy)]
pub struct Joint {
    /// The domain that must keep apart, and the point of the joint on its side.
    pub domain: (DomainId, PointId),
    /// The other potential and the point on its side.
    pub other: (Potential, PointId),
    /// The edge on which they meet.
    pub boundary: EdgeId,
    /// What joins them, and its points: the one that is nearer to the domain first.
    pub at: (EdgeId, PointId, PointId),
    /// A pin that is alone among so many conductors of the other side.
    pub lone: Option<(PointId, usize)>,
    /// Sum of the resistors between both pins.
    pub resistance: Ohm,
}

impl Facts {
    /// Where a domain of class B is joined to another domain, whichever is the higher first.
    ///
    /// Cost: one pass over the edges, and one over the network where anything is found. Asked by `domain/crossing`.
    #[must_use]
    pub fn crossings(&self) -> &[Joint] {
        self.made.crossings.get_or_init(|| {
            joints(self, |_, held| match held {
                [Potential::Domain(a), Potential::Domain(b)] => more_severe(self, a, b),
                [Potential::Domain(_) | Potential::Chassis | Potential::Earth, _] => None,
            })
        })
    }

    /// Where a domain that keeps off the chassis is tied to it or to protective earth.
    ///
    /// Cost: one pass over the edges, and one over the network where anything is found. Asked by `domain/chassis-tied`.
    #[must_use]
    pub fn chassis_ties(&self) -> &[Joint] {
        self.made.chassis_ties.get_or_init(|| {
            joints(self, |edge, held| match held {
                [Potential::Domain(_), Potential::Domain(_)] => None,
                [Potential::Domain(domain), Potential::Chassis | Potential::Earth] => keeps_off(self, domain, edge).then_some(0),
                [Potential::Chassis | Potential::Earth, Potential::Domain(domain)] => keeps_off(self, domain, edge).then_some(1),
                [Potential::Chassis | Potential::Earth, Potential::Chassis | Potential::Earth] => None,
            })
        })
    }
}

/// Which of two domains is that of class B; the higher one if both are.
fn more_severe(facts: &Facts, a: DomainId, b: DomainId) -> Option<usize> {
    let [a, b] = [a, b].map(|domain| &facts.model()[domain]);
    match (a.is_class_b(), b.is_class_b()) {
        (true, true) => Some(usize::from(b.max > a.max)),
        (true, false) => Some(0),
        (false, true) => Some(1),
        (false, false) => None,
    }
}

/// Whether `edge` may not tie `domain` to the chassis.
fn keeps_off(facts: &Facts, domain: DomainId, edge: &Edge) -> bool {
    let domain = &facts.model()[domain];
    match domain.reference {
        Reference::Floating => true,
        // Neutral and earth may meet in the box that feeds the mains, and nowhere else.
        Reference::Earth => domain.is_class_b() && (edge.role.ties_to_chassis() || is_bar_beyond_supply(facts, edge)),
        // Voltage class B of direct current is isolated, whatever its domain says.
        Reference::Chassis => domain.is_class_b() && !domain.ac,
    }
}

/// Whether an edge is a bar in a box that does not feed the mains, and another box does.
fn is_bar_beyond_supply(facts: &Facts, edge: &Edge) -> bool {
    let Some(element) = edge.element().filter(|_| edge.role.is_metal()) else { return false };
    match facts.model()[element].owner {
        Owner::Device(device) => {
            let feeds = feeds_mains(facts);
            !feeds.is_empty() && !feeds.contains(&device)
        }
        Owner::Loom(_) => true,
    }
}

/// The joints of those boundaries that `judge` takes: it is given the two potentials of an edge and says which of the first two
/// points is that of the domain that must keep apart. Joints through its least isolation resistance are left out.
fn joints(facts: &Facts, judge: impl Fn(&Edge, [Potential; 2]) -> Option<usize>) -> Vec<Joint> {
    let boundaries = boundaries(facts.network(), facts.potentials());
    let found: Vec<Joint> = boundaries.iter().filter_map(|boundary| joint(facts, boundary, &judge)).collect();
    if found.is_empty() { found } else { gathered(facts, found) }
}

fn joint(facts: &Facts, boundary: &Boundary, judge: impl Fn(&Edge, [Potential; 2]) -> Option<usize>) -> Option<Joint> {
    let (potentials, edge) = (facts.potentials(), &facts.network()[boundary.edge]);
    let [a, b] = boundary.points;
    let held = [potentials.of(a)?, potentials.of(b)?];
    let (own, other) = if judge(edge, held)? == 0 { ((held[0], a), (held[1], b)) } else { ((held[1], b), (held[0], a)) };
    let Potential::Domain(id) = own.0 else { return None };
    if boundary.resistance.get() >= facts.model()[id].least_isolation().value.get() {
        return None;
    }
    Some(Joint {
        domain: (id, own.1),
        other,
        boundary: boundary.edge,
        at: (boundary.edge, own.1, other.1),
        lone: None,
        resistance: boundary.resistance,
    })
}

/// Joints that meet at one place of a single conductor or pin become one.
fn gathered(facts: &Facts, found: Vec<Joint>) -> Vec<Joint> {
    let (potentials, places) = (facts.potentials(), places(facts.network()));
    let mut hubs: FxHashMap<GroupId, Hub> = FxHashMap::default();
    for joint in &found {
        for point in joint.sides(potentials) {
            hubs.entry(places.of(point)).or_insert_with(|| hub(facts, &places, point)).count += 1;
        }
    }
    let mut first_at: FxHashMap<GroupId, usize> = FxHashMap::default();
    let mut kept: Vec<Joint> = Vec::new();
    for mut joint in found {
        let sides = joint.sides(potentials).filter_map(|point| hubs.get(&places.of(point)).map(|hub| (point, hub)));
        let Some((point, hub)) = sides.filter(|(_, hub)| hub.gathers()).max_by_key(|(_, hub)| hub.count) else {
            kept.push(joint);
            continue;
        };
        let place = places.of(point);
        if let Some(first) = first_at.get(&place).and_then(|at| kept.get_mut(*at)) {
            if joint.resistance < first.resistance {
                first.resistance = joint.resistance;
            }
            continue;
        }
        first_at.insert(place, kept.len());
        match hub.own {
            Own::One(edge, inner, outer) if point == joint.domain.1 => joint.at = (edge, outer, inner),
            Own::One(edge, inner, outer) => joint.at = (edge, inner, outer),
            Own::Nothing | Own::More => joint.lone = potentials.named_by(point).map(|pin| (pin, hub.count)),
        }
        kept.push(joint);
    }
    kept
}

impl Joint {
    /// The points on both sides; the metal of the chassis is not a side, for everything hangs on it.
    fn sides(&self, potentials: &Nearest<Potential>) -> impl Iterator<Item = PointId> + use<'_> {
        let is_domain = |point: &PointId| matches!(potentials.of(*point), Some(Potential::Domain(_)));
        let [own, other] = [self.domain.1, self.other.1].map(|point| Some(point).filter(is_domain));
        own.into_iter().chain(other)
    }
}

/// A place where joints meet.
#[derive(Debug)]
struct Hub {
    count: usize,
    /// Whether a pin that names the domain is here.
    is_named: bool,
    own: Own,
    /// Whether all else that leads away goes to one other potential.
    is_between_two: bool,
}

/// What leads from a place to others of the same potential.
#[derive(Debug, Clone, Copy)]
enum Own {
    Nothing,
    /// An edge, its point at the place and the other.
    One(EdgeId, PointId, PointId),
    More,
}

impl Hub {
    /// Whether the joints here are one fault: a place that hangs on its side by one conductor, or a pin that hangs on nothing.
    fn gathers(&self) -> bool {
        let hangs = matches!((self.is_named, self.own), (false, Own::One(..)) | (true, Own::Nothing));
        self.count > 1 && self.is_between_two && hangs
    }
}

fn hub(facts: &Facts, places: &Components, point: PointId) -> Hub {
    let potentials = facts.potentials();
    let held = potentials.of(point);
    let place = places.of(point);
    let is_named = potentials.named_by(point).is_some_and(|pin| places.of(pin) == place);
    let mut hub = Hub { count: 0, is_named, own: Own::Nothing, is_between_two: true };
    let mut other = None;
    for member in places.members(place) {
        for (id, edge, outer) in facts.network().around(*member) {
            if places.of(outer) == place || !edge.role.is_galvanic() {
                continue;
            }
            let beyond = potentials.of(outer);
            if beyond == held {
                hub.own = if matches!(hub.own, Own::Nothing) { Own::One(id, *member, outer) } else { Own::More };
            } else {
                hub.is_between_two &= other.is_none_or(|other| other == beyond);
                other = Some(beyond);
            }
        }
    }
    hub
}
