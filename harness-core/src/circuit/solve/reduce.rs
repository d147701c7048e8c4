//! Solves a linear network of resistances and voltages with given currents: trees exactly, loops by factorisation.
//!
//! Idea: a node with one branch passes what flows into it on to its neighbour, so it is taken off, and so on until only loops (and
//! the reference node) are left; runs of nodes with two branches between junctions then become one branch each. What remains is
//! [`Core`]. Currents on the parts taken off are sums, never differences of voltages, so that Kirchhoff's current law holds to
//! rounding however small the resistances are. Cost: linear, apart from the core.

use super::{core::Core, table::Table};

/// The branches that conduct, and their values, each indexed by branch.
#[derive(Debug)]
pub(in crate::circuit) struct Network<'a> {
    /// Both ends of each branch.
    pub(in crate::circuit) ends: &'a Table<(u32, u32)>,
    /// The resistance of each branch.
    pub(in crate::circuit) ohms: &'a Table<f64>,
    /// The voltage each branch adds from its first to its second end.
    pub(in crate::circuit) emfs: &'a Table<f64>,
}

/// A node that was taken off, with the branch that led on to `onward`.
#[derive(Debug, Clone, Copy)]
struct Leaf {
    node: u32,
    onward: u32,
    branch: u32,
    /// Whether the branch runs from the node to `onward`.
    along: bool,
}

/// One branch of a run between junctions, in the order of walking.
#[derive(Debug, Clone, Copy)]
struct Leg {
    branch: u32,
    along: bool,
    /// The node reached by it.
    reached: u32,
}

/// A run of branches between two junctions.
#[derive(Debug, Clone, Copy)]
struct Run {
    first: u32,
    past: u32,
    start: u32,
    /// The junction, as a node, at which it ends.
    end: u32,
    /// The junctions at both ends, in the numbering of the core.
    junctions: (u32, u32),
}

/// The order in which a network of one structure is solved, for any number of voltages and currents.
#[derive(Debug)]
pub(in crate::circuit) struct Plan {
    leaves: Vec<Leaf>,
    legs: Vec<Leg>,
    runs: Vec<Run>,
    /// Nodes that are junctions, in the numbering of the core.
    junctions: Vec<u32>,
    core: Core,
}

impl Plan {
    /// Plans the solution of `branches`; `root` marks one node in each island.
    pub(in crate::circuit) fn new(nodes: u32, branches: &[u32], root: &Table<bool>, network: &Network<'_>) -> Self {
        // The exclusive-or of the branches at a node is the branch itself once only one is left, which spares a list per node.
        let mut degree = Table::<u32>::new(nodes as usize);
        let mut mixed = Table::<u32>::new(nodes as usize);
        for &branch in branches {
            let (from, to) = network.ends.at(branch);
            for node in [from, to] {
                degree.set(node, degree.at(node) + 1);
                mixed.set(node, mixed.at(node) ^ branch);
            }
        }
        let mut done = Table::<bool>::new(network.ends.list().len());
        let mut leaves = Vec::with_capacity(branches.len());
        for first in 0..nodes {
            let mut node = first;
            while degree.at(node) == 1 && !root.at(node) {
                let branch = mixed.at(node);
                let (from, to) = network.ends.at(branch);
                let along = from == node;
                let onward = if along { to } else { from };
                leaves.push(Leaf { node, onward, branch, along });
                done.set(branch, true);
                degree.set(node, 0);
                degree.set(onward, degree.at(onward) - 1);
                mixed.set(onward, mixed.at(onward) ^ branch);
                node = onward;
            }
        }

        let mut plan = Self { leaves, legs: Vec::new(), runs: Vec::new(), junctions: Vec::new(), core: Core::default() };
        let mut number = Table::<u32>::new(nodes as usize);
        for node in 0..nodes {
            if root.at(node) || degree.at(node) > 2 {
                number.set(node, plan.junctions.len() as u32);
                plan.junctions.push(node);
            }
        }
        let is_junction = |node: u32| root.at(node) || degree.at(node) > 2;
        for &branch in branches {
            let (from, to) = network.ends.at(branch);
            let start = match (is_junction(from), is_junction(to)) {
                _ if done.at(branch) => continue,
                (true, _) => from,
                (false, true) => to,
                // Reached from the junctions at the ends of its run.
                (false, false) => continue,
            };
            let first = plan.legs.len() as u32;
            let (mut branch, mut node) = (branch, start);
            while !done.at(branch) {
                done.set(branch, true);
                let (from, to) = network.ends.at(branch);
                let along = from == node;
                node = if along { to } else { from };
                plan.legs.push(Leg { branch, along, reached: node });
                if !is_junction(node) {
                    branch ^= mixed.at(node);
                }
            }
            let junctions = (number.at(start), number.at(node));
            plan.runs.push(Run { first, past: plan.legs.len() as u32, start, end: node, junctions });
        }
        plan.retune(root, network);
        plan
    }

