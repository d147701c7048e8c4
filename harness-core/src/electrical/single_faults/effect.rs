//! What a single fault changes in one state of a design: figures alone, no judgement.

use super::things::{BEYOND, Draws, Limits, Things};
use crate::{
    electrical::altered::{After, Rest},
    model::{ElementId, PointId, WireId},
    network::EdgeId,
    quantity::{Ampere, Ohm, Second, Volt, Watt},
    standards::supply,
    vocabulary::Active,
};
use rustc_hash::FxHashSet;

/// Change of a voltage that counts as none, in volt.
const STEADY: f64 = 1e-3;

/// What a load, a coil or the input of a converter gets, before and after.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Supply {
    /// Its edge.
    pub edge: EdgeId,
    /// Its element.
    pub element: ElementId,
    /// The voltage before.
    pub before: Volt,
    /// The voltage after.
    pub after: Volt,
    /// The voltage that it is made for.
    pub nominal: Volt,
}

/// A point whose voltage has changed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lift {
    /// The point.
    pub point: PointId,
    /// Its voltage before, against the chassis where it is joined to it.
    pub before: Volt,
    /// Its voltage after.
    pub after: Volt,
}

/// A signal that permits or forbids something and does so no longer, or now does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Turned {
    /// The pin.
    pub point: PointId,
    /// Which of its guards, by place.
    pub guard: usize,
    /// Whether it is at its active level after the fault.
    pub is_active: bool,
}

/// What a fault changes in one state.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Effects {
    /// Loads and converters that ran and have lost their supply.
    pub lost: Vec<Supply>,
    /// Loads and converters that run with too little voltage.
    pub low: Vec<Supply>,
    /// Loads that have a supply only since the fault, or can no longer be switched off.
    pub on: Vec<Supply>,
    /// Loads with more voltage than their domain may have.
    pub over: Vec<Supply>,
    /// Coils that let go (`false`) or pull in (`true`).
    pub coils: Vec<(EdgeId, bool)>,
    /// Points of class A above the limit of their class, one a net.
    pub dangerous: Vec<Lift>,
    /// Points of class B that had no source and now have, above that limit, one a net.
    pub live: Vec<Lift>,
    /// Points of class A beyond the voltage of their domain, one a net.
    pub lifted: Vec<Lift>,
    /// Signals that permit or forbid something.
    pub guards: Vec<Turned>,
    /// A contact that must be open in this mode stays closed.
    pub must_open: Vec<ElementId>,
    /// The current through what has the fault: a bridge, a contact.
    pub amps: Option<Ampere>,
    /// The heat in it.
    pub heat: Option<Watt>,
    /// The fuses that open because of it, with the latest time after the one before.
    pub opens: Vec<(ElementId, Second)>,
    /// Conductors that do not withstand what flows.
    pub burns: Vec<WireId>,
    /// A fuse in the way of which no times are known.
    pub blind: Option<ElementId>,
    /// Edges that do not settle after it: nothing else is known then.
    pub unsettled: Vec<EdgeId>,
}

impl Effects {
    /// Whether nothing has changed that anybody would notice.
    #[must_use]
    pub fn is_none(&self) -> bool {
        let quiet = self.lost.is_empty() && self.low.is_empty() && self.on.is_empty() && self.over.is_empty();
        let dark = self.dangerous.is_empty() && self.live.is_empty() && self.lifted.is_empty() && self.guards.is_empty();
        let whole = self.opens.is_empty() && self.burns.is_empty() && self.must_open.is_empty() && self.blind.is_none();
        quiet && dark && whole && self.coils.is_empty() && self.unsettled.is_empty() && self.heat.is_none()
    }
}

/// The state that a fault is compared with: the state of rest, or one in which a coil has let go.
#[derive(Clone, Copy)]
pub(super) enum Before<'a> {
    Rest(&'a Rest<'a>),
    After(&'a After<'a>),
}

impl Before<'_> {
    fn across(&self, one: PointId, other: PointId) -> Volt {
        match self {
            Self::Rest(rest) => rest.across(one, other),
            Self::After(after) => after.across(one, other),
        }
    }

    fn volts(&self, point: PointId) -> Volt {
        match self {
            Self::Rest(rest) => rest.volts(point),
            Self::After(after) => after.volts(point),
        }
    }

    fn is_live(&self, point: PointId) -> bool {
        match self {
            Self::Rest(rest) => rest.is_live(point),
            Self::After(after) => after.is_live(point),
        }
    }

    fn is_on(&self, edge: EdgeId) -> bool {
        match self {
            Self::Rest(rest) => rest.is_on(edge),
            Self::After(after) => after.is_on(edge),
        }
    }

    fn are_joined(&self, one: PointId, other: PointId) -> bool {
        match self {
            Self::Rest(rest) => rest.are_joined(one, other),
            Self::After(after) => after.are_joined(one, other),
        }
    }

    /// The voltage of a point against the return of its own device; `None` where nothing joins the two.
    fn level(&self, things: &Things<'_>, point: PointId) -> Option<Volt> {
        let Some(own) = things.returns[point] else { return Some(self.volts(point)) };
        self.are_joined(point, own).then(|| self.volts(point) - self.volts(own))
    }
}

