//! A circuit cut down to what some of its nodes and branches hang on: the rest takes from it, and gives to it, what it does at rest.
//!
//! Idea: what loads draw hardly depends on what is altered elsewhere, so a load is where a circuit can be cut. All that leads from one node
//! that stays to another without a load between them stays: other ways, other sources, diodes and contacts that may conduct; with a contact
//! the way of its coil, with one side of a converter the other. What is left beyond hangs on by loads or by one node alone, and is replaced
//! by a load of the same current for each two nodes that it joins.
//!
//! Cost: a few passes over nodes and branches.

use super::{Base, Known};
use crate::{
    circuit::{Branch, BranchKind, Circuit, ports::blocks::Blocks},
    quantity::{Ampere, Volt},
};
use petgraph::unionfind::UnionFind;
use rustc_hash::FxHashMap;
use std::collections::{BTreeMap, BTreeSet};

/// Current that counts as none.
const NO_AMPS: f64 = 1e-9;
/// Share of the currents that counts as rounding.
const BALANCED: f64 = 1e-6;
/// What a load in the place of others has at least, in volt: with less it would stop for nothing.
const LEAST_VOLTS: f64 = 0.05;
/// Sources that stay anyhow.
const MOST_SOURCES: usize = 16;
/// No number.
const NONE: u32 = u32::MAX;

/// What stays of a circuit.
struct Excerpt<'b> {
    base: &'b Base,
    /// The input of each output of a converter.
    inputs: FxHashMap<u32, u32>,
    /// Per branch and per node: whether it stays.
    branches: Vec<bool>,
    nodes: Vec<bool>,
}

impl Base {
    /// The same state of rest of what these nodes and branches hang on, and which branches of it are still there; loads that are in the place
    /// of others are at the end of its branches.
    #[must_use]
    pub fn excerpt(&self, nodes: &[u32], branches: &[u32], near: impl Iterator<Item = (u32, u32)>) -> (Circuit, Self, Vec<bool>) {
        let mut excerpt = Excerpt::new(self);
        for node in nodes {
            excerpt.keep_node(*node);
        }
        for branch in branches.iter().copied().chain(self.sources(nodes)) {
            excerpt.keep(branch);
        }
        let loads = loop {
            while excerpt.keep_ways() {}
            if let Some(loads) = excerpt.loads() {
                break loads;
            }
        };
        let is_kept = |branch: u32| excerpt.branches.get(branch as usize) == Some(&true);
        let own = self.circuit.branches.iter().zip(0..);
        let own =
            own.map(|(branch, number)| if is_kept(number) { *branch } else { Branch { kind: BranchKind::Open, ..*branch } });
        let circuit = Circuit {
            nodes: self.circuit.nodes,
            branches: own.chain(loads.iter().map(|(branch, _)| *branch)).collect(),
            references: self.circuit.references.clone(),
        };
        let numbers = 0..self.circuit.branches.len() as u32;
        let amps = numbers.clone().map(|branch| if is_kept(branch) { self.amps(branch) } else { Ampere::ZERO });
        let amps: Vec<Ampere> = amps.chain(loads.iter().map(|(_, amps)| *amps)).collect();
        let is_coil =
            |branch: u32| matches!(circuit.branches.get(branch as usize).map(|own| own.kind), Some(BranchKind::Coil { .. }));
        let energised: Vec<u32> = numbers.clone().filter(|branch| is_coil(*branch) && self.is_on(*branch)).collect();
        let runs: Vec<bool> = numbers.map(|branch| !is_coil(branch) && is_kept(branch) && self.is_on(branch)).collect();
        let near = near.filter(|(one, other)| excerpt.has_node(*one) && excerpt.has_node(*other));
        let base = Self::new(&circuit, Known { amps: &amps, energised: &energised, runs: &runs }, near);
        (circuit, base, excerpt.branches)
    }
}

