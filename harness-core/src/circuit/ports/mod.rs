//! What flows when two points of a network are shorted, for as many pairs of points as are asked for.
//!
//! Owns the linear algebra of shorts and nothing else: no fuse, no wire, no time. Input is a [`Circuit`] of resistances, sources and
//! diodes in a fixed state; any other branch counts as open (loads, as IEC 60909-0 neglects them).
//!
//! Idea: a short changes currents only in the blocks (`blocks`) between its points. A branch on no loop is a block with a
//! resistance and a voltage; any other is solved once for each pair of its nodes that a short passes through (`port`). The short
//! itself is then a chain of such pieces, solved by adding up. Cost: one search for blocks a network; a short costs its chain.

pub(super) mod blocks;
mod known;
mod port;

#[cfg(test)]
mod tests;

pub use known::Known;

use self::{
    blocks::{Blocks, NONE},
    port::Port,
};
use super::{BranchKind, Circuit};
use rustc_hash::FxHashMap;
use std::rc::Rc;

/// Voltage between two points that drives no short.
const NO_VOLTS: f64 = 1e-9;
/// Current that counts as none where nothing joins the two nodes of a block but [`port::FALL`].
const NO_AMPS: f64 = 1e-6;

/// A network in which points are shorted.
#[derive(Debug)]
pub struct Shorts<'c> {
    circuit: &'c Circuit,
    blocks: Blocks,
    /// The numbers of blocks in `known`.
    numbers: FxHashMap<u32, u32>,
    known: Known,
}

/// The way of a short current through the network.
#[derive(Debug, Clone, Default)]
pub struct Chain {
    crossings: Vec<Crossing>,
}

impl Chain {
    /// Whether every way between the two nodes leads through a branch: with it opened nothing flows.
    #[must_use]
    pub fn hangs_on(&self, branch: u32) -> bool {
        self.crossings.iter().any(|crossing| crossing.single == branch)
    }
}

/// A block that a short passes, with the nodes at which the current leaves it and comes back to it.
#[derive(Debug, Clone, Copy)]
struct Crossing {
    block: u32,
    draw: u32,
    back: u32,
    /// The branch, if the block is a single one.
    single: u32,
}

/// The current of a short, and what it is in the blocks with loops that it passes.
#[derive(Debug, Clone, Default)]
pub struct Flow {
    /// The current through the short, ampere; zero or above.
    pub amps: f64,
    /// Per crossing: the characteristic of a block with loops.
    ports: Vec<Option<Rc<Port>>>,
    /// Whether the current goes against the chain as it was asked for.
    reversed: bool,
}

impl Flow {
    /// Whether the current leaves the network at the second end of the chain.
    #[must_use]
    pub fn is_reversed(&self) -> bool {
        self.reversed
    }
}

impl<'c> Shorts<'c> {
    /// Prepares a network.
    #[must_use]
    pub fn new(circuit: &'c Circuit) -> Self {
        Self::knowing(circuit, Known::default())
    }

    /// Prepares a network of which some blocks may be as they were in others.
    #[must_use]
    pub fn knowing(circuit: &'c Circuit, known: Known) -> Self {
        let ends: Vec<Option<(u32, u32)>> = circuit
            .branches
            .iter()
            .map(|branch| is_part(branch.kind).then_some((branch.from, branch.to)).filter(|(from, to)| from != to))
            .collect();
        Self { circuit, blocks: Blocks::new(circuit.nodes, &ends), numbers: FxHashMap::default(), known }
    }

    /// What was found, for the next network.
    #[must_use]
    pub fn into_known(self) -> Known {
        self.known
    }

    /// Whether anything joins two nodes.
    #[must_use]
    pub fn joined(&self, a: u32, b: u32) -> bool {
        self.blocks.joined(a, b)
    }

    /// The island of a node, by one of its nodes.
    #[must_use]
    pub fn island(&self, node: u32) -> u32 {
        self.blocks.island(node)
    }

    /// Finds the blocks between two nodes; `false` if nothing joins them or they are one.
    pub fn chain(&self, a: u32, b: u32, chain: &mut Chain) -> bool {
        chain.crossings.clear();
        if a == b || !self.joined(a, b) {
            return false;
        }
        let (mut a, mut b) = (a, b);
        let mut after: Vec<Crossing> = Vec::new();
        while a != b {
            let (up_a, up_b) = (self.blocks.up(a), self.blocks.up(b));
            let depth = |block: u32| if block == NONE { -1 } else { i64::from(self.blocks.depth(block)) };
            if up_a == up_b {
                chain.crossings.push(self.crossing(up_a, a, b));
                break;
            }
            if depth(up_a) >= depth(up_b) {
                let top = self.blocks.top(up_a);
                chain.crossings.push(self.crossing(up_a, a, top));
                a = top;
            } else {
                let top = self.blocks.top(up_b);
                after.push(self.crossing(up_b, top, b));
                b = top;
            }
        }
        chain.crossings.extend(after.into_iter().rev());
        true
    }

