//! From the model to the graph.

use super::{Edge, EdgeKind, EdgeRole, MetalKind, Network};
use crate::{
    model::{Element, ElementId, ElementKind, End, EndId, EndKind, Mate, Model, Owner, PointId, PointRange},
    standards::contact::shunt_resistance,
    vocabulary::RelayKind,
};
use petgraph::graph::{NodeIndex, UnGraph};
use rustc_hash::FxHashSet;
use std::sync::Arc;

/// Builds the network of a design. Things that are left out of the build (`fitted: false`) join nothing.
#[must_use]
pub fn network(model: Arc<Model>) -> Network {
    let points = model.points().len();
    let mut graph = UnGraph::with_capacity(points, model.wires().len() * 2);
    for _ in 0..points {
        graph.add_node(());
    }
    let screens = model.cables().flat_map(|(_, cable)| cable.screen).flatten().map(|(point, _)| point);
    let mut maker = Maker { model: &model, graph, drained: screens.collect() };
    maker.wires();
    maker.screens();
    maker.mates();
    maker.chassis();
    maker.bodies();
    for (id, element) in model.elements() {
        if maker.is_fitted(element.owner) {
            maker.element(id, element);
        }
    }
    let graph = maker.graph;
    let mut network = Network { model, graph, nets: super::Components::default() };
    network.find_nets();
    network.turn_inputs();
    network
}

struct Maker<'m> {
    model: &'m Model,
    graph: UnGraph<(), Edge, u32>,
    /// Points at which a screen ends.
    drained: FxHashSet<PointId>,
}

