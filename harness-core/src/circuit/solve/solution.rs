//! Voltages and currents of one set of behaviours.

use super::{islands::Islands, table::Table};

/// Voltages and currents for one set of behaviours.
#[derive(Debug, Default)]
pub(super) struct Solution {
    pub(super) islands: Islands,
    pub(super) volts: Table<f64>,
    pub(super) amps: Table<f64>,
    /// Per island, the largest branch current.
    pub(super) most: Table<f64>,
}

impl Solution {
    pub(super) fn across(&self, from: u32, to: u32) -> f64 {
        self.volts.at(from) - self.volts.at(to)
    }

    /// Current that counts as none at `node`.
    pub(super) fn amp_slack(&self, node: u32) -> f64 {
        1e-12 * self.most.at(self.islands.of.at(node))
    }

    /// Voltage that counts as none between two nodes.
    pub(super) fn volt_slack(&self, from: u32, to: u32) -> f64 {
        1e-12 * (1.0 + self.volts.at(from).abs() + self.volts.at(to).abs())
    }
}
