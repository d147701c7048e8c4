//! Screens that are joined to one, and what is at fault with them.

use super::pieces::{Duty, Ground, GroupPins, Screen, is_live, is_other_metal, pins};
use crate::{
    facts::Facts,
    model::{CableId, DeviceId, PointId, PointKind},
    network::{Components, EdgeKind, EdgeRole, GroupId, MetalKind},
    vocabulary::Role,
};
use petgraph::unionfind::UnionFind;
use rustc_hash::FxHashMap;
use std::collections::BTreeSet;

/// Screens that are joined to one.
#[derive(Debug, Clone)]
pub struct Chain {
    /// Its screens, by their places among the screens of the design.
    pub screens: Vec<usize>,
    /// Its grounds, each with the screen and the end that meet it first; of a bus only what the design says is one.
    pub grounds: Vec<(Ground, usize, usize)>,
    /// What is at fault.
    pub fault: Option<Fault>,
}

/// What is at fault with a chain of screens.
#[derive(Debug, Clone)]
pub enum Fault {
    /// It is joined to nothing. Nothing is said of it where no end of it is given.
    Unconnected,
    /// An end of it is at a ring that is bolted to nothing: the screen, by its place, and the end.
    Loose(usize, usize),
    /// Its cable goes on in another, whose screen is grounded, and the two screens are not joined.
    Interrupted {
        /// The other cable.
        other: CableId,
        /// Where the first core goes on: a point of this cable and one of the other.
        at: [PointId; 2],
    },
    /// A screen of a cable for signals is grounded at two places or more.
    BothEnds,
    /// A screen of class B is grounded at one place alone.
    OneEnd,
    /// It carries a signal or a supply, or what a device gets back by nothing else.
    Live(Live),
}

/// What goes over a screen that should carry nothing.
#[derive(Debug, Clone, Copy)]
pub struct Live {
    /// The pin.
    pub pin: PointId,
    /// The device of it has this way and no other; else the pin is one that gives or takes a supply or signal, whatever else leads to it.
    pub is_only_way: bool,
}

/// All chains with their faults.
pub(super) fn chains(facts: &Facts) -> Vec<Chain> {
    let screens = facts.screens();
    if screens.is_empty() {
        return Vec::new();
    }
    let (model, network) = (facts.model(), facts.network());
    let metal = network.components(|_, edge| is_other_metal(model, edge) && edge.role != EdgeRole::Metal(MetalKind::Chassis));
    let mut known: FxHashMap<GroupId, GroupPins> = FxHashMap::default();
    for end in screens.iter().flat_map(|screen| &screen.ends) {
        known.entry(end.group).or_insert_with(|| pins(model, network, metal.members(end.group)));
    }
    let whole = network.components(|_, edge| is_other_metal(model, edge));
    let sets = joined(screens, &known);
    let mut by_set: FxHashMap<usize, usize> = FxHashMap::default();
    let mut chains: Vec<Chain> = Vec::new();
    for (index, _) in screens.iter().enumerate() {
        let at = *by_set.entry(sets.find(index)).or_insert(chains.len());
        match chains.get_mut(at) {
            Some(chain) => chain.screens.push(index),
            None => chains.push(Chain { screens: vec![index], grounds: Vec::new(), fault: None }),
        }
    }
    for chain in &mut chains {
        chain.grounds = grounds(screens, chain);
    }
    let is_connected: Vec<bool> = {
        let mut connected = vec![false; screens.len()];
        for chain in &chains {
            let is = chain.screens.iter().filter_map(|index| screens.get(*index)).any(is_grounded);
            chain.screens.iter().for_each(|index| {
                if let Some(own) = connected.get_mut(*index) {
                    *own = is;
                }
            });
        }
        connected
    };
    let by_cable: FxHashMap<CableId, usize> = screens.iter().enumerate().map(|(index, screen)| (screen.cable, index)).collect();
    let look = Look { facts, screens, known: &known, whole: &whole, is_connected: &is_connected, by_cable: &by_cable };
    for chain in &mut chains {
        chain.fault = look.fault(chain);
    }
    chains
}

fn is_grounded(screen: &Screen) -> bool {
    screen.ends.iter().any(|end| end.ground.is_some())
}

