//! Pieces of lines stitched to lines, with the points where three of them meet.

use super::{Point, Route};
use std::collections::{BTreeMap, BTreeSet};

/// A point as a key.
type Key = (i64, i64);

fn key(point: Point) -> Key {
    ((point.x * 100.0).round() as i64, (point.y * 100.0).round() as i64)
}

/// Lines through all points where two pieces meet, from ends and joints to ends and joints.
pub(super) fn stitched(pieces: Vec<(Point, Point)>) -> Route {
    let mut points: BTreeMap<Key, Point> = BTreeMap::new();
    let mut ways: BTreeMap<Key, BTreeSet<Key>> = BTreeMap::new();
    for (a, b) in pieces.into_iter().filter(|(a, b)| key(*a) != key(*b)) {
        for (one, other) in [(a, b), (b, a)] {
            points.insert(key(one), one);
            ways.entry(key(one)).or_default().insert(key(other));
        }
    }
    let degree = |at: &Key, ways: &BTreeMap<Key, BTreeSet<Key>>| ways.get(at).map_or(0, BTreeSet::len);
    let joints: Vec<Key> = ways.iter().filter(|(_, to)| to.len() > 2).map(|(at, _)| *at).collect();
    let starts: Vec<Key> = ways.keys().copied().filter(|at| degree(at, &ways) != 2).collect();
    let mut walked: BTreeSet<(Key, Key)> = BTreeSet::new();
    let mut lines = Vec::new();
    // Rings have neither ends nor joints: they begin anywhere.
    for start in starts.into_iter().chain(ways.keys().copied()) {
        for next in ways.get(&start).into_iter().flatten() {
            if walked.contains(&(start, *next)) {
                continue;
            }
            let (mut before, mut at) = (start, *next);
            let mut line = vec![start];
            loop {
                walked.insert((before, at));
                walked.insert((at, before));
                line.push(at);
                let on = ways.get(&at).into_iter().flatten().find(|next| **next != before).copied();
                match on {
                    Some(on) if degree(&at, &ways) == 2 && !walked.contains(&(at, on)) => (before, at) = (at, on),
                    _ => break,
                }
            }
            lines.push(straightened(&line, &points));
        }
    }
    Route { lines, joints: joints.iter().filter_map(|at| points.get(at)).copied().collect() }
}

/// Without the points at which a line does not bend.
fn straightened(line: &[Key], points: &BTreeMap<Key, Point>) -> Vec<Point> {
    let mut kept: Vec<Key> = Vec::new();
    for at in line {
        if let [.., before, last] = kept.as_slice() {
            let is_level = before.1 == last.1 && last.1 == at.1;
            let is_upright = before.0 == last.0 && last.0 == at.0;
            if is_level || is_upright {
                kept.pop();
            }
        }
        kept.push(*at);
    }
    kept.iter().filter_map(|at| points.get(at)).copied().collect()
}
