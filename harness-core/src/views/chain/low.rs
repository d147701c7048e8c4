//! The half of class A: interlock loops from end to end, and the coils of the contacts of class B with what feeds and drives them.

use crate::{
    analysis::Analysis,
    facts::loops::{DropsBy, LoopEffect},
    model::{ElementId, ElementKind, Opener, PointId, PointKind},
    network::{Components, Edge, EdgeId, EdgeRole, GroupId, Network},
    vocabulary::Role,
};
use rustc_hash::{FxHashMap, FxHashSet};

/// An interlock loop, or an open stretch of one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Loop {
    /// Where it begins.
    pub from: LoopEnd,
    /// What can open it, in order.
    pub stops: Vec<LoopStop>,
    /// Where it ends.
    pub to: LoopEnd,
    /// What opening it does, by modes with the same answer.
    pub opens: Vec<Opens>,
}

/// An end of a loop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LoopEnd {
    /// Pins at which nothing more is drawn, coils, sources: what is there; empty where the loop comes back to itself.
    pub at: Vec<String>,
}

/// What can open a loop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LoopStop {
    /// Its name.
    pub name: String,
    /// What is opened to open it: a connector or a cover; `None` for a switch or a contact.
    pub of: Option<String>,
    /// A bridge in a plug or lid; else a switch or a contact.
    pub is_bridge: bool,
    /// Something leads past it, or feeds the loop behind it: opening it does not open the loop.
    pub is_bypassed: bool,
}

/// What an open loop does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Opens {
    /// The modes in which it was tried.
    pub modes: Vec<String>,
    /// The contacts of class B that open, as computed.
    pub drops: Vec<String>,
    /// Those that stay shut in the circuit.
    pub stay: Vec<String>,
    /// The device that sees the loop and lets contacts go by its program; `None` where the circuit does it, or nothing.
    pub program: Option<String>,
}

/// The coil of a contact of class B.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Coil {
    /// Its relay.
    pub name: String,
    /// The contacts of class B that it moves.
    pub contacts: Vec<String>,
    /// From the positive pole of its source.
    pub plus: CoilEnd,
    /// To the negative pole.
    pub minus: CoilEnd,
}

/// One side of a coil.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct CoilEnd {
    /// Fuses, switches and contacts on it, from the coil on.
    pub way: Vec<String>,
    /// The source at its end, or the pin that drives it; `None` where it leads to neither.
    pub to: Option<String>,
}

/// Whether an edge can open a loop.
fn opens(role: EdgeRole) -> bool {
    match role {
        EdgeRole::Interlock | EdgeRole::Switch { .. } | EdgeRole::MakeContact | EdgeRole::BreakContact => true,
        EdgeRole::Metal(_) | EdgeRole::Fuse | EdgeRole::Disconnect | EdgeRole::Coil | EdgeRole::Source { .. } => false,
        EdgeRole::ConverterInput | EdgeRole::ConverterOutput { .. } | EdgeRole::Load | EdgeRole::Resistor => false,
        EdgeRole::Shunt | EdgeRole::Capacitor | EdgeRole::Diode => false,
    }
}

/// The interlock loops of a design.
pub(super) fn loops(analysis: &Analysis) -> Vec<Loop> {
    let (network, facts) = (analysis.network(), analysis.facts());
    let bridges: FxHashSet<EdgeId> = facts.loops().bridges.iter().copied().collect();
    if bridges.is_empty() {
        return Vec::new();
    }
    let tracer = Tracer::new(analysis, &bridges);
    let mut seen: FxHashSet<EdgeId> = FxHashSet::default();
    let mut found = Vec::new();
    for bridge in &facts.loops().bridges {
        if seen.contains(bridge) {
            continue;
        }
        let edge = &network[*bridge];
        let (mut before, start) = tracer.follow(*bridge, edge.a);
        before.reverse();
        let is_ring = before.contains(bridge);
        let (after, end) = if is_ring { (Vec::new(), None) } else { tracer.follow(*bridge, edge.b) };
        let stops: Vec<EdgeId> = if is_ring { before } else { before.into_iter().chain([*bridge]).chain(after).collect() };
        // Taken from its other end it is the same loop.
        if stops.iter().any(|stop| seen.contains(stop)) {
            let left: Vec<EdgeId> = stops.iter().copied().filter(|stop| !seen.contains(stop)).collect();
            seen.extend(left.iter().copied());
            found.push(tracer.named(&left, start, end));
            continue;
        }
        seen.extend(stops.iter().copied());
        found.push(tracer.named(&stops, start, end));
    }
    found
}

struct Tracer<'a> {
    analysis: &'a Analysis,
    bridges: &'a FxHashSet<EdgeId>,
    /// Points that metal joins, bridges left out.
    of: Components,
    /// Per piece of metal what can open a loop there.
    at: FxHashMap<GroupId, Vec<EdgeId>>,
    /// Pieces at a pole of a source or at the chassis.
    fixed: FxHashSet<GroupId>,
}

