//! The rated voltage of a part as its datasheet prints it, and whether it is enough for a circuit.
//!
//! A rating is one figure (`60 V`), one figure of a kind (`250 V AC`), or the two figures of a cable, U0 to earth and U between
//! conductors (`300/500 V`). A direct voltage is held against the highest voltage of the circuit. An alternating one is held against
//! the nominal voltage: ratings of mains parts take the tolerance of the mains into account.

use super::source::{Source, Sourced};
use crate::quantity::{QuantityError, Ratio, Volt, parse};
use std::fmt;

static TOLERANCE: Source = Source::memory("IEC 60038, 230/400 V with 10 % tolerance; 15 % is where it stops being a tolerance");
static THREE_PHASE: Source =
    Source::practice("an AC domain above 250 V is three-phase: its nominal voltage is that between two lines");
static DIRECT_OF_CABLE: Source = Source::memory("HD 516, direct voltage to earth up to 1.5 times U0");
static AC_CONTACT: Source = Source::memory("datasheets of relays rated 250 V AC: 30 V DC, taken as the 32 V of 24 V vehicles");
static AC_BREAKER: Source = Source::memory(
    "a fuse or circuit breaker rated for alternating voltage alone has no breaking capacity at direct voltage: the arc has no zero crossing",
);
static BY_NOMINAL: Source = Source::practice("contacts for 12 V and 24 V vehicles are rated by the nominal voltage");

/// The kind of voltage that a rating holds for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum VoltageKind {
    /// Direct voltage.
    Direct,
    /// Alternating voltage, effective value.
    Alternating,
}

/// A rated voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RatedVoltage {
    /// The figure; that between conductors where two are given.
    pub volts: Volt,
    /// U0, the figure to earth, where two are given.
    pub to_earth: Option<Volt>,
    /// The kind of voltage, where the rating names one.
    pub kind: Option<VoltageKind>,
}

/// What a part does with its voltage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Duty {
    /// Keeps it in: a wire, a cable, a housing, a stud, an input.
    Insulates,
    /// Opens it: a contact, a switch.
    Opens,
    /// Opens it in a short: a fuse, a circuit breaker.
    Breaks,
}

/// The circuit that a part is in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Service {
    /// Nominal voltage.
    pub nominal: Volt,
    /// Highest voltage.
    pub max: Volt,
    /// Alternating voltage.
    pub ac: bool,
}

/// A rating that is not enough.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TooLow {
    /// The figure that counts; `None` where the rating is of the other kind of voltage and has none.
    pub rated: Option<Volt>,
    /// The voltage that it must reach.
    pub needed: Volt,
    /// What that voltage is.
    pub of: &'static str,
    /// Where the comparison is more than the figure and the highest voltage: its source.
    pub source: Option<&'static Source>,
}

impl From<Volt> for RatedVoltage {
    fn from(volts: Volt) -> Self {
        Self { volts, to_earth: None, kind: None }
    }
}

impl fmt::Display for RatedVoltage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(earth) = self.to_earth {
            // Both figures in the unit of the type: 0.6/1 kV is 600/1000 V.
            write!(f, "{}/{} V", earth.get(), self.volts.get())?;
        } else {
            write!(f, "{}", self.volts)?;
        }
        match self.kind {
            Some(VoltageKind::Direct) => f.write_str(" DC"),
            Some(VoltageKind::Alternating) => f.write_str(" AC"),
            None => Ok(()),
        }
    }
}

