//! From the model to the graph.

use super::{Edge, EdgeKind, Network, Terminal};
use crate::{
    model::{Element, ElementId, ElementKind, End, EndId, EndKind, Mate, Model, Owner, PointId, PointRange},
    vocabulary::RelayKind,
};
use petgraph::graph::{NodeIndex, UnGraph};
use std::sync::Arc;

/// Builds the network of a design. Things that are left out of the build (`fitted: false`) join nothing.
#[must_use]
pub fn network(model: Arc<Model>) -> Network {
    let points = model.points().len();
    let mut graph = UnGraph::with_capacity(points, model.wires().len() * 2);
    for _ in 0..points {
        graph.add_node(());
    }
    let mut maker = Maker { model: &model, graph };
    maker.wires();
    maker.screens();
    maker.mates();
    maker.chassis();
    for (id, element) in model.elements() {
        if maker.is_fitted(element.owner) {
            maker.element(id, element);
        }
    }
    let graph = maker.graph;
    let mut network = Network { model, graph, nets: super::Components::default() };
    network.find_nets();
    network
}

struct Maker<'m> {
    model: &'m Model,
    graph: UnGraph<(), Edge, u32>,
}

impl Maker<'_> {
    fn add(&mut self, a: PointId, b: PointId, kind: EdgeKind) {
        let known = |point: PointId| point.index() < self.graph.node_count();
        if known(a) && known(b) {
            self.graph.add_edge(NodeIndex::new(a.index()), NodeIndex::new(b.index()), Edge { a, b, kind });
        }
    }

    /// Whether a device or loom is part of this build.
    fn is_fitted(&self, owner: Owner) -> bool {
        match owner {
            Owner::Device(device) => self.model.device(device).is_none_or(|device| device.fitted),
            Owner::Loom(loom) => self.model.loom(loom).is_none_or(|loom| loom.fitted),
        }
    }

    fn wires(&mut self) {
        for (id, wire) in self.model.wires() {
            if !self.is_fitted(Owner::Loom(wire.loom)) {
                continue;
            }
            if let (Some(from), Some(to)) = (wire.from, wire.to) {
                self.add(from, to, EdgeKind::Wire(id));
            }
        }
    }

    fn screens(&mut self) {
        for (id, cable) in self.model.cables() {
            if !self.is_fitted(Owner::Loom(cable.loom)) {
                continue;
            }
            if let [Some((from, _)), Some((to, _))] = cable.screen {
                self.add(from, to, EdgeKind::Screen(id));
            }
        }
    }

    fn mates(&mut self) {
        for (id, end) in self.model.ends() {
            if !self.is_fitted(Owner::Loom(end.loom)) {
                continue;
            }
            match (end.kind, end.mate) {
                (EndKind::Ring(_), Some(Mate::Port(port))) => {
                    let stud = self.model.port(port).and_then(|port| port.points.get(0));
                    if let (Some(ring), Some(stud)) = (end.points.get(0), stud) {
                        self.add(ring, stud, EdgeKind::Joint(id));
                    }
                }
                (EndKind::Connector(_), Some(Mate::Port(port))) => {
                    if let Some(port) = self.model.port(port) {
                        self.contacts(id, end, port.points);
                    }
                }
                (_, Some(Mate::End(other))) => {
                    let Some(partner) = self.model.end(other) else { continue };
                    // Two ends that name each other are one pair of connectors, not two.
                    if partner.mate == Some(Mate::End(id)) && other < id {
                        continue;
                    }
                    self.contacts(id, end, partner.points);
                }
                (_, None) => {}
            }
        }
    }

    /// Joins cavities with equal labels. A cavity without a wire holds no contact and joins nothing.
    fn contacts(&mut self, id: EndId, end: &End, partner: PointRange) {
        for cavity in end.points.iter() {
            let Some(point) = self.model.point(cavity) else { continue };
            if self.graph.edges(NodeIndex::new(cavity.index())).next().is_none() {
                continue;
            }
            if let Some(other) = self.model.position_of(partner, point.label) {
                self.add(cavity, other, EdgeKind::Contact(id));
            }
        }
    }

    fn chassis(&mut self) {
        for (id, device) in self.model.devices() {
            if !device.chassis {
                continue;
            }
            let points = device.ports.iter().filter_map(|port| self.model.port(port)).flat_map(|port| port.points.iter());
            let mut points = points.collect::<Vec<_>>().into_iter();
            let Some(first) = points.next() else { continue };
            for point in points {
                self.add(first, point, EdgeKind::Chassis(id));
            }
        }
    }

    fn element(&mut self, id: ElementId, element: &Element) {
        let part = |terminal| EdgeKind::Element(id, terminal);
        match (&element.kind, &*element.points) {
            // The positive current of a source leaves its positive point.
            (ElementKind::Source { .. }, [positive, negative]) => self.add(*negative, *positive, part(Terminal::Whole)),
            (ElementKind::Fuse { fitted: false, .. } | ElementKind::Link { fitted: false, .. }, _) => {}
            (ElementKind::Link { .. }, points) => {
                for pair in points.windows(2) {
                    if let [a, b] = pair {
                        self.add(*a, *b, part(Terminal::Bar));
                    }
                }
            }
            (ElementKind::Relay { contact, .. }, [plus, minus, rest @ ..]) => {
                self.add(*plus, *minus, part(Terminal::Coil));
                match (contact, rest) {
                    (RelayKind::NormallyOpen, [a, b]) => self.add(*a, *b, part(Terminal::Make)),
                    (RelayKind::NormallyClosed, [a, b]) => self.add(*a, *b, part(Terminal::Break)),
                    (RelayKind::Changeover, [common, make, rest]) => {
                        self.add(*common, *make, part(Terminal::Make));
                        self.add(*common, *rest, part(Terminal::Break));
                    }
                    _ => {}
                }
            }
            (ElementKind::Converter { .. }, [in_plus, in_minus, out_plus, out_minus]) => {
                self.add(*in_plus, *in_minus, part(Terminal::Input));
                self.add(*out_minus, *out_plus, part(Terminal::Output));
            }
            (_, [a, b]) => self.add(*a, *b, part(Terminal::Whole)),
            _ => {}
        }
    }
}
