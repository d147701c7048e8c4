//! Least cross-sections that survive being pulled, tied and vibrated.

use super::source::{Source, Sourced};
use crate::quantity::{Metre, Ratio, SquareMillimetre};

static SHEATHED: Source = Source::seen("ISO 10133:2012 7.7, inside a multi-core sheath", "page of a standards catalogue");
static SEPARATE: Source = Source::seen("ISO 10133:2012 7.7, laid separately", "page of a standards catalogue");
static PAIRS: Source = Source::practice("metric size and gauge that workshop manuals put side by side, nearest trade size");

/// Gauges with the metric size that replaces them: 22 AWG (0.326 mm2) is bought where 0.35 mm2 is asked for.
const EQUALS: &[(i32, f64)] = &[(22, 0.35), (20, 0.5), (18, 0.75), (16, 1.0), (14, 1.5), (12, 2.5), (10, 4.0), (8, 6.0)];

static SHORTEST: Source = Source::practice("a wire below 20 mm leaves no room for a terminal at each end");
static LONGEST: Source = Source::practice("no wire of a vehicle, a boat or a cabinet is longer than 150 m");
static ODD: Source = Source::practice("lengths that contradict each other: a unit or a decimal point that slipped");

/// From which proportion on two lengths contradict each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OddLengths {
    /// Share of a segment below which a wire is odd that is the only one not to pass it whole.
    pub of_segment: Ratio,
    /// Wires that pass a segment whole, from which on the other one is odd.
    pub of_segment_from: usize,
    /// Share of a wire between the same two connectors below which one hangs at other places of a segment, or is cut short.
    pub of_twin: Ratio,
    /// Times by which a wire and its route may differ, which it may leave midway.
    pub of_route: Ratio,
    /// Times by which a wire and those between the same connectors may differ.
    pub of_peers: Ratio,
    /// Times by which a wire may be longer than all others of its loom.
    pub of_loom: Ratio,
    /// Wires of a loom from which on they are compared.
    pub of_loom_from: usize,
    /// What a wire may be longer than its route, whatever the proportion.
    pub beyond: Metre,
}

/// Length below which a wire can't be crimped at both ends.
#[must_use]
pub fn shortest_wire() -> Sourced<Metre> {
    Sourced::new(Metre::new(0.02), &SHORTEST)
}

/// Length above which a wire is taken for one whose unit slipped.
#[must_use]
pub fn longest_wire() -> Sourced<Metre> {
    Sourced::new(Metre::new(150.0), &LONGEST)
}

/// When lengths contradict each other. Units are slipped by a thousand, decimal points by ten.
#[must_use]
pub fn odd_lengths() -> Sourced<OddLengths> {
    let odd = OddLengths {
        of_segment: Ratio::new(0.6),
        of_segment_from: 3,
        of_twin: Ratio::new(0.9),
        of_route: Ratio::new(20.0),
        of_peers: Ratio::new(8.0),
        of_loom: Ratio::new(40.0),
        of_loom_from: 4,
        beyond: Metre::new(5.0),
    };
    Sourced::new(odd, &ODD)
}

static ROAD: Source = Source::practice("least single wire of a road-vehicle loom");

/// Least size of a conductor inside a multi-core sheath, on a boat.
#[must_use]
pub fn marine_sheathed() -> Sourced<SquareMillimetre> {
    Sourced::new(SquareMillimetre::new(0.75), &SHEATHED)
}

/// Least size of a conductor laid separately, on a boat.
#[must_use]
pub fn marine_separate() -> Sourced<SquareMillimetre> {
    Sourced::new(SquareMillimetre::new(1.0), &SEPARATE)
}

/// Least size of a single wire in a road-vehicle loom, which a default policy uses; thinner wire, such as 0.22 mm2, warns.
///
/// Habit and not a standard: the boat rules are stricter and a workshop that builds to them states its own limit.
#[must_use]
pub fn road_single() -> Sourced<SquareMillimetre> {
    Sourced::new(SquareMillimetre::new(0.35), &ROAD)
}

/// Whether a conductor of `size` is as strong as one of `least`: not thinner, or the size of the other series that the trade takes as its equal.
///
/// For strength alone: the pairs differ in copper by up to a third, so no current may rest on them.
#[must_use]
pub fn is_as_strong(size: SquareMillimetre, least: SquareMillimetre) -> Sourced<bool> {
    if size >= least {
        return Sourced::new(true, &ROAD);
    }
    // A gauge counts as the metric size equal to it, and a metric size as its gauge.
    let equal = EQUALS.iter().any(|(gauge, metric)| {
        let (gauge, metric) = (SquareMillimetre::of_gauge(*gauge), SquareMillimetre::new(*metric));
        let is = |one: SquareMillimetre, other: SquareMillimetre| (one.get() - other.get()).abs() < 1e-6;
        (is(size, gauge) && metric >= least) || (size >= metric && is(least, gauge))
    });
    Sourced::new(equal, &PAIRS)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Pairs as printed in a workshop chart (common practice, no source): 22 and 0.35, 20 and 0.5, 18 and 0.75, 16 and 1.
    #[test]
    fn a_gauge_passes_for_its_metric_equal_and_for_no_more() {
        let (mm2, awg) = (SquareMillimetre::new, SquareMillimetre::of_gauge);
        let strong = |size, least| is_as_strong(size, least).value;
        assert!(
            strong(awg(22), mm2(0.35)) && strong(awg(20), mm2(0.5)) && strong(mm2(0.75), awg(18)) && strong(mm2(1.0), awg(16))
        );
        assert!(strong(mm2(0.35), mm2(0.35)) && strong(awg(18), mm2(0.5)));
        assert!(!strong(awg(24), mm2(0.35)) && !strong(awg(22), mm2(0.5)) && !strong(mm2(0.326), mm2(0.35)));
        assert!(!strong(mm2(0.5), awg(18)) && !strong(awg(20), awg(18)));
    }
}
