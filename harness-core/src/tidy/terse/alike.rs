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
            let shorter = shorter.filter_map(|base| Some((like(&thing, base)?, base.depth + 1)));
            // The first of those that save the same.
            if let Some((text, depth)) = shorter.min_by_key(|(text, _)| text.len()) {
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

/// A thing as one like `base`; `None` where nothing is gained, or that has what the thing has not.
fn like(thing: &Thing<'_>, base: &Thing<'_>) -> Option<String> {
    let of_one = |key: &str| OF_ONE.contains(&key);
    let own = |key: &str| thing.own.iter().find(|(own, _)| *own == key).map(|(_, said)| *said);
    let has_all = base.says.keys().all(|key| of_one(key) || own(key).is_some());
    // Housings of two families are not alike, however they are rated.
    let is_housing = own("contacts").is_some() || own("mates-with").is_some();
    let is_of_sort = !is_housing || own("family") == base.says.get("family").map(String::as_str);
    if !has_all || !is_of_sort {
        return None;
    }
    let is_same = |key: &str| !of_one(key) && base.says.get(key).map(String::as_str) == own(key);
    let rest = thing.own.iter().filter(|(key, _)| !is_same(key)).map(|(key, said)| format!("{key}: {said}"));
    let first = format!("{}: {}", Attribute::Like, base.name);
    let text = format!("{{ {} }}", std::iter::once(first).chain(rest).collect::<Vec<_>>().join(", "));
    let same = thing.own.iter().filter(|(key, _)| is_same(key)).count();
    let saved = thing.written.len().saturating_sub(text.len());
    let is_worth = same >= LEAST.0 || saved >= LEAST.1;
    (is_worth && saved >= LEAST_SAVED && saved * 3 >= thing.written.len()).then_some(text)
}
