//! Domains, devices, looms and their points. Optional facts stay optional: a check that lacks one says so.

use super::ids::{
    CableId, CableKindId, ConductorId, DeviceId, DomainId, EndId, HousingId, LandingKindId, LoomId, PinId, PointId, PointRange,
    PortId, PortRange, SegmentId, SpliceId, TerminalId, ZoneId,
};
use crate::{
    date::Date,
    finding::Level,
    format::{design::VoltageDrop, values::Choice},
    quantity::{Ampere, Celsius, Metre, NewtonMetre, Ohm, Ratio, SquareMillimetre, Volt},
    standards::{colour::WireColour, rated::RatedVoltage},
    text::{At, Name, Span, Text},
    vocabulary::{CapacityTable, Case, Covering, Drive, Function, Hand, Need, Pull, Role},
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
    /// The vehicle is left like this for days; the place where the design says so.
    pub standing: Option<Span>,
}

/// A device.
#[derive(Debug, Clone)]
pub struct Device {
    /// Its name.
    pub name: Name,
    /// Where it is defined.
    pub span: Span,
    /// Where it sits.
    pub zone: Option<ZoneId>,
    /// Its ports.
    pub ports: PortRange,
    /// The chassis or body of the vehicle.
    pub chassis: bool,
    /// What its case is made of; `None` where nothing is said.
    pub case: Option<Choice<Case>>,
    /// Part of this build.
    pub fitted: bool,
    /// What the vehicle needs it for.
    pub function: Option<Choice<Function>>,
    /// Side of the vehicle.
    pub side: Option<Choice<Hand>>,
}

/// What a port is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PortKind {
    /// A connector; `None` where its housing is not named.
    Connector(Option<HousingId>),
    /// A stud with its thread as written.
    Stud(Thread),
    /// A point that takes a bare wire.
    Landing(Landing),
}

/// A point of a device that takes a wire without a plug.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Landing {
    /// How it holds the wire.
    pub fixing: Fixing,
    /// Its kind; `None` where that is not known (a mistake that was reported).
    pub kind: Option<LandingKindId>,
}

/// How a point of a device holds a wire.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fixing {
    /// Under a screw.
    Screw,
    /// By a push-on terminal on a tab.
    Tab,
    /// In a clamp of a strip.
    Strip,
    /// In a clamp made for ferrules.
    Ferrule,
}

impl Fixing {
    /// What the trade calls such a point.
    #[must_use]
    pub fn noun(self) -> &'static str {
        match self {
            Self::Screw => "screw",
            Self::Tab => "tab",
            Self::Strip => "strip clamp",
            Self::Ferrule => "ferrule clamp",
        }
    }
}

/// The thread of a stud or ring, as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Thread {
    /// The name.
    pub name: Name,
    /// Where it is.
    pub span: Span,
}

/// A port of a device.
#[derive(Debug, Clone)]
pub struct Port {
    /// Its name.
    pub name: Name,
    /// Where it is defined.
    pub span: Span,
    /// The device.
    pub device: DeviceId,
    /// Connector, stud or point.
    pub kind: PortKind,
    /// Its points: the positions of its housing, or the one stud or point.
    pub points: PointRange,
    /// Where its housing is named.
    pub housing_span: Span,
    /// Most rings on the stud.
    pub rings: Option<At<u32>>,
    /// Torque of the stud.
    pub torque: Option<At<NewtonMetre>>,
    /// Largest current through the stud.
    pub current: Option<At<Ampere>>,
    /// Rated voltage of the stud.
    pub voltage: Option<At<RatedVoltage>>,
}

/// A loom.
#[derive(Debug, Clone)]
pub struct Loom {
    /// Its name.
    pub name: Name,
    /// Where it is defined.
    pub span: Span,
    /// Where it is.
    pub zone: Option<ZoneId>,
    /// Its ends.
    pub ends: Vec<EndId>,
    /// Part of this build.
    pub fitted: bool,
}