/// Compares what flows after a fault with what flowed before; `coil` has let go on purpose and is not looked at.
pub(super) fn compare(
    things: &Things<'_>,
    rest: &Rest<'_>,
    before: Before<'_>,
    after: &After<'_>,
    coil: Option<EdgeId>,
) -> Effects {
    let mut found = Effects::default();
    for edge in after.edges() {
        let Some(thing) = things.of(edge) else { continue };
        let (a, b) = thing.points;
        let (had, has) = (before.across(a, b), after.across(a, b));
        if (had - has).get().abs() < STEADY && had.get() > 0.0 {
            continue;
        }
        let supply = Supply { edge, element: thing.element, before: had, after: has, nominal: thing.nominal };
        let least = |share: f64| thing.nominal * share;
        let (dead, low) = (supply::dead().value.get(), supply::low().value.get());
        if thing.what == Draws::Coil {
            if Some(edge) != coil && before.is_on(edge) != after.is_on(edge) {
                found.coils.push((edge, after.is_on(edge)));
            }
        } else if rest.runs(edge) && had >= least(dead) && has < least(dead) {
            found.lost.push(supply);
        } else if rest.runs(edge) && had >= least(low) && has < least(low) {
            found.low.push(supply);
        } else if had < least(dead) && has >= least(dead) {
            found.on.push(supply);
        }
        if thing.most > Volt::ZERO && had <= thing.most * BEYOND && has > thing.most * BEYOND {
            found.over.push(supply);
        }
    }
    points(things, before, after, &mut found);
    for (point, guard, active, nominal) in &things.guards {
        let is_high = |volts: Volt| volts >= *nominal * 0.5;
        let is_active = |is_high: bool| is_high == (*active == Active::High);
        // A box that has lost its return reads nothing that anybody knows.
        let levels = before.level(things, *point).zip(Before::After(after).level(things, *point));
        let Some((had, has)) = levels.map(|(had, has)| (is_active(is_high(had)), is_active(is_high(has)))) else { continue };
        if had != has {
            found.guards.push(Turned { point: *point, guard: *guard, is_active: has });
        }
    }
    found
}

/// The voltage of a point of a box against its own return, where it is beyond its limits. What a box is made for counts against that, wherever
/// it is; a conductor alone is made for the whole of voltage class A.
fn beyond(things: &Things<'_>, limits: &Limits, after: &After<'_>, (point, has): (PointId, Volt)) -> Option<Volt> {
    let level = match things.returns[point].filter(|_| limits.is_boxed) {
        Some(own) => after.are_joined(point, own).then(|| has - after.volts(own)),
        None => limits.is_boxed.then_some(has),
    };
    level.filter(|level| limits.are_passed(*level))
}

/// Whether a point is above a limit after the fault.
pub(super) fn is_notable(things: &Things<'_>, after: &After<'_>, point: PointId) -> bool {
    let Some(limits) = things.limits(point).filter(|_| after.is_live(point)) else { return false };
    let has = after.volts(point);
    has.abs() > limits.touch || beyond(things, limits, after, (point, has)).is_some()
}

/// Looks for points that are above a limit only after the fault.
fn points(things: &Things<'_>, before: Before<'_>, after: &After<'_>, found: &mut Effects) {
    let network = things.network;
    let mut last = [None; 3];
    for (point, has, is_live) in after.levels() {
        let Some(limits) = things.limits(point).filter(|_| is_live) else { continue };
        let beyond = beyond(things, limits, after, (point, has));
        let is_above = has.abs() > limits.touch;
        if !is_above && beyond.is_none() {
            continue;
        }
        let had = before.volts(point);
        let was_above = had.abs() > limits.touch && before.is_live(point);
        let is_class_a = limits.domain <= limits.touch;
        let mut add = |which: usize, list: &mut Vec<Lift>, (before, after): (Volt, Volt)| {
            let lift = Lift { point, before, after };
            let net = Some(network.net(point));
            // Points of one net are mostly side by side, and what is left is sorted out at the end.
            if last.get(which).copied().flatten() != net {
                list.push(lift);
            }
            if let Some(slot) = last.get_mut(which) {
                *slot = net;
            }
        };
        match (is_class_a, is_above && !was_above) {
            (true, true) => add(0, &mut found.dangerous, (had, has)),
            (false, true) if !before.is_live(point) => add(1, &mut found.live, (had, has)),
            _ => {}
        }
        let Some(has) = beyond else { continue };
        let had = before.level(things, point).unwrap_or_default();
        if is_class_a && !is_above && limits.domain > Volt::ZERO && !(limits.are_passed(had) && before.is_live(point)) {
            add(2, &mut found.lifted, (had, has));
        }
    }
    for list in [&mut found.dangerous, &mut found.live, &mut found.lifted] {
        let mut seen = FxHashSet::default();
        list.retain(|lift| seen.insert(network.net(lift.point)));
    }
}

/// The heat in a contact with so much more resistance.
pub(super) fn heat(found: &mut Effects, amps: Ampere, ohms: Ohm) {
    let heat = Watt::new(amps.get().powi(2) * ohms.get());
    if heat >= supply::contact_heat().value {
        (found.amps, found.heat) = (Some(amps.abs()), Some(heat));
    }
}
