//! Kinds of parts, resolved.

use super::ids::TerminalId;
use crate::{
    format::values::Choice,
    quantity::{Ampere, AmpereSquaredSecond, Between, Celsius, Millimetre, NewtonMetre, Ohm, Ratio, Second, SquareMillimetre},
    standards::{colour::WireColour, fuse::FuseType, insulation::Insulation, rated::RatedVoltage},
    text::{At, Name, Span},
    vocabulary::{Contacts, FaceSide, Plating, Screen, Strand, Wall},
};

/// A housing kind.
#[derive(Debug, Clone)]
pub struct Housing {
    /// Its name.
    pub name: Name,
    /// Where it is defined.
    pub span: Span,
    /// Family.
    pub family: Option<At<Name>>,
    /// Labels of the positions, in the order written; `index` finds them.
    pub labels: Vec<Name>,
    /// Where the positions are given.
    pub labels_span: Span,
    /// The labels sorted, each with its position.
    pub index: Vec<(Name, u32)>,
    /// Rows of labels as seen from `seen_from`; empty where nothing is said.
    pub face: Vec<Vec<Name>>,
    /// The side from which `face` is seen.
    pub seen_from: Option<Choice<FaceSide>>,
    /// Sockets or pins.
    pub contacts: Option<Choice<Contacts>>,
    /// Keyway.
    pub key: Option<At<Name>>,
    /// Where the key sits on the face.
    pub key_at: Option<At<Name>>,
    /// Cross-sections that its contacts take.
    pub takes_size: Option<At<Between<SquareMillimetre>>>,
    /// Insulation diameters that its seals take.
    pub takes_insulation: Option<At<Between<Millimetre>>>,
    /// Current per contact with one contact loaded.
    pub current: Option<At<Ampere>>,
    /// Rated voltage.
    pub voltage: Option<At<RatedVoltage>>,
    /// Resistance of one mated contact.
    pub contact_resistance: Option<At<Ohm>>,
    /// Keeps water out; `None` where nothing is said.
    pub sealed: Option<At<bool>>,
    /// Where its latch sits on the face.
    pub latch_at: Option<At<Name>>,
    /// The terminals of its cavities where an end names none, with the places.
    pub terminals: Vec<(TerminalId, Span)>,
    /// The plug of an unused cavity.
    pub plug: Option<At<Name>>,
    /// Most wires in one cavity.
    pub max_wires: u32,
    /// Made for voltage class B.
    pub hv: bool,
    /// Made for class A and B side by side.
    pub mixed: bool,
    /// Labels of its interlock contacts.
    pub interlock: Vec<Name>,
    /// Labels of contacts that mate first and break last.
    pub mates_first: Vec<Name>,
    /// Labels of contacts that mate last and break first.
    pub mates_last: Vec<Name>,
}

/// A terminal kind.
#[derive(Debug, Clone)]
pub struct Terminal {
    /// Its name.
    pub name: Name,
    /// Where it is defined.
    pub span: Span,
    /// Family of housings that it fits.
    pub family: Option<At<Name>>,
    /// Cross-sections that it takes.
    pub size: Option<At<Between<SquareMillimetre>>>,
    /// Insulation diameters that it takes.
    pub insulation: Option<At<Between<Millimetre>>>,
    /// Rated current.
    pub current: Option<At<Ampere>>,
    /// Surface.
    pub plating: Option<Choice<Plating>>,
    /// Most wires in one crimp.
    pub max_wires: Option<At<u32>>,
    /// Length of insulation that is taken off.
    pub strip_length: Option<At<Millimetre>>,
    /// The seal of a wire.
    pub seal: Option<At<Name>>,
    /// The die of its tool.
    pub die: Option<At<Name>>,
}

/// A kind of point that takes a bare wire: a screw, a tab, a clamp of a strip, a sleeve for a ferrule.
#[derive(Debug, Clone)]
pub struct LandingKind {
    /// Its name.
    pub name: Name,
    /// Where it is defined.
    pub span: Span,
    /// What it takes, in the order written; empty where nothing is said.
    pub takes: Vec<LandingTakes>,
    /// Rated current, all wires together.
    pub current: Option<At<Ampere>>,
    /// Rated voltage.
    pub voltage: Option<At<RatedVoltage>>,
    /// Torque of its screw.
    pub torque: Option<At<NewtonMetre>>,
    /// Length of insulation that is taken off.
    pub strip_length: Option<At<Millimetre>>,
}

