//! Fuse-links of road vehicles: what their standards rate them for, and the published rules for choosing and placing them.

use super::{
    data::{self, Place, Row, breaker, fuse as table},
    source::{Source, Sourced},
};
use crate::quantity::{Ampere, Celsius, Metre, Ratio, Second, Volt};
use std::fmt;

/// Body type of a fuse-link.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FuseType {
    /// Type A, female contacts (ISO 8820-4).
    A,
    /// Type B, bolt-in (ISO 8820-4).
    B,
    /// Type C, medium blade (ISO 8820-3).
    C,
    /// Type E, high-current blade (ISO 8820-3).
    E,
    /// Type F, miniature blade (ISO 8820-3).
    F,
    /// Type SF 30, strip with 30 mm hole spacing (ISO 8820-5).
    Strip30,
    /// Type SF 51, strip with 51 mm hole spacing (ISO 8820-5).
    Strip51,
    /// Single-bolt (ISO 8820-6).
    SingleBolt,
    /// Type H, bolt-in, 450 V (ISO 8820-8).
    H,
    /// Type J, bolt-in, 450 V (ISO 8820-8).
    J,
    /// Type L, high-current miniature (ISO 8820-10).
    L,
    /// Type N, sub-miniature (ISO 8820-12).
    N,
    /// Type P, sub-miniature with three tabs (ISO 8820-13).
    P,
    /// Category gG, full range, for conductors (IEC 60269-2).
    General,
    /// Category gR, full range, for semiconductors (IEC 60269-4).
    Semiconductor,
    /// Category gPV, full range, for photovoltaic strings (IEC 60269-6).
    Solar,
    /// Category aM, back-up for motors (IEC 60269-2).
    MotorBackUp,
    /// Category aR, back-up for semiconductors (IEC 60269-4).
    SemiconductorBackUp,
    /// Circuit breaker of characteristic B (IEC 60898-1).
    BreakerB,
    /// Circuit breaker of characteristic C (IEC 60898-1).
    BreakerC,
    /// Circuit breaker of characteristic D (IEC 60898-1).
    BreakerD,
}

