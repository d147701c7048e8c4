//! From places and links to what is drawn between two rails: rows and ways side by side, and what is cut off.
//!
//! The idea: a circuit of rows and ways side by side can be drawn between two rails without a crossing. A place with two ways is passed in a
//! row; ways between the same two places are side by side; a way to a place with nothing else hangs at the place that it leaves. When none of
//! that is left to do and more than one way remains, the circuit has a ring of another form: the way whose loss leaves least is cut, and goes
//! on from a letter to a letter.
//!
//! Cost: a few passes over the ways for each nesting; where a way must be cut, one for each that may be.

use super::places::{PlaceId, Places};
use crate::arena::IdVec;
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;

/// A stretch of a way.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Raw {
    /// A link; whether it is passed from its first place to its second.
    Link(usize, bool),
    /// A place that is passed.
    Place(PlaceId),
    /// Ways side by side between the places before and behind it.
    Beside(Vec<Vec<Raw>>),
}

/// A way from one place to another.
#[derive(Debug, Clone)]
pub(super) struct Lane {
    pub(super) a: PlaceId,
    pub(super) b: PlaceId,
    pub(super) steps: Vec<Raw>,
}

/// What a circuit is drawn as.
#[derive(Debug, Default)]
pub(super) struct Reduced {
    /// The ways between the two ends that were given, side by side.
    pub(super) between: Vec<Vec<Raw>>,
    /// What hangs at one place: from it to an end.
    pub(super) hanging: Vec<Lane>,
    /// Ways that were cut, from a place to a place.
    pub(super) cut: Vec<Lane>,
    /// What cuts left joined to nothing else, from end to end.
    pub(super) apart: Vec<Lane>,
}

/// So many ways are tried for a cut; of more the first is cut.
const TRIES: usize = 48;

/// Reduces links between the two ends `s` and `t`.
pub(super) fn reduce(places: &Places<'_>, links: &[usize], s: PlaceId, t: PlaceId) -> Reduced {
    let lanes = links.iter().filter_map(|number| {
        let link = places.links.get(*number)?;
        Some(Lane { a: link.a, b: link.b, steps: vec![Raw::Link(*number, true)] })
    });
    let mut work = Work { places, lanes: lanes.collect(), s, t, hanging: Vec::new(), cut: Vec::new(), apart: Vec::new() };
    work.run();
    while let Some(number) = work.to_cut() {
        let lane = work.lanes.remove(number);
        work.cut.push(lane);
        work.run();
    }
    let Work { lanes, hanging, cut, apart, .. } = work;
    let between = lanes.into_iter().map(|lane| if lane.a == s { lane.steps } else { turned(&lane.steps) }).flat_map(opened);
    let mut between: Vec<Vec<Raw>> = between.collect();
    sort(places, &mut between);
    Reduced { between, hanging, cut, apart }
}

/// The ways side by side of a way that is nothing else.
fn opened(steps: Vec<Raw>) -> Vec<Vec<Raw>> {
    match <[Raw; 1]>::try_from(steps) {
        Ok([Raw::Beside(lanes)]) => lanes,
        Ok([one]) => vec![vec![one]],
        Err(steps) => vec![steps],
    }
}

/// The same way from its other end.
pub(super) fn turned(steps: &[Raw]) -> Vec<Raw> {
    let turn = |step: &Raw| match step {
        Raw::Link(link, forward) => Raw::Link(*link, !forward),
        Raw::Place(place) => Raw::Place(*place),
        Raw::Beside(lanes) => Raw::Beside(lanes.iter().map(|lane| turned(lane)).collect()),
    };
    steps.iter().rev().map(turn).collect()
}

/// The links of a way.
pub(super) fn links(steps: &[Raw]) -> Vec<usize> {
    let mut found = Vec::new();
    for step in steps {
        match step {
            Raw::Link(link, _) => found.push(*link),
            Raw::Place(_) => {}
            Raw::Beside(lanes) => found.extend(lanes.iter().flat_map(|lane| links(lane))),
        }
    }
    found
}

