//! What can be measured or seen, and what it shows after a fault.

use super::suspect::Suspect;
use crate::{
    analysis::Analysis,
    electrical::altered::{After, Rest},
    model::PointId,
    network::{EdgeId, EdgeRole},
    quantity::Volt,
    standards::{searching, supply},
};

/// One thing to measure or to look at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Probe {
    /// The voltage of a point, the black lead at another.
    Volts {
        /// Where the red lead is.
        point: PointId,
        /// Where the black lead is.
        against: PointId,
    },
    /// Whether a load, a relay or a converter works.
    Works(EdgeId),
    /// The current through a conductor, whichever way, by a clamp.
    Amps(EdgeId),
    /// The resistance between two points, with all sources off.
    Ohms {
        /// One of them.
        one: PointId,
        /// The other.
        other: PointId,
    },
}

/// What something shows: a figure, or anything between two where more is not known. Volts, amperes or ohms; of what works 1, of what works
/// badly 0.5, of what does not 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// The least that it shows.
    pub low: f64,
    /// The most; infinite for what has no limit: an open circuit in ohms.
    pub high: f64,
    /// Nothing joins the two leads: a meter shows nothing, or what it picks up.
    pub floats: bool,
}

/// What works.
pub const WORKS: f64 = 1.0;
/// What works badly: a lamp that glows, a motor that crawls.
pub const BADLY: f64 = 0.5;
/// What does not work.
pub const NOT: f64 = 0.0;

/// Standard deviations from which on a reading contradicts a cause.
pub const CONTRADICTS: f64 = 3.5;
/// Share of looks at a load that are right.
const EYE: f64 = 0.98;
/// Ohms from which on a meter shows no limit.
const NO_LIMIT: f64 = 1e7;

impl Seen {
    /// A figure that is known.
    #[must_use]
    pub const fn exactly(value: f64) -> Self {
        Self { low: value, high: value, floats: false }
    }

    /// Nothing is known of it.
    const UNKNOWN: Self = Self { low: f64::NEG_INFINITY, high: f64::INFINITY, floats: false };

    /// Whether anything is known of it.
    #[must_use]
    pub fn is_known(&self) -> bool {
        self.low.is_finite()
    }

    /// Whether two are one for every eye and meter.
    pub(super) fn is_like(&self, other: &Self, within: f64) -> bool {
        self == other
            || (self.low - other.low).abs() <= within && (self.high == other.high || (self.high - other.high).abs() <= within)
    }
}

impl Probe {
    /// Standard deviation of what is read where `seen` is there.
    #[must_use]
    pub fn deviation(self, seen: Seen, noise: f64) -> f64 {
        let value = if seen.high.is_finite() { seen.low.abs().max(seen.high.abs()) } else { seen.low.abs() };
        let share = if value.is_finite() { value * noise } else { 0.0 };
        let least = match self {
            Self::Volts { .. } if seen.floats => searching::floating().value.get(),
            Self::Volts { .. } => searching::least_volts().value.get(),
            Self::Amps(_) => searching::least_amps().value.get(),
            Self::Ohms { .. } => searching::least_ohms().value.get(),
            Self::Works(_) => return BADLY / CONTRADICTS,
        };
        share.hypot(least)
    }

    /// By how many standard deviations a reading is beside what is there.
    #[must_use]
    pub fn beside(self, read: f64, seen: Seen, noise: f64) -> f64 {
        if let Self::Ohms { .. } = self {
            let is_open = |ohms: f64| ohms >= NO_LIMIT;
            match (is_open(read), is_open(seen.low), is_open(seen.high)) {
                (true, _, true) => return 0.0,
                (true, _, false) | (false, true, _) => return f64::INFINITY,
                (false, false, _) => {}
            }
        }
        let off = (seen.low - read).max(read - seen.high).max(0.0);
        if off == 0.0 { 0.0 } else { off / self.deviation(seen, noise) }
    }

    /// How likely a reading is where `seen` is there; `range` is that of what could be read at all.
    pub(super) fn likelihood(self, read: f64, seen: Seen, noise: f64, range: f64) -> f64 {
        let beside = self.beside(read, seen, noise);
        if let Self::Works(_) = self {
            return if !seen.is_known() {
                BADLY
            } else if beside == 0.0 {
                EYE
            } else {
                (1.0 - EYE) * BADLY
            };
        }
        let slip = searching::slips().value.get();
        let width = if seen.high.is_finite() && seen.is_known() { seen.high - seen.low } else { range };
        let spread = self.deviation(seen, noise) * (2.0 * std::f64::consts::PI).sqrt() + width.min(range);
        slip / range.max(spread) + (1.0 - slip) * (-0.5 * beside * beside).exp() / spread
    }
}

