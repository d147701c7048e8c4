//! When a fuse-link opens at a current: its earliest and its latest time, from the gates of its operating-time rating.
//!
//! Gates are points; between them two things are sure. A larger current opens a fuse sooner, and the heat that opens it,
//! `I2 t`, never grows with the current, because less of it is lost on the way. So a fuse opens no later than the gate
//! below promises at constant `I2 t`, and no sooner than the gate above allows at constant `I2 t`. Above the last gate
//! constant `I2 t` is taken for both edges (common practice, no source); below the first gate that promises an opening it
//! may never open.

use super::{
    fuse::{FuseType, Gate},
    fuse_standard::FuseStandard,
    source::Source,
};
use crate::quantity::{Ampere, AmpereSquaredSecond, Ratio, Second};
use std::fmt;

/// Why the times above the last gate are taken from its heat.
#[must_use]
pub fn beyond_gates() -> &'static Source {
    &BEYOND
}

/// One edge of the time in which a fuse opens, with the gate that it rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpeningTime {
    /// The time.
    pub time: Second,
    /// The gate; `time` is the gate's own at the gate's current, and follows from it elsewhere.
    pub gate: Gate,
    /// The body type whose gate it is; `None` for gates of the fuse in hand.
    pub kind: Option<FuseType>,
}

impl OpeningTime {
    /// Where the time comes from, and how far it may be trusted.
    #[must_use]
    pub fn source(&self) -> &'static Source {
        self.gate.source
    }
}

/// Printed as `2.22 s, from 150 ms to 5 s at 200 % (type F, miniature blade); ISO 8820-3 … (from memory, not seen)`.
impl fmt::Display for OpeningTime {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.time)?;
        match (self.gate.least, self.gate.most) {
            (Some(least), Some(most)) => write!(f, ", from {least} to {most}")?,
            (Some(least), None) => write!(f, ", from no sooner than {least}")?,
            (None, Some(most)) => write!(f, ", from no later than {most}")?,
            (None, None) => {}
        }
        write!(f, " at {}", self.gate.current)?;
        if let Some(kind) = self.kind {
            write!(f, " ({kind})")?;
        }
        write!(f, "; {}", self.gate.source)
    }
}

/// When a fuse opens at a current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Opening {
    /// The current as a share of the rating.
    pub share: Ratio,
    /// It does not open sooner; `None` where nothing is promised.
    pub fastest: Option<OpeningTime>,
    /// It has opened by then; `None` if it may never open.
    pub slowest: Option<OpeningTime>,
}

/// The gates of one body type, or of the fuse in hand.
#[derive(Debug, Clone, PartialEq)]
struct Curve {
    kind: Option<FuseType>,
    gates: Vec<Gate>,
}

/// What is known of the operating times of a fuse.
#[derive(Debug, Clone, PartialEq)]
pub struct FuseCurve {
    rating: Ampere,
    curves: Vec<Curve>,
    /// Below it the fuse is not sure to break, whatever its gates promise.
    lowest: Option<Ampere>,
    /// Heat below which it does not open.
    melting: Option<AmpereSquaredSecond>,
}

static BEYOND: Source = Source::practice("heat `I2 t` that opens a fuse stays the same above its last gate");
static LOWEST: Source = Source::seen("smallest current that the fuse is sure to break", "given with its kind");
static MELTING: Source = Source::seen("melting integral of the fuse", "given with its kind");
static DATASHEET: Source = Source::seen("operating-time rating of the fuse", "gates given with its kind");

/// The shortest conventional time in seconds: one hour, IEC 60269-1, from memory, not seen.
const CONVENTIONAL: f64 = 3600.0;
/// How many times the current of such a gate its heat is taken as it is. Common practice, no source.
const FAR: f64 = 3.0;
/// Shares are typed in per cent, so equality allows for rounding of the last digits.
const SAME: f64 = 1e-9;
/// Ratings are typed by people as decimals, so anything nearer than a milliampere is the same rating.
const SAME_RATING: f64 = 1e-3;

impl FuseCurve {
    /// The gates of a datasheet, each with its share of the rating, `holds` and `opens within`; `None` if none says
    /// anything or the rating is not above zero.
    #[must_use]
    pub fn of_datasheet(
        rating: Ampere,
        gates: impl IntoIterator<Item = (Ratio, Option<Second>, Option<Second>)>,
    ) -> Option<Self> {
        let gates = gates.into_iter().map(|(current, least, most)| Gate { current, least, most, source: &DATASHEET });
        Self::new(rating, vec![Curve { kind: None, gates: gates.collect() }])
    }