impl FuseType {
    fn rows(self) -> &'static [Row] {
        match self {
            Self::C => table::TYPE_C,
            Self::E => table::TYPE_E,
            Self::F => table::TYPE_F,
            Self::Strip30 => table::STRIP_30,
            Self::Strip51 => table::STRIP_51,
            Self::A | Self::B | Self::SingleBolt | Self::H | Self::J | Self::L | Self::N | Self::P => &[],
            Self::General => table::GG_RATINGS,
            Self::BreakerB | Self::BreakerC | Self::BreakerD => breaker::RATINGS,
            Self::Semiconductor | Self::Solar | Self::MotorBackUp | Self::SemiconductorBackUp => &[],
        }
    }

    /// The ratings the type is made in, rising; empty where no list is known.
    pub fn ratings(self) -> impl Iterator<Item = Sourced<Ampere>> {
        self.rows().iter().map(|row| Sourced::new(Ampere::new(row.value), row.source))
    }

    /// Smallest rating of the type that is at least `least`; `None` if there is none or no list is known.
    #[must_use]
    pub fn rating_at_least(self, least: Ampere) -> Option<Sourced<Ampere>> {
        self.ratings().find(|rating| rating.value >= least)
    }

    /// Gates of the operating-time rating, rising by current; empty where none is known.
    ///
    /// Most gates are remembered and say so: a datasheet of the fuse in hand takes their place. Those of gG are the ones of all
    /// ratings from 16 A, those of a circuit breaker the ones up to 32 A; [`gates_of`](Self::gates_of) has those of one rating.
    pub fn gates(self) -> impl Iterator<Item = Gate> {
        self.gate_rows().iter().map(gate)
    }

    fn gate_rows(self) -> &'static [table::GateRow] {
        match self {
            Self::C | Self::F => table::BLADE_GATES,
            Self::E => table::HIGH_CURRENT_GATES,
            Self::Strip30 | Self::Strip51 => table::STRIP_GATES,
            Self::N | Self::P => table::SUBMINIATURE_GATES,
            Self::General | Self::Semiconductor => table::GG_GATES,
            Self::Solar => table::GPV_GATES,
            Self::MotorBackUp => table::AM_GATES,
            Self::BreakerB => breaker::GATES_B,
            Self::BreakerC => breaker::GATES_C,
            Self::BreakerD => breaker::GATES_D,
            Self::A | Self::B | Self::SingleBolt | Self::H | Self::J | Self::L | Self::SemiconductorBackUp => &[],
        }
    }

    /// The gates of one rating: those of [`gates`](Self::gates), for gG with what IEC 60269-1 gives by rating, for a circuit breaker
    /// with the longer thermal times of large ratings.
    #[must_use]
    pub fn gates_of(self, rating: Ampere) -> Vec<Gate> {
        let amps = rating.get();
        match self {
            Self::General | Self::Semiconductor if amps > 0.0 && amps < 16.0 => {
                let rows = if amps <= 4.0 { table::GG_GATES_TO_4 } else { table::GG_GATES_TO_16 };
                rows.iter().map(gate).collect()
            }
            Self::General => {
                let own = table::GG_BY_RATING.iter().find(|row| (row.rating - amps).abs() < 1e-3);
                let share = |at: f64| Ratio::new(at / amps);
                let point = |at: f64, least: Option<f64>, most: Option<f64>| Gate {
                    current: share(at),
                    least: least.map(Second::new),
                    most: most.map(Second::new),
                    source: &table::GG_TIMES,
                };
                let own = own.into_iter().flat_map(|row| {
                    [
                        point(row.holds_10_s, Some(10.0), None),
                        point(row.opens_5_s, None, Some(5.0)),
                        point(row.holds_100_ms, Some(0.1), None),
                        point(row.opens_100_ms, None, Some(0.1)),
                    ]
                });
                self.gates().chain(own).collect()
            }
            Self::BreakerB | Self::BreakerC | Self::BreakerD => {
                let thermal = breaker::thermal_of(amps);
                thermal
                    .iter()
                    .chain(self.gate_rows().iter().filter(|row| row.percent > breaker::THERMAL_UP_TO))
                    .map(gate)
                    .collect()
            }
            _ => self.gates().collect(),
        }
    }

    /// Whether it may carry its full rating for long: the fuses and breakers of building installations, by design current at most
    /// rating.
    #[must_use]
    pub fn carries_its_rating(self) -> bool {
        match self {
            Self::General | Self::BreakerB | Self::BreakerC | Self::BreakerD => true,
            Self::A | Self::B | Self::C | Self::E | Self::F | Self::Strip30 | Self::Strip51 | Self::SingleBolt => false,
            Self::H | Self::J | Self::L | Self::N | Self::P => false,
            Self::Semiconductor | Self::Solar | Self::MotorBackUp | Self::SemiconductorBackUp => false,
        }
    }

    /// Breaks short circuits only: below a multiple of its rating it may melt without breaking.
    #[must_use]
    pub fn is_back_up(self) -> bool {
        match self {
            Self::MotorBackUp | Self::SemiconductorBackUp => true,
            Self::A | Self::B | Self::C | Self::E | Self::F | Self::Strip30 | Self::Strip51 | Self::SingleBolt => false,
            Self::H | Self::J | Self::L | Self::N | Self::P | Self::General | Self::Semiconductor | Self::Solar => false,
            Self::BreakerB | Self::BreakerC | Self::BreakerD => false,
        }
    }

    /// From which current it is sure to end an overload, as a share of its rating, where its category alone says so.
    ///
    /// A full-range fuse of IEC 60269 satisfies the 1.45 rule of IEC 60364-4-43 by its conventional current; a back-up fuse breaks
    /// short circuits only. `None` for types whose gates say it.
    #[must_use]
    pub fn overload(self) -> Option<Sourced<Ratio>> {
        match self {
            Self::General | Self::Semiconductor | Self::Solar => Some(Sourced::new(Ratio::new(1.45), &FULL_RANGE)),
            Self::BreakerB | Self::BreakerC | Self::BreakerD => Some(Sourced::new(Ratio::new(1.45), &FULL_RANGE)),
            Self::MotorBackUp => Some(Sourced::new(Ratio::new(6.3), &MOTOR_BACK_UP)),
            Self::SemiconductorBackUp => Some(Sourced::new(Ratio::new(4.0), &BACK_UP)),
            Self::A | Self::B | Self::C | Self::E | Self::F | Self::Strip30 | Self::Strip51 | Self::SingleBolt => None,
            Self::H | Self::J | Self::L | Self::N | Self::P => None,
        }
    }
}

