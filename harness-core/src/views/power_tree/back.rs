//! What is in the return of a consumer: contacts, fuses and shunts between it and the net of a negative pole.

use super::grid::{Grid, LinkOf};
use crate::network::{EdgeId, NetId};
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::VecDeque;

/// A return is followed over so many nets; what has more is not the return of one consumer.
const FAR: usize = 256;

/// The links in returns.
#[derive(Debug, Default)]
pub(super) struct Backs {
    /// Per link, the consumers whose return it is in and the nets that they hang on.
    pub(super) of: FxHashMap<usize, Vec<(EdgeId, NetId)>>,
    /// Links between a fed net and a low one that are in no return, by the fed net.
    pub(super) loose: Vec<(usize, NetId)>,
    /// Links between grounds.
    pub(super) common: Vec<usize>,
}

impl Backs {
    /// The returns of consumers, each with the net that it hangs on and that of its other end.
    pub(super) fn new(grid: &Grid<'_>, hanging: &[(EdgeId, NetId, NetId)]) -> Self {
        let mut backs = Self::default();
        let mut ways: FxHashMap<NetId, Vec<usize>> = FxHashMap::default();
        for (consumer, net, far) in hanging {
            let way = ways.entry(*far).or_insert_with(|| way(grid, *far));
            for link in way.iter() {
                backs.of.entry(*link).or_default().push((*consumer, *net));
            }
        }
        for (number, link) in grid.links.iter().enumerate() {
            let is_taker = matches!(link.of, LinkOf::Resistor(_)) && grid.fed[link.a] != grid.fed[link.b];
            if backs.of.contains_key(&number) || is_taker {
                continue;
            }
            match (grid.fed[link.a], grid.fed[link.b]) {
                (true, true) => {}
                (true, false) if grid.low[link.b] => backs.loose.push((number, link.a)),
                (false, true) if grid.low[link.a] => backs.loose.push((number, link.b)),
                (false, false) if grid.ground[link.a] && grid.ground[link.b] => backs.common.push(number),
                (true, false) | (false, true) | (false, false) => {}
            }
        }
        backs
    }
}

/// The shortest way from a net to a ground, without fed nets where there is one.
fn way(grid: &Grid<'_>, start: NetId) -> Vec<usize> {
    if grid.ground[start] {
        return Vec::new();
    }
    search(grid, start, false).or_else(|| search(grid, start, true)).unwrap_or_default()
}

fn search(grid: &Grid<'_>, start: NetId, passes_fed: bool) -> Option<Vec<usize>> {
    let mut came: FxHashMap<NetId, (NetId, usize)> = FxHashMap::default();
    let mut seen = FxHashSet::from_iter([start]);
    let mut waiting = VecDeque::from([start]);
    while let Some(net) = waiting.pop_front() {
        if grid.ground[net] {
            let mut way = Vec::new();
            let mut at = net;
            while let Some((before, link)) = came.get(&at) {
                way.push(*link);
                at = *before;
            }
            way.reverse();
            return Some(way);
        }
        if seen.len() > FAR {
            return None;
        }
        for number in &grid.at[net] {
            let Some(link) = grid.links.get(*number) else { continue };
            let next = link.other(net);
            let is_way = matches!(link.of, LinkOf::Way(_)) && (passes_fed || !grid.fed[next] || !grid.fed[net]);
            if is_way && (passes_fed || !grid.fed[next]) && seen.insert(next) {
                came.insert(next, (net, *number));
                waiting.push_back(next);
            }
        }
    }
    None
}
