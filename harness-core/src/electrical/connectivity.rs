//! What closed edges join in one mode, with and without the sources between, and which sides of a load are supplied.
//!
//! Owns the question as far as it is one of who is joined to whom. Cost: a few passes over the edges a view.

use super::{ModeState, alternatives::Closure};
use crate::{
    arena::IdVec,
    model::PointId,
    network::{Components, EdgeId, GroupId, Network},
};

/// What is joined in one mode.
#[derive(Debug)]
pub struct Connectivity {
    /// Over closed conductors.
    pub closed: Components,
    /// Over closed conductors and sources that are on.
    pub hard: Components,
    /// Over everything that carries current, loads and resistors too.
    pub all: Components,
    /// Per lump of `hard`: whether a source is in it.
    live: IdVec<GroupId, bool>,
    /// Per lump of `closed`: whether it holds a positive, a negative pole.
    poles: IdVec<GroupId, (bool, bool)>,
}

impl Connectivity {
    /// The view of `mode`; of the design with every switch closed where there is none.
    #[must_use]
    pub fn new(network: &Network, mode: Option<&ModeState>) -> Self {
        Self::of(network, |id| mode.is_none_or(|mode| mode.conducts(id)))
    }

    /// The view of the design with everything closed that may be closed at one time.
    #[must_use]
    pub fn in_closure(network: &Network, closure: &Closure) -> Self {
        Self::of(network, |id| closure.closes(id))
    }

    fn of(network: &Network, conducts: impl Fn(EdgeId) -> bool) -> Self {
        let closed = network.components(|id, edge| edge.role.conducts_when_closed() && conducts(id));
        let hard = network.components(|id, edge| (edge.role.conducts_when_closed() || edge.role.drives()) && conducts(id));
        let all = network.components(|id, _| conducts(id));
        let mut live = hard.table(false);
        let mut poles = closed.table((false, false));
        for (id, edge) in network.edges() {
            if !edge.role.drives() || !conducts(id) {
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

    /// Whether the point is at a positive pole, at a negative one.
    #[must_use]
    pub fn poles(&self, point: PointId) -> (bool, bool) {
        self.poles[self.closed.of(point)]
    }
}