/// Ways side by side in the order in which they are drawn: what gives current first, the way with most in it last, the others as written. Where
/// nothing works in any of them they are ways past each other: the one without a resistor, with the fewest things in it, is the straight one.
fn sort(places: &Places<'_>, lanes: &mut [Vec<Raw>]) {
    let of = |lane: &Vec<Raw>| {
        let links = links(lane);
        let works = links.iter().filter(|link| places.works(**link)).count();
        let drives = links.iter().any(|link| places.drives(*link));
        let resists = links.iter().any(|link| places.role(*link) == Some(crate::network::EdgeRole::Resistor));
        let span = links.iter().filter_map(|link| places.span(*link)).min();
        (works, drives, resists, links.len(), span)
    };
    let works = lanes.iter().any(|lane| of(lane).0 > 0);
    if !works {
        lanes.sort_by_cached_key(|lane| {
            let (_, _, resists, count, span) = of(lane);
            (resists, count, span)
        });
        return;
    }
    lanes.sort_by_cached_key(|lane| {
        let (_, drives, _, _, span) = of(lane);
        (!drives, span)
    });
    // The main way branches on: it is the one behind which most works, if anything branches in it at all.
    let branches = |lane: &Vec<Raw>| lane.iter().any(|step| matches!(step, Raw::Beside(_)));
    let most = lanes.iter().enumerate().filter(|(_, lane)| branches(lane)).max_by_key(|(at, lane)| {
        let (works, ..) = of(lane);
        (works, std::cmp::Reverse(*at))
    });
    if let Some((at, _)) = most {
        lanes.get_mut(at..).into_iter().for_each(|rest| rest.rotate_left(1));
    }
}

struct Work<'p, 'a> {
    places: &'p Places<'a>,
    lanes: Vec<Lane>,
    s: PlaceId,
    t: PlaceId,
    hanging: Vec<Lane>,
    cut: Vec<Lane>,
    apart: Vec<Lane>,
}

impl Work<'_, '_> {
    fn is_end(&self, place: PlaceId) -> bool {
        place == self.s || place == self.t
    }

    /// Rows, ways side by side and what hangs, until nothing is left to do.
    fn run(&mut self) {
        loop {
            let changed = self.rows() | self.side_by_side();
            if !changed && !self.hang() {
                return;
            }
        }
    }

    /// The ways at each place; a way that comes back to its place counts twice.
    fn at(&self) -> IdVec<PlaceId, Vec<usize>> {
        let mut at = IdVec::of(Vec::new(), self.places.points.len());
        for (number, lane) in self.lanes.iter().enumerate() {
            at[lane.a].push(number);
            at[lane.b].push(number);
        }
        at
    }

    /// Joins the two ways at each place that has no others.
    fn rows(&mut self) -> bool {
        let at = self.at();
        let mut lanes: Vec<Option<Lane>> = std::mem::take(&mut self.lanes).into_iter().map(Some).collect();
        // A way that was joined to another is in the slot of the other.
        let mut moved: Vec<usize> = (0..lanes.len()).collect();
        let mut changed = false;
        for (place, here) in at.iter() {
            let [one, other] = here.as_slice() else { continue };
            let (one, other) = (slot(&moved, *one), slot(&moved, *other));
            if self.is_end(place) || one == other {
                continue;
            }
            let (Some(first), Some(second)) =
                (lanes.get_mut(one).and_then(Option::take), lanes.get_mut(other).and_then(Option::take))
            else {
                continue;
            };
            let (a, mut steps) = if first.b == place { (first.a, first.steps) } else { (first.b, turned(&first.steps)) };
            let (b, mut rest) = if second.a == place { (second.b, second.steps) } else { (second.a, turned(&second.steps)) };
            steps.push(Raw::Place(place));
            steps.append(&mut rest);
            if let Some(joined) = lanes.get_mut(one) {
                *joined = Some(Lane { a, b, steps });
            }
            if let Some(gone) = moved.get_mut(other) {
                *gone = one;
            }
            changed = true;
        }
        self.lanes = lanes.into_iter().flatten().collect();
        changed
    }

    /// Joins ways between the same two places.
    fn side_by_side(&mut self) -> bool {
        let mut groups: BTreeMap<(PlaceId, PlaceId), Vec<usize>> = BTreeMap::new();
        for (number, lane) in self.lanes.iter().enumerate().filter(|(_, lane)| lane.a != lane.b) {
            // The ends stay apart: what is between them is put side by side when all is done.
            groups.entry((lane.a.min(lane.b), lane.a.max(lane.b))).or_default().push(number);
        }
        let mut lanes: Vec<Option<Lane>> = std::mem::take(&mut self.lanes).into_iter().map(Some).collect();
        let mut changed = false;
        for ((a, b), group) in groups.into_iter().filter(|(_, group)| group.len() > 1) {
            let (a, b) = if b == self.s || a == self.t { (b, a) } else { (a, b) };
            let mut ways: Vec<Vec<Raw>> = Vec::new();
            for number in &group {
                let Some(lane) = lanes.get_mut(*number).and_then(Option::take) else { continue };
                ways.extend(opened(if lane.a == a { lane.steps } else { turned(&lane.steps) }));
            }
            sort(self.places, &mut ways);
            if let Some(slot) = group.first().and_then(|first| lanes.get_mut(*first)) {
                *slot = Some(Lane { a, b, steps: vec![Raw::Beside(ways)] });
            }
            changed = true;
        }
        self.lanes = lanes.into_iter().flatten().collect();
        changed
    }

