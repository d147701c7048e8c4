//! What may flow into a conductor for long from all that feeds it: fuses up to their ratings, sources up to their limits.
//!
//! A fault that no fuse opens for is an overload, and its current comes from every side at once. What can reach a conductor is a
//! largest flow: sections are nodes, a fuse lets its rating through, a source with a limit gives that, and what reaches its ground past
//! no fuse gives any current. So the smaller of two fuses in series decides, and two that feed one bar add up. The smallest cut names
//! the fuses and sources that decide, nearest to the conductor. A conductor that alone joins two halves of its section carries what
//! comes from one of them only, so each is asked by itself. What adds up must be on at one time: where there is more than one way in,
//! `in_modes` asks mode by mode.
//!
//! Cost: a flow for each section, over the few fuses before it; for a section with several feeders one for each way in which a conductor
//! divides them, and the same for each mode.

mod flow;
mod in_modes;

use self::{
    flow::Flow,
    in_modes::{In, LayerInModes},
};
use super::{Protection, SectionId, cuts::Cuts, diodes};
use crate::{
    arena::IdVec,
    electrical::{
        alternatives::{Alternatives, Closure, possible::Possible},
        fuses::fuse::{kind_of, passes},
    },
    model::{ElementId, ModeSet, Model, PointId, WireId},
    network::{Components, Edge, EdgeId, GroupId, Network},
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
    /// The modes in which those that decide the current are on together; `None` where there is only one way for it to come.
    pub modes: Option<ModeSet>,
    /// Those that decide and of which no mode says when they are on, so that they count in all.
    pub unstated: Vec<ElementId>,
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
    /// Its edge.
    edge: EdgeId,
    /// Where it joins the section.
    at: PointId,
    /// The section beyond a fuse, and the fuse's terminal there; `None` beyond a source.
    from: Option<(SectionId, PointId)>,
}

/// More feeders of one section than this are not distinguished by the conductors that divide them.
const MOST_INLETS: usize = 128;
/// Sections before a conductor beyond this number are taken as giving whatever their fuses let through.
const MOST_SECTIONS: usize = 256;

/// What a fuse of unknown rating lets through: more than any current that is known.
const UNKNOWN: f64 = 1e12;

/// What may flow into each wire; `None` where a source feeds it past no fuse, where nothing does, and where a rating is not known.
#[must_use]
pub fn supplies(
    network: &Network,
    protection: &Protection,
    alternatives: &Alternatives,
    possible: &Possible,
) -> IdVec<WireId, Option<Supply>> {
    let inlets = inlets(network, protection);
    let any_late = inlets.values().flatten().any(|inlet| inlet.late > inlet.feeder.amps);
    let places = network.components(|_, edge| edge.is_metal() && edge.wire().is_none());
    let search = Search { network, protection, alternatives, inlets, any_late, places };
    let mut in_modes: Option<LayerInModes<'_>> = None;
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
        let is_bare = |wire: WireId| network.model()[wire].from.is_some_and(|from| bare.is_some_and(|bare| bare.contains(&from)));
        let wires: Vec<WireId> = group.iter().map(|(_, wire)| *wire).filter(|wire| !is_bare(*wire)).collect();
        let reaching = search.reaching(*section, inlets);
        let reach =
            |wire: WireId| reaching.as_ref().map_or(u128::MAX, |reaching| reaching.get(&wire).copied().unwrap_or_default());
        let layer = search.layer_if_several(*section, inlets);
        let by_wire = match layer.filter(|_| possible.is_conditional()) {
            Some(layer) => {
                if in_modes.as_ref().is_none_or(|known| known.layer != layer) {
                    in_modes = LayerInModes::new(&search, possible, layer);
                }
                in_modes.as_ref().map(|in_modes| search.by_mode(in_modes, *section, inlets, &wires, reach))
            }
            None => None,
        };
        let modes = layer.map(|_| ModeSet::ALL);
        let by_wire = by_wire.unwrap_or_else(|| search.at_any_time(*section, inlets, &wires, modes, reach));
        for (wire, supplies) in by_wire {
            for supply in supplies {
                match supply {
                    Some(supply) => found[wire] = found[wire].take().into_iter().chain([supply]).reduce(worse),
                    // What one closure leaves unknown is known of none.
                    None => unknown[wire] = true,
                }
            }
        }
    }
    for (wire, _) in unknown.iter().filter(|(_, unknown)| **unknown) {
        found[wire] = None;
    }
    found
}

