//! The readings that prove a loom: the spanning ones of each net, those over its diodes and resistors, and the pairs that must be open.

use super::{
    bare::{Groups, Join, Kind, Plug, Spot},
    order,
    piece::Shown,
    planned::{Planned, Purpose, StepId},
    reading::Setting,
    rig::Rig,
    slip::bridges,
    state::State,
    strip::Strip,
};
use crate::arena::IdVec;
use std::collections::{BTreeMap, BTreeSet};

/// The readings of a loom in the order in which they are taken.
#[derive(Debug)]
pub(super) struct Plan {
    pub(super) steps: IdVec<StepId, Planned>,
    /// The steps with a lead at each spot.
    pub(super) at: IdVec<Spot, Vec<StepId>>,
    pub(super) strip: Strip,
    /// How often a lead goes to another end, and how often at least in any order of these readings.
    pub(super) changes: usize,
    pub(super) bound: usize,
    /// Elements over which nobody can say what a meter shows.
    pub(super) vague: Vec<Join>,
}

pub(super) fn plan(rig: &Rig) -> Plan {
    let sound = State::with(rig, &[]);
    let nets = accessible(rig);
    let ranks = ranks(rig, &nets);
    // Of a net the place where most others can be read too, so that few ends are held against each other.
    let rank = |spot: &Spot| (rig.bare.spots[*spot].plug.map_or(usize::MAX, |plug| ranks[plug]), *spot);
    let root = |net: &[Spot]| net.iter().copied().min_by_key(rank);
    let mut steps: Vec<Planned> = Vec::new();
    let mut add = |from: Spot, to: Spot, setting: Setting, purpose: Purpose| {
        steps.push(Planned { from, to, setting, purpose, shown: sound.shown(from, to) });
    };
    for net in nets.values() {
        let Some(root) = root(net) else { continue };
        for spot in net.iter().filter(|spot| **spot != root) {
            add(root, *spot, Setting::Ohms, Purpose::Joined);
        }
    }
    let mut vague: BTreeSet<Join> =
        rig.bare.joins.iter().filter(|(_, join)| join.kind == Kind::Vague).map(|(id, _)| id).collect();
    for group in element_groups(rig, &nets) {
        let ends: Vec<Spot> = group.nets.iter().filter_map(|net| root(nets.get(net)?)).collect();
        for (at, one) in ends.iter().enumerate() {
            for other in ends.iter().skip(at + 1) {
                match [sound.shown(*one, *other), sound.shown(*other, *one)] {
                    [Shown::Vague, _] | [_, Shown::Vague] => vague.extend(&group.joins),
                    [Shown::Ohms(_), _] => add(*one, *other, Setting::Ohms, Purpose::Resistor),
                    [there, back] => {
                        for (shown, from, to) in [(there, *one, *other), (back, *other, *one)] {
                            let purpose = if shown == Shown::Open { Purpose::Backward } else { Purpose::Forward };
                            add(from, to, Setting::Diode, purpose);
                        }
                    }
                }
            }
        }
    }
    let mut apart: BTreeMap<(Spot, Spot), (Spot, Spot)> = BTreeMap::new();
    for (one, other) in bridges(rig) {
        let (a, b) = (rig.nets.of(one), rig.nets.of(other));
        if a == b || sound.shown(one, other) != Shown::Open || sound.shown(other, one) != Shown::Open {
            continue;
        }
        let key = (a.min(b), a.max(b));
        let pair = if rank(&one) <= rank(&other) { (one, other) } else { (other, one) };
        let known = apart.entry(key).or_insert(pair);
        if (rank(&pair.0), rank(&pair.1)) < (rank(&known.0), rank(&known.1)) {
            *known = pair;
        }
    }
    for (one, other) in apart.into_values() {
        add(one, other, Setting::Ohms, Purpose::Apart);
    }
    let mut ordered = order::ordered(rig, steps);
    let mut roots: Vec<Spot> = nets.values().filter_map(|net| root(net)).collect();
    roots.sort_by_key(rank);
    let strip = Strip::new(roots, rig.bare.spots.len());
    for from in strip.order() {
        if let Some(to) = strip.before(rig, *from).next() {
            let (setting, purpose) = (Setting::Ohms, Purpose::Strip);
            ordered.steps.push(Planned { from: *from, to, setting, purpose, shown: Shown::Open });
        }
    }
    let mut at = IdVec::of(Vec::new(), rig.bare.spots.len());
    for (id, step) in ordered.steps.iter() {
        at[step.from].push(id);
        // Whatever comes to the net of a later step comes to that step.
        if !step.is_on_strip() {
            at[step.to].push(id);
        }
    }
    Plan { steps: ordered.steps, at, strip, changes: ordered.changes, bound: ordered.bound, vague: vague.into_iter().collect() }
}

