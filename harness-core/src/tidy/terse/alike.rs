//! Things that say the same as one before them but for a key or two: they are `like` that one.

use super::{
    super::sheet::{Edit, Sheet},
    Proposal,
};
use crate::{
    format::{Attribute, steps::named},
    text::NodeId,
};
use std::collections::BTreeMap;

/// Kinds of parts that are written like each other.
const KINDS: [&str; 6] = ["housings", "terminals", "points", "conductors", "cables", "fuses"];
/// Things of a device or loom that are.
const INSIDE: [&str; 3] = ["ports", "ends", "inside"];

/// Keys that are of one thing alone.
const OF_ONE: [&str; 2] = ["note", "row"];
/// Two keys less are not worth a look at another line; where one is long it is.
const LEAST: (usize, usize) = (3, 40);
/// How many things may have to be asked for what is said of one.
const DEEPEST: usize = 2;
/// Letters of a name as most are.
const NAME: usize = 5;
/// So many letters must be saved by asking a thing that is like another itself.
const LOOK: usize = 20;
/// How many things above one are asked whether it is like them.
const FAR: usize = 200;
/// Fewer letters are not either.
const LEAST_SAVED: usize = 24;

pub(super) fn proposals(sheet: &Sheet<'_>) -> Vec<Proposal> {
    let Some(root) = sheet.root else { return Vec::new() };
    let parts = sheet.get(root, "parts");
    let mut proposals = Vec::new();
    for map in KINDS.iter().filter_map(|key| sheet.get(parts?, key)) {
        proposals.extend(alike(sheet, map, None));
    }
    let holders = [sheet.get(root, "devices"), parts.and_then(|parts| sheet.get(parts, "devices")), sheet.get(root, "looms")];
    for (name, holder) in holders.into_iter().flatten().flat_map(|map| sheet.tree.entries(map)) {
        let maps = INSIDE.iter().filter_map(|key| sheet.get(holder, key));
        let edits: Vec<Edit> = maps.flat_map(|map| alike(sheet, map, sheet.scalar(name))).flat_map(|found| found.edits).collect();
        if let (Some(owner), false) = (sheet.scalar(name), edits.is_empty()) {
            proposals.push(Proposal { owner: owner.to_owned(), edits });
        }
    }
    proposals
}

/// A thing in brackets on one line.
struct Thing<'a> {
    /// What another would be like: of a range of kinds the first.
    name: String,
    written: &'a str,
    /// Its keys in the order written, but for `like`.
    own: Vec<(&'a str, &'a str)>,
    /// All that it says, or has from another.
    says: BTreeMap<&'a str, String>,
    /// How many are asked before all is known of it.
    depth: usize,
}

/// The things of a map that are like one before them; of kinds each goes by its own name.
fn alike<'a>(sheet: &'a Sheet<'a>, map: NodeId, owner: Option<&str>) -> Vec<Proposal> {
    let mut bases: Vec<Thing<'a>> = Vec::new();
    let mut proposals = Vec::new();
    for (key, value) in sheet.tree.entries(map) {
        let Some(mut thing) = thing(sheet, key, value, &bases) else { continue };
        if thing.depth == 0 {
            let near = bases.get(bases.len().saturating_sub(FAR)..).unwrap_or_default();
            let shorter = near.iter().filter(|base| base.depth < DEEPEST);
            let of_sort = shorter.filter(|base| are_of_sort(&thing, base, &bases));
            let shorter = of_sort.filter_map(|base| like(&thing, base).map(|(text, length)| (text, base.depth + 1, length)));
            // The first of those that save the same. One that is like a third costs its reader another look.
            if let Some((text, depth, _)) = shorter.min_by_key(|(_, depth, length)| length + depth * LOOK) {
                let edits = vec![Edit { at: sheet.range(value), text }];
                let owner = owner.or_else(|| sheet.scalar(key)).unwrap_or_default();
                proposals.push(Proposal { owner: owner.to_owned(), edits });
                thing.depth = depth;
            }
        }
        bases.push(thing);
    }
    proposals
}

