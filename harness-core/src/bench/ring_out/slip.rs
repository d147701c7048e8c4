//! Slips of the hand while a loom is built: all that a loom can have, and how a person says them.

use super::{
    bare::{Bare, Join, Kind, Plug, Spot},
    rig::Rig,
};
use std::collections::BTreeSet;

/// What can be wrong with a loom.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Slip {
    /// A wire or an element does not conduct; at a spot with no other wire its terminal may not be seated.
    Open(Join),
    /// A terminal with several wires is not seated.
    Unseated(Spot),
    /// Two terminals of one end are in each other's cavities.
    Swapped(Spot, Spot),
    /// A terminal is in a free cavity.
    Misplaced { from: Spot, to: Spot },
    /// A wire was crimped into the terminal of another one.
    Crowded { from: Spot, to: Spot },
    /// A row of terminals, each by one cavity too far or not far enough: where each belongs, and where it is.
    Shifted { plug: Plug, moves: Vec<(Spot, Spot)> },
    /// Two cavities beside each other have contact, or a screen with one of its cores.
    Bridged(Spot, Spot),
    /// A diode looks the other way.
    Reversed(Join),
    /// A diode or resistor is bridged, or a wire is in its place.
    Shorted(Join),
    /// A bad crimp: so many ohms too much.
    Poor(Join, f64),
    /// A resistor of another value, in ohm.
    Wrong(Join, f64),
    /// So many ohms between two places that nothing should join: moisture, soot, a part too many.
    Leaky(Spot, Spot, f64),
    /// Two nets have contact anywhere in the loom.
    Touching(Spot, Spot),
}

/// Slips of one sort, in the order in which a person looks for them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum SlipKind {
    /// A wire or element that does not conduct.
    Open,
    /// A terminal with several wires that is not seated.
    Unseated,
    /// Two terminals of one end that are swapped.
    Swapped,
    /// A row of terminals that is shifted by one.
    Shifted,
    /// A terminal in a free cavity.
    Misplaced,
    /// A wire in the terminal of another one.
    Crowded,
    /// Two neighbours that have contact.
    Bridged,
    /// A diode the wrong way round.
    Reversed,
    /// A diode or resistor that is bridged.
    Shorted,
    /// A conductor with too much resistance.
    Poor,
    /// A resistor of another value.
    Wrong,
    /// A resistance between places that nothing should join.
    Leaky,
    /// Two nets that have contact anywhere in the loom.
    Touching,
}

impl SlipKind {
    /// What a list of such slips is headed by.
    #[must_use]
    pub fn heading(self) -> &'static str {
        match self {
            Self::Open => "wire or element open",
            Self::Unseated => "terminal with several wires not seated",
            Self::Swapped => "two terminals swapped",
            Self::Shifted => "row of terminals shifted by one",
            Self::Misplaced => "terminal in a free cavity",
            Self::Crowded => "wire in the terminal of another cavity",
            Self::Bridged => "bridge of neighbours",
            Self::Reversed => "diode the wrong way round",
            Self::Shorted => "diode or resistor bridged",
            Self::Poor => "too much resistance",
            Self::Wrong => "resistor of another value",
            Self::Leaky => "resistance between nets",
            Self::Touching => "contact of two nets",
        }
    }
}

impl Slip {
    /// How far a resistor of another value may be from what one reading makes of it, as a share.
    pub(super) const WRONG_TOLERANCE: f64 = 0.05;

    pub(super) fn kind(&self) -> SlipKind {
        match self {
            Self::Open(_) => SlipKind::Open,
            Self::Unseated(_) => SlipKind::Unseated,
            Self::Swapped(..) => SlipKind::Swapped,
            Self::Shifted { .. } => SlipKind::Shifted,
            Self::Misplaced { .. } => SlipKind::Misplaced,
            Self::Crowded { .. } => SlipKind::Crowded,
            Self::Bridged(..) => SlipKind::Bridged,
            Self::Reversed(_) => SlipKind::Reversed,
            Self::Shorted(_) => SlipKind::Shorted,
            Self::Poor(..) => SlipKind::Poor,
            Self::Wrong(..) => SlipKind::Wrong,
            Self::Leaky(..) => SlipKind::Leaky,
            Self::Touching(..) => SlipKind::Touching,
        }
    }

