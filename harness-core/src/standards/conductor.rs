//! Resistance and insulation diameter of copper conductors by nominal cross-section.

use super::{
    data::{self, Place, Row, conductor as table},
    source::{Source, Sourced},
};
use crate::quantity::{Celsius, Millimetre, OhmPerMetre, SquareMillimetre};
use std::fmt;

static INVERSE_COEFFICIENT: Source =
    Source::seen("FAA AC 43.13-1B, length correction for conductor temperature", "page of the circular");

/// Resistance at 0 degC falls to zero at this many kelvin below it on the straight line of copper.
pub(super) const COPPER_INVERSE: f64 = 234.5;

/// Temperature at which conductor standards state resistance, in degC.
const REFERENCE: f64 = 20.0;

/// A published series of conductor resistances.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub enum Series {
    /// Road-vehicle wire to ISO 6722-1 and ISO 19642: thin wall to 20 mm2, thick wall above.
    #[default]
    Road,
    /// Flexible conductors to IEC 60228 class 5, plain copper.
    Class5,
    /// Flexible conductors to IEC 60228 class 5, metal-coated copper.
    Class5Tinned,
}

impl Series {
    /// The series that a conductor kind's `standard` text names, or `None` if the text names none of them.
    ///
    /// Any edition or part of ISO 6722 and ISO 19642 is the road series. IEC 60228 is read as class 5, whose limits are
    /// above those of class 2. A caller without a known standard falls back to [`Series::default`], the road series.
    #[must_use]
    pub fn named(standard: &str) -> Option<Self> {
        if standard.contains("60228") {
            let coated = ["tinned", "coated"].iter().any(|word| standard.contains(word));
            return Some(if coated { Self::Class5Tinned } else { Self::Class5 });
        }
        ["6722", "19642"].iter().any(|number| standard.contains(number)).then_some(Self::Road)
    }

    fn rows(self) -> &'static [Row] {
        match self {
            Self::Road => table::ROAD,
            Self::Class5 => table::CLASS_5,
            Self::Class5Tinned => table::CLASS_5_TINNED,
        }
    }
}

/// How a resistance was arrived at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Derivation {
    /// The series prints the size.
    Row,
    /// The size is between these two printed sizes; the larger of their products of resistance and area was taken.
    Between(SquareMillimetre, SquareMillimetre),
    /// The size is beyond this printed size, the end of the series; its product of resistance and area was taken.
    Beyond(SquareMillimetre),
}

/// Largest resistance per length at 20 degC, with how it was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resistance {
    /// The resistance at 20 degC, with the source of the row it rests on.
    pub r20: Sourced<OhmPerMetre>,
    /// How it was found from that row.
    pub derivation: Derivation,
}

impl fmt::Display for Resistance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} at 20 degC", self.r20.value)?;
        match self.derivation {
            Derivation::Row => write!(f, "; {}", self.r20.source),
            Derivation::Between(lower, upper) => {
                write!(f, ", computed between {lower} and {upper}; {}", self.r20.source)
            }
            Derivation::Beyond(end) => write!(f, ", computed from {end}; {}", self.r20.source),
        }
    }
}

/// Largest resistance per metre at 20 degC of a copper conductor of this cross-section.
///
/// A size that the series does not print (an AWG size, mostly) takes R = k/A, k being the larger product of resistance and
/// area of the neighbouring rows, so that the result errs upwards. `None` for a size that is not above zero.
#[must_use]
pub fn resistance(series: Series, size: SquareMillimetre) -> Option<Resistance> {
    let area = size.get();
    if area <= 0.0 {
        return None;
    }
    let scaled = |row: &Row| row.value * row.at / area;
    let (milliohm, row, derivation) = match data::place(series.rows(), area)? {
        Place::On(row) => (row.value, row, Derivation::Row),
        Place::Between(lower, upper) => {
            let worse = if scaled(lower) >= scaled(upper) { lower } else { upper };
            let sizes = Derivation::Between(SquareMillimetre::new(lower.at), SquareMillimetre::new(upper.at));
            (scaled(worse), worse, sizes)
        }
        Place::Below(end) | Place::Above(end) => (scaled(end), end, Derivation::Beyond(SquareMillimetre::new(end.at))),
    };
    Some(Resistance { r20: Sourced::new(OhmPerMetre::new(milliohm * 1e-3), row.source), derivation })
}

