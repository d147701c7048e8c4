//! What is beside a conductor, one by one.
//!
//! Idea: the conductors of a bundle are ranked by their heat once for each state, whoever of them is asked about; for one of them the list is
//! that without itself. Sums are kept from each place on, so that a bundle of ten thousand costs no more for each of them than one of ten.

use super::{
    bed::NOTHING,
    bundle::{Bundle, bundles_of},
    load::may_carry,
};
use crate::{
    electrical::{Electrical, ModeState},
    model::{ModeId, WireId},
    quantity::{Ampere, Kelvin},
    standards::capacity::Layers,
};
use rustc_hash::FxHashMap;
use std::{
    ptr,
    sync::{Arc, Mutex, OnceLock, PoisonError},
};

/// A conductor that is beside another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Neighbour {
    /// The wire.
    pub wire: WireId,
    /// What it carries.
    pub amps: Ampere,
    /// What its heat would raise its own temperature by if it lay alone.
    pub alone: Kelvin,
    /// What it adds to the temperature of the other.
    pub adds: Kelvin,
    /// It carries nothing in the mode and counts with its largest current, because it is joined to a live pole.
    pub is_idle: bool,
    /// Its size or its rating is not given: the thinnest wire, or the least rise of the table, is assumed.
    pub is_assumed: bool,
}

/// What is beside a conductor, the one with the most heat first.
#[derive(Debug, Clone)]
pub struct Neighbours<'e> {
    /// Where it is warmed most.
    pub bundle: Bundle,
    /// The mode.
    pub mode: ModeId,
    layers: &'e Layers,
    /// Whether `layers` is that of larger conductors.
    is_large: bool,
    ranking: Arc<Ranking>,
    /// The place of the conductor itself, if it gives off heat.
    own: Option<usize>,
}

/// When what is beside a conductor is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(in crate::electrical) enum Counted {
    /// What flows.
    Flowing,
    /// What may flow: idle ones that are joined to a live pole count too.
    Possible,
}

/// A conductor among those of its bundle.
#[derive(Debug, Clone, Copy)]
struct Ranked {
    wire: WireId,
    amps: Ampere,
    heat: f64,
    is_idle: bool,
    is_assumed: bool,
}

/// Places by which what is left of a list may move up: those that a remedy takes out, and the conductor itself.
const SHIFTS: usize = 5;

/// The conductors of a bundle that give off heat, the one with the most first.
#[derive(Debug)]
struct Ranking {
    members: Vec<Ranked>,
    /// The places of those of which something is assumed, ascending.
    idle: Vec<usize>,
    assumed: Vec<usize>,
    /// For smaller and larger conductors, by how many places the list moves up: what all from a place on add together.
    sums: [[OnceLock<Vec<f64>>; SHIFTS]; 2],
    /// For both: what all before a place add together.
    before: [OnceLock<Vec<f64>>; 2],
}

impl Ranking {
    fn new(mut members: Vec<Ranked>) -> Self {
        members.retain(|member| member.heat > 0.0);
        members.sort_unstable_by(|a, b| b.heat.total_cmp(&a.heat).then(a.wire.cmp(&b.wire)));
        let which = |is: fn(&Ranked) -> bool| {
            members.iter().enumerate().filter(|(_, member)| is(member)).map(|(place, _)| place).collect()
        };
        let (idle, assumed) = (which(|member| member.is_idle), which(|member| member.is_assumed));
        Self { members, idle, assumed, sums: Default::default(), before: Default::default() }
    }

    /// What all before a place add.
    fn before(&self, place: usize, layers: &Layers, is_large: bool) -> f64 {
        let sums = || {
            let mut sum = 0.0;
            let adds = self.members.iter().enumerate().map(|(place, member)| {
                let before = sum;
                sum += layers.share(place) * member.heat;
                before
            });
            adds.collect::<Vec<f64>>()
        };
        let kept = self.before.get(usize::from(is_large)).map(|kept| kept.get_or_init(sums));
        kept.and_then(|kept| kept.get(place)).copied().unwrap_or_default()
    }

    /// What all from a place on add, each that many places further up.
    fn from(&self, place: usize, up: usize, layers: &Layers, is_large: bool) -> f64 {
        let add = |place: usize, heat: f64| place.checked_sub(up).map_or(0.0, |place| layers.share(place) * heat);
        let sums = || {
            let mut sums = vec![0.0; self.members.len() + 1];
            let mut sum = 0.0;
            for (place, (member, slot)) in self.members.iter().zip(&mut sums).enumerate().rev() {
                sum += add(place, member.heat);
                *slot = sum;
            }
            sums
        };
        let kept = self.sums.get(usize::from(is_large)).and_then(|sums| sums.get(up));
        match kept {
            Some(kept) => kept.get_or_init(sums).get(place).copied().unwrap_or_default(),
            None => sums().get(place).copied().unwrap_or_default(),
        }
    }
}

