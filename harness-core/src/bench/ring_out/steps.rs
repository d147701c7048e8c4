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
use std::collections::{BTreeMap, VecDeque};

pub(super) fn described(
    analysis: &Analysis,
    taken: &Taken,
    rig: &Rig,
    meter: &Meter,
    (id, step): (StepId, &Planned),
    coverage: &Coverage,
) -> RingOutStep {
    let end = |spot: Spot| rig.bare.spots[spot].plug.map_or_else(String::new, |plug| rig.bare.plugs[plug].name.clone());
    let name = |spot: Spot| rig.bare.spots[spot].name.clone();
    let (mut expected, mut least, mut most, mut volts) = (None, None, None, None);
    match step.shown {
        Shown::Open | Shown::Vague => least = matches!(step.purpose, Purpose::Apart | Purpose::Strip).then_some(meter.open),
        Shown::Forward(drop) => volts = Some(drop),
        Shown::Ohms(ohms) => {
            let [low, high] = meter.limits(ohms);
            expected = ohms.most.map(|_| ohms.nominal);
            (least, most) = ((low > 0.0).then_some(low), Some(high));
        }
    }
    let finds = coverage.rows.iter().fold(BTreeMap::new(), |mut finds: BTreeMap<SlipKind, usize>, ((kind, _), row)| {
        if let Some(count) = row.by.get(&id) {
            *finds.entry(*kind).or_default() += count;
        }
        finds
    });
    RingOutStep {
        number: id.index() + 1,
        from_end: end(step.from),
        from: name(step.from),
        to_end: if step.strip.is_empty() { end(step.to) } else { String::new() },
        to: if step.strip.is_empty() { name(step.to) } else { STRIP.to_owned() },
        purpose: step.purpose,
        strip: step.strip.iter().map(|spot| name(*spot)).collect(),
        expected,
        least,
        most,
        volts,
        through: through(rig, step.from, step.to).into_iter().map(|join| rig.bare.joins[join].name.clone()).collect(),
        serves: serves(analysis, taken, step),
        finds: finds.into_iter().collect(),
    }
}

/// The joins from one spot to another, the fewest; none where nothing leads there.
fn through(rig: &Rig, from: Spot, to: Spot) -> Vec<Join> {
    let mut came: BTreeMap<Spot, Join> = BTreeMap::new();
    let mut queue = VecDeque::from([from]);
    while let Some(at) = queue.pop_front() {
        if at == to {
            break;
        }
        for id in &rig.joins_at[at] {
            let join = &rig.bare.joins[*id];
            let other = if join.from == at { join.to } else { join.from };
            if other != from && join.kind != Kind::Vague && !came.contains_key(&other) {
                came.insert(other, *id);
                queue.push_back(other);
            }
        }
    }
    let (mut at, mut way) = (to, Vec::new());
    while let Some(id) = came.get(&at).filter(|_| at != from) {
        way.push(*id);
        let join = &rig.bare.joins[*id];
        at = if join.from == at { join.to } else { join.from };
    }
    way.reverse();
    way
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
