//! Continuous current that a conductor may carry, from a published table, its ambient and its loaded neighbours.

use super::{
    current_table::Column,
    data::{self, Place, gauge},
    heat::{Balance, HEAT_BALANCE},
    source::{Source, Sourced},
};
pub use super::{
    current_table::Table,
    grouping::{Beside, Grouping, Layers, grouping},
    heat::{Thermal, thermal_factor},
};
use crate::quantity::{Ampere, Celsius, Kelvin, SquareMillimetre};
use std::fmt;

/// The heat balance of a conductor of `size` that is rated for `rated`, alone in air of `ambient`; the lowest class of the
/// table where no rating is known. `None` where the table has no row.
#[must_use]
pub fn balance(deciding: Table, size: SquareMillimetre, rated: Option<Celsius>, ambient: Celsius) -> Option<Balance> {
    let column = deciding.column(rated.unwrap_or(Celsius::new(0.0)));
    let amps = base(deciding, column, size)?.value;
    // Where the factor is printed, the balance starts from it, so that capacity and temperature agree.
    let printed = rated.map(|conductor| Thermal { conductor, ambient }).map(|wanted| (wanted, deciding.warmth(column, wanted)));
    let (amps, tabled) = match printed {
        Some((wanted, factor)) if factor.source != &HEAT_BALANCE => (amps * factor.value, wanted),
        _ => (amps, column.thermal()),
    };
    Some(Balance { amps: Ampere::new(amps), tabled, ambient })
}

/// A current multiplied by correction factors, the product rule of IEC 60364-5-52 clause 523.
#[must_use]
pub fn corrected(tabled: Ampere, factors: &[f64]) -> Ampere {
    Ampere::new(factors.iter().fold(tabled.get(), |current, factor| current * factor))
}

/// One link of the chain from a printed figure to a capacity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// What the step allows for.
    pub what: What,
    /// Ampere for a base step, a factor for any other.
    pub value: f64,
    /// Where the value comes from.
    pub source: &'static Source,
}

/// What a step in working out a capacity allows for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum What {
    /// Base: the table prints the size.
    Row,
    /// Base: interpolated on logarithms between two printed sizes.
    Between(SquareMillimetre, SquareMillimetre),
    /// Base: in proportion to the area of the smallest printed size.
    Below(SquareMillimetre),
    /// Base: that of this smaller printed size, because the table changes its terms before the next.
    Down(SquareMillimetre),
    /// Factor for the ambient and the conductor's own rated temperature.
    Thermal(Thermal),
    /// Factor for this many conductors side by side, alike and equally loaded.
    Loaded(u32),
    /// Factor for the heat of conductors beside it, whatever each of them carries.
    Beside(Beside),
}

impl fmt::Display for What {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Row => f.write_str("table"),
            Self::Between(lower, upper) => write!(f, "between {lower} and {upper} of the table"),
            Self::Below(first) => write!(f, "by area from {first} of the table"),
            Self::Down(smaller) => write!(f, "as {smaller} of the table"),
            Self::Thermal(at) => write!(f, "{} ambient, rated {}", at.ambient, at.conductor),
            Self::Loaded(1) => f.write_str("1 loaded conductor"),
            Self::Loaded(count) => write!(f, "{count} loaded conductors"),
            Self::Beside(Beside { conductors: 0, .. }) => f.write_str("no other loaded conductor beside it"),
            Self::Beside(Beside { conductors, rise }) => {
                let rise = Kelvin::new((rise.get() * 10.0).round() / 10.0);
                let (loaded, add) = if *conductors == 1 { ("conductor", "adds") } else { ("conductors", "add") };
                write!(f, "{conductors} loaded {loaded} beside it {add} {rise}")
            }
        }
    }
}

