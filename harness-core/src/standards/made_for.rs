//! The voltage that a coil or a load is made for, as its datasheet prints it, and how much above and below that it takes.
//!
//! One figure (`24 V`, `230 V AC`), two of which either fits (`12/24 V`), or a working range (`9 V .. 32 V`). A range is taken as it is. One
//! figure is a nominal voltage: what a part takes beyond it depends on the supplies that it is sold for. A 12 V part of a vehicle lives with the
//! 14.4 V of a charging battery, so a domain of the same voltage gives its own share, between the 110 % of the standards and 130 %.

use super::{
    rated::{RatedVoltage, Service, VoltageKind},
    source::{Source, Sourced},
};
use crate::quantity::{Between, QuantityError, Ratio, Volt, parse_range};
use std::fmt;

static MOST: Source = Source::memory("IEC 61810-1 and IEC 60947-4-1: coils work from 85 to 110 % of their rated voltage");
static MOST_OF_DOMAIN: Source = Source::practice(
    "a part for the nominal voltage of its supply takes the highest voltage of that supply, up to 130 % of its own nominal voltage",
);

/// Share of the rated voltage that every coil and load takes for good.
const ALWAYS: f64 = 1.1;
/// Share of the rated voltage that parts for a supply of their own nominal voltage take at most.
const AT_MOST: f64 = 1.3;
/// Share of the rated voltage at which a coil is sure to pull in, hot.
const COIL_LEAST: f64 = 0.85;
/// Ratio of two nominal voltages down to which they are one: 48 V parts on 51.2 V.
const SAME: f64 = 0.8;

/// The voltage that a part is made for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MadeFor {
    /// The lowest: the end of a working range, or the smaller nominal voltage.
    pub least: Volt,
    /// The highest: the end of a working range, or the larger nominal voltage.
    pub most: Volt,
    /// Whether both are the ends of a working range.
    pub is_range: bool,
    /// The kind of voltage, where it is named.
    pub kind: Option<VoltageKind>,
}

impl fmt::Display for MadeFor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_range {
            return write!(f, "{} .. {}", self.least, self.most);
        }
        let to_earth = (self.least < self.most).then_some(self.least);
        RatedVoltage { volts: self.most, to_earth, kind: self.kind }.fmt(f)
    }
}

impl MadeFor {
    /// Reads `24 V`, `230 V AC`, `12/24 V` or `9 V .. 32 V`.
    ///
    /// # Errors
    /// That of the figure that is not a voltage.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        if text.contains("..") {
            let (least, most) = parse_range::<Volt>(text)?;
            return Ok(Self { least, most, is_range: true, kind: None });
        }
        let RatedVoltage { volts, to_earth, kind } = RatedVoltage::parse(text)?;
        let other = to_earth.unwrap_or(volts);
        Ok(Self { least: volts.min(other), most: volts.max(other), is_range: false, kind })
    }

    /// The range, where it is one.
    #[must_use]
    pub fn range(self) -> Option<Between<Volt>> {
        self.is_range.then_some(Between { least: self.least, most: self.most })
    }

    /// Whether it is made for the other kind of voltage, alternating or direct.
    #[must_use]
    pub fn is_of_other_kind(self, ac: bool) -> bool {
        match self.kind {
            Some(VoltageKind::Alternating) => !ac,
            Some(VoltageKind::Direct) => ac,
            None => false,
        }
    }

    /// Whether a supply of this nominal voltage is one that it is made for.
    #[must_use]
    pub fn suits(self, nominal: Volt) -> bool {
        nominal.get() >= SAME * self.least.get() && nominal.get() * SAME <= self.most.get()
    }

    /// The nominal voltage of it that is nearest to a supply's.
    #[must_use]
    pub fn nearest(self, nominal: Volt) -> Volt {
        if self.is_range {
            nominal.max(self.least).min(self.most)
        } else if nominal < self.most * SAME {
            self.least
        } else {
            self.most
        }
    }

    /// The highest voltage that it takes for good in a circuit; that of a range is its own.
    #[must_use]
    pub fn takes(self, service: Service) -> Sourced<Volt> {
        if self.is_range {
            return Sourced::new(self.most, &MOST);
        }
        let base = if self.suits(service.nominal) { self.most } else { service.nominal };
        let share = if base > Volt::ZERO { service.max.get() / base.get() } else { ALWAYS };
        let of = if share > ALWAYS { &MOST_OF_DOMAIN } else { &MOST };
        Sourced::new(self.most * share.clamp(ALWAYS, AT_MOST), of)
    }

    /// The voltage at which a coil is sure to pull in while hot; that of a range is its own.
    #[must_use]
    pub fn coil_needs(self) -> Sourced<Volt> {
        Sourced::new(if self.is_range { self.least } else { self.least * COIL_LEAST }, &MOST)
    }

    /// The voltage that a load needs at least.
    #[must_use]
    pub fn load_needs(self) -> Volt {
        if self.is_range { self.least } else { self.least * SAME }
    }
}

/// The figures taken for a part that gives one nominal voltage: what it takes at most, always and where its supply has more, and what a coil needs.
#[must_use]
pub fn shares() -> [Sourced<Ratio>; 3] {
    [(ALWAYS, &MOST), (AT_MOST, &MOST_OF_DOMAIN), (COIL_LEAST, &MOST)].map(|(share, of)| Sourced::new(Ratio::new(share), of))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> MadeFor {
        MadeFor::parse(text).unwrap_or_else(|error| panic!("{text}: {error:?}"))
    }

    #[test]
    fn voltages_are_printed_as_they_were_written() {
        for text in ["12 V", "24 V DC", "230 V AC", "12/24 V", "9 V .. 32 V"] {
            assert_eq!(read(text).to_string(), text);
        }
        assert!(MadeFor::parse("32 V .. 9 V").is_err() && MadeFor::parse("twelve").is_err());
    }

    /// Common practice, no source: 12 V relays work in cars that charge at 14.4 V, and none on 24 V.
    #[test]
    fn a_coil_takes_what_its_supply_is_for() {
        let service = |nominal: f64, max: f64| Service { nominal: Volt::new(nominal), max: Volt::new(max), ac: false };
        let takes = |text: &str, nominal: f64, max: f64, volts: f64| read(text).takes(service(nominal, max)).value.get() >= volts;
        assert!(takes("12 V", 12.0, 15.0, 14.4) && !takes("12 V", 24.0, 30.0, 24.0));
        assert!(takes("24 V", 24.0, 30.0, 28.8) && !takes("24 V", 48.0, 58.0, 48.0));
        assert!(takes("12/24 V", 24.0, 30.0, 28.8) && takes("9 V .. 36 V", 24.0, 30.0, 30.0));
        assert!(takes("48 V", 51.2, 58.4, 57.0) && !takes("36 V", 44.0, 50.4, 50.0));
        assert!(!takes("9 V .. 16 V", 24.0, 30.0, 16.5));
    }
}
