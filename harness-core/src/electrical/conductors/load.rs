//! How hard each conductor is worked in its worst mode.

use super::thermal::Installation;
use crate::{
    electrical::ModeState,
    model::{ModeId, Model, SegmentId, WireId},
    network::{Edge, EdgeId, Network},
    quantity::Ampere,
    standards::capacity::counts_from,
};
use rustc_hash::FxHashMap;

/// A conductor in its worst mode.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct WireLoad {
    /// The largest current of all modes.
    pub amps: Ampere,
    /// The mode in which it flows; `None` where no mode loads the conductor.
    pub mode: Option<ModeId>,
    /// Most loaded conductors side by side with it, itself included, in any mode.
    pub beside: u32,
}

/// Current below which a conductor carries nothing.
const NOTHING: f64 = 1e-6;

/// Where conductors lie side by side: a segment of a route, or a whole loom whose wires name none.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Bundle {
    Loom(u32),
    Segment(SegmentId),
}

/// The loading of every wire, by its number.
pub(in crate::electrical) fn loading(network: &Network, modes: &[ModeState], installation: &Installation) -> Vec<WireLoad> {
    let model = network.model();
    let mut loading = vec![WireLoad { beside: 1, ..WireLoad::default() }; model.wires().len()];
    for mode in modes {
        let currents = currents(network, |id, edge| mode.working_amps(id, edge));
        let beside = beside(model, &currents, installation);
        for ((slot, amps), beside) in loading.iter_mut().zip(&currents).zip(beside) {
            slot.beside = slot.beside.max(beside);
            if *amps > slot.amps.get() && *amps > NOTHING {
                slot.amps = Ampere::new(*amps);
                slot.mode = Some(mode.id);
            }
        }
    }
    loading
}

/// How many loaded conductors lie side by side with each wire that carries current, itself included; 1 for the others.
///
/// The loaded conductors of each bundle are counted; those below 30 % of their grouped capacity do not count. A wire without
/// a known capacity counts as soon as it carries current.
pub(in crate::electrical) fn beside(model: &Model, currents: &[f64], installation: &Installation) -> Vec<u32> {
    let mut carrying: FxHashMap<Bundle, u32> = FxHashMap::default();
    for_each(model, currents, |bundle, _, _| *carrying.entry(bundle).or_default() += 1);
    let mut loaded: FxHashMap<Bundle, u32> = FxHashMap::default();
    for_each(model, currents, |bundle, wire, amps| {
        let least = installation.alone(wire).map(|alone| {
            let factor = installation.beside(wire, carrying.get(&bundle).copied().unwrap_or(1));
            counts_from().value * alone * factor
        });
        if least.is_none_or(|least| amps > least) {
            *loaded.entry(bundle).or_default() += 1;
        }
    });
    let mut beside = vec![1; model.wires().len()];
    for_each(model, currents, |bundle, wire, _| {
        if let Some(slot) = beside.get_mut(wire.index()) {
            *slot = loaded.get(&bundle).copied().unwrap_or(0).max(*slot);
        }
    });
    beside
}

/// The magnitude of the current in every wire.
pub(in crate::electrical) fn currents(network: &Network, amps: impl Fn(EdgeId, &Edge) -> Ampere) -> Vec<f64> {
    let model = network.model();
    let mut currents = vec![0.0; model.wires().len()];
    for (id, edge) in network.edges() {
        if let Some(slot) = edge.wire().and_then(|wire| currents.get_mut(wire.index())) {
            *slot = amps(id, edge).get().abs();
        }
    }
    currents
}

/// Calls `each` for every bundle of every wire that carries current.
fn for_each(model: &Model, currents: &[f64], mut each: impl FnMut(Bundle, WireId, f64)) {
    for ((id, wire), amps) in model.wires().zip(currents) {
        if *amps <= NOTHING {
            continue;
        }
        if wire.via.is_empty() {
            each(Bundle::Loom(wire.loom.index() as u32), id, *amps);
        }
        for segment in &wire.via {
            each(Bundle::Segment(*segment), id, *amps);
        }
    }
}
