//! Which net is the root of a tree, and which nets hang on which.

use super::{
    chains::{Chains, Ring},
    grid::{Grid, LinkOf},
    hanging::Hanging,
    reduce::{Lane, Lanes, Step, is_fuse, links},
};
use crate::{model::ElementKind, network::NetId, text::Span};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::VecDeque;

/// What feeds a net.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Inlet {
    /// The chain of this number.
    Chain(usize),
    /// The net is between the banks of a chain.
    Between(NetId),
}

/// What feeds the root.
#[derive(Debug, Clone, Copy)]
pub(super) struct FeederPlan {
    pub(super) inlet: Inlet,
    /// The way from its net to the root, where that is another one.
    pub(super) lane: Option<(usize, NetId)>,
}

impl FeederPlan {
    /// The net between banks that it begins at.
    pub(super) fn between(&self) -> Option<NetId> {
        match self.inlet {
            Inlet::Chain(_) => None,
            Inlet::Between(net) => Some(net),
        }
    }
}

/// A net of a tree.
#[derive(Debug, Clone)]
pub(super) struct Planned {
    pub(super) net: NetId,
    /// The ways to the nets behind it, with their places in the tree.
    pub(super) children: Vec<(usize, usize)>,
    /// Ways that close a ring, and whether they are drawn here.
    pub(super) rings: Vec<(usize, bool)>,
    /// What feeds it and is not a feeder of the root.
    pub(super) inlets: Vec<Inlet>,
    /// Its place among others: what has no fuse first, then the first fuse or thing behind it.
    pub(super) rank: Rank,
}

/// A place in the order of branches.
pub(super) type Rank = (bool, Option<Span>);

/// A tree before it is shown.
#[derive(Debug, Clone)]
pub(super) struct Plan {
    /// Its first source.
    pub(super) span: Option<Span>,
    pub(super) feeders: Vec<FeederPlan>,
    /// Its nets; the first is the root, each comes before those behind it.
    pub(super) nodes: Vec<Planned>,
    /// Ways that close a ring.
    pub(super) rings: Vec<usize>,
    takers: usize,
    fuses: bool,
}

impl Plan {
    pub(super) fn root(&self) -> NetId {
        self.nodes.first().map_or(NetId(0), |node| node.net)
    }

    /// Everything that feeds it.
    pub(super) fn inlets(&self) -> impl Iterator<Item = Inlet> {
        let of_nodes = self.nodes.iter().flat_map(|node| node.inlets.iter().copied());
        self.feeders.iter().map(|feeder| feeder.inlet).chain(of_nodes)
    }

    /// About how many rows it has.
    pub(super) fn rows(&self) -> usize {
        self.takers + self.nodes.iter().filter(|node| node.children.is_empty()).count()
    }

    /// Whether nothing but signals is in it: no load, no fuse, and no source that gives more.
    pub(super) fn is_signal(&self, grid: &Grid<'_>, chains: &Chains) -> bool {
        if self.takers > 0 || self.fuses {
            return false;
        }
        let network = grid.analysis.network();
        let is_weak = |ring: &Ring| match ring {
            Ring::Bank(sources) => sources.iter().all(|source| {
                let element = network[*source].element();
                let most = element.and_then(|element| grid.analysis.model()[element].kind.short_current());
                most.is_some_and(|most| most.get() <= super::grid::SIGNAL)
            }),
            Ring::Link(_) | Ring::Between(_) => true,
        };
        self.inlets().all(|inlet| match inlet {
            Inlet::Chain(number) => chains.chains.get(number).is_none_or(|chain| chain.rings.iter().all(is_weak)),
            Inlet::Between(_) => true,
        })
    }
}

/// The trees of all pieces of the network.
pub(super) fn plan(grid: &Grid<'_>, chains: &Chains, hanging: &Hanging, lanes: &Lanes) -> Vec<Plan> {
    let mut inlets: FxHashMap<NetId, Vec<Inlet>> = FxHashMap::default();
    let mut order: Vec<NetId> = Vec::new();
    for (number, chain) in chains.chains.iter().enumerate() {
        inlets.entry(chain.top).or_default().push(Inlet::Chain(number));
        order.push(chain.top);
    }
    for net in &chains.between {
        let here = inlets.entry(*net).or_default();
        if !here.contains(&Inlet::Between(*net)) {
            here.push(Inlet::Between(*net));
        }
        order.push(*net);
    }
    let planner = Planner { grid, chains, hanging, lanes, inlets };
    let mut seen: FxHashSet<NetId> = FxHashSet::default();
    order.into_iter().filter_map(|start| planner.piece(start, &mut seen)).collect()
}

struct Planner<'p> {
    grid: &'p Grid<'p>,
    chains: &'p Chains,
    hanging: &'p Hanging,
    lanes: &'p Lanes,
    inlets: FxHashMap<NetId, Vec<Inlet>>,
}

