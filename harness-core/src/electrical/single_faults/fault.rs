//! Which single faults a design can have.

use crate::{
    electrical::Electrical,
    model::{EndKind, Housing, Mate, Model, PointId, PointRange, PortKind},
    network::{EdgeId, EdgeKind, EdgeRole, Network},
    text::Name,
};
use rustc_hash::FxHashSet;

/// One fault of one thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fault {
    /// A conductor is broken.
    Open(EdgeId),
    /// A fuse has blown.
    Blown(EdgeId),
    /// Two contacts of a connector that are beside each other are bridged: by water, by a strand, by a bent contact.
    Bridged(PointId, PointId),
    /// A mated contact or a bolted joint has more resistance: corrosion, a loose nut.
    Raised(EdgeId),
    /// The contact of a relay is welded: it stays closed.
    Welded(EdgeId),
    /// The contact of a relay does not close.
    Stuck(EdgeId),
}

impl Electrical {
    /// Every single fault that the design can have, by kind and then in the order of the edges and points.
    ///
    /// Contacts of a connector are beside each other by the rows of its `face`, along a row and from row to row; where no half gives one, by
    /// the order of its labels. Contacts that are of one net, and those to which nothing leads, are not bridged. Cost: a pass over edges
    /// and connectors.
    #[must_use]
    pub fn single_faults(&self) -> Vec<Fault> {
        let network = self.network();
        let mut faults = Vec::new();
        for (id, edge) in network.edges() {
            match edge.role {
                _ if edge.wire().is_some() => faults.push(Fault::Open(id)),
                EdgeRole::Fuse => faults.push(Fault::Blown(id)),
                EdgeRole::MakeContact | EdgeRole::BreakContact => faults.extend([Fault::Welded(id), Fault::Stuck(id)]),
                _ if matches!(edge.kind, EdgeKind::Contact(_) | EdgeKind::Joint(_)) => faults.push(Fault::Raised(id)),
                _ => {}
            }
        }
        faults.extend(neighbours(network).into_iter().map(|(one, other)| Fault::Bridged(one, other)));
        faults.sort_unstable();
        faults
    }
}

/// Pairs of contacts that are beside each other, each once.
fn neighbours(network: &Network) -> Vec<(PointId, PointId)> {
    let model = network.model();
    // What leads anywhere: a wire or an element at its net.
    let mut leads: FxHashSet<_> = FxHashSet::default();
    for (_, edge) in network.edges().filter(|(_, edge)| edge.wire().is_some() || edge.element().is_some()) {
        leads.extend([network.net(edge.a), network.net(edge.b)]);
    }
    let mut pairs = Vec::new();
    let mut done: FxHashSet<Mate> = FxHashSet::default();
    let ends = model.ends().map(|(id, end)| (Mate::End(id), end.mate));
    let ports = model.ports().map(|(id, _)| (Mate::Port(id), None));
    for (own, mate) in ends.chain(ports) {
        if !done.insert(own) {
            continue;
        }
        // Of a mated pair the device's half is looked at: its pins are there whether they are wired or not.
        let partner = mate.filter(|mate| *mate != own && done.insert(*mate));
        let halves = [partner, Some(own)];
        let mut halves = halves.into_iter().flatten().filter_map(|at| half(model, at));
        let Some((points, housing)) = halves.next() else { continue };
        let face = housing.filter(|housing| !housing.face.is_empty()).or_else(|| halves.find_map(|half| half.1));
        for (one, other) in beside(model, points, face) {
            let (a, b) = (network.net(one), network.net(other));
            if a != b && leads.contains(&a) && leads.contains(&b) {
                pairs.push((one.min(other), one.max(other)));
            }
        }
    }
    pairs.sort_unstable();
    pairs.dedup();
    pairs
}

/// The contacts of a connector with its housing; `None` for studs, rings and what takes a bare wire.
fn half(model: &Model, at: Mate) -> Option<(PointRange, Option<&Housing>)> {
    match at {
        Mate::Port(port) => match model[port].kind {
            PortKind::Connector(housing) => Some((model[port].points, housing.map(|housing| &model[housing]))),
            PortKind::Stud(_) | PortKind::Landing(_) | PortKind::Body => None,
        },
        Mate::End(end) => match model[end].kind {
            EndKind::Connector(housing) => Some((model[end].points, housing.map(|housing| &model[housing]))),
            _ => None,
        },
    }
}

/// Which contacts are beside each other.
fn beside(model: &Model, points: PointRange, housing: Option<&Housing>) -> Vec<(PointId, PointId)> {
    let at = |label: &Name| model.position_of(points, *label);
    let Some(housing) = housing.filter(|housing| !housing.face.is_empty()) else {
        return points.iter().zip(points.iter().skip(1)).collect();
    };
    let mut pairs = Vec::new();
    for row in &housing.face {
        pairs.extend(row.iter().zip(row.iter().skip(1)));
    }
    for (row, next) in housing.face.iter().zip(housing.face.iter().skip(1)) {
        pairs.extend(row.iter().zip(next));
    }
    pairs.into_iter().filter_map(|(one, other)| Some((at(one)?, at(other)?))).collect()
}
