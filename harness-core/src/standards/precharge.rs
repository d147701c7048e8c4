//! How a capacitor is charged through a resistor, how far it must be before a contact closes onto it, and how long people wait for that.

use super::source::{Source, Sourced};
use crate::quantity::{Ampere, Farad, Joule, Ohm, Ratio, Second, Volt, Watt};

static CHARGED: Source = Source::seen(
    "rules for student vehicles, EV.5.6.1: at least 90 % of the voltage before the second contactor closes",
    "a published set of rules",
);
static WAIT: Source = Source::practice("a precharge that takes 10 s is taken for a fault by every control unit");
static USUAL: Source = Source::practice("a precharge takes 2 s at most");

/// Share of its final voltage to which a capacitor is charged before the main contact closes.
#[must_use]
pub fn precharged() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.9), &CHARGED)
}

/// Time that no precharge takes.
#[must_use]
pub fn too_long() -> Sourced<Second> {
    Sourced::new(Second::new(10.0), &WAIT)
}

/// Time up to which a precharge is usual, so that nobody has to state it.
#[must_use]
pub fn usual() -> Sourced<Second> {
    Sourced::new(Second::new(2.0), &USUAL)
}

static PULSE: Source = Source::practice("any wire-wound resistor of 5 W bears a pulse of 10 J");

/// Energy of one pulse that every resistor made for a precharge bears, so that nobody has to state it.
#[must_use]
pub fn harmless_pulse() -> Sourced<Joule> {
    Sourced::new(Joule::new(10.0), &PULSE)
}

static FORMULAS: Source = Source::seen(
    "tau = RC, I0 = V/R, P0 = V^2/R, E = C V^2 / 2, t = -tau ln(1 - q)",
    "precharge calculators of two makers of parts",
);

/// A capacitor that is charged from empty through a resistor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Charging {
    /// The voltage to which it is charged in the end.
    pub volts: Volt,
    /// All resistance on the way.
    pub ohms: Ohm,
    /// The capacitance.
    pub farad: Farad,
}

impl Charging {
    /// Where the formulas come from.
    #[must_use]
    pub fn source() -> &'static Source {
        &FORMULAS
    }

    /// The time constant.
    #[must_use]
    pub fn time_constant(self) -> Second {
        Second::new(self.ohms.get() * self.farad.get())
    }

    /// The time to a share of the final voltage; `None` from the whole of it on.
    #[must_use]
    pub fn time_to(self, share: f64) -> Option<Second> {
        (share < 1.0).then(|| Second::new(-self.time_constant().get() * (1.0 - share).ln()))
    }

    /// The voltage after a time.
    #[must_use]
    pub fn after(self, time: Second) -> Volt {
        let constant = self.time_constant().get();
        if constant > 0.0 { self.volts * (1.0 - (-time.get() / constant).exp()) } else { self.volts }
    }

    /// The voltage that is missing after a time.
    #[must_use]
    pub fn missing_after(self, time: Second) -> Volt {
        self.volts - self.after(time)
    }

    /// The current at first.
    #[must_use]
    pub fn first_current(self) -> Ampere {
        self.volts / self.ohms
    }

    /// The power at first, all of it in the resistor.
    #[must_use]
    pub fn first_power(self) -> Watt {
        self.volts * self.first_current()
    }

    /// The energy that the capacitor holds in the end; the resistor takes as much.
    #[must_use]
    pub fn energy(self) -> Joule {
        Joule::new(self.farad.get() * self.volts.get() * self.volts.get() / 2.0)
    }
}
