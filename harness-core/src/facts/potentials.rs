//! What each point is held at: a voltage domain, the chassis or protective earth.

use super::Facts;
use crate::network::{Nearest, Potential, potentials};

impl Facts {
    /// What each point is held at, by the nearest pin that says so.
    ///
    /// Cost: one walk over the network. Asked by the rules of domains.
    #[must_use]
    pub fn potentials(&self) -> &Nearest<Potential> {
        self.made.potentials.get_or_init(|| potentials(self.network()))
    }
}
