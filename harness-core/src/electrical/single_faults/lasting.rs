//! What faults come to while a state of rest lasts: for who looks for a fault by what is measured.
//!
//! [`try_faults`](Electrical::try_faults) says what a fault changes for the worse, in every state; this gives all that flows, in one. So a contact
//! that is welded is closed here and nothing more: whether its coil would let it go is not asked.

use super::{
    Fault,
    effect::Before,
    ground::Ground,
    things::Things,
    trial::{MOST_FUSES, Trial},
};
use crate::{
    circuit::ports::Shorts,
    electrical::{
        Electrical,
        altered::{After, Rest},
        faults::{Bridge, Strike},
        what_if::Change,
    },
    model::{ElementId, ModeId, PointId},
    network::{EdgeId, EdgeRole},
    quantity::Ohm,
    standards::supply,
};
use std::sync::Arc;

/// A state of rest in which faults are tried.
#[derive(Debug)]
pub struct Lasting<'e> {
    electrical: &'e Electrical,
    things: Arc<Things<'e>>,
    ground: Ground<'e>,
}

/// The same for one thread, with what it has computed.
#[derive(Debug)]
pub struct Tries<'a> {
    of: &'a Lasting<'a>,
    shorts: Option<Shorts<'a>>,
    strike: Strike,
}

/// What faults come to.
#[derive(Debug)]
pub struct Came<'a> {
    /// Fuses that have opened because of them, in the order of time.
    pub opens: Vec<ElementId>,
    /// What flows in the end.
    pub after: After<'a>,
}

impl Electrical {
    /// The state of a mode, ready for faults; `None` for a mode that was not computed. `near` are pairs of points that faults may bridge.
    ///
    /// Cost: the state is found again, and a few passes over edges and points.
    #[must_use]
    pub fn lasting_faults(&self, mode: ModeId, near: &[(PointId, PointId)]) -> Option<Lasting<'_>> {
        let things = Arc::new(Things::new(self));
        let ground = Ground::new(self, &things, self.rest(mode, near)?);
        Some(Lasting { electrical: self, things, ground })
    }
}

impl<'e> Lasting<'e> {
    /// The state without a fault.
    #[must_use]
    pub fn rest(&self) -> &Rest<'e> {
        &self.ground.rest
    }

    /// The same of what these points and edges hang on alone; see [`Rest::excerpt`].
    #[must_use]
    pub fn excerpt(&self, points: &[PointId], edges: &[EdgeId]) -> Self {
        let rest = self.rest().excerpt(points, edges);
        let things = Arc::clone(&self.things);
        Self { electrical: self.electrical, ground: Ground::new(self.electrical, &things, rest), things }
    }

    /// What tries faults on one thread.
    #[must_use]
    pub fn tries(&self) -> Tries<'_> {
        Tries { of: self, shorts: None, strike: Strike::default() }
    }

    /// Whether the state was found again wherever a fault is: nothing can be said of one elsewhere.
    #[must_use]
    pub fn knows(&self, fault: Fault) -> bool {
        super::points(self.rest(), fault).iter().all(|point| self.rest().is_known(*point))
    }
}

impl<'a> Tries<'a> {
    /// What opens at once where two points are bridged; `None` where nothing is known of that.
    pub(crate) fn bridged(&mut self, one: PointId, other: PointId) -> Option<Bridge> {
        let bridging = self.of.ground.bridging.as_ref()?;
        let shorts = self.shorts.get_or_insert_with(|| bridging.shorts());
        Some(bridging.bridge(shorts, &mut self.strike, (one, other)))
    }

    /// What these faults come to, all at once, once no further fuse opens because of them; the resistance beside each is what a corroded
    /// contact has more. `None` where no state of rest is found, or it is not known what flowed before.
    ///
    /// Cost: a few solutions by small updates; the first bridge costs a factorisation.
    #[must_use]
    pub fn with(&mut self, faults: &[(Fault, Ohm)]) -> Option<Came<'a>> {
        let of = self.of;
        if !faults.iter().all(|(fault, _)| of.knows(*fault)) {
            return None;
        }
        let (things, ground) = (&of.things, &of.ground);
        let bridging = ground.bridging.as_ref()?;
        let (shorts, strike) = (&mut self.shorts, &mut self.strike);
        let trial = &mut Trial { electrical: of.electrical, things, ground, rest: &ground.rest, bridging, shorts, strike };
        let (mut changes, mut opens) = (Vec::new(), Vec::new());
        for (fault, raised) in faults {
            trial.add(*fault, *raised, &mut changes, &mut opens);
        }
        loop {
            let after = ground.rest.with(&changes);
            if !after.is_settled() {
                return None;
            }
            match trial.overloads(Before::Rest(&ground.rest), &after).0.filter(|_| opens.len() < MOST_FUSES) {
                Some((edge, fuse, _)) => {
                    changes.push(Change::Open(edge));
                    opens.push(fuse);
                }
                None => return Some(Came { opens, after }),
            }
        }
    }
}

impl Trial<'_, '_> {
    /// The changes that a fault makes while the state lasts, with the fuses that a bridge opens at once.
    fn add(&mut self, fault: Fault, raised: Ohm, changes: &mut Vec<Change>, opens: &mut Vec<ElementId>) {
        let rest = self.rest;
        let makes = |edge: EdgeId| self.things.network.role(edge) == EdgeRole::MakeContact;
        match fault {
            Fault::Open(edge) | Fault::Blown(edge) => changes.push(Change::Open(edge)),
            Fault::Raised(edge) => changes.push(Change::Raised(edge, raised)),
            Fault::Welded(edge) => {
                changes.push(Change::Closed(edge));
                changes.extend(self.throws(edge).map(Change::Open));
            }
            Fault::Stuck(edge) => {
                // What is open anyway is not seen to be stuck.
                if rest.coil_of(edge).is_some_and(|coil| rest.is_on(coil) == makes(edge)) {
                    changes.push(Change::Open(edge));
                    changes.extend(self.throws(edge).map(Change::Closed));
                }
            }
            Fault::Bridged(one, other) => {
                changes.push(Change::Joined(one, other, supply::bridge().value));
                if rest.is_live(one) || rest.is_live(other) {
                    let shorts = self.shorts.get_or_insert_with(|| self.bridging.shorts());
                    let bridge = self.bridging.bridge(shorts, self.strike, (one, other));
                    changes.extend(bridge.opens.iter().map(|(_, edge, _)| Change::Open(*edge)));
                    opens.extend(bridge.opens.iter().map(|(fuse, ..)| *fuse));
                }
            }
        }
    }
}
