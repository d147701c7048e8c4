//! Cables side by side: chains of wires that join the same two places.
//!
//! A place is a lump of metal without its wires: a stud with its rings, a mated contact, a splice, a bar. Where two wires meet and nothing
//! else does, as in a connector between two looms, the conductor goes on, so a chain may be of several wires. Cables that meet again on
//! their way, at a further splice, are not seen as such.

use crate::{
    arena::IdVec,
    model::{PointKind, WireId},
    network::{Components, EdgeId, GroupId, Network},
};

/// Wires in a row, with their edges; at least one.
pub type Chain = Vec<(WireId, EdgeId)>;

/// A wire as a place has it: the wire, and the place at its other end.
type Arm = ((WireId, EdgeId), GroupId);

/// The chains that join the same two places, where there are several, each group in the order of its first wires.
///
/// Cost: a pass over the points and edges.
#[must_use]
pub fn side_by_side(network: &Network) -> Vec<Vec<Chain>> {
    let places = network.components(|_, edge| edge.is_metal() && edge.wire().is_none());
    let mut arms: IdVec<GroupId, Vec<Arm>> = places.table(Vec::new());
    for (id, edge) in network.edges() {
        let (a, b) = (places.of(edge.a), places.of(edge.b));
        if let Some(wire) = edge.wire().filter(|_| a != b) {
            arms[a].push(((wire, id), b));
            arms[b].push(((wire, id), a));
        }
    }
    let mut goes_on = places.table(false);
    for (place, arms) in arms.iter().filter(|(_, arms)| arms.len() == 2) {
        goes_on[place] = arms.len() == 2 && is_bare(network, &places, place);
    }
    let mut found: Vec<((GroupId, GroupId), Chain)> = Vec::new();
    for (place, starts) in arms.iter().filter(|(place, _)| !goes_on[*place]) {
        for start in starts {
            let (chain, end) = follow(&arms, &goes_on, *start);
            // Each chain is met from both of its ends; one that comes back to its place is side by side with nothing.
            if place < end {
                found.push(((place, end), chain));
            }
        }
    }
    found.sort_unstable();
    let groups = found.chunk_by(|a, b| a.0 == b.0).filter(|group| group.len() > 1);
    groups.map(|group| group.iter().map(|(_, chain)| chain.clone()).collect()).collect()
}

/// Whether nothing but metal is at a place, and nothing in it is the end of a box of which only the pins are known.
fn is_bare(network: &Network, places: &Components, place: GroupId) -> bool {
    places.members(place).iter().all(|point| {
        let only_metal = network.around(*point).all(|(_, edge, _)| edge.is_metal());
        let joined = || network.around(*point).any(|(_, edge, _)| edge.element().is_some());
        only_metal
            && match network.model()[*point].kind {
                PointKind::Pin(_) | PointKind::Stud(_) => joined(),
                PointKind::Node(_) | PointKind::Cavity(_) | PointKind::Ring(_) | PointKind::Splice(_) => true,
            }
    })
}

/// The chain that begins with a wire, and the place where it ends.
fn follow(arms: &IdVec<GroupId, Vec<Arm>>, goes_on: &IdVec<GroupId, bool>, (first, mut at): Arm) -> (Chain, GroupId) {
    let mut chain = vec![first];
    while goes_on[at] {
        let last = chain.last().copied();
        // Of two wires the other one goes on.
        let Some((next, beyond)) = arms[at].iter().find(|(wire, _)| Some(*wire) != last) else { break };
        chain.push(*next);
        at = *beyond;
    }
    (chain, at)
}
