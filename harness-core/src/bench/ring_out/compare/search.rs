//! Which slips explain readings: the fewest that fit all of them, single ones first.
//!
//! The idea: a reading that the sound loom does not give has to be explained by some slip that touches one of its leads. Slips are tried on it one by
//! one; where none explains all readings, each of the best so far is taken together with each that explains what it leaves open, and so on for a few
//! rounds. What fits is held against every reading that it touches, those that passed among them.

use super::{Metered, Observed};
use crate::{
    arena::IdVec,
    bench::ring_out::{
        bare::{Join, Kind, Spot},
        meter::Meter,
        piece::Shown,
        reading::Reading,
        rig::{PieceId, Rig},
        slip::{Slip, each},
        state::State,
        strip::Strip,
    },
};
use std::collections::BTreeSet;

/// How many explanations are kept from one round to the next.
const WIDTH: usize = 40;
/// How many slips together are tried at most.
const MOST_SLIPS: usize = 5;
/// Rounds in which a resistance is bracketed: each halves what is left of twelve decades.
const HALVINGS: usize = 60;
/// The span in which a resistor of another value is looked for, in ohm.
const RESISTORS: [f64; 2] = [1e-3, 1e9];

/// Slips that together explain readings.
#[derive(Debug, Clone)]
pub(super) struct Explanation {
    pub(super) slips: Vec<Slip>,
    /// Readings that it does not explain, failing ones and ones that passed.
    pub(super) against: BTreeSet<usize>,
    /// How unlikely it is beside others that explain as much; less is likelier.
    pub(super) oddness: f64,
}

/// What was measured, and where.
pub(super) struct Search<'b> {
    pub(super) rig: &'b Rig,
    pub(super) meter: &'b Meter,
    pub(super) observed: &'b [Observed<'b>],
    /// Readings with a lead at each place.
    at: IdVec<Spot, Vec<usize>>,
    lamp_at: IdVec<Spot, Option<usize>>,
    /// Readings against the strip, with the place of the other lead.
    strips: Vec<(usize, Spot, &'b Strip)>,
    failing: BTreeSet<usize>,
    /// Slips that explain one failing reading at least by themselves.
    pub(super) candidates: Vec<Slip>,
}

