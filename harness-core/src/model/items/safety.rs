//! What a design says of safety: what opens what, what can be reached, what keeps two sides apart.

use crate::{
    format::values::Choice,
    model::ids::{CoverId, DeviceId, ElementId, ModeId, ModeSet, PointId, PortId},
    quantity::BitRate,
    standards::rated::RatedVoltage,
    text::{At, Name, Span},
    vocabulary::{Access, Active, Bus, Permission},
};

/// A data bus.
#[derive(Debug, Clone)]
pub struct Network {
    /// Its name.
    pub name: Name,
    /// Where it is defined.
    pub span: Span,
    /// Which bus; `None` if the file does not say it (a mistake that was reported).
    pub kind: Option<Choice<Bus>>,
    /// Its bit rate.
    pub rate: Option<At<BitRate>>,
}

/// A lid or cover of a device.
#[derive(Debug, Clone)]
pub struct Cover {
    /// Its name.
    pub name: Name,
    /// Where it is defined.
    pub span: Span,
    /// The device.
    pub device: DeviceId,
    /// How it is opened; `None` where nothing is said.
    pub access: Option<Choice<Access>>,
    /// What can be touched when it is open, with the places.
    pub reaches: Vec<(PointId, Span)>,
}

/// What keeps two sides of a box apart.
#[derive(Debug, Clone)]
pub struct Isolation {
    /// Ports of one side.
    pub between: Vec<PortId>,
    /// Ports of the other side.
    pub and: Vec<PortId>,
    /// The voltage to which it is tested.
    pub voltage: Option<At<RatedVoltage>>,
    /// Where it is written.
    pub span: Span,
}

/// A monitor of the isolation between a domain and the chassis.
#[derive(Debug, Clone, Copy)]
pub struct IsolationMonitor {
    /// Where it is connected.
    pub at: PointId,
    /// Modes in which it measures.
    pub modes: ModeSet,
    /// Where it is written.
    pub span: Span,
}

/// The lock of a charging inlet.
#[derive(Debug, Clone)]
pub struct InletLock {
    /// Pins of its motor.
    pub motor: Vec<PointId>,
    /// Pins that report whether it is locked.
    pub feedback: Vec<PointId>,
    /// Where it is written.
    pub span: Span,
}

/// What must open contacts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum OpenedBy {
    /// A mode: they must be open in it.
    Mode(ModeId),
    /// A contact or a bridge of an interlock loop: they must be open when it is.
    Element(ElementId),
    /// A cover: they must be open when it is.
    Cover(CoverId),
}

/// Contacts that must be open in a mode, or when something else is open.
#[derive(Debug, Clone)]
pub struct Opening {
    /// What must open them.
    pub by: OpenedBy,
    /// The contacts with the places where they are named; at least one.
    pub contacts: Vec<(ElementId, Span)>,
}

/// What a signal permits or forbids at its active level.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Guard {
    /// What.
    pub what: Permission,
    /// Whether it permits it; else it forbids it.
    pub permits: bool,
    /// The level at which it does.
    pub active: Active,
    /// Where it is written.
    pub span: Span,
}

/// What opens a bridge of an interlock loop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Opener {
    /// A connector that is pulled.
    Port(PortId),
    /// A cover that is opened.
    Cover(CoverId),
}
