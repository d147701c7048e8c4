//! From the points of a net to its tree: what is straight, what branches off, where rings are opened.

use super::{Counts, End, NetStop, Run};
use crate::{
    analysis::Analysis,
    electrical::ModeState,
    model::{ElementId, Model, PointId, PointKind},
    network::{Edge, EdgeId, EdgeKind, EdgeRole, Network},
    quantity::Ampere,
    text::Span,
    views::{
        Letter, Side,
        function::{Stop, StopKind, Stops},
        letter::Letters,
        piece::{FLOWS, Maker},
    },
};
use rustc_hash::{FxHashMap, FxHashSet};
use std::{
    cmp::{Ordering, Reverse},
    collections::BinaryHeap,
};

/// The mode in which most comes in or goes out at one point, how much, and where; without a current the first point that is an end of the metal.
/// `None` for a net without points.
pub(super) fn root<'a>(
    analysis: &Analysis,
    points: &[PointId],
    states: &[&'a ModeState],
) -> Option<(Option<(&'a ModeState, Ampere)>, PointId)> {
    let network = analysis.network();
    let into = |state: &ModeState, point: PointId| -> f64 {
        let flows = network.around(point).filter(|(_, edge, _)| !edge.is_metal());
        flows.map(|(id, edge, _)| if edge.b == point { state.amps(id).get() } else { -state.amps(id).get() }).sum::<f64>().abs()
    };
    let mut most: Option<(&ModeState, f64, PointId)> = None;
    for state in states {
        for point in points {
            let amps = into(state, *point);
            if amps > most.map_or(FLOWS, |(_, amps, _)| amps) {
                most = Some((state, amps, *point));
            }
        }
    }
    if let Some((state, amps, point)) = most {
        return Some((Some((state, Ampere::new(amps))), point));
    }
    let is_end = |point: &&PointId| network.around(**point).filter(|(_, edge, _)| edge.is_metal()).count() < 2;
    points.iter().find(is_end).or(points.first()).map(|point| (None, *point))
}

/// A point of the tree.
struct Node {
    point: PointId,
    /// The edge by which it was reached; `None` for the root.
    by: Option<EdgeId>,
    /// What goes on from it, in the order written.
    next: Vec<usize>,
    /// Whether a current flows in it or behind it, and how many edges are behind it in a row.
    flows: bool,
    depth: usize,
}

/// The tree of a net.
pub(super) struct Grown<'a> {
    analysis: &'a Analysis,
    mode: Option<&'a ModeState>,
    absent: &'a FxHashMap<PointId, Vec<ElementId>>,
    nodes: Vec<Node>,
    /// What closes a ring, by the points at which it is opened: at the first it is drawn, at the second named.
    rings: FxHashMap<PointId, Vec<(EdgeId, Letter, bool)>>,
    letters: Letters,
    counts: Counts,
}

impl<'a> Grown<'a> {
    /// The tree from `root`: along what carries most first, so that a ring is opened where least flows.
    pub(super) fn of(
        analysis: &'a Analysis,
        mode: Option<&'a ModeState>,
        root: PointId,
        absent: &'a FxHashMap<PointId, Vec<ElementId>>,
    ) -> Self {
        let network = analysis.network();
        let mut grown = Self {
            analysis,
            mode,
            absent,
            nodes: vec![Node { point: root, by: None, next: Vec::new(), flows: false, depth: 0 }],
            rings: FxHashMap::default(),
            letters: Letters::default(),
            counts: Counts::default(),
        };
        let mut places: FxHashMap<PointId, usize> = FxHashMap::from_iter([(root, 0)]);
        let mut used: FxHashSet<EdgeId> = FxHashSet::default();
        let mut open: BinaryHeap<Way> = BinaryHeap::new();
        let mut number = 0;
        grown.open(0, &mut open, &mut number);
        while let Some(Way { edge, from, .. }) = open.pop() {
            let point = grown.nodes.get(from).map(|node| network[edge].other(node.point));
            let Some(point) = point.filter(|point| !places.contains_key(point)) else { continue };
            let at = grown.nodes.len();
            places.insert(point, at);
            used.insert(edge);
            grown.nodes.push(Node { point, by: Some(edge), next: Vec::new(), flows: false, depth: 0 });
            grown.nodes.get_mut(from).into_iter().for_each(|node| node.next.push(at));
            grown.open(at, &mut open, &mut number);
        }
        grown.sum_up();
        grown.open_rings(&used);
        grown
    }

