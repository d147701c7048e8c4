//! What flows in a circuit after a few small alterations, for as many sets of them as are asked for.
//!
//! A [`Base`] is the state of rest of a circuit with what makes the next solutions cheap. [`Base::with`] gives the state that the circuit
//! comes to after any set of [`Alteration`]s: a branch opened, a contact welded, a resistance raised, two nodes bridged. It begins in the
//! state of rest, as a fault does, so that a relay that holds itself stays in.
//!
//! Idea: a circuit consists of pieces that nothing joins, whatever switches; only the piece concerned is searched. In it what flows is what
//! flowed before and what the alteration adds (`solve::updates`): the nodes were taken out once, a change costs the way to the last of
//! them, and only what contradicts the new voltages turns over. Cost: a pass over the piece for each solution, of which a fault takes a
//! few; no factorisation.

mod alteration;
mod excerpt;
mod piece;
mod whole;

#[cfg(test)]
mod tests;

pub use self::alteration::Alteration;
use self::piece::{Piece, pieces};
use super::{Branch, BranchKind, Circuit, Operating};
use crate::quantity::{Ampere, Volt};
use std::sync::{Arc, Mutex, PoisonError};

/// The state of rest of a circuit, ready for alterations.
#[derive(Debug)]
pub struct Base {
    circuit: Circuit,
    pieces: Vec<Piece>,
    /// Per node: its piece, and its number there.
    nodes: Vec<(u32, u32)>,
    /// Per branch: its piece, and its number there; [`NOWHERE`] for an open one between two pieces.
    branches: Vec<(u32, u32)>,
    merged: Mutex<Vec<Arc<Merged>>>,
}

/// No piece.
const NOWHERE: u32 = u32::MAX;

/// The state in which a circuit is known to be.
#[derive(Debug, Clone, Copy)]
pub struct Known<'a> {
    /// Per branch.
    pub amps: &'a [Ampere],
    /// Coils that hold their contacts moved.
    pub energised: &'a [u32],
    /// Per branch: `true` for the input of a converter that runs its output.
    pub runs: &'a [bool],
}

/// What flows after an alteration.
#[derive(Debug)]
pub struct Altered<'b> {
    base: &'b Base,
    place: Place,
    operating: Operating,
}

/// Where an alteration is.
#[derive(Debug)]
enum Place {
    /// In one piece of the base.
    Own(u32),
    /// In several, which are one for it.
    Merged(Arc<Merged>),
    /// In none: nothing was altered.
    None,
}

/// Several pieces as one.
#[derive(Debug)]
struct Merged {
    /// Which, ascending.
    pieces: Vec<u32>,
    piece: Piece,
}

/// How many joined pieces are kept: who asks joins the same few again and again, or each pair once.
const MERGED: usize = 16;

impl Base {
    /// Finds the state again that a circuit is known to be in.
    ///
    /// `near` are pairs of nodes that may be joined by [`Alteration::Joins`] or by closing an open branch: what may become one piece is made
    /// one at once, which is cheaper than to merge pieces later. Any other pair may be joined too.
    #[must_use]
    pub fn new(circuit: &Circuit, known: Known<'_>, near: impl Iterator<Item = (u32, u32)>) -> Self {
        let (of, count) = pieces(circuit, near);
        let mut lists: Vec<(Vec<u32>, Vec<u32>, Vec<u32>)> = vec![Default::default(); count as usize];
        let mut nodes = Vec::with_capacity(of.len());
        for (&piece, node) in of.iter().zip(0..) {
            let Some(list) = lists.get_mut(piece as usize) else { continue };
            nodes.push((piece, list.0.len() as u32));
            list.0.push(node);
        }
        for reference in &circuit.references {
            let Some((piece, at)) = nodes.get(*reference as usize) else { continue };
            if let Some(list) = lists.get_mut(*piece as usize) {
                list.2.push(*at);
            }
        }
        let mut branches = Vec::with_capacity(circuit.branches.len());
        for (branch, number) in circuit.branches.iter().zip(0..) {
            let ends = (of.get(branch.from as usize), of.get(branch.to as usize));
            match ends {
                (Some(piece), Some(other)) if piece == other => {
                    let Some(list) = lists.get_mut(*piece as usize) else { continue };
                    branches.push((*piece, list.1.len() as u32));
                    list.1.push(number);
                }
                _ => branches.push((NOWHERE, 0)),
            }
        }
        let made = lists.into_iter().map(|lists| Piece::new(circuit, lists, known));
        Self { circuit: circuit.clone(), pieces: made.collect(), nodes, branches, merged: Mutex::default() }
    }

    /// Whether the state of rest was found again around a node; nothing is known of alterations there where it was not.
    #[must_use]
    pub fn is_known(&self, node: u32) -> bool {
        self.piece_of(node).is_none_or(Piece::is_known)
    }

    /// The voltage of a node against the reference of its island.
    #[must_use]
    pub fn volts(&self, node: u32) -> Volt {
        self.at(node, |operating, at| operating.volts.get(at).copied())
    }