impl Neighbours<'_> {
    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.ranking.members.len() - usize::from(self.own.is_some())
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// One after the other.
    pub fn iter(&self) -> impl Iterator<Item = Neighbour> {
        let others = self.ranking.members.iter().enumerate().filter(|(place, _)| Some(*place) != self.own);
        others.enumerate().map(|(place, (_, member))| Neighbour {
            wire: member.wire,
            amps: member.amps,
            alone: Kelvin::new(member.heat),
            adds: Kelvin::new(self.layers.share(place) * member.heat),
            is_idle: member.is_idle,
            is_assumed: member.is_assumed,
        })
    }

    /// What those from a place on add together.
    #[must_use]
    pub fn adds_from(&self, place: usize) -> Kelvin {
        Kelvin::new(self.from(place, 0))
    }

    /// By how much those from a place on would warm the conductor without those before them.
    #[must_use]
    pub fn rise_from(&self, place: usize) -> Kelvin {
        Kelvin::new(self.from(place, place))
    }

    /// Those that carry nothing and count with their largest current: how many, and the first of them.
    #[must_use]
    pub fn idle(&self) -> (usize, Vec<WireId>) {
        self.which(&self.ranking.idle)
    }

    /// Those of which the size or the rating is assumed: how many, and the first of them.
    #[must_use]
    pub fn assumed(&self) -> (usize, Vec<WireId>) {
        self.which(&self.ranking.assumed)
    }

    fn from(&self, place: usize, up: usize) -> f64 {
        let from = |place: usize, up: usize| self.ranking.from(place, up, self.layers, self.is_large);
        match self.own {
            None => from(place, up),
            // Those behind the conductor itself are one place further up.
            Some(own) if place >= own => from(place + 1, up + 1),
            // No difference, so that two states in which the same is beside it are equal.
            Some(own) if place == 0 => self.ranking.before(own, self.layers, self.is_large) + from(own + 1, up + 1),
            Some(own) => (from(place, up) - from(own, up)).max(0.0) + from(own + 1, up + 1),
        }
    }

    fn which(&self, places: &[usize]) -> (usize, Vec<WireId>) {
        let is_own = self.own.is_some_and(|own| places.binary_search(&own).is_ok());
        let others = places.iter().filter(|place| Some(**place) != self.own).filter_map(|place| self.ranking.members.get(*place));
        (places.len() - usize::from(is_own), others.take(FIRST).map(|member| member.wire).collect())
    }
}

/// Conductors of which something is assumed that are handed out.
const FIRST: usize = 3;

/// A bundle in a state, by the place of the state.
type Key = (usize, Counted, Bundle);

/// Rankings that were asked for.
#[derive(Debug, Default)]
pub(in crate::electrical) struct Rankings(Mutex<FxHashMap<Key, Arc<OnceLock<Arc<Ranking>>>>>);

impl Rankings {
    fn at(&self, key: Key, make: impl FnOnce() -> Ranking) -> Arc<Ranking> {
        // Another thread that broke off leaves whole entries behind. Who waits for a ranking does so outside the lock.
        let slot = Arc::clone(self.0.lock().unwrap_or_else(PoisonError::into_inner).entry(key).or_default());
        Arc::clone(slot.get_or_init(|| Arc::new(make())))
    }
}

/// What is beside `wire` in `mode`. Cost: the bundles of the wire are ranked when the first of them asks.
pub(in crate::electrical) fn neighbours<'e>(
    electrical: &'e Electrical,
    wire: WireId,
    mode: &ModeState,
    counted: Counted,
) -> Neighbours<'e> {
    let (network, installation) = (electrical.network(), electrical.installation());
    let model = network.model();
    let one = |other: WireId| {
        let flows = electrical.edge_of(other).map_or(Ampere::ZERO, |edge| mode.working_amps(edge, &network[edge]).abs());
        let flows = (flows - mode.passing_amps(other)).max(Ampere::ZERO);
        let may = match counted {
            Counted::Flowing => flows,
            Counted::Possible => may_carry(network, mode, electrical.all_loading(), other, flows),
        };
        let amps = installation.carries(other, mode.id, may);
        Ranked {
            wire: other,
            amps,
            heat: installation.heat(other, amps),
            is_idle: flows.get() <= NOTHING && installation.given(other).is_none(),
            is_assumed: installation.is_assumed(other),
        }
    };
    let own = one(wire);
    let state = electrical.every_state().position(|state| ptr::eq(state, mode));
    let bed = &installation.beds[wire];
    let (layers, is_large) = (installation.bundles.layers(bed), installation.bundles.is_large(bed));
    let found = bundles_of(&model[wire]).map(|bundle| {
        let make = || Ranking::new(installation.bundles.of(bundle).map(one).collect());
        let ranking = match state {
            Some(state) => electrical.rankings.at((state, counted, bundle), make),
            None => Arc::new(make()),
        };
        let by = |member: &Ranked| own.heat.total_cmp(&member.heat).then(member.wire.cmp(&wire));
        let place = ranking.members.binary_search_by(by).ok();
        Neighbours { bundle, mode: mode.id, layers, is_large, ranking, own: place }
    });
    let worst = found.reduce(|a, b| if b.adds_from(0) > a.adds_from(0) { b } else { a });
    worst.unwrap_or_else(|| Neighbours {
        bundle: Bundle::Loom(model[wire].loom),
        mode: mode.id,
        layers,
        is_large,
        ranking: Arc::new(Ranking::new(Vec::new())),
        own: None,
    })
}