    /// The gates of one body type; `None` where none are known.
    #[must_use]
    pub fn of_type(rating: Ampere, kind: FuseType) -> Option<Self> {
        Self::new(rating, vec![Curve { kind: Some(kind), gates: kind.gates_of(rating) }])
    }

    /// The gates of every body type of a standard that is made with this rating; of all its types where the rating is in
    /// no list. `None` where none are known.
    ///
    /// The slowest of them decides when it has opened, the fastest how soon it may.
    #[must_use]
    pub fn of_standard(rating: Ampere, standard: &'static FuseStandard) -> Option<Self> {
        let makes = |kind: &&FuseType| {
            let mut ratings = kind.ratings().peekable();
            ratings.peek().is_none() || ratings.any(|made| (made.value.get() - rating.get()).abs() < SAME_RATING)
        };
        let made: Vec<FuseType> = standard.types.iter().filter(makes).copied().collect();
        let kinds = if made.is_empty() { standard.types.to_vec() } else { made };
        Self::new(rating, kinds.into_iter().map(|kind| Curve { kind: Some(kind), gates: kind.gates_of(rating) }).collect())
    }

    fn new(rating: Ampere, mut curves: Vec<Curve>) -> Option<Self> {
        for curve in &mut curves {
            curve.gates.retain(|gate| gate.current.get() > 0.0 && (gate.least.is_some() || gate.most.is_some()));
            curve.gates.sort_by(|a, b| a.current.get().total_cmp(&b.current.get()));
        }
        curves.retain(|curve| !curve.gates.is_empty());
        (rating.get() > 0.0 && !curves.is_empty()).then_some(Self { rating, curves, lowest: None, melting: None })
    }

    /// The curve of a fuse that is sure to break from `lowest` on only, and does not open below the heat `melting`.
    #[must_use]
    pub fn with(self, lowest: Option<Ampere>, melting: Option<AmpereSquaredSecond>) -> Self {
        Self { lowest, melting, ..self }
    }

    /// The rating whose shares the gates are.
    #[must_use]
    pub fn rating(&self) -> Ampere {
        self.rating
    }

    /// All gates that its times rest on, by body type and then by current.
    pub fn gates(&self) -> impl Iterator<Item = &Gate> {
        self.curves.iter().flat_map(|curve| &curve.gates)
    }

    /// The smallest current at which it is sure to open; `None` if no gate promises that.
    #[must_use]
    pub fn sure_to_open_at(&self) -> Option<(Ampere, &'static Source)> {
        let mut surest: Option<Gate> = None;
        for curve in &self.curves {
            let first = curve.gates.iter().find(|gate| gate.most.is_some())?;
            if surest.is_none_or(|gate| first.current > gate.current) {
                surest = Some(*first);
            }
        }
        let by_gate = surest.map(|gate| (Ampere::new(gate.current.get() * self.rating.get()), gate.source))?;
        Some(self.lowest.filter(|lowest| *lowest > by_gate.0).map_or(by_gate, |lowest| (lowest, &LOWEST)))
    }

    /// The latest time at which it opens at `amps`, from either direction; `None` if it may never open.
    #[must_use]
    pub fn slowest(&self, amps: Ampere) -> Option<OpeningTime> {
        let share = self.share(amps);
        // One type that need not open is enough for a fuse that may never.
        let edges = self.curves.iter().map(|curve| slowest(curve, share));
        let slowest = edges.reduce(|a, b| Some(if a?.time >= b?.time { a? } else { b? })).flatten();
        slowest.filter(|_| self.lowest.is_none_or(|lowest| amps.abs() >= lowest))
    }

    /// Whether the time at a current says no more than that the fuse opens in the end: all that its types promise is an opening after the hours
    /// of a small overload, and the current is far above that.
    #[must_use]
    pub fn is_far_from_gates(&self, amps: Ampere) -> bool {
        let share = self.share(amps);
        let promises = |curve: &&Curve| curve.gates.iter().any(|gate| gate.most.is_some());
        let is_far = |gate: &Gate| match gate.most {
            Some(most) => most.get() >= CONVENTIONAL && share > FAR * gate.current.get(),
            None => true,
        };
        self.curves.iter().filter(promises).any(|curve| curve.kind.is_some() && curve.gates.iter().all(is_far))
    }

    /// A current as a share of the rating.
    fn share(&self, amps: Ampere) -> f64 {
        (amps.get() / self.rating.get()).abs()
    }