impl<'b> Search<'b> {
    pub(super) fn new(rig: &'b Rig, meter: &'b Meter, observed: &'b [Observed<'b>]) -> Self {
        let mut at: IdVec<Spot, Vec<usize>> = IdVec::of(Vec::new(), rig.bare.spots.len());
        let mut lamp_at: IdVec<Spot, Option<usize>> = IdVec::of(None, rig.bare.spots.len());
        let mut strips = Vec::new();
        for (index, observed) in observed.iter().enumerate() {
            match observed {
                Observed::Metered(Metered { from, to, strip: None, .. }) => {
                    at[*from].push(index);
                    at[*to].push(index);
                }
                Observed::Metered(Metered { from, strip: Some(strip), .. }) => {
                    at[*from].push(index);
                    strips.push((index, *from, *strip));
                }
                Observed::Lamp { at, .. } => lamp_at[*at] = Some(index),
            }
        }
        let sound = State::with(rig, &[]);
        let failing = observed.iter().enumerate().filter(|(_, observed)| !observed.fits(meter, &sound));
        let failing = failing.map(|(index, _)| index).collect();
        let mut search = Self { rig, meter, observed, at, lamp_at, strips, failing, candidates: Vec::new() };
        search.candidates = search.explain_one();
        search
    }

    pub(super) fn failing(&self) -> &BTreeSet<usize> {
        &self.failing
    }

    /// The slips that change a failing reading into what was read.
    fn explain_one(&self) -> Vec<Slip> {
        let hot = Hot::new(self.rig, self.failing.iter().filter_map(|index| self.observed.get(*index)));
        let mut found = Vec::new();
        let mut look = |slip: Slip| {
            if hot.may_be_changed(self.rig, &slip) && self.failing_explained(&slip) {
                found.push(slip);
            }
        };
        each(self.rig, &mut look);
        // The lamps of two nets say the same of their contact.
        let mut contacts: BTreeSet<(Spot, Spot)> = BTreeSet::new();
        for observed in self.failing.iter().filter_map(|index| self.observed.get(*index)) {
            match observed {
                Observed::Metered(reading) => self.by_figure(reading, &mut look),
                Observed::Lamp { board, at, seen } => {
                    let own = board.fed_with(self.rig, *at);
                    let others = board.may_light(seen).filter(|other| !self.rig.hang_together(*other, *at));
                    contacts.extend(others.filter_map(|other| own.map(|own| (own.min(other), own.max(other)))));
                }
            }
        }
        contacts.into_iter().for_each(|(one, other)| look(Slip::Touching(one, other)));
        found
    }

    fn failing_explained(&self, slip: &Slip) -> bool {
        let state = State::with(self.rig, std::slice::from_ref(slip));
        self.changed(&state).into_iter().any(|index| {
            self.failing.contains(&index) && self.observed.get(index).is_some_and(|observed| observed.fits(self.meter, &state))
        })
    }

    /// The readings that may be others than those of the sound loom.
    fn changed(&self, state: &State<'_>) -> BTreeSet<usize> {
        let mut changed: BTreeSet<usize> = state.touched().iter().flat_map(|spot| self.at[*spot].iter().copied()).collect();
        for spot in state.moved() {
            let holds = self.strips.iter().filter(|(_, from, strip)| strip.is_before(self.rig, *from, spot));
            changed.extend(holds.map(|(index, ..)| *index));
        }
        let shaken = state.shaken().into_iter().flat_map(|piece| self.rig.spots_of(piece));
        changed.extend(shaken.filter_map(|spot| self.lamp_at[*spot]));
        changed
    }

    /// Slips whose figure only the reading gives.
    fn by_figure(&self, observed: &Metered<'_>, look: &mut impl FnMut(Slip)) {
        let Reading::Ohms(ohm) = observed.reading else { return };
        for place in observed.strip.iter().flat_map(|strip| strip.before(self.rig, observed.from)) {
            look(if ohm > self.meter.usual {
                Slip::Leaky(observed.from, place, ohm)
            } else {
                Slip::Touching(observed.from, place)
            });
        }
        let sound = State::with(self.rig, &[]);
        match sound.shown_on(observed.from, observed.to, observed.strip) {
            Shown::Ohms(ohms) => {
                for join in self.rig.joins_of(self.rig.piece_of(observed.from)).iter().copied() {
                    match self.rig.bare.joins[join].kind {
                        Kind::Metal(_) if ohm > ohms.nominal && ohm < self.meter.open => {
                            look(Slip::Poor(join, ohm - ohms.nominal));
                        }
                        Kind::Resistor(..) => {
                            if let Some(value) = self.resistor(join, observed, ohm) {
                                look(Slip::Wrong(join, value));
                            }
                        }
                        Kind::Metal(_) | Kind::Diode(_) | Kind::Vague => {}
                    }
                }
            }
            Shown::Open | Shown::Forward(_) if observed.strip.is_none() && ohm < self.meter.open && ohm > self.meter.usual => {
                look(Slip::Leaky(observed.from, observed.to, ohm));
            }
            Shown::Open if observed.strip.is_none() => look(Slip::Touching(observed.from, observed.to)),
            Shown::Open | Shown::Forward(_) | Shown::Vague => {}
        }
    }

    /// The value of a resistor by which the loom reads so many ohms; `None` where no value does.
    fn resistor(&self, join: Join, observed: &Metered<'_>, ohm: f64) -> Option<f64> {
        let reads = |value: f64| match State::with(self.rig, &[Slip::Wrong(join, value)]).shown(observed.from, observed.to) {
            Shown::Ohms(ohms) => Some(ohms.nominal),
            Shown::Open | Shown::Forward(_) | Shown::Vague => None,
        };
        let [mut low, mut high] = RESISTORS.map(f64::ln);
        if !(reads(low.exp())?..=reads(high.exp())?).contains(&ohm) {
            return None;
        }
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(low, high);
            if reads(middle.exp())? < ohm { low = middle } else { high = middle }
        }
        Some(f64::midpoint(low, high).exp())
    }

    /// What slips together leave unexplained.
    pub(super) fn judge(&self, slips: Vec<Slip>) -> Explanation {
        let state = State::with(self.rig, &slips);
        let mut against = self.failing.clone();
        for index in self.changed(&state) {
            let Some(observed) = self.observed.get(index) else { continue };
            if observed.fits(self.meter, &state) {
                against.remove(&index);
            } else {
                against.insert(index);
            }
        }
        let oddness = slips.iter().map(|slip| oddness(self.rig, slip)).sum();
        Explanation { slips, against, oddness }
    }

    /// The explanations with the fewest slips that fit everything, else those that leave the fewest readings open; the likeliest first.
    pub(super) fn explanations(&self) -> Vec<Explanation> {
        if self.failing.is_empty() {
            return Vec::new();
        }
        let mut best = self.round(self.candidates.iter().map(|slip| self.judge(vec![slip.clone()])).collect());
        let mut beam = best.clone();
        for _ in 1..MOST_SLIPS {
            let is_explained = beam.first().is_none_or(|explanation| explanation.against.is_empty());
            if is_explained {
                break;
            }
            let mut longer: Vec<Explanation> = Vec::new();
            for explanation in beam.iter().take(WIDTH) {
                longer.extend(self.longer(explanation));
            }
            beam = self.round(longer);
            // More slips have to explain more.
            let open = |list: &[Explanation]| list.first().map_or(usize::MAX, |first| first.against.len());
            if open(&beam) >= open(&best) {
                break;
            }
            best.clone_from(&beam);
        }
        best
    }

    fn longer(&self, explanation: &Explanation) -> Vec<Explanation> {
        let Some(open) = explanation.against.first().and_then(|index| self.observed.get(*index)) else { return Vec::new() };
        let hot = Hot::new(self.rig, std::iter::once(open));
        let helpful =
            self.candidates.iter().filter(|slip| !explanation.slips.contains(slip) && hot.may_be_changed(self.rig, slip));
        let longer = helpful.map(|slip| {
            let mut slips = explanation.slips.clone();
            slips.push(slip.clone());
            self.judge(slips)
        });
        longer.filter(|longer| longer.against.len() < explanation.against.len()).collect()
    }

    /// The best of many: those that leave least open, of these the likeliest, none twice.
    fn round(&self, mut all: Vec<Explanation>) -> Vec<Explanation> {
        let key = |slips: &[Slip]| {
            let mut key: Vec<String> = slips.iter().map(|slip| format!("{slip:?}")).collect();
            key.sort_unstable();
            key
        };
        all.sort_by(|one, other| one.against.len().cmp(&other.against.len()).then(one.oddness.total_cmp(&other.oddness)));
        let mut seen: BTreeSet<Vec<String>> = BTreeSet::new();
        let least = all.first().map_or(0, |first| first.against.len());
        // All that fit everything are kept; of others as many as the next round takes.
        let mut kept = Vec::new();
        for explanation in all {
            if (least == 0 && !explanation.against.is_empty()) || (least > 0 && kept.len() >= WIDTH) {
                break;
            }
            if seen.insert(key(&explanation.slips)) {
                kept.push(explanation);
            }
        }
        kept
    }
}