impl<'a> Tracer<'a> {
    fn new(analysis: &'a Analysis, bridges: &'a FxHashSet<EdgeId>) -> Self {
        let (network, model) = (analysis.network(), analysis.model());
        let of = network.components(|id, edge| edge.is_metal() && !bridges.contains(&id));
        let mut at: FxHashMap<GroupId, Vec<EdgeId>> = FxHashMap::default();
        for (id, edge) in network.edges().filter(|(id, edge)| bridges.contains(id) || opens(edge.role)) {
            for point in [edge.a, edge.b] {
                at.entry(of.of(point)).or_default().push(id);
            }
        }
        let poles = network.edges().filter(|(_, edge)| edge.role.drives()).flat_map(|(_, edge)| [edge.a, edge.b]);
        let chassis = model.devices().filter(|(_, device)| device.chassis).flat_map(|(_, device)| model.points_of(device));
        let fixed = poles.chain(chassis).map(|point| of.of(point)).collect();
        Self { analysis, bridges, of, at, fixed }
    }

    fn network(&self) -> &'a Network {
        self.analysis.network()
    }

    /// What follows a stop behind one of its points, and the point at which that ends.
    fn follow(&self, stop: EdgeId, from: PointId) -> (Vec<EdgeId>, Option<PointId>) {
        let (mut way, mut at, mut last) = (Vec::new(), from, stop);
        loop {
            let piece = self.of.of(at);
            let mut here = self.at.get(&piece).into_iter().flatten().filter(|edge| **edge != last);
            let next = match (here.next(), here.next(), self.fixed.contains(&piece)) {
                (Some(next), None, false) => *next,
                _ => return (way, Some(at)),
            };
            way.push(next);
            if next == stop || way.len() > self.network().edge_count() {
                return (way, None);
            }
            let edge = &self.network()[next];
            // The other point of the next stop; both are in one piece where it is bridged by metal.
            let far = if self.of.of(edge.a) == piece { edge.b } else { edge.a };
            if self.of.of(far) == piece {
                return (way, Some(at));
            }
            (at, last) = (far, next);
        }
    }

    fn named(&self, stops: &[EdgeId], start: Option<PointId>, end: Option<PointId>) -> Loop {
        let owner = |stop: Option<&EdgeId>| {
            let element = self.network()[*stop?].element()?;
            self.analysis.model()[element].owner.device()
        };
        Loop {
            from: self.end(start, owner(stops.first())),
            stops: stops.iter().filter_map(|stop| self.stop(*stop)).collect(),
            to: self.end(end, owner(stops.last())),
            opens: self.effects(stops),
        }
    }

    fn stop(&self, id: EdgeId) -> Option<LoopStop> {
        let model = self.analysis.model();
        let edge = &self.network()[id];
        let element = edge.element()?;
        let opener = match &model[element].kind {
            ElementKind::Interlock { of: Some(Opener::Port(port)), .. } => Some(model.port_name(*port)),
            ElementKind::Interlock { of: Some(Opener::Cover(cover)), .. } => Some(model.cover_name(*cover)),
            _ if self.bridges.contains(&id) => match (model[edge.a].kind, model[edge.b].kind) {
                (PointKind::Pin(port), PointKind::Pin(other)) if port == other => Some(model.port_name(port)),
                _ => None,
            },
            _ => None,
        };
        let loops = self.analysis.facts().loops();
        let past = loops.bypasses.iter().map(|one| &one.bridges).chain(loops.feeds.iter().map(|one| &one.bridges));
        Some(LoopStop {
            name: model.element_name(element),
            of: opener,
            is_bridge: self.bridges.contains(&id),
            is_bypassed: past.flatten().any(|bridge| *bridge == element),
        })
    }

    /// What is at the end of a loop: sources and coils, else the pins of other devices than that of the last stop.
    fn end(&self, at: Option<PointId>, own: Option<crate::model::DeviceId>) -> LoopEnd {
        let Some(at) = at else { return LoopEnd { at: Vec::new() } };
        let (network, model) = (self.network(), self.analysis.model());
        let points = self.of.members(self.of.of(at));
        let mut names: Vec<String> = Vec::new();
        let ends = |edge: &Edge| edge.role.drives() || edge.role == EdgeRole::Coil;
        for (_, edge, _) in points.iter().flat_map(|point| network.around(*point)).filter(|(_, edge, _)| ends(edge)) {
            names.extend(edge.element().map(|element| model.element_name(element)));
        }
        if names.is_empty() {
            let rank = |point: &&PointId| match model.role_at(**point) {
                Some(Role::Interlock) => 0,
                Some(Role::Input | Role::Output) => 1,
                Some(_) => 3,
                None => 2,
            };
            let pins = || points.iter().filter(|point| matches!(model[**point].kind, PointKind::Pin(_) | PointKind::Stud(_)));
            let others = pins().filter(|point| model.device_at(**point) != own).min_by_key(rank);
            names.extend(others.or_else(|| pins().next()).or(points.first()).map(|point| model.point_name(*point)));
        }
        names.sort_unstable();
        names.dedup();
        LoopEnd { at: names }
    }

    fn effects(&self, stops: &[EdgeId]) -> Vec<Opens> {
        let model = self.analysis.model();
        let elements: FxHashSet<ElementId> = stops.iter().filter_map(|stop| self.network()[*stop].element()).collect();
        let named = |elements: &[ElementId]| -> Vec<String> { elements.iter().map(|one| model.element_name(*one)).collect() };
        let mut found: Vec<Opens> = Vec::new();
        let own = self.analysis.facts().loops().effects.iter().filter(|effect| elements.contains(&effect.bridge));
        for LoopEffect { mode, contactors, stay, by, .. } in own {
            let dropped: Vec<ElementId> = contactors.iter().copied().filter(|contact| !stay.contains(contact)).collect();
            let program = match by {
                DropsBy::Controller(device) => Some(model.device_name(*device).to_owned()),
                DropsBy::Circuit { .. } | DropsBy::Nothing => None,
            };
            let mode = model.mode_name(*mode).to_owned();
            let answer = Opens { modes: Vec::new(), drops: named(&dropped), stay: named(stay), program };
            match found.iter_mut().find(|known| Opens { modes: Vec::new(), ..(*known).clone() } == answer) {
                Some(known) => known.modes.push(mode),
                None => found.push(Opens { modes: vec![mode], ..answer }),
            }
        }
        found
    }
}

