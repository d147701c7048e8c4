//! What is beside a wire, as it is asked for: by what flows, as a capacity takes it, as a short does.

use super::{
    Electrical, ModeState, Neighbour, Neighbours,
    conductors::load::{self, Counted},
};
use crate::{
    arena::IdVec,
    model::{ModeId, WireId},
    quantity::Kelvin,
    standards::capacity::Beside,
};

impl Electrical {
    /// What is beside each wire in one mode and warms it by what flows there.
    #[must_use]
    pub fn beside(&self, mode: &ModeState) -> IdVec<WireId, Beside> {
        self.installation.beside(&self.lasting(mode))
    }

    /// What is beside a wire, one by one, in one mode and with what flows there. Cost: the bundles of the wire.
    #[must_use]
    pub fn neighbours_in(&self, wire: WireId, mode: &ModeState) -> Neighbours {
        load::neighbours(self, wire, mode, Counted::Flowing)
    }

    /// What is beside a wire, one by one, as its [`capacity`](Self::capacity) takes it; `None` where nothing beside it carries current.
    #[must_use]
    pub fn neighbours(&self, wire: WireId) -> Option<Neighbours> {
        let loading = self.loading(wire);
        let states = self.loaded_states();
        let state =
            states.into_iter().find(|state| Some(state.id) == loading.beside_in && state.battery == loading.beside_charged)?;
        Some(load::neighbours(self, wire, state, Counted::Possible))
    }

    /// What is beside a wire, one by one, in one mode and with what may flow there, as a short of that mode takes it; `None` for a mode
    /// that was not computed. Cost: the bundles of the wire, for each state of the mode.
    #[must_use]
    pub fn neighbours_of_short(&self, wire: WireId, mode: ModeId) -> Option<Neighbours> {
        let states = self.loaded_states().into_iter().filter(|state| state.id == mode);
        let found = states.map(|state| load::neighbours(self, wire, state, Counted::Possible));
        found.reduce(|a, b| if self.rise(wire, &b.others) > self.rise(wire, &a.others) { b } else { a })
    }

    /// By how much these neighbours alone would warm a wire; the one with the most heat comes first.
    #[must_use]
    pub fn rise(&self, wire: WireId, others: &[Neighbour]) -> Kelvin {
        let layers = self.installation.bundles.layers(&self.installation.beds[wire]);
        Kelvin::new(layers.rise(others.iter().map(|other| other.alone.get())))
    }
}
