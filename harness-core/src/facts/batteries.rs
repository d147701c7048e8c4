//! The batteries of a design: which cells and modules are in series, and how high each point is.

use super::Facts;
use crate::{
    electrical::battery::{Batteries, BatteryString, LumpId, batteries},
    model::DomainId,
    vocabulary::Role,
};
use rustc_hash::FxHashMap;

/// The domain that the supply pins of each lump name; `None` where they name several.
pub(super) type StringDomains = FxHashMap<LumpId, Option<DomainId>>;

impl Facts {
    /// The batteries as strings of cells and modules.
    ///
    /// Cost: a few passes over the edges and one walk over the sources. Asked by the rules of batteries and by the taps.
    #[must_use]
    pub fn batteries(&self) -> &Batteries {
        self.made
            .batteries
            .get_or_init(|| batteries(self.network(), self.electrical().domains(), self.electrical().alternatives()))
    }

    /// The domain that the supply pins at the positive end of a string name; `None` where they name none, or several.
    ///
    /// Cost: one pass over the points, once. Asked by `battery/string-voltage` and by the facts on voltages.
    #[must_use]
    pub fn string_domain(&self, string: &BatteryString) -> Option<DomainId> {
        let named = self.made.string_domains.get_or_init(|| string_domains(self));
        named.get(&self.batteries().lump(string.top)).copied().flatten()
    }
}

fn string_domains(facts: &Facts) -> StringDomains {
    let (model, batteries) = (facts.model(), facts.batteries());
    let mut named = StringDomains::default();
    if batteries.strings.is_empty() {
        return named;
    }
    for (id, point) in model.points() {
        let Some(pin) = point.pin.map(|pin| &model[pin]) else { continue };
        let (Some((domain, _)), Some(Role::Supply)) = (pin.domain, pin.role.map(|role| role.value)) else { continue };
        let slot = named.entry(batteries.lump(id)).or_insert(Some(domain));
        *slot = slot.filter(|known| *known == domain);
    }
    named
}
