//! Who names whom: for each port and each loom end, the ends that mate it, are bolted to it or land on it.
//!
//! Ends of looms that are left out of the build claim nothing. Cost: one pass over the ends.

use super::Facts;
use crate::{
    arena::IdVec,
    model::{EndId, EndKind, Mate, Model, PortId},
};

impl Facts {
    /// Which ends name which ports and ends.
    ///
    /// Asked by `mating/half-mated`, `mating/ring-mismatch` and for the mated pairs.
    #[must_use]
    pub fn claims(&self) -> &Claims {
        self.made.claims.get_or_init(|| Claims::new(self.model()))
    }
}

/// The ends that name each port and each end, in the order written.
#[derive(Debug)]
pub struct Claims {
    connectors: IdVec<PortId, Vec<EndId>>,
    rings: IdVec<PortId, Vec<EndId>>,
    bare: IdVec<PortId, Vec<EndId>>,
    ends: IdVec<EndId, Vec<EndId>>,
}

impl Claims {
    /// Collects who names whom.
    fn new(model: &Model) -> Self {
        let ports = model.ports().len();
        let mut claims = Self {
            connectors: IdVec::of(Vec::new(), ports),
            rings: IdVec::of(Vec::new(), ports),
            bare: IdVec::of(Vec::new(), ports),
            ends: IdVec::of(Vec::new(), model.ends().len()),
        };
        for (id, end) in model.ends().filter(|(_, end)| model[end.loom].fitted) {
            match (end.mate, end.kind) {
                (Some(Mate::Port(port)), EndKind::Connector(_)) => claims.connectors[port].push(id),
                (Some(Mate::Port(port)), EndKind::Ring(_)) => claims.rings[port].push(id),
                (Some(Mate::Port(port)), EndKind::Bare) => claims.bare[port].push(id),
                (Some(Mate::End(other)), _) => claims.ends[other].push(id),
                (None, _) => {}
            }
        }
        claims
    }

    /// The connectors that mate `port`.
    #[must_use]
    pub fn connectors(&self, port: PortId) -> &[EndId] {
        &self.connectors[port]
    }

    /// The rings that are bolted to `port`.
    #[must_use]
    pub fn rings(&self, port: PortId) -> &[EndId] {
        &self.rings[port]
    }

    /// The bare ends that land on `port`.
    #[must_use]
    pub fn bare_ends(&self, port: PortId) -> &[EndId] {
        &self.bare[port]
    }

    /// All ends that name the end `end`.
    #[must_use]
    pub fn of_end(&self, end: EndId) -> &[EndId] {
        &self.ends[end]
    }

    /// Whether `end` and what it mates are one pair and no other end is in the way.
    ///
    /// Of two ends that name each other the pair belongs to the first.
    #[must_use]
    pub fn is_one_pair(&self, model: &Model, id: EndId) -> bool {
        match model[id].mate {
            Some(Mate::Port(port)) => self.connectors(port) == [id],
            Some(Mate::End(other)) if other == id => false,
            Some(Mate::End(other)) => match model[other].mate {
                Some(back) => back == Mate::End(id) && id < other,
                None => self.of_end(other) == [id],
            },
            None => false,
        }
    }
}