    /// The current of a branch, positive from `from` to `to`.
    #[must_use]
    pub fn amps(&self, branch: u32) -> Ampere {
        self.of(branch, |operating, at| operating.amps.get(at).copied())
    }

    /// Whether the island of a node holds a source that is on.
    #[must_use]
    pub fn is_live(&self, node: u32) -> bool {
        self.at(node, |operating, at| operating.live.get(at).copied())
    }

    /// Whether a coil holds its contacts moved, or the input of a converter runs its output.
    #[must_use]
    pub fn is_on(&self, branch: u32) -> bool {
        self.of(branch, |operating, at| Some(is_on(operating, at)))
    }

    /// Whether two nodes are in one island: joined by what conducts.
    #[must_use]
    pub fn are_joined(&self, one: u32, other: u32) -> bool {
        let island = |node: u32| {
            Some((self.nodes.get(node as usize)?.0, self.at(node, |operating, at| operating.island.get(at).copied())))
        };
        island(one) == island(other)
    }

    fn piece_of(&self, node: u32) -> Option<&Piece> {
        self.pieces.get(self.nodes.get(node as usize)?.0 as usize)
    }

    fn at<T: Default>(&self, node: u32, get: impl Fn(&Operating, usize) -> Option<T>) -> T {
        let found =
            self.nodes.get(node as usize).and_then(|(piece, at)| get(&self.pieces.get(*piece as usize)?.operating, *at as usize));
        found.unwrap_or_default()
    }

    fn of<T: Default>(&self, branch: u32, get: impl Fn(&Operating, usize) -> Option<T>) -> T {
        let found = self
            .branches
            .get(branch as usize)
            .and_then(|(piece, at)| get(&self.pieces.get(*piece as usize)?.operating, *at as usize));
        found.unwrap_or_default()
    }

    /// What flows after these alterations, one after the other in the order given.
    ///
    /// The search begins in the state of rest. Where it finds no steady state, [`Altered::unsettled`] names the branches.
    #[must_use]
    pub fn with(&self, alterations: &[Alteration]) -> Altered<'_> {
        let mut kinds: Vec<(u32, BranchKind)> = Vec::new();
        let mut joins: Vec<Branch> = Vec::new();
        for alteration in alterations {
            match *alteration {
                Alteration::Becomes { branch, kind } => {
                    let Some(own) = self.circuit.branches.get(branch as usize) else { continue };
                    if let BranchKind::ConverterInput { output, .. } = own.kind {
                        kinds.push((output, BranchKind::Open));
                    }
                    kinds.push((branch, kind));
                }
                Alteration::Joins { from, to, kind } => {
                    let nodes = self.circuit.nodes;
                    if from < nodes && to < nodes && from != to {
                        joins.push(Branch { from, to, kind });
                    }
                }
            }
        }
        // An open branch between two pieces is in neither: closed, it joins them.
        kinds.retain(|(branch, kind)| {
            let is_nowhere = self.branches.get(*branch as usize).is_none_or(|(piece, _)| *piece == NOWHERE);
            if is_nowhere && let Some(own) = self.circuit.branches.get(*branch as usize) {
                joins.push(Branch { kind: *kind, ..*own });
            }
            !is_nowhere
        });
        let piece_of = |node: u32| self.nodes.get(node as usize).map(|(piece, _)| *piece);
        let of_kinds = kinds.iter().filter_map(|(branch, _)| self.branches.get(*branch as usize).map(|(piece, _)| *piece));
        let of_joins = joins.iter().flat_map(|join| [piece_of(join.from), piece_of(join.to)]).flatten();
        let mut pieces: Vec<u32> = of_kinds.chain(of_joins).collect();
        pieces.sort_unstable();
        pieces.dedup();
        let place = match pieces[..] {
            [] => Place::None,
            [piece] => Place::Own(piece),
            _ => Place::Merged(self.merged(pieces)),
        };
        let operating = match self.piece(&place) {
            Some(piece) => {
                let own = |branch: u32| match &place {
                    Place::Own(_) => self.branches.get(branch as usize).map(|(_, at)| *at),
                    Place::Merged(merged) => merged.piece.branches.binary_search(&branch).ok().map(|at| at as u32),
                    Place::None => None,
                };
                let node = |node: u32| match &place {
                    Place::Own(_) => self.nodes.get(node as usize).map(|(_, at)| *at),
                    Place::Merged(merged) => merged.piece.nodes.binary_search(&node).ok().map(|at| at as u32),
                    Place::None => None,
                };
                let kinds = kinds.iter().filter_map(|(branch, kind)| Some((own(*branch)?, *kind)));
                let joins =
                    joins.iter().filter_map(|join| Some(Branch { from: node(join.from)?, to: node(join.to)?, kind: join.kind }));
                piece.with(kinds, joins)
            }
            None => Operating::default(),
        };
        Altered { base: self, place, operating }
    }

    /// Several pieces as one; made when they are joined for the first time.
    fn merged(&self, pieces: Vec<u32>) -> Arc<Merged> {
        // Another thread that broke off leaves whole entries behind.
        let known = || self.merged.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(merged) = known().iter().find(|merged| merged.pieces == pieces) {
            return Arc::clone(merged);
        }
        // Not under the lock: threads that try faults would wait for each other's searches.
        let own = pieces.iter().filter_map(|piece| self.pieces.get(*piece as usize));
        let merged = Arc::new(Merged { piece: Piece::merged(&self.circuit, own), pieces });
        let mut known = known();
        if known.len() < MERGED {
            known.push(Arc::clone(&merged));
        }
        merged
    }

    fn piece<'a>(&'a self, place: &'a Place) -> Option<&'a Piece> {
        match place {
            Place::Own(piece) => self.pieces.get(*piece as usize),
            Place::Merged(merged) => Some(&merged.piece),
            Place::None => None,
        }
    }
}