/// What an end is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EndKind {
    /// A connector; `None` where its housing is not named.
    Connector(Option<HousingId>),
    /// A ring terminal with its thread as written.
    Ring(Thread),
    /// Bare wire ends, or wire ends with a ferrule or push-on terminal, that go to one point of a device.
    Bare,
}

/// What an end is joined to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Mate {
    /// A port of a device.
    Port(PortId),
    /// An end of a loom.
    End(EndId),
}

/// An end of a loom.
#[derive(Debug, Clone)]
pub struct End {
    /// Its name.
    pub name: Name,
    /// Where it is defined.
    pub span: Span,
    /// The loom.
    pub loom: LoomId,
    /// Connector, ring or bare end.
    pub kind: EndKind,
    /// Its points: the positions of its housing, or the one ring or bare end.
    pub points: PointRange,
    /// Where its housing is named.
    pub housing_span: Span,
    /// What it mates or is bolted to.
    pub mate: Option<Mate>,
    /// Where `mates`, `bolts-to` or `lands-on` is written; `None` where the end has none of them.
    pub mate_span: Option<Span>,
    /// Cavities closed by a plug, with the place.
    pub plugged: Vec<(PointId, Span)>,
    /// Terminal of its cavities, with the place.
    pub terminal: Option<(TerminalId, Span)>,
    /// Other terminals, by cavity.
    pub terminals: Vec<(PointId, TerminalId, Span)>,
    /// Where it sits.
    pub zone: Option<ZoneId>,
    /// Free length.
    pub reach: Option<At<Metre>>,
    /// Rated current of a ring.
    pub current: Option<At<Ampere>>,
    /// Rated voltage of a ring.
    pub voltage: Option<At<RatedVoltage>>,
}

/// A splice.
#[derive(Debug, Clone)]
pub struct Splice {
    /// Its name.
    pub name: Name,
    /// Where it is defined.
    pub span: Span,
    /// The loom.
    pub loom: LoomId,
    /// Its point.
    pub point: PointId,
    /// Where it sits.
    pub zone: Option<ZoneId>,
}

/// A wire, or a core of a cable.
#[derive(Debug, Clone)]
pub struct Wire {
    /// Its number.
    pub name: Name,
    /// Where its number is.
    pub span: Span,
    /// The loom.
    pub loom: LoomId,
    /// One end; `None` where it is at nothing.
    pub from: Option<PointId>,
    /// The other end.
    pub to: Option<PointId>,
    /// Where the ends are written.
    pub from_span: Span,
    /// Where the other end is written.
    pub to_span: Span,
    /// Cross-section, from the wire or its core.
    pub size: Option<At<SquareMillimetre>>,
    /// Colour, from the wire or its core.
    pub colour: Option<At<WireColour>>,
    /// Length, from the wire or its cable.
    pub length: Option<At<Metre>>,
    /// Conductor kind.
    pub kind: Option<ConductorId>,
    /// The cable and the position of its core.
    pub core: Option<(CableId, u32)>,
    /// Twisted group.
    pub twist: Option<Name>,
    /// Segments that it runs through.
    pub via: Box<[SegmentId]>,
    /// A loose end that is closed off.
    pub capped: bool,
    /// Current that it carries for long, where the wire itself gives one.
    pub current: Option<At<Ampere>>,
    /// Short-time current.
    pub peak: Option<At<Ampere>>,
}

/// A cable of a loom.
#[derive(Debug, Clone)]
pub struct Cable {
    /// Its name.
    pub name: Name,
    /// Where it is defined.
    pub span: Span,
    /// The loom.
    pub loom: LoomId,
    /// The cable kind.
    pub kind: Option<CableKindId>,
    /// Length.
    pub length: Option<At<Metre>>,
    /// Segments that it runs through; its cores run there too.
    pub via: Box<[SegmentId]>,
    /// Current that each of its live cores carries for long, where it is given.
    pub current: Option<At<Ampere>>,
    /// Where its screen ends, with the places.
    pub screen: [Option<(PointId, Span)>; 2],
    /// Copper cross-section of a screen that is meant to be a bond.
    pub screen_size: Option<At<SquareMillimetre>>,
}

