//! Elements inside devices and looms, resolved.

use super::{
    contact::Throw,
    ids::{ElementId, FuseKindId, ModeId, ModeSet, PointList},
    items::Opener,
    owner::Owner,
};
use crate::{
    format::values::Choice,
    quantity::{Ampere, AmpereHour, Farad, Joule, Ohm, Ratio, Second, Volt, Watt},
    standards::{battery::InnerResistance, made_for::MadeFor, rated::RatedVoltage},
    text::{At, Name, Span},
    vocabulary::{Demand, Economiser, LoadKind, Peak, RelayKind, Suppression},
};

/// What a capacitor is.
#[derive(Debug, Clone, Copy)]
pub struct Capacitor {
    /// Capacitance.
    pub farad: At<Farad>,
    /// Its first point must be the positive one.
    pub polarised: bool,
    /// The time in which a means of its own brings it to 60 V, once it is cut off.
    pub discharged_in: Option<At<Second>>,
}

/// What a resistor is rated for and serves.
#[derive(Debug, Clone, Copy)]
pub struct Resistor {
    /// Its resistance.
    pub ohm: At<Ohm>,
    /// The power that it takes for good.
    pub power: Option<At<Watt>>,
    /// The energy that it takes in one pulse.
    pub energy: Option<At<Joule>>,
    /// It terminates a bus; the place where that is said.
    pub terminator: Option<Span>,
}

/// What an element does between its points.
#[derive(Debug, Clone)]
pub enum ElementKind {
    /// EMF; points: positive, negative.
    Source {
        /// Open-circuit voltage.
        emf: Volt,
        /// Internal resistance of a new, warm battery.
        resistance: Option<At<Ohm>>,
        /// Internal resistance of an aged, cold one.
        aged: Option<At<Ohm>>,
        /// Largest current.
        limit: Option<At<Ampere>>,
        /// Charge from full to flat.
        capacity: Option<At<AmpereHour>>,
        /// Modes in which it is there.
        modes: ModeSet,
    },
    /// A load; points: in, out.
    Load {
        /// What it asks for.
        demand: At<Demand>,
        /// What it is.
        kind: Option<LoadKind>,
        /// Short-time current.
        peak: Option<At<Peak>>,
        /// Polarity matters.
        polarised: bool,
        /// Suppression of a coil.
        suppression: Option<Suppression>,
        /// The voltage that it is made for, where it gives one.
        voltage: Option<At<MadeFor>>,
        /// Modes in which it runs.
        modes: ModeSet,
    },
    /// A resistor; two points.
    Resistor(Resistor),
    /// A capacitor; two points.
    Capacitor(Capacitor),
    /// A diode; points: anode, cathode.
    Diode(At<Volt>),
    /// A fuse; two points.
    Fuse {
        /// The kind.
        kind: Option<FuseKindId>,
        /// Whether a fuse is in the holder.
        fitted: bool,
    },
    /// A switch, or one contact of a selector; two points.
    Switch {
        /// Modes in which it is closed.
        closed: ModeSet,
        /// Its first point must be the positive one.
        polarised: bool,
        /// Rated current.
        current: Option<At<Ampere>>,
        /// Rated voltage.
        voltage: Option<At<RatedVoltage>>,
        /// Resistance of the closed contact.
        contact_resistance: Option<At<Ohm>>,
        /// The selector that it is a contact of; `None` for a switch by itself.
        throw: Option<Throw>,
    },
    /// A relay; points: coil, coil, then the contact's two or three.
    Relay {
        /// Kind of contact.
        contact: RelayKind,
        /// Coil resistance.
        resistance: Option<At<Ohm>>,
        /// The relay of the same box whose coil moves this contact too; `None` for one that has a coil of its own.
        coil_of: Option<ElementId>,
        /// The voltage that the coil is made for.
        coil_voltage: Option<At<MadeFor>>,
        /// Pull-in voltage.
        pull_in: Option<At<Volt>>,
        /// Voltage at which it still holds.
        hold: Option<At<Volt>>,
        /// How long after its coil is energised the contact closes.
        closing_delay: Option<At<Second>>,
        /// What reduces the current of its coil once it has pulled in.
        economiser: Option<Choice<Economiser>>,
        /// Suppression.
        suppression: Option<Suppression>,
        /// Rated current.
        current: Option<At<Ampere>>,
        /// Rated voltage.
        voltage: Option<At<RatedVoltage>>,
        /// Resistance of the closed contact.
        contact_resistance: Option<At<Ohm>>,
    },
    /// A service disconnect; two points.
    Disconnect {
        /// Modes in which it is out.
        out: ModeSet,
        /// Rated current.
        current: Option<At<Ampere>>,
        /// Rated voltage.
        voltage: Option<At<RatedVoltage>>,
        /// Resistance of the closed contact.
        contact_resistance: Option<At<Ohm>>,
    },
    /// Joins all its points.
    Link {
        /// Resistance between neighbours.
        resistance: Option<At<Ohm>>,
        /// Rated current between neighbours.
        current: Option<At<Ampere>>,
        /// Whether it is fitted.
        fitted: bool,
    },
    /// A converter; points: input positive, input negative, output positive, output negative.
    Converter {
        /// Output voltage.
        output: Volt,
        /// Largest output current.
        limit: Option<At<Ampere>>,
        /// Efficiency.
        efficiency: Ratio,
        /// Output resistance.
        resistance: Option<At<Ohm>>,
        /// Largest input current.
        current: Option<At<Ampere>>,
        /// Highest input voltage.
        voltage: Option<At<RatedVoltage>>,
        /// Modes in which it runs.
        modes: ModeSet,
    },
    /// The bridge that closes the interlock loop; two points.
    Interlock {
        /// What opens it.
        of: Option<Opener>,
        /// Resistance of the closed bridge.
        resistance: Option<At<Ohm>>,
    },
}

