//! The half of a design that is of class B: its places, and what joins one to another.
//!
//! A place is a point, or points that bars join. What joins two places is drawn as a line with something in it: an element, a mated contact, a
//! wire. A box of which nothing is drawn inside joins its two pins, so that a way through it goes on.

use crate::{
    analysis::Analysis,
    arena::{IdVec, ids},
    model::{DeviceId, DomainId, ElementId, ElementKind, Model, Owner, PointId, PointKind, PortId, PortKind},
    network::{EdgeId, EdgeKind, EdgeRole, MetalKind},
    text::Span,
    vocabulary::Role,
};
use std::collections::BTreeMap;

ids! {
    /// A place, by its first point.
    PlaceId;
}

/// Below this current, in ampere, a resistor is a signal and no load.
const SIGNAL: f64 = 0.1;

/// What joins two places.
#[derive(Debug, Clone, Copy)]
pub(super) struct Link {
    pub(super) a: PlaceId,
    pub(super) b: PlaceId,
    pub(super) of: LinkOf,
}

/// What a link is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum LinkOf {
    /// An edge of the network.
    Edge(EdgeId),
    /// A holder without its fuse.
    Vacant(ElementId),
    /// A box of which nothing is drawn between these two points.
    Undrawn(PointId, PointId),
}

/// Places and links of class B.
pub(super) struct Places<'a> {
    pub(super) analysis: &'a Analysis,
    /// Per place its points, in order.
    pub(super) points: IdVec<PlaceId, Vec<PointId>>,
    pub(super) links: Vec<Link>,
    /// Per place its bars, in the order written.
    pub(super) bars: IdVec<PlaceId, Vec<ElementId>>,
}

impl<'a> Places<'a> {
    pub(super) fn new(analysis: &'a Analysis, live: &Live) -> Self {
        let (network, model) = (analysis.network(), analysis.model());
        let bars = network.components(|_, edge| edge.role == EdgeRole::Metal(MetalKind::Bar));
        let mut place_of: BTreeMap<u32, PlaceId> = BTreeMap::new();
        let mut points: IdVec<PlaceId, Vec<PointId>> = IdVec::new();
        for (id, _) in model.points().filter(|(id, _)| live.is(*id)) {
            let place = *place_of.entry(bars.of(id).0).or_insert_with(|| points.push(Vec::new()));
            points[place].push(id);
        }
        let of = |point: PointId| place_of.get(&bars.of(point).0).copied().filter(|_| live.is(point));
        let mut found = Self { analysis, bars: IdVec::of(Vec::new(), points.len()), points, links: Vec::new() };
        for (id, edge) in network.edges() {
            let (a, b) = (of(edge.a), of(edge.b));
            match (edge.role, a, b) {
                (EdgeRole::Metal(MetalKind::Bar), place, other) => {
                    if let (Some(place), Some(element)) = (place.or(other), edge.element())
                        && !found.bars[place].contains(&element)
                    {
                        found.bars[place].push(element);
                    }
                }
                (EdgeRole::Metal(MetalKind::Screen | MetalKind::Chassis) | EdgeRole::Interlock, _, _) => {}
                (_, Some(a), Some(b)) => found.links.push(Link { a, b, of: LinkOf::Edge(id) }),
                (_, _, _) => {}
            }
        }
        for (id, element) in model.elements().filter(|(_, element)| is_fitted(model, element.owner)) {
            if let (ElementKind::Fuse { fitted: false, .. }, [a, b]) = (&element.kind, &*element.points)
                && let (Some(a), Some(b)) = (of(*a), of(*b))
            {
                found.links.push(Link { a, b, of: LinkOf::Vacant(id) });
            }
        }
        found.bars.iter_mut().for_each(|(_, bars)| bars.sort_by_key(|bar| model[*bar].span));
        found.undrawn(of);
        found
    }

