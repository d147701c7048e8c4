//! What was found of blocks with loops, kept from one network to the next: one that is the same there is not solved again.

use super::port::{Port, State};
use crate::circuit::{Branch, Circuit};
use rustc_hash::FxHashMap;
use std::rc::Rc;

/// Numbers that may be held at a time: 32 MB.
const MOST_HELD: usize = 4_000_000;
/// Numbers that a branch of a block takes.
const BRANCH: usize = 6;

/// Blocks that were met, and what they give.
#[derive(Debug, Default)]
pub struct Known {
    /// By the branches of a block: what they were where it was met, each time with its number here.
    blocks: FxHashMap<Vec<u32>, Vec<(Vec<Branch>, u32)>>,
    count: u32,
    ports: FxHashMap<PortKey, Rc<Port>>,
    /// What lets current one way only does while nothing is drawn, by the number of the block and its branches that are opened.
    rests: FxHashMap<(u32, Vec<u32>), Option<Vec<State>>>,
    held: usize,
}

/// Number of a block, its two nodes, and the branches of the block that are opened.
type PortKey = (u32, u32, u32, Vec<u32>);

impl Known {
    /// Whether so much is held that it is to be let go.
    pub(super) fn is_full(&self) -> bool {
        self.held > MOST_HELD
    }

    /// The number of the block that these branches of `circuit` are: the same for the same branches of the same values.
    pub(super) fn number(&mut self, circuit: &Circuit, branches: &[u32]) -> u32 {
        let block: Vec<Branch> = branches.iter().filter_map(|branch| circuit.branches.get(*branch as usize)).copied().collect();
        let met = self.blocks.entry(branches.to_vec()).or_default();
        if let Some((_, number)) = met.iter().find(|(known, _)| *known == block) {
            return *number;
        }
        self.held += BRANCH * block.len();
        self.count += 1;
        met.push((block, self.count));
        self.count
    }

    /// What a block gives at two of its nodes, with some of its branches opened.
    pub(super) fn port(
        &mut self,
        circuit: &Circuit,
        (number, branches): (u32, &[u32]),
        (draw, back): (u32, u32),
        opened: Vec<u32>,
    ) -> Rc<Port> {
        let key = (number, draw, back, opened);
        if let Some(port) = self.ports.get(&key) {
            return Rc::clone(port);
        }
        let rest = self.rests.entry((number, key.3.clone())).or_default();
        let port = Rc::new(Port::new(circuit, branches, (draw, back), &key.3, rest));
        self.held += port.weight();
        self.ports.insert(key, Rc::clone(&port));
        port
    }
}
