//! What the standards of fuses say: the parts of ISO 8820 with their ratings, and which text names which standard.

use super::{
    fuse::FuseType,
    rated::VoltageKind,
    source::{Source, Sourced},
};
use crate::quantity::{Ampere, Volt};

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

/// The kind of voltage that a plain figure (`230 V`) of a fuse or circuit breaker of this standard means, where the standard knows
/// one kind alone. From memory, not seen: IEC 60898-1 and IEC 61009 are for alternating voltage, IEC 60898-3 and IEC 60269-6 for direct
/// voltage.
#[must_use]
pub fn only_kind(standard: &str) -> Option<VoltageKind> {
    if FuseStandard::named(standard).is_some() || names_part(standard, &["IEC 60269-6", "BS 88-6"]) {
        return Some(VoltageKind::Direct);
    }
    let kind_of = |part: &str| match part {
        "60898" | "60898-1" | "61009" | "61009-1" => Some(VoltageKind::Alternating),
        "60898-3" => Some(VoltageKind::Direct),
        _ => None,
    };
    standard.split([':', ',', ' ']).find_map(kind_of)
}

static PLAIN_ALTERNATING: Source = Source::memory(
    "IEC 60269 and IEC 60947-2 know AC and DC: a plain figure is by tradition AC, and the DC rating is often lower",
);

/// Why a plain figure of these standards does not say what the fuse breaks at direct voltage.
#[must_use]
pub fn plain_is_alternating() -> &'static Source {
    &PLAIN_ALTERNATING
}

/// Whether a plain figure (`500 V`) of a fuse or circuit breaker of this standard is by tradition one for alternating voltage, though
/// the standard knows both. From memory, not seen.
#[must_use]
pub fn is_alternating_by_tradition(standard: &str) -> bool {
    let both = ["60127", "60127-1", "60127-2", "60269", "60269-1", "60269-2", "60269-3", "60269-4", "60898-2", "60947-2"];
    general_standard(standard)
        || names_part(standard, &["BS 88-4"])
        || standard.split([':', ',', ' ']).any(|part| both.contains(&part))
}

/// The smallest current that a fuse is sure to break, as the design gives it for its kind.
#[must_use]
pub fn given_lowest_break(amps: Ampere) -> Sourced<Ampere> {
    Sourced::new(amps, &GIVEN_LOWEST)
}

#[cfg(test)]
mod tests {
    use super::*;

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

    /// Which voltage each standard is for: from memory, not seen.
    #[test]
    fn standards_know_their_kind_of_voltage() {
        assert_eq!(only_kind("IEC 60898-1:2015"), Some(VoltageKind::Alternating));
        assert_eq!(only_kind("EN 61009-1"), Some(VoltageKind::Alternating));
        assert_eq!(only_kind("IEC 60898-3"), Some(VoltageKind::Direct));
        assert_eq!(only_kind("IEC 60898-2"), None);
        assert_eq!(only_kind("ISO 8820-3"), Some(VoltageKind::Direct));
        assert_eq!(only_kind("maker"), None);
        assert!(is_alternating_by_tradition("IEC 60269-2, gG") && is_alternating_by_tradition("EN 60947-2"));
        assert!(!is_alternating_by_tradition("IEC 60269-6") && !is_alternating_by_tradition("maker"));
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
}
