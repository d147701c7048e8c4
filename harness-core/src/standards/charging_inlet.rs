//! Charging inlets: their contacts, the control pilot, the coded resistors of the proximity contact, what makes first and breaks first.

use super::source::{Source, Sourced};
use crate::{
    quantity::{Ampere, Ohm, Ratio, Volt},
    vocabulary::Inlet,
};

static CONTACTS: Source = Source::seen(
    "SAE J1772 (Type 1), IEC 62196-2 (Type 2), IEC 62196-3 (Combined)",
    "encyclopaedia pages on both connectors, trade page on the combined one",
);
static STATION: Source =
    Source::seen("IEC 61851-1 annex A, SAE J1772: 12 V behind 1 kilohm", "state tables of public charge-controller projects");
static LEVELS: Source = Source::seen(
    "IEC 61851-1 annex A, SAE J1772: +9, +6 and +3 V, each within 1 V",
    "state tables of public charge-controller projects",
);
static VEHICLE: Source = Source::seen(
    "IEC 61851-1 annex A, SAE J1772: 2740 ohm, with 1300 or 270 ohm beside it",
    "state tables of public charge-controller projects",
);
static CODES: Source = Source::seen("IEC 61851-1 annex B: resistor between PP and PE in the plug", "code of two public projects");
static CODE_TOLERANCE: Source = Source::memory("IEC 61851-1 annex B, tolerance of the coded resistor");
static MARK: Source = Source::seen("4.7 kilohm between PP and PE mark a Combined 2 inlet", "manual of a vehicle controller");
static LATCH: Source = Source::seen(
    "SAE J1772: 150 ohm latched, 480 ohm with the latch pressed",
    "header of a public charge-controller project; the split into 150 and 330 ohm is from memory",
);
static LATCH_LEVELS: Source =
    Source::seen("SAE J1772: 4.46, 2.77 and 1.53 V at the proximity contact", "page of a student project");
static LATCH_BAND: Source = Source::practice("a proximity level that differs from the published one by 10 % is read as the same");
static APART: Source = Source::practice("two levels of a proximity contact that differ by less than 0.1 V are read as one");
static LOCK: Source = Source::memory("ISO 17409 and IEC 62196-1: lock of the connector, with its feedback");
static ORDER: Source =
    Source::memory("IEC 62196-1: protective earth mates first and breaks last, control pilot mates last and breaks first");
static IMMOBILE: Source =
    Source::memory("UN R100 and ISO 17409: no movement by the vehicle's own drive while the connector is in the inlet");
static LOGIC: Source = Source::practice("an input reads high from three tenths of the nominal voltage of its domain");
static MONITORS: Source = Source::practice("two isolation monitors on one isolated circuit falsify each other's measurement");

/// A contact of a charging inlet by what it does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum InletContact {
    /// The first line.
    Line1,
    /// The second line; Type 1 has its neutral there.
    Line2,
    /// The third line.
    Line3,
    /// Neutral.
    Neutral,
    /// Protective earth.
    Earth,
    /// Control pilot.
    Pilot,
    /// Proximity.
    Proximity,
    /// Positive DC contact.
    Plus,
    /// Negative DC contact.
    Minus,
}

impl InletContact {
    /// What the standards call it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Line1 => "L1",
            Self::Line2 => "L2",
            Self::Line3 => "L3",
            Self::Neutral => "N",
            Self::Earth => "PE",
            Self::Pilot => "CP",
            Self::Proximity => "PP",
            Self::Plus => "DC+",
            Self::Minus => "DC-",
        }
    }

    /// Carries the current of the charge.
    #[must_use]
    pub const fn is_power(self) -> bool {
        match self {
            Self::Line1 | Self::Line2 | Self::Line3 | Self::Neutral | Self::Plus | Self::Minus => true,
            Self::Earth | Self::Pilot | Self::Proximity => false,
        }
    }
}