    fn crossing(&self, block: u32, draw: u32, back: u32) -> Crossing {
        let single = match self.blocks.branches(block) {
            &[branch] => branch,
            _ => NONE,
        };
        Crossing { block, draw, back, single }
    }

    /// The current of a short across the ends of `chain`, with some branches opened.
    ///
    /// Cost: the length of the chain, and a solution for each pair of nodes of a block with loops that is not known yet.
    pub fn flow(&mut self, chain: &Chain, opened: &[u32], flow: &mut Flow) {
        for reversed in [false, true] {
            flow.reversed = reversed;
            flow.amps = self.drive(chain, opened, flow);
            if flow.amps > 0.0 {
                return;
            }
        }
    }

    /// The current of the short in one direction.
    fn drive(&mut self, chain: &Chain, opened: &[u32], flow: &mut Flow) -> f64 {
        let (mut volts, mut ohms, mut most) = (0.0, 0.0, f64::INFINITY);
        flow.ports.clear();
        for crossing in &chain.crossings {
            let (draw, back) = if flow.reversed { (crossing.back, crossing.draw) } else { (crossing.draw, crossing.back) };
            if crossing.single == NONE {
                let port = self.port(crossing.block, (draw, back), opened);
                flow.ports.push(Some(port));
                continue;
            }
            flow.ports.push(None);
            if opened.contains(&crossing.single) {
                return 0.0;
            }
            let Some(branch) = self.circuit.branches.get(crossing.single as usize) else { return 0.0 };
            // The current comes back at one node and leaves at the other.
            let along = branch.to == draw;
            let sign = if along { 1.0 } else { -1.0 };
            match branch.kind {
                BranchKind::Resistance(resistance) => ohms += resistance.get(),
                BranchKind::Source { emf, resistance, limit } => {
                    volts += sign * emf.get();
                    ohms += resistance.get();
                    if let Some(limit) = limit {
                        most = if along { most.min(limit.get()) } else { 0.0 };
                    }
                }
                BranchKind::Diode { drop, resistance } => {
                    volts -= drop.get();
                    ohms += resistance.get();
                    most = if along { most } else { 0.0 };
                }
                _ => return 0.0,
            }
        }
        meet(volts, ohms, most, &flow.ports)
    }

    fn port(&mut self, block: u32, ends: (u32, u32), opened: &[u32]) -> Rc<Port> {
        let branches = self.blocks.branches(block);
        let opened: Vec<u32> = match opened {
            [] => Vec::new(),
            _ => opened.iter().copied().filter(|branch| branches.contains(branch)).collect(),
        };
        if self.known.is_full() {
            self.known = Known::default();
            self.numbers.clear();
        }
        let number = *self.numbers.entry(block).or_insert_with(|| self.known.number(self.circuit, branches));
        self.known.port(self.circuit, (number, branches), ends, opened)
    }

    /// The current in each branch that the short passes, positive from its first node to its second. Branches of a block with loops
    /// carry what they carry anyway besides.
    pub fn each(&self, chain: &Chain, flow: &Flow, mut each: impl FnMut(u32, f64)) {
        for (crossing, port) in chain.crossings.iter().zip(&flow.ports) {
            match port {
                Some(port) => port.each(flow.amps, &mut each),
                None => {
                    let draw = if flow.reversed { crossing.back } else { crossing.draw };
                    let along = self.circuit.branches.get(crossing.single as usize).is_some_and(|branch| branch.to == draw);
                    each(crossing.single, if along { flow.amps } else { -flow.amps });
                }
            }
        }
    }
}

/// The current at which the voltages of all pieces of a chain add up to nothing; zero where none drives one.
fn meet(volts: f64, ohms: f64, most: f64, ports: &[Option<Rc<Port>>]) -> f64 {
    let ports: Vec<&Port> = ports.iter().flatten().map(Rc::as_ref).collect();
    let mut places = vec![0_usize; ports.len()];
    loop {
        let (mut volts, mut ohms) = (volts, ohms);
        let mut first: Option<(f64, usize)> = None;
        for (number, (port, &place)) in ports.iter().zip(&places).enumerate() {
            let Some((piece, end)) = port.piece(place) else { return 0.0 };
            volts += piece.volts + piece.ohms * piece.from;
            ohms += piece.ohms;
            if first.is_none_or(|(least, _)| end < least) {
                first = Some((end, number));
            }
        }
        if volts <= NO_VOLTS || ohms <= 0.0 {
            return 0.0;
        }
        let amps = (volts / ohms).min(most);
        let Some((end, number)) = first.filter(|(end, _)| *end < amps) else {
            return if amps < NO_AMPS && ohms > port::LEAST_FALL { 0.0 } else { amps };
        };
        let Some(place) = places.get_mut(number) else { return amps };
        *place += 1;
        // Beyond its last piece a port gives no more.
        if ports.get(number).is_none_or(|port| port.piece(*place).is_none()) {
            return end;
        }
    }
}

fn is_part(kind: BranchKind) -> bool {
    matches!(kind, BranchKind::Resistance(_) | BranchKind::Source { .. } | BranchKind::Diode { .. })
}
