//! Where each item is from above to below: what runs straight is one block, and each block goes to the middle of what it is joined with, as far as
//! its neighbours let it.

use super::{
    GRID, Side, Spacing,
    order::{Item, Layers, Pin},
};
use std::{cmp::Reverse, collections::BTreeMap};

/// By how much items are moved down because two nets would run on one another.
#[derive(Debug, Default)]
pub(super) struct Shifts(BTreeMap<(usize, Item), f64>);

impl Shifts {
    pub(super) fn add(&mut self, clashes: &[(usize, Item)]) {
        for clash in clashes {
            *self.0.entry(*clash).or_default() += GRID;
        }
    }

    fn of(&self, layer: usize, item: Item) -> f64 {
        self.0.get(&(layer, item)).copied().unwrap_or(0.0)
    }
}

/// The upper edge of each item, by layer and place.
pub(super) struct Heights(pub(super) Vec<Vec<f64>>);

impl Heights {
    pub(super) fn of(&self, layer: usize, place: usize) -> f64 {
        self.0.get(layer).and_then(|layer| layer.get(place)).copied().unwrap_or(0.0)
    }

    /// Where a pin is at a side of a layer.
    pub(super) fn pin(&self, layers: &Layers<'_>, layer: usize, side: Side, pin: Pin) -> f64 {
        let item = layers.layers.get(layer).and_then(|items| items.get(pin.place)).copied();
        self.of(layer, pin.place) + item.map_or(0.0, |item| offset(layers, item, side, pin.port))
    }
}

/// From the upper edge of an item to a pin.
fn offset(layers: &Layers<'_>, item: Item, side: Side, port: usize) -> f64 {
    match item {
        Item::Pass(_) => 0.0,
        Item::Node(node) => {
            let node = layers.graph.nodes.get(node);
            let ports = node.map(|node| if side == Side::Left { &node.left } else { &node.right });
            ports.and_then(|ports| ports.get(port)).copied().unwrap_or(0.0)
        }
    }
}

/// Items that keep their distance: block of each item, by layer and place, and its shift within it.
struct Blocks {
    of: Vec<Vec<(usize, f64)>>,
    count: usize,
}

/// How often blocks are moved to the middle of what they are joined with.
pub(super) const ROUNDS: usize = 24;

/// The heights of all items.
pub(super) fn of(layers: &Layers<'_>, spacing: Spacing, shifts: &Shifts, rounds: usize) -> Heights {
    let blocks = aligned(layers, shifts);
    let (before, behind) = distances(layers, spacing, shifts, &blocks);
    let floors = floors(layers, shifts, &blocks);
    let mut tops = highest(&before, &floors);
    let joined = pulls(layers, &blocks);
    for round in 0..rounds {
        let order: Vec<usize> = if round % 2 == 0 { (0..blocks.count).collect() } else { (0..blocks.count).rev().collect() };
        let mut moved = false;
        for block in order {
            let at = |tops: &[f64], other: usize| tops.get(other).copied().unwrap_or(0.0);
            let Some(pulls) = joined.get(block).filter(|pulls| !pulls.is_empty()) else { continue };
            let weight: f64 = pulls.iter().map(|pull| pull.2).sum();
            let wanted = pulls.iter().map(|(other, shift, weight)| (at(&tops, *other) + shift) * weight).sum::<f64>() / weight;
            let least =
                before.get(block).into_iter().flatten().map(|(other, gap)| at(&tops, *other) + gap).fold(f64::MIN, f64::max);
            let most =
                behind.get(block).into_iter().flatten().map(|(other, gap)| at(&tops, *other) - gap).fold(f64::MAX, f64::min);
            let snapped = ((wanted / GRID).round() * GRID).min(most).max(least);
            if let Some(top) = tops.get_mut(block).filter(|top| **top != snapped && least <= most) {
                *top = snapped;
                moved = true;
            }
        }
        if !moved {
            break;
        }
    }
    let of = |(block, shift): &(usize, f64)| tops.get(*block).copied().unwrap_or(0.0) + shift;
    Heights(blocks.of.iter().map(|layer| layer.iter().map(of).collect()).collect())
}

/// A pair of pins of one net at both sides of a channel, and how much a straight line there counts.
struct Pair {
    worth: (bool, u32),
    left: Pin,
    right: Pin,
}

/// Blocks of items in a row: the first pins of a net at both sides of a channel are level, if no other such line is crossed.
fn aligned(layers: &Layers<'_>, shifts: &Shifts) -> Blocks {
    let mut of: Vec<Vec<(usize, f64)>> = Vec::new();
    let mut count = 0;
    for (layer, items) in layers.layers.iter().enumerate() {
        let partners = if layer == 0 { Vec::new() } else { straight(layers, layer, shifts) };
        let mut row: Vec<(usize, f64)> = Vec::new();
        for place in 0..items.len() {
            let partner = partners.iter().find(|pair| pair.right.place == place);
            let known = partner.and_then(|pair| {
                let (block, shift) = of.last()?.get(pair.left.place).copied()?;
                let item = |layer: usize, place: usize| layers.layers.get(layer).and_then(|items| items.get(place)).copied();
                let own = offset(layers, item(layer, place)?, Side::Left, pair.right.port);
                let its = offset(layers, item(layer - 1, pair.left.place)?, Side::Right, pair.left.port);
                Some((block, shift + its - own))
            });
            row.push(known.unwrap_or_else(|| {
                count += 1;
                (count - 1, 0.0)
            }));
        }
        of.push(row);
    }
    Blocks { of, count }
}