impl RatedVoltage {
    /// Reads `60 V`, `250 V AC`, `30 VDC`, `300/500 V` or `0.6/1 kV`.
    ///
    /// # Errors
    /// That of the figure that is not a voltage.
    pub fn parse(text: &str) -> Result<Self, QuantityError> {
        let text = text.trim();
        let (kind, figure) = match text.len().checked_sub(2).and_then(|at| text.split_at_checked(at)) {
            Some((figure, word)) if word.eq_ignore_ascii_case("AC") => (Some(VoltageKind::Alternating), figure.trim_end()),
            Some((figure, word)) if word.eq_ignore_ascii_case("DC") => (Some(VoltageKind::Direct), figure.trim_end()),
            Some(_) | None => (None, text),
        };
        let Some((earth, between)) = figure.split_once('/') else {
            return Ok(Self { volts: parse::<Volt>(figure)?, to_earth: None, kind });
        };
        let volts = parse::<Volt>(between)?;
        let unit = between.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.' || c == ' ');
        let bare = earth.trim().ends_with(|c: char| c.is_ascii_digit());
        let to_earth = if bare { parse::<Volt>(&format!("{} {unit}", earth.trim()))? } else { parse::<Volt>(earth)? };
        Ok(Self { volts, to_earth: Some(to_earth), kind })
    }

    /// The rating as one of this kind of voltage, where it names none itself.
    #[must_use]
    pub fn of_kind(self, kind: Option<VoltageKind>) -> Self {
        Self { kind: self.kind.or(kind), ..self }
    }

    /// How the rating falls short of a circuit; `None` where it is enough. Equal values are.
    #[must_use]
    pub fn falls_short(self, service: Service, duty: Duty) -> Option<TooLow> {
        if service.ac { self.short_of_alternating(service) } else { self.short_of_direct(service, duty) }
    }

    fn short_of_alternating(self, Service { nominal, max, .. }: Service) -> Option<TooLow> {
        let below = |rated: Volt, needed: Volt, of: &'static str, source: Option<&'static Source>| {
            (rated < needed).then_some(TooLow { rated: Some(rated), needed, of, source })
        };
        if self.kind == Some(VoltageKind::Direct) {
            let peak = Volt::new(max.get() * std::f64::consts::SQRT_2);
            return below(self.volts, peak, "peak of the alternating voltage", None);
        }
        if max.get() > nominal.get() * (1.0 + tolerance().value.get()) {
            return below(self.to_earth.unwrap_or(self.volts), max, "highest voltage", None);
        }
        let (between, to_earth) =
            if nominal > three_phase().value { (nominal, Volt::new(nominal.get() / 3.0_f64.sqrt())) } else { (nominal, nominal) };
        let by_earth = self.to_earth.and_then(|earth| {
            // A star point is where the rounding is: 400 V is 230.9 V to earth, and parts say 230 V.
            below(Volt::new(earth.get() * 1.01), to_earth, "nominal voltage to earth", Some(&THREE_PHASE))
                .map(|low| TooLow { rated: Some(earth), ..low })
        });
        by_earth.or_else(|| below(self.volts, between, "nominal voltage", Some(&TOLERANCE)))
    }

    fn short_of_direct(self, Service { nominal, max, .. }: Service, duty: Duty) -> Option<TooLow> {
        let opens = matches!(duty, Duty::Opens | Duty::Breaks);
        if duty == Duty::Breaks && self.kind == Some(VoltageKind::Alternating) {
            return Some(TooLow { rated: None, needed: max, of: "highest voltage", source: Some(&AC_BREAKER) });
        }
        if opens && self.kind == Some(VoltageKind::Alternating) {
            let most = direct_of_ac_contact();
            return (max > most.value).then_some(TooLow {
                rated: None,
                needed: max,
                of: "highest voltage",
                source: Some(most.source),
            });
        }
        if opens && max <= direct_of_ac_contact().value && self.volts >= nominal {
            return None;
        }
        let (rated, source) = match self.to_earth {
            Some(earth) if earth * direct_of_cable().value < self.volts => {
                (earth * direct_of_cable().value, Some(direct_of_cable().source))
            }
            Some(_) | None => (self.volts, opens.then_some(by_nominal()).filter(|_| max <= direct_of_ac_contact().value)),
        };
        (rated < max).then_some(TooLow { rated: Some(rated), needed: max, of: "highest voltage", source })
    }
}

/// Why a fuse or circuit breaker with an AC rating alone breaks no direct voltage.
#[must_use]
pub fn no_direct_breaking() -> &'static Source {
    &AC_BREAKER
}