    /// Plans for other resistances of the same branches.
    pub(in crate::circuit) fn retune(&mut self, root: &Table<bool>, network: &Network<'_>) {
        let roots: Vec<bool> = self.junctions.iter().map(|&node| root.at(node)).collect();
        let runs = self.runs.iter().map(|run| {
            let legs = self.legs.get(run.first as usize..run.past as usize).unwrap_or_default();
            let ohms = legs.iter().fold(0.0, |ohms, leg| ohms + network.ohms.at(leg.branch));
            (run.junctions.0, run.junctions.1, ohms)
        });
        self.core = Core::new(&roots, runs.collect(), std::mem::take(&mut self.core));
    }

    /// Solves for the currents `into` the nodes, which it uses up; gives the worst relative error of voltage around a loop.
    ///
    /// Writes the voltage of every node and the current of every branch of the plan.
    pub(in crate::circuit) fn solve(
        &mut self,
        network: &Network<'_>,
        into: &mut Table<f64>,
        volts: &mut Table<f64>,
        amps: &mut Table<f64>,
    ) -> f64 {
        for leaf in &self.leaves {
            let flow = into.at(leaf.node);
            amps.set(leaf.branch, if leaf.along { flow } else { -flow });
            into.add(leaf.onward, flow);
        }

        let mut emfs = Vec::with_capacity(self.runs.len());
        for run in &self.runs {
            let (mut emf, mut gathered) = (0.0, 0.0);
            for leg in self.legs.get(run.first as usize..run.past as usize).unwrap_or_default() {
                let sign = if leg.along { 1.0 } else { -1.0 };
                emf += sign * network.emfs.at(leg.branch) - network.ohms.at(leg.branch) * gathered;
                if leg.reached != run.end {
                    gathered += into.at(leg.reached);
                }
            }
            emfs.push(emf);
            into.add(run.end, gathered);
        }
        let injected: Vec<f64> = self.junctions.iter().map(|&node| into.at(node)).collect();
        let worst = self.core.solve(&injected, &emfs);
        for (&node, &volt) in self.junctions.iter().zip(self.core.volts()) {
            volts.set(node, volt);
        }
        for (run, &flow) in self.runs.iter().zip(self.core.flows()) {
            let (mut flow, mut volt) = (flow, volts.at(run.start));
            for leg in self.legs.get(run.first as usize..run.past as usize).unwrap_or_default() {
                let sign = if leg.along { 1.0 } else { -1.0 };
                amps.set(leg.branch, sign * flow);
                volt += sign * network.emfs.at(leg.branch) - network.ohms.at(leg.branch) * flow;
                if leg.reached != run.end {
                    volts.set(leg.reached, volt);
                    flow += into.at(leg.reached);
                }
            }
        }

        for leaf in self.leaves.iter().rev() {
            let sign = if leaf.along { -1.0 } else { 1.0 };
            let rise = network.ohms.at(leaf.branch) * into.at(leaf.node) + sign * network.emfs.at(leaf.branch);
            volts.set(leaf.node, volts.at(leaf.onward) + rise);
        }
        worst
    }
}
