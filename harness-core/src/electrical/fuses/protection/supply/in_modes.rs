//! What may flow into a conductor at one time: mode by mode, with the contacts that are closed and the sources that are on in each.
//!
//! What excludes what is said by modes alone (`alternatives::possible`). A feeder that no mode has on counts in all: nobody says when it
//! feeds. One that no mode joins to a conductor while it is on is taken by itself there, so that the conductor is judged. And what adds up
//! must have somewhere to go: where all that a conductor leads to is off in a mode, nothing can overload it there, so each feeder is
//! taken by itself; a short is judged by `faults`.
//!
//! Cost: for each mode a pass over the edges, once for a closure, and for a section with several feeders what `sides` costs.

use super::{Inlet, Search, SectionId, Supply, worse};
use crate::{
    arena::IdVec,
    electrical::{alternatives::possible::Possible, fuses::protection::unfused::feeds_at},
    model::{ModeId, ModeSet, PointId, WireId},
    network::{Components, Edge, EdgeId, GroupId},
};
use rustc_hash::{FxHashMap, FxHashSet};

/// What one closure joins in each mode.
pub(super) struct LayerInModes<'a> {
    pub(super) layer: usize,
    possible: &'a Possible,
    modes: Vec<InMode>,
    /// Feeders that are on in no mode.
    unstated: FxHashSet<(SectionId, usize)>,
}

/// What one closure joins in one mode.
struct InMode {
    /// `None` for all that may be closed and on at any time.
    mode: Option<ModeId>,
    groups: Components,
    /// Whether each group reaches a ground past no fuse.
    grounded: IdVec<GroupId, bool>,
    /// Per section which of its feeders are on.
    on: FxHashMap<SectionId, Vec<bool>>,
}

/// A mode of a closure.
#[derive(Clone, Copy)]
pub(super) struct In<'a> {
    layer: &'a LayerInModes<'a>,
    mode: &'a InMode,
    search: &'a Search<'a>,
}

impl<'a> LayerInModes<'a> {
    /// Looks at a closure in each mode; `None` for one that there is not.
    pub(super) fn new(search: &Search<'_>, possible: &'a Possible, layer: usize) -> Option<Self> {
        let closure = search.alternatives.closures().get(layer)?;
        let of_layer = search.inlets.iter().filter(|(section, _)| search.protection.layer_of_section(**section) == Some(layer));
        let mut inlets: Vec<(SectionId, &Vec<Inlet>)> = of_layer.map(|(section, inlets)| (*section, inlets)).collect();
        inlets.sort_unstable_by_key(|(section, _)| *section);
        let in_mode = |mode: Option<ModeId>| {
            let is_in = |id: EdgeId| mode.is_none_or(|mode| possible.is_in(id, mode));
            let joins =
                |id: EdgeId, edge: &Edge| is_in(id) && (closure.passes_faults(id, edge) || edge.role.drives_without_limit());
            let groups = search.network.components(joins);
            let mut grounded = groups.table(false);
            for (group, points) in groups.iter() {
                grounded[group] = points.iter().any(|point| search.protection.grounds_in(layer, *point));
            }
            let on = inlets.iter().map(|(section, inlets)| (*section, vec![false; inlets.len()])).collect();
            let mut found = InMode { mode, groups, grounded, on };
            found.spread(search, possible, &inlets);
            found
        };
        let any_time = in_mode(None);
        let mut modes: Vec<InMode> = possible.modes().iter().map(|mode| in_mode(Some(*mode))).collect();
        let mut unstated: FxHashSet<(SectionId, usize)> = FxHashSet::default();
        for (section, inlets) in &inlets {
            let never = |at: &usize| any_time.is_on(*section, *at) && !modes.iter().any(|mode| mode.is_on(*section, *at));
            let said = |at: &usize| inlets.get(*at).is_some_and(|inlet| !possible.is_unstated(inlet.edge));
            unstated.extend((0..inlets.len()).filter(|at| never(at) || !said(at)).map(|at| (*section, at)));
        }
        for mode in &mut modes {
            for (section, at) in &unstated {
                if let Some(on) = mode.on.get_mut(section).and_then(|on| on.get_mut(*at)) {
                    *on = true;
                }
            }
            mode.spread(search, possible, &inlets);
        }
        Some(Self { layer, possible, modes, unstated })
    }
}

impl InMode {
    fn is_on(&self, section: SectionId, at: usize) -> bool {
        self.on.get(&section).and_then(|on| on.get(at)).copied().unwrap_or_default()
    }

