//! The domain that most pins of a device or plug have, and the size and colour that most wires of a loom have, once above them.

use super::{super::sheet::Sheet, Proposal};
use crate::text::NodeId;
use std::collections::BTreeMap;

/// Keys that wires of a loom share.
const OF_WIRES: [&str; 2] = ["size", "colour"];

/// The key that pins share.
const OF_PINS: &str = "domain";

/// A word above wires is worth it from this many on.
const LEAST: usize = 3;

pub(super) fn proposals(sheet: &Sheet<'_>) -> Vec<Proposal> {
    let Some(root) = sheet.root else { return Vec::new() };
    let parts = sheet.get(root, "parts");
    let devices = [sheet.get(root, "devices"), parts.and_then(|parts| sheet.get(parts, "devices"))];
    let devices =
        devices.into_iter().flatten().flat_map(|map| named(sheet, map)).filter_map(|(name, node)| device(sheet, name, node));
    let looms = sheet.get(root, "looms").into_iter().flat_map(|map| named(sheet, map));
    devices.chain(looms.flat_map(|(name, node)| loom(sheet, name, node))).collect()
}

/// The things of a map with their names.
fn named<'s>(sheet: &'s Sheet<'_>, map: NodeId) -> impl Iterator<Item = (String, NodeId)> + 's {
    sheet.tree.entries(map).filter_map(|(key, value)| Some((sheet.scalar(key)?.to_owned(), value)))
}

/// The value that most of `holders` have under a key, with those that have it.
fn most(sheet: &Sheet<'_>, holders: &[NodeId], key: &str) -> Option<(String, Vec<NodeId>)> {
    let mut by_value: BTreeMap<String, Vec<NodeId>> = BTreeMap::new();
    for holder in holders {
        let Some(value) = sheet.get(*holder, key).filter(|value| sheet.scalar(*value).is_some()) else { continue };
        by_value.entry(sheet.written(value).to_owned()).or_default().push(*holder);
    }
    by_value.into_iter().max_by_key(|(_, holders)| holders.len())
}

/// A device with the domain of most of its pins above its ports. Pins that name none keep the proposal away where it would fall on them: the proof
/// finds that out.
fn device(sheet: &Sheet<'_>, owner: String, device: NodeId) -> Option<Proposal> {
    if sheet.get(device, OF_PINS).is_some() {
        return None;
    }
    let ports: Vec<NodeId> = sheet.tree.entries(sheet.get(device, "ports")?).map(|(_, port)| port).collect();
    let pins = ports.iter().filter_map(|port| sheet.get(*port, "pins"));
    let pins = pins.flat_map(|pins| sheet.tree.entries(pins).map(|(_, pin)| pin));
    let holders: Vec<NodeId> = pins.chain(ports.iter().copied()).filter(|node| sheet.is_map(*node)).collect();
    once(sheet, owner, device, &holders, OF_PINS, 2)
}

/// A loom with the size and colour of most of its wires above them.
fn loom(sheet: &Sheet<'_>, owner: String, loom: NodeId) -> Vec<Proposal> {
    let Some(wires) = sheet.get(loom, "wires") else { return Vec::new() };
    let wires: Vec<NodeId> = sheet.tree.entries(wires).map(|(_, wire)| wire).filter(|wire| sheet.is_map(*wire)).collect();
    let share = |key: &str| {
        let (_, holders) = most(sheet, &wires, key)?;
        let is_usual = holders.len() * 2 > wires.len() && sheet.get(loom, key).is_none();
        is_usual.then(|| once(sheet, owner.clone(), loom, &wires, key, LEAST))?
    };
    OF_WIRES.into_iter().filter_map(share).collect()
}

/// What most of `holders` have under a key, once in `above`; nothing where that is not shorter.
fn once(sheet: &Sheet<'_>, owner: String, above: NodeId, holders: &[NodeId], key: &str, least: usize) -> Option<Proposal> {
    let (value, holders) = most(sheet, holders, key)?;
    let mut edits: Vec<_> = holders.iter().filter_map(|holder| sheet.without(*holder, key)).collect();
    let saved: usize = edits.iter().map(|edit| edit.at.len()).sum();
    let put = sheet.with(above, key, &value)?;
    if edits.len() < least || saved <= put.text.len() {
        return None;
    }
    edits.push(put);
    Some(Proposal { owner, edits })
}
