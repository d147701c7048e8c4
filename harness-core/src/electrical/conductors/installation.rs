//! What heats and cools each conductor where it lies: its copper, its insulation, the air around it, what lies beside it.

use super::conductor::{LEAST_RESISTANCE, capacity_of, resistance_of, surroundings};
use crate::{
    arena::IdVec,
    model::{Model, WireId},
    quantity::{Ampere, Celsius, Ohm, SquareMillimetre},
    standards::{
        capacity::{Table, balance},
        conductor::temperature_ratio,
        heat::Balance,
    },
};

/// Temperature at which a conductor counts that would get hotter, or that has no steady temperature: no insulation is left
/// by then, and the figures of the others must not hang on a copper of a thousand degrees.
pub(super) const RUINED: f64 = 300.0;
/// Temperature of a conductor whose surroundings nothing gives, in degC.
const ROOM: f64 = 20.0;

/// One conductor where it lies.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bed {
    size: SquareMillimetre,
    /// Its temperature without current.
    pub(super) cold: Celsius,
    /// Its resistance at 20 degC.
    r20: Ohm,
    /// Its heat balance, where size and air are known.
    balance: Option<Balance>,
    /// What it may carry alone, where that is known.
    alone: Option<Ampere>,
}

/// What heats and cools the conductors of a design, the same in every mode.
#[derive(Debug)]
pub(in crate::electrical) struct Installation {
    table: Table,
    pub(super) beds: IdVec<WireId, Bed>,
}

impl Installation {
    pub(in crate::electrical) fn new(model: &Model) -> Self {
        let room = model.policy.ambient.map_or(Celsius::new(ROOM), |at| at.value);
        let beds = model.wires().map(|(_, wire)| {
            let around = surroundings(model, wire);
            let size = wire.size.map(|size| size.value);
            Bed {
                size: size.unwrap_or(SquareMillimetre::new(0.0)),
                cold: around.ambient.unwrap_or(room),
                r20: resistance_of(model, wire),
                balance: size.zip(around.ambient).and_then(|(size, air)| balance(around.table, size, around.class(), air)),
                alone: capacity_of(model, wire, 1).map(|capacity| capacity.amps),
            }
        });
        Self { table: super::conductor::table_of(model), beds: beds.collect() }
    }

    /// Resistance of a wire that carries nothing.
    pub(in crate::electrical) fn cold(&self, wire: WireId) -> Ohm {
        let bed = &self.beds[wire];
        resistance(bed, bed.cold.get())
    }

    /// What a wire may carry alone, where that is known.
    pub(in crate::electrical) fn alone(&self, wire: WireId) -> Option<Ampere> {
        self.beds[wire].alone
    }

    /// Factor for `loaded` conductors side by side with a wire.
    pub(in crate::electrical) fn beside(&self, wire: WireId, loaded: u32) -> f64 {
        self.table.beside(self.beds[wire].size, loaded).value
    }

    /// The temperature of every wire, infinite where there is no steady one.
    pub(super) fn temperatures(&self, currents: &IdVec<WireId, Ampere>, beside: &IdVec<WireId, u32>) -> IdVec<WireId, f64> {
        let each = self.beds.iter().map(|(wire, bed)| match bed.balance {
            Some(balance) => {
                let factor = self.table.beside(bed.size, beside[wire]).value;
                balance.steady(currents[wire], factor).map_or(f64::INFINITY, Celsius::get)
            }
            None => bed.cold.get(),
        });
        each.collect()
    }
}

pub(super) fn resistance(bed: &Bed, at: f64) -> Ohm {
    (bed.r20 * temperature_ratio(Celsius::new(at.min(RUINED))).value).max(Ohm::new(LEAST_RESISTANCE))
}