    /// Switches on what sources feed over fuses, until nothing changes.
    fn spread(&mut self, search: &Search<'_>, possible: &Possible, inlets: &[(SectionId, &Vec<Inlet>)]) {
        loop {
            let mut changed = false;
            for (section, inlets) in inlets {
                for (at, inlet) in inlets.iter().enumerate() {
                    if self.is_on(*section, at) {
                        continue;
                    }
                    let is_on = match inlet.from {
                        None => self.mode.is_none_or(|mode| possible.is_in(inlet.edge, mode)),
                        Some((before, point)) => {
                            let group = self.groups.of(point);
                            let others = search.inlets.get(&before).into_iter().flatten().enumerate();
                            let mut others = others.filter(|(_, other)| other.feeder.element != inlet.feeder.element);
                            self.grounded[group]
                                || others.any(|(number, other)| self.groups.of(other.at) == group && self.is_on(before, number))
                        }
                    };
                    if is_on && let Some(on) = self.on.get_mut(section).and_then(|on| on.get_mut(at)) {
                        (*on, changed) = (true, true);
                    }
                }
            }
            if !changed {
                return;
            }
        }
    }
}

impl In<'_> {
    /// What is joined to a point, past no fuse.
    pub(super) fn group(&self, point: PointId) -> GroupId {
        self.mode.groups.of(point)
    }

    /// Whether a source reaches a point past no fuse.
    pub(super) fn is_grounded(&self, point: PointId) -> bool {
        self.mode.grounded[self.group(point)]
    }

    /// Whether no mode has a feeder of a section on.
    pub(super) fn is_unstated(&self, section: SectionId, number: usize) -> bool {
        self.layer.unstated.contains(&(section, number))
    }

    /// Whether a feeder of a section is on and reaches a point of it.
    pub(super) fn reaches(&self, section: SectionId, number: usize, point: PointId) -> bool {
        let inlet = self.search.inlets.get(&section).and_then(|inlets| inlets.get(number));
        self.mode.is_on(section, number) && inlet.is_some_and(|inlet| self.group(inlet.at) == self.group(point))
    }

    fn joins(&self, id: EdgeId, edge: &Edge) -> bool {
        let possible = self.mode.mode.is_none_or(|mode| self.layer.possible.is_in(id, mode));
        let closure = self.search.alternatives.closures().get(self.layer.layer);
        possible && (closure.is_some_and(|closure| closure.passes_faults(id, edge)) || edge.role.drives_without_limit())
    }

    /// Whether something at a point takes current in the mode: a load that runs, a battery, what nothing is known of. A resistor and a
    /// capacitor limit what they take.
    fn takes(&self, point: PointId) -> bool {
        let model = self.search.network.model();
        let mut elements = false;
        for (_, edge, _) in self.search.network.around(point) {
            let Some(element) = edge.element() else { continue };
            elements = true;
            let has = |modes: ModeSet| modes == ModeSet::NONE || self.mode.mode.is_none_or(|mode| modes.has(mode));
            let runs = || model[element].kind.modes().is_none_or(has);
            // A coil has no modes of its own.
            if if edge.role.draws() { runs() } else { edge.role.fails_short() || edge.role.takes_charge() } {
                return true;
            }
        }
        !elements && feeds_at(self.search.network, point).is_any()
    }

    /// Whether something that takes current is behind a fuse at a point.
    fn takes_behind(&self, fuse: EdgeId, point: PointId) -> bool {
        let network = self.search.network;
        let own = self.group(point);
        let [a, b] = [network[fuse].a, network[fuse].b];
        let beyond = if a == point { b } else { a };
        if self.group(beyond) == own {
            return false;
        }
        let goes_on = |id: EdgeId, edge: &Edge| {
            (self.joins(id, edge) || edge.role.is_fuse()) && self.group(edge.a) != own && self.group(edge.b) != own
        };
        network.path(beyond, |point| self.takes(point), goes_on).is_some()
    }
}

/// What feeds a wire from one side of it in one mode.
#[derive(Clone, Copy)]
struct Side {
    /// The mode, by its place.
    mode: usize,
    /// The feeders.
    mask: u128,
    /// Whether something takes current on the other side.
    takes: bool,
}

