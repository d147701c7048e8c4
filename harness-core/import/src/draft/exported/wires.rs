//! The wires of looms.

use super::{Line, Reading, lines};
use crate::{
    cell::{self, LengthUnit, SizeUnit},
    columns::{Meaning, Sheet},
    draft::{Loom, Node, Wire},
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
        // Size, colour and length of a core are those of its cable.
        Some(core) => {
            if let Some((cable, label)) = core.split_once('.')
                && let Some((kind, _)) = reading.draft.looms.get(&loom).and_then(|held| held.cables.get(cable))
                && let Some((cores, _)) = reading.draft.cores.get_mut(kind)
            {
                cores.insert(label.to_owned(), (size, colour));
            }
            made.core = Some(core);
        }
        None => (made.size, made.colour, made.length) = (size, colour, length),
    }
    if let Some(kind) = line.optional(Meaning::WireKind).filter(|_| made.core.is_none())
        && reading.has(("wire kind", "conductors"), &kind)
    {
        made.kind = Some(kind);
    }
    let is_fitted = line.text(Meaning::State) != "not fitted";
    reading.unread(line, &number);
    if let Some(held) = reading.draft.looms.get_mut(&loom) {
        held.is_left_out |= !is_fitted;
        held.wires.insert(number, made);
    }
    true
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

/// What most wires of a loom are of is said once.
pub(super) fn looms(reading: &mut Reading<'_>) {
    for loom in reading.draft.looms.values_mut().filter(|loom| loom.is_given) {
        let mut count: BTreeMap<&str, usize> = BTreeMap::new();
        for kind in loom.wires.values().filter_map(|wire| wire.kind.as_deref()) {
            *count.entry(kind).or_default() += 1;
        }
        let most = count.into_iter().max_by_key(|(kind, count)| (*count, std::cmp::Reverse(*kind)));
        let singles = loom.wires.values().filter(|wire| wire.core.is_none()).count();
        let given = loom.wires.values().filter(|wire| wire.kind.is_some()).count();
        // A wire of which nothing is said would get it too.
        if let Some(most) = most.map(|(kind, _)| kind.to_owned()).filter(|_| given == singles) {
            for wire in loom.wires.values_mut().filter(|wire| wire.kind.as_ref() == Some(&most)) {
                wire.kind = None;
            }
            loom.kind = Some(most);
        }
    }
}
