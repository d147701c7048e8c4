//! Which fuse limits the current of a return: what a load passes on, its feed let in.
//!
//! The conductors of a ground form a graph; where it is a tree, every load has one way back to its source's negative pole,
//! and each conductor on it may come to carry what the fuse of the load's feed lets through. A return that several loads
//! share goes by the largest of their fuses. A conductor of which a second way leads round is left out: how they share is a
//! matter of resistance. A source's own lead to the chassis goes by its first fuse, because any bare place of a hot
//! conductor may touch the chassis. What all circuits of a fuse box share is in `common_returns`.

use super::{
    Clusters, Feed, Sections,
    common_returns::common,
    grounds::{Drain, Passage, Pole, Search},
};
use crate::{
    electrical::alternatives::Closure,
    model::{ElementId, WireId},
    network::Network,
    quantity::Ampere,
};

/// A conductor that leads back what a fuse lets through.
#[derive(Debug, Clone, PartialEq)]
pub struct Return {
    /// The largest fuse whose current it may carry.
    pub fuse: ElementId,
    /// What may flow through it: the rating of the fuse, or what those of `branches` let through together, if that is less.
    pub amps: Ampere,
    /// The fuses of a box of which it is the common return, where they decide.
    pub branches: Vec<ElementId>,
    /// The conductor.
    pub wire: WireId,
    /// The load that passes the current on, the source whose lead it is, or the fuse before the box whose common return it is.
    pub of: ElementId,
}

impl Return {
    /// Whether all circuits of a fuse box go back through it.
    #[must_use]
    pub fn is_common(&self) -> bool {
        self.of == self.fuse
    }
}

/// Finds for each conductor of a ground the largest fuse whose current it may carry, sorted by fuse.
///
/// Cost: a walk over the grounds, and nearly linear in the loads: the largest fuse goes first, and no conductor is walked
/// twice.
pub(super) fn returns(
    network: &Network,
    closure: &Closure,
    clusters: &Clusters,
    sections: &Sections,
    feeds: &[Feed],
) -> Vec<Return> {
    let search = Search::new(network, closure, clusters, sections);
    let poles = search.poles();
    let mut ways = search.leads(&poles);
    let drains = search.drains(closure, feeds);
    ways.extend(common(&search, feeds, &drains, &poles));
    ways.extend(to_poles(drains, &poles));
    let mut forest = search.forest;
    // A stable sort: of equal fuses the one that was written first decides.
    ways.sort_by(|a, b| b.limit.rating.total_cmp(a.limit.rating));
    let mut found = Vec::new();
    for way in ways {
        forest.mark(way.from, way.to, |edge| {
            if let Some(wire) = network[edge].wire() {
                let (fuse, amps) = (way.limit.fuse, way.limit.rating);
                found.push(Return { fuse, amps, branches: way.branches.clone(), wire, of: way.of });
            }
        });
    }
    found.sort_by_key(|found| (found.fuse, found.wire));
    found
}

/// The ways from the loads to the poles of their sources.
///
/// Each load goes to the pole that gives most; with that way, the ways between the poles make the ways to all. A source with
/// a limit gives nothing that a fuse would have to end: it counts where there is no other.
fn to_poles(mut drains: Vec<Drain>, poles: &[Pole]) -> Vec<Passage> {
    drains.sort_by(|a, b| a.place.cmp(&b.place).then(b.limit.rating.total_cmp(a.limit.rating)));
    let mut ways = Vec::new();
    for group in drains.chunk_by(|a, b| a.place == b.place) {
        let Some(largest) = group.first() else { continue };
        let first = poles.partition_point(|pole| pole.place < largest.place);
        let mut poles = poles.iter().skip(first).take_while(|pole| pole.place == largest.place);
        let Some(main) = poles.next() else { continue };
        let to_main = |drain: &Drain| {
            let limit = drain.limit.least(main.first);
            Passage { limit, branches: Vec::new(), of: drain.of, from: drain.at, to: main.at }
        };
        ways.extend(group.iter().map(to_main));
        let others = poles.take_while(|pole| pole.limited == main.limited);
        ways.extend(others.map(|pole| Passage {
            limit: largest.limit.least(pole.first),
            branches: Vec::new(),
            of: largest.of,
            from: main.at,
            to: pole.at,
        }));
    }
    ways
}