impl Search<'_> {
    /// What may flow into each wire of a section from each side at one time; `None` for what is not known.
    pub(super) fn by_mode(
        &self,
        layer: &LayerInModes<'_>,
        section: SectionId,
        inlets: &[Inlet],
        wires: &[WireId],
        reach: impl Fn(WireId) -> u128,
    ) -> Vec<(WireId, Vec<Option<Supply>>)> {
        let mut sides: FxHashMap<WireId, Vec<Side>> = FxHashMap::default();
        for (place, mode) in layer.modes.iter().enumerate() {
            let at = In { layer, mode, search: self };
            for (wire, of_wire) in self.sides_in(at, section, inlets, wires) {
                let own = of_wire.into_iter().map(|(mask, takes)| Side { mode: place, mask: mask & reach(wire), takes });
                sides.entry(wire).or_default().extend(own.filter(|side| side.mask != 0));
            }
        }
        let mut flows: FxHashMap<(usize, u128), Option<Supply>> = FxHashMap::default();
        let mut flow = |place: usize, mask: u128| {
            let mode = layer.modes.get(place)?;
            let make = || {
                let at = In { layer, mode, search: self };
                let mut supply = self.supply(section, inlets, mask, Some(at))?;
                let mut modes = ModeSet::NONE;
                mode.mode.into_iter().for_each(|mode| modes.add(mode));
                supply.modes = Some(modes);
                let unstated = inlets.iter().enumerate().filter(|(number, _)| at.is_unstated(section, *number));
                let unstated = unstated.map(|(_, inlet)| inlet.feeder.element);
                supply.unstated = unstated.filter(|element| supply.by.iter().any(|feeder| feeder.element == *element)).collect();
                Some(supply)
            };
            flows.entry((place, mask)).or_insert_with(make).clone()
        };
        let all: u128 = (1 << inlets.len()) - 1;
        let alone = |mask: u128| (0..inlets.len()).map(|number| 1 << number).filter(move |one: &u128| mask & one != 0);
        let mut found = Vec::new();
        for wire in wires {
            let own = sides.get(wire).map_or(&[][..], Vec::as_slice);
            let is_sum = |side: &Side| side.mask.count_ones() > 1;
            // Where nothing that is known takes current in any mode, something that is not known may.
            let any = !own.iter().any(|side| side.takes);
            let mut supplies: Vec<Option<Supply>> = Vec::new();
            for side in own {
                if any || side.takes || !is_sum(side) {
                    supplies.push(flow(side.mode, side.mask));
                } else {
                    supplies.extend(alone(side.mask).map(|one| flow(side.mode, one)));
                }
            }
            let met = own.iter().fold(0, |met, side| met | side.mask);
            for one in alone(all & reach(*wire) & !met) {
                let on = layer.modes.iter().enumerate().filter(|(_, mode)| mode.is_on(section, one.trailing_zeros() as usize));
                supplies.extend(on.map(|(place, _)| flow(place, one)));
            }
            let is_known = supplies.iter().all(Option::is_some);
            let worst = supplies.into_iter().flatten().reduce(worse);
            found.push((*wire, if is_known { worst.map(Some).into_iter().collect() } else { vec![None] }));
        }
        found
    }

    /// For each wire of a section in a mode, the feeders on either side of it, or all where it divides nothing, each with whether
    /// something takes current on the other side.
    fn sides_in(&self, at: In<'_>, section: SectionId, inlets: &[Inlet], wires: &[WireId]) -> Vec<(WireId, [(u128, bool); 2])> {
        let halves = self.halves(section, |id, edge| at.joins(id, edge));
        let mut below: Vec<(u128, u32)> = vec![(0, 0); halves.numbers.len()];
        let mut all: FxHashMap<GroupId, (u128, u32)> = FxHashMap::default();
        let mut add = |point: PointId, mask: u128, takes: u32| {
            let node = halves.number(self, point).and_then(|node| below.get_mut(node));
            for slot in node.into_iter().chain([all.entry(at.group(point)).or_default()]) {
                *slot = (slot.0 | mask, slot.1 + takes);
            }
        };
        for (number, inlet) in inlets.iter().enumerate().filter(|(number, _)| at.mode.is_on(section, *number)) {
            add(inlet.at, 1 << number, 0);
        }
        // What one feeder gives is judged whatever it leads to.
        let points = if inlets.len() > 1 { self.protection.points_of_section(section) } else { &[] };
        for point in points {
            let fuses = self.network.around(*point).filter(|(_, edge, _)| edge.role.is_fuse());
            let takes = at.takes(*point) || fuses.into_iter().any(|(fuse, ..)| at.takes_behind(fuse, *point));
            add(*point, 0, u32::from(takes));
        }
        halves.cuts.carry_up(&mut below, |below, above| *above = (above.0 | below.0, above.1 + below.1));
        let bridges: FxHashMap<WireId, usize> =
            halves.wires.iter().filter_map(|(wire, pair)| Some((*wire, halves.cuts.bridge(*pair)?))).collect();
        let of = |wire: &WireId| {
            let item = &self.network.model()[*wire];
            let point = item.from.or(item.to)?;
            let (mask, takes) = all.get(&at.group(point)).copied().unwrap_or_default();
            let sides = match bridges.get(wire).and_then(|node| below.get(*node)) {
                Some((below, taking)) => [(*below, takes > *taking), (mask & !below, *taking > 0)],
                None => [(mask, takes > 0), (0, false)],
            };
            Some((*wire, sides))
        };
        wires.iter().filter_map(of).collect()
    }
}
