//! Pins of pairs that are not CAN: RS-485 by its network or by its name, and the two nets that a marked terminator joins, whatever they are called.

use super::lines::{BusPin, Line, line_of};
use crate::{
    facts::names::Label,
    model::{ElementKind, Model, PointId, Resistor},
    network::{NetId, Network},
    vocabulary::{self, Role},
};
use rustc_hash::FxHashMap;

/// Words that say nothing of which pair a pin is of.
const OF_A_LINE: [&str; 12] = ["+", "-", "a", "b", "high", "low", "p", "n", "d", "data", "in", "out"];

/// The wired pins of such pairs. Whatever the pins of a net are called, they are on one line.
pub(super) fn pins(model: &Model, network: &Network, wired: &impl Fn(PointId) -> bool) -> Vec<BusPin> {
    let marked = marked(model, network);
    let mut line_by_net: FxHashMap<NetId, Line> = marked.clone();
    let mut pins = Vec::new();
    for (point, _) in model.points() {
        let (Some(device), true) = (model.device_at(point), model.is_fitted(point)) else { continue };
        let Some((line, stem)) = other_line(model, point, marked.get(&network.net(point)).copied()) else { continue };
        if wired(point) {
            let line = *line_by_net.entry(network.net(point)).or_insert(line);
            pins.push(BusPin { point, device, line, stem, is_other_pair: true });
        }
    }
    pins
}

/// The line of a pin of such a pair and the other words of its signal; `marked` is that of its net, where a marked terminator joins it to another.
fn other_line(model: &Model, point: PointId, marked: Option<Line>) -> Option<(Line, String)> {
    let pin = model.pin_at(point)?;
    if line_of(model, point).is_some() {
        return None;
    }
    let carries_data = matches!(pin.role.map(|role| role.value), None | Some(Role::Bidirectional | Role::Input | Role::Output));
    let label = pin.signal.map(|signal| Label::of(model.text(signal.value)));
    let kind = pin.network.and_then(|(network, _)| model[network].kind).map(|kind| kind.value);
    let is_named = label
        .as_ref()
        .is_some_and(|label| label.words.iter().any(|word| word == "485" || word.starts_with("rs485") || word == "modbus"));
    let is_meant = match kind {
        Some(kind) => kind == vocabulary::Bus::Rs485,
        None => is_named || marked.is_some(),
    };
    if !carries_data || !is_meant {
        return None;
    }
    let words = label.map(|label| label.words).unwrap_or_default();
    let has = |word: &str| words.iter().any(|own| own == word);
    let named = if has("+") || has("high") || has("p") {
        Some(Line::High)
    } else if has("-") || has("low") || has("n") {
        Some(Line::Low)
    } else if has("b") {
        Some(Line::High)
    } else if has("a") {
        Some(Line::Low)
    } else {
        None
    };
    let stem = words.iter().filter(|word| !OF_A_LINE.contains(&word.as_str())).cloned().collect::<Vec<_>>().join(" ");
    marked.or(named).map(|line| (line, stem))
}

/// The lines that marked terminators join, by their nets: which of the two is which does not matter.
fn marked(model: &Model, network: &Network) -> FxHashMap<NetId, Line> {
    let mut lines = FxHashMap::default();
    for (_, element) in model.elements() {
        let ElementKind::Resistor(Resistor { terminator: Some(_), .. }) = &element.kind else { continue };
        let [a, b] = element.points.exactly().map(|point: PointId| network.net(point));
        if a == b {
            continue;
        }
        let (first, second) = if a < b { (a, b) } else { (b, a) };
        lines.entry(first).or_insert(Line::High);
        lines.entry(second).or_insert(Line::Low);
    }
    lines
}