    /// Joins the two pins of boxes of which nothing is drawn.
    fn undrawn(&mut self, of: impl Fn(PointId) -> Option<PlaceId>) {
        let model = self.analysis.model();
        let mut uses: IdVec<PlaceId, (usize, usize)> = IdVec::of((0, 0), self.points.len());
        for link in &self.links {
            for place in [link.a, link.b] {
                let counts = &mut uses[place];
                if self.is_joint(link) { counts.0 += 1 } else { counts.1 += 1 }
            }
        }
        // Pins of a plug go together, single studs with those of their device.
        let mut groups: BTreeMap<(DeviceId, DomainId, Option<PortId>), Vec<PointId>> = BTreeMap::new();
        for (id, point) in model.points() {
            let (PointKind::Pin(port) | PointKind::Stud(port)) = point.kind else { continue };
            let Some(place) = of(id) else { continue };
            let is_open = self.points[place].len() == 1 && uses[place].0 > 0 && uses[place].1 == 0;
            let measures = point.pin.is_some_and(|pin| model[pin].tap.is_some());
            let Some(domain) = self.analysis.electrical().domains().of(id) else { continue };
            if is_open && !measures && model.role_at(id) != Some(Role::Phase) {
                let plug = match model[port].kind {
                    PortKind::Connector(_) => Some(port),
                    PortKind::Stud(_) | PortKind::Landing(_) | PortKind::Body => None,
                };
                groups.entry((model[port].device, domain, plug)).or_default().push(id);
            }
        }
        for pins in groups.into_values() {
            let [a, b] = pins.as_slice() else { continue };
            // The return is below.
            let is_return = |point: PointId| model.role_at(point).is_some_and(Role::takes_back);
            let (a, b) = if is_return(*a) && !is_return(*b) { (*b, *a) } else { (*a, *b) };
            if let (Some(from), Some(to)) = (of(a), of(b)) {
                self.links.push(Link { a: from, b: to, of: LinkOf::Undrawn(a, b) });
            }
        }
    }

    /// Whether a link is a mated contact or a joint, or the wire behind it.
    fn is_joint(&self, link: &Link) -> bool {
        match link.of {
            LinkOf::Edge(edge) => self.analysis.network()[edge].is_metal(),
            LinkOf::Vacant(_) | LinkOf::Undrawn(..) => false,
        }
    }

    /// Where a link is written; wires and contacts by their wire or end.
    pub(super) fn span(&self, link: usize) -> Option<Span> {
        let model = self.analysis.model();
        let span = match self.links.get(link)?.of {
            LinkOf::Edge(edge) => match self.analysis.network()[edge].kind {
                EdgeKind::Element(element) => model[element].span,
                EdgeKind::Wire(wire) => model[wire].span,
                EdgeKind::Contact(end) | EdgeKind::Joint(end) => model[end].span,
                EdgeKind::Screen(cable) => model[cable].span,
                EdgeKind::Chassis(device) => model[device].span,
            },
            LinkOf::Vacant(element) => model[element].span,
            LinkOf::Undrawn(point, _) => model[point].span,
        };
        Some(span)
    }

    /// The role of a link; `None` for a link without an edge.
    pub(super) fn role(&self, link: usize) -> Option<EdgeRole> {
        match self.links.get(link)?.of {
            LinkOf::Edge(edge) => Some(self.analysis.network()[edge].role),
            LinkOf::Vacant(_) | LinkOf::Undrawn(..) => None,
        }
    }

    /// Whether something gives, takes or stores at a link, so that it is a rung between the rails and not a stretch of one.
    pub(super) fn works(&self, link: usize) -> bool {
        match self.links.get(link).map(|link| link.of) {
            Some(LinkOf::Edge(edge)) => match self.analysis.network()[edge].role {
                EdgeRole::Coil | EdgeRole::Source { .. } | EdgeRole::ConverterInput | EdgeRole::ConverterOutput { .. } => true,
                EdgeRole::Load | EdgeRole::Capacitor => true,
                EdgeRole::Metal(_) | EdgeRole::Fuse | EdgeRole::Switch { .. } | EdgeRole::Disconnect | EdgeRole::Interlock => {
                    false
                }
                EdgeRole::MakeContact | EdgeRole::BreakContact | EdgeRole::Resistor | EdgeRole::Shunt | EdgeRole::Diode => false,
            },
            Some(LinkOf::Undrawn(..)) => true,
            Some(LinkOf::Vacant(_)) | None => false,
        }
    }

