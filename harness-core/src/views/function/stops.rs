//! From the steps of a way to what is named on it.

use super::{Aside, Function, Stop, StopKind, Way};
use crate::{
    analysis::Analysis,
    electrical::ModeState,
    model::{Model, Owner, PointId, PointKind},
    network::{Edge, EdgeId, EdgeKind, EdgeRole, MetalKind, Step, turned},
    quantity::Ampere,
    views::{
        Consumer, Side,
        piece::{FLOWS, Maker, piece_kind},
    },
};
use rustc_hash::FxHashSet;

/// Beside the metal of the chassis nothing is named: everything is joined there.
const MOST: usize = 200;

pub(in crate::views) struct Stops<'a> {
    pub(in crate::views) analysis: &'a Analysis,
    pub(in crate::views) mode: Option<&'a ModeState>,
}

impl Stops<'_> {
    fn model(&self) -> &Model {
        self.analysis.model()
    }

    fn maker(&self) -> Maker<'_> {
        Maker { analysis: self.analysis, mode: self.mode }
    }

    /// The function along a way; `own` is the edge that was asked for.
    pub(super) fn function(&self, name: String, amps: Ampere, own: Option<EdgeId>, way: &Way) -> Function {
        let network = self.analysis.network();
        let end = way.steps.last().map_or(way.start, |step| step.point);
        let mut source = self.source(way.start, end);
        let whole = source.and_then(|source| self.through_cells(source, way, end));
        let way = whole.as_ref().map_or(way, |(lowest, whole)| {
            source = Some(*lowest);
            whole
        });
        let load = self.load(own, way);
        let on_way: FxHashSet<EdgeId> = way.steps.iter().map(|step| step.edge).chain(source).collect();
        let (feed, back) = match load {
            Some(at) => (way.steps.get(..at).unwrap_or_default(), way.steps.get(at + 1..).unwrap_or_default()),
            None => (way.steps.as_slice(), &[][..]),
        };
        let turn = load.and_then(|at| way.steps.get(at)).map_or(way.start, |step| step.point);
        let consumer = load.and_then(|at| way.steps.get(at)).and_then(|step| self.consumer(step.edge));
        let feeds_back = |source: EdgeId| self.analysis.network()[source].a == end;
        let class_b =
            std::iter::once(way.start).chain(way.steps.iter().map(|step| step.point)).any(|point| self.is_class_b(point));
        let mut named: FxHashSet<PointId> = FxHashSet::default();
        let (start_stops, back_stops) = (
            self.stops(way.start, feed, Side::Feed, &on_way, &mut named),
            self.stops(turn, back, Side::Return, &on_way, &mut named),
        );
        Function {
            name,
            mode: self.mode.map(|mode| self.model().mode_name(mode.id).to_owned()),
            amps,
            feed: start_stops,
            load: consumer,
            back: back_stops,
            source: source.and_then(|id| self.maker().source(id, None)),
            closed: source.is_some_and(feeds_back),
            class_b,
            alternating: self.maker().is_ac(source.map_or(way.start, |id| network[id].b)),
        }
    }

    fn is_class_b(&self, point: PointId) -> bool {
        let domain = self.analysis.electrical().domains().of(point);
        domain.is_some_and(|domain| self.model()[domain].is_class_b())
    }

    /// The step at which the current is used: the thing itself, else what takes most volts.
    fn load(&self, own: Option<EdgeId>, way: &Way) -> Option<usize> {
        let network = self.analysis.network();
        let takes = |step: &Step| match network[step.edge].role {
            EdgeRole::Load | EdgeRole::Coil | EdgeRole::ConverterInput | EdgeRole::Resistor => true,
            EdgeRole::Metal(_) | EdgeRole::Fuse | EdgeRole::Switch { .. } | EdgeRole::Disconnect | EdgeRole::Interlock => false,
            EdgeRole::MakeContact | EdgeRole::BreakContact | EdgeRole::Source { .. } | EdgeRole::ConverterOutput { .. } => false,
            EdgeRole::Shunt | EdgeRole::Capacitor | EdgeRole::Diode => false,
        };
        let volts = |step: &Step| {
            let edge = &network[step.edge];
            self.mode.map_or(0.0, |mode| (mode.volts(edge.a) - mode.volts(edge.b)).get().abs())
        };
        let own = own.and_then(|own| way.steps.iter().position(|step| step.edge == own && takes(step)));
        own.or_else(|| {
            let users = way.steps.iter().enumerate().filter(|(_, step)| takes(step));
            users.reduce(|most, next| if volts(next.1) > volts(most.1) { next } else { most }).map(|(at, _)| at)
        })
    }

    /// The source at whose positive pole a way begins; of several the one that it comes back to, else the one that gives most.
    fn source(&self, start: PointId, end: PointId) -> Option<EdgeId> {
        let network = self.analysis.network();
        let amps = |id: EdgeId| self.mode.map_or(0.0, |mode| mode.amps(id).get());
        let here = network.around(start).filter(|(_, edge, _)| edge.role.drives() && edge.b == start);
        let mut found: Vec<(bool, f64, EdgeId)> = here.map(|(id, edge, _)| (edge.a == end, amps(id), id)).collect();
        found.sort_by(|a, b| b.0.cmp(&a.0).then(b.1.total_cmp(&a.1)).then(a.2.cmp(&b.2)));
        found.first().map(|(_, _, id)| *id)
    }

    /// The way from the lowest of cells in series on, where it comes back to that one; `None` where the source is alone.
    fn through_cells(&self, source: EdgeId, way: &Way, end: PointId) -> Option<(EdgeId, Way)> {
        let network = self.analysis.network();
        let bottom = network[source].a;
        if bottom == end || way.steps.is_empty() {
            return None;
        }
        let used: FxHashSet<EdgeId> = way.steps.iter().map(|step| step.edge).chain([source]).collect();
        // Where a current flows it flows through them all.
        let flows = |id: EdgeId| self.mode.is_none_or(|mode| mode.amps(id).abs().get() > FLOWS);
        let leads = |edge: &Edge| edge.role.drives() || edge.role.conducts_when_closed();
        let keep = |id: EdgeId, edge: &Edge| !used.contains(&id) && leads(edge) && flows(id);
        let down = network.path(bottom, |point| point == end, keep)?;
        let (_, mut up) = turned(bottom, &down);
        let first = up.iter().position(|step| network[step.edge].role.drives())?;
        let lowest = up.get(first).copied()?;
        // What is between the end of the way and the lowest cell stays at the end of the return.
        let mut tail: Vec<Step> = up.drain(..first).collect();
        up.remove(0);
        if network[lowest.edge].b != lowest.point {
            return None;
        }
        up.push(Step { edge: source, point: way.start });
        up.extend(way.steps.iter().copied());
        up.append(&mut tail);
        Some((lowest.edge, Way { start: lowest.point, steps: up, flows: way.flows }))
    }

    fn consumer(&self, id: EdgeId) -> Option<Consumer> {
        self.maker().consumer(id, None)
    }

    fn stops(
        &self,
        start: PointId,
        steps: &[Step],
        side: Side,
        on_way: &FxHashSet<EdgeId>,
        named: &mut FxHashSet<PointId>,
    ) -> Vec<Stop> {
        let mut stops: Vec<Stop> = Vec::new();
        let mut at = start;
        let first = self.asides(at, on_way, named);
        if let PointKind::Splice(_) = self.model()[at].kind {
            stops.push(Stop { kind: StopKind::Splice(self.model().point_name(at)), device: None, asides: first.clone() });
        }
        for step in steps {
            let (kind, device) = self.stop(step.edge, at, side);
            stops.push(Stop { kind, device, asides: Vec::new() });
            at = step.point;
            if let PointKind::Splice(_) = self.model()[at].kind {
                stops.push(Stop { kind: StopKind::Splice(self.model().point_name(at)), device: None, asides: Vec::new() });
            }
            let asides = self.asides(at, on_way, named);
            stops.last_mut().into_iter().for_each(|stop| stop.asides.extend(asides.iter().cloned()));
            join_metal(&mut stops);
        }
        // What is joined where the way begins is named at the first stop.
        if !matches!(stops.first().map(|stop| &stop.kind), Some(StopKind::Splice(_))) {
            stops.first_mut().into_iter().for_each(|stop| stop.asides.splice(0..0, first.iter().cloned()).for_each(drop));
        }
        stops
    }

    /// What a step over an edge is, and the device that it is in.
    pub(in crate::views) fn stop(&self, id: EdgeId, from: PointId, side: Side) -> (StopKind, Option<String>) {
        let network = self.analysis.network();
        let model = self.model();
        let edge: &Edge = &network[id];
        let (here, there) = (model.point_name(from), model.point_name(edge.other(from)));
        let device = |name: &str| Some(name.to_owned());
        match edge.kind {
            EdgeKind::Wire(wire) => {
                let item = &model[wire];
                let kind = StopKind::Wire {
                    name: model.wire_name(wire),
                    size: item.size.map(|size| size.value),
                    colour: item.colour.map(|colour| colour.value.to_string()),
                    length: item.length.map(|length| length.value),
                };
                (kind, None)
            }
            EdgeKind::Screen(cable) => (StopKind::Metal(format!("screen of {}", model.cable_name(cable))), None),
            EdgeKind::Contact(_) => (StopKind::Pair { from: here, to: there }, None),
            EdgeKind::Joint(_) => (StopKind::Joint { from: here, to: there }, None),
            EdgeKind::Chassis(owner) => (StopKind::Metal(model.device_name(owner).to_owned()), device(model.device_name(owner))),
            EdgeKind::Element(element) => {
                let name = model.element_name(element);
                let holder = match model[element].owner {
                    Owner::Device(owner) => device(model.device_name(owner)),
                    Owner::Loom(_) => None,
                };
                let kind = match edge.role {
                    EdgeRole::Metal(MetalKind::Bar) => StopKind::Bar(name),
                    _ if edge.role.drives() => match self.maker().source(id, None) {
                        Some(source) => StopKind::Source { source, from_plus: edge.b == from },
                        None => StopKind::Other(name),
                    },
                    _ if piece_kind(model, edge).is_some() => match self.maker().piece(id, side) {
                        Some(piece) => StopKind::Piece(piece),
                        None => StopKind::Other(name),
                    },
                    _ => StopKind::Other(name),
                };
                (kind, holder)
            }
        }
    }

    /// What else is joined at a point of the way: wires and elements, each once.
    fn asides(&self, point: PointId, on_way: &FxHashSet<EdgeId>, named: &mut FxHashSet<PointId>) -> Vec<Aside> {
        let network = self.analysis.network();
        let model = self.model();
        // A stud with its rings and a contact with its mate are one place; the metal of the chassis is not followed.
        let mut place = vec![point];
        let mut next = 0;
        let mut found: Vec<(crate::text::Span, Aside)> = Vec::new();
        while let Some(here) = place.get(next).copied() {
            next += 1;
            if !named.insert(here) {
                continue;
            }
            for (id, edge, other) in network.around(here) {
                if on_way.contains(&id) {
                    continue;
                }
                match edge.kind {
                    EdgeKind::Contact(_) | EdgeKind::Joint(_) => {
                        if place.len() < MOST && !place.contains(&other) {
                            place.push(other);
                        }
                    }
                    EdgeKind::Wire(wire) => {
                        found.push((model[wire].span, Aside { name: model.wire_name(wire), to: self.far(other) }));
                    }
                    EdgeKind::Element(element) => {
                        // A bar leads to what is named at its other points.
                        let to = if edge.role.is_metal() { model.point_name(other) } else { String::new() };
                        found.push((model[element].span, Aside { name: model.element_name(element), to }));
                    }
                    EdgeKind::Screen(cable) => {
                        found.push((
                            model[cable].span,
                            Aside { name: format!("screen of {}", model.cable_name(cable)), to: String::new() },
                        ));
                    }
                    EdgeKind::Chassis(_) => {}
                }
            }
        }
        found.sort_by(|a, b| (a.0, &a.1.name).cmp(&(b.0, &b.1.name)));
        let mut asides: Vec<Aside> = found.into_iter().map(|(_, aside)| aside).collect();
        asides.dedup();
        asides
    }

    /// The device pin behind the far end of a wire, else that end.
    fn far(&self, end: PointId) -> String {
        let network = self.analysis.network();
        let mate = network.around(end).find(|(_, edge, _)| edge.role.is_place()).map(|(_, _, other)| other);
        self.model().point_name(mate.unwrap_or(end))
    }
}

/// Makes the metal of one chassis, passed in two steps, one stop.
fn join_metal(stops: &mut Vec<Stop>) {
    let same = match stops.as_slice() {
        [.., Stop { kind: StopKind::Metal(one), .. }, Stop { kind: StopKind::Metal(other), .. }] => one == other,
        _ => false,
    };
    if same && let Some(last) = stops.pop() {
        stops.last_mut().into_iter().for_each(|stop| stop.asides.extend(last.asides.iter().cloned()));
    }
}