    /// The ways that go on from a point.
    fn open(&self, at: usize, open: &mut BinaryHeap<Way>, number: &mut usize) {
        let Some(node) = self.nodes.get(at) else { return };
        let network = self.analysis.network();
        let mut ways: Vec<(Span, EdgeId)> = network
            .around(node.point)
            .filter(|(id, edge, _)| edge.is_metal() && Some(*id) != node.by)
            .map(|(id, edge, _)| (written(network, edge), id))
            .collect();
        ways.sort_unstable();
        for (_, edge) in ways {
            open.push(Way { amps: self.amps(edge), number: Reverse(*number), edge, from: at });
            *number += 1;
        }
    }

    fn amps(&self, edge: EdgeId) -> f64 {
        let amps = self.mode.map_or(0.0, |mode| mode.amps(edge).abs().get());
        if amps > FLOWS { amps } else { 0.0 }
    }

    /// From the ends to the root: what flows behind each point, and how far it goes on. Then the order of what goes on.
    fn sum_up(&mut self) {
        for at in (0..self.nodes.len()).rev() {
            let Some(node) = self.nodes.get(at) else { continue };
            let behind: Vec<(bool, usize)> =
                node.next.iter().filter_map(|next| self.nodes.get(*next)).map(|next| (next.flows, next.depth + 1)).collect();
            let own = node.by.is_some_and(|by| self.amps(by) > 0.0);
            let flows = own || behind.iter().any(|(flows, _)| *flows);
            let depth = behind.iter().map(|(_, depth)| *depth).max().unwrap_or(0);
            self.nodes.get_mut(at).into_iter().for_each(|node| (node.flows, node.depth) = (flows, depth));
        }
        let network = self.analysis.network();
        let order: Vec<(Span, Option<EdgeId>)> = self
            .nodes
            .iter()
            .map(|node| (node.by.map(|by| written(network, &network[by])).unwrap_or_default(), node.by))
            .collect();
        for node in &mut self.nodes {
            node.next.sort_unstable_by_key(|next| order.get(*next).copied());
        }
    }

    /// Gives a letter to each edge that closes a ring.
    fn open_rings(&mut self, used: &FxHashSet<EdgeId>) {
        let network = self.analysis.network();
        let all = self.nodes.iter().flat_map(|node| network.around(node.point)).filter(|(_, edge, _)| edge.is_metal());
        let mut edges: Vec<EdgeId> = all.map(|(id, _, _)| id).collect();
        edges.sort_unstable();
        edges.dedup();
        self.counts.wires = edges.iter().filter(|edge| network[**edge].wire().is_some()).count();
        for edge in edges.into_iter().filter(|edge| !used.contains(edge)) {
            let letter = self.letters.next();
            self.rings.entry(network[edge].a).or_default().push((edge, letter, true));
            self.rings.entry(network[edge].b).or_default().push((edge, letter, false));
        }
    }

    pub(super) fn counts(&self, points: usize) -> Counts {
        Counts { points, ..self.counts }
    }

    pub(super) fn letters(&self) -> u32 {
        self.letters.given()
    }

