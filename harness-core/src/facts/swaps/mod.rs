//! Plugs that fit each other's place, and what putting them there does.
//!
//! The way of the data: `halves` lists connectors with what decides who joins whom (family, positions, key, contacts, zones). `poles` finds
//! once which pole of a source each point hangs on. `spots` reduces each position of each half to a signature: what is behind it while its
//! connector is open. `meet` says what follows where two signatures meet; `judge` puts the meetings of one insertion together, against what
//! the design has there now. `pairs` goes through all pairs that fit, those of equal signatures once. Two connectors of which one hangs
//! behind the other change each other's signatures when both are open: such pairs are judged by themselves. `turned` asks the same of a plug
//! that goes into its own place the wrong way round. `cure` gives keys, which `harness swaps` and the rule try by counting again.
//!
//! Nothing is solved for a pair; the current of a short is asked for when somebody shows it (`Electrical::strike`).
//!
//! Cost: signatures, nearly linear in the points; a pass over the pairs of signatures that fit.

mod cure;
mod halves;
mod judge;
mod keys;
mod marks;
mod meet;
mod pairs;
mod poles;
mod reach;
mod spots;
mod turned;

pub use cure::{Cure, Proof, Recoded};
pub use halves::{FitId, Half, Plug, PlugId};
pub use judge::{Between, Insertion, Verdict};
pub use keys::{Code, Keys};
pub use meet::{Effect, Grade};
pub use pairs::{Counts, Pair, Sides};
pub use poles::Pole;
pub use spots::{Kind, KindId, LoadSide, Spot};
pub use turned::{Turned, Turns, Way};

use super::Facts;
use crate::{
    model::{EndId, Mate, Model, PointId},
    text::Name,
};
use rustc_hash::FxHashMap;
use spots::{Ground, Kinds, Room, Side};
use std::sync::OnceLock;

impl Facts {
    /// Which plugs fit each other's place, with what is needed to say what a swap does.
    ///
    /// Asked by `mating/swapped-mating` and `inspect`. Cost: that of the signatures; pairs are judged when they are asked for.
    #[must_use]
    pub fn swaps(&self) -> &Swaps {
        self.made.swaps.get_or_init(|| Swaps::new(self))
    }
}

/// The connectors of a design, compared.
#[derive(Debug, Default)]
pub struct Swaps {
    plugs: Vec<Plug>,
    by_fit: Vec<Vec<PlugId>>,
    unknown: Vec<Mate>,
    ways: reach::Ways,
    kinds: Kinds,
    /// What is behind the positions of each connector's halves: that with sockets, that with pins.
    sides: Vec<Sides>,
    /// Pairs of which one hangs behind the other.
    linked: FxHashMap<(PlugId, PlugId), Linked>,
    /// What each two classes of connectors do to each other, of each fit.
    tables: OnceLock<Vec<pairs::Table>>,
    /// Keys that rule out all pairs of a grade and of those above it.
    cured: [OnceLock<Vec<Cure>>; Grade::ALL],
}

/// Two connectors of which one hangs behind the other, while both are open.
#[derive(Debug)]
struct Linked {
    /// What is behind their positions.
    sides: [Sides; 2],
    /// Positions of the one that something behind it joins to one of the other: half and place of each, the first connector's first.
    ties: Vec<[(usize, usize); 2]>,
}

impl Swaps {
    fn new(facts: &Facts) -> Self {
        let halves::Plugs { all, by_fit, unknown } = halves::plugs(facts);
        let ground = Ground::new(facts);
        let mut room = ground.room();
        let mut kinds = Kinds::default();
        let mut sides = Vec::with_capacity(all.len());
        let mut through = Vec::with_capacity(all.len());
        let ways = reach::Ways::new(facts.model(), &all);
        let keyed = turned::keyed(facts.model());
        for plug in &all {
            // A connector that fits no other one in its reach is in no pair, but for itself the other way round.
            let others = by_fit.get(plug.fit.0 as usize).into_iter().flatten().filter_map(|other| all.get(other.index()));
            let meets = |other: &Plug| !std::ptr::eq(plug, other) && ways.reach(plug, other);
            if !others.into_iter().any(meets) && !turned::may_turn(facts.model(), plug, &keyed) {
                sides.push(Sides::default());
                through.push(Vec::new());
                continue;
            }
            let (own, passed) = both(&ground, &mut kinds, plug, &plug.ends, &mut room);
            sides.push(own);
            through.push(passed);
        }
        let of_end: FxHashMap<_, PlugId> =
            all.iter().enumerate().flat_map(|(at, plug)| plug.ends.iter().map(move |end| (*end, PlugId(at as u32)))).collect();
        let mut linked = FxHashMap::default();
        for (at, (plug, passed)) in all.iter().zip(&through).enumerate() {
            let own = PlugId(at as u32);
            for other in passed.iter().filter_map(|end| of_end.get(end)) {
                let Some(its) = all.get(other.index()).filter(|its| its.fit == plug.fit && *other != own) else { continue };
                let key = (own.min(*other), own.max(*other));
                linked.entry(key).or_insert_with(|| {
                    let open: Vec<_> = plug.ends.iter().chain(&its.ends).copied().collect();
                    let (first, second) = if own < *other { (plug, its) } else { (its, plug) };
                    let mut of = |plug: &Plug| both(&ground, &mut kinds, plug, &open, &mut room).0;
                    let sides = [of(first), of(second)];
                    let ties = ties(&ground, &kinds, &sides, &open, &mut room);
                    Linked { sides, ties }
                });
            }
        }
        Self { plugs: all, by_fit, unknown, ways, kinds, sides, linked, ..Self::default() }
    }

