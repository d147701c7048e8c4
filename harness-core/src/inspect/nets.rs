//! The nets of a design with what is on each.

use super::Signals;
use crate::{analysis::Analysis, model::WireId};

/// A net that has a wire: points that are one piece of metal, resistance apart.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct WholeNet {
    /// What it is called by: its first point in the order written.
    pub name: String,
    /// Its voltage domain.
    pub domain: Option<String>,
    /// The signals that its pins name, in a few words; empty for none.
    pub signals: String,
    /// Its points, in the order written.
    pub points: Vec<String>,
    /// Its wires, in the order written.
    pub wires: Vec<String>,
}

/// The nets with a wire, in the order of their first points. Cost: a pass over points and wires.
#[must_use]
pub fn nets(analysis: &Analysis) -> Vec<WholeNet> {
    let (model, network) = (analysis.model(), analysis.network());
    let signals = Signals::of(analysis);
    let net = |points: &[crate::model::PointId]| {
        let around = points.iter().flat_map(|point| network.around(*point));
        let mut wires: Vec<WireId> = around.filter_map(|(_, edge, _)| edge.wire()).collect();
        wires.sort_unstable();
        wires.dedup();
        let first = points.first().filter(|_| !wires.is_empty())?;
        let domain = analysis.electrical().domains().of(*first);
        Some(WholeNet {
            name: model.point_name(*first),
            domain: domain.map(|id| model.text(model[id].name).to_owned()),
            signals: signals.at(analysis, points),
            points: points.iter().map(|point| model.point_name(*point)).collect(),
            wires: wires.into_iter().map(|wire| model.wire_name(wire)).collect(),
        })
    };
    network.nets().filter_map(|(_, points)| net(points)).collect()
}