/// Whether an inlet has DC contacts.
#[must_use]
pub const fn is_combined(inlet: Inlet) -> bool {
    match inlet {
        Inlet::Combined1 | Inlet::Combined2 => true,
        Inlet::Type1 | Inlet::Type2 => false,
    }
}

/// Whether an inlet has the proximity circuit of Type 1: a latch switch in the plug, 330 ohm and 2.7 kilohm in the vehicle.
#[must_use]
pub const fn has_latch_switch(inlet: Inlet) -> bool {
    match inlet {
        Inlet::Type1 | Inlet::Combined1 => true,
        Inlet::Type2 | Inlet::Combined2 => false,
    }
}

/// The contacts that a vehicle with such an inlet can't do without. A Type 2 inlet of one phase leaves L2 and L3 out, a combined one
/// that charges from direct voltage alone the lines and the neutral.
#[must_use]
pub fn needed(inlet: Inlet) -> Sourced<&'static [InletContact]> {
    use InletContact::{Earth, Line1, Minus, Neutral, Pilot, Plus, Proximity};
    let needed: &'static [InletContact] = match inlet {
        Inlet::Type1 | Inlet::Type2 => &[Line1, Neutral, Earth, Pilot, Proximity],
        Inlet::Combined1 | Inlet::Combined2 => &[Plus, Minus, Earth, Pilot, Proximity],
    };
    Sourced::new(needed, &CONTACTS)
}

/// The contacts that such an inlet does not have.
#[must_use]
pub fn foreign(inlet: Inlet) -> Sourced<&'static [InletContact]> {
    use InletContact::{Line2, Line3, Minus, Plus};
    let foreign: &'static [InletContact] = match inlet {
        Inlet::Type1 => &[Line3, Plus, Minus],
        Inlet::Type2 => &[Plus, Minus],
        Inlet::Combined1 => &[Line3],
        Inlet::Combined2 => &[],
    };
    debug_assert!(!foreign.contains(&Line2));
    Sourced::new(foreign, &CONTACTS)
}

/// Voltage of the station on the control pilot while nothing is connected; in the other half of each period it is the negative of it.
#[must_use]
pub fn station_voltage() -> Sourced<Volt> {
    Sourced::new(Volt::new(12.0), &STATION)
}

/// Resistance of the station in the control pilot.
#[must_use]
pub fn station_resistance() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(1000.0), &STATION)
}

/// What the level of the control pilot says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PilotState {
    /// No vehicle.
    A,
    /// A vehicle that does not ask for voltage.
    B,
    /// A vehicle that asks for voltage.
    C,
    /// A vehicle that asks for voltage and for ventilation.
    D,
}

impl PilotState {
    /// `state B`
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::A => "state A",
            Self::B => "state B",
            Self::C => "state C",
            Self::D => "state D",
        }
    }
}

/// The positive level of each state and how far it may be off.
const STATES: [(PilotState, f64); 4] = [(PilotState::A, 12.0), (PilotState::B, 9.0), (PilotState::C, 6.0), (PilotState::D, 3.0)];

/// How far a level of the control pilot may be off.
#[must_use]
pub fn level_tolerance() -> Sourced<Volt> {
    Sourced::new(Volt::new(1.0), &LEVELS)
}

/// The state that a positive level of the control pilot means; `None` between the bands.
#[must_use]
pub fn pilot_state(level: Volt) -> Sourced<Option<PilotState>> {
    let within = |volts: f64| (level.get() - volts).abs() <= level_tolerance().value.get();
    Sourced::new(STATES.iter().find(|(_, volts)| within(*volts)).map(|(state, _)| *state), &LEVELS)
}

/// The level of a vehicle, with or without charge, that is nearest to a measured one.
#[must_use]
pub fn nearest_level(level: Volt) -> Sourced<Volt> {
    let of_vehicle = STATES.iter().filter(|(state, _)| *state != PilotState::A).map(|(_, volts)| *volts);
    let nearest = of_vehicle.min_by(|a, b| (level.get() - a).abs().total_cmp(&(level.get() - b).abs()));
    Sourced::new(Volt::new(nearest.unwrap_or(0.0)), &LEVELS)
}

