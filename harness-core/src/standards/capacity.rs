//! Continuous current that a conductor may carry, from a published table, its ambient and its loaded neighbours.

use super::{
    conductor::COPPER_INVERSE,
    data::{self, Place, Row, capacity as table},
    source::{Source, Sourced},
};
use crate::quantity::{Ampere, Celsius, SquareMillimetre};
use std::fmt;

static HEAT_BALANCE: Source = Source::computed(
    "heat balance of IEC 60364-5-52 B.52.14",
    "square root of the ratio of temperature rises, with the copper's resistance at its own temperature",
);
static BEYOND_GROUP: Source = Source::computed(
    "BS 7671:2008 appendix 4, 1/sqrt(n) for a group",
    "continued from the last row of table 4C1, which ends at 20 circuits",
);

/// Which published table decides the capacity of a single conductor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub enum Table {
    /// Single-core PVC vehicle wire by DIN VDE 0298-4: conductor 70 degC, ambient 30 degC, 1 to 120 mm2.
    #[default]
    RoadPvc70,
}

impl Table {
    fn rows(self) -> &'static [Row] {
        match self {
            Self::RoadPvc70 => table::ROAD_PVC70,
        }
    }

    /// The temperatures the table assumes.
    #[must_use]
    pub fn thermal(self) -> Thermal {
        match self {
            Self::RoadPvc70 => {
                Thermal { conductor: Celsius::new(table::ROAD_PVC70_CONDUCTOR), ambient: Celsius::new(table::ROAD_PVC70_AMBIENT) }
            }
        }
    }
}

/// A conductor's highest continuous temperature in an ambient.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thermal {
    /// Highest continuous conductor temperature.
    pub conductor: Celsius,
    /// Temperature of the surrounding air.
    pub ambient: Celsius,
}

/// Factor from a current stated for `tabled` temperatures to the current at `wanted` temperatures.
///
/// I²R heat equals heat given off, so the current goes with the square root of the permitted rise over the copper's
/// resistance. At the tabled conductor temperature this is the ambient formula of the wiring regulations; at a higher one it
/// gives less than that formula, because hotter copper has more resistance.
///
/// Against 33 CFR 183.425 table 5, AWG 8 and larger, it leads from the 75 degC column to those of 105 and 125 degC within
/// 4 %, where the ambient formula is up to 10 % high. From there to 200 degC it is 7 to 18 % high: wire of such a class needs
/// its own table. Zero if `wanted` permits no rise, or if
/// `tabled` has none to start from.
#[must_use]
pub fn thermal_factor(tabled: Thermal, wanted: Thermal) -> f64 {
    let tabled_rise = tabled.conductor.get() - tabled.ambient.get();
    let wanted_rise = wanted.conductor.get() - wanted.ambient.get();
    let wanted_copper = COPPER_INVERSE + wanted.conductor.get();
    if tabled_rise <= 0.0 || wanted_rise <= 0.0 || wanted_copper <= 0.0 {
        return 0.0;
    }
    let copper = (COPPER_INVERSE + tabled.conductor.get()) / wanted_copper;
    (wanted_rise / tabled_rise * copper).max(0.0).sqrt()
}

/// Which published table decides the factor for loaded neighbours.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub enum Grouping {
    /// IEC 60364-5-52 table B.52.17 row 1. The standard counts circuits, each with two or three loaded conductors; counting
    /// every loaded conductor as a circuit errs on the safe side.
    #[default]
    Bunched,
    /// NEC 310.15(B)(3)(a), by current-carrying conductors in one raceway.
    Nec,
    /// 33 CFR 183.425 for boats, circuits of 50 V and more.
    Marine,
}

/// Factor for `loaded` conductors that carry current side by side.
///
/// A count between two rows takes the next worse row. Beyond the 20 circuits of the IEC table its last row is continued as
/// 1/sqrt(n); the other tables end in an open band.
#[must_use]
pub fn grouping(grouping: Grouping, loaded: u32) -> Sourced<f64> {
    let count = f64::from(loaded.max(1));
    let (rows, beyond) = match grouping {
        Grouping::Bunched => (table::BUNCHED, None),
        Grouping::Nec => (table::NEC_BUNDLE, Some(&table::NEC_BUNDLE_BEYOND)),
        Grouping::Marine => (table::MARINE_BUNDLE, Some(&table::MARINE_BUNDLE_BEYOND)),
    };
    match (data::place(rows, count), beyond) {
        (Some(Place::On(row) | Place::Between(_, row) | Place::Below(row)), _) | (Some(Place::Above(_)), Some(row)) => {
            Sourced::new(row.value, row.source)
        }
        (Some(Place::Above(last)), None) => Sourced::new(last.value * (last.at / count).sqrt(), &BEYOND_GROUP),
        // No count is infinite and no table empty; zero would only ever report too much.
        (None, _) => Sourced::new(0.0, &BEYOND_GROUP),
    }
}

/// A current multiplied by correction factors, the product rule of IEC 60364-5-52 clause 523.
#[must_use]
pub fn corrected(tabled: Ampere, factors: &[f64]) -> Ampere {
    Ampere::new(factors.iter().fold(tabled.get(), |current, factor| current * factor))
}

/// One link of the chain from a printed figure to a capacity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// What the step stands for.
    pub what: What,
    /// Ampere for a base step, a factor for any other.
    pub value: f64,
    /// Where the value comes from.
    pub source: &'static Source,
}

