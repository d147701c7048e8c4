//! Who is above whom in each layer: barycentres forth and back from several beginnings, then swaps of neighbours, by the crossings that the best
//! order of trunks would leave.

use super::{Graph, Side};

/// What is in a layer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) enum Item {
    /// A box.
    Node(usize),
    /// A net that passes.
    Pass(usize),
}

/// A graph whose boxes and passing nets are in layers.
pub(super) struct Layers<'a> {
    pub(super) graph: &'a Graph,
    pub(super) layers: Order,
    /// The nets at the left and at the right side of each box, each with its port, from above to below.
    ports: Vec<[Vec<(usize, usize)>; 2]>,
}

/// The ports of a net in a channel: at its left side those of the layer before it, at its right side those of the layer behind it.
pub(super) struct Pins<T> {
    pub(super) net: usize,
    pub(super) left: Vec<T>,
    pub(super) right: Vec<T>,
}

/// Where an item is joined: its place in its layer, and its port, if it is a box.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Pin {
    pub(super) place: usize,
    pub(super) port: usize,
}

impl<'a> Layers<'a> {
    pub(super) fn new(graph: &'a Graph, ranks: &[usize]) -> Self {
        // Box, side and place of each port of a net; those that no box has are left out.
        let ports: Vec<Vec<(usize, Side, usize)>> = graph
            .nets
            .iter()
            .map(|net| {
                let mut ports: Vec<(usize, Side, usize)> = net
                    .ports
                    .iter()
                    .filter(|port| {
                        let node = graph.nodes.get(port.node);
                        node.is_some_and(|node| {
                            port.at < if port.side == Side::Left { node.left.len() } else { node.right.len() }
                        })
                    })
                    .map(|port| (port.node, port.side, port.at))
                    .collect();
                ports.sort_unstable();
                ports.dedup();
                ports
            })
            .collect();
        let count = ranks.iter().max().map_or(0, |most| most + 1);
        let mut layers: Vec<Vec<Item>> = vec![Vec::new(); count];
        for (node, rank) in ranks.iter().enumerate() {
            layers.get_mut(*rank).into_iter().for_each(|layer| layer.push(Item::Node(node)));
        }
        for (net, ports) in ports.iter().enumerate() {
            let channels = ports.iter().map(|(node, side, _)| channel(ranks, *node, *side));
            let (Some(first), Some(last)) = (channels.clone().min(), channels.max()) else { continue };
            // Channel `c` is before layer `c`.
            for layer in first..last {
                layers.get_mut(layer).into_iter().for_each(|layer| layer.push(Item::Pass(net)));
            }
        }
        let mut of_box: Vec<[Vec<(usize, usize)>; 2]> = vec![Default::default(); graph.nodes.len()];
        for (net, ports) in ports.iter().enumerate() {
            for (node, side, port) in ports {
                let of = of_box.get_mut(*node).map(|[left, right]| if *side == Side::Left { left } else { right });
                of.into_iter().for_each(|of| of.push((net, *port)));
            }
        }
        of_box.iter_mut().flatten().for_each(|of| of.sort_unstable_by_key(|(_, port)| *port));
        Self { graph, layers, ports: of_box }
    }

    /// How many boxes and passing nets there are.
    pub(super) fn items(&self) -> usize {
        self.layers.iter().map(Vec::len).sum()
    }

    /// How many channels there are: one before each layer, one behind the last.
    pub(super) fn channels(&self) -> usize {
        self.layers.len() + 1
    }

    /// The nets of a channel with their pins, each side from above to below.
    pub(super) fn pins(&self, channel: usize) -> Vec<Pins<Pin>> {
        let mut found: Vec<Pins<Pin>> = Vec::new();
        let mut of_net: Vec<Option<usize>> = vec![None; self.graph.nets.len()];
        let mut put = |net: usize, side: Side, pin: Pin| {
            let Some(of) = of_net.get_mut(net) else { return };
            let at = *of.get_or_insert_with(|| {
                found.push(Pins { net, left: Vec::new(), right: Vec::new() });
                found.len() - 1
            });
            // The right side of the layer before is the left side of the channel.
            found
                .get_mut(at)
                .into_iter()
                .for_each(|pins| if side == Side::Right { pins.left.push(pin) } else { pins.right.push(pin) });
        };
        for (layer, side) in [(channel.checked_sub(1), Side::Right), (Some(channel), Side::Left)] {
            let Some(items) = layer.and_then(|layer| self.layers.get(layer)) else { continue };
            for (place, item) in items.iter().enumerate() {
                match item {
                    Item::Pass(net) => put(*net, side, Pin { place, port: 0 }),
                    Item::Node(node) => {
                        let ports = self.ports.get(*node).map(|[left, right]| if side == Side::Left { left } else { right });
                        for (net, port) in ports.into_iter().flatten() {
                            put(*net, side, Pin { place, port: *port });
                        }
                    }
                }
            }
        }
        found.sort_by_key(|pins| pins.net);
        found
    }

    /// The best orders of so many beginnings, the first of which is the order given; equals in the order found.
    pub(super) fn sorted(&mut self, tries: u64) -> Vec<Order> {
        let given = self.layers.clone();
        let mut best = Best::default();
        for seed in 0..tries.max(1) {
            self.layers.clone_from(&given);
            if seed > 0 {
                let mut random = Random(seed);
                self.layers.iter_mut().for_each(|layer| random.shuffle(layer));
            }
            self.sweep(&mut best);
            self.swap(&mut best);
            if best.0.first().is_some_and(|(crossings, _)| *crossings == 0) {
                break;
            }
        }
        best.0.into_iter().map(|(_, order)| order).collect()
    }

