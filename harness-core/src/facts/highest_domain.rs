//! The voltage domain that a wire or part between some points has to withstand.

use super::Facts;
use crate::{
    model::{DomainId, PointId},
    network::Potential,
    quantity::Volt,
};

impl Facts {
    /// The domain whose voltage a wire or part has to withstand: the highest at `points`; `None` where none is known, or where class B
    /// meets another domain or the chassis there: that is a joint, reported as such.
    ///
    /// Cost: that of the potentials. Asked by the rule on rated voltages and by `facts::missing`.
    #[must_use]
    pub fn highest_domain(&self, points: &[PointId]) -> Option<DomainId> {
        let mut highest: Option<(DomainId, Volt)> = None;
        let (mut is_mixed, mut is_class_b) = (false, false);
        for held in points.iter().filter_map(|point| self.potentials().of(*point)) {
            let Potential::Domain(id) = held else {
                is_mixed = true;
                continue;
            };
            let domain = &self.model()[id];
            is_class_b |= domain.is_class_b();
            is_mixed |= highest.is_some_and(|(other, _)| other != id);
            if highest.is_none_or(|(_, volts)| domain.max > volts) {
                highest = Some((id, domain.max));
            }
        }
        highest.filter(|_| !(is_mixed && is_class_b)).map(|(domain, _)| domain)
    }
}
