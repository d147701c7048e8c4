//! What readings come to: causes by how well they explain them, those alike as one, and what to measure next.

use super::{
    decide::Decides,
    field::Field,
    groups::groups,
    next::{Proposal, proposals},
    pairs::{kinds, pairs},
    probe::{Probe, Seen},
    read::Reading,
    search::Weighed,
    shows::Shown,
    suspect::{NamedFault, Suspect},
    weigh::{Weight, weigh},
};
use crate::model::ElementId;

/// Proposals that are given.
const MOST_PROPOSALS: usize = 3;
/// Share of one group from which on it is the one.
const SURE: f64 = 0.95;
/// Pairs of faults that are tried of those kinds that fit.
const MOST_PAIRS: usize = 600;
/// How often two faults are there at once, beside one of them alone.
const TWICE: f64 = 1e-3;

/// What readings come to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Everything is as it should be in this mode.
    AsDesigned,
    /// One cause, or several that nobody distinguishes where probes reach.
    Found,
    /// Several causes explain all readings.
    Several,
    /// Nothing in the design explains them.
    Nothing,
}

/// A cause, or several that no reading at a place that probes reach distinguishes.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Cause {
    /// What each is; two of them where two faults are there at once.
    pub alike: Vec<Vec<NamedFault>>,
    /// Fuses that have opened because of it.
    pub opens: Vec<String>,
    /// Its share of all that may be, from 0 to 1.
    pub share: f64,
    /// The reading that contradicts it most, by its place, with what should be read; `None` where it explains all.
    pub against: Option<(usize, Seen)>,
    /// What it shows at the readings proposed, in their order.
    pub predicts: Vec<Seen>,
    /// Whether a design without a fault shows the same wherever probes reach.
    pub as_designed: bool,
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Diagnosis {
    /// What it comes to.
    pub verdict: Verdict,
    /// Whether the causes are of two faults at once, because none alone explains the readings.
    pub two: bool,
    /// The causes, the likeliest first: those that explain all readings; where none does, those nearest to it.
    pub causes: Vec<Cause>,
    /// What is worth measuring next, the best first; none where nothing distinguishes what is left.
    pub proposals: Vec<Proposal>,
    /// A resistance with the power off that distinguishes the causes of the first line, where it has several.
    pub decides: Option<Decides>,
    /// What the design shows at each reading without a fault.
    pub sound: Vec<Seen>,
    /// Faults that were tried.
    pub tried: usize,
    /// Faults of which nothing is known: no state of rest follows from them.
    pub unknown: usize,
    /// Faults too far away to be tried: they show at these readings what the design shows without a fault.
    pub left_out: usize,
}

/// Causes that are left, weighed.
struct Left<'f> {
    /// The cause, what it shows, what readings make of it.
    causes: Vec<(&'f [Suspect], &'f Shown, Weight)>,
    /// Places in `causes` by group, with the share of each, the likeliest first.
    groups: Vec<(f64, Vec<usize>)>,
    fits: bool,
}