    /// A connector by its number.
    ///
    /// # Panics
    /// If the number is of another design.
    #[must_use]
    #[expect(clippy::indexing_slicing, reason = "a number without a connector is a fault of this library and must be loud")]
    pub fn plug(&self, id: PlugId) -> &Plug {
        &self.plugs[id.index()]
    }

    /// All connectors with their numbers.
    pub fn plugs(&self) -> impl Iterator<Item = (PlugId, &Plug)> {
        self.plugs.iter().enumerate().map(|(at, plug)| (PlugId(at as u32), plug))
    }

    /// The connectors of each family and number of positions.
    pub fn fits(&self) -> impl Iterator<Item = &[PlugId]> {
        self.by_fit.iter().map(Vec::as_slice)
    }

    /// The connectors of one family and number of positions.
    #[must_use]
    pub fn members(&self, fit: FitId) -> &[PlugId] {
        self.by_fit.get(fit.0 as usize).map_or(&[], Vec::as_slice)
    }

    /// Halves that can't be compared, because the design does not say what they are.
    #[must_use]
    pub fn unknown(&self) -> &[Mate] {
        &self.unknown
    }

    /// What is behind a position of a connector's half while the connector is open; that with sockets first.
    #[must_use]
    pub fn spots(&self, id: PlugId) -> Option<&Sides> {
        self.sides.get(id.index())
    }

    /// A signature by its number.
    #[must_use]
    pub fn kind(&self, id: KindId) -> Option<&Kind> {
        self.kinds.get(id)
    }

    /// The key of a connector as it is written, that of the half with sockets first.
    #[must_use]
    pub fn key(&self, id: PlugId) -> Option<Name> {
        self.plug(id).halves().find_map(|half| half.key)
    }

    /// The two spots at which a verdict has its worst, that of the half that is moved first where they are of both.
    #[must_use]
    pub fn met(&self, verdict: &Verdict) -> Option<(Spot, Spot)> {
        let Insertion { socket, pin } = verdict.insertion;
        let sides = self.linked.get(&(socket.min(pin), socket.max(pin)));
        let side = |id: PlugId, half: usize| match sides {
            Some(both) if socket != pin => both.sides.get(usize::from(id == socket.max(pin))).and_then(|sides| sides.get(half)),
            _ => self.sides.get(id.index()).and_then(|sides| sides.get(half)),
        };
        let (moved, other) = (side(socket, 0)?, side(pin, 1)?);
        let (one, two) = match verdict.between {
            Between::Both => (moved, other),
            Between::Moved => (moved, moved),
            Between::Other => (other, other),
        };
        Some((*one.get(verdict.at)?, *two.get(verdict.meets)?))
    }
}

/// What is behind both halves of a connector while some ends are open.
fn both(ground: &Ground<'_>, kinds: &mut Kinds, plug: &Plug, open: &[EndId], room: &mut Room) -> (Sides, Vec<EndId>) {
    room.held.forget();
    let mut through = Vec::new();
    let mut of = |half: Option<&Half>| {
        let Some(half) = half else { return Vec::new() };
        let Side { spots, through: passed } = spots::side(ground, kinds, &half.points, open, room);
        through.extend(passed);
        spots
    };
    let mut sides = [of(plug.socket.as_ref()), of(plug.pin.as_ref())];
    spots::expect(kinds, &mut sides);
    (sides, through)
}

/// Which positions of two connectors something joins that no pole holds, while some ends are open.
fn ties(ground: &Ground<'_>, kinds: &Kinds, sides: &[Sides; 2], open: &[EndId], room: &mut Room) -> Vec<[(usize, usize); 2]> {
    let [first, second] = sides;
    let places = |of: &Sides| -> Vec<((usize, usize), PointId)> {
        let each =
            of.iter().enumerate().flat_map(|(half, spots)| spots.iter().enumerate().map(move |(at, spot)| ((half, at), spot)));
        let is_passive = |spot: &Spot| kinds.get(spot.kind).is_some_and(|kind| kind.pole.is_none() && !kind.is_empty);
        each.filter(|(_, spot)| is_passive(spot)).map(|(place, spot)| (place, spot.point)).collect()
    };
    let others = places(second);
    let mut found = Vec::new();
    for (place, point) in places(first) {
        ground.conducts_to(point, open, room);
        found.extend(others.iter().filter(|(_, other)| room.reached.get(*other).is_some()).map(|(other, _)| [place, *other]));
    }
    found
}

/// `front.P1`, or the port that nothing mates: what a connector is called.
#[must_use]
pub fn plug_name(model: &Model, plug: &Plug) -> String {
    plug.own().map_or_else(String::new, |half| model.mate_name(half.at))
}