impl Planner<'_> {
    fn inlets(&self, net: NetId) -> &[Inlet] {
        self.inlets.get(&net).map(Vec::as_slice).unwrap_or_default()
    }

    fn takers(&self, net: NetId) -> usize {
        self.hanging.takers.get(&net).map_or(0, Vec::len)
    }

    /// The tree of the piece of the network that a net is in.
    fn piece(&self, start: NetId, seen: &mut FxHashSet<NetId>) -> Option<Plan> {
        if !seen.insert(start) {
            return None;
        }
        let mut piece = vec![start];
        let mut next = 0;
        while let Some(net) = piece.get(next).copied() {
            next += 1;
            for (_, lane) in self.lanes.of(net) {
                let other = lane.other(net);
                if seen.insert(other) {
                    piece.push(other);
                }
            }
        }
        let mut fed: Vec<NetId> = piece.iter().copied().filter(|net| !self.inlets(*net).is_empty()).collect();
        fed.sort_by_key(|net| self.first(*net));
        let root = self.root(&fed)?;
        let mut plan = Plan {
            span: fed.first().and_then(|net| self.first(*net).1),
            feeders: Vec::new(),
            nodes: vec![self.node(root)],
            rings: Vec::new(),
            takers: piece.iter().map(|net| self.takers(*net)).sum(),
            fuses: false,
        };
        let mut used: FxHashSet<usize> = FxHashSet::default();
        let mut done: FxHashMap<NetId, usize> = FxHashMap::from_iter([(root, 0)]);
        for net in fed.iter().copied().filter(|net| *net == root || self.candidate(*net) == root) {
            let lane = if net == root { None } else { self.lanes.of(net).next().map(|(number, _)| number) };
            used.extend(lane);
            if net != root {
                done.insert(net, usize::MAX);
            }
            plan.feeders
                .extend(self.inlets(net).iter().map(|inlet| FeederPlan { inlet: *inlet, lane: lane.map(|lane| (lane, net)) }));
        }
        plan.feeders.sort_by_key(|feeder| self.span(feeder.inlet));
        self.spread(&mut plan, &mut used, &mut done);
        let fuse = |number: &usize| {
            self.lanes.get(*number).is_some_and(|lane| links(&lane.steps).into_iter().any(|link| is_fuse(self.grid, link)))
        };
        plan.fuses = used.iter().any(fuse);
        self.rank(&mut plan);
        Some(plan)
    }

    /// Takes the ways from the root out: what conducts first, then resistors and empty holders.
    fn spread(&self, plan: &mut Plan, used: &mut FxHashSet<usize>, done: &mut FxHashMap<NetId, usize>) {
        let mut waiting = VecDeque::from([0]);
        let mut late: VecDeque<(usize, usize)> = VecDeque::new();
        loop {
            let step = match waiting.pop_front() {
                Some(place) => {
                    let Some(net) = plan.nodes.get(place).map(|node| node.net) else { continue };
                    let here: Vec<usize> = self.lanes.of(net).map(|(number, _)| number).collect();
                    let (plain, other): (Vec<usize>, Vec<usize>) = here.into_iter().partition(|number| self.conducts(*number));
                    late.extend(other.into_iter().map(|number| (number, place)));
                    plain.into_iter().map(|number| (number, place)).collect::<Vec<_>>()
                }
                None => match late.pop_front() {
                    Some(one) => vec![one],
                    None => return,
                },
            };
            for (number, place) in step {
                let Some(net) = plan.nodes.get(place).map(|node| node.net) else { continue };
                let Some(lane) = self.lanes.get(number).filter(|_| !used.contains(&number)) else { continue };
                let other = lane.other(net);
                used.insert(number);
                match done.get(&other).copied() {
                    None => {
                        let behind = plan.nodes.len();
                        done.insert(other, behind);
                        let mut node = self.node(other);
                        node.inlets = self.inlets(other).to_vec();
                        plan.nodes.push(node);
                        if let Some(node) = plan.nodes.get_mut(place) {
                            node.children.push((number, behind));
                        }
                        waiting.push_back(behind);
                    }
                    Some(there) => {
                        plan.rings.push(number);
                        let (first, second) = (place.min(there), place.max(there));
                        for (at, drawn) in [(first, true), (second, false)] {
                            if let Some(node) = plan.nodes.get_mut(at) {
                                node.rings.push((number, drawn));
                            }
                        }
                    }
                }
            }
        }
    }

    fn node(&self, net: NetId) -> Planned {
        Planned { net, children: Vec::new(), rings: Vec::new(), inlets: Vec::new(), rank: (false, None) }
    }

    /// Whether a way lets current through without a resistor and with all its fuses.
    fn conducts(&self, number: usize) -> bool {
        let conducts = |steps: &[Step]| {
            let mut all = links(steps).into_iter().filter_map(|link| self.grid.links.get(link));
            all.all(|link| matches!(link.of, LinkOf::Way(_)))
        };
        self.lanes.get(number).is_some_and(|lane| match lane.steps.as_slice() {
            [Step::Beside(lanes)] => lanes.iter().any(|lane| conducts(lane)),
            steps => steps.iter().all(|step| match step {
                Step::Link(_) => conducts(std::slice::from_ref(step)),
                Step::Beside(lanes) => lanes.iter().any(|lane| conducts(lane)),
            }),
        })
    }

    /// The net at which most feeders meet; of several one that cells feed, else the one whose source is written first.
    fn root(&self, fed: &[NetId]) -> Option<NetId> {
        let mut votes: Vec<(NetId, (usize, bool))> = Vec::new();
        for net in fed {
            let bus = self.candidate(*net);
            let count = self.inlets(*net).len();
            let cells = self.inlets(*net).iter().any(|inlet| self.is_cells(*inlet));
            match votes.iter_mut().find(|(known, _)| *known == bus) {
                Some((_, votes)) => *votes = (votes.0 + count, votes.1 || cells),
                None => votes.push((bus, (count, cells))),
            }
        }
        votes.into_iter().reduce(|most, next| if next.1 > most.1 { next } else { most }).map(|(net, _)| net)
    }

    /// Whether cells give what comes from an inlet.
    fn is_cells(&self, inlet: Inlet) -> bool {
        let network = self.grid.analysis.network();
        let is_cell = |source| {
            let element = network[source].element();
            network[source].role.drives()
                && element.is_some_and(|element| match &self.grid.analysis.model()[element].kind {
                    kind @ ElementKind::Source { .. } => kind.limit().is_none(),
                    _ => false,
                })
        };
        match inlet {
            Inlet::Chain(number) => self.chains.chains.get(number).is_some_and(|chain| chain.sources().all(is_cell)),
            Inlet::Between(_) => true,
        }
    }

    /// The first net on the way from a feeder at which something branches.
    fn candidate(&self, net: NetId) -> NetId {
        let mut here = self.lanes.of(net).map(|(_, lane)| lane);
        let (Some(lane), None, 0) = (here.next(), here.next(), self.takers(net)) else { return net };
        let other = lane.other(net);
        let ends = |lane: &Lane| lane.a == lane.b;
        let is_bus = self.lanes.of(other).nth(1).is_some() || !self.inlets(other).is_empty();
        if is_bus && !ends(lane) { other } else { net }
    }

    /// The place of what feeds a net first: chains before what is between cells.
    fn first(&self, net: NetId) -> (bool, Option<Span>) {
        self.inlets(net).iter().map(|inlet| self.span(*inlet)).min().unwrap_or((true, None))
    }

    fn span(&self, inlet: Inlet) -> (bool, Option<Span>) {
        match inlet {
            Inlet::Chain(number) => (false, self.chains.chains.get(number).map(|chain| chain.span)),
            Inlet::Between(net) => (true, self.between(net)),
        }
    }

    /// The place of the chain that a net is within.
    fn between(&self, net: NetId) -> Option<Span> {
        let holds = |ring: &Ring| matches!(ring, Ring::Between(between) if *between == net);
        self.chains.chains.iter().find(|chain| chain.rings.iter().any(holds)).map(|chain| chain.span)
    }

    /// Puts what leaves each net into the order of the fuse box.
    fn rank(&self, plan: &mut Plan) {
        for place in (0..plan.nodes.len()).rev() {
            let Some(node) = plan.nodes.get(place) else { continue };
            let mut children: Vec<(Rank, usize, usize)> = node
                .children
                .iter()
                .filter_map(|(lane, behind)| Some((self.rank_of(*lane, plan.nodes.get(*behind)?.rank), *lane, *behind)))
                .collect();
            children.sort_unstable();
            let own = self.hanging.takers.get(&node.net).and_then(|takers| takers.first());
            let own = own.and_then(|id| self.grid.analysis.network()[*id].element());
            let own = own.map(|element| (false, Some(self.grid.analysis.model()[element].span)));
            // A tree behind it goes by its first fuse, else by its first thing.
            let first = children.iter().map(|(rank, _, _)| *rank).filter(|(fused, _)| *fused).min();
            let rank = first.or(own).or_else(|| children.first().map(|(rank, _, _)| *rank)).unwrap_or((false, None));
            if let Some(node) = plan.nodes.get_mut(place) {
                node.children = children.into_iter().map(|(_, lane, behind)| (lane, behind)).collect();
                node.rank = rank;
            }
        }
    }

    fn rank_of(&self, lane: usize, behind: Rank) -> Rank {
        let steps = self.lanes.get(lane).map(|lane| links(&lane.steps)).unwrap_or_default();
        let span = |link: usize| Some(self.grid.analysis.model()[self.grid.links.get(link)?.element].span);
        let fuse = steps.iter().filter(|link| is_fuse(self.grid, **link)).filter_map(|link| span(*link)).min();
        match (fuse, behind) {
            (Some(own), (true, Some(first))) => (true, Some(own.min(first))),
            (Some(own), _) => (true, Some(own)),
            (None, (true, first)) => (true, first),
            (None, (false, first)) => (false, steps.iter().filter_map(|link| span(*link)).min().or(first)),
        }
    }
}
