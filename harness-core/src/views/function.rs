//! A function: everything that the current of one thing runs through, from its source and back to it.
//!
//! The way is that of the mode in which most flows through the thing; where none flows it is what joins it to a source. At each place on the
//! way everything else that is joined there is named with what it leads to: that is what can disturb the function, or be disturbed by it.
//!
//! Cost: a pass over the edges for the mode, and what is around the way.

mod stops;

use super::{Consumer, Piece, Source, piece::FLOWS};
use crate::{
    analysis::Analysis,
    electrical::{
        ModeState,
        current_path::{CurrentPath, Direction},
    },
    inspect::Thing,
    model::PointId,
    network::{EdgeId, Step, turned},
    quantity::{Ampere, Metre, SquareMillimetre},
};
pub(super) use stops::Stops;

/// What the current of one thing runs through.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Function {
    /// The thing: `coolant-pump.motor`.
    pub name: String,
    /// The mode whose current it follows; `None` where none flows and it follows what joins.
    pub mode: Option<String>,
    /// The current through the thing.
    pub amps: Ampere,
    /// From the source on, up to what takes the current.
    pub feed: Vec<Stop>,
    /// What takes the current; `None` where nothing does.
    pub load: Option<Consumer>,
    /// From there back to the source.
    pub back: Vec<Stop>,
    /// What gives the current; `None` where no source is joined to it.
    pub source: Option<Source>,
    /// Whether the way comes back to its source.
    pub closed: bool,
    /// Of voltage class B somewhere on the way.
    pub class_b: bool,
    /// What its source gives alternates.
    pub alternating: bool,
}

/// Something on the way.
#[derive(Debug, Clone, PartialEq)]
pub struct Stop {
    /// What it is.
    pub kind: StopKind,
    /// The device that it is in; `None` for what is of a loom.
    pub device: Option<String>,
    /// What else is joined behind it, in the order written.
    pub asides: Vec<Aside>,
}

/// What is on the way.
#[derive(Debug, Clone, PartialEq)]
pub enum StopKind {
    /// A wire or core.
    Wire {
        /// `front.107`.
        name: String,
        /// Its cross-section.
        size: Option<SquareMillimetre>,
        /// Its colour, in the letters of IEC 60757.
        colour: Option<String>,
        /// Its length.
        length: Option<Metre>,
    },
    /// A mated contact: the two halves in the order of the way.
    Pair {
        /// `fuse-box.J1.4`.
        from: String,
        /// `front.P1.4`.
        to: String,
    },
    /// A ring on its stud, or a bare end at its point, in the order of the way.
    Joint {
        /// The one.
        from: String,
        /// The other.
        to: String,
    },
    /// A splice.
    Splice(String),
    /// A bar or link of a device.
    Bar(String),
    /// The metal of the chassis, or the screen of a cable.
    Metal(String),
    /// A fuse, a contact, a resistor in the line.
    Piece(Piece),
    /// A load in series with others.
    Other(String),
    /// A source in series, or one that is charged.
    Source {
        /// The source.
        source: Source,
        /// The way comes to its positive pole first: what runs along it charges the source.
        from_plus: bool,
    },
}

/// What is joined beside the way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Aside {
    /// The wire or element.
    pub name: String,
    /// Where it leads to: the far end of a wire; empty for an element.
    pub to: String,
}

impl Function {
    /// The function of a wire, an element or a point, in the mode called `mode`, or in that in which most flows through it. `None` for a cable
    /// or pair, which have no current as a whole, and for a mode that was not computed.
    #[must_use]
    pub fn of(analysis: &Analysis, thing: Thing, mode: Option<&str>) -> Option<Self> {
        let states = analysis.electrical().modes_as_written();
        let asked = |state: &&&ModeState| mode.is_none_or(|mode| analysis.model().mode_name(state.id) == mode);
        let states: Vec<&ModeState> = states.iter().filter(asked).copied().collect();
        if mode.is_some() && states.is_empty() {
            return None;
        }
        let (edge, first) = place(analysis, thing, &states)?;
        let through = |state: &ModeState| match edge {
            Some(edge) => state.amps(edge).abs().get(),
            None => analysis.network().around(first).map(|(id, _, _)| state.amps(id).abs().get()).sum::<f64>() / 2.0,
        };
        // Of modes with the same current the first that is written.
        let most = states.into_iter().rev().max_by(|a, b| through(a).total_cmp(&through(b)));
        let most = most.filter(|state| through(state) > FLOWS);
        let way = most.and_then(|state| carried(analysis, state, edge, first)).or_else(|| joined(analysis, edge, first));
        let way = way.unwrap_or_else(|| Way {
            start: first,
            steps: edge.map(|edge| over(analysis, edge, first)).into_iter().collect(),
            flows: false,
        });
        let mode = most.filter(|_| way.flows);
        let amps = mode.map_or(Ampere::ZERO, |state| Ampere::new(through(state)));
        let name = thing.name(analysis.model());
        Some(Stops { analysis, mode }.function(name, amps, edge, &way))
    }
}

