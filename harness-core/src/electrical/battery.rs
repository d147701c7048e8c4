//! Batteries as strings: which cells and modules stand in a row, and how high each point stands above the negative end.
//!
//! Owns the static picture: every fuse fitted, every disconnect in, every switch closed that is closed in some mode. What
//! conductors then join is a *lump*, sources stand between lumps, and sources side by side are one *link*. A lump at which two
//! links meet is the inside of a *chain*; where more meet, or where equal poles meet at something that takes current, a chain ends.
//! Sources that are there in some modes only (chargers, mains) and alternating ones belong to no chain.
//!
//! Cost: a few passes over the edges and one walk over the sources.

use crate::{
    model::{ElementId, ElementKind, ModeSet, Model, PointId},
    network::{Components, Domains, Edge, Network, Terminal},
    quantity::{Ohm, Volt},
    vocabulary::Role,
};
use petgraph::unionfind::UnionFind;
use rustc_hash::{FxHashMap, FxHashSet};
use std::collections::{VecDeque, hash_map::Entry};

/// Internal resistance taken for a source that gives none.
const ASSUMED_SOURCE: f64 = 0.01;

/// The batteries of a design.
#[derive(Debug, Default)]
pub struct Strings {
    /// Per point: its lump.
    lumps: Vec<u32>,
    /// Per lump that sources join: its tree, and how high it stands there.
    heights: FxHashMap<u32, (u32, f64)>,
    /// Per tree: its lowest height.
    lowest: Vec<f64>,
    /// The chains, in the order of their first sources.
    pub chains: Vec<Chain>,
}

/// Links in a row, from the negative end.
#[derive(Debug, Clone)]
pub struct Chain {
    /// The links.
    pub links: Vec<Link>,
    /// A pole at its lower end.
    pub bottom: PointId,
    /// A pole at its upper end.
    pub top: PointId,
}

/// Sources side by side.
#[derive(Debug, Clone)]
pub struct Link {
    /// The sources, in the order written; at least one. Those without a limit come first.
    pub cells: Vec<Cell>,
    /// Whether it raises the chain; `false` for a module that is the wrong way round.
    pub rises: bool,
}

/// A source of a link.
#[derive(Debug, Clone, Copy)]
pub struct Cell {
    /// The element.
    pub source: ElementId,
    /// Open voltage.
    pub emf: Volt,
    /// Internal resistance; 10 mohm where none is given.
    pub resistance: Ohm,
    /// Gives no more than its limit and takes no reverse current.
    pub limited: bool,
}

impl Strings {
    /// The lump of a point.
    #[must_use]
    pub fn lump(&self, point: PointId) -> u32 {
        self.lumps.get(point.index()).copied().unwrap_or(u32::MAX)
    }

    /// The tree of sources that a point hangs on, and its height there; `None` where conductors join it to no source.
    #[must_use]
    pub fn height(&self, point: PointId) -> Option<(u32, Volt)> {
        self.heights.get(&self.lump(point)).map(|(tree, height)| (*tree, Volt::new(*height)))
    }

    /// The voltage of a chain, as it stands above the lowest point that sources join to it.
    #[must_use]
    pub fn voltage(&self, chain: &Chain) -> Volt {
        let own = chain.voltage();
        match self.heights.get(&self.lump(chain.top)) {
            Some((tree, height)) if chain.is_straight() => {
                let lowest = self.lowest.get(*tree as usize).copied().unwrap_or(0.0);
                Volt::new(own.get().max(height - lowest))
            }
            _ => own,
        }
    }
}

impl Chain {
    /// Sum of its links.
    #[must_use]
    pub fn voltage(&self) -> Volt {
        Volt::new(self.links.iter().map(|link| if link.rises { link.emf() } else { -link.emf() }).sum())
    }

    /// The first source of each link, from the negative end.
    pub fn modules(&self) -> impl DoubleEndedIterator<Item = ElementId> {
        self.links.iter().filter_map(|link| link.cells.first()).map(|cell| cell.source)
    }

    /// Internal resistance of its links.
    #[must_use]
    pub fn resistance(&self) -> Ohm {
        Ohm::new(self.links.iter().filter_map(|link| link.cells.first()).map(|cell| cell.resistance.get()).sum())
    }

    /// Whether all its links stand the same way.
    #[must_use]
    pub fn is_straight(&self) -> bool {
        self.links.iter().all(|link| link.rises)
    }
}

impl Link {
    fn emf(&self) -> f64 {
        self.cells.first().map_or(0.0, |cell| cell.emf.get())
    }
}

/// Finds the strings of a design.
#[must_use]
pub fn strings(network: &Network, domains: &Domains) -> Strings {
    let model = network.model();
    let lumps = lumps(network);
    let of = |point: PointId| lumps.get(point.index()).copied().unwrap_or(u32::MAX);
    let mut maker = Maker::default();
    for (_, edge) in network.edges() {
        if let Some(cell) = cell(model, domains, edge) {
            maker.add(of(edge.a), of(edge.b), (edge.a, edge.b), cell);
        }
    }
    for link in &mut maker.links {
        link.cells.sort_by_cached_key(|(cell, _)| (cell.limited, model.element_name(cell.source)));
    }
    let busy = busy(network, &of);
    let grounds = grounds(model, &of);
    let chains = maker.chains(&busy, &grounds);
    let (heights, lowest) = maker.heights();
    Strings { lumps, heights, lowest, chains }
}

