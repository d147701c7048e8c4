//! One fault in one state: the changes that it makes, the fuses that open because of it, what differs then.

use super::{
    Effects, Fault, HowTried,
    effect::{Before, compare, heat},
    ground::{GROWN, Ground, LEAST_LOAD},
    lead::Lead,
    things::Things,
};
use crate::{
    circuit::ports::Shorts,
    electrical::{
        Electrical,
        altered::{After, Rest},
        faults::{Bridging, Strike},
        what_if::Change,
    },
    model::{ElementId, OpenedBy, PointId, WireId},
    network::{EdgeId, EdgeRole},
    quantity::{Ampere, Ohm, Second},
    standards::supply,
};

/// Current that counts as none: what carries no more changes nothing when it opens.
const NO_AMPS: f64 = 1e-9;
/// Voltage between two contacts that drives nothing through a bridge.
const NO_VOLTS: f64 = 1e-6;
/// Fuses that may open one after the other.
pub(super) const MOST_FUSES: usize = 16;

/// One fault in one state.
pub(super) struct Trial<'a, 's> {
    pub(super) electrical: &'a Electrical,
    pub(super) things: &'a Things<'a>,
    pub(super) ground: &'a Ground<'a>,
    pub(super) rest: &'a Rest<'a>,
    pub(super) bridging: &'a Bridging,
    pub(super) shorts: &'s mut Option<Shorts<'a>>,
    pub(super) strike: &'s mut Strike,
}

