//! What flows: the operating point of a design in every mode, the loading of its conductors, and which fuse sees what.
//!
//! Owns figures that are computed from the network. Knows nothing of rules. `circuit` and `solve` are plain circuit
//! theory and know nothing of harnesses either; `branches` turns a design in one mode into such a circuit, whose nodes
//! are the network's points and whose branches are its edges, number for number.

mod branches;
pub mod circuit;
pub mod coils;
pub mod conductor;
pub mod fault;
pub mod fuse;
mod held;
mod loading;
mod mode;
pub mod protection;
pub mod short;
pub mod solve;
pub mod strings;

pub use fault::Faults;
pub use held::{Held, HeldCoil, Way};
pub use loading::Loading;
pub use mode::ModeState;
pub use protection::Protection;

use crate::{
    model::{ModeId, Model, WireId},
    network::{Domains, Network},
};

/// Everything electrical that is known of a design.
#[derive(Debug)]
pub struct Electrical {
    modes: Vec<ModeState>,
    held: Vec<Held>,
    loading: Vec<Loading>,
    protection: Protection,
    faults: Faults,
    domains: Domains,
}

/// Computes what flows in each of `modes`, and what follows from it.
///
/// Cost: one solution of the network a mode, more where relays leave a choice, and a few passes over the edges.
#[must_use]
pub fn electrical(model: &Model, network: &Network, modes: &[ModeId]) -> Electrical {
    let maker = branches::Maker::new(model, network);
    let modes: Vec<ModeState> = modes.iter().map(|mode| mode::solve(network, *mode, &maker.circuit(*mode), &[])).collect();
    let held = held::held(model, network, &maker, &modes);
    let loading = loading::loading(model, network, &modes);
    let protection = protection::protection(model, network);
    let mut pass = fault::Pass::new(model, network, maker.domains(), &protection, &loading);
    for state in &modes {
        pass.mode(&maker.circuit(state.id), state);
    }
    let faults = pass.finish();
    Electrical { modes, held, loading, protection, faults, domains: maker.into_domains() }
}

impl Electrical {
    /// The modes that were computed, in the order written.
    pub fn modes(&self) -> impl ExactSizeIterator<Item = &ModeState> {
        self.modes.iter()
    }

    /// Second states of rest, in which coils stay in that were energised before; in the order of the modes.
    #[must_use]
    pub fn held(&self) -> &[Held] {
        &self.held
    }

    /// How a wire is loaded in its worst mode, for the size that it is given.
    #[must_use]
    pub fn loading(&self, wire: WireId) -> Option<&Loading> {
        self.loading.get(wire.index())
    }

    /// The voltage domain of each point.
    #[must_use]
    pub fn domains(&self) -> &Domains {
        &self.domains
    }

    /// What shorts do to conductors and fuses.
    #[must_use]
    pub fn faults(&self) -> &Faults {
        &self.faults
    }

    /// Which fuse sees what.
    #[must_use]
    pub fn protection(&self) -> &Protection {
        &self.protection
    }
}