impl fmt::Display for FuseType {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::A => "type A, female contacts",
            Self::B => "type B, bolt-in",
            Self::C => "type C, medium blade",
            Self::E => "type E, high-current blade",
            Self::F => "type F, miniature blade",
            Self::Strip30 => "type SF 30, strip",
            Self::Strip51 => "type SF 51, strip",
            Self::SingleBolt => "single-bolt",
            Self::H => "type H, bolt-in",
            Self::J => "type J, bolt-in",
            Self::L => "type L, high-current miniature",
            Self::N => "type N, sub-miniature",
            Self::P => "type P, sub-miniature with three tabs",
            Self::General => "category gG",
            Self::Semiconductor => "category gR",
            Self::Solar => "category gPV",
            Self::MotorBackUp => "category aM, back-up",
            Self::SemiconductorBackUp => "category aR, back-up",
            Self::BreakerB => "circuit breaker, characteristic B",
            Self::BreakerC => "circuit breaker, characteristic C",
            Self::BreakerD => "circuit breaker, characteristic D",
        })
    }
}

fn gate(row: &table::GateRow) -> Gate {
    Gate {
        current: Ratio::new(row.percent / 100.0),
        least: row.least.map(Second::new),
        most: row.most.map(Second::new),
        source: row.source,
    }
}

/// One gate of an operating-time rating: at this current the fuse-link opens within these times.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gate {
    /// Current as a share of the rating.
    pub current: Ratio,
    /// It does not open before; `None` if the gate sets no such limit.
    pub least: Option<Second>,
    /// It has opened by; `None` if it need not open.
    pub most: Option<Second>,
    /// Where the gate comes from.
    pub source: &'static Source,
}

/// What a part of ISO 8820 says of its fuse-links.
#[derive(Debug, PartialEq)]
pub struct FuseStandard {
    /// `ISO 8820-3`.
    pub number: &'static str,
    /// The body types it covers.
    pub types: &'static [FuseType],
    voltages: &'static [f64],
    breaking: Option<f64>,
    largest: Option<f64>,
    source: Source,
}

const SCOPE: &str = "scope in a standards catalogue";

static STANDARDS: &[FuseStandard] = &[
    FuseStandard {
        number: "ISO 8820-3",
        types: &[FuseType::C, FuseType::E, FuseType::F],
        voltages: &[32.0, 58.0],
        breaking: Some(1000.0),
        largest: Some(100.0),
        source: Source::seen("ISO 8820-3:2015", SCOPE),
    },
    FuseStandard {
        number: "ISO 8820-4",
        types: &[FuseType::A, FuseType::B],
        voltages: &[32.0, 58.0],
        breaking: Some(1000.0),
        largest: Some(140.0),
        source: Source::seen("ISO 8820-4:2016", SCOPE),
    },
    FuseStandard {
        number: "ISO 8820-5",
        types: &[FuseType::Strip30, FuseType::Strip51],
        voltages: &[32.0],
        breaking: Some(2000.0),
        largest: Some(500.0),
        source: Source::seen("ISO 8820-5:2015", SCOPE),
    },
    FuseStandard {
        number: "ISO 8820-6",
        types: &[FuseType::SingleBolt],
        voltages: &[58.0],
        breaking: Some(2000.0),
        largest: Some(300.0),
        source: Source::seen("ISO 8820-6:2019", SCOPE),
    },
    FuseStandard {
        number: "ISO 8820-8",
        types: &[FuseType::H, FuseType::J],
        voltages: &[450.0],
        breaking: None,
        largest: None,
        source: Source::seen("ISO 8820-8:2012", SCOPE),
    },
    FuseStandard {
        number: "ISO 8820-10",
        types: &[FuseType::L],
        voltages: &[32.0],
        breaking: Some(1000.0),
        largest: Some(60.0),
        source: Source::seen("ISO 8820-10:2020", SCOPE),
    },
    FuseStandard {
        number: "ISO 8820-12",
        types: &[FuseType::N],
        voltages: &[32.0],
        breaking: Some(1000.0),
        largest: Some(30.0),
        source: Source::seen("ISO 8820-12:2020", SCOPE),
    },
    FuseStandard {
        number: "ISO 8820-13",
        types: &[FuseType::P],
        voltages: &[32.0],
        breaking: Some(1000.0),
        largest: Some(30.0),
        source: Source::seen("ISO 8820-13:2020", SCOPE),
    },
];

