//! The wires of looms.

use super::{Line, Reading, WIRE_KIND, lines};
use crate::{
    cell::{self, LengthUnit, SizeUnit},
    columns::{Meaning, Sheet},
    draft::{Draft, EndKind, Loom, Node, Wire},
};
use std::collections::{BTreeMap, BTreeSet};

/// The rows that were read.
pub(super) fn read(sheet: &Sheet<'_>, reading: &mut Reading<'_>) -> BTreeSet<u32> {
    lines(sheet).filter(|line| wire(line, reading)).map(|line| line.row.number).collect()
}

/// Reads a row; whether it names only what the other lists have.
fn wire(line: &Line<'_>, reading: &mut Reading<'_>) -> bool {
    let (loom, number) = (line.loom(), line.text(Meaning::Number));
    let Some(held) = reading.draft.looms.get(&loom) else { return false };
    if number.is_empty() || held.wires.contains_key(&number) {
        return false;
    }
    let from = node(held, &line.text(Meaning::From), &line.text(Meaning::FromPin));
    let to = node(held, &line.text(Meaning::To), &line.text(Meaning::ToPin));
    let (Some(from), Some(to)) = (from, to) else { return false };
    let core = line.optional(Meaning::Core);
    let mut made = Wire::between(from, to, line.place());
    made.unsure = line.several(Meaning::Unsure);
    made.notes.extend(line.optional(Meaning::Note));
    made.twist = line.optional(Meaning::Twist);
    let [size, colour, length] = [Meaning::Size(None), Meaning::Colour, Meaning::Length(None)].map(|meaning| line.text(meaning));
    let size = read_as(line, reading, (&mut made, Meaning::Size(None)), &size, |text| {
        let size = cell::size(text, Some(SizeUnit::SquareMillimetre))?;
        // As it was written: the area of a gauge is worked out again.
        if size.cores == 1 && size.sizes.len() == 1 { Ok(text.to_owned()) } else { Err("is not one size".to_owned()) }
    });
    let colour =
        read_as(line, reading, (&mut made, Meaning::Colour), &colour, |text| Ok(cell::colour(text, &BTreeMap::new())?.code));
    let length = read_as(line, reading, (&mut made, Meaning::Length(None)), &length, |text| {
        if text.parse::<f64>().is_ok_and(|value| value > 0.0) {
            return Ok(format!("{text} mm"));
        }
        cell::length(text, Some(LengthUnit::Millimetre))
    });
    match core {
        // Size and colour of a core are those of its cable, and mostly its length.
        Some(core) => {
            if let Some((cable, label)) = core.split_once('.')
                && let Some((kind, _)) = reading.draft.looms.get(&loom).and_then(|held| held.cables.get(cable))
                && let Some((cores, _)) = reading.draft.cores.get_mut(kind)
            {
                cores.insert(label.to_owned(), (size, colour));
            }
            let cable = core.split_once('.').map_or("", |(cable, _)| cable);
            let of_cable = reading.draft.looms.get(&loom).and_then(|held| held.cable_lengths.get(cable));
            made.length = length.filter(|length| Some(length) != of_cable);
            made.core = Some(core);
        }
        None => (made.size, made.colour, made.length) = (size, colour, length),
    }
    if let Some(kind) = line.optional(Meaning::WireKind).filter(|_| made.core.is_none()) {
        let is_said = reading.draft.looms.get(&loom).is_some_and(|held| held.kind_said.as_ref() == Some(&kind));
        match reading.has(WIRE_KIND, &kind) {
            // What the loom says of all its wires, none has to say again.
            true => made.kind = Some(kind).filter(|_| !is_said),
            false if !is_said => made.notes.push(format!("wire kind: {kind}")),
            false => {}
        }
    }
    reading.unread(line, &number);
    signal(line, (&loom, &number), &made, reading);
    if let Some(held) = reading.draft.looms.get_mut(&loom) {
        held.wires.insert(number, made);
    }
    true
}

/// The signal of a wire is that of its pins: one that was changed beside the wire alone is said.
fn signal(line: &Line<'_>, (loom, number): (&str, &str), wire: &Wire, reading: &mut Reading<'_>) {
    let said: BTreeSet<String> = line.text(Meaning::Signal).split("; ").map(str::to_owned).collect();
    let known: BTreeSet<String> = [&wire.from, &wire.to].into_iter().filter_map(|node| met(reading.draft, loom, node)).collect();
    let is_cut = said.iter().any(|signal| signal.starts_with("and ") && signal.ends_with(" more"));
    if known.is_empty() || is_cut || known.is_subset(&said) && said.len() <= 2 {
        return;
    }
    let shown = |signals: &BTreeSet<String>| signals.iter().map(|signal| format!("`{signal}`")).collect::<Vec<_>>().join(" and ");
    let text = format!(
        "wire `{loom}.{number}` is for {} in its list, and its pins are for {}: the list of pins holds",
        shown(&said),
        shown(&known)
    );
    reading.findings.conflict("two signals", text, vec![line.place()]);
}

/// The signal of the pin or stud that an end of a wire meets.
fn met(draft: &Draft, loom: &str, node: &Node) -> Option<String> {
    let (end, label) = match node {
        Node::Cavity { end, label } => (end, Some(label)),
        Node::Point(end) => (end, None),
        Node::Splice(_) | Node::Side(..) | Node::Capped => return None,
    };
    let end = draft.looms.get(loom)?.ends.get(end)?;
    let (EndKind::Mates(port) | EndKind::Ring { bolts_to: port, .. } | EndKind::Lands(port)) = &end.kind;
    let (device, port) = port.split_once('.')?;
    let port = draft.ports.get(&(device.to_owned(), port.to_owned()))?;
    match label {
        Some(label) => port.pins.get(end.pins.get(label).unwrap_or(label))?.signal.clone(),
        None => port.given.iter().find(|(key, _)| *key == "signal").map(|(_, signal)| signal.clone()),
    }
}

/// A cell read; what can't be read is kept as a note and said.
fn read_as(
    line: &Line<'_>,
    reading: &mut Reading<'_>,
    (wire, meaning): (&mut Wire, Meaning),
    text: &str,
    read: impl Fn(&str) -> Result<String, String>,
) -> Option<String> {
    if text.is_empty() {
        return None;
    }
    match read(text) {
        Ok(said) => Some(said),
        Err(why) => {
            reading.refused(line, meaning, &why);
            wire.notes.push(format!("{meaning}: {text}"));
            wire.unsure.push(format!("{meaning}: {text}"));
            None
        }
    }
}

/// Where a wire ends, if the lists have it.
fn node(loom: &Loom, item: &str, pin: &str) -> Option<Node> {
    if item == "capped" && pin.is_empty() {
        return Some(Node::Capped);
    }
    let cavity = || Node::Cavity { end: item.to_owned(), label: pin.to_owned() };
    if loom.ends.contains_key(item) {
        return Some(if pin.is_empty() { Node::Point(item.to_owned()) } else { cavity() });
    }
    if loom.splices.contains_key(item) && pin.is_empty() {
        return Some(Node::Splice(item.to_owned()));
    }
    (loom.inside.contains_key(item) && !pin.is_empty()).then(cavity)
}
