//! How hard each conductor is worked in its worst mode.

use super::{ModeState, conductor::capacity_of};
use crate::{
    model::{ModeId, Model, SegmentId, WireId},
    network::Network,
    quantity::Ampere,
    standards::capacity::{Grouping, counts_from, grouping},
};
use rustc_hash::FxHashMap;

/// A conductor in its worst mode.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Loading {
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
///
/// In each mode the loaded conductors of each bundle are counted; those below 30 % of their grouped capacity do not
/// count. A wire without a known capacity counts as soon as it carries current.
pub(super) fn loading(model: &Model, network: &Network, modes: &[ModeState]) -> Vec<Loading> {
    let mut loading = vec![Loading { beside: 1, ..Loading::default() }; model.wires().len()];
    let alone: Vec<Option<f64>> =
        model.wires().map(|(_, wire)| capacity_of(model, wire, 1).map(|capacity| capacity.amps.get())).collect();
    for mode in modes {
        let currents = currents(model, network, mode);
        let mut carrying: FxHashMap<Bundle, u32> = FxHashMap::default();
        for_each(model, &currents, |bundle, _, _| *carrying.entry(bundle).or_default() += 1);
        let mut loaded: FxHashMap<Bundle, u32> = FxHashMap::default();
        for_each(model, &currents, |bundle, wire, amps| {
            let factor = grouping(Grouping::default(), carrying.get(&bundle).copied().unwrap_or(1)).value;
            let counts =
                alone.get(wire.index()).copied().flatten().is_none_or(|capacity| amps > counts_from().value * capacity * factor);
            if counts {
                *loaded.entry(bundle).or_default() += 1;
            }
        });
        for_each(model, &currents, |bundle, wire, amps| {
            let Some(slot) = loading.get_mut(wire.index()) else { return };
            slot.beside = slot.beside.max(loaded.get(&bundle).copied().unwrap_or(0)).max(1);
            if amps > slot.amps.get() {
                slot.amps = Ampere::new(amps);
                slot.mode = Some(mode.id);
            }
        });
    }
    loading
}

/// The magnitude of the current in every wire.
fn currents(model: &Model, network: &Network, mode: &ModeState) -> Vec<f64> {
    let mut currents = vec![0.0; model.wires().len()];
    for (id, edge) in network.edges() {
        if let Some(slot) = edge.wire().and_then(|wire| currents.get_mut(wire.index())) {
            *slot = mode.working_amps(id, edge).get().abs();
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
