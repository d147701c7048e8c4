//! A loom as built: sound, or with slips of the hand in it, and what a meter shows at its ends.

use super::{
    bare::{Bare, Groups, Join, Joined, Kind, Spot},
    piece::{Ohms, Piece, Shown, members},
    plan::Planned,
    slip::Slip,
};
use crate::{arena::IdVec, standards::ring_out::diode_range};
use std::{
    borrow::Cow,
    cell::OnceCell,
    collections::{BTreeMap, BTreeSet},
};

/// Current of a meter that tests diodes, in ampere.
const DIODE_TEST: f64 = 1e-3;

/// What a meter is set to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Setting {
    /// Ohms.
    Ohms,
    /// The test of diodes.
    Diode,
}

/// What a meter showed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reading {
    /// No connection.
    Open,
    /// Ohms, without the leads.
    Ohms(f64),
    /// Volts, at the test of diodes.
    Volts(f64),
}

/// A loom that can be measured.
#[derive(Debug)]
pub(super) struct Rig {
    pub(super) bare: Bare,
    pub(super) joins_at: IdVec<Spot, Vec<Join>>,
    /// Which spots are one net of metal, by their first.
    pub(super) nets: Groups<Spot>,
    piece_of: IdVec<Spot, u32>,
    by_piece: Vec<Vec<Spot>>,
    joins_of_piece: Vec<Vec<Join>>,
    pieces: Vec<OnceCell<Piece>>,
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
        let mut numbers: BTreeMap<Spot, u32> = BTreeMap::new();
        let mut by_piece: Vec<Vec<Spot>> = Vec::new();
        let mut piece_of = IdVec::of(0, count);
        for spot in bare.spots.ids() {
            let number = *numbers.entry(whole.of(spot)).or_insert(by_piece.len() as u32);
            match by_piece.get_mut(number as usize) {
                Some(spots) => spots.push(spot),
                None => by_piece.push(vec![spot]),
            }
            piece_of[spot] = number;
        }
        let mut joins_of_piece = vec![Vec::new(); by_piece.len()];
        for (id, join) in bare.joins.iter() {
            if let Some(joins) = joins_of_piece.get_mut(piece_of[join.from] as usize) {
                joins.push(id);
            }
        }
        let pieces = by_piece.iter().map(|_| OnceCell::new()).collect();
        Self { joins_at: bare.joins_at(), bare, nets, piece_of, by_piece, joins_of_piece, pieces }
    }

    /// The piece that a spot is of; none for a spot of another loom.
    fn piece(&self, spot: Spot) -> Option<&Piece> {
        let number = self.piece_of[spot] as usize;
        let (cell, spots) = (self.pieces.get(number)?, self.by_piece.get(number)?);
        let joins = self.joins_of_piece.get(number)?;
        Some(cell.get_or_init(|| Piece::new(spots.iter().copied(), joins.iter().map(|join| &self.bare.joins[*join]))))
    }

    /// Whether two spots are of one piece: something joins them, if only over a diode or a coil.
    pub(super) fn hang_together(&self, one: Spot, other: Spot) -> bool {
        self.piece_of[one] == self.piece_of[other]
    }

    /// The number of the piece that a spot is of.
    pub(super) fn piece_number(&self, spot: Spot) -> u32 {
        self.piece_of[spot]
    }

    /// All spots of the piece that a spot is of.
    pub(super) fn piece_spots(&self, spot: Spot) -> &[Spot] {
        self.by_piece.get(self.piece_of[spot] as usize).map_or(&[], Vec::as_slice)
    }

    /// What a meter shows between two places of the sound loom.
    pub(super) fn shown(&self, from: Spot, to: Spot) -> Shown {
        if !self.hang_together(from, to) {
            return Shown::Open;
        }
        self.piece(from).map_or(Shown::Open, |piece| piece.shown(from, to))
    }
}

/// The loom with slips in it, one after the other.
#[derive(Debug)]
pub(super) struct State<'b> {
    rig: &'b Rig,
    /// What sits in a cavity now, by the cavity that it belongs in; only where that is another one. `None` where nothing does.
    sits: BTreeMap<Spot, Option<Spot>>,
    /// What hangs together otherwise than in the sound loom, and the pieces that it replaces.
    edited: Option<(BTreeSet<u32>, Piece)>,
}

