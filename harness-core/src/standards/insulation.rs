//! What insulation withstands: up to which temperature of its conductor, for how long.

use super::{
    data::{short_circuit as table, short_circuit::FinalRow},
    source::{Source, Sourced},
};
use crate::quantity::{Celsius, Second, SquareMillimetre};
use std::fmt;

/// What a conductor is insulated with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Insulation {
    /// Polyvinyl chloride.
    Pvc,
    /// Cross-linked polyethylene.
    Xlpe,
    /// Ethylene propylene rubber.
    Epr,
    /// Natural or synthetic rubber.
    Rubber,
    /// Silicone rubber.
    Silicone,
}

static GIVEN: Source = Source::seen("insulation of the conductor", "given with its kind");
static UNSTATED: Source = Source::computed(
    "insulation not given",
    "the worst of what wire of this rating is made with: PVC up to 150 degC, though it may be XLPE; give `insulation`",
);
static BY_CLASS: Source = Source::memory("insulation not given: silicone taken above 150 degC; give `insulation`");

static COMMON_DUCT: Source = Source::memory(
    "IEC 60204-1 clause 13.1.3 and IEC 60364-5-52 clause 528.1: conductors in one duct are each insulated for the highest voltage there, or kept apart",
);

/// Why conductors of several circuits in one duct need the insulation of the highest voltage there.
#[must_use]
pub fn common_duct() -> &'static Source {
    &COMMON_DUCT
}

impl Insulation {
    /// The insulation that is taken for wire of this rated temperature where none is given.
    ///
    /// Up to 105 degC wire is mostly PVC. From there to 150 degC it may be heat-resistant PVC or cross-linked polyethylene, which is
    /// a short 90 K longer: the worse is taken.
    #[must_use]
    pub fn assumed(rated: Celsius) -> Sourced<Self> {
        match rated.get() {
            ..=150.0 => Sourced::new(Self::Pvc, &UNSTATED),
            _ => Sourced::new(Self::Silicone, &BY_CLASS),
        }
    }

    /// Whether wire of this rated temperature is made with one material as well as with a better one.
    #[must_use]
    pub fn is_open(rated: Celsius) -> bool {
        rated.get() > 105.0 && rated.get() <= 150.0
    }

    /// The insulation as the design gives it.
    #[must_use]
    pub fn given(self) -> Sourced<Self> {
        Sourced::new(self, &GIVEN)
    }

    fn rows(self) -> &'static [FinalRow] {
        match self {
            Self::Pvc => table::PVC,
            Self::Xlpe | Self::Epr => table::XLPE,
            Self::Rubber => table::RUBBER,
            Self::Silicone => table::SILICONE,
        }
    }
}

impl fmt::Display for Insulation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Pvc => "PVC",
            Self::Xlpe => "XLPE",
            Self::Epr => "EPR",
            Self::Rubber => "rubber",
            Self::Silicone => "silicone",
        })
    }
}

static RATED: Source = Source::computed("rated temperature of the conductor", "what lasts is not an overload");

/// Insulation on a conductor: what decides its limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Covering {
    /// The material.
    pub insulation: Insulation,
    /// Its rated temperature, for continuous use.
    pub rated: Celsius,
    /// Cross-section of the conductor below it.
    pub size: SquareMillimetre,
}

impl Covering {
    /// The conductor temperature that the insulation withstands for `time`; `None` asks for a current that never ends.
    ///
    /// Up to 5 s the final temperature of a short circuit, above it the overload tests of vehicle wire, never more than
    /// the former; beyond the longest test the rated temperature.
    #[must_use]
    pub fn limit(self, time: Option<Second>) -> Sourced<Celsius> {
        let seconds = time.map_or(f64::INFINITY, Second::get);
        let band = self.bands().into_iter().flatten().find(|(until, _)| seconds <= *until);
        band.map_or_else(|| Sourced::new(self.rated, &RATED), |(_, limit)| limit)
    }

    /// The limits with the time up to which each holds.
    pub(super) fn bands(self) -> [Option<(f64, Sourced<Celsius>)>; 4] {
        let holds = |row: &&FinalRow| self.size.get() <= row.up_to && self.rated.get() >= row.rated_from;
        // Every material's last row holds for all sizes and ratings.
        let short = self.insulation.rows().iter().find(holds).or(self.insulation.rows().last());
        let short = short.map(|row| Sourced::new(Celsius::new(row.limit), row.source));
        let overload = |index: usize| {
            let row = table::OVERLOAD.get(index)?;
            let above = Sourced::new(Celsius::new(self.rated.get() + row.above), row.source);
            Some((row.time, short.filter(|short| short.value < above.value).unwrap_or(above)))
        };
        [
            short.map(|limit| (table::SHORT, limit)),
            overload(0),
            overload(1),
            Some((f64::INFINITY, Sourced::new(self.rated, &RATED))),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::Status;

    fn degc(value: f64) -> Celsius {
        Celsius::new(value)
    }

    fn pvc() -> Covering {
        Covering { insulation: Insulation::Pvc, rated: degc(70.0), size: SquareMillimetre::new(1.0) }
    }

    #[test]
    fn a_limit_falls_as_its_time_grows_and_is_never_above_the_final_temperature() {
        let limit = |covering: Covering, time| covering.limit(time).value.get();
        let after = |seconds| Some(Second::new(seconds));
        let times = [after(0.1), after(5.0), after(5.1), after(21_600.0), after(100_000.0), after(1e6), None];
        assert_eq!(times.map(|time| limit(pvc(), time)), [160.0, 160.0, 120.0, 120.0, 95.0, 70.0, 70.0]);
        let hot = Covering { rated: degc(125.0), ..pvc() };
        assert_eq!(limit(hot, after(60.0)), 160.0);
        let thick = Covering { size: SquareMillimetre::new(400.0), ..pvc() };
        assert_eq!(limit(thick, after(1.0)), 140.0);
        assert_eq!(pvc().limit(after(60.0)).source.status, Status::Memory);
        assert_eq!(pvc().limit(after(1.0)).source.status, Status::Seen);
    }

    #[test]
    fn what_is_not_said_goes_by_class_and_says_so() {
        let usual = |rated| Insulation::assumed(degc(rated)).value;
        assert_eq!([70.0, 105.0, 105.1, 150.0, 180.0].map(usual), {
            use Insulation::{Pvc, Silicone};
            [Pvc, Pvc, Pvc, Pvc, Silicone]
        });
        assert_eq!(Insulation::assumed(degc(180.0)).source.status, Status::Memory);
    }
}