/// What a source is to a battery; `None` for one that is no part of it.
fn cell(model: &Model, domains: &Domains, edge: &Edge) -> Option<Cell> {
    let (source, _) = edge.element()?;
    let ElementKind::Source { emf, resistance, limit, modes, .. } = model.element(source)?.kind else { return None };
    let ac = domains.of(edge.b).and_then(|domain| model.domain(domain)).is_some_and(|domain| domain.ac);
    let resistance = resistance.map_or(Ohm::new(ASSUMED_SOURCE), |at| at.value);
    (modes == ModeSet::ALL && !ac).then_some(Cell { source, emf, resistance, limited: limit.is_some() })
}

/// Per point the number of what conductors join to it, once everything is fitted and in.
fn lumps(network: &Network) -> Vec<u32> {
    let model = network.model();
    let closed = |edge: &Edge| {
        let Some((element, terminal)) = edge.element() else { return true };
        match (model.element(element).map(|element| &element.kind), terminal) {
            (_, Terminal::Bar | Terminal::Make) => true,
            (Some(ElementKind::Fuse { .. } | ElementKind::Disconnect { .. }), _) => true,
            (Some(ElementKind::Switch { closed, .. }), _) => model.modes().any(|(mode, _)| closed.has(mode)),
            _ => false,
        }
    };
    let joined: Components = network.components(|_, edge| closed(edge));
    // A fuse that is left out of its holder is no edge of the network.
    let mut sets = UnionFind::<u32>::new(joined.len());
    for (_, element) in model.elements() {
        if let (ElementKind::Fuse { fitted: false, .. }, [a, b]) = (&element.kind, &*element.points) {
            let _ = sets.try_union(joined.of(*a), joined.of(*b));
        }
    }
    let labels = sets.into_labeling();
    (0..network.point_count())
        .map(|point| labels.get(joined.of(PointId::from_index(point)) as usize).copied().unwrap_or(u32::MAX))
        .collect()
}

/// Lumps at which something takes current, or which are the chassis.
fn busy(network: &Network, of: &dyn Fn(PointId) -> u32) -> FxHashSet<u32> {
    let model = network.model();
    let mut busy = FxHashSet::default();
    for (_, edge) in network.edges() {
        let Some((element, terminal)) = edge.element() else { continue };
        let load = matches!(model.element(element).map(|element| &element.kind), Some(ElementKind::Load { .. }));
        if load || matches!(terminal, Terminal::Coil | Terminal::Input | Terminal::Output) {
            busy.insert(of(edge.a));
            busy.insert(of(edge.b));
        }
    }
    let chassis = model.devices().filter(|(_, device)| device.chassis).flat_map(|(_, device)| device.ports.iter());
    for point in chassis.filter_map(|port| model.port(port)).flat_map(|port| port.points.iter()) {
        busy.insert(of(point));
    }
    busy
}

/// Lumps that a pin calls a return.
fn grounds(model: &Model, of: &dyn Fn(PointId) -> u32) -> FxHashSet<u32> {
    let returns = model.points().filter(|(_, point)| {
        let role = point.pin.and_then(|pin| model.pin(pin)).and_then(|pin| pin.role).map(|role| role.value);
        matches!(role, Some(Role::Return | Role::Chassis | Role::Earth))
    });
    returns.map(|(id, _)| of(id)).collect()
}

/// Sources side by side, before they are sorted into chains: from the lump `low` to the lump `high`.
struct Stretch {
    low: u32,
    high: u32,
    cells: Vec<(Cell, (PointId, PointId))>,
}

#[derive(Default)]
struct Maker {
    links: Vec<Stretch>,
    by_lumps: FxHashMap<(u32, u32), usize>,
    around: FxHashMap<u32, Vec<usize>>,
    /// The lumps in the order in which sources name them.
    order: Vec<u32>,
}

impl Maker {
    fn add(&mut self, low: u32, high: u32, points: (PointId, PointId), cell: Cell) {
        if low == high {
            return;
        }
        // Of two sources side by side of which one is turned the second stands for itself: that is a short.
        if let Some(link) = self.by_lumps.get(&(low, high)).and_then(|at| self.links.get_mut(*at)) {
            link.cells.push((cell, points));
            return;
        }
        let at = self.links.len();
        self.by_lumps.insert((low, high), at);
        for lump in [low, high] {
            let around = self.around.entry(lump).or_default();
            if around.is_empty() {
                self.order.push(lump);
            }
            around.push(at);
        }
        self.links.push(Stretch { low, high, cells: vec![(cell, points)] });
    }