/// A way from a pole of a source.
struct Way {
    start: PointId,
    steps: Vec<Step>,
    /// Whether it follows a current.
    flows: bool,
}

/// The edge of a thing whose current is followed, and a point of it.
fn place(analysis: &Analysis, thing: Thing, states: &[&ModeState]) -> Option<(Option<EdgeId>, PointId)> {
    let network = analysis.network();
    // Of a relay the contact before the coil, of a converter the output before the input; then what carries most.
    let rank = |id: EdgeId| {
        let role = network[id].role;
        let amps = states.iter().map(|state| state.amps(id).abs().get()).fold(0.0, f64::max);
        (role.conducts_when_closed() || role.drives(), amps)
    };
    let better = |one: EdgeId, next: EdgeId| {
        let ((first, most), (second, amps)) = (rank(one), rank(next));
        if (second && !first) || (second == first && amps > most) { next } else { one }
    };
    match thing {
        Thing::Point(point) => Some((None, point)),
        Thing::Wire(wire) => {
            let (id, edge) = network.edges().find(|(_, edge)| edge.wire() == Some(wire))?;
            Some((Some(id), edge.a))
        }
        Thing::Element(element) => {
            let id = network.edges().filter(|(_, edge)| edge.element() == Some(element)).map(|(id, _)| id).reduce(better)?;
            Some((Some(id), network[id].a))
        }
        Thing::Cable(_) | Thing::Pair(_) => None,
    }
}

/// The step over an edge from one of its points.
fn over(analysis: &Analysis, edge: EdgeId, from: PointId) -> Step {
    Step { edge, point: analysis.network()[edge].other(from) }
}

/// The way of the current in a mode.
fn carried(analysis: &Analysis, mode: &ModeState, edge: Option<EdgeId>, first: PointId) -> Option<Way> {
    let network = analysis.network();
    let (from, to) = match edge {
        Some(edge) if mode.amps(edge).get() < 0.0 => (network[edge].b, network[edge].a),
        Some(edge) => (network[edge].a, network[edge].b),
        None => (first, first),
    };
    let back = CurrentPath::new(network, mode, Direction::Return);
    // A source that gives is itself the beginning.
    if let Some(source) = edge.filter(|edge| network[*edge].role.drives() && mode.amps(*edge).get() > 0.0) {
        let plus = network[source].b;
        return Some(Way { start: plus, steps: back.way(plus), flows: true });
    }
    let feed = CurrentPath::new(network, mode, Direction::Feed).way(from);
    let (start, mut steps) = turned(from, &feed);
    steps.extend(edge.map(|edge| over(analysis, edge, from)));
    steps.extend(back.way(to));
    (!steps.is_empty()).then_some(Way { start, steps, flows: true })
}

/// A way over what joins, with every switch closed.
fn joined(analysis: &Analysis, edge: Option<EdgeId>, first: PointId) -> Option<Way> {
    let network = analysis.network();
    let ends = edge.map_or((first, first), |edge| (network[edge].a, network[edge].b));
    let leads = |point: PointId, plus: bool| {
        let is_pole = |point: PointId| {
            network.around(point).any(|(_, edge, _)| edge.role.drives() && if plus { edge.b == point } else { edge.a == point })
        };
        network.path(point, is_pole, |id, item| {
            Some(id) != edge && (item.role.conducts_when_closed() || (!plus && item.role.leads_back()))
        })
    };
    // Without a current either end can be the one that is fed.
    let (from, to, feed) =
        [(ends.0, ends.1), (ends.1, ends.0)].into_iter().find_map(|(from, to)| Some((from, to, leads(from, true)?)))?;
    let (start, mut steps) = turned(from, &feed);
    steps.extend(edge.map(|edge| over(analysis, edge, from)));
    steps.extend(leads(to, false).unwrap_or_default());
    Some(Way { start, steps, flows: false })
}
