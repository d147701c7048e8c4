//! The chain of class B: everything of class B between what gives current and what takes it, and what opens what.
//!
//! What conductors, contacts and elements of class B join is one circuit. Its plus rail begins at the highest pole of its battery and its minus
//! rail at the lowest; between the rails its ways are rows and ways side by side, as `reduce` finds them. A way of another form is cut, and both
//! cut ends bear a letter. A conductor that no source reaches is a row by itself. Beside the circuits are the lines of class A that let their
//! contacts go: interlock loops, coils, and the order in which contacts close.
//!
//! Everything of class B is in a circuit or among what is left out, with the reason.
//!
//! Cost: a few passes over the edges, beside the facts.

mod circuits;
mod closing;
mod items;
mod low;
mod places;
mod reduce;
mod rest;

pub use closing::{Closing, ClosingAct, ClosingStep, Contact, Order};
pub use items::{CutEnd, Half, Item, Spot, Step, WirePart};
pub use low::{Coil, CoilEnd, Loop, LoopEnd, LoopStop, Opens};
pub use rest::{LeftOut, Reason};

use super::Letter;
use crate::{analysis::Analysis, quantity::Volt, vocabulary::Reference};

/// The chain of class B of a design.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Chain {
    /// The circuits: those with a battery first, then by voltage, the highest first.
    pub circuits: Vec<Circuit>,
    /// Conductors that no source, store or consumer is drawn at, such as the phases of a motor.
    pub loose: Vec<Row>,
    /// The interlock loops, in the order written.
    pub loops: Vec<Loop>,
    /// The coils of the contactors, in the order of their contacts.
    pub coils: Vec<Coil>,
    /// When contacts of class B are shut.
    pub closing: Closing,
    /// What is of class B and not drawn, in the order written.
    pub left_out: Vec<LeftOut>,
}

/// What is joined, between its two rails.
#[derive(Debug, Clone, PartialEq)]
pub struct Circuit {
    /// The name of its voltage domain.
    pub domain: String,
    /// Its nominal voltage.
    pub nominal: Volt,
    /// Its highest working voltage.
    pub max: Volt,
    /// Alternating.
    pub ac: bool,
    /// What its voltage is measured against.
    pub reference: Reference,
    /// Where its plus rail begins.
    pub plus: Spot,
    /// Where its minus rail begins.
    pub minus: Spot,
    /// The ways from plus to minus: what gives current first, the one that branches on last.
    pub lanes: Vec<Vec<Step>>,
    /// What hangs at one place, or was cut: from a letter to a letter, or to an end.
    pub rows: Vec<Row>,
}

/// A way that is not between the rails.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Where it begins.
    pub from: CutEnd,
    /// What is in it.
    pub steps: Vec<Step>,
    /// Where it ends.
    pub to: CutEnd,
}

impl Chain {
    /// The chain of a design; empty where it has nothing of class B.
    #[must_use]
    pub fn of(analysis: &Analysis) -> Self {
        let live = places::Live::new(analysis);
        let (circuits, loose, shown) = circuits::circuits(analysis, &live);
        let contacts = closing::contacts(analysis);
        Self {
            left_out: rest::rest(analysis, &live, &shown),
            loops: low::loops(analysis),
            coils: low::coils(analysis, &contacts),
            closing: closing::closing(analysis, &contacts),
            circuits,
            loose,
        }
    }

    /// Whether the design has nothing of class B.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.circuits.is_empty() && self.loose.is_empty() && self.left_out.is_empty()
    }

    /// All steps of its circuits and rows.
    #[must_use]
    pub fn steps(&self) -> Vec<&Step> {
        let lanes = self.circuits.iter().flat_map(|circuit| circuit.lanes.iter());
        let rows = self.circuits.iter().flat_map(|circuit| circuit.rows.iter()).chain(&self.loose).map(|row| &row.steps);
        lanes.chain(rows).flat_map(|steps| items::all(steps)).collect()
    }
}

/// A letter at both ends of what was cut.
type Letters = super::letter::Letters;

/// Letters at a place.
type Marks = Vec<Letter>;