    /// The end at which hands made it; `None` for what is in a conductor.
    pub(super) fn plug(&self, bare: &Bare) -> Option<Plug> {
        match self {
            Self::Unseated(spot) | Self::Swapped(spot, _) | Self::Bridged(spot, _) => bare.spots[*spot].plug,
            Self::Misplaced { from, .. } | Self::Crowded { from, .. } => bare.spots[*from].plug,
            Self::Shifted { plug, .. } => Some(*plug),
            Self::Open(_) | Self::Reversed(_) | Self::Shorted(_) | Self::Poor(..) | Self::Wrong(..) => None,
            Self::Leaky(..) | Self::Touching(..) => None,
        }
    }
}

/// Every slip that a loom can have, without those that only a reading gives a figure; each is handed to `visit`.
///
/// Cost: the square of the cavities of each end.
pub(super) fn each(rig: &Rig, mut visit: impl FnMut(Slip)) {
    let bare = &rig.bare;
    for (id, join) in bare.joins.iter() {
        visit(Slip::Open(id));
        match join.kind {
            Kind::Diode(_) => {
                visit(Slip::Reversed(id));
                visit(Slip::Shorted(id));
            }
            Kind::Resistor(..) => visit(Slip::Shorted(id)),
            Kind::Metal(_) | Kind::Vague => {}
        }
    }
    for plug in bare.plugs.ids() {
        let spots = &bare.plugs[plug].spots;
        let used: Vec<Spot> = spots.iter().copied().filter(|spot| bare.spots[*spot].is_used).collect();
        for (at, one) in used.iter().enumerate() {
            if rig.joins_at[*one].len() > 1 {
                visit(Slip::Unseated(*one));
            }
            for other in used.iter().skip(at + 1) {
                visit(Slip::Swapped(*one, *other));
            }
            for to in spots.iter().filter(|to| *to != one) {
                let to = *to;
                visit(if bare.spots[to].is_used { Slip::Crowded { from: *one, to } } else { Slip::Misplaced { from: *one, to } });
            }
        }
        shifts(bare, plug, &mut visit);
    }
    for (one, other) in bridges(rig) {
        visit(Slip::Bridged(one, other));
    }
}

/// The pairs that a stray strand or a bent contact brings together: neighbours of a plug, a screen and its cores where they leave it.
pub(super) fn bridges(rig: &Rig) -> Vec<(Spot, Spot)> {
    let bare = &rig.bare;
    let mut pairs: Vec<(Spot, Spot)> = bare.plugs.ids().flat_map(|plug| bare.neighbours(plug)).collect();
    pairs.extend(bare.screened.iter().copied());
    pairs
}

/// Each order of each plug, shifted by one both ways: as a whole, and from each cavity on up to the next free one.
fn shifts(bare: &Bare, plug: Plug, visit: &mut impl FnMut(Slip)) {
    let is_used = |spot: &Spot| bare.spots[*spot].is_used;
    let mut known: BTreeSet<Vec<(Spot, Spot)>> = BTreeSet::new();
    for order in bare.orders(plug) {
        if order.len() < 3 {
            continue;
        }
        let reversed: Vec<Spot> = order.iter().rev().copied().collect();
        for order in [order, reversed] {
            let next = |at: usize| order.get(at + 1).or(order.first()).copied();
            let whole: Vec<(Spot, Spot)> = order.iter().enumerate().filter_map(|(at, from)| Some((*from, next(at)?))).collect();
            let mut blocks = vec![whole];
            for (start, _) in order.iter().enumerate().filter(|(_, spot)| is_used(spot)) {
                let block: Vec<Spot> = order.iter().skip(start).copied().take_while(|spot| is_used(spot)).collect();
                let Some(free) = order.get(start + block.len()).copied() else { continue };
                let mut moves: Vec<(Spot, Spot)> =
                    block.iter().copied().zip(block.iter().copied().skip(1).chain([free])).collect();
                // The free cavity holds nothing, and this is what the first one holds now.
                moves.extend(block.first().map(|first| (free, *first)));
                blocks.push(moves);
            }
            for mut moves in blocks {
                // One wire that is moved is one in a wrong cavity.
                if moves.iter().filter(|(from, _)| is_used(from)).count() < 2 {
                    continue;
                }
                moves.sort_unstable();
                if known.insert(moves.clone()) {
                    visit(Slip::Shifted { plug, moves });
                }
            }
        }
    }
}
