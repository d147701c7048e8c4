//! The batteries of a design: which cells and modules stand in a row, and how high each point stands.

use super::Facts;
use crate::electrical::battery::{Batteries, batteries};

impl Facts {
    /// The batteries as strings of cells and modules.
    ///
    /// Cost: a few passes over the edges and one walk over the sources. Asked by the rules of batteries and by the taps.
    #[must_use]
    pub fn batteries(&self) -> &Batteries {
        self.made.batteries.get_or_init(|| batteries(self.network(), self.electrical().domains(), self.electrical().alternatives()))
    }
}
