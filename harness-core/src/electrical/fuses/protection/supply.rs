//! What may flow into a conductor for long from all that feeds it: fuses up to their ratings, sources up to their limits.
//!
//! A fault that no fuse opens for is an overload, and its current comes from every side at once. What can reach a conductor is a
//! largest flow: sections are nodes, a fuse lets its rating through, a source with a limit gives that, and what reaches its ground past
//! no fuse gives any current. So the smaller of two fuses in series decides, and two that feed one bar add up. The smallest cut names
//! the fuses and sources that decide, nearest to the conductor. A conductor that alone joins two halves of its section carries what
//! comes from one of them only, so each is asked by itself.
//!
//! Cost: a flow for each section, over the few fuses before it; for a section with several feeders one for each way in which a conductor
//! divides them.

use super::{Protection, SectionId, cuts::Cuts, diodes};
use crate::{
    arena::IdVec,
    electrical::{
        alternatives::{Alternatives, Closure},
        fuses::fuse::{kind_of, passes},
    },
    model::{ElementId, Model, PointId, WireId},
    network::{Components, EdgeId, GroupId, Network},
    quantity::Ampere,
};
use rustc_hash::{FxHashMap, FxHashSet};

/// What may flow into a conductor for long.
#[derive(Debug, Clone, PartialEq)]
pub struct Supply {
    /// The current.
    pub amps: Ampere,
    /// The same with each fuse up to what a conductor must carry to be protected by it: above the former where a fuse is sure to open
    /// only far above its rating.
    pub late: Ampere,
    /// What decides the current, in the order of the elements; at least one.
    pub by: Vec<Feeder>,
    /// What decides the later one.
    pub late_by: Vec<Feeder>,
}

/// A fuse or a source with a limit, and the most that it lets through or gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Feeder {
    /// The fuse or source.
    pub element: ElementId,
    /// Whether it is a fuse.
    pub is_fuse: bool,
    /// Rating or limit.
    pub amps: Ampere,
}

/// What a feeder of a section is.
#[derive(Debug, Clone, Copy)]
struct Inlet {
    feeder: Feeder,
    /// What a conductor must carry to be protected by it.
    late: Ampere,
    /// Where it joins the section.
    at: PointId,
    /// The section beyond a fuse; `None` beyond a source.
    from: Option<SectionId>,
}

/// More feeders of one section than this are not distinguished by the conductors that divide them.
const MOST_INLETS: usize = 128;
/// Sections before a conductor beyond this number are taken as giving whatever their fuses let through.
const MOST_SECTIONS: usize = 256;

/// What a fuse of unknown rating lets through: more than any current that is known.
const UNKNOWN: f64 = 1e12;

/// What may flow into each wire; `None` where a source feeds it past no fuse, where nothing does, and where a rating is not known.
#[must_use]
pub fn supplies(network: &Network, protection: &Protection, alternatives: &Alternatives) -> IdVec<WireId, Option<Supply>> {
    let inlets = inlets(network, protection);
    let any_late = inlets.values().flatten().any(|inlet| inlet.late > inlet.feeder.amps);
    let places = network.components(|_, edge| edge.is_metal() && edge.wire().is_none());
    let search = Search { network, protection, alternatives, inlets, any_late, places };
    let mut found = IdVec::of(None, network.model().wires().len());
    let mut unknown = IdVec::of(false, found.len());
    for group in protection.wires().chunk_by(|a, b| a.0 == b.0) {
        let Some((section, _)) = group.first() else { continue };
        let Some(inlets) = search.inlets.get(section) else { continue };
        // Of what a source feeds past no fuse nobody asks here; behind a diode that blocks it, what comes otherwise counts.
        let bare = if protection.is_grounded(*section) {
            match protection.bare_points(*section) {
                Some(bare) => Some(bare),
                None => continue,
            }
        } else {
            None
        };
        let mut flows: FxHashMap<u128, Option<Supply>> = FxHashMap::default();
        let sides = if inlets.len() < 2 { FxHashMap::default() } else { search.sides(*section, inlets) };
        let reaching = search.reaching(*section, inlets);
        let all = if inlets.len() >= MOST_INLETS { u128::MAX } else { (1 << inlets.len()) - 1 };
        for (_, wire) in group {
            if network.model()[*wire].from.is_some_and(|from| bare.is_some_and(|bare| bare.contains(&from))) {
                continue;
            }
            let masks = sides.get(wire).map_or([all, 0], |below| [*below, all & !below]);
            let reach = reaching.as_ref().map_or(u128::MAX, |reaching| reaching.get(wire).copied().unwrap_or_default());
            let masks = masks.map(|mask| mask & reach);
            let mut supplies: Vec<Supply> = Vec::new();
            let mut is_known = true;
            for mask in masks.into_iter().filter(|mask| *mask != 0) {
                match flows.entry(mask).or_insert_with(|| search.supply(*section, inlets, mask)) {
                    Some(supply) => supplies.push(supply.clone()),
                    None => is_known = false,
                }
            }
            // What one closure leaves unknown is known of none.
            unknown[*wire] |= !is_known;
            found[*wire] = found[*wire].take().into_iter().chain(supplies).reduce(worse);
        }
    }
    for (wire, _) in unknown.iter().filter(|(_, unknown)| **unknown) {
        found[wire] = None;
    }
    found
}

