//! One conductor where it is: its copper, its insulation, the air around it.

use super::conductor::{LEAST_RESISTANCE, resistance_of, surroundings};
use crate::{
    model::{Model, Wire},
    quantity::{Ampere, Celsius, Ohm, SquareMillimetre},
    standards::{
        capacity::{Beside, Table, Thermal, balance, capacity_beside},
        conductor::temperature_ratio,
        heat::Balance,
        trade::{Trade, trade_sizes},
    },
};

/// Temperature at which a conductor counts that would get hotter, or that has no steady temperature: no insulation is left
/// by then, and the figures of the others must not hang on a copper of a thousand degrees.
pub(super) const RUINED: f64 = 300.0;
/// Current below which a conductor carries nothing.
pub(super) const NOTHING: f64 = 1e-6;

/// One conductor where it is.
#[derive(Debug, Clone, Copy)]
pub(in crate::electrical) struct Bed {
    pub(super) size: SquareMillimetre,
    /// Its temperature without current.
    pub(super) cold: Celsius,
    /// Its resistance at 20 degC.
    r20: Ohm,
    /// Its heat balance, where size and air are known.
    pub(super) balance: Option<Balance>,
    /// What it gives off.
    source: HeatSource,
}

/// What a conductor gives off to those beside it.
#[derive(Debug, Clone, Copy)]
struct HeatSource {
    /// The current that it may carry alone.
    amps: Ampere,
    /// The rise that this current causes in it alone, in K. It counts for no more: beyond that it has a finding of its own.
    rise: f64,
    /// Its size, or its rating, is not known and was assumed.
    is_assumed: bool,
}

impl Bed {
    /// The place of a wire; `room` is the air of one whose surroundings nothing gives.
    pub(super) fn of(model: &Model, wire: &Wire, table: Table, room: Celsius) -> Self {
        let around = surroundings(model, wire);
        let size = wire.size.map(|size| size.value);
        Self {
            size: size.unwrap_or(SquareMillimetre::new(0.0)),
            cold: around.ambient.unwrap_or(room),
            r20: resistance_of(model, wire),
            balance: size.zip(around.ambient).and_then(|(size, air)| balance(table, size, around.class(), air)),
            source: heat_source(model, wire, table, room),
        }
    }

    /// Its resistance at a temperature.
    pub(in crate::electrical) fn resistance(&self, at: f64) -> Ohm {
        (self.r20 * temperature_ratio(Celsius::new(at.min(RUINED))).value).max(Ohm::new(LEAST_RESISTANCE))
    }

    /// Whether its heat rests on a size or a rating that the design does not give.
    pub(super) fn is_assumed(&self) -> bool {
        self.source.is_assumed
    }

    /// What it would be over its air with this current if it ran alone, in K.
    ///
    /// At the resistance of copper at its rated temperature, so a little too much below it.
    pub(super) fn heat(&self, amps: Ampere) -> f64 {
        if amps.get() <= NOTHING { 0.0 } else { self.source.rise * (amps / self.source.amps).get().powi(2).min(1.0) }
    }
}

/// What a wire gives off. One without a size counts as the thinnest that a workshop can buy, one without a rating as one that the
/// table allows its least rise, one beyond the table as the largest of it: each makes the most heat.
fn heat_source(model: &Model, wire: &Wire, table: Table, room: Celsius) -> HeatSource {
    let around = surroundings(model, wire);
    let air = around.ambient.unwrap_or(room);
    let class = around.class().filter(|class| *class > air);
    let thermal = Thermal { conductor: class.unwrap_or(air + table.rise()), ambient: air };
    let sizes = wire.size.map(|size| size.value).into_iter();
    let amps = sizes
        .chain(trade_sizes(Trade::Metric).last().filter(|_| wire.size.is_some()))
        .chain(trade_sizes(Trade::Gauge).last().filter(|_| wire.size.is_some()))
        .chain(trade_sizes(Trade::Metric))
        .find_map(|size| capacity_beside(table, size, thermal, Beside::default()))
        .map_or(Ampere::ZERO, |capacity| capacity.amps);
    HeatSource {
        amps,
        rise: (thermal.conductor - thermal.ambient).get(),
        is_assumed: wire.size.is_none() || around.class().is_none(),
    }
}