impl ElementKind {
    /// The modes in which it is there or meant to run; `None` for what is there in all of them and names none.
    #[must_use]
    pub fn modes(&self) -> Option<ModeSet> {
        match self {
            Self::Source { modes, .. } | Self::Load { modes, .. } | Self::Converter { modes, .. } => Some(*modes),
            Self::Resistor(_) | Self::Capacitor(_) | Self::Diode(_) | Self::Fuse { .. } | Self::Switch { .. } => None,
            Self::Relay { .. } | Self::Disconnect { .. } | Self::Link { .. } | Self::Interlock { .. } => None,
        }
    }

    /// The relay whose coil moves this contact, for a relay that is a further contact of another one.
    #[must_use]
    pub const fn coil_of(&self) -> Option<ElementId> {
        match self {
            Self::Relay { coil_of, .. } => *coil_of,
            Self::Source { .. } | Self::Load { .. } | Self::Resistor(_) | Self::Capacitor(_) | Self::Diode(_) => None,
            Self::Fuse { .. } | Self::Switch { .. } | Self::Disconnect { .. } | Self::Link { .. } => None,
            Self::Converter { .. } | Self::Interlock { .. } => None,
        }
    }

    /// Drives a current, once it is fitted: a source, or a converter at its output.
    #[must_use]
    pub const fn drives(&self) -> bool {
        match self {
            Self::Source { .. } | Self::Converter { .. } => true,
            Self::Load { .. } | Self::Resistor(_) | Self::Capacitor(_) | Self::Diode(_) | Self::Fuse { .. } => false,
            Self::Switch { .. } | Self::Relay { .. } | Self::Disconnect { .. } | Self::Link { .. } => false,
            Self::Interlock { .. } => false,
        }
    }

    /// A cell, a module, a generator. Narrower than [`drives`](Self::drives): a converter only passes on what a source gives.
    #[must_use]
    pub const fn is_source(&self) -> bool {
        match self {
            Self::Source { .. } => true,
            Self::Load { .. } | Self::Resistor(_) | Self::Capacitor(_) | Self::Diode(_) | Self::Fuse { .. } => false,
            Self::Switch { .. } | Self::Relay { .. } | Self::Disconnect { .. } | Self::Link { .. } => false,
            Self::Converter { .. } | Self::Interlock { .. } => false,
        }
    }