impl<'a> Trial<'a, '_> {
    /// Whether nothing flows through what has the fault, and nothing could: a contact that moves is never idle.
    pub(super) fn is_idle(&self, fault: Fault) -> bool {
        match fault {
            Fault::Open(edge) | Fault::Blown(edge) | Fault::Raised(edge) => self.rest.amps(edge).get().abs() <= NO_AMPS,
            Fault::Bridged(one, other) => !self.rest.is_live(one) && !self.rest.is_live(other),
            Fault::Welded(_) | Fault::Stuck(_) => false,
        }
    }

    /// What a fault changes; where `lead` is the same fault elsewhere in its row, from what that one led to.
    pub(super) fn effects(&mut self, fault: Fault, how: HowTried, lead: &mut Option<Lead<'a>>) -> Effects {
        let (edge, raised) = match fault {
            Fault::Open(edge) | Fault::Blown(edge) => (edge, None),
            Fault::Raised(edge) => (edge, Some(how.raised)),
            Fault::Bridged(one, other) => return self.bridged(one, other),
            Fault::Welded(edge) => return self.welded(edge),
            Fault::Stuck(edge) => return self.stuck(edge),
        };
        // What carries nothing changes nothing.
        if self.rest.amps(edge).get().abs() <= NO_AMPS {
            return Effects::default();
        }
        if let Some(led) = lead.take() {
            let (known, left) = led.at((self.things, self.ground), edge);
            *lead = left;
            if let Some(known) = known {
                return known;
            }
        }
        let change = raised.map_or(Change::Open(edge), |ohms| Change::Raised(edge, ohms));
        let (found, after) = self.settled(&Course { heats: raised.map(|ohms| (edge, ohms)), ..Course::of(vec![change]) });
        *lead = after.map(|after| Lead { edge, raised, after, effects: found.clone() });
        found
    }

    /// Two contacts are bridged: what opens at once is found by what a short drives, with everything that draws left out.
    fn bridged(&mut self, one: PointId, other: PointId) -> Effects {
        let rest = self.rest;
        let is_live = rest.is_live(one) || rest.is_live(other);
        let is_level = rest.are_joined(one, other) && (rest.volts(one) - rest.volts(other)).get().abs() <= NO_VOLTS;
        if !is_live || is_level {
            return Effects::default();
        }
        let shorts = self.shorts.get_or_insert_with(|| self.bridging.shorts());
        let bridge = self.bridging.bridge(shorts, self.strike, (one, other));
        let mut changes = vec![Change::Joined(one, other, supply::bridge().value)];
        changes.extend(bridge.opens.iter().map(|(_, edge, _)| Change::Open(*edge)));
        let opens = bridge.opens.iter().map(|(fuse, _, time)| (*fuse, *time)).collect();
        let (mut found, _) = self.settled(&Course { opens, ..Course::of(changes) });
        if bridge.amps.get() > NO_AMPS {
            found.amps = Some(bridge.amps);
        }
        found.blind = bridge.blind.filter(|_| !bridge.ends);
        found.burns.extend(bridge.burns);
        found.burns.sort_unstable();
        found.burns.dedup();
        found
    }

    /// The contact of a relay stays as it is while its coil is energised, or would be.
    fn welded(&mut self, edge: EdgeId) -> Effects {
        let rest = self.rest;
        let Some(coil) = rest.coil_of(edge) else { return Effects::default() };
        let makes = self.things.network.role(edge) == EdgeRole::MakeContact;
        let mut changes = vec![Change::Closed(edge)];
        changes.extend(self.throws(edge).map(Change::Open));
        match (makes, rest.is_on(coil)) {
            // What stays on when it should go off shows once the coil has lost its supply.
            (true, true) => {
                let released = vec![Change::Released(coil)];
                changes.extend(released.iter().copied());
                self.settled(&Course { compared_with: released, coil: Some(coil), ..Course::of(changes) }).0
            }
            (true, false) => {
                let (mut found, _) = self.settled(&Course::of(changes));
                found.must_open.extend(self.must_open(edge));
                found
            }
            (false, true) => self.settled(&Course::of(changes)).0,
            (false, false) => Effects::default(),
        }
    }

    /// The contact of a relay does not close; of a changeover relay the other one stays closed.
    fn stuck(&mut self, edge: EdgeId) -> Effects {
        let rest = self.rest;
        let Some(coil) = rest.coil_of(edge) else { return Effects::default() };
        let makes = self.things.network.role(edge) == EdgeRole::MakeContact;
        if rest.is_on(coil) != makes {
            return Effects::default();
        }
        let mut changes = vec![Change::Open(edge)];
        changes.extend(self.throws(edge).map(Change::Closed));
        if changes.len() == 1 && rest.amps(edge).get().abs() <= NO_AMPS {
            return Effects::default();
        }
        self.settled(&Course::of(changes)).0
    }

    /// The other contact of a changeover relay.
    pub(super) fn throws(&self, edge: EdgeId) -> impl Iterator<Item = EdgeId> {
        let network = self.things.network;
        let own = &network[edge];
        let (element, role) = (own.element(), own.role);
        let around = [own.a, own.b].into_iter().flat_map(move |point| network.around(point));
        let other = around
            .filter(move |(_, other, _)| other.element() == element && other.role.is_relay_contact() && other.role != role)
            .map(|(id, ..)| id);
        other.take(1)
    }

    /// The relay, if its contact must be open in the mode at hand.
    fn must_open(&self, edge: EdgeId) -> Option<ElementId> {
        let element = self.things.network[edge].element()?;
        let openings = &self.electrical.network().model().openings;
        let mut of_mode = openings.iter().filter(|opening| opening.by == OpenedBy::Mode(self.rest.state.id));
        of_mode.any(|opening| opening.contacts.iter().any(|(contact, _)| *contact == element)).then_some(element)
    }

    /// What a course of things leads to, once no further fuse opens because of it, and what flows then.
    pub(super) fn settled(&mut self, course: &Course) -> (Effects, Option<After<'a>>) {
        let rest = self.rest;
        let released = (!course.compared_with.is_empty()).then(|| rest.with(&course.compared_with));
        let before = released.as_ref().map_or(Before::Rest(rest), Before::After);
        let mut changes = course.changes.clone();
        let mut opens = course.opens.clone();
        let mut burns = Vec::new();
        loop {
            let after = rest.with(&changes);
            if !after.is_settled() || released.as_ref().is_some_and(|released| !released.is_settled()) {
                let unsettled = released.iter().flat_map(After::unsettled).chain(after.unsettled()).collect();
                return (Effects { unsettled, opens, ..Effects::default() }, None);
            }
            let (first, grown) = self.overloads(before, &after);
            if let Some((edge, fuse, time)) = first.filter(|_| opens.len() < MOST_FUSES) {
                let stands = |(wire, amps): &(WireId, Ampere)| {
                    self.bridging.stands(*wire, *amps).is_some_and(|stands| stands < time).then_some(*wire)
                };
                burns.extend(grown.iter().filter_map(stands));
                changes.push(Change::Open(edge));
                opens.push((fuse, time));
                continue;
            }
            let endures = |(wire, amps): &(WireId, Ampere)| self.bridging.stands(*wire, *amps).map(|_| *wire);
            burns.extend(grown.iter().filter_map(endures));
            burns.sort_unstable();
            burns.dedup();
            let mut found = compare(self.things, rest, before, &after, course.coil);
            if let Some((edge, ohms)) = course.heats {
                heat(&mut found, after.amps(edge), ohms);
            }
            (found.opens, found.burns) = (opens, burns);
            return (found, Some(after));
        }
    }

    /// The fuse that opens first of those whose current has grown, and the conductors whose current has.
    #[expect(clippy::type_complexity, reason = "two answers of one pass over the edges")]
    pub(super) fn overloads(
        &self,
        before: Before<'_>,
        after: &After<'_>,
    ) -> (Option<(EdgeId, ElementId, Second)>, Vec<(WireId, Ampere)>) {
        let mut first: Option<(EdgeId, ElementId, Second)> = None;
        let mut grown = Vec::new();
        for (edge, amps) in after.flows() {
            let amps = amps.abs();
            let most = match before {
                Before::Rest(_) => self.ground.loads[edge],
                Before::After(before) => (before.amps(edge).abs() * GROWN).max(Ampere::new(LEAST_LOAD)),
            };
            if amps <= most {
                continue;
            }
            if let Some(wire) = self.things.network[edge].wire() {
                grown.push((wire, amps));
            } else if let Some((fuse, time)) = self.bridging.opens(edge, amps)
                && first.is_none_or(|(_, _, best)| time < best)
            {
                first = Some((edge, fuse, time));
            }
        }
        (first, grown)
    }
}

/// What happens to a design: a fault, and what it brings about at once.
#[derive(Debug, Default)]
pub(super) struct Course {
    changes: Vec<Change>,
    /// Fuses among the changes that have opened because of the fault.
    opens: Vec<(ElementId, Second)>,
    /// What the design is compared with, where it is not the state of rest; `coil` has let go in it on purpose.
    compared_with: Vec<Change>,
    coil: Option<EdgeId>,
    /// A contact that is heated by what flows through this resistance.
    heats: Option<(EdgeId, Ohm)>,
}

impl Course {
    pub(super) fn of(changes: Vec<Change>) -> Self {
        Self { changes, ..Self::default() }
    }
}