    /// Whether a link is a resistor that carries next to nothing across the whole voltage of its domain.
    pub(super) fn is_signal(&self, link: usize) -> bool {
        let Some(LinkOf::Edge(edge)) = self.links.get(link).map(|link| link.of) else { return false };
        let (edge, model) = (&self.analysis.network()[edge], self.analysis.model());
        let domain = self.analysis.electrical().domains().of(edge.a);
        let ohms =
            edge.element().filter(|_| edge.role == EdgeRole::Resistor).and_then(|element| model[element].kind.resistance());
        domain.zip(ohms).is_some_and(|(domain, ohms)| model[domain].max.get() < SIGNAL * ohms.get())
    }

    /// The sources of a link: whether one drives a current in it.
    pub(super) fn drives(&self, link: usize) -> bool {
        self.role(link).is_some_and(EdgeRole::drives)
    }

    /// Places sorted into those that links join, each with its links.
    pub(super) fn pieces(&self) -> Vec<(Vec<PlaceId>, Vec<usize>)> {
        let mut above: Vec<usize> = (0..self.points.len()).collect();
        for link in &self.links {
            let (a, b) = (root(&mut above, link.a.index()), root(&mut above, link.b.index()));
            if let Some(slot) = above.get_mut(a.max(b)) {
                *slot = a.min(b);
            }
        }
        let mut pieces: BTreeMap<usize, (Vec<PlaceId>, Vec<usize>)> = BTreeMap::new();
        for place in self.points.ids() {
            pieces.entry(root(&mut above, place.index())).or_default().0.push(place);
        }
        for (number, link) in self.links.iter().enumerate() {
            pieces.entry(root(&mut above, link.a.index())).or_default().1.push(number);
        }
        pieces.into_values().collect()
    }
}

fn root(above: &mut [usize], mut at: usize) -> usize {
    while let Some(up) = above.get(at).copied().filter(|up| *up != at) {
        let next = above.get(up).copied().unwrap_or(up);
        if let Some(slot) = above.get_mut(at) {
            *slot = next;
        }
        at = next;
    }
    at
}

/// Whether a point is in a domain of class B.
pub(super) fn is_class_b(analysis: &Analysis, point: PointId) -> bool {
    analysis.electrical().domains().of(point).is_some_and(|domain| analysis.model()[domain].is_class_b())
}

/// Which points are of class B and live: the metal of protective earth, which a neutral is joined to somewhere, is not.
pub(super) struct Live(IdVec<PointId, bool>);

impl Live {
    pub(super) fn new(analysis: &Analysis) -> Self {
        let (network, model) = (analysis.network(), analysis.model());
        let mut live: IdVec<PointId, bool> = model.points().map(|(id, _)| is_class_b(analysis, id)).collect();
        let is_earth = |point: PointId| {
            let role = matches!(model.role_at(point), Some(Role::Earth | Role::Chassis));
            role || model.device_at(point).is_some_and(|device| model[device].chassis)
        };
        // What wires and joints alone make one with an earth, and with nothing else of a device, is protective all the way.
        let runs = network.components(|_, edge| edge.wire().is_some() || edge.role.is_place());
        for (_, points) in runs.iter() {
            let pins = || points.iter().filter(|point| model.device_at(**point).is_some());
            let (has_earth, is_all) = (pins().any(|pin| is_earth(*pin)), pins().all(|pin| is_earth(*pin)));
            for point in points.iter().filter(|point| has_earth && (is_all || is_earth(**point))) {
                live[*point] = false;
            }
        }
        Self(live)
    }

    pub(super) fn is(&self, point: PointId) -> bool {
        self.0[point]
    }
}

/// Whether what holds a thing is in this build.
pub(super) fn is_fitted(model: &Model, owner: Owner) -> bool {
    match owner {
        Owner::Device(device) => model[device].fitted,
        Owner::Loom(loom) => model[loom].fitted,
    }
}