impl<'b> State<'b> {
    pub(super) fn with(rig: &'b Rig, slips: &[Slip]) -> Self {
        let mut sits: BTreeMap<Spot, Option<Spot>> = BTreeMap::new();
        let mut edits: BTreeMap<Join, Option<Kind>> = BTreeMap::new();
        let mut turned: BTreeSet<Join> = BTreeSet::new();
        let mut bridges: Vec<(Spot, Spot, Kind)> = Vec::new();
        let at = |sits: &BTreeMap<Spot, Option<Spot>>, spot: Spot| sits.get(&spot).copied().unwrap_or(Some(spot));
        for slip in slips {
            match slip {
                Slip::Open(join) => {
                    edits.insert(*join, None);
                }
                Slip::Unseated(spot) => {
                    sits.insert(*spot, None);
                }
                Slip::Swapped(one, other) | Slip::Misplaced { from: one, to: other } => {
                    let (first, second) = (at(&sits, *one), at(&sits, *other));
                    sits.insert(*one, second);
                    sits.insert(*other, first);
                }
                Slip::Crowded { from, to } => {
                    if let (Some(own), Some(theirs)) = (at(&sits, *from), at(&sits, *to)) {
                        bridges.push((own, theirs, Kind::Metal(Some(0.0))));
                    }
                    sits.insert(*from, None);
                }
                Slip::Shifted { moves, .. } => {
                    let before: Vec<Option<Spot>> = moves.iter().map(|(from, _)| at(&sits, *from)).collect();
                    for ((_, to), content) in moves.iter().zip(before) {
                        sits.insert(*to, content);
                    }
                }
                Slip::Bridged(one, other) | Slip::Touching(one, other) => {
                    if let (Some(one), Some(other)) = (at(&sits, *one), at(&sits, *other)) {
                        bridges.push((one, other, Kind::Metal(Some(0.0))));
                    }
                }
                Slip::Leaky(one, other, ohm) => {
                    if let (Some(one), Some(other)) = (at(&sits, *one), at(&sits, *other)) {
                        bridges.push((one, other, Kind::Resistor(*ohm, Slip::WRONG_TOLERANCE)));
                    }
                }
                Slip::Reversed(join) => {
                    if !turned.remove(join) {
                        turned.insert(*join);
                    }
                }
                Slip::Shorted(join) => {
                    edits.insert(*join, Some(Kind::Metal(Some(0.0))));
                }
                Slip::Poor(join, ohm) => {
                    let kind = match rig.bare.joins[*join].kind {
                        Kind::Metal(own) => Kind::Metal(Some(own.unwrap_or(0.0) + ohm)),
                        Kind::Resistor(own, tolerance) => Kind::Resistor(own + ohm, tolerance),
                        kind @ (Kind::Diode(_) | Kind::Vague) => kind,
                    };
                    edits.insert(*join, Some(kind));
                }
                Slip::Wrong(join, ohm) => {
                    edits.insert(*join, Some(Kind::Resistor(*ohm, Slip::WRONG_TOLERANCE)));
                }
            }
        }
        sits.retain(|spot, content| *content != Some(*spot));
        let edited =
            (!edits.is_empty() || !turned.is_empty() || !bridges.is_empty()).then(|| edited(rig, &edits, &turned, &bridges));
        Self { rig, sits, edited }
    }

    /// Whether anything hangs together otherwise than in the sound loom.
    pub(super) fn is_changed(&self) -> bool {
        self.edited.is_some() || !self.sits.is_empty()
    }

    fn sits_in(&self, spot: Spot) -> Option<Spot> {
        self.sits.get(&spot).copied().unwrap_or(Some(spot))
    }

    /// The spots at whose leads something other than in the sound loom may show.
    pub(super) fn touched(&self) -> BTreeSet<Spot> {
        let mut touched: BTreeSet<Spot> = self.sits.keys().copied().collect();
        if let Some((pieces, _)) = &self.edited {
            let of = |piece: &u32| self.rig.by_piece.get(*piece as usize);
            touched.extend(pieces.iter().filter_map(of).flatten().copied());
        }
        touched
    }

    /// What a meter shows with its leads at two places.
    pub(super) fn shown(&self, from: Spot, to: Spot) -> Shown {
        let (Some(own), Some(theirs)) = (self.sits_in(from), self.sits_in(to)) else { return Shown::Open };
        let edited = self.edited.as_ref().filter(|(pieces, _)| {
            let is_in = |spot: Spot| pieces.contains(&self.rig.piece_of[spot]);
            is_in(own) || is_in(theirs)
        });
        let shown = match edited {
            Some((_, piece)) => piece.shown(own, theirs),
            None => self.rig.shown(own, theirs),
        };
        self.with_contacts(shown, from, to)
    }

