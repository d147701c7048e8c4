//! In which order wires are cut so that spools change least, and dies least among the orders that do.
//!
//! A wire is cut from one spool, so a spool is mounted once if its wires follow each other: no order has fewer changes than spools less one. A
//! wire joins the die of its one end to that of its other; wires of a spool in a row without a change between them are a trail through the dies,
//! and a connected set of wires takes as many trails as half the dies at which an odd number of ends meet, at least one (Euler's theorem on
//! trails, as in any textbook on graphs). A change between two spools is saved where the last die of one is the first of the next.

use super::Changes;
use std::collections::{BTreeMap, BTreeSet};

/// A spool: whether it is cable, kind, size in thousandths of mm2, colour.
pub(super) type SpoolKey = (bool, String, u64, String);

/// A wire as the order sees it.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    /// The spool that it is cut from.
    pub spool: SpoolKey,
    /// The cable that it is a core of; empty for a wire.
    pub cable: String,
    /// Its length in mm; the longer ones come first where nothing else decides.
    pub length: u64,
    /// The dies of its two ends; empty for an end that is not crimped.
    pub dies: Vec<String>,
    /// Its number.
    pub name: String,
}

/// A wire in its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Place {
    /// The wire.
    pub piece: usize,
    /// Whether its second end is crimped first.
    pub is_turned: bool,
}

/// The order, and how often spools and dies change in it.
pub(super) fn order(pieces: &[Piece]) -> (Vec<Place>, Changes) {
    let mut by_spool: BTreeMap<(&SpoolKey, &str), Vec<usize>> = BTreeMap::new();
    for (at, piece) in pieces.iter().enumerate() {
        by_spool.entry((&piece.spool, piece.cable.as_str())).or_default().push(at);
    }
    let spools: BTreeSet<&SpoolKey> = pieces.iter().map(|piece| &piece.spool).collect();
    let mut done: Vec<Place> = Vec::with_capacity(pieces.len());
    let mut least_dies = 0;
    for (_, mut own) in by_spool {
        own.sort_by(|one, other| {
            let key = |at: usize| pieces.get(at).map(|piece| (std::cmp::Reverse(piece.length), number(&piece.name)));
            key(*one).cmp(&key(*other))
        });
        let (trails, inside) = trails(pieces, &own);
        if !trails.is_empty() {
            least_dies += inside + trails.len() - 1;
        }
        append(pieces, trails, &mut done);
        let is_plain = |at: &usize| pieces.get(*at).is_some_and(|piece| piece.dies.iter().all(String::is_empty));
        done.extend(own.iter().filter(|at| is_plain(at)).map(|at| Place { piece: *at, is_turned: false }));
    }
    // Between two blocks a change is saved at best.
    let changes = Changes {
        spools: spools.len().saturating_sub(1),
        least_spools: spools.len().saturating_sub(1),
        dies: die_changes(pieces, &done),
        least_dies: least_dies.max(dies(pieces).len().saturating_sub(1)),
    };
    (done, changes)
}

/// Wires with number and words in the order of people: `W2` before `W10`.
fn number(name: &str) -> (String, u64, String) {
    let start = name.find(|letter: char| letter.is_ascii_digit()).unwrap_or(name.len());
    let (before, rest) = name.split_at(start);
    let end = rest.find(|letter: char| !letter.is_ascii_digit()).unwrap_or(rest.len());
    let (digits, after) = rest.split_at(end);
    (before.to_owned(), digits.parse().unwrap_or(u64::MAX), after.to_owned())
}

fn dies(pieces: &[Piece]) -> BTreeSet<&str> {
    pieces.iter().flat_map(|piece| &piece.dies).map(String::as_str).filter(|die| !die.is_empty()).collect()
}

/// How often the die changes in an order.
fn die_changes(pieces: &[Piece], order: &[Place]) -> usize {
    let mut last: Option<&str> = None;
    let mut changes = 0;
    for place in order {
        let Some(piece) = pieces.get(place.piece) else { continue };
        let mut own: Vec<&str> = piece.dies.iter().map(String::as_str).filter(|die| !die.is_empty()).collect();
        if place.is_turned {
            own.reverse();
        }
        for die in own {
            changes += usize::from(last.is_some_and(|last| last != die));
            last = Some(die);
        }
    }
    changes
}

/// A trail: wires in a row whose neighbouring ends have one die, with the dies of its two ends.
struct Trail {
    places: Vec<Place>,
    first: String,
    last: String,
}

