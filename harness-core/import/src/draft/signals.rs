//! Signals of wires brought to the pins that they join.

use super::{Draft, Loom, Node, Place, ends::Names};
use crate::report::Findings;
use std::collections::{BTreeMap, BTreeSet};

/// A signal as it is compared: letters, digits and signs alone.
pub(crate) fn same(signal: &str) -> String {
    signal.chars().filter(|letter| letter.is_alphanumeric() || ['+', '-'].contains(letter)).flat_map(char::to_lowercase).collect()
}

/// Gives each pin the signal of its wires, where they agree and no table has given one; what differs is kept as notes and said.
pub(crate) fn spread(draft: &mut Draft, names: &Names, findings: &mut Findings) {
    let mut given: Vec<((String, String), String, String)> = Vec::new();
    let mut ports = std::mem::take(&mut draft.ports);
    for (name, loom) in &mut draft.looms {
        for members in clusters(loom) {
            let mut signals: BTreeMap<String, (String, Vec<String>)> = BTreeMap::new();
            for wire in &members {
                if let Some(signal) = loom.wires.get(wire).and_then(|wire| wire.signal.clone()) {
                    signals.entry(same(&signal)).or_insert_with(|| (signal, Vec::new())).1.push(wire.clone());
                }
            }
            let cavities: BTreeSet<(String, String)> = members
                .iter()
                .filter_map(|wire| loom.wires.get(wire))
                .flat_map(|wire| [&wire.from, &wire.to])
                .filter_map(|node| if let Node::Cavity { end, label } = node { Some((end.clone(), label.clone())) } else { None })
                .collect();
            let tabled = cavities.iter().any(|(end, label)| {
                ports.get(&names.port(end)).and_then(|port| port.pins.get(label)).is_some_and(|pin| pin.signal.is_some())
            });
            let only = (signals.len() == 1).then(|| signals.values().next().map(|(signal, _)| signal.clone())).flatten();
            if let (Some(signal), false) = (&only, tabled) {
                given.extend(cavities.iter().map(|(end, label)| (names.port(end), label.clone(), signal.clone())));
                continue;
            }
            two_signals(name, loom, &cavities, &ports, names, findings);
            for wire in &members {
                let Some(wire) = loom.wires.get_mut(wire) else { continue };
                if let Some(signal) = wire.signal.take() {
                    wire.notes.push(format!("signal: {signal}"));
                }
            }
        }
    }
    for (port, label, signal) in given {
        if let Some(pin) = ports.get_mut(&port).and_then(|port| port.pins.get_mut(&label)) {
            pin.signal = Some(signal);
        }
    }
    draft.ports = ports;
}

/// Wires that splices or a shared cavity make one net.
fn clusters(loom: &Loom) -> Vec<Vec<String>> {
    let mut of_node: BTreeMap<Node, usize> = BTreeMap::new();
    let mut groups: Vec<Vec<String>> = Vec::new();
    for (name, wire) in &loom.wires {
        let nodes: Vec<&Node> =
            [&wire.from, &wire.to].into_iter().filter(|node| matches!(node, Node::Cavity { .. } | Node::Splice(_))).collect();
        let mut own: Vec<usize> = nodes.iter().filter_map(|node| of_node.get(*node).copied()).collect();
        own.sort_unstable();
        own.dedup();
        let group = match own.as_slice() {
            [] => {
                groups.push(Vec::new());
                groups.len() - 1
            }
            [first, rest @ ..] => {
                for other in rest {
                    let moved = groups.get_mut(*other).map(std::mem::take).unwrap_or_default();
                    if let Some(group) = groups.get_mut(*first) {
                        group.extend(moved);
                    }
                    for at in of_node.values_mut().filter(|at| *at == other) {
                        *at = *first;
                    }
                }
                *first
            }
        };
        if let Some(group) = groups.get_mut(group) {
            group.push(name.clone());
        }
        for node in nodes {
            of_node.insert(node.clone(), group);
        }
    }
    groups.retain(|group| !group.is_empty());
    groups
}

/// Says which pins have two signals: by two wires in one cavity, or by a table and a wire.
fn two_signals(
    name: &str,
    loom: &Loom,
    cavities: &BTreeSet<(String, String)>,
    ports: &BTreeMap<(String, String), super::Port>,
    names: &Names,
    findings: &mut Findings,
) {
    for (end, label) in cavities {
        let node = Node::Cavity { end: end.clone(), label: label.clone() };
        let mut found: BTreeMap<String, (String, Place)> = BTreeMap::new();
        let pin = ports.get(&names.port(end)).and_then(|port| port.pins.get(label));
        if let Some(pin) = pin
            && let (Some(signal), Some(place)) = (&pin.signal, &pin.place)
        {
            found.insert(same(signal), (signal.clone(), place.clone()));
        }
        for wire in loom.wires.values().filter(|wire| wire.from == node || wire.to == node) {
            if let Some(signal) = &wire.signal {
                found.entry(same(signal)).or_insert_with(|| (signal.clone(), wire.place.clone()));
            }
        }
        if found.len() > 1 {
            let signals: Vec<String> = found.values().map(|(signal, _)| format!("`{signal}`")).collect();
            let places = found.into_values().map(|(_, place)| place).collect();
            findings.conflict(
                "two signals",
                format!("the pin `{name}.{end}.{label}` has {} signals: {}", signals.len(), signals.join(" and ")),
                places,
            );
        }
    }
}
