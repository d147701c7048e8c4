//! Which fuse stands before which conductor, both ways, made once for a design.

use crate::{
    analysis::Analysis,
    electrical::{conductor::capacity_of, protection::Feed},
    model::{ElementId, PointId, WireId},
    standards::capacity::Capacity,
};

/// Fuses and the conductors behind them, up to the next fuse or load.
#[derive(Debug)]
pub struct Guards<'a> {
    analysis: &'a Analysis<'a>,
    /// Wires by the string that each lies in, sorted.
    wires: Vec<(u32, WireId)>,
    /// Fuses by the strings that they feed, sorted.
    fuses: Vec<(u32, usize)>,
    /// Wires between a source and its first fuse, sorted.
    lead_ins: Vec<WireId>,
}

impl<'a> Guards<'a> {
    /// Sorts the wires and fuses of a design.
    #[must_use]
    pub fn new(analysis: &'a Analysis<'a>) -> Self {
        let protection = analysis.electrical.protection();
        let mut wires: Vec<(u32, WireId)> = analysis
            .model
            .wires()
            .filter_map(|(id, wire)| wire.from.or(wire.to).map(|point| (protection.string(point), id)))
            .collect();
        wires.sort_unstable();
        let strings = |(at, feed): (usize, &Feed)| fed(analysis, feed).into_iter().map(move |string| (string, at));
        let mut fuses: Vec<(u32, usize)> = protection.feeds().iter().enumerate().flat_map(strings).collect();
        fuses.sort_unstable();
        fuses.dedup();
        let unfused = protection.unfused().iter().flat_map(|unfused| &unfused.lead_ins);
        let mut lead_ins: Vec<WireId> = unfused.flat_map(|lead_in| lead_in.wires.iter().copied()).collect();
        lead_ins.sort_unstable();
        Self { analysis, wires, fuses, lead_ins }
    }

    /// The conductors behind a fuse, in the order written.
    #[must_use]
    pub fn behind(&self, feed: &Feed) -> Vec<WireId> {
        let mut behind: Vec<WireId> =
            fed(self.analysis, feed).into_iter().flat_map(|string| within(&self.wires, string)).collect();
        behind.sort_unstable();
        behind.dedup();
        behind
    }

    /// The fuses that a wire stands behind, each by itself: any of them may have to clear a fault in it.
    #[must_use]
    pub fn before(&self, wire: WireId) -> Vec<ElementId> {
        let point = self.analysis.model.wire(wire).and_then(|wire| wire.from.or(wire.to));
        point.map(|point| self.before_point(point)).unwrap_or_default()
    }

    /// The fuses that a point stands behind.
    #[must_use]
    pub fn before_point(&self, point: PointId) -> Vec<ElementId> {
        let protection = self.analysis.electrical.protection();
        let feeds = within(&self.fuses, protection.string(point));
        feeds.filter_map(|at| protection.feeds().get(at)).map(|feed| feed.fuse).collect()
    }

    /// Whether a wire is a return: its cluster is the ground of a source, to which no fault current comes from above.
    #[must_use]
    pub fn is_return(&self, wire: WireId) -> bool {
        let protection = self.analysis.electrical.protection();
        let point = self.analysis.model.wire(wire).and_then(|wire| wire.from.or(wire.to));
        point.is_some_and(|point| protection.is_ground(protection.cluster(point)))
    }

    /// Whether a wire leads from a source to its first fuse.
    #[must_use]
    pub fn is_lead_in(&self, wire: WireId) -> bool {
        self.lead_ins.binary_search(&wire).is_ok()
    }

    /// The feed of a fuse.
    #[must_use]
    pub fn feed(&self, fuse: ElementId) -> Option<&Feed> {
        self.analysis.electrical.protection().feeds().iter().find(|feed| feed.fuse == fuse)
    }

    /// The conductor behind a fuse that carries least, with its capacity; those of unknown capacity are left out.
    #[must_use]
    pub fn thinnest(&self, feed: &Feed) -> Option<(WireId, Capacity)> {
        let known = self.behind(feed).into_iter().filter_map(|id| Some((id, self.capacity(id)?)));
        known.reduce(|least, other| if other.1.amps < least.1.amps { other } else { least })
    }

    /// The capacity of a wire among the conductors that are loaded with it in the worst mode.
    #[must_use]
    pub fn capacity(&self, id: WireId) -> Option<Capacity> {
        let beside = self.analysis.electrical.loading(id).map_or(1, |loading| loading.beside);
        capacity_of(self.analysis.model, self.analysis.model.wire(id)?, beside)
    }
}

/// The strings that a fuse feeds. One that reaches its ground past no fuse is unprotected whatever this fuse does.
fn fed(analysis: &Analysis<'_>, feed: &Feed) -> Vec<u32> {
    let protection = analysis.electrical.protection();
    let clusters = feed.fed.iter().flatten().filter(|cluster| !protection.is_ground(**cluster));
    let strings = clusters.filter_map(|cluster| protection.members(*cluster).first()).map(|point| protection.string(*point));
    strings.filter(|string| !protection.is_grounded(*string)).collect()
}

/// The entries of a sorted list under one key.
fn within<T: Copy>(list: &[(u32, T)], key: u32) -> impl Iterator<Item = T> + use<'_, T> {
    let first = list.partition_point(|(of, _)| *of < key);
    list.iter().skip(first).take_while(move |(of, _)| *of == key).map(|(_, item)| *item)
}
