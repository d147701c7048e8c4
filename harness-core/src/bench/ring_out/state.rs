//! A loom as built: sound, or with slips of the hand in it, and what a meter shows at its ends.

use super::{
    bare::{Join, Joined, Kind, Spot},
    piece::{Ohms, Piece, Shown},
    planned::Planned,
    reading::{Reading, Setting},
    rig::{PieceId, Rig},
    slip::Slip,
    strip::Strip,
};
use crate::standards::ring_out::diode_range;
use std::{
    borrow::Cow,
    collections::{BTreeMap, BTreeSet},
};

/// Current of a meter that tests diodes, in ampere.
const DIODE_TEST: f64 = 1e-3;

/// The loom with slips in it, one after the other.
#[derive(Debug)]
pub(super) struct State<'b> {
    rig: &'b Rig,
    /// What sits in a cavity now, by the cavity that it belongs in; only where that is another one. `None` where nothing does.
    sits: BTreeMap<Spot, Option<Spot>>,
    /// What hangs together otherwise than in the sound loom, and the pieces that it replaces.
    edited: Option<(BTreeSet<PieceId>, Piece)>,
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

    fn sits_in(&self, spot: Spot) -> Option<Spot> {
        self.sits.get(&spot).copied().unwrap_or(Some(spot))
    }

    /// The spots at whose leads something other than in the sound loom may show.
    pub(super) fn touched(&self) -> BTreeSet<Spot> {
        let mut touched: BTreeSet<Spot> = self.sits.keys().copied().collect();
        if let Some((pieces, _)) = &self.edited {
            touched.extend(pieces.iter().flat_map(|piece| self.rig.spots_of(*piece)));
        }
        touched
    }

    /// What a meter shows with its leads at two places.
    pub(super) fn shown(&self, from: Spot, to: Spot) -> Shown {
        let (Some(own), Some(theirs)) = (self.sits_in(from), self.sits_in(to)) else { return Shown::Open };
        let edited = self.edited.as_ref().filter(|(pieces, _)| {
            let is_in = |spot: Spot| pieces.contains(&self.rig.piece_of(spot));
            is_in(own) || is_in(theirs)
        });
        let shown = match edited {
            Some((_, piece)) => piece.shown(own, theirs),
            None => self.rig.shown(own, theirs),
        };
        self.rig.with_contacts(shown, from, to)
    }

    /// The same with the other lead on the strip before `from` comes to it; at `to` where there is none.
    pub(super) fn shown_on(&self, from: Spot, to: Spot, strip: Option<&Strip>) -> Shown {
        let Some(strip) = strip else { return self.shown(from, to) };
        let is_edited = |spot: Spot| self.edited.as_ref().is_some_and(|(pieces, _)| pieces.contains(&self.rig.piece_of(spot)));
        let is_as_built = self.sits_in(from) == Some(from) && !is_edited(from);
        // Nothing of a sound strip is joined to it, and what did not move stays so.
        let moved = self.sits.keys().copied().filter(|spot| is_as_built && strip.is_before(self.rig, from, *spot));
        let all = strip.before(self.rig, from).filter(|_| !is_as_built);
        let mut least: Option<Ohms> = None;
        let mut is_vague = false;
        for place in moved.chain(all) {
            match self.shown(from, place) {
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

    /// The pieces that what sits at a place hangs together with, its own among them; none where nothing sits.
    pub(super) fn pieces_at(&self, spot: Spot) -> Vec<PieceId> {
        let Some(own) = self.sits_in(spot).map(|content| self.rig.piece_of(content)) else { return Vec::new() };
        match &self.edited {
            Some((pieces, _)) if pieces.contains(&own) => pieces.iter().copied().collect(),
            _ => vec![own],
        }
    }

    /// The pieces at which anything is otherwise than in the sound loom.
    pub(super) fn shaken(&self) -> BTreeSet<PieceId> {
        let moved = self.sits.iter().flat_map(|(cavity, content)| std::iter::once(*cavity).chain(*content));
        let edited = self.edited.iter().flat_map(|(pieces, _)| pieces.iter().copied());
        moved.map(|spot| self.rig.piece_of(spot)).chain(edited).collect()
    }

    /// Whether a cavity holds something else than it should.
    pub(super) fn is_moved(&self, spot: Spot) -> bool {
        self.sits.contains_key(&spot)
    }

    /// The cavities that hold something else than they should.
    pub(super) fn moved(&self) -> impl Iterator<Item = Spot> {
        self.sits.keys().copied()
    }

    /// Whether a resistance joins what sits at two places.
    pub(super) fn are_joined(&self, from: Spot, to: Spot) -> bool {
        let (Some(own), Some(theirs)) = (self.sits_in(from), self.sits_in(to)) else { return false };
        match &self.edited {
            Some((pieces, piece)) if pieces.contains(&self.rig.piece_of(own)) => piece.are_joined(own, theirs),
            _ => self.rig.are_joined(own, theirs),
        }
    }

    /// What a meter reads at a step of a plan, as it would in the middle of all tolerances; `None` where nobody can say.
    pub(super) fn reading_of(&self, step: &Planned, strip: &Strip) -> Option<Reading> {
        Self::read(self.shown_on(step.from, step.to, step.is_on_strip().then_some(strip)), step.setting)
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
) -> (BTreeSet<PieceId>, Piece) {
    let of_joins = edits.keys().chain(turned).map(|join| rig.bare.joins[*join].from);
    let touched = of_joins.chain(bridges.iter().flat_map(|(one, other, _)| [*one, *other]));
    let pieces: BTreeSet<PieceId> = touched.map(|spot| rig.piece_of(spot)).collect();
    let spots = pieces.iter().flat_map(|piece| rig.spots_of(*piece)).copied();
    let own = pieces.iter().flat_map(|piece| rig.joins_of(*piece));
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
    let piece = Piece::new(spots, joins.iter().map(AsRef::as_ref));
    (pieces, piece)
}
