//! Things that share most of their joints, and what a pair rests on.

use super::{
    Made,
    graph::{Graph, Mention},
};
use crate::{
    diff::inventory::{FactKey, Key, Kind},
    format::Attribute,
};
use rustc_hash::FxHashMap;

/// What a joint leads to, in terms that both sides share.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
enum Other<'a> {
    /// A thing that is paired, as numbered in the new revision.
    Paired(u32),
    /// A part of the thing itself, by the way down to it.
    Within(Vec<&'a str>),
}

/// A joint of a thing, in terms that both sides share.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
struct Tie<'a> {
    /// The way down to the part that has it.
    way: Vec<&'a str>,
    /// Whether that part names the other, or is named by it.
    out: bool,
    fact: &'a FactKey,
    rest: &'a str,
    place: u32,
    other: Other<'a>,
    /// How many like it come before: the second of two equal joints is another.
    nth: u32,
}

/// Share of the joints of the one with more of them that two things must have in common: more than half.
fn is_near(common: usize, most: usize) -> bool {
    2 * common > most
}

/// Pairs of things that are not paired, are in the same thing, and have more joints in common with each other than with any other.
pub(super) fn pairs(old: &Graph<'_>, new: &Graph<'_>, made: &Made) -> Vec<(u32, u32)> {
    let mut owners: FxHashMap<(Kind, Option<u32>, Tie<'_>), Vec<u32>> = FxHashMap::default();
    let mut sizes: FxHashMap<u32, usize> = FxHashMap::default();
    for number in (0..new.count()).filter(|number| made.old_of(*number).is_none()) {
        let Some((key, _)) = new.thing(number).filter(|(key, _)| !key.kind.is_part()) else { continue };
        if new.parent(number).is_some_and(|parent| made.old_of(parent).is_none()) {
            continue;
        }
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
        // What is in something that is not paired waits for that.
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
    // More than half of the joints of both, each counted once: a second one as near can only be among things whose joints are alike.
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

/// The joints of a thing and its parts to each other and to things that are paired, and how many joints it has in all.
fn joints<'a>(side: &Graph<'a>, number: u32, paired: &dyn Fn(u32) -> Option<u32>) -> (Vec<Tie<'a>>, usize) {
    let mut ways: FxHashMap<u32, Vec<&'a str>> = FxHashMap::default();
    let mut waiting: Vec<(u32, Vec<&'a str>)> = vec![(number, Vec::new())];
    while let Some((at, way)) = waiting.pop() {
        for child in side.children(at) {
            let Some((_, thing)) = side.thing(*child) else { continue };
            let mut way = way.clone();
            way.push(thing.name.as_str());
            waiting.push((*child, way));
        }
        ways.insert(at, way);
    }
    let (mut joints, mut count) = (Vec::new(), 0);
    for (at, way) in &ways {
        let mut add = |link: &Mention<'a>, out: bool| {
            let other = match ways.get(&link.other) {
                // A joint within the thing is seen from both its ends.
                Some(_) if !out => return,
                Some(way) => Some(Other::Within(way.clone())),
                None => paired(link.other).map(Other::Paired),
            };
            count += 1;
            let Some(other) = other else { return };
            joints.push(Tie { way: way.clone(), out, fact: link.fact, rest: link.rest, place: link.place, other, nth: 0 });
        };
        side.out(*at).iter().filter(|link| link.joins).for_each(|link| add(link, true));
        side.into(*at).iter().filter(|link| side.holds(link, *at)).for_each(|link| add(link, false));
    }
    joints.sort_unstable();
    let mut before: Option<Tie<'_>> = None;
    for joint in &mut joints {
        joint.nth =
            before.as_ref().filter(|before| Tie { nth: 0, ..(*before).clone() } == *joint).map_or(0, |before| before.nth + 1);
        before = Some(joint.clone());
    }
    (joints, count)
}

/// What a pair rests on, in a few words each: the joints that both have.
pub(super) fn rests_on(old: &Graph<'_>, new: &Graph<'_>, made: &Made, (mine, theirs): (u32, u32)) -> Vec<String> {
    let (before, _) = joints(old, mine, &|other| made.new_of(other));
    let (now, _) = joints(new, theirs, &|other| made.old_of(other).map(|_| other));
    let mut reasons: Vec<String> = now
        .iter()
        .filter(|joint| before.contains(joint))
        .filter_map(|joint| {
            let Other::Paired(other) = &joint.other else { return None };
            let (key, _) = new.thing(*other)?;
            Some(reason(joint.out, joint.fact, joint.rest, key))
        })
        .collect();
    let within = now.iter().filter(|joint| matches!(joint.other, Other::Within(_)) && before.contains(joint)).count();
    if within > 0 {
        reasons.push(format!("{within} of {} joints inside are the same", now.len().max(before.len()) - reasons.len()));
    }
    reasons.dedup();
    if reasons.is_empty() {
        let same: Vec<String> = match (old.thing(mine), new.thing(theirs)) {
            (Some((_, old)), Some((_, new))) => new
                .facts
                .iter()
                .filter(|(name, fact)| old.facts.get(*name) == Some(fact))
                .map(|(name, _)| name.to_string())
                .collect(),
            _ => Vec::new(),
        };
        if !same.is_empty() {
            reasons.push(format!("the same {}", same.join(", ")));
        }
    }
    reasons
}

fn reason(out: bool, fact: &FactKey, rest: &str, other: &Key) -> String {
    let point = if rest.is_empty() { other.path.clone() } else { format!("{}.{rest}", other.path) };
    match (out, fact.plain()) {
        (true, Some(Attribute::Mates)) => format!("mates {point}"),
        (true, Some(Attribute::BoltsTo)) => format!("bolts to {point}"),
        (true, Some(Attribute::LandsOn)) => format!("lands on {point}"),
        (true, Some(Attribute::Core)) => format!("core {rest} of {}", other.path),
        (true, _) => format!("joins {point}"),
        (false, Some(Attribute::Mates | Attribute::BoltsTo | Attribute::LandsOn)) => format!("{} goes to it", other.path),
        (false, Some(Attribute::Ends)) if rest.is_empty() => format!("wire {} ends there", other.path),
        (false, Some(Attribute::Ends)) => format!("wire {} in {rest}", other.path),
        (false, _) => format!("named by {other}"),
    }
}