/// What flows, at rest or after faults.
#[derive(Debug, Clone, Copy)]
pub(super) enum Flows<'a> {
    Rest(&'a Rest<'a>),
    After(&'a After<'a>, &'a [Suspect]),
}

impl Flows<'_> {
    fn between(self, one: PointId, other: PointId) -> Option<Volt> {
        match self {
            Self::Rest(rest) => rest.are_joined(one, other).then(|| rest.volts(one) - rest.volts(other)),
            Self::After(after, _) => after.are_joined(one, other).then(|| after.volts(one) - after.volts(other)),
        }
    }

    fn amps(self, edge: EdgeId) -> f64 {
        match self {
            Self::Rest(rest) => rest.amps(edge).get().abs(),
            Self::After(after, _) => after.amps(edge).get().abs(),
        }
    }

    fn is_on(self, edge: EdgeId) -> bool {
        match self {
            Self::Rest(rest) => rest.is_on(edge),
            Self::After(after, _) => after.is_on(edge),
        }
    }

    fn is_dead(self, edge: EdgeId) -> bool {
        match self {
            Self::Rest(_) => false,
            Self::After(_, suspects) => suspects.iter().any(|suspect| suspect.opens(edge)),
        }
    }

    /// What is seen; of ohms nothing, which are measured without a source.
    pub(super) fn seen(self, analysis: &Analysis, rest: &Rest<'_>, probe: Probe) -> Seen {
        match probe {
            // Where the state was not found again nothing is known.
            Probe::Volts { point, against } if !(rest.is_known(point) && rest.is_known(against)) => Seen::UNKNOWN,
            Probe::Volts { point, against } => match self.between(point, against) {
                Some(volts) => Seen::exactly(volts.get()),
                None => Seen { floats: true, ..Seen::exactly(0.0) },
            },
            Probe::Amps(edge) => Seen::exactly(self.amps(edge)),
            Probe::Works(edge) => self.works(analysis, rest, edge),
            Probe::Ohms { .. } => Seen::UNKNOWN,
        }
    }

    fn works(self, analysis: &Analysis, rest: &Rest<'_>, edge: EdgeId) -> Seen {
        let ends = &analysis.network()[edge];
        if self.is_dead(edge) {
            return Seen::exactly(NOT);
        }
        if is_on_or_off(ends.role) {
            return Seen::exactly(if self.is_on(edge) { WORKS } else { NOT });
        }
        let nominal = ends.element().and_then(|element| analysis.electrical().nominal(element));
        let Some(nominal) = nominal.map(|nominal| nominal.volts.get()).filter(|volts| *volts > 0.0) else { return Seen::UNKNOWN };
        let share = |flows: Flows<'_>| flows.between(ends.a, ends.b).map_or(0.0, |volts| volts.get().abs()) / nominal;
        let (dead, low) = (supply::dead().value.get(), supply::low().value.get());
        // What has a supply and does not run has a will of its own; what gets one runs.
        if !rest.runs(edge) && share(Flows::Rest(rest)) >= dead {
            return Seen::exactly(NOT);
        }
        Seen::exactly(match share(self) {
            share if share >= low => WORKS,
            share if share >= dead => BADLY,
            _ => NOT,
        })
    }
}

/// Is on or off as the circuit has it, whatever its voltage.
const fn is_on_or_off(role: EdgeRole) -> bool {
    match role {
        EdgeRole::Coil | EdgeRole::ConverterInput => true,
        EdgeRole::Metal(_) | EdgeRole::Fuse | EdgeRole::Switch { .. } | EdgeRole::Disconnect | EdgeRole::Interlock => false,
        EdgeRole::MakeContact | EdgeRole::BreakContact | EdgeRole::Source { .. } | EdgeRole::ConverterOutput { .. } => false,
        EdgeRole::Load | EdgeRole::Resistor | EdgeRole::Shunt | EdgeRole::Capacitor | EdgeRole::Diode => false,
    }
}
