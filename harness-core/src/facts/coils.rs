//! The coils of a design: what switches them and what takes their voltage when they are switched off.

use super::Facts;
use crate::electrical::coils::{Coil, coils};

impl Facts {
    /// Every coil, relays' and loads' alike.
    ///
    /// Cost: a few passes over the edges. Asked by `netlist/unsuppressed-coil`, `netlist/sneak-short` and `review/missing-fact`.
    #[must_use]
    pub fn coils(&self) -> &[Coil] {
        &self.made.coils.get_or_init(|| coils(self.network(), self.electrical().domains())).0
    }
}