    /// When it opens at `amps`, from either direction.
    #[must_use]
    pub fn opening(&self, amps: Ampere) -> Opening {
        let (share, slowest) = (self.share(amps), self.slowest(amps));
        // One type that may open at any time is enough for a fuse of which nothing is promised.
        let edges = self.curves.iter().map(|curve| fastest(curve, share));
        let fastest = edges.reduce(|a, b| Some(if a?.time <= b?.time { a? } else { b? })).flatten();
        let melts = self.melting.and_then(|heat| melts(heat, amps, share));
        let later = |a: OpeningTime, b: OpeningTime| if b.time > a.time { b } else { a };
        let fastest = match (fastest, melts) {
            (Some(gate), Some(melts)) => Some(later(gate, melts)),
            (gate, melts) => gate.or(melts),
        };
        // Nothing opens later than it is sure to.
        let fastest = match (fastest, slowest) {
            (Some(first), Some(last)) if first.time > last.time => Some(OpeningTime { time: last.time, ..first }),
            (first, _) => first,
        };
        Opening { share: Ratio::new(share), fastest, slowest }
    }
}

/// When the melting integral of the datasheet is reached at a current; `None` without a current.
fn melts(heat: AmpereSquaredSecond, amps: Ampere, share: f64) -> Option<OpeningTime> {
    let time = heat.get() / (amps.get() * amps.get());
    let gate = Gate { current: Ratio::new(share), least: Some(Second::new(time)), most: None, source: &MELTING };
    time.is_finite().then_some(OpeningTime { time: Second::new(time), gate, kind: None })
}

/// The latest time of a curve at a share of the rating: the heat of the gate at or below it, but never less than what the
/// next gate allows at a larger current.
fn slowest(curve: &Curve, share: f64) -> Option<OpeningTime> {
    let reached = share * (1.0 + SAME);
    let (mut at, mut next) = (None, None);
    for gate in &curve.gates {
        let Some(most) = gate.most else { continue };
        if gate.current.get() > reached {
            next = Some(OpeningTime { time: most, gate: *gate, kind: curve.kind });
            break;
        }
        at = Some((gate, most));
    }
    let (gate, most) = at?;
    let edge = at_constant_heat(curve, gate, most, share)?;
    Some(next.filter(|next| next.time > edge.time).unwrap_or(edge))
}

/// The earliest time of a curve at a share of the rating: the heat of the gate at or above it, but never more than what the
/// gate before allows at a smaller current; above the last gate that one's heat.
fn fastest(curve: &Curve, share: f64) -> Option<OpeningTime> {
    let allows = || curve.gates.iter().filter_map(|gate| Some((gate, gate.least?)));
    let (gate, least) = allows().find(|(gate, _)| gate.current.get() * (1.0 + SAME) >= share).or_else(|| allows().next_back())?;
    let edge = at_constant_heat(curve, gate, least, share)?;
    let before = allows().take_while(|(gate, _)| gate.current.get() * (1.0 + SAME) < share).last();
    let before = before.map(|(gate, least)| OpeningTime { time: least, gate: *gate, kind: curve.kind });
    Some(before.filter(|before| before.time < edge.time).unwrap_or(edge))
}