impl FuseStandard {
    /// All parts that are known, by their numbers.
    pub fn all() -> impl Iterator<Item = &'static Self> {
        STANDARDS.iter()
    }

    /// The part of ISO 8820 that a fuse kind's `standard` text names, with or without its year; `None` for any other text.
    #[must_use]
    pub fn named(standard: &str) -> Option<&'static Self> {
        let part = standard.trim().split(':').next()?.trim_end();
        STANDARDS.iter().find(|known| known.number == part)
    }

    /// Rated voltage (DC) that every fuse-link of the standard has.
    ///
    /// Parts 3 and 4 also know 58 V fuse-links; one that says so on its body is entered with its own voltage.
    #[must_use]
    pub fn rated_voltage(&'static self) -> Sourced<Volt> {
        let least = self.voltages.iter().copied().fold(f64::INFINITY, f64::min);
        Sourced::new(Volt::new(least), &self.source)
    }

    /// The rated voltages the standard knows, rising.
    pub fn voltages(&'static self) -> impl Iterator<Item = Volt> {
        self.voltages.iter().map(|volts| Volt::new(*volts))
    }

    /// Rated breaking capacity; `None` where the scope that was read does not state it.
    #[must_use]
    pub fn breaking_capacity(&'static self) -> Option<Sourced<Ampere>> {
        self.breaking.map(|amps| Sourced::new(Ampere::new(amps), &self.source))
    }

    /// Largest rated current of the standard; `None` where the scope that was read does not state it.
    #[must_use]
    pub fn largest_rating(&'static self) -> Option<Sourced<Ampere>> {
        self.largest.map(|amps| Sourced::new(Ampere::new(amps), &self.source))
    }

    /// Whether the standard's fuse-links are made with this rating; `None` if no list of ratings is known.
    #[must_use]
    pub fn makes(&'static self, rating: Ampere) -> Option<bool> {
        let mut ratings = self.types.iter().flat_map(|kind| kind.ratings()).peekable();
        ratings.peek()?;
        // Ratings are typed by people as decimals, so anything nearer than a milliampere is the same rating.
        Some(ratings.any(|known| (known.value.get() - rating.get()).abs() < 1e-3))
    }
}

static GIVEN_BREAKING: Source = Source::seen("breaking capacity of the fuse", "given with its kind");

/// A breaking capacity as the design gives it for a kind of fuse.
#[must_use]
pub fn given_breaking_capacity(amps: Ampere) -> Sourced<Ampere> {
    Sourced::new(amps, &GIVEN_BREAKING)
}

static GIVEN_LOWEST: Source = Source::seen("smallest current that the fuse is sure to break", "given with its kind");

/// Whether the text of a standard names a part of IEC 60269, or of BS 88 after it, whose fuses are full-range ones unless a category
/// says otherwise: general, for use by skilled and unskilled people, and photovoltaic. From memory, not seen.
#[must_use]
pub fn full_range_standard(standard: &str) -> bool {
    general_standard(standard) || names_part(standard, &["IEC 60269-6", "BS 88-6"])
}

