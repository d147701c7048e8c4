//! What heats and cools each conductor where it is: its copper, its insulation, the air around it, what is beside it.

use super::{
    bundle::Bundles,
    conductor::{LEAST_RESISTANCE, resistance_of, surroundings, table_of},
    given::{self, Given},
    load::NOTHING,
};
use crate::{
    arena::IdVec,
    model::{ModeId, Model, Wire, WireId},
    network::Network,
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
/// Temperature of a conductor whose surroundings nothing gives, in degC.
const ROOM: f64 = 20.0;

/// One conductor where it is.
#[derive(Debug, Clone, Copy)]
pub(in crate::electrical) struct Bed {
    pub(super) size: SquareMillimetre,
    /// Its temperature without current.
    pub(super) cold: Celsius,
    /// Its resistance at 20 degC.
    r20: Ohm,
    /// Its heat balance, where size and air are known.
    balance: Option<Balance>,
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
        let beds = model.wires().map(|(_, wire)| {
            let around = surroundings(model, wire);
            let size = wire.size.map(|size| size.value);
            Bed {
                size: size.unwrap_or(SquareMillimetre::new(0.0)),
                cold: around.ambient.unwrap_or(room),
                r20: resistance_of(model, wire),
                balance: size.zip(around.ambient).and_then(|(size, air)| balance(table, size, around.class(), air)),
                source: heat_source(model, wire, table, room),
            }
        });
        Self { beds: beds.collect(), bundles: Bundles::new(model, table), given: given::given(network) }
    }

    /// Resistance of a wire that carries nothing.
    pub(in crate::electrical) fn cold(&self, wire: WireId) -> Ohm {
        let bed = &self.beds[wire];
        resistance(bed, bed.cold.get())
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
        self.beds[wire].source.is_assumed
    }

    /// What a wire with this current would be over its air if it lay alone, in K.
    ///
    /// At the resistance of copper at its rated temperature, so a little too much below it.
    pub(super) fn heat(&self, wire: WireId, amps: Ampere) -> f64 {
        let source = &self.beds[wire].source;
        if amps.get() <= NOTHING { 0.0 } else { source.rise * (amps / source.amps).get().powi(2).min(1.0) }
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

/// Resistance of a conductor at a temperature.
pub(super) fn resistance(bed: &Bed, at: f64) -> Ohm {
    (bed.r20 * temperature_ratio(Celsius::new(at.min(RUINED))).value).max(Ohm::new(LEAST_RESISTANCE))
}
