//! What findings have in common: those of one cause are one entry, and what may only follow from a reading mistake is held back.
//!
//! Owns the order in which a report shows its findings: reading mistakes first, then by level, then by cause; what is held back comes
//! last. Drops no finding; whoever shows a report may fold each cause into one entry, the most severe finding first, so that no danger is folded
//! below something milder. What a swap set off gets the remedy that undoes the swap.

mod fold;
mod held_back;
mod owners;

use crate::{
    finding::{Judged, Level},
    model::Model,
    report::Cause,
    text::Sources,
};
use owners::Owners;
use std::cmp::Reverse;

/// Puts findings in the order in which a report shows them, and says which of them have one cause.
///
/// The order is total: what is held back last, reading mistakes first, the most severe first, of these a reversed source, causes by the place of their first finding,
/// findings of a cause by level, then by [`Judged::order`]. Cost: sorts, and a union of findings by what they share.
#[must_use]
pub fn arrange(model: &Model, sources: &Sources, mut findings: Vec<Judged>) -> (Vec<Judged>, Vec<Cause>) {
    let owners = Owners::of(model);
    let held = held_back::held_back(model, sources, &owners, &findings);
    let fold::Groups { mut groups, follow } = fold::groups(model, sources, &owners, &findings, &held);
    for (follower, leader) in follow {
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
            (held, !is_reading(finding), Reverse(finding.level), !is_root(finding), place, finding.rule, finding.headline.clone())
        })
    };
    for group in &mut groups {
        group.sort_by(|&a, &b| match (findings.get(a), findings.get(b)) {
            (Some(a), Some(b)) => b.level.cmp(&a.level).then_with(|| a.order(b)),
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

/// Whether a finding names what is wrong with everything on its nets, so that others may only follow from it: a source that is connected the
/// wrong way round, an earth that is swapped with a live conductor.
pub(crate) fn is_root(finding: &Judged) -> bool {
    matches!(finding.rule, "netlist/reversed-source" | "netlist/swapped-earth")
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
