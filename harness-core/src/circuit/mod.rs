//! A circuit of nodes and branches, and the operating state that is computed for it.
//!
//! Owns the shapes alone; [`super::circuit::solve`] computes. Knows nothing of harnesses: whoever builds a circuit keeps the list of what
//! each node and branch is.

pub mod altered;
pub mod ports;
pub mod solve;

use crate::quantity::{Ampere, Ohm, Ratio, Volt, Watt};

/// Nodes joined by branches.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Circuit {
    /// Number of nodes; they are numbered from zero.
    pub nodes: u32,
    /// The branches; a branch is known by its place in this list.
    pub branches: Vec<Branch>,
    /// Nodes preferred as zero volt of the island they are in; the first of an island wins.
    ///
    /// An island that holds none of them is measured against its node of lowest number.
    pub references: Vec<u32>,
}

/// One two-terminal element.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Branch {
    /// The node at which a positive current enters the branch.
    pub from: u32,
    /// The node at which a positive current leaves the branch.
    pub to: u32,
    /// What the branch is.
    pub kind: BranchKind,
}

/// What a branch does with the voltage across it. Resistances are above zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BranchKind {
    /// No connection: an open switch, a pulled fuse.
    Open,
    /// A resistance: a wire, a contact, a fuse, a closed switch, a link, a resistor.
    Resistance(Ohm),
    /// A voltage source with internal resistance; its positive terminal is `to`.
    ///
    /// A positive branch current leaves the positive terminal. A source with a `limit` delivers that constant current where the
    /// voltage source would deliver more, and takes no reverse current.
    Source {
        /// The open-circuit voltage.
        emf: Volt,
        /// The internal resistance.
        resistance: Ohm,
        /// The most it delivers.
        limit: Option<Ampere>,
    },
    /// A constant current while the voltage is at least half the nominal one, below that a resistance. Polarity follows the voltage.
    CurrentLoad {
        /// The current drawn.
        amps: Ampere,
        /// The voltage it is made for.
        nominal: Volt,
    },
    /// A constant power while the voltage is at least half the nominal one, below that a resistance. Polarity follows the voltage.
    PowerLoad {
        /// The power drawn.
        watts: Watt,
        /// The voltage it is made for.
        nominal: Volt,
    },
    /// Conducts from `from` to `to` only.
    Diode {
        /// The forward voltage at no current.
        drop: Volt,
        /// The forward resistance.
        resistance: Ohm,
    },
    /// A resistance that energises its relay contacts.
    Coil {
        /// The resistance of the winding.
        resistance: Ohm,
        /// The voltage, of either polarity, from which the contacts move.
        pull_in: Volt,
        /// The voltage, of either polarity, down to which they stay moved.
        hold: Volt,
    },
    /// A contact that follows a coil.
    RelayContact {
        /// The branch that is its coil.
        coil: u32,
        /// `true` for a normally open contact.
        closed_when_energised: bool,
        /// The resistance of the closed contact.
        resistance: Ohm,
    },
    /// The input side of a converter: draws the power of its output divided by the efficiency.
    ///
    /// Below half its nominal voltage it draws nothing, and its output is off.
    ConverterInput {
        /// The branch that is its output, a [`BranchKind::Source`].
        output: u32,
        /// Output power by input power, above 0 and at most 1.
        efficiency: Ratio,
        /// The input voltage it is made for.
        nominal: Volt,
    },
}

/// The operating state of a circuit.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Operating {
    /// Per node, against the reference of its island.
    pub volts: Vec<Volt>,
    /// Per branch, positive from `from` to `to`.
    pub amps: Vec<Ampere>,
    /// Per node: whether its island holds a source that is on.
    pub live: Vec<bool>,
    /// Per branch: `true` for a coil that holds its contacts moved.
    pub energised: Vec<bool>,
    /// Sources, ascending, that deliver their limit and less than their voltage.
    pub limiting: Vec<u32>,
    /// Per branch: `true` for a converter input that runs its output.
    pub converting: Vec<bool>,
    /// Per node: the island it is in, numbered in the order of the lowest node of each.
    ///
    /// Two nodes share an island if branches that conduct in this state join them; a load conducts for this purpose only if it is
    /// the only way between its terminals.
    pub island: Vec<u32>,
    /// Loads and converter inputs, ascending, whose terminals no conducting branch other than a load joins.
    ///
    /// Such a load carries nothing, unless other loads complete its path: its `amps` says which. Up to 1 % of its nominal voltage,
    /// as between two grounds, it can be taken to carry nothing even then.
    pub no_return: Vec<u32>,
    /// Branches, ascending, whose state did not settle: their last state is reported. A coil among them is the likely cause.
    pub unsettled: Vec<u32>,
    /// What makes the coils and converter inputs among them change over and back, ascending.
    pub swings: Vec<Swing>,
    /// Coils and converter inputs, ascending, of circuits that did not settle because they have several states of rest: on in one of
    /// them and off in another. Which is reached depends on what switches first.
    pub contested: Vec<u32>,
    /// Branches, ascending, that did not settle in a circuit of which it is not known that it has no state of rest: not every order of
    /// switching was tried, no voltages were found for one setting, or converters feed each other in a ring. For the others it is known.
    pub unexplored: Vec<u32>,
    /// Branches that were left out, ascending.
    pub refused: Vec<Refusal>,
    /// The worst error in Kirchhoff's two laws: current relative to the largest branch current of the island, voltage relative to
    /// the voltages in the loop.
    pub residual: f64,
    /// How many times the network was solved to find the state.
    pub rounds: u32,
}

/// A coil or a converter input that changes over because of what its own change does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Swing {
    /// The branch.
    pub branch: u32,
    /// The voltage, without its sign, that makes the coil pull in or the converter start.
    pub off: Volt,
    /// The voltage, without its sign, that is left then: the coil lets go, or the converter stops.
    pub on: Volt,
}

/// A branch that was left out of the circuit, as if open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Refusal {
    /// The branch.
    pub branch: u32,
    /// Why it was left out.
    pub why: RefusalReason,
}

/// Why a branch was left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RefusalReason {
    /// An end names a node beyond the last.
    NoSuchNode,
    /// Both ends are the same node.
    SameNode,
    /// A resistance is zero, negative, below 1 pico-ohm or above 1 peta-ohm.
    Resistance,
    /// A voltage, current or power is negative, or above 1e12 in its unit; or a nominal, pull-in or limit is zero.
    Magnitude,
    /// An efficiency is outside 0 (excluded) to 1.
    Efficiency,
    /// A relay contact names a branch that is not a coil.
    NotACoil,
    /// A converter input names a branch that is not a source.
    NotASource,
    /// The output of a converter input already belongs to an earlier one.
    OutputTaken,
}
