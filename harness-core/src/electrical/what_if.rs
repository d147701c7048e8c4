//! Modes solved once more, on demand: what shorts do in one of them, and what loads that are off would have across them.

use super::{
    Electrical, Faults,
    faults::Pass,
    modes::{adapting, branches::Maker, state::Beginning},
};
use crate::{
    circuit::BranchKind,
    model::ModeId,
    network::EdgeId,
    quantity::{Ohm, Volt},
};

impl Electrical {
    /// What shorts do in one mode alone, of those that were computed.
    #[must_use]
    pub fn faults_in(&self, mode: ModeId) -> Option<Faults> {
        let state = self.modes().find(|state| state.id == mode)?;
        let circuit = self.maker().circuit(mode);
        let mut pass = Pass::new(&self.network, &self.domains, &self.protection);
        pass.mode(&circuit, state, self.beside.of(mode)?);
        Some(pass.finish())
    }

    /// What makes the circuit of a mode, from what is known of its domains.
    pub(in crate::electrical) fn maker(&self) -> Maker<'_> {
        Maker::knowing(&self.network, &self.installation, self.domains.clone(), self.nominals.clone())
    }

    /// The voltage across each of `loads` in a mode in which they do not run, were each a resistor of the figure beside it; in their
    /// order. All of them are there at once. `None` for a mode that was not computed.
    ///
    /// Cost: one solution of the network.
    #[must_use]
    pub fn volts_across(&self, mode: ModeId, loads: &[(EdgeId, Ohm)]) -> Option<Vec<Volt>> {
        let state = self.modes().find(|state| state.id == mode)?;
        let mut circuit = self.maker().circuit(mode);
        for (edge, ohms) in loads {
            if let Some(branch) = circuit.branches.get_mut(edge.index()) {
                branch.kind = BranchKind::Resistance(*ohms);
            }
        }
        let with = adapting::solve(&self.network, &self.installation, mode, &circuit, Beginning::State(state));
        Some(loads.iter().map(|(id, _)| (with.volts(self.network[*id].a) - with.volts(self.network[*id].b)).abs()).collect())
    }
}
