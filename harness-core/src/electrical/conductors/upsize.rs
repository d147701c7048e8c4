//! The sizes that bring a voltage drop below its limit.
//!
//! Counted with the currents and temperatures as they are: a larger conductor is cooler and takes less, which errs on the safe
//! side. The conductor that costs most goes up by one trade size, again and again, until the limit is kept. Cost: conductors wait
//! in a heap by what they cost, so `n` of them take at most `n` times the trade sizes in turns, each the logarithm of `n`.

use super::{conductor::resistance_as, drop::Drop};
use crate::{
    electrical::current_path::CurrentPath,
    model::{Model, WireId},
    network::{EdgeId, Network, Step},
    quantity::{OhmPerMetre, Ratio, SquareMillimetre, Volt},
    standards::{
        drop::Limit,
        trade::{Trade, trade_sizes},
    },
};
use std::{cmp::Ordering, collections::BinaryHeap};

/// A conductor on the way with what it loses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cost {
    /// The wire.
    pub wire: WireId,
    /// Its size.
    pub size: SquareMillimetre,
    /// The volts along it.
    pub volts: Volt,
}

/// The way from a source to what it feeds and back.
#[derive(Debug)]
pub struct RoundTrip {
    /// From the load against the current.
    pub feed: Vec<Step>,
    /// From the load with the current.
    pub back: Vec<Step>,
    /// The conductors whose volts count against the limit, the dearest first.
    pub conductors: Vec<Cost>,
    /// Everything else whose volts count, such as fuses, contacts and rings, the dearest first.
    pub others: Vec<(EdgeId, Volt)>,
}

/// What brings a drop below its limit.
#[derive(Debug, Clone, PartialEq)]
pub enum Remedy {
    /// These sizes together; one conductor alone where that is enough.
    Sizes(Vec<(WireId, SquareMillimetre)>),
    /// No trade size does: so many volts are lost even with the largest.
    Nothing(Volt),
}

/// The way of `drop`, found in the currents of its mode.
#[must_use]
pub fn round_trip(network: &Network, feeds: &CurrentPath<'_>, backs: &CurrentPath<'_>, drop: &Drop) -> RoundTrip {
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
            // Conductors without a length or a size count nothing.
            let wire = network[step.edge].wire()?;
            Some(Cost { wire, size: model[wire].size?.value, volts: feeds.volts(step.edge)? })
        })
        .collect();
    conductors.sort_by(|a, b| b.volts.total_cmp(a.volts).then(a.wire.cmp(&b.wire)));
    let other = |step: &Step| {
        let volts = feeds.volts(step.edge).filter(|volts| *volts > Volt::ZERO)?;
        network[step.edge].wire().is_none().then_some((step.edge, volts))
    };
    let mut others: Vec<(EdgeId, Volt)> = feed.iter().chain(counted).filter_map(other).collect();
    others.sort_by(|a, b| b.1.total_cmp(a.1).then(a.0.cmp(&b.0)));
    RoundTrip { feed, back, conductors, others }
}

/// The least sizes that keep the limit: of the dearest conductor alone, else of as few as need be, the dearest first.
#[must_use]
pub fn remedy(model: &Model, drop: &Drop, conductors: &[Cost]) -> Remedy {
    match least_sizes(drop.excess(), conductors, |wire, size| resistance_as(model, &model[wire], size)) {
        Ok(sizes) => Remedy::Sizes(sizes),
        Err(left) => Remedy::Nothing(drop.most() + left),
    }
}

/// A conductor that waits to go up by a size. What costs most goes first, of equal ones the first of the list.
#[derive(Debug, Clone, Copy)]
struct Turn<'a> {
    cost: &'a Cost,
    /// Its place in the list.
    at: usize,
    /// What it costs at the size that it has come to.
    volts: Volt,
    size: SquareMillimetre,
    /// The turn in which it went up first.
    first: Option<usize>,
}

impl PartialEq for Turn<'_> {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Turn<'_> {}

impl PartialOrd for Turn<'_> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Turn<'_> {
    fn cmp(&self, other: &Self) -> Ordering {
        self.volts.total_cmp(other.volts).then(other.at.cmp(&self.at))
    }
}

