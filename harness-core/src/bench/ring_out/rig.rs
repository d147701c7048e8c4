//! The sound loom on the bench: its nets, what hangs together of it, and what a meter shows at its ends.

use super::{
    bare::{Bare, Groups, Join, Kind, Spot},
    piece::{Ohms, Piece, Shown},
};
use crate::arena::{IdVec, ids};
use std::{cell::OnceCell, collections::BTreeMap};

ids! {
    /// What hangs together of a loom by anything, if only over a diode or a coil.
    PieceId;
}

/// A loom that can be measured.
#[derive(Debug)]
pub(super) struct Rig {
    pub(super) bare: Bare,
    pub(super) joins_at: IdVec<Spot, Vec<Join>>,
    /// Which spots are one net of metal, by their first.
    pub(super) nets: Groups<Spot>,
    piece_of: IdVec<Spot, PieceId>,
    pieces: IdVec<PieceId, Members>,
}

/// What is of a piece.
#[derive(Debug, Default)]
struct Members {
    spots: Vec<Spot>,
    joins: Vec<Join>,
    has_vague: bool,
    has_element: bool,
    /// Made by the first reading.
    piece: OnceCell<Piece>,
}

impl Rig {
    pub(super) fn new(bare: Bare) -> Self {
        let count = bare.spots.len();
        let (mut nets, mut whole) = (Groups::new(count), Groups::new(count));
        for (_, join) in bare.joins.iter() {
            whole.join(join.from, join.to);
            if join.kind.is_metal() {
                nets.join(join.from, join.to);
            }
        }
        let (nets, whole) = (nets.settled(), whole.settled());
        let mut numbers: BTreeMap<Spot, PieceId> = BTreeMap::new();
        let mut pieces: IdVec<PieceId, Members> = IdVec::new();
        let mut piece_of = IdVec::new();
        for spot in bare.spots.ids() {
            let id = *numbers.entry(whole.of(spot)).or_insert_with(|| pieces.push(Members::default()));
            pieces[id].spots.push(spot);
            piece_of.push(id);
        }
        for (id, join) in bare.joins.iter() {
            let members = &mut pieces[piece_of[join.from]];
            members.joins.push(id);
            members.has_vague |= join.kind == Kind::Vague;
            members.has_element |= !join.kind.is_metal();
        }
        Self { joins_at: bare.joins_at(), bare, nets, piece_of, pieces }
    }

    pub(super) fn pieces(&self) -> impl ExactSizeIterator<Item = PieceId> {
        self.pieces.ids()
    }

    /// The piece that a spot is of.
    pub(super) fn piece_of(&self, spot: Spot) -> PieceId {
        self.piece_of[spot]
    }

    /// Whether two spots are of one piece: something joins them, if only over a diode or a coil.
    pub(super) fn hang_together(&self, one: Spot, other: Spot) -> bool {
        self.piece_of[one] == self.piece_of[other]
    }

    pub(super) fn spots_of(&self, piece: PieceId) -> &[Spot] {
        &self.pieces[piece].spots
    }

    pub(super) fn joins_of(&self, piece: PieceId) -> &[Join] {
        &self.pieces[piece].joins
    }

    /// Whether something is in a piece of which nobody can say what a meter shows.
    pub(super) fn has_vague(&self, piece: PieceId) -> bool {
        self.pieces[piece].has_vague
    }

    /// Whether a piece is one net, with nothing but metal in it.
    pub(super) fn is_metal(&self, piece: PieceId) -> bool {
        !self.pieces[piece].has_element
    }

    fn piece(&self, spot: Spot) -> &Piece {
        let members = &self.pieces[self.piece_of[spot]];
        let joins = || members.joins.iter().map(|join| &self.bare.joins[*join]);
        members.piece.get_or_init(|| Piece::new(members.spots.iter().copied(), joins()))
    }

    /// What a meter shows between two places of the sound loom, without the contacts at its leads.
    pub(super) fn shown(&self, from: Spot, to: Spot) -> Shown {
        if self.hang_together(from, to) { self.piece(from).shown(from, to) } else { Shown::Open }
    }

    /// What is shown, with the contacts by which the leads are put to two places.
    pub(super) fn with_contacts(&self, shown: Shown, from: Spot, to: Spot) -> Shown {
        let Shown::Ohms(ohms) = shown else { return shown };
        let contacts = self.bare.spots[from].contact + self.bare.spots[to].contact;
        Shown::Ohms(Ohms { least: ohms.least, nominal: ohms.nominal + contacts, most: ohms.most.map(|most| most + contacts) })
    }

    /// Whether a resistance joins two places of the sound loom.
    pub(super) fn are_joined(&self, one: Spot, other: Spot) -> bool {
        self.hang_together(one, other) && self.piece(one).are_joined(one, other)
    }
}