    /// The links at a lump, each with the lump at its other side and whether it rises towards that.
    fn at(&self, lump: u32) -> impl Iterator<Item = (usize, u32, bool)> {
        self.around.get(&lump).into_iter().flatten().filter_map(move |at| {
            let link = self.links.get(*at)?;
            Some((*at, if link.low == lump { link.high } else { link.low }, link.low == lump))
        })
    }

    /// Whether two links meet here with equal poles.
    fn meets_equal(&self, lump: u32) -> bool {
        let mut rises = self.at(lump).map(|(_, _, rises)| rises);
        matches!((rises.next(), rises.next(), rises.next()), (Some(a), Some(b), None) if a == b)
    }

    /// Whether two batteries, each with its own positive end, share their negative end here.
    fn is_shared(&self, lump: u32) -> bool {
        self.at(lump).all(|(_, other, rises)| rises && self.around.get(&other).map_or(0, Vec::len) == 1)
    }

    fn chains(&self, busy: &FxHashSet<u32>, grounds: &FxHashSet<u32>) -> Vec<Chain> {
        let ends = |lump: u32| {
            let shared = || grounds.contains(&lump) && self.is_shared(lump);
            let parts = || self.meets_equal(lump) && (busy.contains(&lump) || shared());
            self.around.get(&lump).map_or(0, Vec::len) != 2 || parts()
        };
        let mut used = vec![false; self.links.len()];
        let mut found: Vec<(usize, Chain)> = Vec::new();
        // Strings side by side with nothing else at them form a circle: it is cut where equal poles meet.
        for circles in [false, true] {
            let ends = |lump: u32| if circles { self.meets_equal(lump) } else { ends(lump) };
            for lump in self.order.iter().copied().filter(|lump| ends(*lump)) {
                for (first, _, _) in self.at(lump) {
                    let chain = self.walk((lump, first), &ends, grounds, &mut used);
                    found.extend(chain.map(|chain| (first, chain)));
                }
            }
        }
        found.sort_by_key(|(first, _)| *first);
        found.into_iter().map(|(_, chain)| chain).collect()
    }

    /// The chain that leaves the lump `start` by the link `first`; `None` if that was walked.
    fn walk(
        &self,
        (start, first): (u32, usize),
        ends: &dyn Fn(u32) -> bool,
        grounds: &FxHashSet<u32>,
        used: &mut [bool],
    ) -> Option<Chain> {
        let mut links: Vec<Link> = Vec::new();
        let mut points: Vec<(PointId, PointId)> = Vec::new();
        let (mut lump, mut next) = (start, first);
        loop {
            let slot = used.get_mut(next)?;
            if std::mem::replace(slot, true) {
                break;
            }
            let link = self.links.get(next)?;
            let rises = link.low == lump;
            let (_, (minus, plus)) = link.cells.first()?;
            points.push(if rises { (*minus, *plus) } else { (*plus, *minus) });
            links.push(Link { cells: link.cells.iter().map(|(cell, _)| *cell).collect(), rises });
            lump = if rises { link.high } else { link.low };
            if ends(lump) {
                break;
            }
            let Some((on, _, _)) = self.at(lump).find(|(at, _, _)| *at != next) else { break };
            next = on;
        }
        let (bottom, top) = (points.first()?.0, points.last()?.1);
        let chain = Chain { links, bottom, top };
        // Told from the negative end; of a string of no voltage at all the end that most links call so, or a pin does.
        let falls = chain.links.iter().filter(|link| !link.rises).count();
        let turned = match chain.voltage().get() {
            volts if volts.abs() < 1e-9 => {
                falls * 2 > chain.links.len()
                    || (falls * 2 == chain.links.len() && grounds.contains(&lump) && !grounds.contains(&start))
            }
            volts => volts < 0.0,
        };
        if !turned {
            return Some(chain);
        }
        let links = chain.links.into_iter().rev().map(|link| Link { rises: !link.rises, ..link }).collect();
        Some(Chain { links, bottom: top, top: bottom })
    }

    /// How high each lump stands above the first of its tree, and the lowest height of each tree.
    fn heights(&self) -> (FxHashMap<u32, (u32, f64)>, Vec<f64>) {
        let mut heights: FxHashMap<u32, (u32, f64)> = FxHashMap::default();
        let mut lowest: Vec<f64> = Vec::new();
        for root in &self.order {
            if heights.contains_key(root) {
                continue;
            }
            let tree = lowest.len() as u32;
            let mut least = 0.0_f64;
            heights.insert(*root, (tree, 0.0));
            let mut waiting = VecDeque::from([*root]);
            while let Some(lump) = waiting.pop_front() {
                let own = heights.get(&lump).map_or(0.0, |(_, height)| *height);
                for (at, other, rises) in self.at(lump) {
                    let emf = self.links.get(at).and_then(|link| link.cells.first()).map_or(0.0, |(cell, _)| cell.emf.get());
                    let height = if rises { own + emf } else { own - emf };
                    if let Entry::Vacant(slot) = heights.entry(other) {
                        slot.insert((tree, height));
                        least = least.min(height);
                        waiting.push_back(other);
                    }
                }
            }
            lowest.push(least);
        }
        (heights, lowest)
    }
}
