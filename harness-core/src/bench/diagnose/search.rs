//! The search for what is wrong: causes weighed by readings, and what to measure next.

use super::{
    access::{Reach, reaches},
    groups::groups,
    next::{Proposal, proposals},
    probe::{Probe, Seen},
    read::{Misread, Reader, Reading},
    reference::Grounds,
    shows::{Shown, shown, sound},
    suspect::{CauseKind, Suspect, suspects},
    weigh::{Weight, weigh},
};
use crate::{
    analysis::Analysis,
    electrical::single_faults::Lasting,
    inspect::Names,
    model::{ElementId, ModeId, PointId},
    quantity::Ratio,
    standards::searching,
};

/// Proposals that are given.
const MOST_PROPOSALS: usize = 3;
/// Share of one group from which on it is the one.
const SURE: f64 = 0.95;
/// Range of what can be read where the design has no higher figure: volts, amperes or ohms.
const LEAST_RANGE: f64 = 10.0;

/// A design in one mode in which something does not work.
#[derive(Debug)]
pub struct Search<'a> {
    analysis: &'a Analysis,
    lasting: Lasting<'a>,
    noise: f64,
}

/// What may be wrong, and what each cause shows wherever probes reach and at the readings.
#[derive(Debug)]
pub struct Weighed<'s> {
    search: &'s Search<'s>,
    suspects: Vec<Suspect>,
    reaches: Vec<Reach>,
    /// Those of the reaches, then those of readings elsewhere.
    probes: Vec<Probe>,
    sound: Vec<Seen>,
    shown: Vec<Shown>,
    /// The highest figure of each kind of probe.
    most: f64,
}

/// What readings come to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Everything is as it should be in this mode.
    AsDesigned,
    /// One cause, or several that nobody can tell apart.
    Found,
    /// Several causes explain all readings.
    Several,
    /// Nothing alone explains them; two faults at once do.
    Two,
    /// Nothing in the design explains them.
    Nothing,
}

/// A cause, or several that no reading at a place that probes reach can tell apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    /// What each is: a kind and the names of what has it; two of them where two faults are there at once. Empty for a design as it should be.
    pub alike: Vec<Vec<(CauseKind, Vec<String>)>>,
    /// Fuses that have opened because of it.
    pub opens: Vec<String>,
    /// Its share of all that may be, from 0 to 1.
    pub share: f64,
    /// The reading that contradicts it, by its place, with what should be read; `None` where it explains all.
    pub against: Option<(usize, Seen)>,
    /// What it shows at the readings proposed, in their order.
    pub predicts: Vec<Seen>,
    /// Whether a design without a fault shows the same wherever probes reach.
    pub as_designed: bool,
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnosis {
    /// What it comes to.
    pub verdict: Verdict,
    /// The causes, the likeliest first: those that explain all readings; where none does, those nearest to it.
    pub causes: Vec<Cause>,
    /// What is worth measuring next, the best first; none where nothing distinguishes what is left.
    pub proposals: Vec<Proposal>,
    /// Faults that were tried.
    pub tried: usize,
    /// Faults of which nothing is known: no state of rest follows from them.
    pub unknown: usize,
}

impl<'a> Search<'a> {
    /// The search in a mode; `None` for a mode that was not computed. `noise` is the error of the readings, where it is said.
    #[must_use]
    pub fn new(analysis: &'a Analysis, mode: ModeId, noise: Option<Ratio>) -> Option<Self> {
        let lasting = analysis.electrical().lasting_faults(mode, &[])?;
        Some(Self { analysis, lasting, noise: noise.unwrap_or(searching::noise().value).get() })
    }

    /// Reads readings as people write them, `PLACE=VALUE`; `against` is where the black lead is, unless a reading says otherwise: the ground
    /// of each circuit where it is not said.
    #[must_use]
    pub fn read(&self, texts: &[String], against: Option<PointId>) -> Vec<Result<Reading, Misread>> {
        let grounds = Grounds::new(self.analysis, self.lasting.rest());
        let reader = Reader { analysis: self.analysis, names: Names::new(self.analysis.model()), grounds, against };
        texts.iter().map(|text| reader.read(text)).collect()
    }