/// The worse of what comes from two sides.
fn worse(a: Supply, b: Supply) -> Supply {
    let (late, late_by) = if b.late > a.late { (b.late, b.late_by) } else { (a.late, a.late_by) };
    let is_same = a.amps == b.amps && a.by == b.by;
    let (amps, by, modes, unstated) =
        if b.amps > a.amps { (b.amps, b.by, b.modes, b.unstated) } else { (a.amps, a.by, a.modes, a.unstated) };
    // The same feeders in another mode, or in another closure.
    let modes = if is_same { modes.zip(b.modes).map(|(one, other)| one.with(other)) } else { modes };
    Supply { amps, late, by, late_by, modes, unstated }
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
            let from = protection.section_beside(*cluster, beyond).map(|section| (section, beyond));
            inlets.entry(section).or_default().push(Inlet { feeder, late, edge: feed.edge, at, from });
        }
    }
    for (id, edge) in network.edges().filter(|(_, edge)| edge.role.drives() && !edge.role.drives_without_limit()) {
        let Some((element, limit)) = edge.element().and_then(|element| Some((element, model[element].kind.limit()?))) else {
            continue;
        };
        // Both poles drive, except the one that is the ground itself.
        for at in [edge.a, edge.b] {
            let feeder = Feeder { element, is_fuse: false, amps: limit };
            for section in protection.sections_above_ground(at) {
                inlets.entry(section).or_default().push(Inlet { feeder, late: limit, edge: id, at, from: None });
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

    /// The layer of a section into which current has more than one way, counting those into what feeds it; `None` where it has one.
    fn layer_if_several(&self, section: SectionId, inlets: &[Inlet]) -> Option<usize> {
        // Without an upper end to what is looked at, a row of fuse boxes would be walked once for each of them.
        let mut seen: Vec<SectionId> = vec![section];
        let mut waiting: Vec<&[Inlet]> = vec![inlets];
        let mut is_several = false;
        while let Some(inlets) = waiting.pop() {
            is_several |= inlets.len() > 1;
            if is_several || seen.len() > MOST_SECTIONS {
                break;
            }
            for (from, _) in inlets.iter().filter_map(|inlet| inlet.from) {
                if !seen.contains(&from) && !self.protection.is_grounded(from) {
                    seen.push(from);
                    waiting.extend(self.inlets.get(&from).map(Vec::as_slice));
                }
            }
        }
        self.protection.layer_of_section(section).filter(|_| is_several && inlets.len() < MOST_INLETS)
    }

    /// What may flow into each wire of a section from each side with all that feeds it on at one time; `None` for what is not known.
    fn at_any_time(
        &self,
        section: SectionId,
        inlets: &[Inlet],
        wires: &[WireId],
        modes: Option<ModeSet>,
        reach: impl Fn(WireId) -> u128,
    ) -> Vec<(WireId, Vec<Option<Supply>>)> {
        let supply = |mask: u128| Some(Supply { modes, ..self.supply(section, inlets, mask, None)? });
        let mut flows: FxHashMap<u128, Option<Supply>> = FxHashMap::default();
        let sides = if inlets.len() < 2 { FxHashMap::default() } else { self.sides(section, inlets) };
        let all = if inlets.len() >= MOST_INLETS { u128::MAX } else { (1 << inlets.len()) - 1 };
        let of = |wire: &WireId| {
            let masks = sides.get(wire).map_or([all, 0], |below| [*below, all & !below]);
            let masks = masks.map(|mask| mask & reach(*wire)).into_iter().filter(|mask| *mask != 0);
            let supplies = masks.map(|mask| flows.entry(mask).or_insert_with(|| supply(mask)).clone());
            (*wire, supplies.collect())
        };
        wires.iter().map(of).collect()
    }

    /// For each wire that alone joins two halves of a section: which of its feeders are on the far side of it.
    fn sides(&self, section: SectionId, inlets: &[Inlet]) -> FxHashMap<WireId, u128> {
        if inlets.len() >= MOST_INLETS {
            return FxHashMap::default();
        }
        let Some(closure) = self.closure(section) else { return FxHashMap::default() };
        let halves = self.halves(section, |id, edge| closure.passes_faults(id, edge) || edge.role.drives_without_limit());
        let mut masks: Vec<u128> = vec![0; halves.numbers.len()];
        for (at, inlet) in inlets.iter().enumerate() {
            if let Some(mask) = halves.number(self, inlet.at).and_then(|node| masks.get_mut(node)) {
                *mask |= 1 << at;
            }
        }
        halves.cuts.carry_up(&mut masks, |below, above| *above |= *below);
        halves.wires.iter().filter_map(|(wire, at)| Some((*wire, *masks.get(halves.cuts.bridge(*at)?)?))).collect()
    }

    /// What of a section hangs on which of its conductors, with what `joins` takes closed.
    fn halves(&self, section: SectionId, joins: impl Fn(EdgeId, &Edge) -> bool) -> Halves {
        let points = self.protection.points_of_section(section);
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
                let (Some(a), Some(b)) = (number(edge.a), number(edge.b)) else { continue };
                if a == b || !joins(id, edge) || !seen.insert(id) {
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
        Halves { numbers, wires, cuts }
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

    /// What flows into a section through those of its feeders that `mask` names; `None` where that is not known. In a mode where one is
    /// given, else with all on at one time.
    fn supply(&self, section: SectionId, inlets: &[Inlet], mask: u128, at: Option<In<'_>>) -> Option<Supply> {
        let chosen = |at: usize| at >= MOST_INLETS || mask & (1 << at.min(MOST_INLETS - 1)) != 0;
        let chosen: Vec<(usize, Inlet)> =
            inlets.iter().enumerate().filter(|(at, _)| chosen(*at)).map(|(at, inlet)| (at, *inlet)).collect();
        let (amps, by) = self.flow(section, &chosen, at, |inlet| inlet.feeder.amps)?;
        let (late, late_by) =
            if self.any_late { self.flow(section, &chosen, at, |inlet| inlet.late)? } else { (amps, by.clone()) };
        (!by.is_empty()).then_some(Supply { amps, late, by, late_by, modes: None, unstated: Vec::new() })
    }

    /// The largest flow into a section, and what limits it.
    fn flow(
        &self,
        section: SectionId,
        inlets: &[(usize, Inlet)],
        at: Option<In<'_>>,
        most: fn(&Inlet) -> Ampere,
    ) -> Option<(Ampere, Vec<Feeder>)> {
        let mut flow = Flow::new();
        let sink = flow.node();
        let source = flow.node();
        // In a mode open contacts divide a section.
        let place = |section: SectionId, point: PointId| (section, at.map(|at| at.group(point)));
        let mut nodes: FxHashMap<(SectionId, Option<GroupId>), usize> = FxHashMap::default();
        nodes.extend(inlets.iter().map(|(_, inlet)| (place(section, inlet.at), sink)));
        let mut passed: FxHashSet<ElementId> = FxHashSet::default();
        let mut waiting: Vec<(usize, SectionId, usize, Inlet)> =
            inlets.iter().map(|(number, inlet)| (sink, section, *number, *inlet)).collect();
        while let Some((to, of, number, inlet)) = waiting.pop() {
            if !passed.insert(inlet.feeder.element) {
                continue;
            }
            let is_origin = |section: SectionId, point: PointId| match at {
                None => self.protection.is_grounded(section),
                Some(at) => at.is_grounded(point) || at.is_unstated(of, number),
            };
            let from = match inlet.from {
                None => source,
                Some((section, point)) if is_origin(section, point) || nodes.len() > MOST_SECTIONS => source,
                Some((section, point)) => match nodes.get(&place(section, point)) {
                    Some(node) => *node,
                    None => {
                        let node = flow.node();
                        nodes.insert(place(section, point), node);
                        let before = self.inlets.get(&section).into_iter().flatten().enumerate();
                        let before = before.filter(|(number, _)| at.is_none_or(|at| at.reaches(section, *number, point)));
                        waiting.extend(before.map(|(number, inlet)| (node, section, number, *inlet)));
                        node
                    }
                },
            };
            // What leaves the section comes back into it by the feeders that were chosen alone.
            if from != sink {
                flow.edge(from, to, inlet.feeder, most(&inlet));
            }
        }
        let amps = flow.most(source, sink);
        (amps < UNKNOWN).then(|| (Ampere::new(amps), flow.cut(sink)))
    }
}

/// What of a section hangs on which of its conductors.
struct Halves {
    numbers: FxHashMap<GroupId, usize>,
    wires: Vec<(WireId, usize)>,
    cuts: Cuts,
}

impl Halves {
    fn number(&self, search: &Search<'_>, point: PointId) -> Option<usize> {
        self.numbers.get(&search.places.of(point)).copied()
    }
}
