//! Devices, their ports and pins, and how a port holds what comes to it.

use crate::{
    format::values::Choice,
    model::{
        ids::{DeviceId, DomainId, HousingId, LandingKindId, NetworkId, PointId, PointRange, PortId, PortRange, ZoneId},
        items::{Guard, InletLock, Isolation, IsolationMonitor},
    },
    quantity::{Ampere, NewtonMetre, Ohm},
    standards::rated::RatedVoltage,
    text::{At, Name, Span},
    vocabulary::{Access, Case, Drive, Function, Inlet, LinNode, Need, Pull, Role, Side, Termination},
};

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
    /// Which one it is of several alike on the vehicle.
    pub side: Option<Choice<Side>>,
    /// The pins of each circuit that must run apart from the others, with the place where the circuit is named.
    pub apart: Vec<(Vec<PointId>, Span)>,
    /// What must be true before it gets power for the first time, each in words.
    pub before_power: Vec<At<Name>>,
    /// What keeps its sides apart.
    pub isolation: Vec<Isolation>,
    /// Where it watches the isolation of a domain; `None` for a box that is not a monitor.
    pub monitor: Option<IsolationMonitor>,
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
    /// The body of its device, bolted to other metal.
    Body,
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
    /// Where it is: its own zone, else that of the device.
    pub zone: Option<ZoneId>,
    /// Connector, stud or point.
    pub kind: PortKind,
    /// Its points: the positions of its housing, or the one stud or point.
    pub points: PointRange,
    /// Where its housing is named.
    pub housing_span: Span,
    /// The stud or point of another device that a body is bolted to; `None` for every other port.
    pub body: Option<PortId>,
    /// Most rings on the stud.
    pub rings: Option<At<u32>>,
    /// How its live parts can be reached; `None` where nothing is said.
    pub access: Option<Choice<Access>>,
    /// The charging inlet that it is.
    pub inlet: Option<Choice<Inlet>>,
    /// The lock of the inlet.
    pub lock: Option<InletLock>,
    /// Torque of the stud.
    pub torque: Option<At<NewtonMetre>>,
    /// Largest current through the stud.
    pub current: Option<At<Ampere>>,
    /// Rated voltage of the stud.
    pub voltage: Option<At<RatedVoltage>>,
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
    /// Its data bus, with the place.
    pub network: Option<(NetworkId, Span)>,
    /// Whether its bus is terminated inside the box; that of the port where the pin gives none.
    pub termination: Option<Choice<Termination>>,
    /// What it is on its LIN bus.
    pub node: Option<Choice<LinNode>>,
    /// What it permits or forbids.
    pub guards: Vec<Guard>,
    /// It reduces the current of a coil once it has pulled in.
    pub economiser: bool,
    /// The most resistance of the interlock loop that it takes for closed.
    pub loop_resistance: Option<At<Ohm>>,
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

impl Port {
    /// The housing of a connector, where it is named.
    #[must_use]
    pub fn housing(&self) -> Option<HousingId> {
        match self.kind {
            PortKind::Connector(housing) => housing,
            PortKind::Stud(_) | PortKind::Landing(_) | PortKind::Body => None,
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
            PortKind::Body => "body",
        }
    }
}