/// The time at `share` in which the heat of `gate` in `time` is reached; `None` without a current.
fn at_constant_heat(curve: &Curve, gate: &Gate, time: Second, share: f64) -> Option<OpeningTime> {
    let ratio = gate.current.get() / share;
    let own = (ratio - 1.0).abs() <= SAME;
    let time = if own { time } else { Second::new(time.get() * ratio * ratio) };
    ratio.is_finite().then_some(OpeningTime { time, gate: *gate, kind: curve.kind })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::Status;
    use proptest::prelude::*;

    fn amps(value: f64) -> Ampere {
        Ampere::new(value)
    }

    fn blades(rating: f64) -> FuseCurve {
        FuseCurve::of_standard(amps(rating), FuseStandard::named("ISO 8820-3").unwrap()).unwrap()
    }

    fn times(curve: &FuseCurve, current: f64) -> (Option<f64>, Option<f64>) {
        let opening = curve.opening(amps(current));
        (opening.fastest.map(|edge| edge.time.get()), opening.slowest.map(|edge| edge.time.get()))
    }

    #[test]
    fn at_a_gate_the_times_are_the_gates_own() {
        let curve = FuseCurve::of_type(amps(10.0), FuseType::F).unwrap();
        assert_eq!(times(&curve, 20.0), (Some(0.15), Some(5.0)));
        assert_eq!(times(&curve, -20.0), (Some(0.15), Some(5.0)));
        assert_eq!(times(&curve, 13.5), (Some(0.75), Some(600.0)));
    }

    #[test]
    fn between_and_above_gates_the_heat_stays() {
        let curve = FuseCurve::of_type(amps(10.0), FuseType::F).unwrap();
        let (fastest, slowest) = times(&curve, 30.0);
        // 5 s at 200 %, so 5 x (2/3)2 at 300 %; 0.04 s at 350 %, so 0.04 x (3.5/3)2.
        assert!((slowest.unwrap() - 2.222).abs() < 1e-3);
        assert!((fastest.unwrap() - 0.0544).abs() < 1e-3);
        let (fastest, slowest) = times(&curve, 600.0);
        assert!((slowest.unwrap() - 0.001).abs() < 1e-9 && (fastest.unwrap() - 0.0002).abs() < 1e-9);
    }

    #[test]
    fn an_edge_says_what_it_rests_on() {
        let curve = FuseCurve::of_type(amps(10.0), FuseType::F).unwrap();
        assert_eq!(
            curve.opening(amps(30.0)).slowest.unwrap().to_string(),
            "2.22 s, from 150 ms to 5 s at 200 % (type F, miniature blade); ISO 8820-3 operating-time rating (from memory, \
             not seen)"
        );
    }

    #[test]
    fn below_the_first_promise_a_fuse_may_never_open() {
        let curve = blades(10.0);
        assert_eq!(times(&curve, 13.4).1, None);
        assert!(times(&curve, 11.0).0.unwrap() >= 360_000.0);
        let (least, gate) = curve.sure_to_open_at().unwrap();
        assert!((least.get() - 13.5).abs() < 1e-9);
        assert_eq!(gate.status, Status::SecondHand);
        assert_eq!(curve.opening(amps(0.0)).slowest, None);
    }

    #[test]
    fn without_a_body_type_the_worst_of_those_made_decides() {
        // 10 A is made as type C and F, 30 A as type E too, 80 A as type E alone; 16 A is not made at all.
        assert_eq!(times(&blades(10.0), 20.0), (Some(0.15), Some(5.0)));
        assert_eq!(times(&blades(30.0), 60.0), (Some(0.15), Some(60.0)));
        assert_eq!(times(&blades(80.0), 160.0), (Some(2.0), Some(60.0)));
        assert_eq!(times(&blades(16.0), 32.0), (Some(0.15), Some(60.0)));
        assert_eq!(blades(30.0).opening(amps(60.0)).slowest.unwrap().kind, Some(FuseType::E));
    }

    #[test]
    fn a_type_without_gates_has_no_curve_and_a_datasheet_goes_its_own_way() {
        assert_eq!(FuseCurve::of_type(amps(125.0), FuseType::H), None);
        assert_eq!(FuseCurve::of_standard(amps(125.0), FuseStandard::named("ISO 8820-8").unwrap()), None);
        assert_eq!(FuseCurve::of_datasheet(amps(125.0), [(Ratio::new(2.0), None, None)]), None);
        let gates = [(Ratio::new(5.0), None, Some(Second::new(0.1))), (Ratio::new(2.0), None, Some(Second::new(20.0)))];
        let curve = FuseCurve::of_datasheet(amps(125.0), gates).unwrap();
        assert_eq!(times(&curve, 625.0), (None, Some(0.1)));
        assert_eq!(times(&curve, 240.0), (None, None));
        assert_eq!(curve.opening(amps(625.0)).slowest.unwrap().source().status, Status::Seen);
        assert_eq!(blades(10.0).opening(amps(20.0)).slowest.unwrap().source().status, Status::Memory);
    }

    proptest! {
        /// More current never opens later, and the earliest time is never after the latest.
        #[test]
        fn more_current_never_opens_later(a in 0.1..200.0_f64, b in 0.1..200.0_f64, rating in 0..4_usize) {
            let rating = [10.0, 30.0, 80.0, 16.0][rating];
            let curve = blades(rating);
            let latest = |share: f64| times(&curve, share * rating).1.unwrap_or(f64::INFINITY);
            let earliest = |share: f64| times(&curve, share * rating).0.unwrap_or(0.0);
            prop_assert!(latest(a.max(b)) <= latest(a.min(b)) * (1.0 + 1e-9));
            prop_assert!(earliest(a.max(b)) <= earliest(a.min(b)) * (1.0 + 1e-9));
            prop_assert!(earliest(a) <= latest(a));
        }
    }
}
