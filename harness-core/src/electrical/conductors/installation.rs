//! What heats and cools each conductor where it is: its copper, its insulation, the air around it, what is beside it.

use super::{
    bed::Bed,
    bundle::Bundles,
    conductor::table_of,
    given::{self, Given},
};
use crate::{
    arena::IdVec,
    model::{ModeId, WireId},
    network::Network,
    quantity::{Ampere, Celsius, Ohm},
    standards::capacity::Beside,
};

/// Temperature of a conductor whose surroundings nothing gives, in degC.
const ROOM: f64 = 20.0;

/// What heats and cools the conductors of a design, the same in every mode.
#[derive(Debug)]
pub(in crate::electrical) struct Installation {
    pub(in crate::electrical) beds: IdVec<WireId, Bed>,
    pub(in crate::electrical) bundles: Bundles,
    given: IdVec<WireId, Option<Given>>,
}

impl Installation {
    pub(in crate::electrical) fn new(network: &Network) -> Self {
        let model = network.model();
        let room = model.policy.ambient.map_or(Celsius::new(ROOM), |at| at.value);
        let table = table_of(model);
        let beds = model.wires().map(|(_, wire)| Bed::of(model, wire, table, room));
        Self { beds: beds.collect(), bundles: Bundles::new(model, table), given: given::given(network) }
    }

    /// Resistance of a wire that carries nothing.
    pub(in crate::electrical) fn cold(&self, wire: WireId) -> Ohm {
        let bed = &self.beds[wire];
        bed.resistance(bed.cold.get())
    }

    /// The current that the design gives for a wire, or that the limit of its only source does.
    pub(in crate::electrical) fn given(&self, wire: WireId) -> Option<Given> {
        self.given[wire]
    }

    /// What a wire carries in a mode where this was computed: that, or more where more is given for the mode.
    pub(in crate::electrical) fn carries(&self, wire: WireId, mode: ModeId, computed: Ampere) -> Ampere {
        self.given[wire].filter(|given| given.modes.has(mode)).map_or(computed, |given| computed.max(given.amps))
    }

    /// The same of all wires.
    pub(in crate::electrical) fn with_given(&self, mode: ModeId, computed: IdVec<WireId, Ampere>) -> IdVec<WireId, Ampere> {
        computed.iter().map(|(wire, amps)| self.carries(wire, mode, *amps)).collect()
    }

    /// Whether the heat of a wire rests on a size or a rating that the design does not give.
    pub(super) fn is_assumed(&self, wire: WireId) -> bool {
        self.beds[wire].is_assumed()
    }

    /// What a wire with this current would be over its air if it ran alone, in K.
    pub(super) fn heat(&self, wire: WireId, amps: Ampere) -> f64 {
        self.beds[wire].heat(amps)
    }

    /// What is beside each wire with these currents.
    pub(in crate::electrical) fn beside(&self, currents: &IdVec<WireId, Ampere>) -> IdVec<WireId, Beside> {
        let heats: IdVec<WireId, f64> = currents.iter().map(|(wire, amps)| self.heat(wire, *amps)).collect();
        self.bundles.beside(&heats, &self.beds)
    }

    /// The temperature of every wire, infinite where there is no steady one.
    pub(super) fn temperatures(&self, currents: &IdVec<WireId, Ampere>) -> IdVec<WireId, f64> {
        let beside = self.beside(currents);
        let each = self.beds.iter().map(|(wire, bed)| match bed.balance {
            Some(balance) => balance.steady(currents[wire], beside[wire].rise).map_or(f64::INFINITY, Celsius::get),
            None => bed.cold.get(),
        });
        each.collect()
    }
}