/// Why a contact for vehicles of 12 V and 24 V needs no more than the nominal voltage.
#[must_use]
pub fn by_nominal() -> &'static Source {
    &BY_NOMINAL
}

/// Direct voltage over U0 that a cable may have.
#[must_use]
pub fn direct_of_cable() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(1.5), &DIRECT_OF_CABLE)
}

/// Share of the nominal voltage up to which a highest alternating voltage above it is the tolerance of the supply.
#[must_use]
pub fn tolerance() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.15), &TOLERANCE)
}

/// Nominal alternating voltage above which a domain counts as three-phase.
#[must_use]
pub fn three_phase() -> Sourced<Volt> {
    Sourced::new(Volt::new(250.0), &THREE_PHASE)
}

/// Direct voltage up to which a contact that is rated for alternating voltage alone is taken to open a circuit.
#[must_use]
pub fn direct_of_ac_contact() -> Sourced<Volt> {
    Sourced::new(Volt::new(32.0), &AC_CONTACT)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> RatedVoltage {
        RatedVoltage::parse(text).unwrap_or_else(|error| panic!("{text}: {error:?}"))
    }

    fn service(nominal: f64, max: f64, ac: bool) -> Service {
        Service { nominal: Volt::new(nominal), max: Volt::new(max), ac }
    }

    #[test]
    fn ratings_are_read_as_datasheets_print_them() {
        let printed = |text: &str| read(text).to_string();
        assert_eq!(printed("60 V"), "60 V");
        assert_eq!(printed("250 VAC"), "250 V AC");
        assert_eq!(printed("30 V dc"), "30 V DC");
        assert_eq!(printed("300/500 V"), "300/500 V");
        assert_eq!(printed("0.6/1 kV"), "600/1000 V");
        assert_eq!(printed("300 V / 500 V"), "300/500 V");
        assert!(
            RatedVoltage::parse("300/500").is_err() && RatedVoltage::parse("AC").is_err() && RatedVoltage::parse("").is_err()
        );
    }

    /// Which ratings suit which supplies: common practice, no source; the 300/500 V cable on 230/400 V is what it is made for.
    #[test]
    fn ratings_suit_the_circuits_they_are_made_for() {
        let mains = service(230.0, 253.0, true);
        let three = service(400.0, 440.0, true);
        let pack = service(350.0, 403.0, false);
        let cart = service(48.0, 58.0, false);
        let car = service(12.0, 15.0, false);
        let cases = [
            ("250 V", mains, Duty::Opens, true),
            ("250 V AC", mains, Duty::Insulates, true),
            ("220 V", mains, Duty::Opens, false),
            ("300/500 V", mains, Duty::Insulates, true),
            ("300/500 V", three, Duty::Insulates, true),
            ("250 V AC", three, Duty::Opens, false),
            ("230/400 V", three, Duty::Opens, true),
            ("60 V", mains, Duty::Insulates, false),
            ("250 V DC", mains, Duty::Opens, false),
            ("250 V AC", cart, Duty::Opens, false),
            ("250 V AC", car, Duty::Opens, true),
            ("250 V AC", cart, Duty::Insulates, true),
            ("250 V AC", car, Duty::Breaks, false),
            ("60 V DC", car, Duty::Breaks, true),
            ("12 V", car, Duty::Breaks, true),
            ("250 V AC", mains, Duty::Breaks, true),
            ("48 V", cart, Duty::Opens, false),
            ("12 V", car, Duty::Opens, true),
            ("12 V", car, Duty::Insulates, false),
            ("300/500 V", pack, Duty::Insulates, true),
            ("300 V", pack, Duty::Insulates, false),
            ("600/1000 V", service(700.0, 850.0, false), Duty::Insulates, true),
            ("300/500 V", service(400.0, 470.0, false), Duty::Insulates, false),
        ];
        for (rating, circuit, duty, suits) in cases {
            assert_eq!(read(rating).falls_short(circuit, duty).is_none(), suits, "{rating} in {circuit:?} as {duty:?}");
        }
    }
}