/// A segment of a route.
#[derive(Debug, Clone)]
pub struct Segment {
    /// Its name.
    pub name: Name,
    /// Where it is defined.
    pub span: Span,
    /// The loom.
    pub loom: LoomId,
    /// Where it is.
    pub zone: Option<ZoneId>,
    /// Length.
    pub length: Option<At<Metre>>,
    /// What covers it.
    pub covering: Option<Choice<Covering>>,
    /// A barrier keeps class A and B apart.
    pub barrier: bool,
}

/// What a pin or stud of a device needs.
#[derive(Debug, Clone, Default)]
pub struct Pin {
    /// Signal.
    pub signal: Option<At<Name>>,
    /// Role.
    pub role: Option<Choice<Role>>,
    /// Domain, with the place.
    pub domain: Option<(DomainId, Span)>,
    /// How it drives.
    pub drive: Option<Choice<Drive>>,
    /// What holds it.
    pub pull: Option<Choice<Pull>>,
    /// Its driver clamps.
    pub clamped: bool,
    /// Which tap of a string it measures, counted from the negative end.
    pub tap: Option<At<u32>>,
    /// Whether it must be wired.
    pub need: Option<Choice<Need>>,
    /// Nothing is behind it; the place where that is said.
    pub spare: Option<Span>,
}

/// What a point is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PointKind {
    /// A pin of a device's connector.
    Pin(PortId),
    /// The one point of a port that is not a connector: a stud, screw, tab, strip or ferrule clamp; the port says which.
    Stud(PortId),
    /// A point inside a device.
    Node(DeviceId),
    /// A cavity of a loom's connector.
    Cavity(EndId),
    /// The one point of a loom end that is not a connector: a ring or a bare end; the end says which.
    Ring(EndId),
    /// A splice.
    Splice(SpliceId),
}

/// A point that a probe can touch.
#[derive(Debug, Clone)]
pub struct Point {
    /// What it is.
    pub kind: PointKind,
    /// Its label in its port, end, device or loom.
    pub label: Name,
    /// Where it is written: the pin's key, else its housing, port or end.
    pub span: Span,
    /// What it needs, for pins and studs of which something is said.
    pub pin: Option<PinId>,
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

impl Port {
    /// The housing of a connector, where it is named.
    #[must_use]
    pub fn housing(&self) -> Option<HousingId> {
        match self.kind {
            PortKind::Connector(housing) => housing,
            PortKind::Stud(_) | PortKind::Landing(_) => None,
        }
    }
}

impl Port {
    /// What the trade calls it.
    #[must_use]
    pub fn noun(&self) -> &'static str {
        match self.kind {
            PortKind::Connector(_) => "connector",
            PortKind::Stud(_) => "stud",
            PortKind::Landing(landing) => landing.fixing.noun(),
        }
    }
}

impl End {
    /// Whether it is a connector rather than a ring or a bare end.
    #[must_use]
    pub fn is_connector(&self) -> bool {
        match self.kind {
            EndKind::Connector(_) => true,
            EndKind::Ring(_) | EndKind::Bare => false,
        }
    }

    /// The housing of a connector, where it is named.
    #[must_use]
    pub fn housing(&self) -> Option<HousingId> {
        match self.kind {
            EndKind::Connector(housing) => housing,
            EndKind::Ring(_) | EndKind::Bare => None,
        }
    }

    /// What the trade calls it.
    #[must_use]
    pub fn noun(&self) -> &'static str {
        match self.kind {
            EndKind::Connector(_) => "connector",
            EndKind::Ring(_) => "ring",
            EndKind::Bare => "bare end",
        }
    }
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
