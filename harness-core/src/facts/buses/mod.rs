//! Data buses: which nodes are on one, how it is terminated, what shape it has, what its nodes have in common.
//!
//! The idea: a bus is what its pins are joined to by metal. Pins are known by their role, and where they have none by their name. The two
//! lines of a CAN belong together where nodes have a pin on each: the pair that most nodes have. A node that passes the bus on, with two
//! pins of one name, joins what is at both.
//!
//! Cost: a pass over the points; for each bus its own points, wires and nodes.

mod ground_loops;
mod halves;
mod lines;
mod nodes;
mod other_pairs;
mod pieces;
mod reference;
mod terminators;
mod topology;
mod twist;

pub use ground_loops::GroundLoop;
pub use halves::HalfNode;
pub use lines::Line;
pub use nodes::{Bus, BusNode, Buses, Lines};
pub use pieces::SplitNetwork;
pub use reference::Unreferenced;
pub use terminators::{Termination, Terminator, TerminatorFault};
pub use topology::{Ring, Shape, Stub, Trunk};
pub use twist::Untwisted;

use super::Facts;

impl Facts {
    /// Buses with two nodes or more, in the order of their first points.
    ///
    /// Asked by the rules of `bus`.
    #[must_use]
    pub fn buses(&self) -> &[Bus] {
        &self.all_buses().whole
    }

    fn all_buses(&self) -> &Buses {
        self.made.buses.get_or_init(|| nodes::buses(self.model(), self.network()))
    }

    /// How each bus is terminated, in the order of the buses.
    ///
    /// Asked by `bus/wrong-termination` and for the shape of the bus.
    #[must_use]
    pub fn terminations(&self) -> &[Termination] {
        self.made.terminations.get_or_init(|| {
            let resistors = terminators::Resistors::new(self.model(), self.network());
            self.buses().iter().map(|bus| terminators::termination(self, bus, &resistors)).collect()
        })
    }

    /// The shape of each bus, in the order of the buses.
    ///
    /// Asked by the rules of `bus` on lengths and rings.
    #[must_use]
    pub fn bus_shapes(&self) -> &[Shape] {
        self.made.bus_shapes.get_or_init(|| {
            self.buses().iter().zip(self.terminations()).map(|(bus, ends)| topology::shape(self, bus, ends)).collect()
        })
    }

    /// Nodes that are on one line of a pair alone.
    ///
    /// Asked by `bus/half-pair`.
    #[must_use]
    pub fn half_nodes(&self) -> Vec<HalfNode<'_>> {
        halves::half_nodes(self)
    }

    /// What of the pair of a bus is not twisted together.
    ///
    /// Asked by `bus/untwisted-pair`.
    #[must_use]
    pub fn untwisted(&self, bus: &Bus) -> Option<Untwisted> {
        twist::untwisted(self, bus)
    }

    /// Nodes of a bus that have no ground in common with the others.
    ///
    /// Asked by `bus/no-reference`.
    #[must_use]
    pub fn unreferenced(&self) -> &[Unreferenced] {
        self.made.unreferenced.get_or_init(|| reference::unreferenced(self))
    }

    /// Reference conductors that make a loop with the returns of the nodes.
    ///
    /// Asked by `bus/ground-loop`.
    #[must_use]
    pub fn ground_loops(&self) -> Vec<GroundLoop> {
        ground_loops::ground_loops(self)
    }

    /// Networks whose pins are not all on one bus, in the order of the networks.
    ///
    /// Asked by `bus/split-network`.
    #[must_use]
    pub fn split_networks(&self) -> &[SplitNetwork] {
        self.made.split_networks.get_or_init(|| pieces::split_networks(self))
    }

    /// Buses that are whole, each with how it is terminated and its shape: those of which no pin of their network is elsewhere. What is cut in two is
    /// one fault, and what follows from it is none.
    ///
    /// Asked by the rules of `bus` on terminators and lengths.
    pub fn whole_buses(&self) -> impl Iterator<Item = (&Bus, &Termination, &Shape)> {
        let split = self.split_networks();
        let is_piece = |index: usize| split.iter().any(|network| network.pieces.contains_key(&Some(index)));
        let all = self.buses().iter().zip(self.terminations()).zip(self.bus_shapes()).enumerate();
        all.filter(move |(index, _)| !is_piece(*index)).map(|(_, ((bus, ends), shape))| (bus, ends, shape))
    }

    /// Resistors that are meant to terminate a bus and are not across its two lines.
    ///
    /// Asked by `bus/wrong-termination`.
    #[must_use]
    pub fn terminator_faults(&self) -> Vec<TerminatorFault> {
        terminators::faults(self)
    }
}
