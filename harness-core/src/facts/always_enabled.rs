//! Inputs named as an ignition or enable that are fed for good.
//!
//! The idea: an input that switches a box on is joined to a battery past a switch, a contact or the output of a control unit. One that no such
//! thing separates from the battery never switches it off. One that a mode of rest keeps live although nothing in the box runs then is on the
//! wrong side of the key.
//!
//! Cost: nothing where no pin has such a name; else two passes over the edges, and one for each mode of rest.

use super::Facts;
use crate::{
    electrical::ModeState,
    model::{DeviceId, ElementKind, ModeId, Owner, PointId},
    network::{EdgeRole, GroupId},
    vocabulary::Role,
};
use rustc_hash::{FxHashMap, FxHashSet};

impl Facts {
    /// Inputs named as an ignition or enable that are fed for good, in order.
    ///
    /// Asked by `netlist/always-enabled`.
    #[must_use]
    pub fn always_enabled(&self) -> &[AlwaysEnabled] {
        self.made.always_enabled.get_or_init(|| always_enabled(self))
    }
}

/// An input that is fed for good.
#[derive(Debug)]
pub struct AlwaysEnabled {
    /// The pin.
    pub pin: PointId,
    /// The mode of rest in which it is live; `None` where nothing at all switches it.
    pub at_rest: Option<ModeId>,
    /// The way from a source, by names.
    pub path: Vec<String>,
}

/// What the name of an input says of its feed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Named {
    /// The key switches it, whatever is in the box.
    Ignition,
    /// It switches the box on.
    Enable,
}

/// What a name says, by the words of the trade.
fn named(text: &str) -> Option<Named> {
    let lower = text.to_lowercase();
    let words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric() && c != '+').filter(|word| !word.is_empty()).collect();
    let has = |list: &[&str]| words.iter().any(|word| list.contains(word));
    // A feed leads to the key, and an inhibit is live while nothing runs.
    if has(&[
        "feed",
        "supply",
        "inhibit",
        "disable",
        "disabled",
        "not",
        "low",
        "n",
        "permanent",
        "battery",
        "sense",
        "unswitched",
    ]) {
        return None;
    }
    let follows = |first: &[&str], then: &[&str]| {
        words.windows(2).any(|pair| matches!(pair, [a, b] if first.contains(a) && then.contains(b)))
    };
    if has(&["ignition", "ign", "d+", "kl15", "k15", "t15", "61", "acc", "accessory"])
        || follows(&["terminal", "clamp", "klemme", "kl", "term"], &["15", "61"])
        || follows(&["key"], &["on"])
    {
        return Some(Named::Ignition);
    }
    let is_enable = has(&["enable", "enabled", "wake", "wakeup", "remote"]) || follows(&["on"], &["off"]);
    is_enable.then_some(Named::Enable)
}

fn always_enabled(facts: &Facts) -> Vec<AlwaysEnabled> {
    let (model, network) = (facts.model(), facts.network());
    let inputs = model.points().filter_map(|(point, item)| {
        let pin = &model[item.pin?];
        let is_input = matches!(pin.role.map(|role| role.value), None | Some(Role::Input | Role::Supply));
        let text = pin.signal.map_or(item.label, |signal| signal.value);
        let device = model.device_at(point)?;
        (is_input && model.is_fitted(point) && pin.drive.is_none()).then_some((point, device, named(model.text(text))?))
    });
    let inputs: Vec<(PointId, DeviceId, Named)> = inputs.collect();
    if inputs.is_empty() {
        return Vec::new();
    }
    let runs = runs(facts);
    // What a battery holds live with every switch open.
    let lumps = network.components(|_, edge| edge.role.conducts_when_closed() && !edge.role.is_switched());
    let fed: FxHashSet<GroupId> = network
        .edges()
        .filter(|(_, edge)| edge.role.drives_without_limit() && edge.role.is_source())
        .filter(|(_, edge)| {
            edge.element()
                .and_then(|source| model[source].kind.modes())
                .is_some_and(|own| model.modes().all(|(mode, _)| own.has(mode)))
        })
        .map(|(_, edge)| lumps.of(edge.b))
        .collect();
    let rest: Vec<&ModeState> = facts.electrical().modes().filter(|mode| model[mode.id].standing.is_some()).collect();
    let found = inputs.into_iter().filter_map(|(pin, device, named)| {
        let own = runs.get(&device);
        let switched_on = own.is_some_and(|own| own.iter().any(|runs| *runs) && own.iter().any(|runs| !*runs));
        if fed.contains(&lumps.of(pin)) {
            let is_wrong = named == Named::Ignition && !is_within_source(facts, device) || switched_on;
            return is_wrong.then(|| AlwaysEnabled { pin, at_rest: None, path: way(facts, pin, None) });
        }
        let is_live = |mode: &ModeState| facts.joined_in(mode).poles(pin).0 && !mode.is_shorted(pin) && !mode.is_adrift(pin);
        let at = |mode: ModeId| own.and_then(|own| own.get(mode.index()).copied()).unwrap_or(false);
        let mut in_use = facts.electrical().modes().filter(|mode| at(mode.id));
        if !switched_on || !in_use.all(is_live) {
            return None;
        }
        let mode = rest.iter().find(|mode| !at(mode.id) && is_live(mode))?;
        Some(AlwaysEnabled { pin, at_rest: Some(mode.id), path: way(facts, pin, Some(mode)) })
    });
    found.collect()
}

/// Whether a battery is in the box: its pins are named as they like.
fn is_within_source(facts: &Facts, device: DeviceId) -> bool {
    let model = facts.model();
    model.elements().any(|(_, element)| element.owner == Owner::Device(device) && element.kind.is_source())
}

/// In which modes what a box is for runs: its converters and limited sources, or its loads where it has none.
fn runs(facts: &Facts) -> FxHashMap<DeviceId, Vec<bool>> {
    let model = facts.model();
    let mut mains: FxHashMap<DeviceId, Vec<bool>> = FxHashMap::default();
    let mut loads: FxHashMap<DeviceId, Vec<bool>> = FxHashMap::default();
    for (_, element) in model.elements() {
        let (Owner::Device(device), Some(modes)) = (element.owner, element.kind.modes()) else { continue };
        let is_load = matches!(element.kind, ElementKind::Load { .. });
        let of = if is_load { &mut loads } else { &mut mains }.entry(device).or_insert_with(|| vec![false; model.modes().len()]);
        for (at, (mode, _)) in model.modes().enumerate() {
            if let Some(slot) = of.get_mut(at) {
                *slot |= modes.has(mode);
            }
        }
    }
    for (device, modes) in loads {
        mains.entry(device).or_insert(modes);
    }
    mains
}

/// The way from the pin to a positive pole, past what conducts in a mode or without any switch.
fn way(facts: &Facts, pin: PointId, mode: Option<&ModeState>) -> Vec<String> {
    let network = facts.network();
    let poles: FxHashSet<PointId> = network.edges().filter(|(_, edge)| edge.role.is_source()).map(|(_, edge)| edge.b).collect();
    let path = network.path(
        pin,
        |point| poles.contains(&point),
        |id, edge| {
            edge.role.conducts_when_closed()
                && edge.role != EdgeRole::Diode
                && mode.map_or(!edge.role.is_switched(), |mode| mode.conducts(id))
        },
    );
    path.map_or_else(Vec::new, |steps| network.names(pin, &steps))
}
