//! The voltage that an element is made for.

use super::Facts;
use crate::{model::ElementId, quantity::Volt};

impl Facts {
    /// Nominal voltage at the first two points of an element; `None` where no domain that gives one is joined to them.
    ///
    /// Cost: none. Asked by the rules on feeds and by other facts.
    #[must_use]
    pub fn nominal(&self, element: ElementId) -> Option<Volt> {
        let model = self.model();
        let domain = model[element].points.iter().take(2).find_map(|point| self.electrical().domains().of(*point))?;
        Some(model[domain].nominal).filter(|nominal| nominal.get() > 0.0)
    }
}
