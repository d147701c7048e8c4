//! What a line of a picture is made of: what is on the way, what takes the current, what gives it.

use super::Letter;
use crate::{
    Analysis,
    electrical::{ModeState, fuses::fuse::kind_of},
    model::{ElementId, ElementKind, Model, PointId, PointKind, WireId},
    network::{Edge, EdgeId, EdgeRole, Network},
    quantity::{Ampere, AmpereHour, Ohm, SquareMillimetre, Volt},
    text::Span,
    vocabulary::LoadKind,
};

/// On which side of a load something is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Between the source and the load.
    Feed,
    /// Between the load and the other pole of the source.
    Return,
}

/// What something on the way is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PieceKind {
    /// A fuse; `fitted` is false for an empty holder.
    Fuse {
        /// Whether a fuse is in the holder.
        fitted: bool,
    },
    /// The contact of a switch.
    Switch,
    /// A contact of a switch of several positions.
    Selector,
    /// The contact of a relay that closes when its coil is energised.
    MakeContact,
    /// The contact of a relay that opens when its coil is energised.
    BreakContact,
    /// A service disconnect or main switch.
    Disconnect,
    /// A diode.
    Diode,
    /// A resistor in the line.
    Resistor(Ohm),
    /// A resistor that measures a current.
    Shunt(Ohm),
}

/// Something on the way of a current.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// `fuse-box.F4`.
    pub name: String,
    /// Where it is written.
    pub span: Span,
    /// What it is.
    pub kind: PieceKind,
    /// On which side of the load.
    pub side: Side,
    /// Its rated current, where the design gives one.
    pub rating: Option<Ampere>,
    /// The current through it in the mode.
    pub amps: Ampere,
    /// Whether it lets current through in the mode; `None` where no mode was computed.
    pub closed: Option<bool>,
}

/// One stretch of a way.
#[derive(Debug, Clone, PartialEq)]
pub enum Part {
    /// One thing.
    One(Piece),
    /// Sources side by side, which raise the voltage of the way; usually one.
    Sources(Vec<Source>),
    /// The way goes on at this letter too.
    Tap(Letter),
    /// Several ways side by side, each of one thing or more.
    Beside(Vec<Vec<Part>>),
}

/// What takes current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ConsumerKind {
    /// A load; `None` where the design does not say of what kind.
    Load(Option<LoadKind>),
    /// The coil of a relay.
    Coil,
    /// The input of a converter; its output is a source of the same name, at this letter.
    Converter {
        /// The letter at its output; `None` where nothing is shown there.
        letter: Option<Letter>,
        /// Its output voltage.
        output: Volt,
        /// It takes alternating current.
        takes_ac: bool,
        /// It gives alternating current.
        gives_ac: bool,
    },
    /// A resistor between feed and return.
    Resistor(Ohm),
}

/// Something that takes current.
#[derive(Debug, Clone, PartialEq)]
pub struct Consumer {
    /// `coolant-pump.motor`.
    pub name: String,
    /// The device or loom that holds it.
    pub holder: String,
    /// Where it is written.
    pub span: Span,
    /// What it is.
    pub kind: ConsumerKind,
    /// What it takes in the mode.
    pub amps: Ampere,
    /// Whether it runs in the mode; `None` where no mode was computed.
    pub runs: Option<bool>,
}

/// What a source is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SourceKind {
    /// Cells: a battery, or a source that does not limit itself.
    Cells,
    /// A source that limits itself: a charger, a generator.
    Limited,
    /// An alternating source.
    Alternating,
    /// The output of a converter; its input is at this letter.
    Converter {
        /// The letter at its input; `None` where its input is not shown.
        letter: Option<Letter>,
        /// Its input is alternating.
        rectifies: bool,
    },
}

/// Something that gives current.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    /// `aux-battery.cells`.
    pub name: String,
    /// The device or loom that holds it.
    pub holder: String,
    /// Where it is written.
    pub span: Span,
    /// What it is.
    pub kind: SourceKind,
    /// Its open voltage.
    pub volts: Volt,
    /// Its internal resistance, where given.
    pub resistance: Option<Ohm>,
    /// The current to which it limits itself.
    pub limit: Option<Ampere>,
    /// Its charge, where given.
    pub capacity: Option<AmpereHour>,
    /// What it gives in the mode; negative while it is charged.
    pub amps: Ampere,
    /// Whether it is there in the mode; `None` where no mode was computed.
    pub on: Option<bool>,
}