    /// Whether the design says that it is closed in a mode; `None` for what its coil decides about, and for what is not a contact.
    #[must_use]
    pub fn is_closed(&self, mode: ModeId) -> Option<bool> {
        match self {
            Self::Switch { closed, .. } => Some(closed.has(mode)),
            Self::Disconnect { out, .. } => Some(!out.has(mode)),
            Self::Source { .. } | Self::Load { .. } | Self::Resistor(_) | Self::Capacitor(_) | Self::Diode(_) => None,
            Self::Fuse { .. } | Self::Relay { .. } | Self::Link { .. } => None,
            Self::Converter { .. } | Self::Interlock { .. } => None,
        }
    }

    /// The resistance of a relay's coil, where it is given: then the coil limits its own current. `None` for every other element.
    #[must_use]
    pub fn coil_resistance(&self) -> Option<Ohm> {
        match self {
            Self::Relay { resistance, .. } => resistance.map(|at| at.value),
            Self::Source { .. } | Self::Load { .. } | Self::Resistor(_) | Self::Capacitor(_) | Self::Diode(_) => None,
            Self::Fuse { .. } | Self::Switch { .. } | Self::Disconnect { .. } | Self::Link { .. } => None,
            Self::Converter { .. } | Self::Interlock { .. } => None,
        }
    }

    /// The voltage that a load or the coil of a relay gives itself; `None` where it gives none, and for every other element.
    #[must_use]
    pub const fn made_for(&self) -> Option<At<MadeFor>> {
        match self {
            Self::Load { voltage, .. } => *voltage,
            Self::Relay { coil_voltage, .. } => *coil_voltage,
            Self::Source { .. } | Self::Resistor(_) | Self::Capacitor(_) | Self::Diode(_) | Self::Fuse { .. } => None,
            Self::Switch { .. } | Self::Disconnect { .. } | Self::Link { .. } => None,
            Self::Converter { .. } | Self::Interlock { .. } => None,
        }
    }

    /// How long after its coil is energised the contact of a relay closes, where that is given; `None` for every other element.
    #[must_use]
    pub const fn closing_delay(&self) -> Option<At<Second>> {
        match self {
            Self::Relay { closing_delay, .. } => *closing_delay,
            Self::Source { .. } | Self::Load { .. } | Self::Resistor(_) | Self::Capacitor(_) | Self::Diode(_) => None,
            Self::Fuse { .. } | Self::Switch { .. } | Self::Disconnect { .. } | Self::Link { .. } => None,
            Self::Converter { .. } | Self::Interlock { .. } => None,
        }
    }

    /// The contact of a selector that it is; `None` for all else.
    #[must_use]
    pub const fn throw(&self) -> Option<Throw> {
        match self {
            Self::Switch { throw, .. } => *throw,
            Self::Source { .. } | Self::Load { .. } | Self::Resistor(_) | Self::Capacitor(_) | Self::Diode(_) => None,
            Self::Fuse { .. } | Self::Relay { .. } | Self::Disconnect { .. } | Self::Link { .. } => None,
            Self::Converter { .. } | Self::Interlock { .. } => None,
        }
    }

    /// The internal resistances of a source; `None` for every other element.
    #[must_use]
    pub fn inner_resistance(&self) -> Option<InnerResistance> {
        match self {
            Self::Source { resistance, aged, .. } => {
                Some(InnerResistance::of(resistance.map(|at| at.value), aged.map(|at| at.value)))
            }
            Self::Load { .. } | Self::Resistor(_) | Self::Capacitor(_) | Self::Diode(_) | Self::Fuse { .. } => None,
            Self::Switch { .. } | Self::Relay { .. } | Self::Disconnect { .. } | Self::Link { .. } => None,
            Self::Converter { .. } | Self::Interlock { .. } => None,
        }
    }

    /// The most that a source gives into a short at its poles, as a new one: its limit, else what its resistance lets through; `None` for every
    /// other element.
    #[must_use]
    pub fn short_current(&self) -> Option<Ampere> {
        let by_resistance = self.open_voltage().zip(self.inner_resistance()).map(|(emf, inner)| emf / inner.new);
        self.limit().or(by_resistance).filter(|amps| amps.get().is_finite())
    }

