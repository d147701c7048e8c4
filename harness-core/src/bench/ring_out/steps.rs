//! The readings of a plan as a person reads them: names, limits, the conductors between, what they belong to.

use super::{
    RingOutStep, Serves,
    bare::{Join, Kind, Spot},
    coverage::Coverage,
    loom::Taken,
    meter::Meter,
    piece::Shown,
    planned::{Planned, Purpose, STRIP, StepId},
    rig::Rig,
    slip::SlipKind,
};
use crate::{analysis::Analysis, network::NetId, vocabulary::Role};
use rustc_hash::FxHashMap;
use std::collections::{BTreeMap, VecDeque};

/// Describes the steps of a plan; what several of them ask is gathered once.
pub(super) struct Describer<'d> {
    analysis: &'d Analysis,
    taken: &'d Taken,
    rig: &'d Rig,
    meter: &'d Meter,
    finds: BTreeMap<StepId, BTreeMap<SlipKind, usize>>,
    /// By which join each place is come to first on the ways from a place.
    came: BTreeMap<Spot, FxHashMap<Spot, Join>>,
}

impl<'d> Describer<'d> {
    pub(super) fn new(
        (analysis, taken): (&'d Analysis, &'d Taken),
        (rig, meter): (&'d Rig, &'d Meter),
        coverage: &Coverage,
    ) -> Self {
        let mut finds: BTreeMap<StepId, BTreeMap<SlipKind, usize>> = BTreeMap::new();
        for ((kind, _), row) in &coverage.rows {
            for (id, count) in &row.by {
                *finds.entry(*id).or_default().entry(*kind).or_default() += count;
            }
        }
        Self { analysis, taken, rig, meter, finds, came: BTreeMap::new() }
    }

    pub(super) fn described(&mut self, id: StepId, step: &Planned) -> RingOutStep {
        let rig = self.rig;
        let end = |spot: Spot| rig.bare.spots[spot].plug.map_or_else(String::new, |plug| rig.bare.plugs[plug].name.clone());
        let name = |spot: Spot| rig.bare.spots[spot].name.clone();
        let (mut expected, mut least, mut most, mut volts) = (None, None, None, None);
        match step.shown {
            Shown::Open | Shown::Vague => {
                least = matches!(step.purpose, Purpose::Apart | Purpose::Strip).then_some(self.meter.open)
            }
            Shown::Forward(drop) => volts = Some(drop),
            Shown::Ohms(ohms) => {
                let [low, high] = self.meter.limits(ohms);
                expected = ohms.most.map(|_| ohms.nominal);
                (least, most) = ((low > 0.0).then_some(low), Some(high));
            }
        }
        RingOutStep {
            number: id.index() + 1,
            from_end: end(step.from),
            from: name(step.from),
            to_end: if step.is_on_strip() { String::new() } else { end(step.to) },
            to: if step.is_on_strip() { STRIP.to_owned() } else { name(step.to) },
            purpose: step.purpose,
            expected,
            least,
            most,
            volts,
            through: self.through(step.from, step.to).into_iter().map(|join| rig.bare.joins[join].name.clone()).collect(),
            serves: serves(self.analysis, self.taken, step),
            finds: self.finds.remove(&id).into_iter().flatten().collect(),
        }
    }

    /// The joins from one spot to another, the fewest; none where nothing leads there.
    fn through(&mut self, from: Spot, to: Spot) -> Vec<Join> {
        let rig = self.rig;
        if !rig.hang_together(from, to) {
            return Vec::new();
        }
        let came = self.came.entry(from).or_insert_with(|| ways_from(rig, from));
        let (mut at, mut way) = (to, Vec::new());
        while let Some(id) = came.get(&at).filter(|_| at != from) {
            way.push(*id);
            let join = &rig.bare.joins[*id];
            at = if join.from == at { join.to } else { join.from };
        }
        way.reverse();
        way
    }
}

fn ways_from(rig: &Rig, from: Spot) -> FxHashMap<Spot, Join> {
    let mut came: FxHashMap<Spot, Join> = FxHashMap::default();
    let mut queue = VecDeque::from([from]);
    while let Some(at) = queue.pop_front() {
        for id in &rig.joins_at[at] {
            let join = &rig.bare.joins[*id];
            let other = if join.from == at { join.to } else { join.from };
            if other != from && join.kind != Kind::Vague && !came.contains_key(&other) {
                came.insert(other, *id);
                queue.push_back(other);
            }
        }
    }
    came
}

fn serves(analysis: &Analysis, taken: &Taken, step: &Planned) -> Option<Serves> {
    let (model, facts) = (analysis.model(), analysis.facts());
    let net = |spot: Spot| -> NetId { analysis.network().net(taken.points[spot]) };
    match step.purpose {
        Purpose::Joined => {
            let is_loop = |spot: Spot| {
                let point = taken.points[spot];
                let pin = facts.wire_ends().opposite(model, point);
                let housing = model.point_housing(model[point].kind);
                housing.is_some_and(|housing| housing.interlock.contains(&model[point].label))
                    || pin.is_some_and(|pin| model.role_at(pin) == Some(Role::Interlock))
            };
            (is_loop(step.from) || is_loop(step.to)).then_some(Serves::Interlock)
        }
        Purpose::Resistor => {
            let (one, other) = (net(step.from), net(step.to));
            let is_bus = facts.buses().iter().any(|bus| {
                (bus.first.contains(&one) && bus.second.contains(&other))
                    || (bus.first.contains(&other) && bus.second.contains(&one))
            });
            is_bus.then_some(Serves::Bus)
        }
        Purpose::Apart | Purpose::Forward | Purpose::Backward | Purpose::Strip => None,
    }
}
