//! What holds for the whole design: domains, zones, modes, the limits of the workshop, waivers.

use crate::{
    date::Date,
    finding::Level,
    format::design::VoltageDrop,
    format::values::Choice,
    quantity::{Celsius, Metre, Ohm, Ratio, Second, SquareMillimetre, Volt},
    standards::colour::WireColour,
    text::{At, Name, Span, Text},
    vocabulary::CapacityTable,
};

/// A voltage domain.
#[derive(Debug, Clone)]
pub struct Domain {
    /// Its name.
    pub name: Name,
    /// Where it is defined.
    pub span: Span,
    /// Nominal voltage; zero if the file does not say it (a mistake that was reported).
    pub nominal: Volt,
    /// Highest working voltage.
    pub max: Volt,
    /// Alternating voltage.
    pub ac: bool,
    /// What its voltage is measured against.
    pub reference: crate::vocabulary::Reference,
    /// The colours that its conductors must have; empty where nothing is said.
    pub colours: Vec<At<WireColour>>,
}

/// A zone.
#[derive(Debug, Clone)]
pub struct Zone {
    /// Its name.
    pub name: Name,
    /// Where it is defined.
    pub span: Span,
    /// Temperature of the air.
    pub ambient: Option<At<Celsius>>,
    /// Whether water gets there.
    pub wet: bool,
}

/// A mode.
#[derive(Debug, Clone)]
pub struct Mode {
    /// Its name; `None` for the one mode of a design that names none.
    pub name: Option<Name>,
    /// Where it is defined.
    pub span: Span,
    /// Nothing may enable the drive here.
    pub immobile: bool,
    /// Nothing reachable may be live here.
    pub touch_safe: bool,
    /// How long it lasts, where a next step waits for its end.
    pub lasts: Option<At<Second>>,
    /// The vehicle is left like this for days; the place where the design says so.
    pub standing: Option<Span>,
}

/// The workshop's limits; `None` where the default holds.
#[derive(Debug, Clone, Default)]
pub struct Policy {
    /// Longest run from a source to its first fuse.
    pub unfused_length: Option<At<Metre>>,
    /// Largest continuous share of a fuse's rating.
    pub fuse_loading: Option<At<Ratio>>,
    /// Least cross-section for strength.
    pub handling_size: Option<At<SquareMillimetre>>,
    /// Resistance of a mated contact.
    pub contact_resistance: Option<At<Ohm>>,
    /// Resistance of a bolted joint.
    pub joint_resistance: Option<At<Ohm>>,
    /// The table that decides what a conductor may carry.
    pub capacity: Option<Choice<CapacityTable>>,
    /// How many volts may be lost.
    pub voltage_drop: VoltageDrop,
    /// Ambient without a zone.
    pub ambient: Option<At<Celsius>>,
    /// Rated temperature of a conductor whose kind gives none.
    pub rated: Option<At<Celsius>>,
    /// Most rings on one stud.
    pub rings_per_stud: Option<At<u32>>,
    /// Raised levels: rule, level, place.
    pub levels: Vec<(Name, Level, Span)>,
}

/// What the papers of the bench go by; `None` where the default holds.
#[derive(Debug, Clone, Default)]
pub struct Bench {
    /// Resistance of the meter's leads that is left of a reading.
    pub leads: Option<At<Ohm>>,
    /// Error of the meter as a share of a reading.
    pub error: Option<At<Ratio>>,
    /// Share of each conductor that is thrown away.
    pub waste: Option<At<Ratio>>,
    /// Share of small things that is bought beyond what is built.
    pub spares: Option<At<Ratio>>,
    /// The lines of a wire's label; empty for the default.
    pub labels: Vec<At<Name>>,
}

/// A finding that was reviewed and accepted.
#[derive(Debug, Clone, Copy)]
pub struct Waiver {
    /// Where it is written.
    pub span: Span,
    /// The rule, as `group/fault` or the fault alone.
    pub finding: Text,
    /// What it concerns, or the end of its name.
    pub at: Text,
    /// Why it is accepted.
    pub reason: Text,
    /// What was accepted, in the words of that day's finding.
    pub reviewed: Option<Text>,
    /// Who accepted it.
    pub by: Option<Text>,
    /// The last day on which it holds.
    pub until: Option<At<Date>>,
}
