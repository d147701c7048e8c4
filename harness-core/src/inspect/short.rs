//! Shorts: what the worst one does to a conductor, what a fuse must break, what flows at a point.

use super::{Against, Margin};
use crate::{
    analysis::Analysis,
    electrical::{
        conductors::conductor::open_insulation,
        faults::{Exposure, Striking, Verdict},
    },
    model::{ElementId, Model, PointId, WireId},
    quantity::{Ampere, Celsius, Second},
    standards::{Source, Sourced, insulation::Insulation, short_circuit::copper_melts},
};

/// How a conductor comes through its worst short.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// Its insulation is overheated before the current ends, or the current never ends.
    Burns,
    /// It would be, but for this fuse, of which no operating times are known.
    Unknown(String),
    /// It withstands it.
    Stands,
}

/// The short that is worst for a conductor.
#[derive(Debug, Clone, PartialEq)]
pub struct Short {
    /// The conductor.
    pub wire: String,
    /// How it comes through.
    pub outcome: Outcome,
    /// The mode in which it flows.
    pub mode: String,
    /// The two points that are shorted.
    pub points: [String; 2],
    /// The current in the conductor at first.
    pub amps: Ampere,
    /// The fuse that opens first; `None` if none is sure to open.
    pub fuse: Option<String>,
    /// When that fuse has opened at the latest, with the source of its time.
    pub opens: Option<Sourced<Second>>,
    /// When the current has ended at the latest; `None`: it may flow for ever.
    pub ends: Option<Second>,
    /// How long the conductor withstands it; `None`: for ever.
    pub stands: Option<Second>,
    /// The temperature from which it starts.
    pub start: Celsius,
    /// The temperature that it reaches.
    pub reached: Celsius,
    /// The temperature that its insulation withstands for as long as the current flows.
    pub limit: Sourced<Celsius>,
    /// The material that is taken for that: the design gives none, and the rating allows for a better one.
    pub taken: Option<Insulation>,
    /// How many times as long it would withstand what flows; `None`: for ever.
    pub ratio: Option<f64>,
}

impl Short {
    /// Whether the copper melts before the current ends: what it reaches is then a figure and not a temperature.
    #[must_use]
    pub fn melts(&self) -> bool {
        copper_melts(self.reached)
    }
}

/// The largest current that a fuse may have to break.
#[derive(Debug, Clone, PartialEq)]
pub struct Duty {
    /// The current.
    pub amps: Ampere,
    /// The mode in which it flows.
    pub mode: String,
    /// The two points that are shorted.
    pub points: [String; 2],
    /// What the fuse breaks.
    pub breaks: Option<Sourced<Ampere>>,
}

/// A short at a point in one mode.
#[derive(Debug, Clone, PartialEq)]
pub struct PointShort {
    /// The current through the short.
    pub amps: Ampere,
    /// The fuse that opens first; `None` if none is sure to open.
    pub fuse: Option<String>,
    /// When that fuse has opened at the latest.
    pub opens: Option<Second>,
}

/// The worst short of a wire; `None` where none flows through it past a fuse, or its size or rating is not known.
pub(super) fn of_wire(analysis: &Analysis, wire: WireId) -> Option<Short> {
    let model = analysis.model();
    let exposure: &Exposure = analysis.electrical().short(wire)?;
    Some(Short {
        wire: model.wire_name(wire),
        outcome: match exposure.verdict {
            Verdict::Burns => Outcome::Burns,
            Verdict::Unknown(fuse) => Outcome::Unknown(model.element_name(fuse)),
            Verdict::Stands => Outcome::Stands,
        },
        mode: model.mode_name(exposure.mode).to_owned(),
        points: names(analysis, exposure.short),
        amps: exposure.amps,
        fuse: exposure.opens.map(|(fuse, _)| model.element_name(fuse)),
        opens: exposure.opens.map(|(_, edge)| Sourced { value: edge.time, source: edge.source() }),
        ends: exposure.ends,
        stands: exposure.stands,
        start: exposure.start,
        reached: exposure.reached,
        limit: exposure.limit,
        taken: open_insulation(model, &model[wire]),
        ratio: exposure.margin,
    })
}

impl Short {
    /// The margin between the time that the conductor withstands and the time that the current flows; `None` where nothing
    /// limits the one, or the other is not known.
    pub(super) fn margin(&self) -> Option<Margin> {
        let ratio = match (&self.outcome, self.ratio) {
            (Outcome::Unknown(_), _) => return None,
            (Outcome::Burns, None) => 0.0,
            (_, ratio) => ratio?,
        };
        let lasting = |time: Option<Second>| time.map_or_else(|| "without end".to_owned(), |time| format!("for {time}"));
        Some(
            Margin {
                against: Against::Short,
                figure: format!("{} {}", self.amps, lasting(self.ends)),
                limit: format!("`{}` withstands it {}", self.wire, lasting(self.stands)),
                ratio,
                sources: Vec::new(),
            }
            .from(self.opens.map(|opens| opens.source).into_iter().chain([self.limit.source])),
        )
    }

    /// The sources of its figures.
    pub fn sources(&self) -> impl Iterator<Item = &'static Source> {
        self.opens.map(|opens| opens.source).into_iter().chain([self.limit.source])
    }
}

/// What a fuse may have to break; `None` where nothing feeds it.
pub(super) fn duty(analysis: &Analysis, fuse: ElementId) -> Option<Duty> {
    use crate::electrical::fuses::fuse::{breaking_capacity_of, kind_of};
    let model = analysis.model();
    let duty = analysis.electrical().faults().of_fuse(fuse)?;
    Some(Duty {
        amps: duty.amps,
        mode: model.mode_name(duty.mode).to_owned(),
        points: names(analysis, duty.short),
        breaks: kind_of(model, fuse).and_then(|kind| breaking_capacity_of(model, kind)),
    })
}

impl Duty {
    /// The margin between what the fuse breaks and what it may have to.
    pub(super) fn margin(&self) -> Option<Margin> {
        let breaks = self.breaks?;
        let margin = Margin::between(Against::Breaking, self.amps, breaks.value)?;
        let [point, _] = &self.points;
        Some(margin.said(format!("short at `{point}` in mode `{}`", self.mode), "breaking capacity").from([breaks.source]))
    }
}

/// What a short at a point does in a mode; `None` where nothing flows.
pub(super) fn at_point(model: &Model, mode: &Striking<'_>, point: PointId) -> Option<PointShort> {
    let (strike, _) = mode.strike((point, None))?;
    let stage = strike.stages().first()?;
    Some(PointShort {
        amps: stage.amps,
        fuse: stage.opens.map(|(fuse, _)| model.element_name(fuse)),
        opens: stage.opens.map(|(_, edge)| edge.time),
    })
}

fn names(analysis: &Analysis, (a, b): (PointId, PointId)) -> [String; 2] {
    [analysis.model().point_name(a), analysis.model().point_name(b)]
}