/// Whether it names one of the parts whose fuses protect the conductors of a building: no photovoltaic ones.
#[must_use]
pub fn general_standard(standard: &str) -> bool {
    let parts = ["IEC 60269-1", "IEC 60269-2", "IEC 60269-3", "BS 88-1", "BS 88-2", "BS 88-3"];
    names_part(standard, &parts) || standard.trim() == "IEC 60269"
}

fn names_part(standard: &str, parts: &[&str]) -> bool {
    let words = standard.trim().split([':', ',', ' ']).collect::<Vec<_>>();
    words.iter().zip(words.iter().skip(1)).any(|(body, number)| parts.contains(&format!("{body} {number}").as_str()))
}

/// Whether the text of a standard names one of circuit breakers, with or without its part and year. From memory, not seen.
#[must_use]
pub fn breaker_standard(standard: &str) -> bool {
    let numbers = ["60898", "60898-1", "60898-2", "60898-3", "61009", "61009-1", "60947-2"];
    standard.split([':', ',', ' ']).any(|part| numbers.contains(&part))
}

/// The smallest current that a fuse is sure to break, as the design gives it for its kind.
#[must_use]
pub fn given_lowest_break(amps: Ampere) -> Sourced<Ampere> {
    Sourced::new(amps, &GIVEN_LOWEST)
}

static LOADING: Source = Source::seen("fuse selection guide, continuous load at 25 degC", "page on fuse technology");
static FULL_RATING: Source = Source::memory(
    "IEC 60364-4-43 433.1: the design current of a circuit is at most the rating of its gG fuse or circuit breaker",
);
static NO_REDUCTION: Source = Source::computed("rating at its own ambient", "no credit is taken for a cooler fuse");
static NEAR_SOURCE: Source = Source::seen("33 CFR 183.455(b)(1), 7 in along the conductor", "text of the regulation");
static NEAR_SOURCE_SHEATHED: Source =
    Source::seen("33 CFR 183.455(b)(2), 40 in in a sheath or enclosure", "text of the regulation");
static AT_BATTERY_SHEATHED: Source =
    Source::seen("ABYC E-11, 72 in in a sheath from a battery terminal", "examination page that quotes the standard");
static NOT_ABOVE: Source = Source::seen("rules of a student race series, EV6.1.1 (2014)", "text of the rules");
static FULL_RANGE: Source = Source::memory(
    "IEC 60364-4-43 433.1 and BS 7671 433.1.202: a full-range fuse rated up to the conductor's capacity satisfies the 1.45 rule",
);
static MOTOR_BACK_UP: Source = Source::memory("IEC 60269-2, gate of category aM: opens within 60 s at 6.3 times its rating");
static BACK_UP: Source =
    Source::memory("IEC 60269-4, category aR without a datasheet: taken to break from four times its rating on");
static OVERLOAD: Source = Source::memory("IEC 60364-4-43 433.1: I2 at most 1.45 times the capacity of the conductor");
static CONVENTIONAL: Source =
    Source::memory("IEC 60269-1, conventional fusing current of a full-range fuse: at most 1.6 times its rating from 16 A on");
static MARINE_FROM: Source =
    Source::seen("33 CFR 183.455(c)(2), circuits of 50 V and more, next larger rating up to 150 %", "text of the regulation");
static MARINE_BELOW: Source = Source::seen("33 CFR 183.455(c)(1), circuits under 50 V", "text of the regulation");

/// Largest continuous load as a share of the rating, at 25 degC.
#[must_use]
pub fn continuous_loading() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.75), &LOADING)
}

/// Largest continuous load of a gG fuse or circuit breaker as a share of its rating.
#[must_use]
pub fn full_loading() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(1.0), &FULL_RATING)
}