impl fmt::Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.what {
            What::Row | What::Between(..) | What::Below(_) | What::Down(_) => {
                write!(f, "{} ({})", Ampere::new(self.value), self.what)
            }
            // Three places show every printed factor and every computed one to a tenth of a per cent.
            What::Thermal(_) | What::Loaded(_) | What::Beside(_) => {
                write!(f, "{} ({})", (self.value * 1e3).round() / 1e3, self.what)
            }
        }
    }
}

/// A continuous capacity with the chain of figures that leads to it.
///
/// Printed as `1 mm2: 19 A (table) x 0.67 (85 degC ambient, rated 105 degC) x 0.7 (3 loaded conductors) = 8.91 A`.
#[derive(Debug, Clone, PartialEq)]
pub struct Capacity {
    /// The conductor's cross-section.
    pub size: SquareMillimetre,
    /// The continuous current it may carry.
    pub amps: Ampere,
    /// Base first, then the factors; their product is `amps`.
    pub chain: Vec<Step>,
}

impl fmt::Display for Capacity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: ", self.size)?;
        for (index, step) in self.chain.iter().enumerate() {
            if index > 0 {
                f.write_str(" x ")?;
            }
            write!(f, "{step}")?;
        }
        write!(f, " = {}", self.amps)
    }
}

/// Continuous capacity of a conductor of `size` at `thermal` among `loaded` conductors that are alike and carry the same current.
///
/// Between printed sizes the current is interpolated on logarithms; below the first one it goes with the area, which errs
/// low because a thin wire cools better. Zero where the ambient reaches the rated temperature. `None` above the last printed
/// size and for a size that is not above zero.
#[must_use]
pub fn capacity(deciding: Table, size: SquareMillimetre, thermal: Thermal, loaded: u32) -> Option<Capacity> {
    let group = deciding.beside(size, loaded);
    let group = Step { what: What::Loaded(loaded.max(1)), value: group.value, source: group.source };
    chained(deciding, size, thermal, group)
}

/// The same among conductors that warm it by what they carry. Zero where they alone bring it to its rated temperature.
#[must_use]
pub fn capacity_beside(deciding: Table, size: SquareMillimetre, thermal: Thermal, beside: Beside) -> Option<Capacity> {
    let permitted = thermal.conductor - thermal.ambient;
    let left = if permitted > Kelvin::ZERO { (1.0 - (beside.rise / permitted).get()).max(0.0).sqrt() } else { 0.0 };
    chained(deciding, size, thermal, Step { what: What::Beside(beside), value: left, source: beside.source() })
}

fn chained(deciding: Table, size: SquareMillimetre, thermal: Thermal, group: Step) -> Option<Capacity> {
    let column = deciding.column(thermal.conductor);
    let base = base(deciding, column, size)?;
    let warmth = deciding.warmth(column, thermal);
    let chain = vec![base, Step { what: What::Thermal(thermal), value: warmth.value, source: warmth.source }, group];
    let amps = Ampere::new(chain.iter().map(|step| step.value).product());
    Some(Capacity { size, amps, chain })
}

static COUNTS: Source = Source::seen("BS 7671:2008 appendix 4, regulation 523.5", "page of the wiring regulations");

/// Share of its grouped capacity from which a conductor counts as loaded; one at or below it is left out of the count.
#[must_use]
pub fn counts_from() -> Sourced<f64> {
    Sourced::new(0.3, &COUNTS)
}

/// Smallest of `sizes` that carries `current` continuously at `thermal` among what is beside it; `None` if none does.
///
/// Equal values pass. The sign of the current does not matter.
#[must_use]
pub fn least_size(
    deciding: Table,
    current: Ampere,
    thermal: Thermal,
    beside: Beside,
    mut sizes: impl Iterator<Item = SquareMillimetre>,
) -> Option<SquareMillimetre> {
    sizes.find(|size| {
        capacity_beside(deciding, *size, thermal, beside)
            .is_some_and(|capacity| capacity.amps.get() > 0.0 && capacity.amps.get() >= current.get().abs())
    })
}