/// So many wires of such sizes at one point.
#[derive(Debug, Clone, Copy)]
pub struct LandingTakes {
    /// How many wires at once.
    pub wires: At<u32>,
    /// Cross-section of each.
    pub size: At<Between<SquareMillimetre>>,
}

impl LandingKind {
    /// The most wires that it takes at once; `None` where nothing is said.
    #[must_use]
    pub fn most_wires(&self) -> Option<u32> {
        self.takes.iter().map(|row| row.wires.value).max()
    }

    /// The rows that judge so many wires: those for their number, else those for the next larger one; none where there are too many
    /// wires or nothing is said.
    pub fn rows(&self, wires: usize) -> impl Iterator<Item = &LandingTakes> {
        let fits = |row: &&LandingTakes| row.wires.value as usize >= wires;
        let number = self.takes.iter().filter(fits).map(|row| row.wires.value).min();
        self.takes.iter().filter(move |row| Some(row.wires.value) == number)
    }
}

/// A conductor kind.
#[derive(Debug, Clone)]
pub struct Conductor {
    /// Its name.
    pub name: Name,
    /// Where it is defined.
    pub span: Span,
    /// The standard that it is made to.
    pub standard: Option<At<Name>>,
    /// Rated temperature.
    pub rated: Option<At<Celsius>>,
    /// Rated voltage.
    pub voltage: Option<At<RatedVoltage>>,
    /// How it is stranded.
    pub strand: Option<Choice<Strand>>,
    /// Wall of the insulation.
    pub wall: Option<Choice<Wall>>,
    /// Material of the insulation; `None` where nothing is said.
    pub insulation: Option<At<Insulation>>,
}

/// One core of a cable kind.
#[derive(Debug, Clone)]
pub struct Core {
    /// Its label.
    pub label: Name,
    /// Where it is defined.
    pub span: Span,
    /// Cross-section.
    pub size: Option<At<SquareMillimetre>>,
    /// Colour.
    pub colour: Option<At<WireColour>>,
    /// Number of the twisted group that it belongs to.
    pub twist: Option<u32>,
}

/// A cable kind.
#[derive(Debug, Clone)]
pub struct CableKind {
    /// Its name.
    pub name: Name,
    /// Where it is defined.
    pub span: Span,
    /// Its cores.
    pub cores: Vec<Core>,
    /// Its screen.
    pub screen: Option<Choice<Screen>>,
    /// The standard that it is made to.
    pub standard: Option<At<Name>>,
    /// Rated voltage.
    pub voltage: Option<At<RatedVoltage>>,
    /// Rated temperature.
    pub rated: Option<At<Celsius>>,
    /// Material of the cores' insulation; `None` where nothing is said.
    pub insulation: Option<At<Insulation>>,
    /// How its conductors are stranded.
    pub strand: Option<Choice<Strand>>,
    /// Outer diameter.
    pub diameter: Option<At<Millimetre>>,
    /// Least inner bend radius.
    pub bend: Option<At<Millimetre>>,
    /// Colour of the sheath.
    pub sheath: Option<At<WireColour>>,
    /// Made for class A and B side by side.
    pub mixed: bool,
}

/// A fuse kind.
#[derive(Debug, Clone)]
pub struct FuseKind {
    /// Its name.
    pub name: Name,
    /// Where it is defined.
    pub span: Span,
    /// The standard that it is made to.
    pub standard: Option<At<Name>>,
    /// Body type of the standard; `None` where nothing is said.
    pub body: Option<At<FuseType>>,
    /// Rated current.
    pub rating: Option<At<Ampere>>,
    /// Rated voltage.
    pub voltage: Option<At<RatedVoltage>>,
    /// Rated breaking capacity.
    pub breaking: Option<At<Ampere>>,
    /// Cold resistance.
    pub resistance: Option<At<Ohm>>,
    /// Operating-time rating of its datasheet, rising by current; empty where nothing is said.
    pub gates: Vec<FuseGate>,
    /// Heat below which it does not open.
    pub melting: Option<At<AmpereSquaredSecond>>,
    /// Smallest current that it is sure to break, where its kind says one.
    pub lowest_break: Option<At<Ampere>>,
    /// Torque of a bolted fuse.
    pub torque: Option<At<NewtonMetre>>,
}

/// A gate of a fuse kind's own operating-time rating; at least one of the times is given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FuseGate {
    /// Where it is written.
    pub span: Span,
    /// Current as a share of the rating.
    pub at: Ratio,
    /// It does not open sooner.
    pub holds: Option<Second>,
    /// It has opened by then.
    pub opens_within: Option<Second>,
}
