//! Which conductors run side by side, and by how much each is warmed by the others.
//!
//! The conductors of one segment of a route run side by side; those that name no segment run beside all others of their loom that name none. A
//! conductor of several bundles counts where it is warmed most.

use super::bed::Bed;
use crate::{
    arena::IdVec,
    model::{LoomId, Model, SegmentId, Wire, WireId},
    quantity::{Kelvin, SquareMillimetre},
    standards::capacity::{Beside, Layers, Table},
};
use std::ops::Range;

/// Where conductors run side by side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Bundle {
    /// All of a loom whose wires name no segment: how they really run is not known.
    Loom(LoomId),
    /// A segment of a route.
    Segment(SegmentId),
}

/// The bundles of a wire; at least one.
pub fn bundles_of(wire: &Wire) -> impl Iterator<Item = Bundle> {
    let alone = wire.via.is_empty().then_some(Bundle::Loom(wire.loom));
    alone.into_iter().chain(wire.via.iter().map(|segment| Bundle::Segment(*segment)))
}

/// Who is beside whom, the same in every mode.
#[derive(Debug)]
pub(in crate::electrical) struct Bundles {
    /// The wires of each bundle, by bundle and then in the order written.
    members: Vec<(Bundle, WireId)>,
    /// Where the wires of each bundle are in `members`.
    ranges: Vec<Range<usize>>,
    /// What neighbours add to a conductor below AWG 8, and to a larger one: the aircraft table distinguishes them.
    layers: [Layers; 2],
}

impl Bundles {
    pub(super) fn new(model: &Model, table: Table) -> Self {
        let mut members: Vec<(Bundle, WireId)> =
            model.wires().flat_map(|(id, wire)| bundles_of(wire).map(move |bundle| (bundle, id))).collect();
        members.sort_unstable();
        members.dedup();
        let mut ranges = Vec::new();
        let mut start = 0;
        for chunk in members.chunk_by(|a, b| a.0 == b.0) {
            ranges.push(start..start + chunk.len());
            start += chunk.len();
        }
        let most = ranges.iter().map(Range::len).max().unwrap_or(0);
        let layers = [1.0, 100.0].map(|size| Layers::new(table, SquareMillimetre::new(size), most));
        Self { members, ranges, layers }
    }

    /// The wires of a bundle.
    pub(super) fn of(&self, bundle: Bundle) -> impl Iterator<Item = WireId> {
        let first = self.members.partition_point(|(of, _)| *of < bundle);
        self.members.iter().skip(first).take_while(move |(of, _)| *of == bundle).map(|(_, wire)| *wire)
    }

    /// What neighbours add to a conductor like this.
    pub(in crate::electrical) fn layers(&self, bed: &Bed) -> &Layers {
        let [small, large] = &self.layers;
        if self.is_large(bed) { large } else { small }
    }

    /// Whether a conductor is one of the larger ones.
    pub(super) fn is_large(&self, bed: &Bed) -> bool {
        Table::is_large(bed.size)
    }

    /// What is beside each wire, by the heats of all in K alone; `beds` has the sizes.
    ///
    /// Cost: each bundle is sorted once.
    pub(super) fn beside(&self, heats: &IdVec<WireId, f64>, beds: &IdVec<WireId, Bed>) -> IdVec<WireId, Beside> {
        let mut beside = IdVec::of(Beside::default(), heats.len());
        let mut hot: Vec<(f64, WireId)> = Vec::new();
        let mut sums: [Vec<Sums>; 2] = Default::default();
        for range in &self.ranges {
            let members = self.members.get(range.clone()).unwrap_or_default();
            hot.clear();
            hot.extend(members.iter().map(|(_, wire)| (heats[*wire], *wire)).filter(|(heat, _)| *heat > 0.0));
            if hot.is_empty() {
                continue;
            }
            hot.sort_unstable_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
            for (layers, sums) in self.layers.iter().zip(&mut sums) {
                add_up(layers, &hot, sums);
            }
            let mut meet = |wire: WireId, place: Option<usize>, others: usize| {
                let [small, large] = &sums;
                let sums = if Table::is_large(beds[wire].size) { large } else { small };
                let at = |place: usize| sums.get(place).copied().unwrap_or_default();
                let rise = place.map_or_else(|| at(hot.len()).hotter, |place| at(place).hotter + at(place).cooler);
                let found = Beside { rise: Kelvin::new(rise), conductors: u32::try_from(others).unwrap_or(u32::MAX) };
                if found.rise > beside[wire].rise || beside[wire].conductors == 0 {
                    beside[wire] = found;
                }
            };
            for (place, (_, wire)) in hot.iter().enumerate() {
                meet(*wire, Some(place), hot.len() - 1);
            }
            for (_, wire) in members.iter().filter(|(_, wire)| heats[*wire] <= 0.0) {
                meet(*wire, None, hot.len());
            }
        }
        beside
    }
}

/// What conductors of a sorted bundle add to the one at a place: those before it in their own places, those behind it one place
/// further up, because it does not count itself.
#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    hotter: f64,
    cooler: f64,
}

/// The sums for each place, and behind them that for a conductor that gives off no heat.
fn add_up(layers: &Layers, hot: &[(f64, WireId)], sums: &mut Vec<Sums>) {
    sums.clear();
    let mut hotter = 0.0;
    for (place, (heat, _)) in hot.iter().enumerate() {
        sums.push(Sums { hotter, cooler: 0.0 });
        hotter += layers.share(place) * heat;
    }
    sums.push(Sums { hotter, cooler: 0.0 });
    let mut cooler = 0.0;
    for (place, ((heat, _), sum)) in hot.iter().zip(sums.iter_mut()).enumerate().rev() {
        sum.cooler = cooler;
        cooler += place.checked_sub(1).map_or(0.0, |before| layers.share(before)) * heat;
    }
}