    /// The whole tree as runs.
    pub(super) fn run(&mut self) -> Run {
        let Some(root) = self.nodes.first().map(|node| node.point) else { return Run::default() };
        let mut run = Run { point: self.model().point_name(root), ..Run::default() };
        let (straight, others) = self.parted(0);
        run.begin = self.ends(root);
        if run.begin.is_empty() {
            run.begin.push(self.bare(root));
        }
        run.branches = self.runs(0, &others);
        if self.is_splice(root) {
            run.stops.push(NetStop { stop: self.splice(root), branches: std::mem::take(&mut run.branches) });
        }
        if let Some(straight) = straight {
            let (stops, ends) = self.along(0, straight);
            run.stops.extend(stops);
            run.ends = ends;
        }
        run
    }

    /// What goes on straight from a point, and what else does.
    fn parted(&self, at: usize) -> (Option<usize>, Vec<usize>) {
        let next = self.nodes.get(at).map_or(&[][..], |node| node.next.as_slice());
        let rank = |at: &usize| self.nodes.get(*at).map(|node| (node.flows, node.depth));
        let straight = next.iter().copied().reduce(|most, one| if rank(&one) > rank(&most) { one } else { most });
        (straight, next.iter().copied().filter(|next| Some(*next) != straight).collect())
    }

    /// The straight way from a point over the one behind it, and what is at its end.
    fn along(&mut self, from: usize, first: usize) -> (Vec<NetStop>, Vec<End>) {
        let (mut at, mut next) = (from, Some(first));
        let mut stops: Vec<NetStop> = Vec::new();
        let mut ends = Vec::new();
        while let Some(child) = next {
            let Some((here, by, point)) = self.step(at, child) else { break };
            stops.push(NetStop { stop: self.stop(by, here), branches: Vec::new() });
            if self.is_splice(point) {
                stops.push(NetStop { stop: self.splice(point), branches: Vec::new() });
            }
            at = child;
            let (straight, others) = self.parted(at);
            let mut branches = match straight {
                Some(_) => self.leaving(at, &others),
                None => self.runs(at, &[]),
            };
            if straight.is_none() {
                ends = self.ends(point);
                // Where nothing is joined, what closes a ring goes straight on.
                if ends.is_empty() && !branches.is_empty() {
                    let ring = branches.remove(0);
                    stops.last_mut().into_iter().for_each(|last| last.branches.append(&mut branches));
                    stops.extend(ring.stops);
                    ends = ring.ends;
                } else if ends.is_empty() {
                    ends.push(self.bare(point));
                }
            }
            stops.last_mut().into_iter().for_each(|last| last.branches.append(&mut branches));
            next = straight;
        }
        (stops, ends)
    }

    fn step(&self, at: usize, child: usize) -> Option<(PointId, EdgeId, PointId)> {
        let child = self.nodes.get(child)?;
        Some((self.nodes.get(at)?.point, child.by?, child.point))
    }

    /// All that leaves a point but what goes on straight: conductors and what is joined there, in the order written.
    fn leaving(&mut self, at: usize, others: &[usize]) -> Vec<Run> {
        let Some(point) = self.nodes.get(at).map(|node| node.point) else { return Vec::new() };
        let name = self.model().point_name(point);
        let joined = self.ends(point).into_iter();
        let joined = joined.map(|end| Run { point: name.clone(), ends: vec![end], ..Run::default() });
        let mut all = self.runs(at, others);
        all.extend(joined);
        all
    }

    /// The conductors that leave a point for those behind it, in the order written; then those that close a ring.
    fn runs(&mut self, at: usize, others: &[usize]) -> Vec<Run> {
        let Some(point) = self.nodes.get(at).map(|node| node.point) else { return Vec::new() };
        let name = self.model().point_name(point);
        let mut all = Vec::new();
        for other in others {
            let (stops, ends) = self.along(at, *other);
            all.push(Run { point: name.clone(), stops, ends, ..Run::default() });
        }
        let rings = self.rings.get(&point).cloned().unwrap_or_default();
        for (edge, letter, _) in rings.into_iter().filter(|(_, _, is_drawn)| *is_drawn) {
            let stop = NetStop { stop: self.stop(edge, point), branches: Vec::new() };
            all.push(Run { point: name.clone(), stops: vec![stop], ends: vec![End::To(letter)], ..Run::default() });
        }
        all
    }

