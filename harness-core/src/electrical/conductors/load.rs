//! How hard each conductor is worked in its worst mode.

use super::installation::Installation;
use crate::{
    arena::IdVec,
    electrical::{Charged, ModeState, lookup::Lookup},
    model::{LoomId, ModeId, Model, SegmentId, WireId},
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
    /// The state of charge of batteries on charge with which it flows.
    pub battery: Charged,
    /// Most loaded conductors side by side with it, itself included, in any mode.
    pub beside: u32,
}

/// Current below which a conductor carries nothing.
const NOTHING: f64 = 1e-6;

/// Where conductors lie side by side: a segment of a route, or a whole loom whose wires name none.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Bundle {
    Loom(LoomId),
    Segment(SegmentId),
}

/// The loading of every wire, by its number.
pub(in crate::electrical) fn loading(
    network: &Network,
    modes: &[&ModeState],
    installation: &Installation,
) -> IdVec<WireId, WireLoad> {
    let model = network.model();
    let mut loading = IdVec::of(WireLoad { beside: 1, ..WireLoad::default() }, model.wires().len());
    for mode in modes {
        let currents = currents(network, |id, edge| mode.working_amps(id, edge));
        let beside = beside(model, &currents, installation);
        for (wire, slot) in loading.iter_mut() {
            slot.beside = slot.beside.max(beside[wire]);
            let amps = currents[wire];
            if amps > slot.amps && amps.get() > NOTHING {
                slot.amps = amps;
                slot.mode = Some(mode.id);
                slot.battery = mode.battery;
            }
        }
    }
    loading
}

/// How many loaded conductors lie side by side with each wire that carries current, itself included; 1 for the others.
///
/// The loaded conductors of each bundle are counted; those below 30 % of their grouped capacity do not count. A wire without
/// a known capacity counts as soon as it carries current.
pub(in crate::electrical) fn beside(
    model: &Model,
    currents: &IdVec<WireId, Ampere>,
    installation: &Installation,
) -> IdVec<WireId, u32> {
    let mut carrying: Lookup<Bundle, u32> = Lookup::default();
    for_each(model, currents, |bundle, _, _| *carrying.0.entry(bundle).or_default() += 1);
    let mut loaded: FxHashMap<Bundle, u32> = FxHashMap::default();
    for_each(model, currents, |bundle, wire, amps| {
        let least = installation.alone(wire).map(|alone| {
            // Every bundle of a wire that carries was counted a moment ago.
            counts_from().value * alone * installation.beside(wire, carrying[bundle])
        });
        if least.is_none_or(|least| amps > least) {
            *loaded.entry(bundle).or_default() += 1;
        }
    });
    let mut beside = IdVec::of(1, model.wires().len());
    for_each(model, currents, |bundle, wire, _| {
        // A bundle in which none is loaded has no entry.
        beside[wire] = loaded.get(&bundle).copied().unwrap_or(0).max(beside[wire]);
    });
    beside
}

/// The magnitude of the current in every wire.
pub(in crate::electrical) fn currents(network: &Network, amps: impl Fn(EdgeId, &Edge) -> Ampere) -> IdVec<WireId, Ampere> {
    let mut currents = IdVec::of(Ampere::ZERO, network.model().wires().len());
    for (id, edge) in network.edges() {
        if let Some(wire) = edge.wire() {
            currents[wire] = amps(id, edge).abs();
        }
    }
    currents
}

/// Calls `each` for every bundle of every wire that carries current.
fn for_each(model: &Model, currents: &IdVec<WireId, Ampere>, mut each: impl FnMut(Bundle, WireId, Ampere)) {
    for (id, wire) in model.wires() {
        let amps = currents[id];
        if amps.get() <= NOTHING {
            continue;
        }
        if wire.via.is_empty() {
            each(Bundle::Loom(wire.loom), id, amps);
        }
        for segment in &wire.via {
            each(Bundle::Segment(*segment), id, amps);
        }
    }
}
