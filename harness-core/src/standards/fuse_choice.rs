//! Published rules for choosing and placing fuses: how much they carry for long, how near they are to the source, what they may be rated
//! before a conductor.

use super::{
    data::{self, Place, fuse as table},
    source::{Source, Sourced},
};
use crate::quantity::{Ampere, Celsius, Metre, Ratio, Volt};

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
static OF_MAINS: Source =
    Source::memory("IEC 60364-4-43 434.2.1: 3 m before the protective device, run so that a short is least likely");
static NOT_ABOVE: Source = Source::seen("rules of a student race series, EV6.1.1 (2014)", "text of the rules");
static OVERLOAD: Source = Source::memory("IEC 60364-4-43 433.1: I2 at most 1.45 times the capacity of the conductor");
static CONVENTIONAL: Source =
    Source::memory("IEC 60269-1, conventional fusing current of a full-range fuse: at most 1.6 times its rating from 16 A on");
static OPENS_FROM: Source =
    Source::practice("fuses of which no operating times are known open from 135 % of their rating, as those of ISO 8820 do");
static CARRIES_NEVER: Source = Source::memory("IEC 60269 and ISO 8820: no full-range fuse carries 2.1 times its rating for long");
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

/// From which share of its rating a fuse of unknown operating times is taken to open sooner or later.
#[must_use]
pub fn opens_from() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(1.35), &OPENS_FROM)
}

/// Share of its rating that no fuse carries for long, whatever gates its datasheet lists first.
#[must_use]
pub fn carries_never() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(2.1), &CARRIES_NEVER)
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
    /// Of alternating voltage.
    Mains,
}

/// Longest run between a source and its first fuse. Boat rules, used as good practice on land.
#[must_use]
pub fn unfused_length(lead: Lead) -> Sourced<Metre> {
    match lead {
        Lead::Bare => Sourced::new(Metre::new(0.178), &NEAR_SOURCE),
        Lead::Sheathed => Sourced::new(Metre::new(1.016), &NEAR_SOURCE_SHEATHED),
        Lead::SheathedFromBattery => Sourced::new(Metre::new(1.829), &AT_BATTERY_SHEATHED),
        Lead::Mains => Sourced::new(Metre::new(3.0), &OF_MAINS),
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