/// Resistances of the vehicle in the control pilot: always, beside it in state C, beside it in state D.
#[must_use]
pub fn vehicle_resistors() -> Sourced<[Ohm; 3]> {
    Sourced::new([2740.0, 1300.0, 270.0].map(Ohm::new), &VEHICLE)
}

/// A coded resistor in the plug of a cable, and the current that it permits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CableCode {
    /// The resistor between PP and PE.
    pub ohm: Ohm,
    /// What the cable carries.
    pub amps: Ampere,
}

/// The codes as published, ohm and A.
const CABLES: [(f64, f64); 4] = [(1500.0, 13.0), (680.0, 20.0), (220.0, 32.0), (100.0, 63.0)];
/// How far a coded resistor may be off, as a share.
const CODE_SHARE: f64 = 0.03;

/// The cable codes of Type 2, from the thinnest cable.
#[must_use]
pub fn cable_codes() -> Sourced<[CableCode; 4]> {
    Sourced::new(CABLES.map(|(ohm, amps)| CableCode { ohm: Ohm::new(ohm), amps: Ampere::new(amps) }), &CODES)
}

/// How far a coded resistor may be off, as a share of it.
#[must_use]
pub fn code_tolerance() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(CODE_SHARE), &CODE_TOLERANCE)
}

/// The cable that a resistor between PP and PE codes; `None` for one that codes none.
#[must_use]
pub fn cable_of(ohm: Ohm) -> Sourced<Option<CableCode>> {
    let codes = cable_codes();
    let is_near = |code: &&CableCode| (ohm.get() - code.ohm.get()).abs() <= CODE_SHARE * code.ohm.get() * (1.0 + 1e-9);
    codes.map(|codes| codes.iter().find(is_near).copied())
}

/// The resistor between PP and PE of a Combined 2 inlet itself.
#[must_use]
pub fn inlet_mark() -> Sourced<Ohm> {
    Sourced::new(Ohm::new(4700.0), &MARK)
}

/// The resistors of a Type 1 plug between its proximity contact and PE: latched, and with the latch pressed.
#[must_use]
pub fn latch_resistors() -> Sourced<[Ohm; 2]> {
    Sourced::new([150.0, 480.0].map(Ohm::new), &LATCH)
}

/// The voltages at the proximity contact of a Type 1 inlet: nothing plugged, latch pressed, latched.
#[must_use]
pub fn latch_levels() -> Sourced<[Volt; 3]> {
    Sourced::new([4.46, 2.77, 1.53].map(Volt::new), &LATCH_LEVELS)
}

/// Share of a published proximity level by which one may be off.
#[must_use]
pub fn latch_band() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.1), &LATCH_BAND)
}

/// The least difference by which a controller distinguishes two levels of a proximity contact.
#[must_use]
pub fn levels_apart() -> Sourced<Volt> {
    Sourced::new(Volt::new(0.1), &APART)
}

/// Share of the nominal voltage of its domain from which an input reads high.
#[must_use]
pub fn reads_high() -> Sourced<Ratio> {
    Sourced::new(Ratio::new(0.3), &LOGIC)
}

/// Why the connector of an inlet is locked.
#[must_use]
pub fn lock() -> &'static Source {
    &LOCK
}

/// Which contacts mate first and which last.
#[must_use]
pub fn mating_order() -> &'static Source {
    &ORDER
}

/// Why nothing may enable the drive while the connector is in the inlet.
#[must_use]
pub fn no_movement() -> &'static Source {
    &IMMOBILE
}

/// Why there is one isolation monitor in an isolated circuit.
#[must_use]
pub fn one_monitor() -> &'static Source {
    &MONITORS
}
