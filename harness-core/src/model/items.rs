//! The things of a resolved design. Optional facts stay optional: a check that lacks one says so.

use super::ids::{
    CableId, CableKindId, ConductorId, DeviceId, DomainId, EndId, FuseKindId, HousingId, LoomId, ModeSet, PinId, PointId,
    PointRange, PortId, SegmentId, SpliceId, TerminalId, ZoneId,
};
use crate::{
    document::{
        devices::{Drive, Function, Hand, Need, Pull, Role},
        inside::{Demand, LoadKind, RelayKind, Suppression},
        looms::Covering,
        parts::{Contacts, Plating, Screen, Side, Wall},
        values::{At, Between, Choice},
    },
    finding::Level,
    quantity::{Ampere, Celsius, Farad, Metre, Millimetre, NewtonMetre, Ohm, Ratio, SquareMillimetre, Volt},
    standards::colour::WireColour,
    text::{Name, Span},
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
    /// What its voltage stands against.
    pub reference: crate::document::design::Reference,
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
}

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
    pub seen_from: Option<Choice<Side>>,
    /// Sockets or pins.
    pub contacts: Option<Choice<Contacts>>,
    /// Keyway.
    pub key: Option<At<Name>>,
    /// Cross-sections that its contacts take.
    pub takes_size: Option<At<Between<SquareMillimetre>>>,
    /// Insulation diameters that its seals take.
    pub takes_insulation: Option<At<Between<Millimetre>>>,
    /// Current per contact with one contact loaded.
    pub current: Option<At<Ampere>>,
    /// Rated voltage.
    pub voltage: Option<At<Volt>>,
    /// Resistance of one mated contact.
    pub contact_resistance: Option<At<Ohm>>,
    /// Keeps water out; `None` where nothing is said.
    pub sealed: Option<At<bool>>,
    /// Most wires in one cavity.
    pub max_wires: u32,
    /// Made for voltage class B.
    pub hv: bool,
    /// Made for class A and B side by side.
    pub mixed: bool,
    /// Labels of its interlock contacts.
    pub interlock: Vec<Name>,
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
    pub voltage: Option<At<Volt>>,
    /// Wall of the insulation.
    pub wall: Option<Choice<Wall>>,
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
    pub voltage: Option<At<Volt>>,
    /// Rated temperature.
    pub rated: Option<At<Celsius>>,
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
    /// Rated current.
    pub rating: Option<At<Ampere>>,
    /// Rated voltage.
    pub voltage: Option<At<Volt>>,
    /// Rated breaking capacity.
    pub breaking: Option<At<Ampere>>,
    /// Cold resistance.
    pub resistance: Option<At<Ohm>>,
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
    pub ports: Vec<PortId>,
    /// The chassis or body of the vehicle.
    pub chassis: bool,
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
}

/// The thread of a stud or ring, as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Thread {
    /// The name.
    pub name: Name,
    /// Where it stands.
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
    /// Connector or stud.
    pub kind: PortKind,
    /// Its points: the positions of its housing, or the stud.
    pub points: PointRange,
    /// Where its housing is named.
    pub housing_span: Span,
    /// Most rings on the stud.
    pub rings: Option<At<u32>>,
    /// Torque of the stud.
    pub torque: Option<At<NewtonMetre>>,
}

/// A loom.
#[derive(Debug, Clone)]
pub struct Loom {
    /// Its name.
    pub name: Name,
    /// Where it is defined.
    pub span: Span,
    /// Where it lies.
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
}

/// What an end is joined to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
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
    /// Connector or ring.
    pub kind: EndKind,
    /// Its points: the positions of its housing, or the ring.
    pub points: PointRange,
    /// Where its housing is named.
    pub housing_span: Span,
    /// What it mates or is bolted to.
    pub mate: Option<Mate>,
    /// Where `mates` or `bolts-to` stands; `None` where the end says neither.
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
    /// Where its number stands.
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
    /// Where its screen ends, with the places.
    pub screen: [Option<(PointId, Span)>; 2],
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
    /// Where it lies.
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
    /// A stud of a device.
    Stud(PortId),
    /// A point inside a device.
    Node(DeviceId),
    /// A cavity of a loom's connector.
    Cavity(EndId),
    /// A ring of a loom.
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

/// What holds an element.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Owner {
    /// A device.
    Device(DeviceId),
    /// A loom.
    Loom(LoomId),
}

/// What an element does between its points.
#[derive(Debug, Clone)]
pub enum ElementKind {
    /// EMF; points: positive, negative.
    Source {
        /// Open-circuit voltage.
        emf: Volt,
        /// Internal resistance.
        resistance: Option<At<Ohm>>,
        /// Largest current.
        limit: Option<At<Ampere>>,
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
        peak: Option<At<Ampere>>,
        /// Polarity matters.
        polarised: bool,
        /// Modes in which it runs.
        modes: ModeSet,
    },
    /// A resistor; two points.
    Resistor(At<Ohm>),
    /// A capacitor; two points.
    Capacitor(At<Farad>),
    /// A diode; points: anode, cathode.
    Diode(At<Volt>),
    /// A fuse; two points.
    Fuse {
        /// The kind.
        kind: Option<FuseKindId>,
        /// Whether a fuse is in the holder.
        fitted: bool,
    },
    /// A switch; two points.
    Switch {
        /// Modes in which it is closed.
        closed: ModeSet,
        /// Rated current.
        current: Option<At<Ampere>>,
        /// Rated voltage.
        voltage: Option<At<Volt>>,
    },
    /// A relay; points: coil, coil, then the contact's two or three.
    Relay {
        /// Kind of contact.
        contact: RelayKind,
        /// Coil resistance.
        resistance: Option<At<Ohm>>,
        /// Pull-in voltage.
        pull_in: Option<At<Volt>>,
        /// Suppression.
        suppression: Option<Suppression>,
        /// Rated current.
        current: Option<At<Ampere>>,
        /// Rated voltage.
        voltage: Option<At<Volt>>,
    },
    /// A service disconnect; two points.
    Disconnect {
        /// Modes in which it is out.
        out: ModeSet,
        /// Rated current.
        current: Option<At<Ampere>>,
        /// Rated voltage.
        voltage: Option<At<Volt>>,
    },
    /// Joins all its points.
    Link {
        /// Resistance between neighbours.
        resistance: Option<At<Ohm>>,
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
        /// Modes in which it runs.
        modes: ModeSet,
    },
    /// The bridge that closes the interlock loop; two points.
    Interlock {
        /// The port that opens it.
        of: Option<PortId>,
    },
}

/// An element inside a device or in a loom.
#[derive(Debug, Clone)]
pub struct Element {
    /// Its name.
    pub name: Name,
    /// Where its name stands.
    pub span: Span,
    /// Where its kind or rating stands: the value behind its first key.
    pub value_span: Span,
    /// What holds it.
    pub owner: Owner,
    /// Its points, in the order that its kind gives.
    pub points: Box<[PointId]>,
    /// What it does.
    pub kind: ElementKind,
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
    /// Ambient without a zone.
    pub ambient: Option<At<Celsius>>,
    /// Rated temperature of a conductor whose kind gives none.
    pub rated: Option<At<Celsius>>,
    /// Most rings on one stud.
    pub rings_per_stud: Option<At<u32>>,
    /// Raised levels: rule, level, place.
    pub levels: Vec<(Name, Level, Span)>,
}