/// A wire on a way.
#[derive(Debug, Clone, PartialEq)]
pub struct WireOf {
    /// `front.107`.
    pub name: String,
    /// Its cross-section.
    pub size: Option<SquareMillimetre>,
}

impl Part {
    /// The things of a way, the ways side by side one after the other.
    #[must_use]
    pub fn pieces(parts: &[Self]) -> Vec<&Piece> {
        let mut found = Vec::new();
        let mut waiting: Vec<&Self> = parts.iter().rev().collect();
        while let Some(part) = waiting.pop() {
            match part {
                Self::One(piece) => found.push(piece),
                Self::Sources(_) | Self::Tap(_) => {}
                Self::Beside(lanes) => waiting.extend(lanes.iter().rev().flat_map(|lane| lane.iter().rev())),
            }
        }
        found
    }
}

impl ConsumerKind {
    /// A word for those of one sort, which share a row.
    pub(super) fn sort(self) -> u8 {
        match self {
            Self::Load(None) => 0,
            Self::Load(Some(LoadKind::Lamp)) => 1,
            Self::Load(Some(LoadKind::Motor)) => 2,
            Self::Load(Some(LoadKind::Starter)) => 3,
            Self::Load(Some(LoadKind::Heater)) => 4,
            Self::Load(Some(LoadKind::Coil)) => 5,
            Self::Load(Some(LoadKind::Electronics)) => 6,
            Self::Load(Some(LoadKind::Sensor)) => 7,
            Self::Coil => 8,
            Self::Converter { .. } => 9,
            Self::Resistor(_) => 10,
        }
    }
}

/// What a way piece is by the role of its edge; `None` for all that is not on a way.
pub(super) fn piece_kind(model: &Model, edge: &Edge) -> Option<PieceKind> {
    let element = edge.element()?;
    let ohms = || model[element].kind.resistance().unwrap_or_default();
    match edge.role {
        EdgeRole::Fuse => Some(PieceKind::Fuse { fitted: true }),
        EdgeRole::Switch { .. } if model[element].kind.throw().is_some() => Some(PieceKind::Selector),
        EdgeRole::Switch { .. } => Some(PieceKind::Switch),
        EdgeRole::Disconnect => Some(PieceKind::Disconnect),
        EdgeRole::MakeContact => Some(PieceKind::MakeContact),
        EdgeRole::BreakContact => Some(PieceKind::BreakContact),
        EdgeRole::Diode => Some(PieceKind::Diode),
        EdgeRole::Resistor => Some(PieceKind::Resistor(ohms())),
        EdgeRole::Shunt => Some(PieceKind::Shunt(ohms())),
        EdgeRole::Metal(_) | EdgeRole::Interlock | EdgeRole::Coil | EdgeRole::Source { .. } => None,
        EdgeRole::ConverterInput | EdgeRole::ConverterOutput { .. } | EdgeRole::Load | EdgeRole::Capacitor => None,
    }
}

/// The rated current of what is on the way.
fn rating(model: &Model, element: ElementId) -> Option<Ampere> {
    match &model[element].kind {
        ElementKind::Fuse { .. } => kind_of(model, element)?.rating.map(|at| at.value),
        ElementKind::Switch { current, .. } | ElementKind::Relay { current, .. } | ElementKind::Disconnect { current, .. } => {
            current.map(|at| at.value)
        }
        ElementKind::Source { .. } | ElementKind::Load { .. } | ElementKind::Resistor(_) | ElementKind::Capacitor(_) => None,
        ElementKind::Diode(_) | ElementKind::Link { .. } | ElementKind::Converter { .. } | ElementKind::Interlock { .. } => None,
    }
}

/// Makes pieces, consumers and sources of the elements of a network in one mode.
#[derive(Clone, Copy)]
pub(super) struct Maker<'a> {
    pub(super) analysis: &'a Analysis,
    pub(super) mode: Option<&'a ModeState>,
}