/// The fewest trails that take each crimped wire of a spool once, and how many of these wires have two dies.
fn trails(pieces: &[Piece], own: &[usize]) -> (Vec<Trail>, usize) {
    // A wire that is crimped at one end alone is a loop at its die.
    let ends = |at: usize| -> Option<(&str, &str)> {
        let piece = pieces.get(at)?;
        let mut crimped = piece.dies.iter().map(String::as_str).filter(|die| !die.is_empty());
        let first = crimped.next()?;
        Some((first, crimped.next().unwrap_or(first)))
    };
    let edges: Vec<(usize, &str, &str)> = own.iter().filter_map(|at| ends(*at).map(|(one, other)| (*at, one, other))).collect();
    let inside = edges.iter().filter(|(_, one, other)| one != other).count();
    let mut around: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (place, (_, one, other)) in edges.iter().enumerate() {
        around.entry(one).or_default().push(place);
        if one != other {
            around.entry(other).or_default().push(place);
        }
    }
    let degree = |die: &str| {
        around
            .get(die)
            .map_or(0, |at| at.iter().filter(|place| edges.get(**place).is_some_and(|(_, one, other)| one != other)).count())
    };
    let mut trails = Vec::new();
    let mut taken = vec![false; edges.len()];
    let mut odd: BTreeSet<&str> = around.keys().copied().filter(|die| degree(die) % 2 == 1).collect();
    for component in components(&edges, &around) {
        let own_odd: Vec<&str> = component.iter().copied().filter(|die| odd.contains(die)).collect();
        // Each pair of odd dies beyond the first is joined by a step without a wire: the walk is cut there.
        let mut joins: Vec<(&str, &str)> = Vec::new();
        for pair in own_odd.get(2..).unwrap_or_default().chunks(2) {
            if let [one, other] = pair {
                joins.push((one, other));
            }
        }
        own_odd.iter().for_each(|die| {
            odd.remove(die);
        });
        let Some(start) = own_odd.first().or(component.first()) else { continue };
        trails.extend(walk(&edges, &around, &joins, start, &mut taken));
    }
    (trails, inside)
}

/// The dies that wires join, each set sorted, in the order of their first die.
fn components<'a>(edges: &[(usize, &'a str, &'a str)], around: &BTreeMap<&'a str, Vec<usize>>) -> Vec<Vec<&'a str>> {
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    let mut found = Vec::new();
    for die in around.keys() {
        if !seen.insert(die) {
            continue;
        }
        let mut own = vec![*die];
        let mut open = vec![*die];
        while let Some(at) = open.pop() {
            for place in around.get(at).into_iter().flatten() {
                let Some((_, one, other)) = edges.get(*place) else { continue };
                for next in [*one, *other] {
                    if seen.insert(next) {
                        own.push(next);
                        open.push(next);
                    }
                }
            }
        }
        own.sort_unstable();
        found.push(own);
    }
    found
}

/// One walk over all wires of a component, by Hierholzer's way, cut at the joins.
fn walk<'a>(
    edges: &[(usize, &'a str, &'a str)],
    around: &BTreeMap<&'a str, Vec<usize>>,
    joins: &[(&'a str, &'a str)],
    start: &'a str,
    taken: &mut [bool],
) -> Vec<Trail> {
    let mut next_of: BTreeMap<&str, usize> = BTreeMap::new();
    let mut free: Vec<bool> = vec![true; joins.len()];
    // Each entry: the die, and the step by which it was reached: a wire with its direction, or a join.
    let mut open: Vec<(&str, Option<Step>)> = vec![(start, None)];
    let mut circuit: Vec<(&str, Option<Step>)> = Vec::new();
    while let Some((die, _)) = open.last().copied() {
        let own = around.get(die).map(Vec::as_slice).unwrap_or_default();
        let at = next_of.entry(die).or_default();
        while own.get(*at).is_some_and(|place| taken.get(*place).copied().unwrap_or(true)) {
            *at += 1;
        }
        if let Some(place) = own.get(*at) {
            if let Some(slot) = taken.get_mut(*place) {
                *slot = true;
            }
            let Some((piece, one, other)) = edges.get(*place) else { continue };
            let is_turned = *one != die;
            open.push((if is_turned { one } else { other }, Some(Step::Wire(Place { piece: *piece, is_turned }))));
            continue;
        }
        let join = joins
            .iter()
            .enumerate()
            .find(|(at, (one, other))| free.get(*at).copied().unwrap_or_default() && (*one == die || *other == die));
        match join {
            Some((at, (one, other))) => {
                if let Some(slot) = free.get_mut(at) {
                    *slot = false;
                }
                open.push((if *one == die { other } else { one }, Some(Step::Join)));
            }
            None => circuit.extend(open.pop()),
        }
    }
    // The way is found from its end: what was reached last comes first, and each wire is walked against its direction.
    let mut trails: Vec<Trail> = Vec::new();
    let mut current: Option<Trail> = None;
    for (die, step) in circuit {
        let trail = current.get_or_insert_with(|| Trail { places: Vec::new(), first: die.to_owned(), last: die.to_owned() });
        trail.last = die.to_owned();
        match step {
            Some(Step::Wire(place)) => {
                let is_loop = edges.iter().any(|(piece, one, other)| *piece == place.piece && one == other);
                trail.places.push(Place { is_turned: !place.is_turned && !is_loop, ..place });
            }
            Some(Step::Join) => trails.extend(current.take()),
            None => {}
        }
    }
    trails.extend(current);
    trails.retain(|trail| !trail.places.is_empty());
    trails
}