/// Places where a reading is to be changed, and the pieces that they are of.
struct Hot {
    spots: BTreeSet<Spot>,
    pieces: BTreeSet<PieceId>,
}

impl Hot {
    fn new<'o>(rig: &Rig, readings: impl Iterator<Item = &'o Observed<'o>>) -> Self {
        let spots = |observed: &Observed<'_>| match observed {
            Observed::Metered(reading) => vec![reading.from, reading.to],
            // A lamp changes with what is fed and cut anywhere in its piece.
            Observed::Lamp { at, .. } => rig.spots_of(rig.piece_of(*at)).to_vec(),
        };
        let spots: BTreeSet<Spot> = readings.flat_map(spots).collect();
        let pieces = spots.iter().map(|spot| rig.piece_of(*spot)).collect();
        Self { spots, pieces }
    }

    /// Whether a slip by itself can change such a reading.
    fn may_be_changed(&self, rig: &Rig, slip: &Slip) -> bool {
        let is_of_piece = |spot: Spot| self.pieces.contains(&rig.piece_of(spot));
        let is_at = |spot: &Spot| self.spots.contains(spot);
        match slip {
            Slip::Open(join) | Slip::Reversed(join) | Slip::Shorted(join) | Slip::Poor(join, _) | Slip::Wrong(join, _) => {
                is_of_piece(rig.bare.joins[*join].from)
            }
            Slip::Bridged(one, other)
            | Slip::Touching(one, other)
            | Slip::Leaky(one, other, _)
            | Slip::Crowded { from: one, to: other } => is_of_piece(*one) || is_of_piece(*other),
            Slip::Unseated(spot) => is_at(spot),
            Slip::Swapped(one, other) | Slip::Misplaced { from: one, to: other } => is_at(one) || is_at(other),
            Slip::Shifted { moves, .. } => moves.iter().any(|(_, to)| is_at(to)),
        }
    }
}

/// How odd a slip is: what hands do most often is the least odd.
fn oddness(rig: &Rig, slip: &Slip) -> f64 {
    let apart = |one: Spot, other: Spot| {
        let Some(plug) = rig.bare.spots[one].plug else { return 1.0 };
        let spots = &rig.bare.plugs[plug].spots;
        let place = |spot: Spot| spots.iter().position(|own| *own == spot).unwrap_or_default();
        let steps = place(one).abs_diff(place(other));
        1.0 - 1.0 / (steps as f64 + 1.0)
    };
    match slip {
        Slip::Open(_) | Slip::Reversed(_) | Slip::Poor(..) => 1.0,
        Slip::Bridged(..) | Slip::Unseated(_) | Slip::Wrong(..) => 1.2,
        Slip::Leaky(..) => 1.4,
        Slip::Touching(..) => 1.8,
        Slip::Swapped(one, other) => 1.0 + apart(*one, *other),
        Slip::Misplaced { from, to } => 1.5 + apart(*from, *to),
        Slip::Shifted { .. } | Slip::Shorted(_) => 2.0,
        Slip::Crowded { from, to } => 2.5 + apart(*from, *to),
    }
}
