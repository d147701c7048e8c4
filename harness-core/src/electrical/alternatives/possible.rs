//! In which modes each edge may be closed, and what gives and takes may be on.
//!
//! What the design says of a contact, what was found of a relay, `in` of a source, a load and a converter. A converter gives nothing where
//! nothing feeds its input. What no mode has, and what is not known in a mode, counts as possible: only what modes say excludes anything.
//!
//! Cost: a pass over the edges for each mode, and one more for each converter that feeds another.

use crate::{
    arena::IdVec,
    electrical::ModeState,
    model::{ElementId, ModeId, ModeSet},
    network::{Edge, EdgeId, Network},
    vocabulary::Role,
};
use rustc_hash::FxHashMap;

/// In which modes each edge may be closed or on.
#[derive(Debug)]
pub struct Possible {
    modes: Vec<ModeId>,
    of: IdVec<EdgeId, ModeSet>,
    unstated: IdVec<EdgeId, bool>,
    is_conditional: bool,
}

impl Possible {
    /// Reads it off a design and the states that were found, second states of relays among them.
    #[must_use]
    pub fn new(network: &Network, states: &[&ModeState]) -> Self {
        let modes: Vec<ModeId> = network.model().modes().map(|(mode, _)| mode).collect();
        let mut found = Self { modes, of: IdVec::new(), unstated: IdVec::new(), is_conditional: false };
        for (id, edge) in network.edges() {
            let stated = found.stated(network, states, id, edge);
            found.of.push(if stated == ModeSet::NONE { ModeSet::ALL } else { stated });
            found.unstated.push(stated == ModeSet::NONE);
        }
        found.idle_converters(network);
        let differs = |id: EdgeId| found.unstated[id] || found.modes.iter().any(|mode| !found.of[id].has(*mode));
        found.is_conditional = network.edges().any(|(id, _)| differs(id));
        found
    }

    /// The modes of the design.
    #[must_use]
    pub fn modes(&self) -> &[ModeId] {
        &self.modes
    }

    /// Whether an edge may be closed, or on, in a mode.
    #[must_use]
    pub fn is_in(&self, edge: EdgeId, mode: ModeId) -> bool {
        self.of[edge].has(mode)
    }

    /// Whether no mode has it closed or on, so that it counts in all.
    #[must_use]
    pub fn is_unstated(&self, edge: EdgeId) -> bool {
        self.unstated[edge]
    }

    /// Whether modes make a difference, or nobody says whether they do.
    #[must_use]
    pub fn is_conditional(&self) -> bool {
        self.is_conditional
    }

    /// The modes in which an edge may be closed or on by what is said or was found.
    fn stated(&self, network: &Network, states: &[&ModeState], id: EdgeId, edge: &Edge) -> ModeSet {
        let model = network.model();
        let Some(element) = edge.element() else { return ModeSet::ALL };
        let kind = &model[element].kind;
        if !edge.role.is_switched() {
            return kind.modes().unwrap_or(ModeSet::ALL);
        }
        let unstated = kind.throw().map_or(ModeSet::NONE, |throw| model[throw.selector].unstated);
        let mut closed = ModeSet::NONE;
        for mode in &self.modes {
            let found = || {
                let mut own = states.iter().filter(|state| state.id == *mode).peekable();
                own.peek().is_none() || own.any(|state| state.conducts(id) || state.is_adrift(edge.a))
            };
            if unstated.has(*mode) || kind.is_closed(*mode).unwrap_or_else(found) {
                closed.add(*mode);
            }
        }
        closed
    }

    /// Takes converters as off in the modes in which nothing feeds their input.
    fn idle_converters(&mut self, network: &Network) {
        // Only a converter both draws and drives.
        let mut sides: FxHashMap<ElementId, [Option<EdgeId>; 2]> = FxHashMap::default();
        for (id, edge) in network.edges() {
            let Some(element) = edge.element() else { continue };
            let [input, output] = sides.entry(element).or_default();
            if edge.role.draws() {
                *input = Some(id);
            } else if edge.role.drives() {
                *output = Some(id);
            }
        }
        let mut pairs: Vec<(EdgeId, EdgeId)> =
            sides.into_values().filter_map(|[input, output]| Some((input?, output?))).collect();
        if pairs.is_empty() {
            return;
        }
        pairs.sort_unstable();
        let mut gives: Vec<ModeSet> = vec![ModeSet::NONE; pairs.len()];
        for mode in &self.modes {
            let lumps = network.components(|id, edge| edge.role.conducts_when_closed() && self.is_in(id, *mode));
            let mut fed = lumps.table(false);
            for (_, edge) in network.edges().filter(|(id, edge)| edge.role.is_source() && self.is_in(*id, *mode)) {
                fed[lumps.of(edge.b)] = true;
            }
            for (point, item) in network.model().points() {
                let role = item.pin.and_then(|pin| network.model()[pin].role).map(|role| role.value);
                // What a box gives of which nothing is drawn.
                let gives = matches!(role, Some(Role::Output | Role::Bidirectional | Role::Phase));
                if gives && network.around(point).all(|(_, edge, _)| edge.element().is_none()) {
                    fed[lumps.of(point)] = true;
                }
            }
            loop {
                let mut changed = false;
                for ((input, output), gives) in pairs.iter().zip(&mut gives) {
                    if !gives.has(*mode) && self.is_in(*output, *mode) && fed[lumps.of(network[*input].a)] {
                        gives.add(*mode);
                        fed[lumps.of(network[*output].b)] = true;
                        changed = true;
                    }
                }
                if !changed {
                    break;
                }
            }
        }
        for ((_, output), gives) in pairs.into_iter().zip(gives).filter(|(_, gives)| *gives != ModeSet::NONE) {
            self.of[output] = gives;
        }
    }
}