/// The worse of what comes from two sides.
fn worse(a: Supply, b: Supply) -> Supply {
    let (amps, by) = if b.amps > a.amps { (b.amps, b.by) } else { (a.amps, a.by) };
    let (late, late_by) = if b.late > a.late { (b.late, b.late_by) } else { (a.late, a.late_by) };
    Supply { amps, late, by, late_by }
}

/// What feeds each section that reaches no ground by itself.
fn inlets(network: &Network, protection: &Protection) -> FxHashMap<SectionId, Vec<Inlet>> {
    let model = network.model();
    let mut inlets: FxHashMap<SectionId, Vec<Inlet>> = FxHashMap::default();
    for feed in protection.feeds() {
        let edge = &network[feed.edge];
        let (rating, late) = ratings(model, feed.fuse);
        for cluster in feed.fed.iter().filter(|cluster| !protection.is_ground(**cluster)) {
            let (at, beyond) = if protection.holds(*cluster, edge.a) { (edge.a, edge.b) } else { (edge.b, edge.a) };
            let Some(section) = protection.section_of(*cluster) else { continue };
            let feeder = Feeder { element: feed.fuse, is_fuse: true, amps: rating };
            let from = protection.section_beside(*cluster, beyond);
            inlets.entry(section).or_default().push(Inlet { feeder, late, at, from });
        }
    }
    for (_, edge) in network.edges().filter(|(_, edge)| edge.role.drives() && !edge.role.drives_without_limit()) {
        let Some((element, limit)) = edge.element().and_then(|element| Some((element, model[element].kind.limit()?))) else {
            continue;
        };
        // Both poles drive, except the one that is the ground itself.
        for at in [edge.a, edge.b] {
            let feeder = Feeder { element, is_fuse: false, amps: limit };
            for section in protection.sections_above_ground(at) {
                inlets.entry(section).or_default().push(Inlet { feeder, late: limit, at, from: None });
            }
        }
    }
    inlets
}

/// The rating of a fuse, and what a conductor must carry to be protected by it; no end to either where the rating is not known.
fn ratings(model: &Model, fuse: ElementId) -> (Ampere, Ampere) {
    kind_of(model, fuse)
        .and_then(|kind| passes(model, kind))
        .map_or((Ampere::new(UNKNOWN), Ampere::new(UNKNOWN)), |passes| (passes.rating, passes.amps))
}

/// What the search needs to know of a design.
struct Search<'a> {
    network: &'a Network,
    protection: &'a Protection,
    alternatives: &'a Alternatives,
    inlets: FxHashMap<SectionId, Vec<Inlet>>,
    /// Whether a fuse of the design is sure to open only far above its rating.
    any_late: bool,
    places: Components,
}

