//! The nets of a design as places, what leads from one to another, and which of them a source feeds.

use crate::{
    analysis::Analysis,
    arena::IdVec,
    facts::Facts,
    model::{ElementId, ElementKind, Owner, PointId, PointKind},
    network::{EdgeId, EdgeRole, NetId},
    quantity::Volt,
    vocabulary::Role,
};
use rustc_hash::FxHashMap;

/// Below this current, in ampere, a resistor across the whole voltage of its domain is a signal and no load.
pub(super) const SIGNAL: f64 = 0.1;
/// Heights of battery poles that differ by less are the same.
const SAME_HEIGHT: f64 = 1e-6;

/// What leads from one net to another.
#[derive(Debug, Clone, Copy)]
pub(super) struct Link {
    /// The net of its first point.
    pub(super) a: NetId,
    /// The net of its second point.
    pub(super) b: NetId,
    pub(super) of: LinkOf,
    pub(super) element: ElementId,
}

/// What a link is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum LinkOf {
    /// Lets a supply through when closed.
    Way(EdgeId),
    /// A resistor that carries more than a signal.
    Resistor(EdgeId),
    /// A holder without a fuse.
    Vacant,
}

impl Link {
    pub(super) fn other(&self, net: NetId) -> NetId {
        if net == self.a { self.b } else { self.a }
    }

    pub(super) fn edge(&self) -> Option<EdgeId> {
        match self.of {
            LinkOf::Way(edge) | LinkOf::Resistor(edge) => Some(edge),
            LinkOf::Vacant => None,
        }
    }

    /// How late it is taken on the way out: what conducts first.
    fn stage(&self) -> u8 {
        match self.of {
            LinkOf::Way(_) => 0,
            LinkOf::Resistor(_) => 1,
            LinkOf::Vacant => 2,
        }
    }
}

/// The nets of a design.
pub(super) struct Grid<'a> {
    pub(super) analysis: &'a Analysis,
    pub(super) links: Vec<Link>,
    /// Per net, which links are at it.
    pub(super) at: IdVec<NetId, Vec<usize>>,
    /// Nets at the lowest potential of their sources.
    pub(super) low: IdVec<NetId, bool>,
    /// Those of them that are a negative pole, the chassis, or are called a return.
    pub(super) ground: IdVec<NetId, bool>,
    /// Nets that a source feeds.
    pub(super) fed: IdVec<NetId, bool>,
    /// Edges of sources and of converter outputs, in the order made.
    pub(super) sources: Vec<EdgeId>,
    /// Edges that take current, in the order made.
    pub(super) takers: Vec<EdgeId>,
}

impl<'a> Grid<'a> {
    pub(super) fn new(analysis: &'a Analysis) -> Self {
        let network = analysis.network();
        let nets = network.nets().count();
        let mut grid = Self {
            analysis,
            links: Vec::new(),
            at: IdVec::of(Vec::new(), nets),
            low: IdVec::of(false, nets),
            ground: IdVec::of(false, nets),
            fed: IdVec::of(false, nets),
            sources: Vec::new(),
            takers: Vec::new(),
        };
        grid.sort_edges();
        grid.find_low();
        grid.find_fed();
        grid
    }

    pub(super) fn net(&self, point: PointId) -> NetId {
        self.analysis.network().net(point)
    }

    /// The nets of an edge.
    pub(super) fn ends(&self, edge: EdgeId) -> (NetId, NetId) {
        let edge = &self.analysis.network()[edge];
        (self.net(edge.a), self.net(edge.b))
    }

    /// The net of the negative and that of the positive pole of a source.
    pub(super) fn poles(&self, source: EdgeId) -> (NetId, NetId) {
        self.ends(source)
    }

