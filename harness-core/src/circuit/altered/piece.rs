//! Pieces of a circuit that nothing joins, whatever switches: each is searched by itself.

use super::Known;
use crate::{
    circuit::{
        Branch, BranchKind, Circuit, Operating,
        solve::{Rest, Solver},
    },
    quantity::{Ampere, Volt},
};
use petgraph::unionfind::UnionFind;

/// Share of the largest current by which two states of rest may differ and be one: resistances may be those of conductors a tenth of a
/// kelvin warmer.
const SAME: f64 = 1e-2;
/// Share of the largest current by which those of a node may fail to add up after small updates.
const WORST_RESIDUAL: f64 = 1e-6;
/// Current that counts as none beside it.
const NO_AMPS: f64 = 1e-9;

/// One piece, with its own numbers.
#[derive(Debug)]
pub(super) struct Piece {
    /// Its nodes and branches by their numbers in the whole circuit, ascending.
    pub(super) nodes: Vec<u32>,
    pub(super) branches: Vec<u32>,
    circuit: Circuit,
    /// `None` where no source can ever drive anything in it, or the state that it is known to be in was not found again.
    rest: Option<Rest>,
    /// Whether no source is in it.
    is_dead: bool,
    pub(super) operating: Operating,
}

/// The piece of each node, numbered in the order of the lowest node of each, and how many there are.
///
/// A piece is all that may conduct in one state or another, with both sides of a converter and the contacts of a coil: what the one does
/// decides about the other.
pub(super) fn pieces(circuit: &Circuit, near: impl Iterator<Item = (u32, u32)>) -> (Vec<u32>, u32) {
    let mut joined = UnionFind::<u32>::new(circuit.nodes as usize);
    let mut join = |one: u32, other: u32| {
        let _ = joined.try_union(one, other);
    };
    let from = |branch: u32| circuit.branches.get(branch as usize).map(|branch| branch.from);
    for branch in &circuit.branches {
        match branch.kind {
            BranchKind::Open => continue,
            BranchKind::RelayContact { coil: other, .. } | BranchKind::ConverterInput { output: other, .. } => {
                if let Some(other) = from(other) {
                    join(branch.from, other);
                }
            }
            BranchKind::Resistance(_) | BranchKind::Source { .. } | BranchKind::Diode { .. } | BranchKind::Coil { .. } => {}
            BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } => {}
        }
        join(branch.from, branch.to);
    }
    for (one, other) in near {
        join(one, other);
    }
    let labels = joined.into_labeling();
    let mut number = vec![u32::MAX; labels.len()];
    let mut count = 0;
    let numbered = labels.iter().map(|label| {
        let Some(slot) = number.get_mut(*label as usize) else { return 0 };
        if *slot == u32::MAX {
            *slot = count;
            count += 1;
        }
        *slot
    });
    let numbered = numbered.collect();
    (numbered, count)
}

impl Piece {
    /// The piece of these nodes and branches, in the state that is known of it.
    ///
    /// `references` are those of the whole that are in it, by their places among its nodes, in their order.
    pub(super) fn new(whole: &Circuit, (nodes, branches, references): (Vec<u32>, Vec<u32>, Vec<u32>), known: Known<'_>) -> Self {
        let circuit = cut_out(whole, &nodes, &branches, references);
        if is_dead(&circuit) {
            return Self::dead(nodes, branches, circuit);
        }
        let amps: Vec<Ampere> = branches.iter().map(|branch| at(known.amps, *branch)).collect();
        let runs: Vec<bool> = branches.iter().map(|branch| at(known.runs, *branch)).collect();
        let energised: Vec<u32> =
            (0..).zip(&branches).filter(|(_, branch)| known.energised.contains(branch)).map(|(at, _)| at).collect();
        let (rest, operating) = settled(&circuit, &amps, &runs, &energised);
        Self { nodes, branches, circuit, rest, is_dead: false, operating }
    }

