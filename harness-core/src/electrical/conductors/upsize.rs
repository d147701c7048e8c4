//! The sizes that bring a voltage drop below its limit.
//!
//! Counted with the currents and temperatures as they are: a larger conductor is cooler and takes less, which errs on the safe
//! side.

use super::{conductor::resistance_as, drop::Drop};
use crate::{
    electrical::current_path::CurrentPath,
    model::{Model, WireId},
    network::{Network, Step},
    quantity::{SquareMillimetre, Volt},
    standards::{capacity::trade_sizes, drop::Limit},
};

/// A conductor on the way with what it loses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cost {
    /// The wire.
    pub wire: WireId,
    /// Its size.
    pub size: SquareMillimetre,
    /// The volts along it.
    pub volts: f64,
}

/// The way from a source to what it feeds and back.
#[derive(Debug)]
pub struct Way {
    /// From the load against the current.
    pub feed: Vec<Step>,
    /// From the load with the current.
    pub back: Vec<Step>,
    /// The conductors whose volts count against the limit, the dearest first.
    pub conductors: Vec<Cost>,
}

/// What brings a drop below its limit.
#[derive(Debug, Clone, PartialEq)]
pub enum Mend {
    /// These sizes together; one conductor alone where that is enough.
    Sizes(Vec<(WireId, SquareMillimetre)>),
    /// No trade size does: so many volts are lost even with the largest.
    Nothing(Volt),
}

/// The way of `drop`, found in the streams of its mode.
#[must_use]
pub fn way(network: &Network, feeds: &CurrentPath<'_>, backs: &CurrentPath<'_>, drop: &Drop) -> Way {
    let model = network.model();
    let (feed, back) = (feeds.way(drop.points.0), backs.way(drop.points.1));
    let counted = match drop.limit.0 {
        Limit::Share(_) => back.as_slice(),
        Limit::Feed(_) => &[],
    };
    let mut conductors: Vec<Cost> = feed
        .iter()
        .chain(counted)
        .filter_map(|step| {
            let wire = network.edge(step.edge)?.wire()?;
            Some(Cost { wire, size: model.wire(wire)?.size?.value, volts: feeds.volts(step.edge)? })
        })
        .collect();
    conductors.sort_by(|a, b| b.volts.total_cmp(&a.volts).then(a.wire.cmp(&b.wire)));
    Way { feed, back, conductors }
}

/// The least sizes that keep the limit: of the dearest conductor alone, else of as few as need be, the dearest first.
#[must_use]
pub fn mend(model: &Model, drop: &Drop, conductors: &[Cost]) -> Mend {
    let mut excess = drop.excess();
    let saved = |cost: &Cost, size: SquareMillimetre| {
        let wire = model.wire(cost.wire)?;
        let ratio = resistance_as(model, wire, size)? / resistance_as(model, wire, cost.size)?;
        Some(cost.volts * (1.0 - ratio))
    };
    let mut sizes: Vec<(WireId, SquareMillimetre)> = Vec::new();
    // Conductor by conductor, each no larger than its neighbours in cost would ask for: first all to the point where the
    // dearest is no longer the dearest, which is what raising the dearest one step at a time does.
    let mut costs: Vec<(Cost, f64)> = conductors.iter().map(|cost| (*cost, cost.volts)).collect();
    if let Some((dearest, _)) = costs.first()
        && let Some(size) = trade_sizes()
            .filter(|size| *size > dearest.size)
            .find(|size| saved(dearest, *size).is_some_and(|volts| volts >= excess))
    {
        return Mend::Sizes(vec![(dearest.wire, size)]);
    }
    while excess > 0.0 {
        let now =
            |wire: WireId, own: SquareMillimetre| sizes.iter().find(|(known, _)| *known == wire).map_or(own, |(_, size)| *size);
        let step = costs
            .iter()
            .enumerate()
            .filter_map(|(at, (cost, left))| {
                let next = trade_sizes().find(|size| *size > now(cost.wire, cost.size))?;
                Some((at, *left, next))
            })
            .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
        let Some((at, left, next)) = step else {
            return Mend::Nothing(Volt::new(drop.most().get() + excess));
        };
        let Some((cost, slot)) = costs.get_mut(at) else { break };
        let after = cost.volts - saved(cost, next).unwrap_or_default();
        // A row of the table may lie a hair above the line of its neighbours; the excess never grows.
        excess -= (left - after).max(0.0);
        *slot = after.min(left);
        match sizes.iter_mut().find(|(known, _)| *known == cost.wire) {
            Some((_, size)) => *size = next,
            None => sizes.push((cost.wire, next)),
        }
    }
    Mend::Sizes(sizes)
}