    /// What is joined at a point, in the order written, and what comes back to it from a ring.
    fn ends(&mut self, point: PointId) -> Vec<End> {
        let network = self.analysis.network();
        let mut found: Vec<(Span, EdgeId, End)> = network
            .around(point)
            .filter(|(_, edge, _)| !edge.is_metal())
            .map(|(id, edge, _)| (written(network, edge), id, self.end(id, edge, point)))
            .collect();
        found.sort_by_key(|(span, id, _)| (*span, *id));
        let mut ends: Vec<End> = found.into_iter().map(|(_, _, end)| end).collect();
        let absent = self.absent.get(&point).into_iter().flatten();
        ends.extend(absent.map(|element| End::Absent(self.model().element_name(*element))));
        self.counts.joined += ends.len();
        let rings = self.rings.get(&point).into_iter().flatten();
        ends.extend(rings.filter(|(_, _, is_drawn)| !is_drawn).map(|(_, letter, _)| End::From(*letter)));
        ends
    }

    fn end(&self, id: EdgeId, edge: &Edge, point: PointId) -> End {
        let maker = Maker { analysis: self.analysis, mode: self.mode };
        let name = || edge.element().map(|element| self.model().element_name(element)).unwrap_or_default();
        if edge.role.drives()
            && let Some(source) = maker.source(id, None)
        {
            return End::Source(Box::new(source), edge.b == point);
        }
        if edge.role == EdgeRole::Capacitor {
            return End::Capacitor(name());
        }
        match (maker.consumer(id, None), maker.piece(id, Side::Feed)) {
            (Some(consumer), _) => End::Consumer(consumer),
            (None, Some(piece)) => End::Piece(piece),
            // What neither takes nor gives nor lets through a current of its own only closes a loop of signals.
            (None, None) => End::Interlock(name()),
        }
    }

    /// An end at which nothing is.
    fn bare(&self, point: PointId) -> End {
        let model = self.model();
        let signal = model.pin_at(point).and_then(|pin| pin.signal).map(|signal| model.text(signal.value).to_owned());
        End::Point(model.point_name(point), signal)
    }

    fn is_splice(&self, point: PointId) -> bool {
        matches!(self.model()[point].kind, PointKind::Splice(_))
    }

    fn splice(&self, point: PointId) -> Stop {
        Stop { kind: StopKind::Splice(self.model().point_name(point)), device: None, asides: Vec::new() }
    }

    fn stop(&self, edge: EdgeId, from: PointId) -> Stop {
        let (kind, device) = Stops { analysis: self.analysis, mode: self.mode }.stop(edge, from, Side::Feed);
        Stop { kind, device, asides: Vec::new() }
    }

    fn model(&self) -> &'a Model {
        self.analysis.model()
    }
}

/// A way that may be taken: what carries most first, then what was found first.
#[derive(Debug)]
struct Way {
    amps: f64,
    number: Reverse<usize>,
    edge: EdgeId,
    from: usize,
}

impl Ord for Way {
    fn cmp(&self, other: &Self) -> Ordering {
        self.amps.total_cmp(&other.amps).then(self.number.cmp(&other.number))
    }
}

impl PartialOrd for Way {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Way {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Way {}

/// Where what joins two points is written.
fn written(network: &Network, edge: &Edge) -> Span {
    let model = network.model();
    match edge.kind {
        EdgeKind::Wire(wire) => model[wire].span,
        EdgeKind::Screen(cable) => model[cable].span,
        EdgeKind::Contact(end) | EdgeKind::Joint(end) => model[end].span,
        EdgeKind::Chassis(device) => model[device].span,
        EdgeKind::Element(element) => model[element].span,
    }
}
