//! The voltage that an element is made for.

use super::Facts;
use crate::{model::ElementId, quantity::Volt};

impl Facts {
    /// The voltage that an element is made for: that of its domain, or of the sensor supply that feeds it; `None` where no domain that
    /// gives one is joined to its first two points.
    ///
    /// Cost: none. Asked by the rules on feeds and by other facts.
    #[must_use]
    pub fn nominal(&self, element: ElementId) -> Option<Volt> {
        Some(self.electrical().nominal(element)?.volts)
    }
}