/// The coils of contacts of class B, in the order of their contacts.
pub(super) fn coils(analysis: &Analysis, contacts: &[(EdgeId, ElementId)]) -> Vec<Coil> {
    let (network, model) = (analysis.network(), analysis.model());
    let mut found: Vec<(ElementId, Coil)> = Vec::new();
    for (_, element) in contacts.iter().filter(|(contact, _)| network[*contact].role.is_relay_contact()) {
        let name = model.element_name(*element);
        let relay = model[*element].kind.coil_of().unwrap_or(*element);
        if let Some((_, coil)) = found.iter_mut().find(|(known, _)| *known == relay) {
            if !coil.contacts.contains(&name) {
                coil.contacts.push(name);
            }
            continue;
        }
        let coil = network.edges().find(|(_, edge)| edge.element() == Some(relay) && edge.role == EdgeRole::Coil);
        let (plus, minus) = coil.map_or_else(Default::default, |(id, edge)| sides(analysis, id, edge));
        found.push((relay, Coil { name: model.element_name(relay), contacts: vec![name], plus, minus }));
    }
    found.into_iter().map(|(_, coil)| coil).collect()
}

/// The two sides of a coil: the one that leads to a positive pole first.
fn sides(analysis: &Analysis, coil: EdgeId, edge: &Edge) -> (CoilEnd, CoilEnd) {
    let feeds = |point: PointId| side(analysis, coil, point, true);
    let returns = |point: PointId| side(analysis, coil, point, false);
    let (straight, turned) = ((feeds(edge.a), returns(edge.b)), (feeds(edge.b), returns(edge.a)));
    let known = |(plus, minus): &(CoilEnd, CoilEnd)| u8::from(plus.to.is_some()) + u8::from(minus.to.is_some());
    if known(&turned) > known(&straight) { turned } else { straight }
}

/// The shortest way from one side of a coil to a pole of a source, else to a pin that drives it.
fn side(analysis: &Analysis, coil: EdgeId, from: PointId, plus: bool) -> CoilEnd {
    let (network, model) = (analysis.network(), analysis.model());
    let is_pole = |point: PointId| {
        network.around(point).any(|(_, edge, _)| edge.role.drives() && if plus { edge.b == point } else { edge.a == point })
    };
    let way = |diodes: bool| {
        network
            .path(from, is_pole, |id, edge| id != coil && edge.role.conducts_when_closed() && (diodes || !edge.role.is_one_way()))
    };
    if let Some(steps) = way(false).or_else(|| way(true)) {
        let end = steps.last().map_or(from, |step| step.point);
        let source = network.around(end).find(|(_, edge, _)| edge.role.drives()).and_then(|(_, edge, _)| edge.element());
        // A return that is the chassis is named so, whichever source is nearest.
        let mut metal = network.net_points(network.net(end)).iter().filter_map(|point| model.device_at(*point));
        let chassis = metal.find(|device| !plus && model[*device].chassis).map(|device| model.device_name(device).to_owned());
        let parts = steps.iter().filter(|step| !network[step.edge].is_metal()).filter_map(|step| network[step.edge].element());
        return CoilEnd {
            way: parts.map(|element| model.element_name(element)).collect(),
            to: chassis.or_else(|| source.map(|source| model.element_name(source))),
        };
    }
    let drives = |point: PointId| matches!(model.role_at(point), Some(Role::Output | Role::Bidirectional));
    let steps = network.path(from, drives, |id, edge| id != coil && edge.role.conducts_when_closed());
    let Some(steps) = steps else { return CoilEnd::default() };
    let end = steps.last().map_or(from, |step| step.point);
    let parts = steps.iter().filter(|step| !network[step.edge].is_metal()).filter_map(|step| network[step.edge].element());
    CoilEnd { way: parts.map(|element| model.element_name(element)).collect(), to: Some(model.point_name(end)) }
}