fn is_on(operating: &Operating, at: usize) -> bool {
    operating.energised.get(at) == Some(&true) || operating.converting.get(at) == Some(&true)
}

impl Altered<'_> {
    fn piece(&self) -> Option<&Piece> {
        self.base.piece(&self.place)
    }

    /// The number of a node in the piece that was searched; `None` for one that the alteration does not reach.
    fn node(&self, node: u32) -> Option<usize> {
        match &self.place {
            Place::Own(piece) => self.base.nodes.get(node as usize).filter(|(of, _)| of == piece).map(|(_, at)| *at as usize),
            Place::Merged(merged) => merged.piece.nodes.binary_search(&node).ok(),
            Place::None => None,
        }
    }

    fn branch(&self, branch: u32) -> Option<usize> {
        match &self.place {
            Place::Own(piece) => {
                self.base.branches.get(branch as usize).filter(|(of, _)| of == piece).map(|(_, at)| *at as usize)
            }
            Place::Merged(merged) => merged.piece.branches.binary_search(&branch).ok(),
            Place::None => None,
        }
    }

    /// Nodes that the alteration may reach, ascending; all others are as they were.
    #[must_use]
    pub fn nodes(&self) -> &[u32] {
        self.piece().map_or(&[], |piece| &piece.nodes)
    }

    /// Branches that the alteration may reach, ascending; all others are as they were.
    #[must_use]
    pub fn branches(&self) -> &[u32] {
        self.piece().map_or(&[], |piece| &piece.branches)
    }

    /// The voltages of [`nodes`](Self::nodes), and whether a source that is on is joined to each, in their order.
    pub fn levels(&self) -> impl Iterator<Item = (Volt, bool)> {
        self.operating.volts.iter().copied().zip(self.operating.live.iter().copied())
    }

    /// The currents of [`branches`](Self::branches), in their order.
    pub fn flows(&self) -> impl Iterator<Item = Ampere> {
        self.operating.amps.iter().copied().take(self.branches().len())
    }

    /// The voltage of a node against the reference of its island.
    #[must_use]
    pub fn volts(&self, node: u32) -> Volt {
        match self.node(node) {
            Some(at) => self.operating.volts.get(at).copied().unwrap_or_default(),
            None => self.base.volts(node),
        }
    }

    /// The current of a branch, positive from `from` to `to`.
    #[must_use]
    pub fn amps(&self, branch: u32) -> Ampere {
        match self.branch(branch) {
            Some(at) => self.operating.amps.get(at).copied().unwrap_or_default(),
            None => self.base.amps(branch),
        }
    }

    /// The currents of what [`Alteration::Joins`] joined, in the order of the alterations; then those of open branches between two
    /// pieces that were closed.
    pub fn amps_of_joins(&self) -> impl Iterator<Item = Ampere> {
        self.operating.amps.iter().skip(self.branches().len()).copied()
    }

    /// Whether the island of a node holds a source that is on.
    #[must_use]
    pub fn is_live(&self, node: u32) -> bool {
        match self.node(node) {
            Some(at) => self.operating.live.get(at) == Some(&true),
            None => self.base.is_live(node),
        }
    }

    /// Whether a coil holds its contacts moved, or the input of a converter runs its output.
    #[must_use]
    pub fn is_on(&self, branch: u32) -> bool {
        match self.branch(branch) {
            Some(at) => is_on(&self.operating, at),
            None => self.base.is_on(branch),
        }
    }

    /// Whether two nodes are in one island: joined by what conducts.
    #[must_use]
    pub fn are_joined(&self, one: u32, other: u32) -> bool {
        match (self.node(one), self.node(other)) {
            (Some(one), Some(other)) => self.operating.island.get(one) == self.operating.island.get(other),
            (None, None) => self.base.are_joined(one, other),
            _ => false,
        }
    }

    /// Branches, ascending, whose state does not settle after the alteration; a branch that was joined has no number and is left out.
    #[must_use]
    pub fn unsettled(&self) -> Vec<u32> {
        let Some(piece) = self.piece() else { return Vec::new() };
        self.operating.unsettled.iter().filter_map(|at| piece.branches.get(*at as usize).copied()).collect()
    }

    /// Whether a steady state was found.
    #[must_use]
    pub fn is_settled(&self) -> bool {
        self.operating.unsettled.is_empty()
    }

    /// How many times the network was solved.
    #[must_use]
    pub fn rounds(&self) -> u32 {
        self.operating.rounds
    }
}