/// Resistance at `conductor` temperature from that at 20 degC: R20 x (234.5 + T)/254.5, for copper.
///
/// Zero below -234.5 degC, where the straight line ends. IEC 60228 rounds the same law to 250/(230 + T), which differs by
/// 0.4 % at 90 degC.
#[must_use]
pub fn resistance_at(r20: OhmPerMetre, conductor: Celsius) -> OhmPerMetre {
    OhmPerMetre::new(r20.get() * temperature_ratio(conductor).value)
}

/// Resistance of copper at `conductor` temperature over that at 20 degC.
#[must_use]
pub fn temperature_ratio(conductor: Celsius) -> Sourced<f64> {
    let ratio = (COPPER_INVERSE + conductor.get()) / (COPPER_INVERSE + REFERENCE);
    Sourced::new(ratio.max(0.0), &INVERSE_COEFFICIENT)
}

/// Thickness class of the insulation of road-vehicle wire.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Wall {
    /// Thin wall, the usual harness wire.
    Thin,
    /// Thick wall, battery and traction cable.
    Thick,
}

/// Largest diameter over the insulation of road-vehicle wire, for seals and bundles.
///
/// `None` for a size the series does not print: a diameter is a fact of the product and is not interpolated.
#[must_use]
pub fn outer_diameter(size: SquareMillimetre, wall: Wall) -> Option<Sourced<Millimetre>> {
    let rows = match wall {
        Wall::Thin => table::THIN_DIAMETER,
        Wall::Thick => table::THICK_DIAMETER,
    };
    match data::place(rows, size.get())? {
        Place::On(row) => Some(Sourced::new(Millimetre::new(row.value), row.source)),
        Place::Between(..) | Place::Below(_) | Place::Above(_) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn standard_text_names_a_series() {
        assert_eq!(Series::named("ISO 6722-1"), Some(Series::Road));
        assert_eq!(Series::named("ISO 19642-5"), Some(Series::Road));
        assert_eq!(Series::named("IEC 60228 class 5"), Some(Series::Class5));
        assert_eq!(Series::named("IEC 60228 class 5 tinned"), Some(Series::Class5Tinned));
        assert_eq!(Series::named("SAE J1128"), None);
        assert_eq!(Series::default(), Series::Road);
    }

    #[test]
    fn a_print_says_how_it_was_found() {
        let text = |size| resistance(Series::Road, SquareMillimetre::new(size)).unwrap().to_string();
        assert_eq!(text(1.0), "18.5 mohm/m at 20 degC; ISO 6722-1 thin wall, table of a maker's datasheet (seen)");
        assert!(text(0.82).contains("computed between 0.75 mm2 and 1 mm2"));
        assert!(text(1.25).ends_with("(from memory, not seen)"));
        assert!(text(150.0).contains("computed from 120 mm2"));
        assert!(resistance(Series::Road, SquareMillimetre::new(0.0)).is_none());
    }

    #[test]
    fn a_larger_conductor_never_has_more_resistance() {
        for series in [Series::Road, Series::Class5, Series::Class5Tinned] {
            let mut last = f64::INFINITY;
            for step in 1..3000 {
                let size = SquareMillimetre::new(f64::from(step) * 0.1);
                let now = resistance(series, size).unwrap().r20.value.get();
                // A printed row may be a little above what its neighbours' product gives just below it.
                assert!(now <= last * 1.03, "{series:?} at {size}: {now} after {last}");
                last = now;
            }
        }
    }
}
