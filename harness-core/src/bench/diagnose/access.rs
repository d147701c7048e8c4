//! Where probes reach, and what that costs.

use super::{probe::Probe, reference::Grounds};
use crate::{
    analysis::Analysis,
    model::{PointId, PointKind, PortKind},
    network::EdgeRole,
};
use rustc_hash::FxHashSet;

/// A probe with its cost, of which only the order matters: a look costs nothing, a screw less than a contact behind its seal.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reach {
    pub(super) probe: Probe,
    pub(super) cost: f64,
    /// Of voltage class B: for trained people, and last.
    pub(super) is_class_b: bool,
}

/// A look at what works or does not.
const LOOK: f64 = 0.0;
/// What the design calls a point worth measuring.
const TEST_POINT: f64 = 0.01;
/// A stud, a screw, a ring.
const STUD: f64 = 0.05;
/// The ends of a fuse, from above.
const FUSE: f64 = 0.05;
/// A contact in its plug, from behind.
const CONTACT: f64 = 0.1;
/// Relays are listened to.
const CLICK: f64 = 0.1;
/// What class B costs more.
const CLASS_B: f64 = 1.0;

/// All that can be measured or seen with everything mated: voltages of contacts, studs, rings and the ends of fuses, and what works.
pub(super) fn reaches(analysis: &Analysis, grounds: &Grounds<'_>) -> Vec<Reach> {
    let (model, network) = (analysis.model(), analysis.network());
    let is_class_b = |point: PointId| {
        let domain = analysis.electrical().domains().of(point);
        domain.is_some_and(|domain| model[domain].is_class_b())
    };
    let at_fuse: FxHashSet<PointId> =
        network.edges().filter(|(_, edge)| edge.role.is_fuse()).flat_map(|(_, edge)| [edge.a, edge.b]).collect();
    let mut found = Vec::new();
    for (point, _) in model.points() {
        let Some(cost) = cost(analysis, point, at_fuse.contains(&point)) else { continue };
        if let Some(against) = grounds.of(point).filter(|against| *against != point) {
            let is_class_b = is_class_b(point) || is_class_b(against);
            let probe = Probe::Volts { point, against };
            found.push(Reach { probe, cost: cost + if is_class_b { CLASS_B } else { 0.0 }, is_class_b });
        }
    }
    let looks = network.edges().filter_map(|(id, edge)| Some((id, look(edge.role)?)));
    found.extend(looks.map(|(id, cost)| Reach { probe: Probe::Works(id), cost, is_class_b: false }));
    found
}

/// What it costs to see or hear whether something works; `None` for what nobody sees to work.
pub(super) const fn look(role: EdgeRole) -> Option<f64> {
    match role {
        EdgeRole::Load | EdgeRole::ConverterInput => Some(LOOK),
        EdgeRole::Coil => Some(CLICK),
        EdgeRole::Metal(_) | EdgeRole::Fuse | EdgeRole::Switch { .. } | EdgeRole::Disconnect | EdgeRole::Interlock => None,
        EdgeRole::MakeContact | EdgeRole::BreakContact | EdgeRole::Source { .. } | EdgeRole::ConverterOutput { .. } => None,
        EdgeRole::Resistor | EdgeRole::Shunt | EdgeRole::Capacitor | EdgeRole::Diode => None,
    }
}

/// What it costs to reach a point; `None` where nobody reaches it with everything mated.
pub(super) fn cost(analysis: &Analysis, point: PointId, is_at_fuse: bool) -> Option<f64> {
    let (model, network) = (analysis.model(), analysis.network());
    if !model.is_fitted(point) {
        return None;
    }
    if model.is_test_point(point) {
        return Some(TEST_POINT);
    }
    match model[point].kind {
        PointKind::Cavity(_) => network.around(point).any(|(_, edge, _)| edge.wire().is_some()).then_some(CONTACT),
        PointKind::Ring(_) | PointKind::Stud(_) => Some(STUD),
        PointKind::Pin(port) => match model[port].kind {
            PortKind::Connector(_) => is_at_fuse.then_some(FUSE),
            PortKind::Stud(_) | PortKind::Landing(_) => Some(STUD),
            PortKind::Body => None,
        },
        PointKind::Node(_) => is_at_fuse.then_some(FUSE),
        PointKind::Splice(_) => None,
    }
}
