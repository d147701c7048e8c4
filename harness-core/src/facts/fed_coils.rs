//! Coils that pull in through a load or a resistor in a mode in which their own switch is open.

use super::{Facts, feed_paths::FeedPaths, relay_loads::RelayLoads};
use crate::{
    electrical::ModeState,
    model::{ElementId, ModeId},
    network::EdgeId,
    quantity::Volt,
};
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// Coils that pull in through something other than their own feed.
    ///
    /// Asked by `netlist/back-feed`.
    #[must_use]
    pub fn fed_coils(&self) -> &[FedCoil] {
        self.made.fed_coils.get_or_init(|| fed_coils(self))
    }
}

/// A coil that something else feeds.
#[derive(Debug)]
pub struct FedCoil {
    /// Its relay.
    pub relay: ElementId,
    /// Modes in which it is in that way; at least one.
    pub modes: Vec<ModeId>,
    /// The voltage across it in the first of them.
    pub volts: Volt,
    /// The way from a source, by names.
    pub path: Vec<String>,
    /// What its contact keeps live.
    pub behind: Vec<ElementId>,
}

/// The coils that closed conductors join to a source in one mode and only a load or resistor in another in which they are in too.
///
/// One that hangs on a resistor in every mode is meant to. Cost: a few passes over the edges for each mode.
fn fed_coils(facts: &Facts) -> Vec<FedCoil> {
    let network = facts.network();
    let mut direct: FxHashSet<ElementId> = FxHashSet::default();
    let mut through: Vec<(&ModeState, EdgeId, ElementId)> = Vec::new();
    for mode in facts.electrical().modes() {
        let energised = mode.energised.iter().copied().filter(|id| network[*id].role.draws());
        let energised: Vec<EdgeId> = energised.collect();
        if energised.is_empty() {
            continue;
        }
        let view = facts.joined_in(mode);
        for id in energised {
            let edge = &network[id];
            let Some(relay) = edge.element() else { continue };
            if view.hard.of(edge.a) == view.hard.of(edge.b) {
                direct.insert(relay);
            } else {
                through.push((mode, id, relay));
            }
        }
    }
    let mut found: Vec<FedCoil> = Vec::new();
    let mut by_relay: FxHashMap<ElementId, usize> = FxHashMap::default();
    let mut paths = FeedPaths::default();
    let mut loads: FxHashMap<ModeId, RelayLoads> = FxHashMap::default();
    for (mode, id, relay) in through {
        if !direct.contains(&relay) {
            continue;
        }
        if let Some(known) = by_relay.get(&relay).and_then(|at| found.get_mut(*at)) {
            known.modes.push(mode.id);
            continue;
        }
        let edge = &network[id];
        let across = mode.volts(edge.a).get() - mode.volts(edge.b).get();
        let hot = if across > 0.0 { edge.a } else { edge.b };
        by_relay.insert(relay, found.len());
        found.push(FedCoil {
            relay,
            modes: vec![mode.id],
            volts: Volt::new(across.abs()),
            path: paths.names(network, mode, id, hot),
            behind: loads.entry(mode.id).or_insert_with(|| RelayLoads::new(facts, mode)).behind(network, relay, None),
        });
    }
    found
}
