//! The whole circuit after an alteration: what was searched and what stayed as it was, in one.

use super::{Altered, Place, piece::Piece};
use crate::circuit::{Operating, Refusal, Swing};

impl Altered<'_> {
    /// The operating state of the whole circuit, in its own numbers; what was joined has none and is left out.
    ///
    /// Islands have numbers of which two are the same where nodes share one, and no order. Cost: a pass over nodes and branches.
    #[must_use]
    pub fn whole(&self) -> Operating {
        let base = self.base;
        let (nodes, branches) = (base.nodes.len(), base.branches.len());
        let mut whole = Operating {
            volts: vec![Default::default(); nodes],
            amps: vec![Default::default(); branches],
            live: vec![false; nodes],
            energised: vec![false; branches],
            converting: vec![false; branches],
            island: vec![0; nodes],
            ..Operating::default()
        };
        let replaced: &[u32] = match &self.place {
            Place::Own(piece) => std::slice::from_ref(piece),
            Place::Merged(merged) => &merged.pieces,
            Place::None => &[],
        };
        let mut islands = 0;
        for (piece, number) in base.pieces.iter().zip(0..) {
            if !replaced.contains(&number) {
                put(&mut whole, piece, &piece.operating, islands);
                islands += piece.nodes.len() as u32;
            }
        }
        if let Some(piece) = self.piece() {
            put(&mut whole, piece, &self.operating, islands);
        }
        for list in [&mut whole.limiting, &mut whole.no_return, &mut whole.unsettled, &mut whole.contested, &mut whole.unexplored]
        {
            list.sort_unstable();
        }
        whole.swings.sort_by_key(|swing| swing.branch);
        whole.refused.sort_by_key(|refusal| refusal.branch);
        whole
    }
}

/// Puts a piece in its place; its islands are numbered after those that are there.
fn put(whole: &mut Operating, piece: &Piece, own: &Operating, islands: u32) {
    for (at, node) in piece.nodes.iter().enumerate() {
        put_at(&mut whole.volts, *node, own.volts.get(at));
        put_at(&mut whole.live, *node, own.live.get(at));
        put_at(&mut whole.island, *node, own.island.get(at).map(|island| island + islands).as_ref());
    }
    for (at, branch) in piece.branches.iter().enumerate() {
        put_at(&mut whole.amps, *branch, own.amps.get(at));
        put_at(&mut whole.energised, *branch, own.energised.get(at));
        put_at(&mut whole.converting, *branch, own.converting.get(at));
    }
    let number = |at: &u32| piece.branches.get(*at as usize).copied();
    whole.limiting.extend(own.limiting.iter().filter_map(number));
    whole.no_return.extend(own.no_return.iter().filter_map(number));
    whole.unsettled.extend(own.unsettled.iter().filter_map(number));
    whole.contested.extend(own.contested.iter().filter_map(number));
    whole.unexplored.extend(own.unexplored.iter().filter_map(number));
    whole.swings.extend(own.swings.iter().filter_map(|swing| Some(Swing { branch: number(&swing.branch)?, ..*swing })));
    whole.refused.extend(own.refused.iter().filter_map(|refused| Some(Refusal { branch: number(&refused.branch)?, ..*refused })));
    whole.residual = whole.residual.max(own.residual);
    whole.rounds += own.rounds;
}

fn put_at<T: Copy>(list: &mut [T], at: u32, value: Option<&T>) {
    if let (Some(slot), Some(value)) = (list.get_mut(at as usize), value) {
        *slot = *value;
    }
}
