//! Resistances as an ohmmeter shows them with everything off: sources and loads give and take nothing, relays are at rest, switches as a mode has
//! them.
//!
//! A meter measures with a few tenths of a volt, at which no diode conducts. What a load has then nobody knows; it counts as nothing.

use super::{Electrical, what_if::Change};
use crate::{
    circuit::{Branch, BranchKind, solve::solve},
    model::{ModeId, PointId},
    quantity::{Ohm, Volt},
};
use std::collections::BTreeSet;

/// What a meter measures with.
const TEST_VOLTS: f64 = 0.2;
/// Its own resistance.
const TEST_OHMS: f64 = 1.0;
/// Resistance from which on nothing joins two points.
const NO_LIMIT: f64 = 1e7;

impl Electrical {
    /// The resistance between two points with everything off and these changes made, for each pair; `None` where nothing joins them.
    ///
    /// Cost: a solution for as many pairs as no conductor joins, and a pass over the edges.
    #[must_use]
    pub fn ohms_switched_off(&self, mode: ModeId, changes: &[Change], pairs: &[(PointId, PointId)]) -> Vec<Option<Ohm>> {
        let mut found = vec![None; pairs.len()];
        if pairs.is_empty() {
            return found;
        }
        let mut circuit = self.altered_circuit(mode, changes);
        for branch in &mut circuit.branches {
            branch.kind = passive(branch.kind);
        }
        let is_joined =
            |index: usize| !matches!(circuit.branches.get(index).map(|branch| branch.kind), None | Some(BranchKind::Open));
        let groups = self.network.components(|id, _| is_joined(id.index()));
        let own = circuit.branches.len();
        let mut left: Vec<usize> = (0..pairs.len()).collect();
        while !left.is_empty() {
            let mut taken = BTreeSet::new();
            let (now, later): (Vec<usize>, Vec<usize>) =
                left.into_iter().partition(|at| pairs.get(*at).is_some_and(|(one, _)| taken.insert(groups.of(*one))));
            circuit.branches.truncate(own);
            for (one, other) in now.iter().filter_map(|at| pairs.get(*at)) {
                let kind = BranchKind::Source { emf: Volt::new(TEST_VOLTS), resistance: Ohm::new(TEST_OHMS), limit: None };
                circuit.branches.push(Branch { from: other.index() as u32, to: one.index() as u32, kind });
            }
            let state = solve(&circuit);
            for (place, at) in now.into_iter().enumerate() {
                let amps = state.amps.get(own + place).map_or(0.0, |amps| amps.get().abs());
                let ohms = TEST_VOLTS / amps - TEST_OHMS;
                if let (Some(slot), true) = (found.get_mut(at), ohms < NO_LIMIT) {
                    *slot = Some(Ohm::new(ohms.max(0.0)));
                }
            }
            left = later;
        }
        found
    }
}

fn passive(kind: BranchKind) -> BranchKind {
    match kind {
        BranchKind::Resistance(_) => kind,
        BranchKind::Coil { resistance, .. } => BranchKind::Resistance(resistance),
        BranchKind::RelayContact { closed_when_energised: false, resistance, .. } => BranchKind::Resistance(resistance),
        BranchKind::RelayContact { closed_when_energised: true, .. } => BranchKind::Open,
        BranchKind::CurrentLoad { .. } | BranchKind::PowerLoad { .. } | BranchKind::ConverterInput { .. } => BranchKind::Open,
        BranchKind::Open | BranchKind::Source { .. } | BranchKind::Diode { .. } => BranchKind::Open,
    }
}
