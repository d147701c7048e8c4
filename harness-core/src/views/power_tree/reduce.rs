//! What is in a row becomes one way, and ways side by side become one, until only nets are left at which something branches.

use super::grid::{Grid, LinkOf};
use crate::{
    arena::IdVec,
    network::{EdgeRole, NetId},
};
use std::collections::VecDeque;

/// Ways side by side within ways side by side are followed so deep; deeper ones stay apart.
const DEPTH: usize = 24;

/// A stretch of a way.
#[derive(Debug, Clone)]
pub(super) enum Step {
    /// A link.
    Link(usize),
    /// Ways side by side.
    Beside(Vec<Vec<Step>>),
}

/// A way from one net to another.
#[derive(Debug, Clone)]
pub(super) struct Lane {
    pub(super) a: NetId,
    pub(super) b: NetId,
    pub(super) steps: Vec<Step>,
    /// The nets on the way.
    pub(super) nets: Vec<NetId>,
    is_gone: bool,
}

impl Lane {
    pub(super) fn other(&self, net: NetId) -> NetId {
        if net == self.a { self.b } else { self.a }
    }

    /// The steps from `net` on, which is one of its ends.
    pub(super) fn steps_from(&self, net: NetId) -> Vec<Step> {
        if net == self.a { self.steps.clone() } else { turned(&self.steps) }
    }
}

/// The ways between the fed nets of a design.
pub(super) struct Lanes {
    lanes: Vec<Lane>,
    at: IdVec<NetId, Vec<usize>>,
}

impl Lanes {
    /// One way for each link whose ends are both fed and that `keep` takes.
    pub(super) fn new(grid: &Grid<'_>, keep: impl Fn(usize) -> bool) -> Self {
        let mut lanes = Self { lanes: Vec::new(), at: IdVec::of(Vec::new(), grid.nets()) };
        for (number, link) in grid.links.iter().enumerate() {
            if grid.is_fed(link) && keep(number) {
                lanes.add(link.a, link.b, vec![Step::Link(number)], Vec::new());
            }
        }
        lanes
    }

    fn add(&mut self, a: NetId, b: NetId, steps: Vec<Step>, nets: Vec<NetId>) {
        let number = self.lanes.len();
        self.at[a].push(number);
        if a != b {
            self.at[b].push(number);
        }
        self.lanes.push(Lane { a, b, steps, nets, is_gone: false });
    }

    /// The ways at a net, in the order made.
    pub(super) fn of(&self, net: NetId) -> impl Iterator<Item = (usize, &Lane)> {
        self.at[net].iter().filter_map(|number| Some((*number, self.lanes.get(*number)?))).filter(|(_, lane)| !lane.is_gone)
    }

    pub(super) fn get(&self, number: usize) -> Option<&Lane> {
        self.lanes.get(number)
    }

    /// Takes away ways that lead to nothing and hold no fuse; what was taken away.
    pub(super) fn prune(&mut self, grid: &Grid<'_>, holds: &IdVec<NetId, bool>) -> Vec<usize> {
        let mut gone = Vec::new();
        let mut waiting: VecDeque<NetId> = self.at.ids().collect();
        while let Some(net) = waiting.pop_front() {
            if holds[net] {
                continue;
            }
            let mut here = self.of(net);
            let (Some((number, lane)), None) = (here.next(), here.next()) else { continue };
            let [Step::Link(link)] = lane.steps.as_slice() else { continue };
            if is_fuse(grid, *link) {
                continue;
            }
            gone.push(*link);
            let other = lane.other(net);
            drop(here);
            self.remove(number);
            waiting.push_back(other);
        }
        gone
    }

    fn remove(&mut self, number: usize) {
        if let Some(lane) = self.lanes.get_mut(number) {
            lane.is_gone = true;
        }
    }

    /// Joins what is in a row and what is side by side. A net that `holds` something stays.
    pub(super) fn reduce(&mut self, grid: &Grid<'_>, holds: &IdVec<NetId, bool>) {
        for _ in 0..DEPTH {
            let mut changed = false;
            for net in holds.ids() {
                changed |= !holds[net] && self.row(net);
            }
            for net in holds.ids() {
                changed |= self.side_by_side(grid, net);
            }
            if !changed {
                return;
            }
            self.at = self.live();
        }
    }

