//! Steps with ids: what hands do in which mode, what is open before and after, and what is read.

use super::readings::Read;
use crate::{
    facts::precharge::Precharge,
    model::{DeviceId, DomainId, ModeId},
    network::EdgeId,
    quantity::{Ampere, Second, Volt},
};
use std::{collections::BTreeSet, sync::Arc};

/// What a step is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Act {
    /// Every loom was rung out.
    RungOut,
    /// What is kept off until its step comes.
    KeptOff,
    /// What devices need before they get power: each with the place in its list, all of the same text.
    Condition(Vec<(DeviceId, usize)>),
    /// Bonds of boxes with class B.
    Bonds,
    /// Everything of class B is mated and the interlock loop closed.
    Mated,
    /// Insulation of a domain of class B against the chassis.
    Insulation(DomainId),
    /// Resistance of what precharge resistors charge.
    Buses,
    /// A battery comes on, by its place.
    Battery(usize),
    /// A supply is switched on, by its place.
    Supply(usize),
    /// A disconnect or main switch goes in, by its place.
    Disconnect(usize),
    /// A fuse goes in, by its place.
    Fuse(usize),
    /// Fuses go in that nothing feeds yet.
    DeadFuses(Vec<usize>),
    /// A mode is switched to.
    Mode(ModeId),
    /// Something that must let contacts go is opened, by its place.
    Trial(usize),
    /// Isolation of a domain of class B with its battery in.
    Isolation(DomainId),
    /// A supply from outside is plugged in, for this mode.
    PlugIn(ModeId),
    /// The vehicle moves by itself for the first time, in this mode.
    FirstDrive(ModeId),
    /// The vehicle is brought to rest for work.
    Settle,
    /// A disconnect or main switch is taken out, by its place.
    TakeOut(usize),
    /// A battery comes off, by its place.
    TakeOff(usize),
    /// Fuses are pulled, by their places.
    Pull(Vec<usize>),
    /// Capacitors empty.
    Wait,
    /// The absence of voltage is proven.
    ProveDead,
    /// The work itself.
    Work,
}

/// A stage of the paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Phase {
    /// Without any voltage.
    Dead,
    /// Supplies and fuses of class A.
    ClassA,
    /// Every mode with class B out.
    Modes,
    /// Class B.
    ClassB,
    /// Supplies from outside.
    Outside,
    /// It moves.
    Moving,
    /// Making a vehicle safe for work.
    MakeSafe,
    /// Work on it.
    AtWork,
    /// Putting it back into service.
    PutBack,
}

/// A capacitor that is charged through a resistor as the step begins.
#[derive(Debug, Clone)]
pub struct Watched {
    /// What charges it.
    pub precharge: Precharge,
    /// Times with the least voltage that it has then: nine tenths, all but one in a hundred.
    pub at: Vec<(Second, Volt)>,
}

/// A step with ids.
#[derive(Debug, Clone)]
pub struct Planned {
    /// What it is about.
    pub act: Act,
    /// The stage.
    pub phase: Phase,
    /// Trained people alone do it.
    pub trained: bool,
    /// The mode in which hands work.
    pub hands: ModeId,
    /// What hands keep open before it.
    pub before: Arc<BTreeSet<EdgeId>>,
    /// What is opened while hands work and closed again behind them.
    pub meanwhile: Vec<EdgeId>,
    /// What is opened to see what it does, and closed again: readings after it are made with this open too.
    pub tried: Vec<EdgeId>,
    /// What is open after it.
    pub open: Arc<BTreeSet<EdgeId>>,
    /// The mode in which it is read.
    pub mode: ModeId,
    /// What a meter shows.
    pub reads: Vec<Read>,
    /// How many more could be read.
    pub more: usize,
    /// A contact of class A that carries so much as soon as it is made.
    pub spark: Option<Ampere>,
    /// What is charged as it begins.
    pub watched: Vec<Watched>,
    /// No steady state was found in it, so that nothing can be said of its readings.
    pub unknown: bool,
}

impl Planned {
    /// What is open while the readings are made that are not made before it.
    #[must_use]
    pub fn seen(&self) -> BTreeSet<EdgeId> {
        self.open.iter().chain(&self.tried).copied().collect()
    }
}