impl Base {
    /// The sources that drive most in the pieces of these nodes: what draws from them is beyond, and must have where to draw from.
    fn sources(&self, nodes: &[u32]) -> Vec<u32> {
        let piece = |node: u32| self.nodes.get(node as usize).map(|(piece, _)| *piece);
        let pieces: BTreeSet<Option<u32>> = nodes.iter().map(|node| piece(*node)).collect();
        let own = self.circuit.branches.iter().zip(0..);
        let own =
            own.filter(|(branch, _)| matches!(branch.kind, BranchKind::Source { .. }) && pieces.contains(&piece(branch.from)));
        let mut found: Vec<(f64, u32)> = own.map(|(_, number)| (self.amps(number).get().abs(), number)).collect();
        found.sort_by(|(a, one), (b, other)| b.total_cmp(a).then(one.cmp(other)));
        found.into_iter().filter(|(amps, _)| *amps > NO_AMPS).take(MOST_SOURCES).map(|(_, number)| number).collect()
    }
}

impl<'b> Excerpt<'b> {
    fn new(base: &'b Base) -> Self {
        let inputs = base.circuit.branches.iter().zip(0..).filter_map(|(branch, number)| match branch.kind {
            BranchKind::ConverterInput { output, .. } => Some((output, number)),
            _ => None,
        });
        let (branches, nodes) = (vec![false; base.circuit.branches.len()], vec![false; base.circuit.nodes as usize]);
        Self { base, inputs: inputs.collect(), branches, nodes }
    }

    fn keep_node(&mut self, node: u32) {
        if let Some(slot) = self.nodes.get_mut(node as usize) {
            *slot = true;
        }
    }

    /// Keeps a branch with its ends and with what decides whether it conducts.
    fn keep(&mut self, branch: u32) {
        let mut open = vec![branch];
        while let Some(number) = open.pop() {
            let Some(slot) = self.branches.get_mut(number as usize).filter(|slot| !**slot) else { continue };
            *slot = true;
            let Some(branch) = self.base.circuit.branches.get(number as usize) else { continue };
            match branch.kind {
                BranchKind::RelayContact { coil: other, .. } | BranchKind::ConverterInput { output: other, .. } => {
                    open.push(other)
                }
                _ => open.extend(self.inputs.get(&number)),
            }
            self.keep_node(branch.from);
            self.keep_node(branch.to);
        }
    }

    fn is_kept(&self, branch: u32) -> bool {
        self.branches.get(branch as usize) == Some(&true)
    }

    fn has_node(&self, node: u32) -> bool {
        self.nodes.get(node as usize) == Some(&true)
    }