/// The least sizes that take off `excess` volts, or the volts that are left with the largest sizes of all.
///
/// `per_metre` says what resistance a wire would have at a size; where none is known a larger size saves nothing.
fn least_sizes(
    mut excess: Volt,
    conductors: &[Cost],
    mut per_metre: impl FnMut(WireId, SquareMillimetre) -> Option<OhmPerMetre>,
) -> Result<Vec<(WireId, SquareMillimetre)>, Volt> {
    let mut saved = |cost: &Cost, size: SquareMillimetre| {
        let ratio = per_metre(cost.wire, size)? / per_metre(cost.wire, cost.size)?;
        Some(cost.volts * (Ratio::new(1.0) - ratio))
    };
    if let Some(dearest) = conductors.first()
        && let Some(size) = trade_sizes(Trade::of(dearest.size))
            .filter(|size| *size > dearest.size)
            .find(|size| saved(dearest, *size).is_some_and(|volts| volts >= excess))
    {
        return Ok(vec![(dearest.wire, size)]);
    }
    let turns = conductors.iter().enumerate();
    let turns = turns.map(|(at, cost)| Turn { cost, at, volts: cost.volts, size: cost.size, first: None });
    let mut waiting: BinaryHeap<Turn<'_>> = turns.collect();
    let mut largest = Vec::new();
    let mut number = 0;
    while excess > Volt::ZERO {
        let Some(turn) = waiting.pop() else { return Err(excess) };
        let Some(size) = trade_sizes(Trade::of(turn.size)).find(|size| *size > turn.size) else {
            largest.push(turn);
            continue;
        };
        let after = turn.cost.volts - saved(turn.cost, size).unwrap_or(Volt::ZERO);
        // A row of the table may be a hair above the line of its neighbours; the excess never grows.
        excess -= (turn.volts - after).max(Volt::ZERO);
        waiting.push(Turn { volts: after.min(turn.volts), size, first: turn.first.or(Some(number)), ..turn });
        number += 1;
    }
    let mut raised: Vec<(usize, WireId, SquareMillimetre)> =
        waiting.into_iter().chain(largest).filter_map(|turn| Some((turn.first?, turn.cost.wire, turn.size))).collect();
    raised.sort_unstable_by_key(|(first, ..)| *first);
    Ok(raised.into_iter().map(|(_, wire, size)| (wire, size)).collect())
}

#[cfg(test)]
mod tests {
    use super::{Cost, OhmPerMetre, SquareMillimetre, Trade, Volt, WireId, least_sizes};
    use proptest::prelude::*;

    fn trade_sizes() -> impl Iterator<Item = SquareMillimetre> {
        super::trade_sizes(Trade::Metric)
    }

    /// Copper at 20 degC, near enough: the way in which sizes are chosen does not depend on it.
    fn copper(_: WireId, size: SquareMillimetre) -> Option<OhmPerMetre> {
        Some(OhmPerMetre::new(0.0185 / size.get()))
    }

    fn costs(row: &[(u8, u16)]) -> Vec<Cost> {
        let costs = row.iter().enumerate().map(|(at, (size, volts))| Cost {
            wire: WireId::from_index(at),
            size: trade_sizes().nth(usize::from(*size)).unwrap(),
            volts: Volt::new(f64::from(*volts) / 1e3),
        });
        let mut costs: Vec<Cost> = costs.collect();
        costs.sort_by(|a, b| b.volts.total_cmp(a.volts).then(a.wire.cmp(&b.wire)));
        costs
    }

    /// Volts over a conductor of another size.
    fn volts(cost: &Cost, size: SquareMillimetre) -> f64 {
        cost.volts.get() * (cost.size.get() / size.get())
    }

    proptest! {
        /// Against a slow oracle: look at all conductors for the dearest at every single step.
        #[test]
        fn the_dearest_goes_up_until_the_limit_is_kept(
            row in prop::collection::vec((0..12_u8, 1..2000_u16), 1..7),
            share in 0.01..1.2_f64,
        ) {
            let costs = costs(&row);
            let excess = share * costs.iter().map(|cost| cost.volts.get()).sum::<f64>();
            let found = least_sizes(Volt::new(excess), &costs, copper);
            let alone = trade_sizes().find(|size| *size > costs[0].size && costs[0].volts.get() - volts(&costs[0], *size) >= excess);
            if let Some(size) = alone {
                prop_assert_eq!(found, Ok(vec![(costs[0].wire, size)]));
                return Ok(());
            }
            let mut now: Vec<SquareMillimetre> = costs.iter().map(|cost| cost.size).collect();
            let mut order: Vec<usize> = Vec::new();
            let left = |now: &[SquareMillimetre]| {
                excess - costs.iter().zip(now).map(|(cost, size)| cost.volts.get() - volts(cost, *size)).sum::<f64>()
            };
            let kept = loop {
                if left(&now) <= 1e-12 {
                    break true;
                }
                let can = (0..now.len()).filter(|at| trade_sizes().any(|size| size > now[*at]));
                let dearest = can.reduce(|a, b| {
                    if volts(&costs[b], now[b]) > volts(&costs[a], now[a]) + 1e-12 { b } else { a }
                });
                let Some(dearest) = dearest else { break false };
                now[dearest] = trade_sizes().find(|size| *size > now[dearest]).unwrap();
                if !order.contains(&dearest) {
                    order.push(dearest);
                }
            };
            if kept {
                let expected: Vec<_> = order.iter().map(|at| (costs[*at].wire, now[*at])).collect();
                prop_assert_eq!(found, Ok(expected));
            } else {
                prop_assert!((found.unwrap_err().get() - left(&now)).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn the_work_grows_with_the_conductors_and_not_with_their_square() {
        let work = |count: u16| {
            let row: Vec<(u8, u16)> = (0..count).map(|at| (0, 1000 + at)).collect();
            let costs = costs(&row);
            let mut asked = 0_u32;
            // More than the largest sizes take off, so every conductor has every turn.
            let found = least_sizes(Volt::new(f64::from(count) * 2.0), &costs, |wire, size| {
                asked += 1;
                copper(wire, size)
            });
            assert!(found.is_err());
            f64::from(asked)
        };
        let (few, many) = (work(100), work(1600));
        assert!(many > few && (many / few).ln() / 16_f64.ln() < 1.05, "{few} and {many} resistances");
    }
}
