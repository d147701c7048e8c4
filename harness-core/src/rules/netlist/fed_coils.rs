//! Coils that pull in through a load or a resistor in a mode in which their own switch is open.

use super::{
    feeds::{behind, path},
    views::{Connectivity, Part, part},
};
use crate::{
    analysis::Analysis,
    model::{ElementId, ModeId},
    network::{Edge, EdgeId},
    quantity::Volt,
};
use rustc_hash::FxHashSet;

/// A coil that something else feeds.
#[derive(Debug)]
pub(super) struct FedCoil {
    /// Its relay.
    pub(super) relay: ElementId,
    /// Modes in which it is in that way.
    pub(super) modes: Vec<ModeId>,
    /// The voltage across it in the first of them.
    pub(super) volts: Volt,
    /// The way from a source.
    pub(super) path: Vec<String>,
    /// What its contact keeps alive.
    pub(super) behind: Vec<String>,
}

/// The coils that closed conductors join to a source in one mode and only a load or resistor in another in which they are in too.
///
/// One that hangs on a resistor in every mode is meant to. Cost: a few passes over the edges for each mode.
pub(super) fn fed_coils(analysis: &Analysis) -> Vec<FedCoil> {
    let model = analysis.model();
    let mut direct: FxHashSet<ElementId> = FxHashSet::default();
    let mut through: Vec<(ModeId, EdgeId, Edge, ElementId)> = Vec::new();
    for mode in analysis.electrical().modes() {
        let energised = mode.energised.iter().filter_map(|id| Some((*id, *analysis.network().edge(*id)?)));
        let energised: Vec<(EdgeId, Edge)> = energised.filter(|(_, edge)| part(model, edge) == Part::Load).collect();
        if energised.is_empty() {
            continue;
        }
        let view = Connectivity::new(analysis.network(), Some(mode));
        for (id, edge) in energised {
            let Some((relay, _)) = edge.element() else { continue };
            if view.hard.of(edge.a) == view.hard.of(edge.b) {
                direct.insert(relay);
            } else {
                through.push((mode.id, id, edge, relay));
            }
        }
    }
    let mut found: Vec<FedCoil> = Vec::new();
    for (mode, id, edge, relay) in through {
        if !direct.contains(&relay) {
            continue;
        }
        if let Some(known) = found.iter_mut().find(|known| known.relay == relay) {
            known.modes.push(mode);
            continue;
        }
        let Some(state) = analysis.electrical().modes().find(|state| state.id == mode) else { continue };
        let across = state.volts(edge.a).get() - state.volts(edge.b).get();
        let hot = if across > 0.0 { edge.a } else { edge.b };
        found.push(FedCoil {
            relay,
            modes: vec![mode],
            volts: Volt::new(across.abs()),
            path: path(analysis, state, id, hot),
            behind: behind(analysis, relay, state, None),
        });
    }
    found
}