/// Share of its rating that a blade fuse carries at `ambient`.
///
/// One up to 25 degC, on straight lines between remembered points above, and down the last line beyond 85 degC; never below
/// zero.
#[must_use]
pub fn ambient_rerating(ambient: Celsius) -> Sourced<Ratio> {
    let full = Sourced::new(Ratio::new(1.0), &NO_REDUCTION);
    let (share, source) = match data::place(table::AMBIENT, ambient.get()) {
        None | Some(Place::Below(_)) => return full,
        Some(Place::On(row)) => (row.value, row.source),
        Some(Place::Between(lower, upper)) => (data::linear(lower, upper, ambient.get()), upper.source),
        Some(Place::Above(last)) => match table::AMBIENT {
            [.., before, _] => (data::linear(before, last, ambient.get()), last.source),
            _ => (last.value, last.source),
        },
    };
    Sourced::new(Ratio::new(share.max(0.0)), source)
}

/// Largest continuous load of a fuse of this rating at `ambient`: the loading rule times the ambient's share.
#[must_use]
pub fn continuous_limit(rating: Ampere, ambient: Celsius) -> Ampere {
    Ampere::new(rating.get() * continuous_loading().value.get() * ambient_rerating(ambient).value.get())
}

/// Least rating for a continuous load at `ambient`; `None` where the ambient leaves a fuse no capacity.
#[must_use]
pub fn least_rating(load: Ampere, ambient: Celsius) -> Option<Ampere> {
    let share = continuous_loading().value.get() * ambient_rerating(ambient).value.get();
    (share > 0.0).then(|| Ampere::new(load.get().abs() / share))
}

/// How a conductor leaves the source, for the length it may run before its first fuse.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Lead {
    /// Unprotected, or protected by its insulation only.
    Bare,
    /// In a sheath or enclosure beside its own insulation.
    Sheathed,
    /// In a sheath, straight from a battery terminal.
    SheathedFromBattery,
}

/// Longest run between a source and its first fuse. Boat rules, used as good practice on land.
#[must_use]
pub fn unfused_length(lead: Lead) -> Sourced<Metre> {
    match lead {
        Lead::Bare => Sourced::new(Metre::new(0.178), &NEAR_SOURCE),
        Lead::Sheathed => Sourced::new(Metre::new(1.016), &NEAR_SOURCE_SHEATHED),
        Lead::SheathedFromBattery => Sourced::new(Metre::new(1.829), &AT_BATTERY_SHEATHED),
    }
}

static STARTER: Source =
    Source::seen("ABYC E-11.10, starter motor conductors are exempt", "page of a marine supplier that quotes the standard");
static SELF_LIMITING: Source =
    Source::seen("ABYC E-11.10, self-limiting sources are exempt", "page of a marine supplier that quotes the standard");

/// Why the cable of a starter goes without a fuse.
#[must_use]
pub fn starter_exempt() -> &'static Source {
    &STARTER
}

/// Why a source whose limit is within the capacity of a conductor needs no fuse at its end.
#[must_use]
pub fn self_limiting() -> &'static Source {
    &SELF_LIMITING
}

/// Which published rule relates a fuse to the conductor behind it. They disagree, so a finding names the rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub enum ConductorRule {
    /// The rating is not above the conductor's continuous capacity.
    #[default]
    NotAbove,
    /// Boats under 50 V: at most 150 % of the capacity.
    MarineBelow50V,
    /// Boats from 50 V on: the capacity, or the next larger rating that is made if that is at most 150 % of it.
    MarineFrom50V,
}

/// Circuits of boats below this voltage go by one rule, those from it on by another.
#[must_use]
pub fn marine_limit() -> Sourced<Volt> {
    Sourced::new(Volt::new(50.0), &MARINE_BELOW)
}

/// Largest current from which a fuse is sure to open, as a share of what a conductor may carry: the second condition of IEC
/// 60364-4-43.
#[must_use]
pub fn overload_share() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(1.45), &OVERLOAD)
}

/// Largest conventional fusing current of a full-range fuse over its rating: one that is sure to open by then satisfies
/// [`overload_share`] as soon as its rating is within the capacity.
#[must_use]
pub fn conventional_share() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(1.6), &CONVENTIONAL)
}