    fn facts(&self) -> &'a Facts {
        self.analysis.facts()
    }

    fn sort_edges(&mut self) {
        let network = self.analysis.network();
        let model = self.analysis.model();
        for (id, edge) in network.edges() {
            let Some(element) = edge.element() else { continue };
            let of = match edge.role {
                EdgeRole::Fuse | EdgeRole::Switch { .. } | EdgeRole::Disconnect | EdgeRole::MakeContact => LinkOf::Way(id),
                EdgeRole::BreakContact | EdgeRole::Diode | EdgeRole::Shunt => LinkOf::Way(id),
                EdgeRole::Resistor if self.is_signal(id) => continue,
                EdgeRole::Resistor => {
                    self.takers.push(id);
                    LinkOf::Resistor(id)
                }
                EdgeRole::Load | EdgeRole::Coil | EdgeRole::ConverterInput => {
                    self.takers.push(id);
                    continue;
                }
                EdgeRole::Source { .. } | EdgeRole::ConverterOutput { .. } => {
                    self.sources.push(id);
                    continue;
                }
                EdgeRole::Metal(_) | EdgeRole::Interlock | EdgeRole::Capacitor => continue,
            };
            self.add(Link { a: self.net(edge.a), b: self.net(edge.b), of, element });
        }
        for (element, item) in model.elements() {
            let fitted = match item.owner {
                Owner::Device(device) => model[device].fitted,
                Owner::Loom(loom) => model[loom].fitted,
            };
            if let (ElementKind::Fuse { fitted: false, .. }, [a, b], true) = (&item.kind, &*item.points, fitted) {
                self.add(Link { a: self.net(*a), b: self.net(*b), of: LinkOf::Vacant, element });
            }
        }
    }

    fn add(&mut self, link: Link) {
        if link.a == link.b {
            return;
        }
        let number = self.links.len();
        for net in [link.a, link.b] {
            self.at[net].push(number);
        }
        self.links.push(link);
    }

    /// Whether a resistor carries next to nothing across the whole voltage of its domain.
    pub(super) fn is_signal(&self, resistor: EdgeId) -> bool {
        let edge = &self.analysis.network()[resistor];
        let model = self.analysis.model();
        let domains = self.analysis.electrical().domains();
        let Some(ohms) = edge.element().and_then(|element| model[element].kind.resistance()) else { return false };
        let volts = [edge.a, edge.b].into_iter().filter_map(|point| domains.of(point)).map(|domain| model[domain].max);
        let most = volts.reduce(Volt::max).unwrap_or_else(|| {
            let open = model.elements().filter_map(|(_, element)| element.kind.open_voltage());
            open.fold(Volt::ZERO, Volt::max)
        });
        most.get() < SIGNAL * ohms.get()
    }

    /// A net is low where conductors join it to the lowest pole of its sources.
    fn find_low(&mut self) {
        let network = self.analysis.network();
        let model = self.analysis.model();
        let batteries = self.facts().batteries();
        let mut lowest: FxHashMap<u32, Volt> = FxHashMap::default();
        let poles: Vec<PointId> = self.sources.iter().flat_map(|id| [network[*id].a, network[*id].b]).collect();
        for (tree, height) in poles.iter().filter_map(|pole| batteries.height(*pole)) {
            let least = lowest.entry(tree).or_insert(height);
            *least = least.min(height);
        }
        let height = |point: PointId| {
            let (tree, height) = batteries.height(point)?;
            Some((height - *lowest.get(&tree)?).get() < SAME_HEIGHT)
        };
        for (net, points) in network.nets() {
            self.low[net] = points.first().and_then(|point| height(*point)).unwrap_or(false);
        }
        // Sources that are there now and then, and converters, hang on nothing that is always there.
        for source in &self.sources {
            let minus = network[*source].a;
            let net = network.net(minus);
            if height(minus).is_none() {
                self.low[net] = true;
            }
            if self.low[net] {
                self.ground[net] = true;
            }
        }
        for (id, point) in model.points() {
            let net = network.net(id);
            let (PointKind::Pin(port) | PointKind::Stud(port)) = point.kind else { continue };
            let role = point.pin.and_then(|pin| model[pin].role).map(|role| role.value);
            let is_return = model[model[port].device].chassis || role.is_some_and(Role::takes_back);
            self.ground[net] |= self.low[net] && is_return;
        }
    }

    /// Follows the positive poles of the sources out, never into a low net.
    fn find_fed(&mut self) {
        let mut front: Vec<NetId> = self.sources.iter().map(|source| self.poles(*source).1).collect();
        front.retain(|net| !self.low[*net]);
        for net in &front {
            self.fed[*net] = true;
        }
        for stage in 0..=2 {
            let mut waiting: Vec<NetId> = self.fed.iter().filter(|(_, fed)| **fed).map(|(net, _)| net).collect();
            while let Some(net) = waiting.pop() {
                for number in self.at[net].clone() {
                    let Some(link) = self.links.get(number).copied() else { continue };
                    let next = link.other(net);
                    if link.stage() <= stage && !self.fed[next] && !self.low[next] && self.passes(&link, net) {
                        self.fed[next] = true;
                        waiting.push(next);
                    }
                }
            }
        }
    }

    /// Whether a feed passes a link from one of its nets: a diode lets it through one way alone.
    pub(super) fn passes(&self, link: &Link, from: NetId) -> bool {
        match link.edge() {
            Some(edge) if self.analysis.network()[edge].role.is_one_way() => self.ends(edge).0 == from,
            Some(_) | None => true,
        }
    }

    /// Whether both ends of a link are fed.
    pub(super) fn is_fed(&self, link: &Link) -> bool {
        self.fed[link.a] && self.fed[link.b]
    }

    /// How many nets there are.
    pub(super) fn nets(&self) -> usize {
        self.low.len()
    }
}