/// Which screens are one: those that meet where no ground is, and those at the pins for screens of one box.
fn joined(screens: &[Screen], known: &FxHashMap<GroupId, GroupPins>) -> UnionFind<usize> {
    let mut sets = UnionFind::new(screens.len());
    let mut by_group: FxHashMap<GroupId, usize> = FxHashMap::default();
    let mut by_box: FxHashMap<DeviceId, usize> = FxHashMap::default();
    for (index, screen) in screens.iter().enumerate() {
        for end in &screen.ends {
            let Some(pins) = known.get(&end.group).filter(|pins| !pins.is_ground) else { continue };
            sets.union(*by_group.entry(end.group).or_insert(index), index);
            for device in &pins.screens {
                sets.union(*by_box.entry(*device).or_insert(index), index);
            }
        }
    }
    sets
}

/// The grounds of a chain. What may be grounded inside a box counts for signals by themselves, and not for a bus, whose nodes have such pins.
fn grounds(screens: &[Screen], chain: &Chain) -> Vec<(Ground, usize, usize)> {
    let of = |index: &usize| screens.get(*index).map(|screen| (*index, screen));
    let is_bus = chain.screens.iter().filter_map(of).any(|(_, screen)| screen.duty == Duty::Signal { bus: true });
    let mut seen = BTreeSet::new();
    let mut found = Vec::new();
    for (index, screen) in chain.screens.iter().filter_map(of) {
        for (at, end) in screen.ends.iter().enumerate() {
            let Some((ground, is_said)) = end.ground else { continue };
            if (is_said || !is_bus) && seen.insert(ground) {
                found.push((is_said, (ground, index, at)));
            }
        }
    }
    // A pin that is there for the screen comes first: the others are too many.
    found.sort_by_key(|(is_said, _)| *is_said);
    found.into_iter().map(|(_, ground)| ground).collect()
}

/// What is needed to see what is at fault with a chain.
struct Look<'a> {
    facts: &'a Facts,
    screens: &'a [Screen],
    known: &'a FxHashMap<GroupId, GroupPins>,
    /// Groups of all metal but screens.
    whole: &'a Components,
    is_connected: &'a [bool],
    by_cable: &'a FxHashMap<CableId, usize>,
}

