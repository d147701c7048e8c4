//! From plans to trees as they are read.

use super::{
    Branch, Bus, End, Feeder, FuseFigures, Tree,
    back::Backs,
    chains::{Chains, Ring, gives},
    figures::Figures,
    grid::{Grid, Link, LinkOf},
    hanging::Hanging,
    plan::{Inlet, Plan, Planned},
    reduce::{Lanes, Step},
    rest::Shown,
};
use crate::{
    model::{ElementId, PointId, WireId},
    network::{EdgeId, EdgeRole, NetId},
    quantity::Ampere,
    views::{Consumer, ConsumerKind, Letter, Part, Piece, PieceKind, Side, WireOf, piece::Maker},
};
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;

/// Pins at the end of a branch are named up to so many.
const MOST: usize = 6;

/// The letters of cut lines: converters in the order written, then what is taken between cells, then rings.
pub(super) struct CutLetters {
    pub(super) converters: FxHashMap<ElementId, Letter>,
    pub(super) between: FxHashMap<NetId, Letter>,
    pub(super) rings: FxHashMap<usize, Letter>,
}

pub(super) struct Show<'s> {
    pub(super) grid: &'s Grid<'s>,
    pub(super) chains: &'s Chains,
    pub(super) hanging: &'s Hanging,
    pub(super) lanes: &'s Lanes,
    pub(super) backs: &'s Backs,
    pub(super) letters: CutLetters,
    pub(super) maker: Maker<'s>,
    pub(super) figures: &'s Figures,
    pub(super) shown: Shown,
}

/// Something at a net.
enum Item {
    Child(usize, usize),
    Takers(Vec<EdgeId>),
    Inlet(Inlet),
    Ring(usize, bool),
}