/// The pairs of pins of a channel that are level.
fn straight(layers: &Layers<'_>, channel: usize, shifts: &Shifts) -> Vec<Pair> {
    let item = |layer: usize, place: usize| layers.layers.get(layer).and_then(|items| items.get(place)).copied();
    let is_pass = |layer: usize, place: usize| matches!(item(layer, place), Some(Item::Pass(_)));
    let mut pairs: Vec<Pair> = layers
        .pins(channel)
        .iter()
        .filter_map(|pins| {
            let (left, right) = (*pins.left.first()?, *pins.right.first()?);
            let weight = layers.graph.nets.get(pins.net).map_or(0, |net| net.weight);
            let worth = (is_pass(channel - 1, left.place) && is_pass(channel, right.place), weight);
            Some(Pair { worth, left, right })
        })
        // What was moved away from a clash is level with nothing before it.
        .filter(|pair| item(channel, pair.right.place).is_some_and(|item| shifts.of(channel, item) == 0.0))
        .collect();
    pairs.sort_by_key(|pair| Reverse(pair.worth));
    let mut kept: Vec<Pair> = Vec::new();
    for pair in pairs {
        let is_clear = kept.iter().all(|other| {
            (other.left.place < pair.left.place && other.right.place < pair.right.place)
                || (other.left.place > pair.left.place && other.right.place > pair.right.place)
        });
        if is_clear {
            kept.push(pair);
        }
    }
    kept
}

/// For each block: other blocks with a distance.
type Distances = Vec<Vec<(usize, f64)>>;

/// For each block the blocks above it and the blocks below it, with the distance that must be kept.
fn distances(layers: &Layers<'_>, spacing: Spacing, shifts: &Shifts, blocks: &Blocks) -> (Distances, Distances) {
    let mut before: Distances = vec![Vec::new(); blocks.count];
    let mut behind: Distances = vec![Vec::new(); blocks.count];
    for (layer, (items, row)) in layers.layers.iter().zip(&blocks.of).enumerate() {
        let pairs = items.iter().zip(row).zip(items.iter().zip(row).skip(1));
        for ((upper, (above, shift)), (lower, (below, other))) in pairs {
            let height = match upper {
                Item::Node(node) => layers.graph.nodes.get(*node).map_or(0.0, |node| node.height),
                Item::Pass(_) => 0.0,
            };
            let room = match (upper, lower) {
                (Item::Pass(_), Item::Pass(_)) => GRID,
                (Item::Node(_), Item::Node(_)) => spacing.nodes,
                _ => spacing.nodes.min(2.0 * GRID),
            };
            let gap = ((height + room + shifts.of(layer, *lower)) / GRID).ceil() * GRID + shift - other;
            before.get_mut(*below).into_iter().for_each(|of| of.push((*above, gap)));
            behind.get_mut(*above).into_iter().for_each(|of| of.push((*below, gap)));
        }
    }
    (before, behind)
}

/// How high each block may be at most: those at the top of a layer that were moved away from a clash have nothing above them to keep a distance from.
fn floors(layers: &Layers<'_>, shifts: &Shifts, blocks: &Blocks) -> Vec<f64> {
    let mut floors = vec![f64::MIN; blocks.count];
    for (layer, (items, row)) in layers.layers.iter().zip(&blocks.of).enumerate() {
        if let (Some(item), Some((block, shift))) = (items.first(), row.first()) {
            let moved = shifts.of(layer, *item);
            floors.get_mut(*block).filter(|_| moved > 0.0).into_iter().for_each(|floor| *floor = floor.max(moved - shift));
        }
    }
    floors
}

/// As high as each block can be: in rounds, because the blocks are not in order. They have no circle, so that each round settles one more row.
fn highest(before: &Distances, floors: &[f64]) -> Vec<f64> {
    let mut tops: Vec<f64> = floors.iter().map(|floor| floor.max(0.0)).collect();
    for _ in 0..=before.len() {
        let mut moved = false;
        for (block, above) in before.iter().enumerate() {
            let least = above.iter().map(|(other, gap)| tops.get(*other).copied().unwrap_or(0.0) + gap).fold(f64::MIN, f64::max);
            if let Some(top) = tops.get_mut(block).filter(|top| **top < least) {
                *top = least;
                moved = true;
            }
        }
        if !moved {
            break;
        }
    }
    tops
}

/// For each block the blocks that it is joined with, where it would be level with them, and how much that counts.
fn pulls(layers: &Layers<'_>, blocks: &Blocks) -> Vec<Vec<(usize, f64, f64)>> {
    let mut found = vec![Vec::new(); blocks.count];
    for channel in 1..layers.channels().saturating_sub(1) {
        for pins in layers.pins(channel) {
            let weight = 1.0 + layers.graph.nets.get(pins.net).map_or(0.0, |net| f64::from(net.weight));
            let place = |layer: usize, side: Side, pin: &Pin| {
                let (block, shift) = blocks.of.get(layer)?.get(pin.place).copied()?;
                let item = layers.layers.get(layer)?.get(pin.place).copied()?;
                Some((block, shift + offset(layers, item, side, pin.port)))
            };
            for left in pins.left.iter().filter_map(|pin| place(channel - 1, Side::Right, pin)) {
                for right in pins.right.iter().filter_map(|pin| place(channel, Side::Left, pin)) {
                    if left.0 != right.0 {
                        let share = weight / (pins.left.len().max(pins.right.len()) as f64);
                        found.get_mut(left.0).into_iter().for_each(|of| of.push((right.0, right.1 - left.1, share)));
                        found.get_mut(right.0).into_iter().for_each(|of| of.push((left.0, left.1 - right.1, share)));
                    }
                }
            }
        }
    }
    found
}