impl Search<'_> {
    /// The closure that a section is of.
    fn closure(&self, section: SectionId) -> Option<&Closure> {
        self.alternatives.closures().get(self.protection.layer_of_section(section)?)
    }

    /// For each wire that alone joins two halves of a section: which of its feeders are on the far side of it.
    fn sides(&self, section: SectionId, inlets: &[Inlet]) -> FxHashMap<WireId, u128> {
        if inlets.len() >= MOST_INLETS {
            return FxHashMap::default();
        }
        let points = self.protection.points_of_section(section);
        let Some(closure) = self.closure(section) else { return FxHashMap::default() };
        let mut numbers: FxHashMap<GroupId, usize> = FxHashMap::default();
        for point in points {
            let next = numbers.len();
            numbers.entry(self.places.of(*point)).or_insert(next);
        }
        let number = |point: PointId| numbers.get(&self.places.of(point)).copied();
        let mut pairs: Vec<(usize, usize)> = Vec::new();
        let mut place: FxHashMap<(usize, usize), usize> = FxHashMap::default();
        let mut wires: Vec<(WireId, usize)> = Vec::new();
        let mut seen: FxHashSet<EdgeId> = FxHashSet::default();
        for point in points {
            for (id, edge, _) in self.network.around(*point) {
                let joins = closure.passes_faults(id, edge) || edge.role.drives_without_limit();
                let (Some(a), Some(b)) = (number(edge.a), number(edge.b)) else { continue };
                if !joins || a == b || !seen.insert(id) {
                    continue;
                }
                // Cables side by side are one conductor: what divides the section is all of them.
                let at = *place.entry((a.min(b), a.max(b))).or_insert_with(|| {
                    pairs.push((a, b));
                    pairs.len() - 1
                });
                wires.extend(edge.wire().map(|wire| (wire, at)));
            }
        }
        let cuts = Cuts::new(numbers.len(), &pairs);
        let mut masks: Vec<u128> = vec![0; numbers.len()];
        for (at, inlet) in inlets.iter().enumerate() {
            if let Some(mask) = number(inlet.at).and_then(|node| masks.get_mut(node)) {
                *mask |= 1 << at;
            }
        }
        cuts.carry_up(&mut masks, |below, above| *above |= *below);
        let sides = wires.into_iter().filter_map(|(wire, at)| Some((wire, *masks.get(cuts.bridge(at)?)?)));
        sides.collect()
    }

    /// For each wire of a section with diodes, which of its feeders reach it: a diode lets current through from its anode to its cathode
    /// alone. `None` for a section without a diode.
    fn reaching(&self, section: SectionId, inlets: &[Inlet]) -> Option<FxHashMap<WireId, u128>> {
        let points = self.protection.points_of_section(section);
        let has_diode = |point: &PointId| self.network.around(*point).any(|(_, edge, _)| diodes::is_diode(edge));
        if inlets.len() >= MOST_INLETS || !points.iter().any(has_diode) {
            return None;
        }
        let closure = self.closure(section)?;
        let mut reaching: FxHashMap<WireId, u128> = FxHashMap::default();
        for (at, inlet) in inlets.iter().enumerate() {
            let reached = diodes::reach(self.network, closure, [inlet.at]);
            for wire in self.protection.wires_of(section) {
                let item = &self.network.model()[wire];
                if item.from.or(item.to).is_some_and(|end| reached.contains(&end)) {
                    *reaching.entry(wire).or_default() |= 1 << at;
                }
            }
        }
        Some(reaching)
    }

    /// What flows into a section through those of its feeders that `mask` names; `None` where that is not known.
    fn supply(&self, section: SectionId, inlets: &[Inlet], mask: u128) -> Option<Supply> {
        let chosen = |at: usize| at >= MOST_INLETS || mask & (1 << at.min(MOST_INLETS - 1)) != 0;
        let chosen: Vec<Inlet> = inlets.iter().enumerate().filter(|(at, _)| chosen(*at)).map(|(_, inlet)| *inlet).collect();
        let (amps, by) = self.flow(section, &chosen, |inlet| inlet.feeder.amps)?;
        let (late, late_by) = if self.any_late { self.flow(section, &chosen, |inlet| inlet.late)? } else { (amps, by.clone()) };
        (!by.is_empty()).then_some(Supply { amps, late, by, late_by })
    }

    /// The largest flow into a section, and what limits it.
    fn flow(&self, section: SectionId, inlets: &[Inlet], most: fn(&Inlet) -> Ampere) -> Option<(Ampere, Vec<Feeder>)> {
        let mut flow = Flow::new();
        let sink = flow.node();
        let source = flow.node();
        let mut nodes: FxHashMap<SectionId, usize> = FxHashMap::from_iter([(section, sink)]);
        let mut passed: FxHashSet<ElementId> = FxHashSet::default();
        let mut waiting: Vec<(usize, Inlet)> = inlets.iter().map(|inlet| (sink, *inlet)).collect();
        while let Some((to, inlet)) = waiting.pop() {
            if !passed.insert(inlet.feeder.element) {
                continue;
            }
            let from = match inlet.from {
                None => source,
                Some(section) if self.protection.is_grounded(section) || nodes.len() > MOST_SECTIONS => source,
                Some(section) => match nodes.get(&section) {
                    Some(node) => *node,
                    None => {
                        let node = flow.node();
                        nodes.insert(section, node);
                        waiting.extend(self.inlets.get(&section).into_iter().flatten().map(|inlet| (node, *inlet)));
                        node
                    }
                },
            };
            flow.edge(from, to, inlet.feeder, most(&inlet));
        }
        let amps = flow.most(source, sink);
        (amps < UNKNOWN).then(|| (Ampere::new(amps), flow.cut(sink)))
    }
}

