//! Where lines run: one trunk for each net of a channel, in the order that crosses least, and level lines to its pins.

use super::{
    GRID, Placed, Point, Route, Side, Spacing,
    order::{Item, Layers, Pins, crossings},
    place::Heights,
    stitch::stitched,
};

/// What two nets cost that would run on one another: more than any crossings.
const CLASH: usize = 10_000;
/// So many trunks are sorted by moving each to its best place; more only by swaps of neighbours.
const MOVED: usize = 80;

/// A channel with its pins as heights.
struct Channel {
    /// The nets with a trunk, from left to right.
    trunks: Vec<Pins<f64>>,
    /// Those that run straight through it.
    straight: Vec<Pins<f64>>,
    /// Which column each trunk is in, and how many there are.
    columns: Vec<usize>,
    count: usize,
    /// What must be moved, because its lines would run on others.
    clashes: Vec<(usize, Item)>,
}

/// The routes, and what must be moved before they are good.
pub(super) fn of(layers: &Layers<'_>, heights: &Heights, spacing: Spacing) -> (Placed, Vec<(usize, Item)>) {
    let channels: Vec<Channel> = (0..layers.channels()).map(|channel| in_channel(layers, heights, channel)).collect();
    let widths: Vec<f64> =
        layers.layers.iter().map(|items| items.iter().map(|item| width(layers, *item)).fold(0.0, f64::max)).collect();
    // The left edge of each channel; layer `c` begins where channel `c` ends.
    let mut lefts = Vec::with_capacity(channels.len());
    let mut x = 0.0;
    for (at, channel) in channels.iter().enumerate() {
        lefts.push(x);
        let is_outer = at == 0 || at + 1 == channels.len();
        let room = (channel.count as f64 + 1.0) * GRID;
        x += if !is_outer {
            room.max(spacing.layers)
        } else if channel.count > 0 {
            room
        } else {
            0.0
        };
        x += widths.get(at).copied().unwrap_or(0.0);
    }
    let mut placed = Placed {
        nodes: vec![Point::default(); layers.graph.nodes.len()],
        routes: vec![Route::default(); layers.graph.nets.len()],
        crossings: channels.iter().map(crossed).sum(),
    };
    for (layer, items) in layers.layers.iter().enumerate() {
        let (left, wide) = layer_box(&channels, &lefts, &widths, layer);
        for (place, item) in items.iter().enumerate() {
            if let Item::Node(node) = item {
                let x = left + (wide - width(layers, *item)) / 2.0;
                placed.nodes.get_mut(*node).into_iter().for_each(|at| *at = Point::new(x, heights.of(layer, place)));
            }
        }
    }
    let mut pieces: Vec<Vec<(Point, Point)>> = vec![Vec::new(); layers.graph.nets.len()];
    for (at, channel) in channels.iter().enumerate() {
        let (left, right) = edges(&channels, &lefts, &widths, at);
        // Trunks in the middle of the channel.
        let room = right - left - (channel.count as f64 - 1.0).max(0.0) * GRID;
        let first = left + ((room / 2.0) / GRID).floor().max(1.0) * GRID;
        let reach = |y: f64, side: Side| {
            edge_of(layers, heights, &placed, (at, side), y).unwrap_or(if side == Side::Right { left } else { right })
        };
        for pins in &channel.straight {
            let (Some(from), Some(to)) = (pins.left.first(), pins.right.first()) else { continue };
            let ends = (Point::new(reach(*from, Side::Right), *from), Point::new(reach(*to, Side::Left), *to));
            pieces.get_mut(pins.net).into_iter().for_each(|pieces| pieces.push(ends));
        }
        for (pins, column) in channel.trunks.iter().zip(&channel.columns) {
            let x = first + *column as f64 * GRID;
            let Some(pieces) = pieces.get_mut(pins.net) else { continue };
            for y in &pins.left {
                pieces.push((Point::new(reach(*y, Side::Right), *y), Point::new(x, *y)));
            }
            for y in &pins.right {
                pieces.push((Point::new(x, *y), Point::new(reach(*y, Side::Left), *y)));
            }
            let mut all: Vec<f64> = pins.left.iter().chain(&pins.right).copied().collect();
            all.sort_by(f64::total_cmp);
            all.dedup();
            pieces.extend(all.iter().zip(all.iter().skip(1)).map(|(a, b)| (Point::new(x, *a), Point::new(x, *b))));
        }
    }
    for (layer, items) in layers.layers.iter().enumerate() {
        let (left, wide) = layer_box(&channels, &lefts, &widths, layer);
        for (place, item) in items.iter().enumerate() {
            if let Item::Pass(net) = item {
                let y = heights.of(layer, place);
                pieces
                    .get_mut(*net)
                    .into_iter()
                    .for_each(|pieces| pieces.push((Point::new(left, y), Point::new(left + wide, y))));
            }
        }
    }
    for (route, pieces) in placed.routes.iter_mut().zip(pieces) {
        *route = stitched(pieces);
    }
    (placed, channels.into_iter().flat_map(|channel| channel.clashes).collect())
}

