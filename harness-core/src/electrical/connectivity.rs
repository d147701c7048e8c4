//! What closed edges join in one mode, with and without the sources between, and which sides of a load are supplied.
//!
//! Owns the question as far as it is one of who is joined to whom. Cost: a few passes over the edges a view.

use super::ModeState;
use crate::{
    arena::IdVec,
    model::{ElementKind, Model, PointId},
    network::{Components, Edge, EdgeId, EdgeKind, GroupId, Network, Terminal},
};

/// What an edge is to a supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Lets it through when closed: metal, fuse, switch, contact, disconnect, interlock bridge, diode.
    Conductor,
    /// Drives it.
    Source,
    /// Takes it: a load, a coil, the input of a converter.
    Load,
    /// Holds it back: a resistor, a capacitor.
    Resistor,
}

/// What `edge` is.
#[must_use]
pub fn part(model: &Model, edge: &Edge) -> Part {
    let EdgeKind::Element(element, terminal) = edge.kind else { return Part::Conductor };
    match (model.element(element).map(|element| &element.kind), terminal) {
        (Some(ElementKind::Source { .. }), _) | (_, Terminal::Output) => Part::Source,
        (Some(ElementKind::Load { .. }), _) | (_, Terminal::Coil | Terminal::Input) => Part::Load,
        (Some(ElementKind::Resistor(_) | ElementKind::Capacitor(_)), _) => Part::Resistor,
        _ => Part::Conductor,
    }
}

/// What is joined in one mode.
#[derive(Debug)]
pub struct Connectivity {
    /// Over closed conductors.
    pub closed: Components,
    /// Over closed conductors and sources that are on.
    pub hard: Components,
    /// Over everything that carries current, loads and resistors too.
    pub all: Components,
    /// Per number in `hard`: whether a source is in it.
    live: IdVec<GroupId, bool>,
    /// Per number in `closed`: whether it holds a positive, a negative pole.
    poles: IdVec<GroupId, (bool, bool)>,
}

impl Connectivity {
    /// The view of `mode`; of the design with every switch closed where there is none.
    #[must_use]
    pub fn new(network: &Network, mode: Option<&ModeState>) -> Self {
        let model = network.model();
        let conducts = |id: EdgeId| mode.is_none_or(|mode| mode.conducts(id));
        let closed = network.components(|id, edge| part(model, edge) == Part::Conductor && conducts(id));
        let hard = network.components(|id, edge| match part(model, edge) {
            Part::Conductor | Part::Source => conducts(id),
            Part::Load | Part::Resistor => false,
        });
        let all = network.components(|id, _| conducts(id));
        let mut live = hard.table(false);
        let mut poles = closed.table((false, false));
        for (id, edge) in network.edges() {
            if part(model, edge) != Part::Source || !conducts(id) {
                continue;
            }
            live[hard.of(edge.a)] = true;
            poles[closed.of(edge.b)].0 = true;
            poles[closed.of(edge.a)].1 = true;
        }
        Self { closed, hard, all, live, poles }
    }

    /// Whether a source reaches the point with no load between.
    #[must_use]
    pub fn is_fed(&self, point: PointId) -> bool {
        self.live[self.hard.of(point)]
    }

    /// Whether the point lies at a positive pole, at a negative one.
    #[must_use]
    pub fn poles(&self, point: PointId) -> (bool, bool) {
        self.poles[self.closed.of(point)]
    }
}
