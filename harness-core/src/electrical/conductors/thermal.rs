//! How warm each conductor gets: its steady temperature from the heat balance that its capacity rests on.
//!
//! The warmer copper has more resistance, which changes voltages, and currents where there are loops or loads of constant
//! power. So a mode is solved, the temperatures follow, and it is solved again with the resistances at these temperatures,
//! until no conductor moves by more than [`AT_REST`]; after [`MOST_ROUNDS`] rounds the mode is named as one that did not
//! settle. Currents of a tree with loads of constant current do not depend on resistance: there the second round is the last.

use super::{bed::RUINED, conductor::surroundings, installation::Installation, load};
use crate::{
    arena::IdVec,
    circuit::solve::Solver,
    electrical::ModeState,
    model::{ModeId, Model, WireId},
    network::{EdgeId, Network},
    quantity::{Ampere, Celsius},
};

/// Change of a temperature between two rounds that counts as none, in kelvin; it moves a resistance by 0.04 %.
const AT_REST: f64 = 0.1;
/// Rounds after which a mode is given up.
const MOST_ROUNDS: u32 = 20;
/// Temperatures and the resistances they lead to, round by round.
pub(in crate::electrical) struct Warming<'a> {
    installation: &'a Installation,
    mode: ModeId,
    /// The temperature with which each wire was last solved.
    taken: IdVec<WireId, f64>,
    /// The temperature that followed.
    pub(in crate::electrical) found: IdVec<WireId, f64>,
    /// Whether the two agree.
    pub(in crate::electrical) at_rest: bool,
    rounds: u32,
}

impl<'a> Warming<'a> {
    pub(in crate::electrical) fn new(installation: &'a Installation, mode: ModeId) -> Self {
        let cold: IdVec<WireId, f64> = installation.beds.items().iter().map(|bed| bed.cold.get()).collect();
        Self { installation, mode, taken: cold, found: IdVec::new(), at_rest: false, rounds: 0 }
    }

    /// Takes what flows; `true` if the network is to be solved again with the resistances that were set in `solver`.
    pub(in crate::electrical) fn takes(
        &mut self,
        network: &Network,
        solver: &mut Solver<'_>,
        amps: impl Fn(EdgeId, &crate::network::Edge) -> Ampere,
    ) -> bool {
        self.rounds += 1;
        let currents = self.installation.with_given(self.mode, load::warming_by(network, amps));
        self.found = self.installation.temperatures(&currents);
        let moved = |(wire, found): (WireId, &f64)| (found.min(RUINED) - self.taken[wire].min(RUINED)).abs() > AT_REST;
        self.at_rest = !self.found.iter().any(moved);
        if self.at_rest || self.rounds >= MOST_ROUNDS {
            return false;
        }
        for (id, edge) in network.edges() {
            let Some(wire) = edge.wire() else { continue };
            let found = self.found[wire];
            if found.min(RUINED) != self.taken[wire] {
                solver.retune(id.index() as u32, self.installation.beds[wire].resistance(found));
            }
        }
        // One whose end could not be read has no edge, and is still warmed by its neighbours.
        self.taken = self.found.iter().map(|(_, found)| found.min(RUINED)).collect();
        true
    }
}

/// A conductor near the temperature that it is rated for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hot {
    /// The wire.
    pub wire: WireId,
    /// The mode in which it is hottest.
    pub mode: ModeId,
    /// Its temperature there; `None` where it has no steady one.
    pub temperature: Option<Celsius>,
    /// The temperature that it is computed for: its rating, or the last that the table is right for.
    pub class: Celsius,
}

/// The conductors that carry current and whose temperature is nearest to their class or above it, the worst first; equal
/// ones by name, so that the order of the file does not matter.
pub(in crate::electrical) fn hottest(model: &Model, modes: &[&ModeState], most: usize) -> Vec<Hot> {
    // What differs by less than this differs by rounding.
    let rounded = |at: f64| (at * 1e3).round();
    let mut hot: Vec<(f64, String, Hot)> = Vec::new();
    for (id, wire) in model.wires() {
        let around = surroundings(model, wire);
        let (Some(thermal), Some(_)) = (around.thermal(), wire.size) else { continue };
        let worst = modes.iter().copied().reduce(|a, b| {
            let order = rounded(b.heat(id)).total_cmp(&rounded(a.heat(id)));
            if order.then_with(|| model.mode_name(a.id).cmp(model.mode_name(b.id))).is_gt() { b } else { a }
        });
        let Some(mode) = worst.filter(|mode| mode.heat(id) > thermal.ambient.get()) else { continue };
        let left = rounded(thermal.conductor.get() - mode.heat(id));
        if hot.len() >= most && hot.last().is_some_and(|(last, ..)| left > *last) {
            continue;
        }
        let name = model.wire_name(id);
        let before = |(other, known, _): &(f64, String, Hot)| other.total_cmp(&left).then_with(|| known.cmp(&name)).is_lt();
        let place = hot.partition_point(before);
        let found = Hot { wire: id, mode: mode.id, temperature: mode.temperature(id), class: thermal.conductor };
        hot.insert(place, (left, name, found));
        hot.truncate(most);
    }
    hot.into_iter().map(|(_, _, hot)| hot).collect()
}
