//! The search for what is wrong in a mode: what is tried, what each fault shows.

use super::{
    access::{Reach, reaches},
    field::{Field, sound},
    probe::{Probe, Seen},
    read::{Misread, Reader, Reading},
    reference::Grounds,
    scope::{SMALL, Scope},
    suspect::{NamedFault, suspects},
};
use crate::{
    analysis::Analysis,
    electrical::single_faults::{Fault, Lasting},
    inspect::Names,
    model::{ModeId, PointId},
    network::EdgeId,
    quantity::Ratio,
    standards::searching,
};

/// Range of what can be read where the design has no higher figure: volts, amperes or ohms.
const LEAST_RANGE: f64 = 10.0;

/// A design in one mode in which something does not work.
#[derive(Debug)]
pub struct Search<'a> {
    pub(super) analysis: &'a Analysis,
    pub(super) lasting: Lasting<'a>,
    pub(super) noise: f64,
    /// Faults up to which all are tried.
    most: usize,
}

/// What may be wrong, and what each fault shows wherever probes reach and at the readings.
#[derive(Debug)]
pub struct Weighed<'s> {
    pub(super) search: &'s Search<'s>,
    /// What the readings hang on, in a large design.
    near: Option<Lasting<'s>>,
    pub(super) reaches: Vec<Reach>,
    /// Those of the reaches, then those of readings elsewhere.
    pub(super) probes: Vec<Probe>,
    pub(super) sound: Vec<Seen>,
    /// Every single fault that is tried, and none.
    pub(super) singles: Field,
    /// The range of what can be read.
    pub(super) range: f64,
    /// Faults that are too far away to be tried.
    pub(super) left_out: usize,
}

/// Where something is measured or seen, by the names that findings give.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct PlaceNames {
    /// A point, a conductor, a load.
    pub at: String,
    /// The point at which the other lead is; empty where there is none.
    pub against: String,
}

impl<'a> Search<'a> {
    /// The search in a mode; `None` for a mode that was not computed. `noise` is the error of the readings, where it is said.
    #[must_use]
    pub fn new(analysis: &'a Analysis, mode: ModeId, noise: Option<Ratio>) -> Option<Self> {
        let lasting = analysis.electrical().lasting_faults(mode, &[])?;
        Some(Self { analysis, lasting, noise: noise.unwrap_or(searching::noise().value).get(), most: SMALL })
    }

    /// The same search that tries all faults up to so many, and beyond only those that can have to do with the readings.
    #[must_use]
    pub fn trying(self, most: usize) -> Self {
        Self { most, ..self }
    }

    /// Whether there are too many faults to try them all: only those that can have to do with readings are then, so there must be some.
    #[must_use]
    pub fn is_large(&self) -> bool {
        suspects(self.analysis, self.lasting.rest()).len() > self.most
    }

    /// The error of a reading, as a share of it.
    #[must_use]
    pub const fn noise(&self) -> f64 {
        self.noise
    }

    /// Reads readings as people write them, `PLACE=VALUE`; `against` is where the black lead is, unless a reading says otherwise: the ground
    /// of each circuit where it is not said.
    #[must_use]
    pub fn read(&self, texts: &[String], against: Option<PointId>) -> Vec<Result<Reading, Misread>> {
        let grounds = Grounds::new(self.analysis, self.lasting.rest());
        let reader = Reader { analysis: self.analysis, names: Names::new(self.analysis.model()), grounds, against };
        texts.iter().map(|text| reader.read(text)).collect()
    }

    /// Where a probe is.
    #[must_use]
    pub fn place(&self, probe: Probe) -> PlaceNames {
        let (model, network) = (self.analysis.model(), self.analysis.network());
        let of_edge = |edge: EdgeId| match (network[edge].wire(), network[edge].element()) {
            (Some(wire), _) => model.wire_name(wire),
            (None, Some(element)) => model.element_name(element),
            (None, None) => model.point_name(network[edge].a),
        };
        let (at, against) = match probe {
            Probe::Volts { point, against } => (model.point_name(point), model.point_name(against)),
            Probe::Ohms { one, other } => (model.point_name(one), model.point_name(other)),
            Probe::Amps(edge) | Probe::Works(edge) => (of_edge(edge), String::new()),
        };
        PlaceNames { at, against }
    }

    /// What each fault shows wherever probes reach, and at these readings. In a large design the faults are those that can have to do with
    /// the readings, and the places those that these move.
    ///
    /// Cost: a few passes over its piece of the network for each fault.
    #[must_use]
    pub fn weighed(&self, readings: &[Reading]) -> Weighed<'_> {
        let (analysis, rest) = (self.analysis, self.lasting.rest());
        let (mut suspects, mut reaches) = (suspects(analysis, rest), reaches(analysis, &Grounds::new(analysis, rest)));
        let all = suspects.len();
        let mut near = None;
        if all > self.most && !readings.is_empty() {
            let scope = Scope::new(&self.lasting, analysis.network(), readings, &suspects);
            suspects.retain(|suspect| scope.has_fault(suspect));
            reaches.retain(|reach| scope.has_probe(reach.probe));
            near = Some(scope.lasting);
        }
        let lasting = near.as_ref().unwrap_or(&self.lasting);
        let left_out = all - suspects.len();
        let mut probes: Vec<Probe> = reaches.iter().map(|reach| reach.probe).collect();
        for reading in readings {
            if !probes.contains(&reading.probe) {
                probes.push(reading.probe);
            }
        }
        let sound = sound((analysis, lasting), &probes);
        let sets = suspects.into_iter().map(|suspect| vec![suspect]).chain([Vec::new()]).collect();
        let singles = Field::new((analysis, lasting), sets, &probes, &sound);
        let figures = singles.shown.iter().flat_map(|shown| shown.differs.iter().map(|(_, seen)| seen)).chain(&sound);
        let figures = figures.map(|seen| seen.low.abs()).chain(readings.iter().map(|reading| reading.value.abs()));
        let range = figures.filter(|value| value.is_finite()).fold(LEAST_RANGE, f64::max);
        Weighed { search: self, near, reaches, probes, sound, singles, range, left_out }
    }
}

impl Weighed<'_> {
    /// The state in which faults are tried.
    pub(super) fn lasting(&self) -> &Lasting<'_> {
        self.near.as_ref().unwrap_or(&self.search.lasting)
    }

    /// The faults that are tried, in their order.
    #[must_use]
    pub fn faults(&self) -> Vec<(Fault, NamedFault)> {
        let faults = self.singles.sets.iter().filter_map(|set| set.first());
        faults.map(|suspect| (suspect.fault, suspect.named(self.search.analysis))).collect()
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
            Some(fault) => self.singles.shown.get(fault).filter(|shown| shown.is_known).map(|shown| shown.at(at, sound)),
        }
    }
}
