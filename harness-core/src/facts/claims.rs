//! Who names whom: for each port and each loom end, the ends that mate it or are bolted to it.
//!
//! Ends of looms that are left out of the build claim nothing. Cost: one pass over the ends.

use crate::model::{EndId, EndKind, Mate, Model, PortId};

/// The ends that name each port and each end, in the order written.
#[derive(Debug)]
pub(super) struct Claims {
    connectors: Vec<Vec<EndId>>,
    rings: Vec<Vec<EndId>>,
    ends: Vec<Vec<EndId>>,
}

impl Claims {
    /// Collects who names whom.
    pub(super) fn new(model: &Model) -> Self {
        let none = |count| vec![Vec::new(); count];
        let ports = model.ports().len();
        let mut claims = Self { connectors: none(ports), rings: none(ports), ends: none(model.ends().len()) };
        for (id, end) in model.ends() {
            if !model.loom(end.loom).is_some_and(|loom| loom.fitted) {
                continue;
            }
            let list = match (end.mate, end.kind) {
                (Some(Mate::Port(port)), EndKind::Connector(_)) => claims.connectors.get_mut(port.index()),
                (Some(Mate::Port(port)), EndKind::Ring(_)) => claims.rings.get_mut(port.index()),
                (Some(Mate::End(other)), _) => claims.ends.get_mut(other.index()),
                (None, _) => None,
            };
            if let Some(list) = list {
                list.push(id);
            }
        }
        claims
    }

    /// The connectors that mate `port`.
    pub(super) fn connectors(&self, port: PortId) -> &[EndId] {
        self.connectors.get(port.index()).map(Vec::as_slice).unwrap_or_default()
    }

    /// The rings that are bolted to `port`.
    pub(super) fn rings(&self, port: PortId) -> &[EndId] {
        self.rings.get(port.index()).map(Vec::as_slice).unwrap_or_default()
    }

    /// All ends that name the end `end`.
    pub(super) fn of_end(&self, end: EndId) -> &[EndId] {
        self.ends.get(end.index()).map(Vec::as_slice).unwrap_or_default()
    }

    /// Whether `end` and what it mates are one pair and no other end stands in the way.
    ///
    /// Of two ends that name each other the pair belongs to the first.
    pub(super) fn is_one_pair(&self, model: &Model, id: EndId) -> bool {
        match model.end(id).and_then(|end| end.mate) {
            Some(Mate::Port(port)) => self.connectors(port) == [id],
            Some(Mate::End(other)) if other == id => false,
            Some(Mate::End(other)) => match model.end(other).and_then(|end| end.mate) {
                Some(back) => back == Mate::End(id) && id < other,
                None => self.of_end(other) == [id],
            },
            None => false,
        }
    }
}

/// Whether `end` is a connector rather than a ring.
pub(super) fn is_connector(model: &Model, end: EndId) -> bool {
    model.end(end).is_some_and(|end| matches!(end.kind, EndKind::Connector(_)))
}