/// The places of each net that a probe reaches, by the first spot of the net.
pub(super) fn accessible(rig: &Rig) -> BTreeMap<Spot, Vec<Spot>> {
    let mut nets: BTreeMap<Spot, Vec<Spot>> = BTreeMap::new();
    for (spot, place) in rig.bare.spots.iter() {
        if place.has_lamp() {
            nets.entry(rig.nets.of(spot)).or_default().push(spot);
        }
    }
    nets
}

/// The ends by how many nets have a place at them and one elsewhere, the most first.
fn ranks(rig: &Rig, nets: &BTreeMap<Spot, Vec<Spot>>) -> IdVec<Plug, usize> {
    let mut counts: IdVec<Plug, usize> = IdVec::of(0, rig.bare.plugs.len());
    for net in nets.values().filter(|net| net.len() > 1) {
        let plugs: BTreeSet<Plug> = net.iter().filter_map(|spot| rig.bare.spots[*spot].plug).collect();
        for plug in plugs {
            counts[plug] += 1;
        }
    }
    let mut order: Vec<Plug> = counts.ids().collect();
    order.sort_by_key(|plug| (usize::MAX - counts[*plug], *plug));
    let mut ranks = IdVec::of(0, order.len());
    for (rank, plug) in order.into_iter().enumerate() {
        ranks[plug] = rank;
    }
    ranks
}

/// Elements that are read together: those that meet at places that no probe reaches.
struct ElementGroup {
    joins: Vec<Join>,
    /// The nets at their ends that a probe reaches.
    nets: BTreeSet<Spot>,
}

fn element_groups(rig: &Rig, nets: &BTreeMap<Spot, Vec<Spot>>) -> Vec<ElementGroup> {
    let elements: Vec<Join> = rig.bare.joins.iter().filter(|(_, join)| !join.kind.is_metal()).map(|(id, _)| id).collect();
    let mut groups: Groups<Join> = Groups::new(rig.bare.joins.len());
    let mut hidden: BTreeMap<Spot, Join> = BTreeMap::new();
    let ends = |id: Join| [rig.bare.joins[id].from, rig.bare.joins[id].to].map(|spot| rig.nets.of(spot));
    for id in &elements {
        for net in ends(*id).into_iter().filter(|net| !nets.contains_key(net)) {
            let first = *hidden.entry(net).or_insert(*id);
            groups.join(first, *id);
        }
    }
    // Several between the same two nets are one reading.
    let mut by_ends: BTreeMap<[Spot; 2], Join> = BTreeMap::new();
    for id in &elements {
        let [a, b] = ends(*id);
        let first = *by_ends.entry([a.min(b), a.max(b)]).or_insert(*id);
        groups.join(first, *id);
    }
    let mut found: BTreeMap<Join, ElementGroup> = BTreeMap::new();
    for id in elements {
        let group = found.entry(groups.of(id)).or_insert_with(|| ElementGroup { joins: Vec::new(), nets: BTreeSet::new() });
        group.joins.push(id);
        group.nets.extend(ends(id).into_iter().filter(|net| nets.contains_key(net)));
    }
    found.into_values().collect()
}