    /// What each cause shows wherever probes reach, and at these readings.
    ///
    /// Cost: a few passes over its piece of the network for each fault.
    #[must_use]
    pub fn weighed(&self, readings: &[Reading]) -> Weighed<'_> {
        let (analysis, rest) = (self.analysis, self.lasting.rest());
        let suspects = suspects(analysis, rest);
        let reaches = reaches(analysis, &Grounds::new(analysis, rest));
        let mut probes: Vec<Probe> = reaches.iter().map(|reach| reach.probe).collect();
        for reading in readings {
            if !probes.contains(&reading.probe) {
                probes.push(reading.probe);
            }
        }
        let sound = sound(analysis, &self.lasting, &probes);
        let sets: Vec<&[Suspect]> = suspects.chunks(1).collect();
        let shown = shown((analysis, &self.lasting), &sets, &probes, &sound);
        let figures = shown.iter().flat_map(|shown| shown.differs.iter().map(|(_, seen)| seen)).chain(&sound);
        let most = figures.map(|seen| seen.low.abs()).filter(|value| value.is_finite()).fold(LEAST_RANGE, f64::max);
        Weighed { search: self, suspects, reaches, probes, sound, shown, most }
    }
}

impl Weighed<'_> {
    /// The faults that are tried, by kind and name, in their order.
    pub fn suspects(&self) -> impl ExactSizeIterator<Item = (CauseKind, Vec<String>)> {
        self.suspects.iter().map(|suspect| (suspect.kind, suspect.names(self.search.analysis)))
    }

    /// What can be measured or seen with everything mated.
    pub fn reached(&self) -> impl Iterator<Item = Probe> {
        self.reaches.iter().map(|reach| reach.probe)
    }

    /// What a fault, by its place, shows at a probe that is reached; `None` where nothing is known of it. The design without a fault for no fault.
    #[must_use]
    pub fn shows(&self, fault: Option<usize>, probe: Probe) -> Option<Seen> {
        let at = self.probes.iter().position(|known| *known == probe)?;
        let sound = *self.sound.get(at)?;
        match fault {
            None => Some(sound),
            Some(fault) => self.shown.get(fault).filter(|shown| shown.is_known).map(|shown| shown.at(at, sound)),
        }
    }

    /// What these readings come to; all are of those for which it was made, or of what is reached.
    ///
    /// Cost: faults by readings, and a comparison of the faults that are left with each other.
    #[must_use]
    pub fn diagnose(&self, readings: &[Reading]) -> Diagnosis {
        let at: Vec<usize> = readings
            .iter()
            .map(|reading| self.probes.iter().position(|known| *known == reading.probe).unwrap_or(usize::MAX))
            .collect();
        let noise = self.search.noise;
        let none = Shown { is_known: true, ..Shown::default() };
        // The design without a fault is one of the causes; its place is behind all others.
        let known: Vec<(usize, &Shown)> =
            self.shown.iter().enumerate().filter(|(_, shown)| shown.is_known).chain([(self.suspects.len(), &none)]).collect();
        let sound = |probe: usize| self.sound.get(probe).copied().unwrap_or(Seen::exactly(0.0));
        let weights: Vec<Weight> = known
            .iter()
            .map(|(_, shown)| weigh(readings, at.iter().map(|probe| shown.at(*probe, sound(*probe))), noise, |_| self.most))
            .collect();
        let fits = weights.iter().any(|weight| weight.against.is_none());
        // Without one that fits the nearest are shown.
        let left: Vec<usize> =
            (0..known.len()).filter(|at| !fits || weights.get(*at).is_some_and(|weight| weight.against.is_none())).collect();
        let often = |at: usize| {
            let suspect = known.get(at).and_then(|(place, _)| self.suspects.get(*place));
            suspect.map_or(1.0, |suspect| suspect.often)
        };
        let best = left.iter().filter_map(|at| weights.get(*at)).map(|weight| weight.log).fold(f64::NEG_INFINITY, f64::max);
        let likely = |at: usize| weights.get(at).map_or(0.0, |weight| often(at) * (weight.log - best).exp());
        let total: f64 = left.iter().map(|at| likely(*at)).sum();
        let shown: Vec<&Shown> = left.iter().filter_map(|at| known.get(*at)).map(|(_, shown)| *shown).collect();
        let mut grouped: Vec<(f64, Vec<usize>)> = groups(&shown, &self.probes, &self.sound, noise)
            .into_iter()
            .map(|group| {
                let members: Vec<usize> = group.into_iter().filter_map(|place| left.get(place)).copied().collect();
                (members.iter().map(|at| likely(*at)).sum::<f64>() / total, members)
            })
            .collect();
        grouped.sort_by(|(a, one), (b, other)| b.total_cmp(a).then(one.cmp(other)));
        let taken: Vec<Probe> = readings.iter().map(|reading| reading.probe).collect();
        let proposals = self.proposals(&known, &grouped, &taken);
        let causes: Vec<Cause> =
            grouped.iter().map(|(share, members)| self.cause(&known, &weights, (*share, members), (&at, &proposals))).collect();
        let verdict = match causes.first() {
            _ if !fits => Verdict::Nothing,
            Some(first) if first.share >= SURE || proposals.is_empty() && causes.len() == 1 => {
                if first.as_designed {
                    Verdict::AsDesigned
                } else {
                    Verdict::Found
                }
            }
            _ => Verdict::Several,
        };
        let unknown = self.shown.iter().filter(|shown| !shown.is_known).count();
        Diagnosis { verdict, causes, proposals, tried: self.suspects.len(), unknown }
    }

    fn proposals(&self, known: &[(usize, &Shown)], grouped: &[(f64, Vec<usize>)], taken: &[Probe]) -> Vec<Proposal> {
        let reaches = self.reaches.iter().enumerate().filter(|(_, reach)| !taken.contains(&reach.probe));
        let answers = reaches.filter_map(|(at, reach)| {
            let sound = *self.sound.get(at)?;
            let of = |(share, members): &(f64, Vec<usize>)| {
                let (_, shown) = known.get(*members.first()?)?;
                Some((shown.at(at, sound), *share))
            };
            Some((reach, grouped.iter().filter_map(of).collect::<Vec<_>>()))
        });
        proposals(answers, self.search.noise, MOST_PROPOSALS)
    }

    fn cause(
        &self,
        known: &[(usize, &Shown)],
        weights: &[Weight],
        (share, members): (f64, &[usize]),
        (at, proposals): (&[usize], &[Proposal]),
    ) -> Cause {
        let analysis = self.search.analysis;
        let first = members.first().copied().unwrap_or_default();
        let shown = known.get(first).map(|(_, shown)| *shown);
        let seen = |probe: usize| Some(shown?.at(probe, *self.sound.get(probe)?));
        let suspects = members.iter().filter_map(|at| known.get(*at)).filter_map(|(place, _)| self.suspects.get(*place));
        let alike = suspects.map(|suspect| vec![(suspect.kind, suspect.names(analysis))]).collect();
        let name = |fuse: &ElementId| analysis.model().element_name(*fuse);
        let against = weights.get(first).and_then(|weight| weight.against);
        let predicts =
            proposals.iter().filter_map(|proposal| seen(self.probes.iter().position(|known| *known == proposal.probe)?));
        Cause {
            alike,
            opens: shown.map(|shown| shown.opens.iter().map(name).collect()).unwrap_or_default(),
            share,
            against: against.and_then(|(reading, _)| Some((reading, seen(*at.get(reading)?)?))),
            predicts: predicts.collect(),
            as_designed: members.iter().any(|at| known.get(*at).is_some_and(|(place, _)| *place == self.suspects.len())),
        }
    }
}