impl<'a> Look<'a> {
    fn of<'c>(&self, chain: &'c Chain) -> impl Iterator<Item = &'a Screen> + use<'a, 'c> {
        let screens = self.screens;
        chain.screens.iter().filter_map(move |index| screens.get(*index))
    }

    fn fault(&self, chain: &Chain) -> Option<Fault> {
        if let Some(live) = self.live(chain) {
            return Some(Fault::Live(live));
        }
        if let Some((index, at)) = self.loose(chain) {
            return Some(Fault::Loose(index, at));
        }
        let all = |wanted: fn(Duty) -> bool| self.of(chain).all(|screen| wanted(screen.duty));
        if !self.of(chain).any(is_grounded) {
            return Some(self.interruption(chain).unwrap_or(Fault::Unconnected));
        }
        if all(|duty| duty == Duty::ClassB) {
            return (chain.grounds.len() == 1).then_some(Fault::OneEnd);
        }
        let is_coaxial = self.of(chain).any(|screen| screen.is_coaxial);
        let is_signal = all(|duty| matches!(duty, Duty::Signal { .. })) && !is_coaxial;
        (is_signal && chain.grounds.len() > 1).then_some(Fault::BothEnds)
    }

    /// The first end at a ring that is bolted to nothing.
    fn loose(&self, chain: &Chain) -> Option<(usize, usize)> {
        let model = self.facts.model();
        let is_loose = |point: PointId| matches!(model[point].kind, PointKind::Ring(end) if model[end].mate.is_none());
        chain.screens.iter().find_map(|index| {
            let ends = &self.screens.get(*index)?.ends;
            Some((*index, ends.iter().position(|end| is_loose(end.point))?))
        })
    }

    /// A pin that a screen leads to and that is neither a ground nor one for screens, or whose device has nothing else that leads back.
    fn live(&self, chain: &Chain) -> Option<Live> {
        let ends = || self.of(chain).flat_map(|screen| &screen.ends);
        let joined = ends().find_map(|end| {
            let pins = self.known.get(&end.group)?;
            let met = self.facts.met_at(end.point);
            let near = self.facts.model().role_at(met).is_some_and(is_live).then_some(met);
            near.or(pins.live).filter(|_| !pins.is_ground && pins.screens.is_empty())
        });
        if let Some(pin) = joined {
            return Some(Live { pin, is_only_way: false });
        }
        if self.of(chain).any(|screen| screen.is_coaxial) {
            return None;
        }
        let groups: BTreeSet<GroupId> = ends().map(|end| self.whole.of(end.point)).collect();
        if groups.len() < 2 {
            return None;
        }
        let pins: Vec<Vec<(DeviceId, PointId)>> = groups.iter().map(|group| self.pins_of(*group)).collect();
        let is_elsewhere = |own: usize| pins.iter().enumerate().any(|(at, pins)| at != own && !pins.is_empty());
        pins.iter().enumerate().find_map(|(own, pins)| {
            let (device, _) = pins.first()?;
            let is_one = pins.iter().all(|(other, _)| other == device);
            let needs = |role: Role| is_live(role) || matches!(role, Role::Return | Role::SensorReturn | Role::Neutral);
            let pin = pins.iter().find(|(_, point)| self.facts.model().role_at(*point).is_some_and(needs))?.1;
            (is_one && is_elsewhere(own)).then_some(Live { pin, is_only_way: true })
        })
    }

    /// The pins of devices in a group of metal, without spare ones.
    fn pins_of(&self, group: GroupId) -> Vec<(DeviceId, PointId)> {
        let model = self.facts.model();
        let is_spare = |point: PointId| model.pin_at(point).is_some_and(|pin| pin.spare.is_some());
        let ports = self.whole.members(group).iter().filter(|point| model.port_at(**point).is_some() && !is_spare(**point));
        ports.filter_map(|point| Some((model.device_at(*point)?, *point))).collect()
    }

    /// Whether all cores of a cable go on in another whose screen is grounded.
    fn interruption(&self, chain: &Chain) -> Option<Fault> {
        self.of(chain).find_map(|screen| {
            let mut goes_on: FxHashMap<CableId, (usize, [PointId; 2])> = FxHashMap::default();
            for wire in &screen.cores {
                let next: BTreeSet<(CableId, [PointId; 2])> = self.next(screen.cable, *wire).into_iter().collect();
                let mut seen = BTreeSet::new();
                for (cable, at) in next.into_iter().filter(|(cable, _)| seen.insert(*cable)) {
                    goes_on.entry(cable).or_insert((0, at)).0 += 1;
                }
            }
            let mut whole: Vec<(CableId, [PointId; 2])> = goes_on
                .into_iter()
                .filter(|(cable, (count, _))| {
                    let other = self.by_cable.get(cable);
                    *count == screen.cores.len() && other.is_some_and(|other| self.is_connected.get(*other) == Some(&true))
                })
                .map(|(cable, (_, at))| (cable, at))
                .collect();
            whole.sort_unstable();
            whole.first().map(|(other, at)| Fault::Interrupted { other: *other, at: *at })
        })
    }

    /// The cores of other screened cables in which a core goes on, over contacts and the bars of boxes, each with where.
    fn next(&self, own: CableId, wire: crate::model::WireId) -> Vec<(CableId, [PointId; 2])> {
        let (model, network) = (self.facts.model(), self.facts.network());
        let mut found = Vec::new();
        for point in [model[wire].from, model[wire].to].into_iter().flatten() {
            let passes = |edge: &crate::network::Edge| {
                edge.is_metal() && !matches!(edge.kind, EdgeKind::Wire(_) | EdgeKind::Screen(_) | EdgeKind::Chassis(_))
            };
            let walk = network.walk([point], |_, edge| passes(edge));
            for place in walk.reached() {
                for end in self.facts.wire_ends().wires(*place) {
                    if let Some((cable, _)) = model[end.wire].core.filter(|(cable, _)| *cable != own)
                        && self.by_cable.contains_key(&cable)
                    {
                        found.push((cable, [point, *place]));
                    }
                }
            }
        }
        found
    }
}