    /// Takes away one way that leads to nothing else, or back to where it began; the shortest, so that the longest stays.
    fn hang(&mut self) -> bool {
        let at = self.at();
        let is_loose = |lane: &Lane| {
            let ends = |place: PlaceId| !self.is_end(place) && at[place].len() == 1;
            lane.a == lane.b || ends(lane.a) || ends(lane.b)
        };
        let loose = self.lanes.iter().enumerate().filter(|(_, lane)| is_loose(lane));
        let first = loose.min_by_key(|(number, lane)| {
            let links = links(&lane.steps);
            (links.len(), links.iter().filter_map(|link| self.places.span(*link)).min(), *number)
        });
        let Some((number, _)) = first else { return false };
        let lane = self.lanes.remove(number);
        let is_loose_at = |place: PlaceId| !self.is_end(place) && at[place].len() == 1;
        if lane.a == lane.b {
            self.cut.push(lane);
        } else if is_loose_at(lane.a) && is_loose_at(lane.b) {
            self.apart.push(lane);
        } else if !self.is_end(lane.b) && at[lane.b].len() == 1 {
            self.hanging.push(lane);
        } else {
            self.hanging.push(Lane { a: lane.b, b: lane.a, steps: turned(&lane.steps) });
        }
        true
    }

    /// Which way is to be cut; `None` where all that is left is between the two ends.
    fn to_cut(&self) -> Option<usize> {
        let is_done = |lane: &Lane| self.is_end(lane.a) && self.is_end(lane.b);
        if self.lanes.iter().all(is_done) {
            return None;
        }
        let candidates = self.lanes.iter().enumerate().filter(|(_, lane)| !is_done(lane));
        if self.lanes.len() > TRIES {
            return candidates.map(|(number, _)| number).next();
        }
        candidates
            .min_by_key(|(number, lane)| {
                let own = links(&lane.steps);
                // The one way that leads on from an end of the rails stays, or all else would hang somewhere.
                let strands = [lane.a, lane.b].into_iter().filter(|end| self.is_end(*end)).any(|end| {
                    let others = self.lanes.iter().filter(|other| !is_done(other) && (other.a == end || other.b == end));
                    others.count() == 1
                });
                let touches = self.is_end(lane.a) || self.is_end(lane.b);
                let (left, lost) = self.left_without(*number);
                let works = own.iter().chain(&lost).filter(|link| self.places.works(**link)).count();
                let span = own.iter().filter_map(|link| self.places.span(*link)).min();
                (strands, works, touches, left, own.len() + lost.len(), span, *number)
            })
            .map(|(number, _)| number)
    }

    /// How many ways are left of those that remain without one of them, and which links hang somewhere then.
    fn left_without(&self, number: usize) -> (usize, Vec<usize>) {
        let lanes = self.lanes.iter().enumerate().filter(|(other, _)| *other != number).map(|(_, lane)| lane.clone()).collect();
        let mut trial =
            Work { places: self.places, lanes, s: self.s, t: self.t, hanging: Vec::new(), cut: Vec::new(), apart: Vec::new() };
        trial.run();
        let lost = trial.hanging.iter().chain(&trial.cut).chain(&trial.apart).flat_map(|lane| links(&lane.steps)).collect();
        (trial.lanes.len(), lost)
    }
}

/// Where a way is now.
fn slot(moved: &[usize], mut at: usize) -> usize {
    while let Some(next) = moved.get(at).copied().filter(|next| *next != at) {
        at = next;
    }
    at
}

/// The two places that are farthest from each other among those of a piece without anything that works.
pub(super) fn farthest(places: &Places<'_>, all: &[PlaceId], links: &[usize]) -> Option<(PlaceId, PlaceId)> {
    let mut around: FxHashMap<PlaceId, Vec<PlaceId>> = FxHashMap::default();
    for link in links.iter().filter_map(|link| places.links.get(*link)) {
        around.entry(link.a).or_default().push(link.b);
        around.entry(link.b).or_default().push(link.a);
    }
    let last = |start: PlaceId| {
        let mut order = vec![start];
        let mut seen = rustc_hash::FxHashSet::from_iter([start]);
        let mut next = 0;
        while let Some(place) = order.get(next).copied() {
            next += 1;
            for other in around.get(&place).into_iter().flatten() {
                if seen.insert(*other) {
                    order.push(*other);
                }
            }
        }
        order.last().copied()
    };
    let one = last(*all.first()?)?;
    let other = last(one)?;
    Some((one.min(other), one.max(other)))
}
