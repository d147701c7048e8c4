//! What is beside a wire, as it is asked for: by what flows, as a capacity takes it, as a short does.

use super::{
    Electrical, ModeState, Neighbours,
    conductors::neighbours::{Counted, neighbours},
};
use crate::{
    arena::IdVec,
    model::{ModeId, WireId},
    standards::capacity::Beside,
};

impl Electrical {
    /// What is beside each wire in one mode and warms it by what flows there.
    #[must_use]
    pub fn beside(&self, mode: &ModeState) -> IdVec<WireId, Beside> {
        self.installation.beside(&self.lasting(mode))
    }

    /// What is beside a wire, one by one, in one mode and with what flows there. Cost: the bundles of the wire
    /// are ranked when the first of their wires is asked about.
    #[must_use]
    pub fn neighbours_in(&self, wire: WireId, mode: &ModeState) -> Neighbours<'_> {
        neighbours(self, wire, mode, Counted::Flowing)
    }

    /// What is beside a wire, one by one, as its [`capacity`](Self::capacity) takes it; `None` where nothing beside it carries current.
    #[must_use]
    pub fn neighbours(&self, wire: WireId) -> Option<Neighbours<'_>> {
        let loading = self.loading(wire);
        let states = self.loaded_states();
        let state =
            states.into_iter().find(|state| Some(state.id) == loading.beside_in && state.battery == loading.beside_charged)?;
        Some(neighbours(self, wire, state, Counted::Possible))
    }

    /// What is beside a wire, one by one, in one mode and with what may flow there, as a short of that mode takes it; `None` for a mode
    /// that was not computed. Cost: as above, for each state of the mode.
    #[must_use]
    pub fn neighbours_of_short(&self, wire: WireId, mode: ModeId) -> Option<Neighbours<'_>> {
        let states = self.loaded_states().into_iter().filter(|state| state.id == mode);
        let found = states.map(|state| neighbours(self, wire, state, Counted::Possible));
        found.reduce(|a, b| if b.adds_from(0) > a.adds_from(0) { b } else { a })
    }

    /// Every state that was computed, in an order that stays.
    pub(in crate::electrical) fn every_state(&self) -> impl Iterator<Item = &ModeState> {
        let charges = self.charges.iter().flat_map(|charge| [&charge.flat, &charge.full]);
        self.modes.iter().chain(charges).chain(self.latched.iter().map(|latched| &latched.state))
    }
}