/// How often lines cross in a channel.
fn crossed(channel: &Channel) -> usize {
    let mut sum = 0;
    for (at, one) in channel.trunks.iter().enumerate() {
        sum += channel.trunks.iter().skip(at + 1).map(|other| crossings(one, other)).sum::<usize>();
        // One that runs straight through crosses the trunks that reach over it, as one that ends right of them all.
        sum += channel.straight.iter().map(|other| crossings(other, one)).sum::<usize>();
    }
    sum
}

fn width(layers: &Layers<'_>, item: Item) -> f64 {
    match item {
        Item::Node(node) => layers.graph.nodes.get(node).map_or(0.0, |node| node.width),
        Item::Pass(_) => 0.0,
    }
}

/// Left edge and width of a layer.
fn layer_box(channels: &[Channel], lefts: &[f64], widths: &[f64], layer: usize) -> (f64, f64) {
    let (_, right) = edges(channels, lefts, widths, layer);
    (right, widths.get(layer).copied().unwrap_or(0.0))
}

/// Left and right edge of a channel.
fn edges(channels: &[Channel], lefts: &[f64], widths: &[f64], channel: usize) -> (f64, f64) {
    let left = lefts.get(channel).copied().unwrap_or(0.0);
    let right = match lefts.get(channel + 1) {
        Some(next) => next - widths.get(channel).copied().unwrap_or(0.0),
        None => left + (channels.get(channel).map_or(0, |channel| channel.count) as f64 + 1.0) * GRID,
    };
    (left, right)
}

/// Where a line at height `y` ends at a side of a channel: at the box whose port is there, for a narrow box is in the middle of its layer.
fn edge_of(layers: &Layers<'_>, heights: &Heights, placed: &Placed, (channel, side): (usize, Side), y: f64) -> Option<f64> {
    let layer = if side == Side::Right { channel.checked_sub(1)? } else { channel };
    layers.layers.get(layer)?.iter().enumerate().find_map(|(place, item)| {
        let Item::Node(node) = item else { return None };
        let about = layers.graph.nodes.get(*node)?;
        let ports = if side == Side::Left { &about.left } else { &about.right };
        let top = heights.of(layer, place);
        ports.iter().any(|port| top + port == y).then_some(())?;
        let x = placed.nodes.get(*node)?.x;
        Some(if side == Side::Left { x } else { x + about.width })
    })
}