/// A network of fuses and sources in which the largest flow is found, by the shortest ways first.
struct Flow {
    around: Vec<Vec<usize>>,
    /// From, to, what is left in each direction, and what limits it.
    edges: Vec<(usize, usize, [f64; 2], Feeder)>,
}

/// A current below which nothing is left.
const NOTHING: f64 = 1e-9;

impl Flow {
    fn new() -> Self {
        Self { around: Vec::new(), edges: Vec::new() }
    }

    fn node(&mut self) -> usize {
        self.around.push(Vec::new());
        self.around.len() - 1
    }

    fn edge(&mut self, from: usize, to: usize, feeder: Feeder, most: Ampere) {
        // A fuse lets through either way, a source gives one way only.
        let back = if feeder.is_fuse { most.get() } else { 0.0 };
        for node in [from, to] {
            if let Some(list) = self.around.get_mut(node) {
                list.push(self.edges.len());
            }
        }
        self.edges.push((from, to, [most.get(), back], feeder));
    }

    /// What is left from a node along an edge, and where it leads.
    fn left(&self, edge: usize, node: usize) -> Option<(usize, f64, usize)> {
        let (from, to, left, _) = self.edges.get(edge)?;
        let [along, against] = *left;
        Some(if *from == node { (*to, along, 0) } else { (*from, against, 1) })
    }

    fn most(&mut self, source: usize, sink: usize) -> f64 {
        let mut total = 0.0;
        loop {
            let mut came: Vec<Option<(usize, usize)>> = vec![None; self.around.len()];
            let mut order = vec![source];
            let mut next = 0;
            while let Some(&node) = order.get(next) {
                next += 1;
                for &edge in self.around.get(node).into_iter().flatten() {
                    let Some((to, left, _)) = self.left(edge, node) else { continue };
                    if left > NOTHING && to != source && came.get(to) == Some(&None) {
                        if let Some(slot) = came.get_mut(to) {
                            *slot = Some((node, edge));
                        }
                        order.push(to);
                    }
                }
            }
            let way = |mut node: usize| {
                let mut way = Vec::new();
                while let Some((before, edge)) = came.get(node).copied().flatten() {
                    way.push((before, edge));
                    node = before;
                }
                way
            };
            let way = way(sink);
            let least = way.iter().filter_map(|(node, edge)| self.left(*edge, *node)).map(|(_, left, _)| left);
            let least = least.fold(f64::INFINITY, f64::min);
            if way.is_empty() || !least.is_finite() {
                return total;
            }
            for (node, edge) in way {
                let Some((_, _, side)) = self.left(edge, node) else { continue };
                if let Some((_, _, left, _)) = self.edges.get_mut(edge) {
                    let [along, against] = left;
                    let (used, gained) = if side == 0 { (along, against) } else { (against, along) };
                    *used -= least;
                    *gained += least;
                }
            }
            total += least;
        }
    }

    /// What limits the flow that was found, nearest to the sink: the edges into all from which more could still reach it.
    fn cut(&self, sink: usize) -> Vec<Feeder> {
        let mut within = vec![false; self.around.len()];
        let mut waiting = vec![sink];
        while let Some(node) = waiting.pop() {
            match within.get_mut(node) {
                Some(slot) if !*slot => *slot = true,
                _ => continue,
            }
            for &edge in self.around.get(node).into_iter().flatten() {
                let Some((from, to, [along, against], _)) = self.edges.get(edge) else { continue };
                let (other, left) = if *to == node { (*from, *along) } else { (*to, *against) };
                if left > NOTHING {
                    waiting.push(other);
                }
            }
        }
        let is_within = |node: usize| within.get(node) == Some(&true);
        let cut = self.edges.iter().filter(|(from, to, ..)| is_within(*from) != is_within(*to));
        let mut cut: Vec<Feeder> = cut.map(|(.., feeder)| *feeder).collect();
        cut.sort_unstable_by_key(|feeder| feeder.element);
        cut
    }
}
