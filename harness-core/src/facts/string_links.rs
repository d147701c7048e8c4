//! Links between batteries in a row, and the fuse in the negative pole of an isolated source.

use super::Facts;
use crate::{
    electrical::fuses::fuse::{kind_of, passes},
    model::{ElementId, PointId, WireId},
    network::{Edge, EdgeId, Walk},
    quantity::Metre,
    vocabulary::Reference,
};
use std::collections::BTreeSet;

/// A link from the positive pole of a battery that is on the chassis to the negative pole of the next, with no fuse in it.
#[derive(Debug, Clone, PartialEq)]
pub struct StringLink {
    /// The battery below: its positive pole feeds a fault of the link to the chassis.
    pub lower: ElementId,
    /// The battery above.
    pub upper: ElementId,
    /// The positive pole of the lower one.
    pub pole: PointId,
    /// The negative pole of the upper one.
    pub end: PointId,
    /// The wires of the link, from the lower battery; at least one.
    pub wires: Vec<WireId>,
    /// Their length; `None` if one of them has none.
    pub length: Option<Metre>,
}

impl Facts {
    /// The links between batteries in a row whose lower end is joined to the chassis past no fuse.
    ///
    /// Cost: two walks for each source. Asked by `protection/missing-fuse`.
    #[must_use]
    pub fn string_links(&self) -> Vec<StringLink> {
        let (model, network) = (self.model(), self.network());
        let sources: Vec<(EdgeId, &Edge, ElementId)> = network
            .edges()
            .filter(|(_, edge)| edge.role.drives_without_limit())
            .filter_map(|(id, edge)| Some((id, edge, edge.element()?)))
            .collect();
        if sources.len() < 2 || !model.devices().any(|(_, device)| device.chassis) {
            return Vec::new();
        }
        let is_chassis = |point: &PointId| model.device_at(*point).is_some_and(|device| model[device].chassis);
        let mut links = Vec::new();
        for (own, edge, lower) in &sources {
            if self.electrical().domains().of(edge.b).is_some_and(|domain| model[domain].ac) {
                continue;
            }
            let walk = network.walk(std::iter::once(edge.b), |_, edge| edge.role.passes_faults());
            let above = sources.iter().filter(|(id, other, _)| id != own && other.a != edge.b && walk.came(other.a).is_some());
            let above: Vec<_> = above.collect();
            // A pole that is on the chassis itself is none to protect.
            if above.is_empty() || walk.reached().iter().any(is_chassis) {
                continue;
            }
            let down = network.walk(std::iter::once(edge.a), |id, edge| {
                id != *own && (edge.role.passes_faults() || edge.role.drives_without_limit())
            });
            // The way down to the chassis does not lead up over the battery above.
            if !down.reached().iter().any(is_chassis) {
                continue;
            }
            for (_, other, upper) in above {
                let wires = way(self, &walk, other.a);
                let mut lengths = wires.iter().map(|wire| model[*wire].length.map(|at| at.value));
                let length = lengths.try_fold(Metre::ZERO, |sum, own| Some(sum + own?));
                if !wires.is_empty() {
                    links.push(StringLink { lower: *lower, upper: *upper, pole: edge.b, end: other.a, wires, length });
                }
            }
        }
        links
    }

    /// The fuse in the negative pole of an isolated source, near it, that ends whatever the source drives into these wires; `None` where the
    /// source is on the chassis, is not alone at its pole, feeds a load past the fuse, or where the fuse is too large for one of the wires.
    ///
    /// Cost: two walks. Asked by `protection/missing-fuse`.
    #[must_use]
    pub fn fuse_in_negative(&self, source: ElementId, pole: PointId, wires: &[WireId]) -> Option<ElementId> {
        let (model, network) = (self.model(), self.network());
        let domain = &model[self.electrical().domains().of(pole)?];
        if domain.ac || domain.reference != Reference::Floating {
            return None;
        }
        let (own, edge) = network.edges().find(|(_, edge)| edge.role.drives() && edge.element() == Some(source))?;
        let beside = network.walk(std::iter::once(pole), |_, edge| edge.role.passes_faults());
        let drives_here = |point: &PointId| network.around(*point).any(|(id, edge, _)| id != own && edge.role.drives());
        if beside.reached().iter().any(drives_here) {
            return None;
        }
        let below = network.walk(std::iter::once(edge.a), |id, edge| id != own && edge.role.passes_faults());
        let mut fuse = None;
        let mut wires_below: BTreeSet<WireId> = BTreeSet::new();
        for point in below.reached() {
            let is_chassis = model.device_at(*point).is_some_and(|device| model[device].chassis);
            if is_chassis || beside.came(*point).is_some() {
                return None;
            }
            for (_, edge, _) in network.around(*point).filter(|(id, ..)| *id != own) {
                if edge.role.draws() || edge.role.drives() || edge.role.holds_back() {
                    return None;
                }
                if edge.role.is_fuse() {
                    // Of two fuses side by side neither alone carries the fault.
                    if fuse.is_some_and(|known| Some(known) != edge.element()) {
                        return None;
                    }
                    fuse = edge.element();
                }
                wires_below.extend(edge.wire());
            }
        }
        let mut lengths = wires_below.into_iter().map(|wire| model[wire].length.map(|at| at.value));
        let length = lengths.try_fold(Metre::ZERO, |sum, own| Some(sum + own?))?;
        let fuse = fuse.filter(|_| length <= self.longest_unfused())?;
        let amps = passes(model, kind_of(model, fuse)?)?.amps;
        let takes = |wire: &WireId| self.allowance(*wire, &[]).is_some_and(|allowance| allowance.amps >= amps);
        wires.iter().all(takes).then_some(fuse)
    }
}

/// The wires by which a walk came to a point, from its start.
fn way(facts: &Facts, walk: &Walk, to: PointId) -> Vec<WireId> {
    let mut wires = Vec::new();
    let mut point = to;
    while let Some(came) = walk.came(point) {
        wires.extend(facts.network()[came.by].wire());
        point = came.from;
    }
    wires.reverse();
    wires
}