impl Show<'_> {
    pub(super) fn tree(&mut self, plan: &Plan) -> Tree {
        let items: Vec<Vec<Item>> = plan.nodes.iter().map(|node| self.items(node)).collect();
        // A net at which nothing branches is the end of the way to it.
        let mut numbers: Vec<Option<usize>> = Vec::with_capacity(items.len());
        let mut count = 0;
        for (place, items) in items.iter().enumerate() {
            let is_end = matches!(items.as_slice(), [] | [Item::Takers(_) | Item::Inlet(_)]);
            numbers.push((place == 0 || !is_end).then(|| {
                count += 1;
                count - 1
            }));
        }
        let feeders = plan.feeders.iter().map(|feeder| self.feeder(feeder.inlet, feeder.lane, plan.root())).collect();
        let mut buses = Vec::with_capacity(count);
        for (node, here) in plan.nodes.iter().zip(&items).zip(&numbers).filter_map(|(one, number)| number.map(|_| one)) {
            let branches = here.iter().map(|item| self.branch(plan, node.net, item, &items, &numbers)).collect();
            let wires = self.wires(&[node.net]);
            buses.push(Bus { name: self.bus_name(node.net), wires, branches });
        }
        Tree { feeders, buses }
    }

    fn items(&self, node: &Planned) -> Vec<Item> {
        let network = self.grid.analysis.network();
        let mut items: Vec<Item> = node.inlets.iter().map(|inlet| Item::Inlet(*inlet)).collect();
        let mut sorts: BTreeMap<u8, usize> = BTreeMap::new();
        for id in self.hanging.takers.get(&node.net).into_iter().flatten() {
            let Some(consumer) = self.maker.consumer(*id, None) else { continue };
            let sort = consumer.kind.sort();
            // Each converter goes on at a letter of its own.
            let alone = network[*id].role == EdgeRole::ConverterInput;
            match sorts.get(&sort).filter(|_| !alone).and_then(|at| items.get_mut(*at)) {
                Some(Item::Takers(group)) => group.push(*id),
                _ => {
                    sorts.insert(sort, items.len());
                    items.push(Item::Takers(vec![*id]));
                }
            }
        }
        items.extend(node.children.iter().map(|(lane, behind)| Item::Child(*lane, *behind)));
        items.extend(node.rings.iter().map(|(lane, drawn)| Item::Ring(*lane, *drawn)));
        items
    }

    fn branch(&mut self, plan: &Plan, net: NetId, item: &Item, items: &[Vec<Item>], numbers: &[Option<usize>]) -> Branch {
        match item {
            Item::Takers(takers) => self.leaf(Vec::new(), &[], net, Some(takers), &[]),
            Item::Inlet(inlet) => {
                let feeder = self.feeder(*inlet, None, net);
                self.finish(Vec::new(), Vec::new(), End::Source(feeder), Vec::new())
            }
            Item::Ring(lane, drawn) => {
                let letter = self.letters.rings.get(lane).copied().unwrap_or(Letter(0));
                if !drawn {
                    return self.finish(Vec::new(), Vec::new(), End::From(letter), Vec::new());
                }
                let (way, nets) = self.way(*lane, net);
                let wires = self.wires(&nets);
                self.finish(way, wires, End::Meets(letter), Vec::new())
            }
            Item::Child(lane, behind) => {
                let (way, mut nets) = self.way(*lane, net);
                let Some(child) = plan.nodes.get(*behind) else {
                    return self.finish(way, Vec::new(), End::Pins(Vec::new()), Vec::new());
                };
                if let Some(number) = numbers.get(*behind).copied().flatten() {
                    let wires = self.wires(&nets);
                    return self.finish(way, wires, End::Bus(number), Vec::new());
                }
                let inner = nets.clone();
                nets.push(child.net);
                match items.get(*behind).map(Vec::as_slice) {
                    Some([Item::Takers(takers)]) => self.leaf(way, &nets, child.net, Some(takers), &inner),
                    Some([Item::Inlet(inlet)]) => {
                        let wires = self.wires(&nets);
                        let feeder = self.feeder(*inlet, None, child.net);
                        self.finish(way, wires, End::Source(feeder), Vec::new())
                    }
                    _ => self.leaf(way, &nets, child.net, None, &inner),
                }
            }
        }
    }

    /// A branch that ends at a net where nothing branches.
    fn leaf(&mut self, way: Vec<Part>, nets: &[NetId], net: NetId, takers: Option<&Vec<EdgeId>>, inner: &[NetId]) -> Branch {
        let wires = self.wires(nets);
        let mut back = Vec::new();
        let end = match takers {
            Some(takers) => {
                let consumers = takers.iter().filter_map(|id| self.consumer(*id)).collect();
                let own: Vec<usize> = {
                    let is_own = |users: &Vec<(EdgeId, NetId)>| users.iter().all(|(id, _)| takers.contains(id));
                    let mut own: Vec<usize> =
                        self.backs.of.iter().filter(|(_, users)| is_own(users)).map(|(link, _)| *link).collect();
                    own.sort_unstable();
                    own
                };
                back.extend(own.into_iter().filter_map(|link| self.back_piece(link)));
                End::Consumers(consumers)
            }
            None => match self.hanging.sides.get(&net) {
                Some(sides) => End::OtherSide(self.names(sides)),
                None => End::Pins(self.pins(net, inner)),
            },
        };
        if !nets.is_empty() {
            let loose: Vec<usize> =
                self.backs.loose.iter().filter(|(_, fed)| nets.contains(fed)).map(|(link, _)| *link).collect();
            back.extend(loose.into_iter().filter_map(|link| self.back_piece(link)));
        }
        self.finish(way, wires, end, back)
    }

    fn finish(&self, way: Vec<Part>, wires: Vec<WireOf>, end: End, back: Vec<Piece>) -> Branch {
        let pieces = Part::pieces(&way);
        let fuse = pieces.iter().rev().find_map(|piece| match piece.kind {
            PieceKind::Fuse { fitted } => Some(FuseFigures { name: piece.name.clone(), rating: piece.rating, fitted }),
            _ => None,
        });
        let amps = match (way.last(), &end) {
            (Some(part), _) => amps_of(part),
            (None, End::Consumers(consumers)) => consumers.iter().map(|consumer| consumer.amps).sum(),
            (None, End::Source(feeder)) => feeder.amps.abs(),
            (None, End::Bus(_) | End::Meets(_) | End::From(_) | End::OtherSide(_) | End::Pins(_)) => Ampere::ZERO,
        };
        let name = fuse.as_ref().map(|fuse| fuse.name.as_str());
        let (size, least) = (self.figures.size(name, &wires), self.figures.least(name, &wires));
        Branch { way, wires, back, amps, fuse, size, least, end }
    }

    fn feeder(&mut self, inlet: Inlet, lane: Option<(usize, NetId)>, root: NetId) -> Feeder {
        let mut nets: Vec<NetId> = Vec::new();
        let mut way = Vec::new();
        let (from, amps) = match inlet {
            Inlet::Between(net) => (self.letters.between.get(&net).copied(), Ampere::ZERO),
            Inlet::Chain(number) => match self.chains.chains.get(number) {
                None => (None, Ampere::ZERO),
                Some(chain) => {
                    for ring in &chain.rings {
                        match ring {
                            Ring::Bank(sources) => {
                                way.push(Part::Sources(sources.iter().filter_map(|id| self.source(*id)).collect()));
                            }
                            Ring::Link(link) => way.extend(self.part(&Step::Link(*link))),
                            Ring::Between(net) => {
                                nets.push(*net);
                                way.extend(self.letters.between.get(net).map(|letter| Part::Tap(*letter)));
                            }
                        }
                    }
                    (chain.from.and_then(|net| self.letters.between.get(&net).copied()), gives(chain, self.maker.mode))
                }
            },
        };
        if let Some((lane, net)) = lane {
            let (more, inner) = self.way(lane, net);
            way.extend(more);
            nets.push(net);
            nets.extend(inner);
        }
        nets.retain(|net| *net != root);
        Feeder { way, from, wires: self.wires(&nets), amps }
    }

    /// A way from a net on, with the nets within.
    fn way(&mut self, lane: usize, from: NetId) -> (Vec<Part>, Vec<NetId>) {
        let Some(lane) = self.lanes.get(lane) else { return Default::default() };
        let steps = lane.steps_from(from);
        (steps.iter().filter_map(|step| self.part(step)).collect(), lane.nets.clone())
    }

    fn part(&mut self, step: &Step) -> Option<Part> {
        match step {
            Step::Link(link) => {
                let link = self.grid.links.get(*link).copied()?;
                self.mark(&link);
                let piece = match link.of {
                    LinkOf::Way(edge) | LinkOf::Resistor(edge) => self.maker.piece(edge, Side::Feed)?,
                    LinkOf::Vacant => self.maker.vacant(link.element),
                };
                Some(Part::One(piece))
            }
            Step::Beside(lanes) => {
                let lanes = lanes.iter().map(|lane| lane.iter().filter_map(|step| self.part(step)).collect());
                Some(Part::Beside(lanes.collect()))
            }
        }
    }

    fn mark(&mut self, link: &Link) {
        match link.edge() {
            Some(edge) => self.shown.edges.insert(edge),
            None => self.shown.vacant.insert(link.element),
        };
    }

    pub(super) fn is_shown(&self, link: &Link) -> bool {
        match link.edge() {
            Some(edge) => self.shown.edges.contains(&edge),
            None => self.shown.vacant.contains(&link.element),
        }
    }

    /// A piece in a return, once.
    pub(super) fn back_piece(&mut self, link: usize) -> Option<Piece> {
        let link = self.grid.links.get(link).copied().filter(|link| !self.is_shown(link))?;
        self.mark(&link);
        match link.of {
            LinkOf::Way(edge) | LinkOf::Resistor(edge) => self.maker.piece(edge, Side::Return),
            LinkOf::Vacant => Some(Piece { side: Side::Return, ..self.maker.vacant(link.element) }),
        }
    }

    fn consumer(&mut self, id: EdgeId) -> Option<Consumer> {
        self.shown.edges.insert(id);
        let element = self.grid.analysis.network()[id].element()?;
        let letter = self.letters.converters.get(&element).copied();
        let consumer = self.maker.consumer(id, letter)?;
        debug_assert!(matches!(consumer.kind, ConsumerKind::Converter { .. }) || letter.is_none(), "a letter is of a converter");
        Some(consumer)
    }

    fn source(&mut self, id: EdgeId) -> Option<crate::views::Source> {
        self.shown.edges.insert(id);
        let element = self.grid.analysis.network()[id].element()?;
        let letter = self.letters.converters.get(&element).copied();
        self.maker.source(id, letter)
    }

    /// The wires of nets, in the order written.
    fn wires(&self, nets: &[NetId]) -> Vec<WireOf> {
        let network = self.grid.analysis.network();
        let points = nets.iter().flat_map(|net| network.net_points(*net));
        let mut wires: Vec<WireId> =
            points.flat_map(|point| network.around(*point).filter_map(|(_, edge, _)| edge.wire())).collect();
        let model = self.grid.analysis.model();
        wires.sort_unstable_by_key(|wire| model[*wire].span);
        wires.dedup();
        wires.into_iter().map(|wire| self.maker.wire(wire)).collect()
    }

    fn names(&self, edges: &[EdgeId]) -> Vec<String> {
        let network = self.grid.analysis.network();
        edges.iter().filter_map(|id| Some(self.grid.analysis.model().element_name(network[*id].element()?))).collect()
    }

    /// The pins of devices at a net that are not of the box that the way comes from.
    fn pins(&self, net: NetId, inner: &[NetId]) -> Vec<String> {
        let network = self.grid.analysis.network();
        let model = self.grid.analysis.model();
        let all: Vec<PointId> = network.net_points(net).iter().copied().filter(|point| self.maker.is_of_device(*point)).collect();
        let is_own = |point: &PointId| {
            network.around(*point).any(|(_, edge, _)| edge.role.is_fuse() || inner.contains(&self.grid.net(edge.a)))
        };
        let far: Vec<PointId> = all.iter().copied().filter(|point| !is_own(point)).collect();
        let named = if far.is_empty() { all } else { far };
        named.into_iter().take(MOST).map(|point| model.point_name(point)).collect()
    }

    /// The place of a net at which most is joined: a stud before a pin, a pin before a point within a box.
    fn bus_name(&self, net: NetId) -> String {
        let network = self.grid.analysis.network();
        let model = self.grid.analysis.model();
        let count = |point: &PointId| network.around(*point).filter(|(_, edge, _)| edge.element().is_some()).count();
        let points = network.net_points(net);
        let best = points.iter().filter(|point| self.maker.is_of_device(**point)).map(|point| (count(point), *point));
        let best = best.reduce(|best, next| if next.0 > best.0 { next } else { best }).map(|(_, point)| point);
        best.or(points.first().copied()).map_or_else(String::new, |point| model.point_name(point))
    }
}

/// The current through a stretch of a way: the sum of ways side by side.
fn amps_of(part: &Part) -> Ampere {
    match part {
        Part::One(piece) => piece.amps,
        Part::Sources(sources) => sources.iter().map(|source| source.amps.abs()).sum(),
        Part::Tap(_) => Ampere::ZERO,
        Part::Beside(lanes) => lanes.iter().filter_map(|lane| lane.last()).map(amps_of).sum(),
    }
}