    /// Whether a way may lead over a branch: not over what draws, unless it decides about something that stays. A load that draws nothing, because
    /// its way is open on one side, passes its voltage on to the other.
    fn leads_on(&self, number: u32, branch: &Branch) -> bool {
        match branch.kind {
            BranchKind::Open => false,
            BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } => self.is_idle(number),
            BranchKind::Coil { .. } | BranchKind::ConverterInput { .. } => self.is_kept(number) || self.is_idle(number),
            BranchKind::Resistance(_)
            | BranchKind::Source { .. }
            | BranchKind::Diode { .. }
            | BranchKind::RelayContact { .. } => true,
        }
    }

    fn is_idle(&self, branch: u32) -> bool {
        self.base.amps(branch).get().abs() <= NO_AMPS
    }

    /// Keeps whatever leads from one node that stays to another; whether that was anything new.
    fn keep_ways(&mut self) -> bool {
        let own = self.base.circuit.branches.iter().zip(0..);
        let mut ends: Vec<Option<(u32, u32)>> =
            own.map(|(branch, number)| self.leads_on(number, branch).then_some((branch.from, branch.to))).collect();
        let count = ends.len() as u32;
        // With all of these nodes joined, what leads from one to another is on a loop.
        let mut stays = (0..).zip(&self.nodes).filter(|(_, stays)| **stays).map(|(node, _)| node);
        if let Some(first) = stays.next() {
            ends.extend(stays.map(|other| Some((first, other))));
        }
        let blocks = Blocks::new(self.base.circuit.nodes, &ends);
        let mut found = Vec::new();
        for block in blocks.all() {
            if block.iter().any(|branch| *branch >= count || self.is_kept(*branch)) {
                found.extend(block.iter().copied().filter(|branch| *branch < count && !self.is_kept(*branch)));
            }
        }
        for branch in &found {
            self.keep(*branch);
        }
        !found.is_empty()
    }

    /// The loads in the place of what does not stay, each with what it draws; `None` where something beyond is not a load, and stays therefore.
    fn loads(&mut self) -> Option<Vec<(Branch, Ampere)>> {
        let circuit = &self.base.circuit;
        let mut beyond = UnionFind::<u32>::new(circuit.nodes as usize);
        let gone = |(branch, number): &(&Branch, u32)| !matches!(branch.kind, BranchKind::Open) && !self.is_kept(*number);
        for (branch, _) in circuit.branches.iter().zip(0..).filter(gone) {
            if !self.has_node(branch.from) && !self.has_node(branch.to) {
                let _ = beyond.try_union(branch.from, branch.to);
            }
        }
        let of = beyond.into_labeling();
        let label = |node: u32| of.get(node as usize).copied().unwrap_or(NONE);
        // What is directly between two nodes that stay is by itself.
        let place = |branch: &Branch, number: u32| match (self.has_node(branch.from), self.has_node(branch.to)) {
            (true, true) => (NONE, number),
            (true, false) => (label(branch.to), NONE),
            (false, _) => (label(branch.from), NONE),
        };
        let mut leaves: BTreeMap<(u32, u32), BTreeMap<u32, f64>> = BTreeMap::new();
        for (branch, number) in circuit.branches.iter().zip(0..).filter(gone) {
            let amps = self.base.amps(number).get();
            for (node, amps) in [(branch.from, amps), (branch.to, -amps)] {
                if self.has_node(node) {
                    *leaves.entry(place(branch, number)).or_default().entry(node).or_default() += amps;
                }
            }
        }
        let (mut loads, mut stays) = (Vec::new(), BTreeSet::new());
        for (place, leaves) in &leaves {
            match self.between(leaves) {
                Some(found) => loads.extend(found),
                None => {
                    stays.insert(*place);
                }
            }
        }
        if stays.is_empty() {
            return Some(loads);
        }
        let own = circuit.branches.iter().zip(0..).filter(gone);
        let kept: Vec<u32> =
            own.filter(|(branch, number)| stays.contains(&place(branch, *number))).map(|(_, number)| number).collect();
        for branch in kept {
            self.keep(branch);
        }
        None
    }

    /// Loads that take these currents out of nodes, and give them back to others; `None` where that is uphill.
    fn between(&self, leaves: &BTreeMap<u32, f64>) -> Option<Vec<(Branch, Ampere)>> {
        let mut from: Vec<(u32, f64)> =
            leaves.iter().filter(|(_, amps)| **amps > NO_AMPS).map(|(node, amps)| (*node, *amps)).collect();
        let mut to: Vec<(u32, f64)> =
            leaves.iter().filter(|(_, amps)| **amps < -NO_AMPS).map(|(node, amps)| (*node, -*amps)).collect();
        let mut found = Vec::new();
        while let (Some((one, leaves)), Some((other, comes))) = (from.last_mut(), to.last_mut()) {
            let amps = leaves.min(*comes);
            let volts = self.base.volts(*one) - self.base.volts(*other);
            if volts.get() < LEAST_VOLTS || !self.base.are_joined(*one, *other) {
                return None;
            }
            found.push((load(*one, *other, amps, volts), Ampere::new(amps)));
            (*leaves, *comes) = (*leaves - amps, *comes - amps);
            let (is_spent, is_full) = (*leaves <= NO_AMPS, *comes <= NO_AMPS);
            if is_spent {
                from.pop();
            }
            if is_full {
                to.pop();
            }
        }
        // What goes in and does not come out goes somewhere else than into loads.
        let left = from.iter().chain(&to).map(|(_, amps)| amps).sum::<f64>();
        (left <= BALANCED * (1.0 + found.iter().map(|(_, amps)| amps.get()).sum::<f64>())).then_some(found)
    }
}

fn load(from: u32, to: u32, amps: f64, volts: Volt) -> Branch {
    Branch { from, to, kind: BranchKind::CurrentLoad { amps: Ampere::new(amps), nominal: volts } }
}