impl Maker<'_> {
    fn add(&mut self, a: PointId, b: PointId, kind: EdgeKind, role: EdgeRole) {
        self.graph.add_edge(NodeIndex::new(a.index()), NodeIndex::new(b.index()), Edge { a, b, kind, role });
    }

    fn metal(&mut self, a: PointId, b: PointId, kind: EdgeKind, metal: MetalKind) {
        self.add(a, b, kind, EdgeRole::Metal(metal));
    }

    /// Whether a device or loom is part of this build.
    fn is_fitted(&self, owner: Owner) -> bool {
        match owner {
            Owner::Device(device) => self.model[device].fitted,
            Owner::Loom(loom) => self.model[loom].fitted,
        }
    }

    fn wires(&mut self) {
        for (id, wire) in self.model.wires() {
            if !self.is_fitted(Owner::Loom(wire.loom)) {
                continue;
            }
            if let (Some(from), Some(to)) = (wire.from, wire.to) {
                self.metal(from, to, EdgeKind::Wire(id), MetalKind::Wire);
            }
        }
    }

    fn screens(&mut self) {
        for (id, cable) in self.model.cables() {
            if !self.is_fitted(Owner::Loom(cable.loom)) {
                continue;
            }
            if let [Some((from, _)), Some((to, _))] = cable.screen {
                self.metal(from, to, EdgeKind::Screen(id), MetalKind::Screen);
            }
        }
    }

    fn mates(&mut self) {
        for (id, end) in self.model.ends() {
            if !self.is_fitted(Owner::Loom(end.loom)) {
                continue;
            }
            match (end.kind, end.mate) {
                (EndKind::Ring(_) | EndKind::Bare, Some(Mate::Port(port))) => {
                    if let (Some(ring), Some(stud)) = (end.points.get(0), self.model[port].points.get(0)) {
                        self.metal(ring, stud, EdgeKind::Joint(id), MetalKind::Joint);
                    }
                }
                (EndKind::Connector(_), Some(Mate::Port(port))) => {
                    self.contacts(id, end, None, self.model[port].points);
                }
                (_, Some(Mate::End(other))) => {
                    let partner = &self.model[other];
                    // Two ends that name each other are one pair of connectors, not two.
                    if partner.mate == Some(Mate::End(id)) && other < id {
                        continue;
                    }
                    self.contacts(id, end, Some(partner), partner.points);
                }
                (_, None) => {}
            }
        }
    }

    /// Joins cavities with equal labels, or those that `pins` names. A cavity without a wire or screen holds no contact and joins
    /// nothing.
    fn contacts(&mut self, id: EndId, end: &End, other: Option<&End>, partner: PointRange) {
        for cavity in end.points.iter() {
            if self.graph.edges(NodeIndex::new(cavity.index())).next().is_none() && !self.drained.contains(&cavity) {
                continue;
            }
            if let Some(other) = self.model.position_of(partner, self.model.met_label(end, other, cavity)) {
                self.metal(cavity, other, EdgeKind::Contact(id), MetalKind::Contact);
            }
        }
    }

    fn chassis(&mut self) {
        for (id, device) in self.model.devices() {
            if !device.chassis || !device.fitted {
                continue;
            }
            let mut points = self.model.points_of(device);
            let Some(first) = points.next() else { continue };
            for point in points {
                self.metal(first, point, EdgeKind::Chassis(id), MetalKind::Chassis);
            }
        }
    }

    /// Bodies on the metal that they are bolted to.
    fn bodies(&mut self) {
        for (id, port) in self.model.ports() {
            let Some(metal) = port.body else { continue };
            let fitted = [port.device, self.model[metal].device].into_iter().all(|device| self.model[device].fitted);
            if let (true, Some(body), Some(other)) = (fitted, self.model[id].points.get(0), self.model[metal].points.get(0)) {
                self.metal(body, other, EdgeKind::Chassis(port.device), MetalKind::Chassis);
            }
        }
    }

    fn element(&mut self, id: ElementId, element: &Element) {
        let points = &element.points;
        let model = self.model;
        let mut add = |[a, b]: [PointId; 2], role: EdgeRole| self.add(a, b, EdgeKind::Element(id), role);
        match &element.kind {
            ElementKind::Source { .. } => {
                // The positive current of a source leaves its positive point.
                let [positive, negative] = points.exactly();
                add([negative, positive], EdgeRole::Source { limited: element.kind.limit().is_some() });
            }
            ElementKind::Load { .. } => add(points.exactly(), EdgeRole::Load),
            ElementKind::Resistor(resistor) => {
                let measures = resistor.ohm.value <= shunt_resistance().value;
                add(points.exactly(), if measures { EdgeRole::Shunt } else { EdgeRole::Resistor });
            }
            ElementKind::Capacitor(_) => add(points.exactly(), EdgeRole::Capacitor),
            ElementKind::Diode(_) => add(points.exactly(), EdgeRole::Diode),
            ElementKind::Fuse { fitted, .. } => {
                if *fitted {
                    add(points.exactly(), EdgeRole::Fuse);
                }
            }
            ElementKind::Switch { closed, .. } => {
                let closes = model.modes().any(|(mode, _)| closed.has(mode));
                add(points.exactly(), EdgeRole::Switch { closes });
            }
            ElementKind::Disconnect { .. } => add(points.exactly(), EdgeRole::Disconnect),
            ElementKind::Interlock { .. } => add(points.exactly(), EdgeRole::Interlock),
            ElementKind::Link { fitted, .. } => {
                for pair in points.windows(2).filter(|_| *fitted) {
                    if let [a, b] = pair {
                        add([*a, *b], EdgeRole::Metal(MetalKind::Bar));
                    }
                }
            }
            ElementKind::Relay { contact, coil_of, .. } => {
                // A further contact of another relay has no coil of its own.
                let mut coil = |points: [PointId; 2]| {
                    if coil_of.is_none() {
                        add(points, EdgeRole::Coil);
                    }
                };
                match contact {
                    RelayKind::NormallyOpen => {
                        let [plus, minus, a, b] = points.exactly();
                        coil([plus, minus]);
                        add([a, b], EdgeRole::MakeContact);
                    }
                    RelayKind::NormallyClosed => {
                        let [plus, minus, a, b] = points.exactly();
                        coil([plus, minus]);
                        add([a, b], EdgeRole::BreakContact);
                    }
                    RelayKind::Changeover => {
                        let [plus, minus, common, made, rest] = points.exactly();
                        coil([plus, minus]);
                        add([common, made], EdgeRole::MakeContact);
                        add([common, rest], EdgeRole::BreakContact);
                    }
                }
            }
            ElementKind::Converter { limit, .. } => {
                let [in_plus, in_minus, out_plus, out_minus] = points.exactly();
                add([in_plus, in_minus], EdgeRole::ConverterInput);
                add([out_minus, out_plus], EdgeRole::ConverterOutput { limited: limit.is_some() });
            }
        }
    }
}