    /// Several pieces as one, in the state that each is in.
    pub(super) fn merged<'p>(whole: &Circuit, pieces: impl Iterator<Item = &'p Self> + Clone) -> Self {
        let mut nodes: Vec<u32> = pieces.clone().flat_map(|piece| &piece.nodes).copied().collect();
        let mut branches: Vec<u32> = pieces.clone().flat_map(|piece| &piece.branches).copied().collect();
        nodes.sort_unstable();
        branches.sort_unstable();
        let references = whole.references.iter().filter_map(|of| nodes.binary_search(of).ok()).map(|at| at as u32).collect();
        let circuit = cut_out(whole, &nodes, &branches, references);
        if is_dead(&circuit) {
            return Self::dead(nodes, branches, circuit);
        }
        if pieces.clone().any(|piece| !piece.is_known()) {
            return Self { nodes, branches, circuit, rest: None, is_dead: false, operating: Operating::default() };
        }
        let mut amps = vec![Ampere::ZERO; branches.len()];
        let mut runs = vec![false; branches.len()];
        let mut energised = Vec::new();
        for piece in pieces {
            for (branch, at) in piece.branches.iter().zip(0..) {
                let Ok(own) = branches.binary_search(branch) else { continue };
                if let (Some(slot), Some(found)) = (amps.get_mut(own), piece.operating.amps.get(at)) {
                    *slot = *found;
                }
                if let Some(slot) = runs.get_mut(own) {
                    *slot = piece.operating.converting.get(at) == Some(&true);
                }
                if piece.operating.energised.get(at) == Some(&true) {
                    energised.push(own as u32);
                }
            }
        }
        let (rest, operating) = settled(&circuit, &amps, &runs, &energised);
        Self { nodes, branches, circuit, rest, is_dead: false, operating }
    }

    fn dead(nodes: Vec<u32>, branches: Vec<u32>, circuit: Circuit) -> Self {
        let operating = nothing(nodes.len(), branches.len());
        Self { nodes, branches, circuit, rest: None, is_dead: true, operating }
    }

    /// Whether the state that it is in is known.
    pub(super) fn is_known(&self) -> bool {
        self.is_dead || self.rest.is_some()
    }

    /// What flows in it with these branches of other kinds and these more.
    pub(super) fn with(&self, kinds: impl Iterator<Item = (u32, BranchKind)>, joins: impl Iterator<Item = Branch>) -> Operating {
        let mut circuit = self.circuit.clone();
        let mut altered = Vec::new();
        for (branch, kind) in kinds {
            if let Some(slot) = circuit.branches.get_mut(branch as usize) {
                slot.kind = kind;
                altered.push(branch);
            }
        }
        altered.sort_unstable();
        altered.dedup();
        for join in joins {
            altered.push(circuit.branches.len() as u32);
            circuit.branches.push(join);
        }
        if self.is_dead && is_dead(&circuit) {
            return nothing(self.nodes.len(), circuit.branches.len());
        }
        let Some(rest) = &self.rest else {
            // What comes from outside finds nothing there that flows.
            if self.is_dead {
                let mut solver = Solver::new(&circuit, &[]);
                solver.run();
                return solver.operating();
            }
            return unknown(self.nodes.len(), circuit.branches.len());
        };
        let mut solver = Solver::resume(&circuit, rest, &altered);
        solver.run();
        let found = solver.operating();
        if found.residual <= WORST_RESIDUAL { found } else { unknown(self.nodes.len(), circuit.branches.len()) }
    }
}

fn at<T: Copy + Default>(list: &[T], branch: u32) -> T {
    list.get(branch as usize).copied().unwrap_or_default()
}

/// What a network without a source does.
fn nothing(nodes: usize, branches: usize) -> Operating {
    Operating {
        volts: vec![Volt::ZERO; nodes],
        amps: vec![Ampere::ZERO; branches],
        live: vec![false; nodes],
        energised: vec![false; branches],
        converting: vec![false; branches],
        island: (0..nodes as u32).collect(),
        ..Operating::default()
    }
}

/// Where nothing is known of what flows: all of it counts as unsettled.
fn unknown(nodes: usize, branches: usize) -> Operating {
    Operating { unsettled: (0..branches as u32).collect(), ..nothing(nodes, branches) }
}

/// Whether no source is there that could ever be on: the output of a converter needs one too.
fn is_dead(circuit: &Circuit) -> bool {
    let outputs = circuit.branches.iter().filter_map(|branch| match branch.kind {
        BranchKind::ConverterInput { output, .. } => Some(output),
        _ => None,
    });
    let outputs: Vec<u32> = outputs.collect();
    let mut sources = circuit.branches.iter().zip(0..).filter(|(branch, _)| matches!(branch.kind, BranchKind::Source { .. }));
    !sources.any(|(_, number)| !outputs.contains(&number))
}

/// The state of rest in which these currents flow, found again; none where it is not found.
fn settled(circuit: &Circuit, amps: &[Ampere], runs: &[bool], energised: &[u32]) -> (Option<Rest>, Operating) {
    let most = amps.iter().fold(0.0, |most: f64, amps| most.max(amps.get().abs()));
    let is_same = |found: &[Ampere]| {
        found.iter().zip(amps).all(|(found, known)| (found.get() - known.get()).abs() <= SAME * most + NO_AMPS)
    };
    let run = |mut solver: Solver<'_>| {
        solver.run();
        let operating = solver.operating();
        let is_on = |at: usize| operating.energised.get(at) == Some(&true);
        let relays = (0..operating.energised.len()).all(|at| is_on(at) == energised.contains(&(at as u32)));
        let converters = operating.converting.iter().zip(runs).all(|(found, known)| found == known);
        let is_found = operating.unsettled.is_empty() && relays && converters && is_same(&operating.amps);
        (solver.keep().filter(|_| is_found), operating)
    };
    let mut following = Solver::new(circuit, energised);
    following.follow(amps, |input| at(runs, input));
    let found = run(following);
    if found.0.is_some() {
        return found;
    }
    run(Solver::new(circuit, &[]))
}

/// The part of a circuit with these nodes and branches, both ascending.
fn cut_out(whole: &Circuit, nodes: &[u32], branches: &[u32], references: Vec<u32>) -> Circuit {
    // A node or branch that is not in it keeps a number that none has, so that what names it is refused.
    let node = |node: u32| nodes.binary_search(&node).map_or(u32::MAX, |at| at as u32);
    let number = |branch: u32| branches.binary_search(&branch).map_or(u32::MAX, |at| at as u32);
    let own = branches.iter().filter_map(|branch| whole.branches.get(*branch as usize)).map(|branch| {
        let kind = match branch.kind {
            BranchKind::RelayContact { coil, closed_when_energised, resistance } => {
                BranchKind::RelayContact { coil: number(coil), closed_when_energised, resistance }
            }
            BranchKind::ConverterInput { output, efficiency, nominal } => {
                BranchKind::ConverterInput { output: number(output), efficiency, nominal }
            }
            kind => kind,
        };
        Branch { from: node(branch.from), to: node(branch.to), kind }
    });
    Circuit { nodes: nodes.len() as u32, branches: own.collect(), references }
}