impl<'a> Maker<'a> {
    pub(super) fn model(&self) -> &'a Model {
        self.analysis.model()
    }

    fn network(&self) -> &'a Network {
        self.analysis.network()
    }

    /// Whether the voltage at a point alternates.
    pub(super) fn is_ac(&self, point: PointId) -> bool {
        self.analysis.electrical().domains().of(point).is_some_and(|domain| self.model()[domain].ac)
    }

    /// The current in an edge, with its direction.
    pub(super) fn amps(&self, edge: EdgeId) -> Ampere {
        self.mode.map_or(Ampere::ZERO, |mode| mode.amps(edge))
    }

    /// A piece of an edge.
    pub(super) fn piece(&self, id: EdgeId, side: Side) -> Option<Piece> {
        let edge = &self.network()[id];
        let element = edge.element()?;
        let model = self.model();
        Some(Piece {
            name: model.element_name(element),
            span: model[element].span,
            kind: piece_kind(model, edge)?,
            side,
            rating: rating(model, element),
            amps: self.amps(id).abs(),
            closed: self.mode.map(|mode| mode.conducts(id)),
        })
    }

    /// The piece of a holder without a fuse.
    pub(super) fn vacant(&self, element: ElementId) -> Piece {
        let model = self.model();
        Piece {
            name: model.element_name(element),
            span: model[element].span,
            kind: PieceKind::Fuse { fitted: false },
            side: Side::Feed,
            rating: rating(model, element),
            amps: Ampere::ZERO,
            closed: self.mode.map(|_| false),
        }
    }

    /// What an edge takes; `None` for one that takes nothing.
    pub(super) fn consumer(&self, id: EdgeId, letter: Option<Letter>) -> Option<Consumer> {
        let edge = &self.network()[id];
        let element = edge.element()?;
        let model = self.model();
        let kind = match (edge.role, &model[element].kind) {
            (EdgeRole::Load, ElementKind::Load { kind, .. }) => ConsumerKind::Load(*kind),
            (EdgeRole::Coil, _) => ConsumerKind::Coil,
            (EdgeRole::ConverterInput, ElementKind::Converter { output, .. }) => {
                // Of the points of a converter those of its output are the last.
                let gives_ac = model[element].points.last().is_some_and(|point| self.is_ac(*point));
                ConsumerKind::Converter { letter, output: *output, takes_ac: self.is_ac(edge.a), gives_ac }
            }
            (EdgeRole::Resistor, ElementKind::Resistor(resistor)) => ConsumerKind::Resistor(resistor.ohm.value),
            _ => return None,
        };
        let runs = self.mode.map(|mode| match model[element].kind.modes() {
            Some(modes) => modes.has(mode.id),
            None => mode.amps(id).abs().get() > FLOWS,
        });
        Some(Consumer {
            name: model.element_name(element),
            holder: model.owner_name(model[element].owner).to_owned(),
            span: model[element].span,
            kind,
            amps: self.amps(id).abs(),
            runs,
        })
    }

    /// What an edge gives; `None` for one that gives nothing.
    pub(super) fn source(&self, id: EdgeId, letter: Option<Letter>) -> Option<Source> {
        let edge = &self.network()[id];
        let element = edge.element()?;
        let model = self.model();
        let item = &model[element];
        let alternating = match edge.role {
            // Of a converter its input says what it is made of, and that is at the first of its points; of a source its own voltage.
            EdgeRole::ConverterOutput { .. } => item.points.first().is_some_and(|point| self.is_ac(*point)),
            _ => self.is_ac(edge.b),
        };
        let (kind, capacity) = match &item.kind {
            ElementKind::Source { capacity, .. } if !alternating => {
                let kind = if item.kind.limit().is_some() { SourceKind::Limited } else { SourceKind::Cells };
                (kind, capacity.map(|at| at.value))
            }
            ElementKind::Source { .. } => (SourceKind::Alternating, None),
            ElementKind::Converter { .. } => (SourceKind::Converter { letter, rectifies: alternating }, None),
            _ => return None,
        };
        let resistance = match &item.kind {
            ElementKind::Source { resistance, .. } | ElementKind::Converter { resistance, .. } => resistance.map(|at| at.value),
            _ => None,
        };
        Some(Source {
            name: model.element_name(element),
            holder: model.owner_name(item.owner).to_owned(),
            span: item.span,
            kind,
            volts: item.kind.open_voltage().unwrap_or_default(),
            resistance,
            limit: item.kind.limit(),
            capacity,
            amps: self.amps(id),
            on: self.mode.and_then(|mode| Some(item.kind.modes()?.has(mode.id))),
        })
    }

    /// A wire with its size.
    pub(super) fn wire(&self, wire: WireId) -> WireOf {
        let model = self.model();
        WireOf { name: model.wire_name(wire), size: model[wire].size.map(|size| size.value) }
    }

    /// Whether a point belongs to a device and not to a loom.
    pub(super) fn is_of_device(&self, point: PointId) -> bool {
        match self.model()[point].kind {
            PointKind::Pin(_) | PointKind::Stud(_) | PointKind::Node(_) => true,
            PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => false,
        }
    }
}

/// Currents below this, in ampere, are leaks and rounding.
pub(super) const FLOWS: f64 = 1e-6;
