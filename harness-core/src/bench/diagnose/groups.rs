//! Causes that no reading at a place that probes reach distinguishes.
//!
//! Cost: each cause is compared with the first of each group, mostly by their first difference.

use super::{
    probe::{Probe, Seen},
    shows::Shown,
};

/// Standard deviations of a reading within which two figures are one for a meter.
const ALIKE: f64 = 2.0;

/// The causes by group, each in their order, a group by its first; `None` in `of` stays without.
pub(super) fn groups(shown: &[&Shown], probes: &[Probe], sound: &[Seen], noise: f64) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (place, cause) in shown.iter().enumerate() {
        let alike = groups.iter_mut().find(|group| {
            let first = group.first().and_then(|first| shown.get(*first));
            first.is_some_and(|first| are_alike((first, cause), probes, sound, noise))
        });
        match alike {
            Some(group) => group.push(place),
            None => groups.push(vec![place]),
        }
    }
    groups
}

/// Whether two causes show the same wherever a probe reaches.
fn are_alike((one, other): (&Shown, &Shown), probes: &[Probe], sound: &[Seen], noise: f64) -> bool {
    let (mut a, mut b) = (one.differs.iter().peekable(), other.differs.iter().peekable());
    loop {
        let at = match (a.peek(), b.peek()) {
            (Some((a, _)), Some((b, _))) => *a.min(b),
            (Some((at, _)), None) | (None, Some((at, _))) => *at,
            (None, None) => return true,
        };
        let Some((probe, sound)) = probes.get(at as usize).zip(sound.get(at as usize)) else { return false };
        let seen = |next: Option<&(u32, Seen)>| next.map_or(*sound, |(_, seen)| *seen);
        let (left, right) = (seen(a.next_if(|(of, _)| *of == at)), seen(b.next_if(|(of, _)| *of == at)));
        let within = ALIKE * probe.deviation(left, noise).min(probe.deviation(right, noise));
        if !left.is_like(&right, within) {
            return false;
        }
    }
}
