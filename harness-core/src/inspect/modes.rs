//! Currents, volts and temperatures of a thing, one row a mode.

use super::{PointShort, Thing};
use crate::{
    analysis::Analysis,
    electrical::ModeState,
    model::{CableId, ModeId, Model, PointId, WireId},
    network::{Edge, EdgeId},
    quantity::{Ampere, Celsius, Volt},
};

/// A current with the battery on charge in its two extreme states.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Charging {
    /// While it is flat and takes what the charger gives.
    pub flat: Ampere,
    /// While it is full and takes next to nothing.
    pub full: Ampere,
}

/// One thing in one mode.
#[derive(Debug, Clone, PartialEq)]
pub struct ModeRow {
    /// The mode.
    pub id: ModeId,
    /// Its name.
    pub mode: String,
    /// The current through it, without its direction.
    pub amps: Ampere,
    /// Voltage at its first point, against the chassis or, without one, the first return pin of its circuit.
    pub volts: Volt,
    /// Voltage across it; `None` for a point.
    pub across: Option<Volt>,
    /// Temperature of the conductor; `None` where it is not a conductor or a fact for it is missing.
    pub temperature: Option<Celsius>,
    /// For a point: what a short to the return of its domain does; `None` where nothing flows.
    pub short: Option<PointShort>,
    /// Whether a source that is on is joined to it.
    pub live: bool,
    /// Whether a source of its circuit is shorted: the current is that of the fault.
    pub shorted: bool,
    /// The current through it while the batteries on charge in this mode are flat, and while they are full; `None` where none is.
    ///
    /// Of the charger the second is what the loads take, and the difference is what the battery takes.
    pub charging: Option<Charging>,
    /// Whether a steady state was found for what it is joined to; without one its figures read as zero.
    pub settled: bool,
}

/// The edges of a thing with its first and last point: one for a wire, several for a relay or a link, none for a point.
pub(super) fn edges(analysis: &Analysis, thing: Thing) -> Vec<EdgeId> {
    let points = points(analysis, thing);
    let of = |edge: &Edge| match thing {
        Thing::Wire(id) => edge.wire() == Some(id),
        Thing::Element(id) => edge.element().is_some_and(|element| element == id),
        Thing::Point(_) | Thing::Cable(_) | Thing::Pair(_) => false,
    };
    let mut edges: Vec<EdgeId> = Vec::new();
    for point in points {
        edges.extend(analysis.network().around(point).filter(|(_, edge, _)| of(edge)).map(|(id, _, _)| id));
    }
    edges.sort_unstable();
    edges.dedup();
    edges
}

/// The points of a thing.
pub(super) fn points(analysis: &Analysis, thing: Thing) -> Vec<PointId> {
    let model = analysis.model();
    match thing {
        Thing::Wire(id) => model[id].from.into_iter().chain(model[id].to).collect(),
        Thing::Element(id) => model[id].points.to_vec(),
        Thing::Point(id) => vec![id],
        Thing::Cable(id) => cores(model, id).flat_map(|core| model[core].from.into_iter().chain(model[core].to)).collect(),
        Thing::Pair(id) => model[id].points.iter().collect(),
    }
}

/// The cores of a cable, in the order written.
pub(super) fn cores(model: &Model, cable: CableId) -> impl Iterator<Item = WireId> {
    model.wires().filter(move |(_, wire)| wire.core.is_some_and(|(of, _)| of == cable)).map(|(id, _)| id)
}

/// The edge whose state is shown for a thing: a converter's output, a relay's contact, else its only or first edge.
pub(super) fn main_edge(analysis: &Analysis, thing: Thing) -> Option<EdgeId> {
    let edges = edges(analysis, thing);
    edges.iter().find(|id| analysis.network()[**id].role.is_outward()).or(edges.first()).copied()
}

/// The rows of a thing, the modes in the order written; what shorts do is not among it.
///
/// Of a cable or a mated pair nothing flows as a whole; its cores and contacts are listed each by itself.
pub(super) fn rows(analysis: &Analysis, thing: Thing) -> Vec<ModeRow> {
    if matches!(thing, Thing::Cable(_) | Thing::Pair(_)) {
        return Vec::new();
    }
    let edge = main_edge(analysis, thing);
    let first = points(analysis, thing).first().copied();
    let wire = match thing {
        Thing::Wire(id) => Some(id),
        Thing::Element(_) | Thing::Point(_) | Thing::Cable(_) | Thing::Pair(_) => None,
    };
    let row = |mode: &ModeState| {
        Some(ModeRow { temperature: wire.and_then(|id| mode.temperature(id)), ..row(analysis, mode, edge, first)? })
    };
    analysis.electrical().modes_as_written().into_iter().filter_map(row).collect()
}

fn row(analysis: &Analysis, mode: &ModeState, edge: Option<EdgeId>, first: Option<PointId>) -> Option<ModeRow> {
    let ends = edge.map(|id| (analysis.network()[id].a, analysis.network()[id].b));
    let at = first.or(ends.map(|(a, _)| a))?;
    let amps = |mode: &ModeState| match edge {
        Some(edge) => mode.amps(edge).abs(),
        // What flows in flows out: half of all that meets here.
        None => analysis.network().around(at).map(|(id, _, _)| mode.amps(id).abs()).sum::<Ampere>() / 2.0,
    };
    let charge = analysis.electrical().charge_in(mode.id);
    Some(ModeRow {
        id: mode.id,
        mode: analysis.model().mode_name(mode.id).to_owned(),
        amps: amps(mode),
        charging: charge.map(|charge| Charging { flat: amps(&charge.flat), full: amps(&charge.full) }),
        volts: mode.volts(at),
        across: ends.map(|(a, b)| (mode.volts(a) - mode.volts(b)).abs()),
        temperature: None,
        short: None,
        live: mode.is_live(at),
        shorted: mode.is_shorted(at),
        settled: !mode.is_adrift(at) && mode.refused.is_empty(),
    })
}
