//! What a person opens by hand: which edges open with it, and which contacts can then be touched.
//!
//! The idea: an opening is a set of edges that conduct nothing any more. Unmating a connector takes all its contacts apart, exposes both halves
//! and moves the interlock elements that its port works.
//!
//! Cost: one pass over the connectors and the edges.

use super::{Connector, Facts};
use crate::{
    electrical::what_if::Change,
    model::{CoverId, ElementId, ElementKind, EndId, Mate, Opener, PointId, PointKind, WireId},
    network::{EdgeId, EdgeKind},
};
use rustc_hash::FxHashMap;

impl Facts {
    /// Every mated connector as an opening, in the order of the connectors, and then every cover, in theirs.
    ///
    /// Asked by `domain/live-when-open`, `interlock/loop-misses`, `interlock/stays-closed` and `harness live`.
    #[must_use]
    pub fn unmatings(&self) -> &[Opened] {
        self.made.unmatings.get_or_init(|| unmatings(self))
    }

    /// An element opened by itself: a contact, a fuse, a disconnect, the bridge of an interlock. Cost: a pass over the edges.
    #[must_use]
    pub fn opened_element(&self, element: ElementId) -> Opened {
        let network = self.network();
        let edges = network.edges().filter(|(_, edge)| edge.element() == Some(element) && !edge.role.draws());
        Opened {
            what: Opening::Element(element),
            edges: edges.map(|(id, _)| id).collect(),
            exposed: Vec::new(),
            is_class_b: false,
        }
    }

    /// A wire cut. Cost: a pass over the edges.
    #[must_use]
    pub fn opened_wire(&self, wire: WireId) -> Opened {
        let edges = self.network().edges().filter(|(_, edge)| edge.wire() == Some(wire));
        Opened { what: Opening::Wire(wire), edges: edges.map(|(id, _)| id).collect(), exposed: Vec::new(), is_class_b: false }
    }
}

/// What is opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Opening {
    /// A connector, by its end of a loom.
    Connector(EndId),
    /// A lid or cover of a device.
    Cover(CoverId),
    /// An element by itself.
    Element(ElementId),
    /// A wire, cut.
    Wire(WireId),
}

/// An opening with what it does.
#[derive(Debug, Clone)]
pub struct Opened {
    /// What is opened.
    pub what: Opening,
    /// The edges that conduct nothing then, in order.
    pub edges: Vec<EdgeId>,
    /// The points that can be touched then: contacts in use on both halves.
    pub exposed: Vec<PointId>,
    /// A contact of it is of voltage class B.
    pub is_class_b: bool,
}

impl Opened {
    /// What is altered by it.
    #[must_use]
    pub fn changes(&self) -> Vec<Change> {
        self.edges.iter().map(|edge| Change::Open(*edge)).collect()
    }
}

impl Opening {
    /// What has been done to it, as people say it: `unmated`, `off`, `open`, `cut`.
    #[must_use]
    pub const fn done(self) -> &'static str {
        match self {
            Self::Connector(_) => "unmated",
            Self::Cover(_) => "off",
            Self::Element(_) => "open",
            Self::Wire(_) => "cut",
        }
    }

    /// What it is called: `front.P1`, `pack.K1`, `front.107`.
    #[must_use]
    pub fn name(self, facts: &Facts) -> String {
        let model = facts.model();
        match self {
            Self::Connector(end) => model.end_name(end),
            Self::Cover(cover) => model.cover_name(cover),
            Self::Element(element) => model.element_name(element),
            Self::Wire(wire) => model.wire_name(wire),
        }
    }
}

fn unmatings(facts: &Facts) -> Vec<Opened> {
    let (model, network) = (facts.model(), facts.network());
    let mut contacts: FxHashMap<EndId, Vec<EdgeId>> = FxHashMap::default();
    let mut worked: FxHashMap<Opener, Vec<EdgeId>> = FxHashMap::default();
    for (id, edge) in network.edges() {
        if let EdgeKind::Contact(end) = edge.kind {
            contacts.entry(end).or_default().push(id);
        }
        if let Some(ElementKind::Interlock { of: Some(opener), .. }) = edge.element().map(|element| &model[element].kind) {
            worked.entry(*opener).or_default().push(id);
        }
    }
    let found = facts.connectors().iter().filter_map(|connector| {
        let (Mate::End(end), Some(partner)) = (connector.own.at, connector.partner.map(|half| half.at)) else { return None };
        let mut edges = contacts.get(&end).cloned().unwrap_or_default();
        match partner {
            Mate::End(other) => edges.extend(contacts.get(&other).into_iter().flatten()),
            Mate::Port(port) => edges.extend(worked.get(&Opener::Port(port)).into_iter().flatten()),
        }
        edges.sort_unstable();
        edges.dedup();
        let exposed = exposed(facts, connector);
        Some(Opened { what: Opening::Connector(end), edges, exposed, is_class_b: is_class_b(facts, connector) })
    });
    let domains = facts.electrical().domains();
    let covers = model.covers().filter(|(_, cover)| model[cover.device].fitted).map(|(id, _)| {
        let exposed = reached(facts, id);
        let is_class_b = exposed.iter().any(|point| domains.of(*point).is_some_and(|domain| model[domain].is_class_b()));
        Opened {
            what: Opening::Cover(id),
            edges: worked.get(&Opener::Cover(id)).cloned().unwrap_or_default(),
            exposed,
            is_class_b,
        }
    });
    found.chain(covers).collect()
}

/// The points that can be touched with a cover off: those that it names, else all that is in the box.
fn reached(facts: &Facts, cover: CoverId) -> Vec<PointId> {
    let (model, network) = (facts.model(), facts.network());
    let cover = &model[cover];
    if !cover.reaches.is_empty() {
        return cover.reaches.iter().map(|(point, _)| *point).collect();
    }
    // Mated contacts stay covered by their plugs.
    let inner = model.points().filter(|(_, point)| match point.kind {
        PointKind::Node(device) => device == cover.device,
        PointKind::Stud(port) => model[port].device == cover.device,
        PointKind::Pin(_) | PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => false,
    });
    inner.map(|(point, _)| point).filter(|point| network.around(*point).next().is_some()).collect()
}

/// Whether a contact of a connector is of voltage class B.
pub(super) fn is_class_b(facts: &Facts, connector: &Connector) -> bool {
    let model = facts.model();
    connector.contacts.iter().any(|contact| contact.held.domain().is_some_and(|domain| model[domain].is_class_b()))
}

/// The points of both halves that something is joined to.
fn exposed(facts: &Facts, connector: &Connector) -> Vec<PointId> {
    let (model, network) = (facts.model(), facts.network());
    let points = connector.halves().flat_map(|half| {
        match half.at {
            Mate::Port(port) => model[port].points,
            Mate::End(end) => model[end].points,
        }
        .iter()
    });
    points.filter(|point| network.around(*point).next().is_some()).collect()
}
