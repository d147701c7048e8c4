//! How many conductors could be judged for what, and why the others could not.

use super::Facts;
use crate::{
    electrical::{
        conductors::conductor::{capacity_of, open_insulation, surroundings},
        faults::Verdict,
    },
    model::{PointId, PointKind, WireId},
    quantity::Ampere,
    report::{Coverage, Covered, Unjudged},
    standards::capacity::Beside,
};
use std::collections::BTreeMap;

impl Facts {
    /// Each conductor counted once for load, once for shorts and once for voltage drop.
    ///
    /// Cost: a pass over the wires. Asked by the summary of a run.
    #[must_use]
    pub fn coverage(&self) -> Coverage {
        let wires = || self.model().wires().map(|(id, _)| id);
        Coverage {
            load: covered(wires().map(|wire| load(self, wire))),
            shorts: covered(wires().map(|wire| shorts(self, wire))),
            drop: covered(wires().map(|wire| drop(self, wire))),
            insulation_assumed: wires()
                .filter(|wire| shorts(self, *wire).is_none() && open_insulation(self.model(), &self.model()[*wire]).is_some())
                .count(),
            unnamed_pins: unnamed_pins(self),
        }
    }
}

/// Pins with a wire, of fitted devices that are not the chassis itself, that have neither a signal nor a tap. A stud is one alone and keeps
/// its place.
fn unnamed_pins(facts: &Facts) -> usize {
    let model = facts.model();
    let is_pin = |point: &PointId| matches!(model[*point].kind, PointKind::Pin(_));
    let is_unnamed = |point: &PointId| {
        model[*point].pin.is_none_or(|pin| model[pin].signal.is_none() && model[pin].tap.is_none())
            && facts.wire_ends().reaching(model, *point).is_some()
    };
    let devices = model.devices().filter(|(_, device)| device.fitted && !device.chassis);
    devices.flat_map(|(_, device)| model.points_of(device)).filter(|point| is_pin(point) && is_unnamed(point)).count()
}

/// Counts those that were judged, `None`, and the reasons of the others.
fn covered(all: impl Iterator<Item = Option<Unjudged>>) -> Covered {
    let mut unjudged: BTreeMap<Unjudged, usize> = BTreeMap::new();
    let mut judged = 0;
    for reason in all {
        match reason {
            Some(reason) => *unjudged.entry(reason).or_default() += 1,
            None => judged += 1,
        }
    }
    Covered { judged, unjudged: unjudged.into_iter().collect() }
}

/// What keeps any current of a wire from being known.
fn flow(facts: &Facts, wire: WireId) -> Option<Unjudged> {
    let electrical = facts.electrical();
    if !electrical.is_wired(wire) {
        return Some(Unjudged::NotJoined);
    }
    if electrical.loading(wire).mode.is_some() || electrical.given(wire).is_some() {
        return None;
    }
    if !electrical.modes().any(crate::electrical::ModeState::is_settled) {
        return Some(Unjudged::NoMode);
    }
    Some(if facts.undrawn().of(wire).is_some() { Unjudged::NoCurrent } else { Unjudged::Idle })
}

fn load(facts: &Facts, wire: WireId) -> Option<Unjudged> {
    flow(facts, wire).or_else(|| {
        let model = facts.model();
        let around = surroundings(model, &model[wire]);
        match (model[wire].size, around.rated, around.ambient) {
            (None, ..) => Some(Unjudged::NoSize),
            (Some(_), None, _) => Some(Unjudged::NoRating),
            (Some(_), Some(_), None) => Some(Unjudged::NoAir),
            (Some(_), Some(_), Some(_)) if facts.electrical().loading(wire).lasting <= Ampere::ZERO => Some(Unjudged::ShortTime),
            (Some(_), Some(_), Some(_)) => {
                capacity_of(model, &model[wire], Beside::default()).is_none().then_some(Unjudged::BeyondTable)
            }
        }
    })
}

fn shorts(facts: &Facts, wire: WireId) -> Option<Unjudged> {
    let (electrical, item) = (facts.electrical(), &facts.model()[wire]);
    if !electrical.is_wired(wire) {
        return Some(Unjudged::NotJoined);
    }
    match electrical.short(wire).map(|exposure| exposure.verdict) {
        Some(Verdict::Burns | Verdict::Stands) => None,
        Some(Verdict::Unknown(_)) => Some(Unjudged::NoTimes),
        None if electrical.faults().is_bare(wire) => Some(Unjudged::Unfused),
        None if item.size.is_none() => Some(Unjudged::NoSize),
        None if surroundings(facts.model(), item).rated.is_none() => Some(Unjudged::NoRating),
        None if !electrical.modes().any(crate::electrical::ModeState::is_settled) => Some(Unjudged::NoMode),
        None => Some(Unjudged::NoFault),
    }
}

fn drop(facts: &Facts, wire: WireId) -> Option<Unjudged> {
    let (electrical, item) = (facts.electrical(), &facts.model()[wire]);
    flow(facts, wire).or_else(|| match (item.size, item.length) {
        (None, _) => Some(Unjudged::NoSize),
        (Some(_), None) => Some(Unjudged::NoLength),
        // A given current has no source and no load between which volts could be lost.
        (Some(_), Some(_)) => electrical.loading(wire).mode.is_none().then_some(Unjudged::NoCurrent),
    })
}