    /// The current to which a source or a converter's output limits itself; `None` where it has no limit, and for every other element.
    ///
    /// A battery, which has a capacity, does not: its limit is what may be taken, and a fault takes more.
    #[must_use]
    pub fn limit(&self) -> Option<Ampere> {
        match self {
            Self::Source { capacity: Some(_), .. } => None,
            Self::Source { limit, .. } | Self::Converter { limit, .. } => limit.map(|at| at.value),
            Self::Load { .. } | Self::Resistor(_) | Self::Capacitor(_) | Self::Diode(_) | Self::Fuse { .. } => None,
            Self::Switch { .. } | Self::Relay { .. } | Self::Disconnect { .. } | Self::Link { .. } => None,
            Self::Interlock { .. } => None,
        }
    }

    /// The current that may be taken from a battery, which does not limit itself to it; `None` where none is given, and for everything else.
    #[must_use]
    pub fn allowed_discharge(&self) -> Option<Ampere> {
        match self {
            Self::Source { capacity: Some(_), limit, .. } => limit.map(|at| at.value),
            Self::Source { .. } | Self::Converter { .. } | Self::Load { .. } | Self::Resistor(_) | Self::Capacitor(_) => None,
            Self::Diode(_) | Self::Fuse { .. } | Self::Switch { .. } | Self::Relay { .. } | Self::Disconnect { .. } => None,
            Self::Link { .. } | Self::Interlock { .. } => None,
        }
    }

    /// A load that is a motor.
    #[must_use]
    pub fn is_motor(&self) -> bool {
        match self {
            Self::Load { kind, .. } => *kind == Some(LoadKind::Motor),
            Self::Source { .. } | Self::Resistor(_) | Self::Capacitor(_) | Self::Diode(_) | Self::Fuse { .. } => false,
            Self::Switch { .. } | Self::Relay { .. } | Self::Disconnect { .. } | Self::Link { .. } => false,
            Self::Converter { .. } | Self::Interlock { .. } => false,
        }
    }

    /// The open-circuit voltage of a source or of a converter's output; `None` for all that drives nothing.
    #[must_use]
    pub const fn open_voltage(&self) -> Option<Volt> {
        match self {
            Self::Source { emf, .. } => Some(*emf),
            Self::Converter { output, .. } => Some(*output),
            Self::Load { .. } | Self::Resistor(_) | Self::Capacitor(_) | Self::Diode(_) | Self::Fuse { .. } => None,
            Self::Switch { .. } | Self::Relay { .. } | Self::Disconnect { .. } | Self::Link { .. } => None,
            Self::Interlock { .. } => None,
        }
    }

    /// The starter of an engine.
    #[must_use]
    pub fn is_starter(&self) -> bool {
        match self {
            Self::Load { kind, .. } => *kind == Some(LoadKind::Starter),
            Self::Source { .. } | Self::Resistor(_) | Self::Capacitor(_) | Self::Diode(_) | Self::Fuse { .. } => false,
            Self::Switch { .. } | Self::Relay { .. } | Self::Disconnect { .. } | Self::Link { .. } => false,
            Self::Converter { .. } | Self::Interlock { .. } => false,
        }
    }

    /// What it is rated at as a resistor; `None` for all that is not a resistor, whatever resistance it has beside its purpose.
    #[must_use]
    pub fn resistance(&self) -> Option<Ohm> {
        match self {
            Self::Resistor(resistor) => Some(resistor.ohm.value),
            Self::Source { .. } | Self::Load { .. } | Self::Capacitor(_) | Self::Diode(_) | Self::Fuse { .. } => None,
            Self::Switch { .. } | Self::Relay { .. } | Self::Disconnect { .. } | Self::Link { .. } => None,
            Self::Converter { .. } | Self::Interlock { .. } => None,
        }
    }
}

/// An element inside a device or in a loom.
#[derive(Debug, Clone)]
pub struct Element {
    /// Its name.
    pub name: Name,
    /// Where its name is.
    pub span: Span,
    /// Where its kind or rating is: the value behind its first key.
    pub value_span: Span,
    /// What holds it.
    pub owner: Owner,
    /// Its points, in the order that its kind gives.
    pub points: PointList,
    /// What it does.
    pub kind: ElementKind,
}