#[cfg(test)]
mod tests {
    use crate::{
        circuit::{
            Branch, BranchKind, Circuit,
            altered::{Alteration, Base, Known},
            solve::{reference::circuits, solve},
        },
        quantity::{Ampere, Ohm, Volt},
    };
    use proptest::prelude::*;

    fn base(circuit: &Circuit) -> Option<Base> {
        let state = solve(circuit);
        let energised: Vec<u32> = (0..).zip(&state.energised).filter(|(_, on)| **on).map(|(coil, _)| coil).collect();
        let known = Known { amps: &state.amps, energised: &energised, runs: &state.converting };
        state.unsettled.is_empty().then(|| Base::new(circuit, known, std::iter::empty()))
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        /// Whatever is cut off, what is left is at rest as it was.
        #[test]
        fn an_excerpt_is_at_rest_as_the_whole_is(circuit in circuits(0), one in any::<prop::sample::Index>(), other in any::<prop::sample::Index>()) {
            let Some(whole) = base(&circuit) else { return Ok(()) };
            let nodes = [one, other].map(|index| index.index(circuit.nodes as usize) as u32);
            let (_, part, kept) = whole.excerpt(&nodes, &[], std::iter::empty());
            let ends = circuit.branches.iter().zip(&kept).filter(|(_, kept)| **kept).flat_map(|(branch, _)| [branch.from, branch.to]);
            if ends.clone().any(|node| !whole.is_known(node) || !part.is_known(node)) {
                return Ok(());
            }
            for (branch, number) in circuit.branches.iter().zip(0..).filter(|(_, number)| kept[*number as usize]) {
                let (one, other) = (branch.from, branch.to);
                prop_assert!((whole.amps(number).get() - part.amps(number).get()).abs() < 1e-6 * (1.0 + whole.amps(number).get().abs()));
                // How far apart two islands are that only a diode without current joins nobody knows.
                let is_known = !matches!(branch.kind, BranchKind::Diode { .. }) || whole.amps(number) > Ampere::ZERO;
                if is_known && whole.is_live(one) && whole.are_joined(one, other) && part.are_joined(one, other) {
                    let across = |base: &Base| (base.volts(one) - base.volts(other)).get();
                    prop_assert!((across(&whole) - across(&part)).abs() < 1e-6 * (1.0 + across(&whole).abs()));
                }
            }
        }
    }

    /// 12 V and 10 mohm feed a bus; from there 3 A through 0.1 ohm, and 5 A through 0.2 ohm in a circuit that is cut off. By hand, with the
    /// first feed open: 12 V less 5 A through 10 mohm at the bus, the whole 8 A before.
    #[test]
    fn a_feed_that_is_cut_off_draws_what_it_draws() {
        let branch = |from, to, kind| Branch { from, to, kind };
        let metal = |ohms| BranchKind::Resistance(Ohm::new(ohms));
        let load = |amps| BranchKind::CurrentLoad { amps: Ampere::new(amps), nominal: Volt::new(12.0) };
        let source = BranchKind::Source { emf: Volt::new(12.0), resistance: Ohm::new(0.01), limit: None };
        let branches = vec![
            branch(0, 1, source),
            branch(1, 2, metal(0.1)),
            branch(2, 0, load(3.0)),
            branch(1, 3, metal(0.2)),
            branch(3, 0, load(5.0)),
        ];
        let circuit = Circuit { nodes: 4, branches, references: vec![0] };
        let whole = base(&circuit).expect("a state of rest");
        let (_, part, kept) = whole.excerpt(&[2], &[2], std::iter::empty());
        assert_eq!(kept, [true, true, true, false, false]);
        assert!((part.volts(1).get() - 11.92).abs() < 1e-9 && (part.volts(2).get() - 11.62).abs() < 1e-9);
        let open = part.with(&[Alteration::Becomes { branch: 1, kind: BranchKind::Open }]);
        assert!((open.volts(1).get() - 11.95).abs() < 1e-9 && open.volts(2).get().abs() < 1e-9, "{:?}", open.volts(1));
    }
}