#[derive(Debug, Clone, Copy)]
enum Step {
    Wire(Place),
    Join,
}

/// Puts the trails of a spool behind what is there: first one that begins, or ends, with the die that is mounted.
fn append(pieces: &[Piece], mut trails: Vec<Trail>, done: &mut Vec<Place>) {
    while !trails.is_empty() {
        let mounted = done.iter().rev().find_map(|place| {
            let piece = pieces.get(place.piece)?;
            let mut own = piece.dies.iter().filter(|die| !die.is_empty());
            if place.is_turned { own.next() } else { own.next_back() }
        });
        let at = mounted.and_then(|die| trails.iter().position(|trail| trail.first == *die || trail.last == *die)).unwrap_or(0);
        let trail = trails.remove(at);
        if mounted.is_some_and(|die| trail.first != *die && trail.last == *die) {
            done.extend(trail.places.into_iter().rev().map(|place| Place { is_turned: !place.is_turned, ..place }));
        } else {
            done.extend(trail.places);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Changes, Piece, Place, die_changes, order};
    use proptest::prelude::*;

    fn piece(number: usize, spool: usize, dies: &[&str]) -> Piece {
        let dies = dies.iter().map(|die| (*die).to_owned()).collect();
        Piece {
            spool: (false, String::new(), spool as u64, String::new()),
            cable: String::new(),
            length: 100,
            dies,
            name: number.to_string(),
        }
    }

    /// The fewest changes of dies in any order in which no spool is mounted twice, by trying all of them.
    fn brute_force(pieces: &[Piece]) -> usize {
        fn go(pieces: &[Piece], so_far: &mut Vec<Place>, best: &mut usize) {
            if so_far.len() == pieces.len() {
                *best = (*best).min(die_changes(pieces, so_far));
                return;
            }
            let used = |at: usize| so_far.iter().any(|place| place.piece == at);
            let spool_of = |place: &Place| &pieces[place.piece].spool;
            let mounted = so_far.last().map(spool_of);
            let unfinished = mounted.is_some_and(|spool| (0..pieces.len()).any(|at| !used(at) && pieces[at].spool == *spool));
            let next: Vec<usize> =
                (0..pieces.len()).filter(|at| !used(*at) && (!unfinished || Some(&pieces[*at].spool) == mounted)).collect();
            for piece in next {
                for is_turned in [false, true] {
                    so_far.push(Place { piece, is_turned });
                    go(pieces, so_far, best);
                    so_far.pop();
                }
            }
        }
        let mut best = usize::MAX;
        go(pieces, &mut Vec::new(), &mut best);
        best
    }

    fn spool_changes(pieces: &[Piece], places: &[Place]) -> usize {
        places.windows(2).filter(|two| pieces[two[0].piece].spool != pieces[two[1].piece].spool).count()
    }

    #[test]
    fn wires_of_one_spool_follow_the_dies_and_no_order_has_fewer_changes() {
        // Seven bridges (Euler 1741): four odd places take two trails, and each of the seven has a die at either end.
        let bridges = [["a", "b"], ["a", "b"], ["a", "c"], ["a", "c"], ["a", "d"], ["b", "d"], ["c", "d"]];
        let pieces: Vec<Piece> = bridges.iter().enumerate().map(|(at, dies)| piece(at, 1, dies)).collect();
        let (places, changes) = order(&pieces);
        assert_eq!(places.len(), 7);
        assert_eq!(changes, Changes { spools: 0, least_spools: 0, dies: 8, least_dies: 8 });
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        #[test]
        fn no_order_has_fewer_changes_than_is_said(
            wires in proptest::collection::vec((0..2_usize, proptest::collection::vec(0..4_usize, 2)), 1..6)
        ) {
            const DIES: [&str; 4] = ["", "a", "b", "c"];
            let pieces: Vec<Piece> = wires
                .iter()
                .enumerate()
                .map(|(at, (spool, dies))| piece(at, *spool, &dies.iter().map(|die| DIES[*die]).collect::<Vec<_>>()))
                .collect();
            let (places, changes) = order(&pieces);
            let mut taken: Vec<usize> = places.iter().map(|place| place.piece).collect();
            taken.sort_unstable();
            prop_assert_eq!(taken, (0..pieces.len()).collect::<Vec<_>>(), "each wire once");
            prop_assert_eq!(changes.spools, spool_changes(&pieces, &places));
            prop_assert_eq!(changes.dies, die_changes(&pieces, &places));
            let best = brute_force(&pieces);
            prop_assert!(changes.least_dies <= best, "{} said to be the least: {best} do", changes.least_dies);
            let spools: std::collections::BTreeSet<_> = pieces.iter().map(|piece| &piece.spool).collect();
            prop_assert_eq!(changes.spools, spools.len() - 1);
            // With one spool the order is the best; each further spool costs one change at most.
            prop_assert!(changes.dies < best + spools.len(), "{} against {best}", changes.dies);
        }
    }
}