fn thing<'a>(sheet: &'a Sheet<'a>, key: NodeId, value: NodeId, bases: &[Thing<'a>]) -> Option<Thing<'a>> {
    let written = sheet.written(value);
    if !sheet.is_map(value) || !sheet.is_flow(value) || written.contains(['\n', '#', '&', '*']) {
        return None;
    }
    let label = sheet.scalar(key)?;
    let is_range = label.contains("..");
    // What is at each pin is looked for at the plug.
    if sheet.get(value, "pins").is_some() {
        return None;
    }
    let entries = sheet.tree.entries(value).map(|(key, value)| Some((sheet.scalar(key)?, sheet.written(value))));
    let mut own: Vec<(&str, &str)> = entries.collect::<Option<_>>()?;
    let base = own.iter().position(|(key, _)| *key == Attribute::Like.word()).map(|at| own.remove(at).1);
    let base = match base {
        // What is like something that is not above, or not on one line, is not known.
        Some(name) => Some(bases.iter().find(|base| base.name == name)?),
        None => None,
    };
    let one = |text: &str| if is_range { named(text).first().cloned() } else { None }.unwrap_or_else(|| text.to_owned());
    let of_base = base.into_iter().flat_map(|base| &base.says).filter(|(key, _)| !OF_ONE.contains(*key));
    let mut says: BTreeMap<&str, String> = of_base.map(|(key, said)| (*key, said.clone())).collect();
    says.extend(own.iter().map(|(key, said)| (*key, one(said))));
    let name = if is_range { one(label) } else { sheet.written(key).to_owned() };
    Some(Thing { name, written, own, says, depth: base.map_or(0, |base| base.depth + 1) })
}

/// Whether two things are of one family, if they are housings: those of two are not alike, however they are rated. The second half of a plug is
/// of the family of the first.
fn are_of_sort(one: &Thing<'_>, other: &Thing<'_>, all: &[Thing<'_>]) -> bool {
    let family = |thing: &Thing<'_>| {
        let partner = thing.says.get("mates-with").and_then(|name| all.iter().find(|other| other.name == *name));
        thing.says.get("family").or_else(|| partner?.says.get("family")).cloned()
    };
    let is_housing = |thing: &Thing<'_>| thing.says.contains_key("contacts") || thing.says.contains_key("mates-with");
    !is_housing(one) || family(one).is_some_and(|own| family(other) == Some(own))
}

/// A thing as one like `base`, and how long that is whatever the name of `base`; `None` where nothing is gained, or that has what the thing
/// has not.
fn like(thing: &Thing<'_>, base: &Thing<'_>) -> Option<(String, usize)> {
    let of_one = |key: &str| OF_ONE.contains(&key);
    let own = |key: &str| thing.own.iter().find(|(own, _)| *own == key).map(|(_, said)| *said);
    let has_all = base.says.keys().all(|key| of_one(key) || own(key).is_some());
    if !has_all {
        return None;
    }
    let is_same = |key: &str| !of_one(key) && base.says.get(key).map(String::as_str) == own(key);
    let rest = thing.own.iter().filter(|(key, _)| !is_same(key)).map(|(key, said)| format!("{key}: {said}"));
    let first = format!("{}: {}", Attribute::Like, base.name);
    let text = format!("{{ {} }}", std::iter::once(first).chain(rest).collect::<Vec<_>>().join(", "));
    let same = thing.own.iter().filter(|(key, _)| is_same(key)).count();
    let length = text.len().saturating_sub(base.name.len()) + NAME;
    let saved = thing.written.len().saturating_sub(length);
    let is_worth = same >= LEAST.0 || saved >= LEAST.1;
    (is_worth && saved >= LEAST_SAVED && saved * 3 >= thing.written.len() && text.len() < thing.written.len())
        .then_some((text, length))
}
