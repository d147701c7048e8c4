//! What follows from air that is hotter than the conductors in it are rated for: they may carry nothing there, so that each of them is too thin
//! for its current and for its fuse.

use crate::finding::Judged;
use std::collections::BTreeMap;

/// The rule that names the zone.
const ROOT: &str = "conductor/hot-zone";

/// Rules that each conductor in such air sets off.
const FOLLOWS: [&str; 3] = ["conductor/thin-for-starter", "conductor/undersized", "protection/fuse-over-conductor"];

/// Each finding that follows from a hot zone, with the one that names the zone.
pub(super) fn follow(findings: &[Judged]) -> Vec<(usize, usize)> {
    let mut zones: BTreeMap<&str, usize> = BTreeMap::new();
    for (at, finding) in findings.iter().enumerate().filter(|(_, finding)| finding.rule == ROOT && finding.waived.is_none()) {
        zones.extend(finding.concerns.iter().map(|wire| (wire.as_str(), at)));
    }
    if zones.is_empty() {
        return Vec::new();
    }
    let root = |finding: &Judged| finding.concerns.iter().find_map(|name| zones.get(name.as_str()).copied());
    let follows = |(at, finding): (usize, &Judged)| {
        let is_one = FOLLOWS.contains(&finding.rule) && !finding.follows;
        is_one.then(|| root(finding)).flatten().map(|root| (at, root))
    };
    findings.iter().enumerate().filter_map(follows).collect()
}