fn in_channel(layers: &Layers<'_>, heights: &Heights, channel: usize) -> Channel {
    let mut clashes = Vec::new();
    let (mut trunks, mut straight) = (Vec::new(), Vec::new());
    for pins in layers.pins(channel) {
        let y = |layer: usize, side: Side, pins: &[super::order::Pin]| -> Vec<f64> {
            pins.iter().map(|pin| heights.pin(layers, layer, side, *pin)).collect()
        };
        let left = channel.checked_sub(1).map_or_else(Vec::new, |layer| y(layer, Side::Right, &pins.left));
        let right = y(channel, Side::Left, &pins.right);
        // Four lines in one point can't be seen as a joint.
        let inner = |at: f64| {
            let mut all = left.iter().chain(&right);
            all.clone().any(|other| *other < at) && all.any(|other| *other > at)
        };
        for (pin, at) in pins.right.iter().zip(&right) {
            if left.contains(at) && inner(*at) {
                clashes.extend(layers.layers.get(channel).and_then(|items| items.get(pin.place)).map(|item| (channel, *item)));
            }
        }
        let found = Pins { net: pins.net, left, right };
        match (found.left.as_slice(), found.right.as_slice()) {
            ([from], [to]) if from == to => straight.push(found),
            _ if found.left.len() + found.right.len() > 1 => trunks.push(found),
            _ => {}
        }
    }
    sort(&mut trunks);
    for (at, one) in trunks.iter().enumerate() {
        for other in trunks.iter().skip(at + 1) {
            for y in one.right.iter().filter(|y| other.left.contains(y)) {
                let item = layers.pins(channel).into_iter().find(|pins| pins.net == one.net).and_then(|pins| {
                    let pin = pins.right.into_iter().find(|pin| heights.pin(layers, channel, Side::Left, *pin) == *y)?;
                    layers.layers.get(channel)?.get(pin.place).copied()
                });
                clashes.extend(item.map(|item| (channel, item)));
            }
        }
    }
    clashes.sort_unstable();
    clashes.dedup();
    let (columns, count) = columns(&trunks);
    Channel { trunks, straight, columns, count, clashes }
}

/// What it costs to have the first trunk left of the second: crossings, and far more where a line to the right of the first would run on a line from
/// the left of the second.
fn cost(first: &Pins<f64>, second: &Pins<f64>) -> usize {
    let clashes = first.right.iter().filter(|y| second.left.contains(y)).count();
    crossings(first, second) + clashes * CLASH
}

/// Sorts trunks from left to right so that they cross least.
fn sort(trunks: &mut Vec<Pins<f64>>) {
    let count = trunks.len();
    let costs: Vec<Vec<usize>> = trunks.iter().map(|one| trunks.iter().map(|other| cost(one, other)).collect()).collect();
    let before = |one: usize, other: usize| costs.get(one).and_then(|row| row.get(other)).copied().unwrap_or(0);
    let mut order: Vec<usize> = Vec::with_capacity(count);
    for net in 0..count {
        // The best place among those that are there, the last of equals.
        let mut best = (usize::MAX, 0);
        if count <= MOVED {
            for place in (0..=order.len()).rev() {
                let left: usize = order.iter().take(place).map(|other| before(*other, net)).sum();
                let right: usize = order.iter().skip(place).map(|other| before(net, *other)).sum();
                if left + right < best.0 {
                    best = (left + right, place);
                }
            }
        } else {
            best.1 = order.len();
        }
        order.insert(best.1, net);
    }
    for _ in 0..count {
        let mut gained = false;
        for place in 1..count {
            let (Some(one), Some(other)) = (order.get(place - 1).copied(), order.get(place).copied()) else { continue };
            if before(other, one) < before(one, other) {
                order.swap(place - 1, place);
                gained = true;
            }
        }
        if !gained {
            break;
        }
    }
    let mut places = vec![0; count];
    for (place, net) in order.into_iter().enumerate() {
        places.get_mut(net).into_iter().for_each(|its| *its = place);
    }
    let mut keyed: Vec<(usize, Pins<f64>)> = places.into_iter().zip(trunks.drain(..)).collect();
    keyed.sort_by_key(|(place, _)| *place);
    trunks.extend(keyed.into_iter().map(|(_, pins)| pins));
}

/// The column of each trunk: right of every earlier one that it would touch.
fn columns(trunks: &[Pins<f64>]) -> (Vec<usize>, usize) {
    let reach = |pins: &Pins<f64>| {
        let all = || pins.left.iter().chain(&pins.right).copied();
        (all().fold(f64::MAX, f64::min), all().fold(f64::MIN, f64::max))
    };
    let mut columns: Vec<usize> = Vec::with_capacity(trunks.len());
    for pins in trunks {
        let (top, bottom) = reach(pins);
        let taken = trunks.iter().zip(&columns).filter(|(other, _)| {
            let (above, below) = reach(other);
            above < bottom + GRID && top < below + GRID
        });
        let column = taken.map(|(_, column)| column + 1).max().unwrap_or(0);
        columns.push(column);
    }
    let count = columns.iter().max().map_or(0, |most| most + 1);
    (columns, count)
}
