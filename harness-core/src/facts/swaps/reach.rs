//! Whether two connectors can be led to each other: by their zones, and by their free lengths and the way along the route between them.
//!
//! A plug that is tied to a segment goes no further from it than its free length, and its place is within that length too. So two plugs of one
//! loom reach each other's place only if the way between their segments is no longer than both free lengths together. The way is
//! measured along the route, at its shortest: from the nearer ends of the two segments, segments of unknown length taken as none. A route with
//! a segment that has no nodes says nothing, and nor do plugs without `at` or `reach`: these are taken to reach.

use super::halves::{Plug, Tie};
use crate::{
    model::{Model, SegmentId},
    text::Name,
};
use rustc_hash::FxHashMap;
use std::{cmp::Reverse, collections::BinaryHeap};

/// The shortest ways between segments on which plugs hang, in mm.
#[derive(Debug, Default)]
pub(super) struct Ways(FxHashMap<(SegmentId, SegmentId), u64>);

impl Ways {
    pub(super) fn new(model: &Model, plugs: &[Plug]) -> Self {
        let mut hung: Vec<SegmentId> = plugs.iter().flat_map(|plug| &plug.ties).flatten().map(|tie| tie.segment).collect();
        hung.sort_unstable();
        hung.dedup();
        let mut ways = FxHashMap::default();
        for from in &hung {
            let of_loom: Vec<SegmentId> =
                model.segments().filter(|(_, segment)| segment.loom == model[*from].loom).map(|(id, _)| id).collect();
            let nodes = |segment: &SegmentId| match model[*segment].nodes {
                [Some(one), Some(other)] => Some([one.value, other.value]),
                _ => None,
            };
            let lines: Option<Vec<(SegmentId, [Name; 2])>> =
                of_loom.iter().map(|segment| nodes(segment).map(|nodes| (*segment, nodes))).collect();
            let Some(lines) = lines else { continue };
            let reached = walk(model, *from, &lines);
            for (to, nodes) in lines.iter().filter(|(to, _)| hung.contains(to)) {
                let least = nodes.iter().filter_map(|node| reached.get(node)).min();
                ways.extend(least.map(|least| ((*from, *to), if from == to { 0 } else { *least })));
            }
        }
        Self(ways)
    }

    /// Whether two connectors can reach each other, as far as the design says it.
    pub(super) fn reach(&self, one: &Plug, other: &Plug) -> bool {
        let zones = [&one.zones, &other.zones];
        let is_near = zones.iter().any(|zones| zones.is_empty()) || one.zones.iter().any(|zone| other.zones.contains(zone));
        let is_far = |own: &Option<Tie>, its: &Option<Tie>| match own.zip(*its) {
            Some((own, its)) => self.0.get(&(own.segment, its.segment)).is_some_and(|way| *way > own.free + its.free),
            None => false,
        };
        let mut two = one.ties.iter().flat_map(|own| other.ties.iter().map(move |its| (own, its))).peekable();
        let is_tied_apart = two.peek().is_some() && two.all(|(own, its)| is_far(own, its));
        is_near && !is_tied_apart
    }

    /// Whether the design says of two connectors that reach each other that they do; else they are taken to.
    pub(super) fn is_stated(&self, one: &Plug, other: &Plug) -> bool {
        let is_near = |own: &Option<Tie>, its: &Option<Tie>| {
            let two = own.zip(*its);
            two.is_some_and(|(own, its)| self.0.get(&(own.segment, its.segment)).is_some_and(|way| *way <= own.free + its.free))
        };
        [one, other].iter().all(|plug| !plug.zones.is_empty())
            || one.ties.iter().any(|own| other.ties.iter().any(|its| is_near(own, its)))
    }
}

/// How far each node is from the nearer end of a segment.
fn walk(model: &Model, from: SegmentId, lines: &[(SegmentId, [Name; 2])]) -> FxHashMap<Name, u64> {
    let mut found: FxHashMap<Name, u64> = FxHashMap::default();
    let begin = lines.iter().filter(|(segment, _)| *segment == from).flat_map(|(_, nodes)| nodes);
    let mut waiting: BinaryHeap<Reverse<(u64, Name)>> = begin.map(|node| Reverse((0, *node))).collect();
    while let Some(Reverse((length, node))) = waiting.pop() {
        if found.contains_key(&node) {
            continue;
        }
        found.insert(node, length);
        for (segment, [one, other]) in lines {
            let along = model[*segment].length.map_or(0, |length| (length.value.get() * 1000.0).round() as u64);
            let next = match () {
                () if *one == node => other,
                () if *other == node => one,
                () => continue,
            };
            waiting.push(Reverse((length + along, *next)));
        }
    }
    found
}