/// The table's own current for a size, before any factor.
fn base(deciding: Table, column: &Column, size: SquareMillimetre) -> Option<Step> {
    let area = size.get();
    if area <= 0.0 {
        return None;
    }
    let (what, value, row) = match data::place(column.rows, area)? {
        Place::On(row) => (What::Row, row.value, row),
        // Bundles of 33 wires on one side, of 9 on the other: nothing is between.
        Place::Between(lower, upper) if deciding == Table::AircraftBundle && upper.at == gauge::AIRCRAFT_LARGE => {
            (What::Down(SquareMillimetre::new(lower.at)), lower.value, lower)
        }
        Place::Between(lower, upper) => {
            let what = What::Between(SquareMillimetre::new(lower.at), SquareMillimetre::new(upper.at));
            (what, data::log_log(lower, upper, area), lower)
        }
        Place::Below(first) => (What::Below(SquareMillimetre::new(first.at)), first.value * area / first.at, first),
        Place::Above(_) => return None,
    };
    Some(Step { what, value, source: row.source })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::trade::{Trade, trade_sizes};

    fn at(ambient: f64, conductor: f64) -> Thermal {
        Thermal { conductor: Celsius::new(conductor), ambient: Celsius::new(ambient) }
    }

    fn least(amps: f64, at: Thermal) -> Option<SquareMillimetre> {
        least_size(Table::default(), Ampere::new(amps), at, Beside::default(), trade_sizes(Trade::Metric))
    }

    #[test]
    fn the_chain_is_printed() {
        let capacity = capacity(Table::default(), SquareMillimetre::new(1.0), at(85.0, 105.0), 3).unwrap();
        assert_eq!(
            capacity.to_string(),
            "1 mm2: 19 A (table) x 0.67 (85 degC ambient, rated 105 degC) x 0.7 (3 loaded conductors) = 8.91 A"
        );
    }

    #[test]
    fn no_rise_means_no_current() {
        let size = SquareMillimetre::new(2.5);
        for ambient in [70.0, 90.0] {
            assert_eq!(capacity(Table::default(), size, at(ambient, 70.0), 1).unwrap().amps, Ampere::new(0.0));
            assert_eq!(least(0.0, at(ambient, 70.0)), None);
        }
    }

    #[test]
    fn sizes_outside_the_table() {
        let amps = |size| capacity(Table::default(), SquareMillimetre::new(size), at(30.0, 70.0), 1).map(|c| c.amps.get());
        assert_eq!(amps(0.0), None);
        assert_eq!(amps(0.5), Some(9.5));
        assert_eq!(amps(120.0), Some(344.0));
        assert_eq!(amps(120.1), None);
        let between = amps(2.0).unwrap();
        assert!(between > 24.0 && between < 32.0);
    }

    #[test]
    fn least_size_stands_at_its_boundary() {
        let least = |amps| least(amps, at(30.0, 70.0)).map(SquareMillimetre::get);
        assert_eq!(least(19.0), Some(1.0));
        assert_eq!(least(19.01), Some(1.5));
        assert_eq!(least(-19.0), Some(1.0));
        assert_eq!(least(344.0), Some(120.0));
        assert_eq!(least(345.0), None);
    }

    #[test]
    fn what_lies_beside_takes_its_share_of_the_rise() {
        let size = SquareMillimetre::new(1.0);
        let amps = |rise| {
            let beside = Beside { rise: Kelvin::new(rise), conductors: 1 };
            capacity_beside(Table::default(), size, at(30.0, 70.0), beside).unwrap().amps.get()
        };
        // A quarter of the rise from others leaves three quarters of the heat: sqrt(0.75).
        assert!((amps(10.0) - 19.0 * 0.75_f64.sqrt()).abs() < 1e-9);
        assert_eq!((amps(0.0), amps(40.0), amps(55.0)), (19.0, 0.0, 0.0));
    }
}