    /// The same with the other lead on several places that are clipped together; on `to` where there are none.
    pub(super) fn shown_on(&self, from: Spot, to: Spot, strip: &[Spot]) -> Shown {
        if strip.is_empty() {
            return self.shown(from, to);
        }
        let is_edited = |spot: Spot| self.edited.as_ref().is_some_and(|(pieces, _)| pieces.contains(&self.rig.piece_of[spot]));
        let is_as_built = self.sits_in(from) == Some(from) && !is_edited(from);
        // Nothing of a sound strip is joined to it, and what did not move stays so.
        let moved = self.sits.keys().filter(|spot| strip.binary_search(spot).is_ok());
        let all = strip.iter().filter(|_| !is_as_built);
        let mut least: Option<Ohms> = None;
        let mut is_vague = false;
        for place in moved.filter(|_| is_as_built).chain(all) {
            match self.shown(from, *place) {
                // In ohms a diode shows nothing.
                Shown::Open | Shown::Forward(_) => {}
                Shown::Ohms(ohms) if least.is_none_or(|least| ohms.nominal < least.nominal) => least = Some(ohms),
                Shown::Ohms(_) => {}
                Shown::Vague => is_vague = true,
            }
        }
        match least {
            Some(least) => Shown::Ohms(least),
            None if is_vague => Shown::Vague,
            None => Shown::Open,
        }
    }

    /// The cavities that hold something else than they should.
    pub(super) fn moved(&self) -> impl Iterator<Item = Spot> {
        self.sits.keys().copied()
    }

    fn with_contacts(&self, shown: Shown, from: Spot, to: Spot) -> Shown {
        let Shown::Ohms(ohms) = shown else { return shown };
        let contacts = self.rig.bare.spots[from].contact + self.rig.bare.spots[to].contact;
        Shown::Ohms(Ohms { least: ohms.least, nominal: ohms.nominal + contacts, most: ohms.most.map(|most| most + contacts) })
    }

    /// Whether a resistance joins what sits at two places.
    pub(super) fn are_joined(&self, from: Spot, to: Spot) -> bool {
        let (Some(own), Some(theirs)) = (self.sits_in(from), self.sits_in(to)) else { return false };
        match &self.edited {
            Some((pieces, piece)) if pieces.contains(&self.rig.piece_of[own]) => piece.are_joined(own, theirs),
            _ => self.rig.hang_together(own, theirs) && self.rig.piece(own).is_some_and(|piece| piece.are_joined(own, theirs)),
        }
    }

    /// What a meter reads at a step of a plan, as it would in the middle of all tolerances; `None` where nobody can say.
    pub(super) fn reading_of(&self, step: &Planned) -> Option<Reading> {
        Self::read(self.shown_on(step.from, step.to, &step.strip), step.setting)
    }

    /// The same of what is shown.
    pub(super) fn read(shown: Shown, setting: Setting) -> Option<Reading> {
        Some(match (shown, setting) {
            (Shown::Vague, _) => return None,
            (Shown::Open, _) | (Shown::Forward(_), Setting::Ohms) => Reading::Open,
            (Shown::Ohms(ohms), Setting::Ohms) => Reading::Ohms(ohms.nominal),
            (Shown::Forward(volts), Setting::Diode) => Reading::Volts(volts),
            (Shown::Ohms(ohms), Setting::Diode) => {
                let volts = ohms.nominal * DIODE_TEST;
                if volts > diode_range().value.get() { Reading::Open } else { Reading::Volts(volts) }
            }
        })
    }
}

fn edited(
    rig: &Rig,
    edits: &BTreeMap<Join, Option<Kind>>,
    turned: &BTreeSet<Join>,
    bridges: &[(Spot, Spot, Kind)],
) -> (BTreeSet<u32>, Piece) {
    let of_joins = edits.keys().chain(turned).map(|join| rig.bare.joins[*join].from);
    let touched: BTreeSet<Spot> = of_joins.chain(bridges.iter().flat_map(|(one, other, _)| [*one, *other])).collect();
    let (pieces, spots) = members(&rig.piece_of, &rig.by_piece, &touched);
    let own = pieces.iter().filter_map(|piece| rig.joins_of_piece.get(*piece as usize)).flatten();
    let mut joins: Vec<Cow<'_, Joined>> = Vec::new();
    for id in own {
        let join = &rig.bare.joins[*id];
        let kind = edits.get(id).copied().unwrap_or(Some(join.kind));
        match kind {
            None => {}
            Some(kind) if kind == join.kind && !turned.contains(id) => joins.push(Cow::Borrowed(join)),
            Some(kind) => {
                let (from, to) = if turned.contains(id) { (join.to, join.from) } else { (join.from, join.to) };
                joins.push(Cow::Owned(Joined { kind, from, to, ..join.clone() }));
            }
        }
    }
    for (one, other, kind) in bridges {
        let bridge = Joined { name: String::new(), noun: "bridge", from: *one, to: *other, kind: *kind };
        joins.push(Cow::Owned(bridge));
    }
    (pieces, Piece::new(spots.into_iter(), joins.iter().map(AsRef::as_ref)))
}