    /// The ways at each net that are left.
    fn live(&self) -> IdVec<NetId, Vec<usize>> {
        self.at.ids().map(|net| self.of(net).map(|(number, _)| number).collect()).collect()
    }

    /// Joins the two ways at a net that has nothing else.
    fn row(&mut self, net: NetId) -> bool {
        let mut here = self.of(net);
        let (Some((first, one)), Some((second, other)), None) = (here.next(), here.next(), here.next()) else { return false };
        if one.a == one.b || other.a == other.b {
            return false;
        }
        let (from, to) = (one.other(net), other.other(net));
        let mut steps = turned(&one.steps_from(net));
        steps.extend(other.steps_from(net));
        let mut nets = one.nets.clone();
        nets.push(net);
        nets.extend_from_slice(&other.nets);
        drop(here);
        self.remove(first);
        self.remove(second);
        self.add(from, to, steps, nets);
        true
    }

    /// Joins ways from a net to the same other net.
    fn side_by_side(&mut self, grid: &Grid<'_>, net: NetId) -> bool {
        let mut here: Vec<(NetId, usize)> =
            self.of(net).filter(|(_, lane)| lane.a != lane.b).map(|(number, lane)| (lane.other(net), number)).collect();
        here.sort_unstable();
        let mut changed = false;
        for group in here.chunk_by(|a, b| a.0 == b.0).filter(|group| group.len() > 1) {
            let mut lanes: Vec<Vec<Step>> = Vec::new();
            let mut nets = Vec::new();
            for (other, number) in group {
                let Some(lane) = self.lanes.get(*number) else { continue };
                // Ways side by side within a way are ways of this group.
                match lane.steps_from(net).as_slice() {
                    [Step::Beside(inner)] => lanes.extend(inner.iter().cloned()),
                    steps => lanes.push(steps.to_vec()),
                }
                nets.extend_from_slice(&lane.nets);
                debug_assert_eq!(lane.other(net), *other, "a way of the group");
            }
            lanes.sort_by_key(|lane| first_span(grid, lane));
            // The one that carries the current, with the fewest things in it, is drawn straight.
            lanes.sort_by_key(|lane| (has_resistor(grid, lane), lane.len()));
            for (_, number) in group {
                self.remove(*number);
            }
            if let Some((other, _)) = group.first() {
                self.add(net, *other, vec![Step::Beside(lanes)], nets);
            }
            changed = true;
        }
        changed
    }
}

/// The same way from its other end.
pub(super) fn turned(steps: &[Step]) -> Vec<Step> {
    let turn = |step: &Step| match step {
        Step::Link(link) => Step::Link(*link),
        Step::Beside(lanes) => Step::Beside(lanes.iter().map(|lane| turned(lane)).collect()),
    };
    steps.iter().rev().map(turn).collect()
}

/// The links of a way.
pub(super) fn links(steps: &[Step]) -> Vec<usize> {
    let mut found = Vec::new();
    for step in steps {
        match step {
            Step::Link(link) => found.push(*link),
            Step::Beside(lanes) => found.extend(lanes.iter().flat_map(|lane| links(lane))),
        }
    }
    found
}

/// Whether a link is a fuse or its empty holder.
pub(super) fn is_fuse(grid: &Grid<'_>, link: usize) -> bool {
    grid.links.get(link).is_some_and(|link| match link.of {
        LinkOf::Way(edge) => grid.analysis.network()[edge].role.is_fuse(),
        LinkOf::Resistor(_) => false,
        LinkOf::Vacant => true,
    })
}

fn has_resistor(grid: &Grid<'_>, steps: &[Step]) -> bool {
    let is_resistor = |role: EdgeRole| role == EdgeRole::Resistor;
    let edges = links(steps).into_iter().filter_map(|link| grid.links.get(link)?.edge());
    edges.into_iter().any(|edge| is_resistor(grid.analysis.network()[edge].role))
}

fn first_span(grid: &Grid<'_>, steps: &[Step]) -> Option<crate::text::Span> {
    let spans = links(steps).into_iter().filter_map(|link| Some(grid.analysis.model()[grid.links.get(link)?.element].span));
    spans.min()
}
