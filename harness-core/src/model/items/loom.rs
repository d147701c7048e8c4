//! Looms: ends, splices, wires, cables, segments of a route.

use super::device::Thread;
use crate::{
    format::values::Choice,
    model::ids::{
        CableId, CableKindId, ConductorId, EndId, HousingId, LoomId, PointId, PointRange, PortId, SegmentId, TerminalId, ZoneId,
    },
    quantity::{Ampere, Metre, Millimetre, SquareMillimetre},
    standards::colour::WireColour,
    standards::rated::RatedVoltage,
    text::{At, Name, Span},
    vocabulary::{Covering, Peak},
};

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
    /// What is added to each end of a wire whose length follows from the route.
    pub allowance: Option<At<Metre>>,
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
    /// The label of the mate's pin that a cavity meets, where the two halves number differently, with the place.
    pub pins: Vec<(PointId, Name, Span)>,
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
    /// The segment of the route that it hangs on.
    pub at: Option<SegmentId>,
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
    /// The segment of the route that it is in.
    pub at: Option<SegmentId>,
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
    /// Where the core is written.
    pub core_span: Option<Span>,
    /// Twisted group.
    pub twist: Option<Name>,
    /// Segments that it runs through.
    pub via: Box<[SegmentId]>,
    /// A loose end that is closed off.
    pub capped: bool,
    /// Current that it carries for long, where the wire itself gives one.
    pub current: Option<At<Ampere>>,
    /// Short-time current.
    pub peak: Option<At<Peak>>,
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
    /// Where the kind is written.
    pub kind_span: Span,
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
    /// It crosses a joint or hinge; the place where that is said.
    pub moves: Option<Span>,
    /// The tightest bend in it.
    pub bend: Option<At<Millimetre>>,
    /// Inner diameter of what it goes through.
    pub passage: Option<At<Millimetre>>,
    /// The nodes of the route between which it runs.
    pub nodes: [Option<At<Name>>; 2],
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