impl Weighed<'_> {
    /// What these readings come to; all are of those for which it was made, or of what is reached.
    ///
    /// Cost: faults by readings, and a comparison of the faults that are left with each other; where none fits, some hundred pairs are tried.
    #[must_use]
    pub fn diagnose(&self, readings: &[Reading]) -> Diagnosis {
        let at = self.places(readings);
        let single = self.left(&self.singles, readings, &at);
        if single.fits {
            return self.said(&single, readings, &at, false);
        }
        let two = self.two(readings, &at);
        let both = self.left(&two, readings, &at);
        if both.fits {
            return self.said(&both, readings, &at, true);
        }
        self.said(&single, readings, &at, false)
    }

    /// Everything that is worth measuring after these readings, the best first.
    #[must_use]
    pub fn worth(&self, readings: &[Reading]) -> Vec<Proposal> {
        let at = self.places(readings);
        self.proposals(&self.left(&self.singles, readings, &at), readings, usize::MAX)
    }

    fn places(&self, readings: &[Reading]) -> Vec<usize> {
        let place = |reading: &Reading| self.probes.iter().position(|known| *known == reading.probe);
        readings.iter().map(|reading| place(reading).unwrap_or(usize::MAX)).collect()
    }

    fn sound(&self, probe: usize) -> Seen {
        self.sound.get(probe).copied().unwrap_or(Seen::exactly(0.0))
    }

    /// Two faults at once.
    fn two(&self, readings: &[Reading], at: &[usize]) -> Field {
        let noise = self.search.noise;
        let kinds = kinds(&self.singles, readings, (at, &self.sound), noise);
        let pairs = pairs(&kinds);
        let from = (self.search.analysis, self.lasting());
        let both = |one: usize, other: usize| -> Vec<Suspect> {
            [one, other].iter().filter_map(|at| self.singles.sets.get(*at)).flatten().copied().collect()
        };
        let members = |kind: usize| kinds.get(kind).map_or(&[][..], |kind| kind.members.as_slice());
        let sets = pairs.iter().map(|(one, other)| {
            let first = members(*one).first().copied();
            let second = members(*other).iter().copied().find(|second| Some(*second) != first);
            first.zip(second).map_or_else(Vec::new, |(first, second)| both(first, second))
        });
        let tried = Field::new(from, sets.collect(), &self.probes, &self.sound);
        let mut sets = Vec::new();
        for (place, set, shown) in tried.known() {
            let weight = weigh(readings, at.iter().map(|probe| shown.at(*probe, self.sound(*probe))), noise, self.range);
            let Some((one, other)) = pairs.get(place).filter(|_| !set.is_empty() && weight.against.is_none()) else { continue };
            for first in members(*one) {
                let seconds = members(*other).iter().filter(|second| one != other || *second > first);
                sets.extend(seconds.map(|second| both(*first, *second)));
            }
        }
        sets.truncate(MOST_PAIRS);
        Field::new(from, sets, &self.probes, &self.sound)
    }

    /// The causes of a field that explain all readings, or all where none does.
    fn left<'f>(&self, field: &'f Field, readings: &[Reading], at: &[usize]) -> Left<'f> {
        let noise = self.search.noise;
        let weight =
            |shown: &Shown| weigh(readings, at.iter().map(|probe| shown.at(*probe, self.sound(*probe))), noise, self.range);
        let mut causes: Vec<_> = field.known().map(|(_, set, shown)| (set, shown, weight(shown))).collect();
        let fits = causes.iter().any(|(.., weight)| weight.against.is_none());
        if fits {
            causes.retain(|(.., weight)| weight.against.is_none());
        }
        let best = causes.iter().map(|(.., weight)| weight.log).fold(f64::NEG_INFINITY, f64::max);
        let likely = |at: &usize| causes.get(*at).map_or(0.0, |(set, _, weight)| often(set) * (weight.log - best).exp());
        let total: f64 = (0..causes.len()).map(|at| likely(&at)).sum();
        let shown: Vec<&Shown> = causes.iter().map(|(_, shown, _)| *shown).collect();
        let groups = groups(&shown, &self.probes, &self.sound, noise);
        let share = |members: &Vec<usize>| members.iter().map(likely).sum::<f64>() / total;
        let mut groups: Vec<(f64, Vec<usize>)> = groups.into_iter().map(|members| (share(&members), members)).collect();
        groups.sort_by(|(a, one), (b, other)| b.total_cmp(a).then(one.cmp(other)));
        Left { causes, groups, fits }
    }

    fn proposals(&self, left: &Left<'_>, readings: &[Reading], most: usize) -> Vec<Proposal> {
        let is_taken = |probe: Probe| readings.iter().any(|reading| reading.probe == probe);
        let reaches = self.reaches.iter().enumerate().filter(|(_, reach)| !is_taken(reach.probe));
        let answers = reaches.map(|(at, reach)| {
            let of = |(share, members): &(f64, Vec<usize>)| {
                let (_, shown, _) = left.causes.get(*members.first()?)?;
                Some((shown.at(at, self.sound(at)), *share))
            };
            (reach, left.groups.iter().filter_map(of).collect())
        });
        proposals(answers, self.search.noise, most)
    }

    fn said(&self, left: &Left<'_>, readings: &[Reading], at: &[usize], two: bool) -> Diagnosis {
        let proposals = self.proposals(left, readings, MOST_PROPOSALS);
        let first = left.groups.first().map_or(&[][..], |(_, members)| members.as_slice());
        let first: Vec<(&[Suspect], &Shown)> =
            first.iter().filter_map(|at| left.causes.get(*at)).map(|(set, shown, _)| (*set, *shown)).collect();
        // In front of a design as it should be nobody measures.
        let is_asked = left.fits && first.iter().all(|(set, _)| !set.is_empty());
        let taken: Vec<Probe> = readings.iter().map(|reading| reading.probe).collect();
        let decides = if is_asked { self.decides(&first, &taken) } else { None };
        let causes: Vec<Cause> = left.groups.iter().map(|group| self.cause(left, group, at, &proposals)).collect();
        let verdict = match causes.first() {
            Some(first) if left.fits && (first.share >= SURE || causes.len() == 1) => {
                if first.as_designed {
                    Verdict::AsDesigned
                } else {
                    Verdict::Found
                }
            }
            Some(_) if left.fits => Verdict::Several,
            Some(_) | None => Verdict::Nothing,
        };
        Diagnosis {
            verdict,
            two,
            causes,
            proposals,
            decides,
            sound: at.iter().map(|probe| self.sound(*probe)).collect(),
            tried: self.singles.sets.iter().filter(|set| !set.is_empty()).count(),
            unknown: self.singles.shown.iter().filter(|shown| !shown.is_known).count(),
            left_out: self.left_out,
        }
    }

    fn cause(&self, left: &Left<'_>, (share, members): &(f64, Vec<usize>), at: &[usize], proposals: &[Proposal]) -> Cause {
        let analysis = self.search.analysis;
        let of = |at: &usize| left.causes.get(*at);
        let first = members.first().and_then(of);
        let seen = |probe: usize| first.map_or_else(|| self.sound(probe), |(_, shown, _)| shown.at(probe, self.sound(probe)));
        let named = |set: &[Suspect]| set.iter().map(|suspect| suspect.named(analysis)).collect();
        let sets = members.iter().filter_map(of).map(|(set, ..)| *set).filter(|set| !set.is_empty());
        let name = |fuse: &ElementId| analysis.model().element_name(*fuse);
        let predicts = proposals.iter().filter_map(|proposal| self.probes.iter().position(|known| *known == proposal.probe));
        let against = first.and_then(|(.., weight)| weight.against);
        Cause {
            alike: sets.map(named).collect(),
            opens: first.map(|(_, shown, _)| shown.opens.iter().map(name).collect()).unwrap_or_default(),
            share: *share,
            against: against.and_then(|(reading, _)| Some((reading, seen(*at.get(reading)?)))),
            predicts: predicts.map(seen).collect(),
            as_designed: members.iter().filter_map(of).any(|(set, ..)| set.is_empty()),
        }
    }
}

/// How often these faults are there at once, beside a broken conductor alone.
fn often(set: &[Suspect]) -> f64 {
    let all: f64 = set.iter().map(|suspect| suspect.often).product();
    if set.len() > 1 { all * TWICE } else { all }
}
