//! Things that share most of their joints, and what a pair rests on.

use super::{
    Made,
    side::{Link, Side},
};
use crate::diff::sheet::{Key, Kind};
use rustc_hash::FxHashMap;

/// A joint of a thing, in terms that both sides share: the way down to the part that has it, what it is, the thing at its other end as
/// numbered in the new revision.
type Joint<'a> = (Vec<&'a str>, bool, &'a str, &'a str, u32, u32);

/// Share of the joints of the one with more of them that two things must have in common: more than half.
fn is_near(common: usize, most: usize) -> bool {
    2 * common > most
}

/// Pairs of things that are not paired, lie in the same thing, and have more joints in common with each other than with any other.
pub(super) fn pairs(old: &Side<'_>, new: &Side<'_>, made: &Made) -> Vec<(u32, u32)> {
    let mut owners: FxHashMap<(Kind, Option<u32>, Joint<'_>), Vec<u32>> = FxHashMap::default();
    let mut sizes: FxHashMap<u32, usize> = FxHashMap::default();
    for number in (0..new.count()).filter(|number| made.old_of(*number).is_none()) {
        let Some((key, _)) = new.thing(number) else { continue };
        let (joints, size) = joints(new, number, &|other| made.old_of(other).map(|_| other));
        sizes.insert(number, size);
        for joint in joints {
            owners.entry((key.kind, new.parent(number), joint)).or_default().push(number);
        }
    }
    let mut near: Vec<(u32, u32)> = Vec::new();
    for number in (0..old.count()).filter(|number| made.new_of(*number).is_none()) {
        let Some((key, _)) = old.thing(number) else { continue };
        let parent = old.parent(number).map(|parent| made.new_of(parent));
        // What lies in something that is not paired waits for that.
        let parent = match parent {
            Some(None) => continue,
            Some(parent) => parent,
            None => None,
        };
        let (joints, mine) = joints(old, number, &|other| made.new_of(other));
        let mut common: FxHashMap<u32, usize> = FxHashMap::default();
        for joint in joints {
            for other in owners.get(&(key.kind, parent, joint)).into_iter().flatten() {
                *common.entry(*other).or_default() += 1;
            }
        }
        let close =
            common.into_iter().filter(|(other, count)| is_near(*count, mine.max(sizes.get(other).copied().unwrap_or_default())));
        near.extend(close.map(|(other, _)| (number, other)));
    }
    // More than half of the joints of both: a second one could only be as near with joints that are there twice.
    let (mut olds, mut news) = (FxHashMap::<u32, u32>::default(), FxHashMap::<u32, u32>::default());
    for (old, new) in &near {
        *olds.entry(*old).or_default() += 1;
        *news.entry(*new).or_default() += 1;
    }
    let mut found = near;
    found.retain(|(old, new)| olds.get(old) == Some(&1) && news.get(new) == Some(&1));
    found.sort_unstable();
    found
}

/// The joints of a thing and its parts to things that are paired, and how many joints it has in all.
fn joints<'a>(side: &Side<'a>, number: u32, paired: &dyn Fn(u32) -> Option<u32>) -> (Vec<Joint<'a>>, usize) {
    let (mut joints, mut count) = (Vec::new(), 0);
    let mut waiting: Vec<(u32, Vec<&'a str>)> = vec![(number, Vec::new())];
    while let Some((at, way)) = waiting.pop() {
        let mut add = |link: &Link<'a>, out: bool| {
            count += 1;
            if let Some(other) = paired(link.other) {
                joints.push((way.clone(), out, link.fact, link.rest, link.place, other));
            }
        };
        side.out(at).iter().filter(|link| link.joins).for_each(|link| add(link, true));
        side.into(at).iter().for_each(|link| add(link, false));
        for child in side.children(at) {
            let Some((_, thing)) = side.thing(*child) else { continue };
            let mut way = way.clone();
            way.push(thing.name.as_str());
            waiting.push((*child, way));
        }
    }
    (joints, count)
}

/// What a pair rests on, in a few words each: the joints that both have.
pub(super) fn rests_on(old: &Side<'_>, new: &Side<'_>, made: &Made, (mine, theirs): (u32, u32)) -> Vec<String> {
    let (before, _) = joints(old, mine, &|other| made.new_of(other));
    let (now, _) = joints(new, theirs, &|other| made.old_of(other).map(|_| other));
    let mut reasons: Vec<String> = now
        .iter()
        .filter(|joint| before.contains(joint))
        .filter_map(|(_, out, fact, rest, _, other)| {
            let (key, _) = new.thing(*other)?;
            Some(reason(*out, fact, rest, key))
        })
        .collect();
    reasons.dedup();
    if reasons.is_empty() {
        let same = match (old.thing(mine), new.thing(theirs)) {
            (Some((_, old)), Some((_, new))) => new
                .facts
                .iter()
                .filter(|(name, fact)| old.facts.get(*name) == Some(fact))
                .map(|(name, _)| name.as_str())
                .collect(),
            _ => Vec::new(),
        };
        if !same.is_empty() {
            reasons.push(format!("the same {}", same.join(", ")));
        }
    }
    reasons
}

fn reason(out: bool, fact: &str, rest: &str, other: &Key) -> String {
    let point = if rest.is_empty() { other.path.clone() } else { format!("{}.{rest}", other.path) };
    match (out, fact) {
        (true, "mates") => format!("mates {point}"),
        (true, "bolts-to") => format!("bolts to {point}"),
        (true, "core") => format!("core {rest} of {}", other.path),
        (true, _) => format!("joins {point}"),
        (false, "mates" | "bolts-to") => format!("{} goes to it", other.path),
        (false, "ends") if rest.is_empty() => format!("wire {} ends there", other.path),
        (false, "ends") => format!("wire {} in {rest}", other.path),
        (false, _) => format!("named by {other}"),
    }
}