/// What a step of a capacity stands for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum What {
    /// Base: the table prints the size.
    Row,
    /// Base: interpolated on logarithms between two printed sizes.
    Between(SquareMillimetre, SquareMillimetre),
    /// Base: in proportion to the area of the smallest printed size.
    Below(SquareMillimetre),
    /// Factor for the ambient and the conductor's own rated temperature.
    Thermal(Thermal),
    /// Factor for this many loaded conductors side by side.
    Loaded(u32),
}

impl fmt::Display for What {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Row => f.write_str("table"),
            Self::Between(lower, upper) => write!(f, "between {lower} and {upper} of the table"),
            Self::Below(first) => write!(f, "by area from {first} of the table"),
            Self::Thermal(at) => write!(f, "{} ambient, rated {}", at.ambient, at.conductor),
            Self::Loaded(1) => f.write_str("1 loaded conductor"),
            Self::Loaded(count) => write!(f, "{count} loaded conductors"),
        }
    }
}

impl fmt::Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.what {
            What::Row | What::Between(..) | What::Below(_) => write!(f, "{} ({})", Ampere::new(self.value), self.what),
            // Three places show every printed factor and every computed one to a tenth of a per cent.
            What::Thermal(_) | What::Loaded(_) => write!(f, "{} ({})", (self.value * 1e3).round() / 1e3, self.what),
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

/// Continuous capacity of a conductor of `size` at `thermal` among `loaded` conductors that carry current.
///
/// Between printed sizes the current is interpolated on logarithms; below the first one it goes with the area, which errs
/// low because a thin wire cools better. Zero where the ambient reaches the rated temperature. `None` above the last printed
/// size and for a size that is not above zero.
#[must_use]
pub fn capacity(deciding: Table, size: SquareMillimetre, thermal: Thermal, loaded: u32) -> Option<Capacity> {
    let base = base(deciding, size)?;
    let group = grouping(Grouping::default(), loaded);
    let chain = vec![
        base,
        Step { what: What::Thermal(thermal), value: thermal_factor(deciding.thermal(), thermal), source: &HEAT_BALANCE },
        Step { what: What::Loaded(loaded.max(1)), value: group.value, source: group.source },
    ];
    let amps = Ampere::new(chain.iter().map(|step| step.value).product());
    Some(Capacity { size, amps, chain })
}

static COUNTS: Source = Source::seen("BS 7671:2008 appendix 4, regulation 523.5", "page of the wiring regulations");

/// Share of its grouped capacity from which a conductor counts as loaded; one at or below it is left out of the count.
#[must_use]
pub fn counts_from() -> Sourced<f64> {
    Sourced::new(0.3, &COUNTS)
}

static PROVEN: Source = Source::computed(
    "33 CFR 183.425 table 5",
    "heat balance against the printed columns: on the safe side up to 125 degC, 7 to 18 % high at 200 degC",
);

/// Highest conductor temperature for which the heat balance was shown to err on the safe side.
///
/// A conductor that is rated higher is computed as if it were rated so.
#[must_use]
pub fn proven_to() -> Sourced<Celsius> {
    Sourced::new(Celsius::new(125.0), &PROVEN)
}

/// Smallest trade size that carries `current` continuously at `thermal` among `loaded` conductors; `None` if none does.
///
/// Equal values pass. The sign of the current does not matter.
#[must_use]
pub fn least_size(deciding: Table, current: Ampere, thermal: Thermal, loaded: u32) -> Option<SquareMillimetre> {
    let factor = thermal_factor(deciding.thermal(), thermal) * grouping(Grouping::default(), loaded).value;
    let carries = |size: &SquareMillimetre| {
        base(deciding, *size).is_some_and(|base| base.value * factor >= current.get().abs() && factor > 0.0)
    };
    table::TRADE_SIZES.iter().map(|size| SquareMillimetre::new(*size)).find(carries)
}

/// The table's own current for a size, before any factor.
fn base(deciding: Table, size: SquareMillimetre) -> Option<Step> {
    let area = size.get();
    if area <= 0.0 {
        return None;
    }
    let (what, value, row) = match data::place(deciding.rows(), area)? {
        Place::On(row) => (What::Row, row.value, row),
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

    fn at(ambient: f64, conductor: f64) -> Thermal {
        Thermal { conductor: Celsius::new(conductor), ambient: Celsius::new(ambient) }
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
            assert_eq!(least_size(Table::default(), Ampere::new(0.0), at(ambient, 70.0), 1), None);
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
        let least = |amps| least_size(Table::default(), Ampere::new(amps), at(30.0, 70.0), 1).map(SquareMillimetre::get);
        assert_eq!(least(19.0), Some(1.0));
        assert_eq!(least(19.01), Some(1.5));
        assert_eq!(least(-19.0), Some(1.0));
        assert_eq!(least(344.0), Some(120.0));
        assert_eq!(least(345.0), None);
    }

    #[test]
    fn groups_never_gain_from_a_further_conductor() {
        for table in [Grouping::Bunched, Grouping::Nec, Grouping::Marine] {
            let factors: Vec<f64> = (0..200).map(|loaded| grouping(table, loaded).value).collect();
            assert_eq!(factors[0], 1.0);
            assert!(factors.windows(2).all(|pair| pair[1] <= pair[0] && pair[1] > 0.0));
        }
    }
}