/// Largest fuse rating that the rule allows before a conductor of this continuous capacity. Equal values pass. For
/// [`ConductorRule::MarineFrom50V`] that of no particular fuse: [`next_rating`] adds the next larger one.
#[must_use]
pub fn largest_rating(rule: ConductorRule, capacity: Ampere) -> Sourced<Ampere> {
    let (share, source) = match rule {
        ConductorRule::NotAbove => (1.0, &NOT_ABOVE),
        ConductorRule::MarineBelow50V => (1.5, &MARINE_BELOW),
        ConductorRule::MarineFrom50V => (1.0, &MARINE_FROM),
    };
    Sourced::new(Ampere::new(capacity.get() * share), source)
}

/// The smallest of `ratings` from `capacity` on, where it is at most 150 % of it: what boats from 50 V on may fit besides.
#[must_use]
pub fn next_rating(ratings: impl Iterator<Item = Ampere>, capacity: Ampere) -> Option<Sourced<Ampere>> {
    let next = ratings.filter(|rating| *rating >= capacity).reduce(|a, b| if b < a { b } else { a })?;
    (next.get() <= 1.5 * capacity.get()).then_some(Sourced::new(next, &MARINE_FROM))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::Status;

    #[test]
    fn standards_are_found_with_and_without_a_year() {
        assert_eq!(FuseStandard::named("ISO 8820-3:2015").unwrap().number, "ISO 8820-3");
        assert_eq!(FuseStandard::named(" ISO 8820-12 ").unwrap().number, "ISO 8820-12");
        assert!(FuseStandard::named("ISO 8820-1").is_none());
        assert!(FuseStandard::named("DIN 72581").is_none());
        for standard in STANDARDS {
            assert!(!standard.types.is_empty() && standard.rated_voltage().value.get() >= 32.0);
        }
    }

    #[test]
    fn ratings_rise_and_stay_inside_their_scope() {
        for standard in STANDARDS {
            for kind in standard.types {
                let ratings: Vec<f64> = kind.ratings().map(|rating| rating.value.get()).collect();
                assert!(ratings.windows(2).all(|pair| pair[0] < pair[1]));
                let largest = standard.largest_rating().map_or(f64::INFINITY, |amps| amps.value.get());
                assert!(ratings.iter().all(|rating| *rating <= largest), "{kind}");
            }
        }
        let blades = FuseStandard::named("ISO 8820-3").unwrap();
        assert_eq!(blades.makes(Ampere::new(15.0)), Some(true));
        assert_eq!(blades.makes(Ampere::new(16.0)), Some(false));
        assert_eq!(FuseStandard::named("ISO 8820-8").unwrap().makes(Ampere::new(125.0)), None);
    }

    #[test]
    fn gates_fall_in_time_as_the_current_rises() {
        for kind in [FuseType::C, FuseType::E, FuseType::F, FuseType::Strip30, FuseType::Strip51, FuseType::N] {
            let gates: Vec<Gate> = kind.gates().collect();
            assert!(gates.len() >= 4);
            for pair in gates.windows(2) {
                assert!(pair[0].current < pair[1].current && pair[0].least > pair[1].least);
                assert!(pair[0].most.is_none() || pair[0].most > pair[1].most);
            }
        }
    }

    #[test]
    fn a_hot_fuse_rests_on_memory_and_a_cool_one_gains_nothing() {
        let share = |ambient| ambient_rerating(Celsius::new(ambient));
        assert_eq!(share(-20.0).value, Ratio::new(1.0));
        assert_eq!(share(85.0).value, Ratio::new(0.9));
        assert_eq!(share(85.0).source.status, Status::Memory);
        assert!(share(40.0).value < Ratio::new(1.0) && share(40.0).value > Ratio::new(0.95));
        assert!(share(105.0).value < Ratio::new(0.9));
        assert_eq!(share(1200.0).value, Ratio::new(0.0));
        assert_eq!(least_rating(Ampere::new(1.0), Celsius::new(1200.0)), None);
    }
}