    fn keep(&self, best: &mut Best) -> usize {
        let crossings = (0..self.channels()).map(|channel| self.cost(channel)).sum();
        best.add(crossings, &self.layers);
        crossings
    }

    /// Sorts by barycentre forth and back until it gains nothing.
    fn sweep(&mut self, best: &mut Best) {
        let mut least = self.keep(best);
        for _ in 0..8 {
            (1..self.layers.len()).for_each(|layer| self.by_barycentre(layer, layer, true));
            (0..self.layers.len().saturating_sub(1)).rev().for_each(|layer| self.by_barycentre(layer, layer + 1, false));
            let now = self.keep(best);
            if now >= least {
                return;
            }
            least = now;
        }
    }

    fn by_barycentre(&mut self, layer: usize, channel: usize, from_left: bool) {
        let Some(count) = self.layers.get(layer).map(Vec::len) else { return };
        let mut sums = vec![(0.0_f64, 0.0_f64); count];
        for pins in self.pins(channel) {
            let (other, own) = if from_left { (&pins.left, &pins.right) } else { (&pins.right, &pins.left) };
            if other.is_empty() {
                continue;
            }
            let mean = other.iter().map(|pin| pin.place as f64 + pin.port as f64 * 0.01).sum::<f64>() / other.len() as f64;
            for pin in own {
                sums.get_mut(pin.place).into_iter().for_each(|sum| *sum = (sum.0 + mean, sum.1 + 1.0));
            }
        }
        let Some(items) = self.layers.get_mut(layer) else { return };
        let mut keyed: Vec<(f64, Item)> = items
            .iter()
            .enumerate()
            .map(|(place, item)| {
                let (sum, weight) = sums.get(place).copied().unwrap_or_default();
                (if weight > 0.0 { sum / weight } else { place as f64 }, *item)
            })
            .collect();
        keyed.sort_by(|one, other| one.0.total_cmp(&other.0));
        *items = keyed.into_iter().map(|(_, item)| item).collect();
    }

    /// Swaps neighbours while that saves crossings.
    fn swap(&mut self, best: &mut Best) {
        if self.items() > super::LARGE {
            return;
        }
        for _ in 0..6 {
            let mut gained = false;
            for layer in 0..self.layers.len() {
                let mut now = self.cost(layer) + self.cost(layer + 1);
                let count = self.layers.get(layer).map_or(0, Vec::len);
                for place in 1..count {
                    self.layers.get_mut(layer).into_iter().for_each(|items| items.swap(place - 1, place));
                    let then = self.cost(layer) + self.cost(layer + 1);
                    if then < now {
                        (now, gained) = (then, true);
                    } else {
                        self.layers.get_mut(layer).into_iter().for_each(|items| items.swap(place - 1, place));
                    }
                }
            }
            self.keep(best);
            if !gained {
                return;
            }
        }
    }

    /// Crossings in a channel if each two trunks were in the better order.
    fn cost(&self, channel: usize) -> usize {
        let pins = self.pins(channel);
        let mut sum = 0;
        for (at, one) in pins.iter().enumerate() {
            for other in pins.iter().skip(at + 1) {
                sum += crossings(one, other).min(crossings(other, one));
            }
        }
        sum
    }
}

/// Channel `c` is before layer `c`.
fn channel(ranks: &[usize], node: usize, side: Side) -> usize {
    ranks.get(node).copied().unwrap_or(0) + usize::from(side == Side::Right)
}

/// Crossings of two nets of a channel if the trunk of the first is left of that of the second: what leads on to the right from the first crosses the
/// trunk of the second where it is within its reach, and the other way round.
pub(super) fn crossings<T: PartialOrd + Copy>(first: &Pins<T>, second: &Pins<T>) -> usize {
    let within = |pin: T, of: &Pins<T>| {
        let mut all = of.left.iter().chain(&of.right);
        all.clone().any(|other| *other < pin) && all.any(|other| *other > pin)
    };
    first.right.iter().filter(|pin| within(**pin, second)).count() + second.left.iter().filter(|pin| within(**pin, first)).count()
}

/// What is in each layer, from above to below.
pub(super) type Order = Vec<Vec<Item>>;

/// So many orders are drawn, for how lines run decides about crossings too.
const DRAWN: usize = 10;

/// The best orders with what they cost, the least first.
#[derive(Default)]
struct Best(Vec<(usize, Order)>);

impl Best {
    fn add(&mut self, cost: usize, order: &Order) {
        let place = self.0.partition_point(|(other, _)| *other <= cost);
        if place >= DRAWN || self.0.iter().any(|(other, known)| *other == cost && known == order) {
            return;
        }
        self.0.insert(place, (cost, order.clone()));
        self.0.truncate(DRAWN);
    }
}

/// Numbers that look random and are the same each time.
struct Random(u64);

impl Random {
    /// Knuth's constants for a linear congruential generator of 64 bits.
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        self.0 >> 33
    }

    fn shuffle<T>(&mut self, items: &mut [T]) {
        for place in (1..items.len()).rev() {
            let other = (self.next() % (place as u64 + 1)) as usize;
            items.swap(place, other);
        }
    }
}
