//! What findings have in common: those of one cause are one entry, and what may only follow from a reading mistake is held back.
//!
//! Owns the order in which a report shows its findings: reading mistakes first, then by level, then by cause; what is held back comes
//! last. Drops no finding; whoever shows a report may fold each cause into one entry, the most severe finding first, so that no danger is folded
//! below something milder. What a swap set off gets the remedy that undoes the swap. What a trial has shown to follow from one finding is of
//! its cause, and that finding is as severe as the worst of them.

mod fold;
mod held_back;
mod hot_zone;
mod owners;

use crate::{
    finding::{Judged, Level},
    model::Model,
    report::Cause,
    text::Sources,
};
use owners::Owners;
use std::{cmp::Reverse, collections::BTreeSet};

/// Puts findings in the order in which a report shows them, and says which of them have one cause.
///
/// The order is total: what is held back last, reading mistakes first, the most severe first, of these a reversed source, causes by the place of their first finding,
/// findings of a cause by level, then by [`Judged::order`]. Cost: sorts, and a union of findings by what they share.
#[must_use]
pub fn arrange(
    model: &Model,
    sources: &Sources,
    mut findings: Vec<Judged>,
    follow: &[(usize, usize)],
) -> (Vec<Judged>, Vec<Cause>) {
    // What follows from hot air was not tried, and is of its cause all the same.
    let tried = follow.len();
    let follow: Vec<(usize, usize)> = follow.iter().copied().chain(hot_zone::follow(&findings)).collect();
    let roots: BTreeSet<usize> = follow.iter().map(|(_, root)| *root).collect();
    for (at, (follower, root)) in follow.iter().enumerate() {
        let level = findings.get_mut(*follower).map(|finding| {
            finding.follows |= at < tried;
            (finding.waived.is_none(), finding.level)
        });
        if let (Some((true, level)), Some(root)) = (level, findings.get_mut(*root))
            && root.waived.is_none()
        {
            root.level = root.level.max(level);
        }
    }
    let owners = Owners::of(model);
    let held = held_back::held_back(model, sources, &owners, &findings);
    let fold::Groups { mut groups, follow: swapped } = fold::groups(model, sources, &owners, &findings, &held, &follow);
    for (follower, leader) in swapped {
        // What undoes the swap removes this too; it is tried for each.
        let swap = findings.get(leader).and_then(|finding| finding.remedies.first().cloned());
        if let (Some(finding), Some(swap)) = (findings.get_mut(follower), swap)
            && finding.remedies.is_empty()
        {
            finding.finding.remedies.push(swap);
        }
    }
    let key = |group: &Vec<usize>| {
        let first = group.first().and_then(|&at| Some((findings.get(at)?, *held.get(at)?)));
        first.map(|(finding, held)| {
            let place = (finding.primary.span.file, finding.primary.span.start);
            (
                held,
                !is_reading(finding),
                Reverse(finding.level),
                !comes_first(finding),
                place,
                finding.rule,
                finding.headline.clone(),
            )
        })
    };
    for group in &mut groups {
        group.sort_by(|&a, &b| match (findings.get(a), findings.get(b)) {
            (Some(one), Some(other)) => {
                let is_root = |at| roots.contains(at);
                is_root(&b).cmp(&is_root(&a)).then_with(|| other.level.cmp(&one.level)).then_with(|| one.order(other))
            }
            _ => a.cmp(&b),
        });
    }
    groups.sort_by_cached_key(key);
    let mut taken: Vec<Option<Judged>> = findings.into_iter().map(Some).collect();
    let (mut arranged, mut causes) = (Vec::with_capacity(taken.len()), Vec::new());
    for group in groups {
        let start = arranged.len();
        let held_back = group.first().and_then(|&at| held.get(at)).copied().unwrap_or_default();
        arranged.extend(group.into_iter().filter_map(|at| taken.get_mut(at).and_then(Option::take)));
        causes.push(Cause { findings: start..arranged.len(), held_back });
    }
    (arranged, causes)
}

/// Whether a finding is about the text of the design, so that what it says may be missing from all that follows.
pub(crate) fn is_reading(finding: &Judged) -> bool {
    finding.rule.starts_with("format/")
}

/// Whether a finding comes first among those of its level: it names what is wrong with everything on its nets, so that others may only follow from
/// it. A source that is connected the wrong way round, an earth that is swapped with a live conductor, a plug that is wrong as a whole.
pub(crate) fn comes_first(finding: &Judged) -> bool {
    turns_nets(finding) || ["mating/wrong-port", "netlist/misnumbered-plug"].contains(&finding.rule)
}

/// Whether a finding names what turns round everything on its nets.
pub(crate) fn turns_nets(finding: &Judged) -> bool {
    ["netlist/reversed-source", "netlist/swapped-earth"].contains(&finding.rule)
}

/// Whether a reading mistake can have hidden something of the design.
pub(crate) fn hides(finding: &Judged) -> bool {
    is_reading(finding) && finding.level >= Level::Error
}

/// The names between backticks in a text.
fn quoted(text: &str) -> impl Iterator<Item = &str> {
    text.split('`').skip(1).step_by(2)
}

#[cfg(test)]
mod tests;
