//! Whether the two lines of a bus are twisted together on their way.

use super::{Bus, Lines};
use crate::{
    facts::Facts,
    model::{LoomId, Model, WireId},
    network::NetId,
    quantity::Metre,
    text::Name,
};
use rustc_hash::FxHashSet;

/// Below this a pair needs no twist: at a splice or a plug it is opened; in metre.
const OPENED: f64 = 0.1;

/// Wires of a bus that are not twisted with one of its other line.
#[derive(Debug, Clone)]
pub struct Untwisted {
    /// The wires of both lines, in the order of the wires.
    pub wires: Vec<WireId>,
    /// Nothing says of any wire of the bus whether it is twisted.
    pub is_unstated: bool,
    /// The longest of them.
    pub longest: Metre,
}

/// What a wire is twisted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Group {
    Named(LoomId, Name),
    Cores(crate::model::CableId, u32),
}

fn group(model: &Model, wire: WireId) -> Option<Group> {
    let item = &model[wire];
    if let Some((cable, position)) = item.core {
        let core = model[cable].kind.and_then(|kind| model[kind].cores.get(position as usize))?;
        return core.twist.map(|group| Group::Cores(cable, group));
    }
    item.twist.map(|name| Group::Named(item.loom, name))
}

/// What of a bus is not twisted together; `None` where all of it is, and for one wire.
pub(super) fn untwisted(facts: &Facts, bus: &Bus) -> Option<Untwisted> {
    if bus.lines == Lines::Single || bus.second.is_empty() {
        return None;
    }
    let (model, network) = (facts.model(), facts.network());
    let of = |nets: &std::collections::BTreeSet<NetId>| -> Vec<WireId> {
        let is_own = |wire: WireId| model[wire].from.is_some_and(|point| nets.contains(&network.net(point)));
        let fitted = |wire: WireId| model[model[wire].loom].fitted;
        model.wires().map(|(id, _)| id).filter(|id| is_own(*id) && fitted(*id)).collect()
    };
    let (first, second) = (of(&bus.first), of(&bus.second));
    let groups = |wires: &[WireId]| -> FxHashSet<Group> { wires.iter().filter_map(|wire| group(model, *wire)).collect() };
    let (one, other) = (groups(&first), groups(&second));
    let is_unstated = one.is_empty() && other.is_empty();
    let loose = |wires: &[WireId], others: &FxHashSet<Group>| -> Vec<WireId> {
        let is_loose = |wire: &WireId| {
            let length = model[*wire].length.map_or(f64::INFINITY, |at| at.value.get());
            length > OPENED && !group(model, *wire).is_some_and(|group| others.contains(&group))
        };
        wires.iter().copied().filter(is_loose).collect()
    };
    let mut wires = loose(&first, &other);
    wires.extend(loose(&second, &one));
    wires.sort_unstable();
    let lengths = wires.iter().filter_map(|wire| Some(model[*wire].length?.value));
    let longest = lengths.max_by(|a, b| a.get().total_cmp(&b.get())).unwrap_or_default();
    (!wires.is_empty()).then_some(Untwisted { wires, is_unstated, longest })
}
