//! Tables of pins: what each cavity of a plug carries, and wires that two tables give by their number.

use super::{
    Draft, Place, RowWire,
    ends::{Names, label},
    names::slug,
    signals::same,
};
use crate::{
    cell::{End, Plain, State},
    report::Findings,
};
use std::collections::{BTreeMap, BTreeSet};

/// A row of a table of pins.
#[derive(Debug, Clone)]
pub(crate) struct PinRow {
    plug: String,
    label: String,
    row: RowWire,
}

/// Takes the rows of tables that name no other end out of `rows`: those of one number in two tables become a wire, if no list of wires has
/// the number.
pub(crate) fn taken(rows: &mut Vec<RowWire>, listed: &BTreeSet<String>, findings: &mut Findings) -> Vec<PinRow> {
    let (other, tables): (Vec<RowWire>, Vec<RowWire>) =
        std::mem::take(rows).into_iter().partition(|row| !row.to.is_empty() || row.state == Some(State::Retired));
    *rows = other;
    let mut pins = Vec::new();
    let mut by_number: BTreeMap<String, Vec<RowWire>> = BTreeMap::new();
    for row in tables {
        let Some(End::At(Plain::Cavity { plug, cavity })) = row.from.first() else {
            // A stud in a table of contacts, whose wires a list of wires has.
            let is_listed = row.number.as_deref().is_some_and(|number| numbers(number).all(|number| listed.contains(number)));
            if !is_listed {
                rows.push(row);
            }
            continue;
        };
        if let Some(number) =
            row.number.clone().filter(|number| !numbers(number).any(|number| listed.contains(number)) && row.state.is_none())
        {
            by_number.entry(number).or_default().push(row.clone());
        }
        pins.push(PinRow { plug: plug.clone(), label: label(cavity), row });
    }
    for (number, mut ends) in by_number {
        let places: Vec<Place> = ends.iter().map(RowWire::place).collect();
        match ends.len() {
            2 => {
                let two = ends.pop().unwrap_or_default();
                let mut one = ends.pop().unwrap_or_default();
                one.to = two.from;
                one.size = one.size.or(two.size);
                one.colour = one.colour.or(two.colour);
                one.length = one.length.or(two.length);
                // Each table says the signal of its own pin.
                one.signal = None;
                rows.push(one);
            }
            1 => findings.conflict("one end", format!("the number `{number}` is at one pin only"), places),
            more => findings.conflict(
                "duplicate number",
                format!("the number `{number}` is at {more} pins, and a wire has two ends"),
                places,
            ),
        }
    }
    pins
}

/// The numbers of a cell that may hold several.
fn numbers(cell: &str) -> impl Iterator<Item = &str> {
    cell.split([';', ',']).map(str::trim).filter(|number| !number.is_empty())
}

/// Lays the tables over the pins of the draft.
pub(crate) fn apply(pins: &[PinRow], names: &mut Names, draft: &mut Draft, findings: &mut Findings) {
    names.plugs.extend(pins.iter().map(|pin| slug(&pin.plug)));
    let mut seen: BTreeMap<(String, String), &PinRow> = BTreeMap::new();
    let wires = by_node(draft);
    for pin in pins {
        let key = (slug(&pin.plug), pin.label.clone());
        if let Some(first) = seen.get(&key) {
            let places = vec![first.row.place(), pin.row.place()];
            let (one, two) = (described(&first.row), described(&pin.row));
            if first.row.place().list == pin.row.place().list {
                findings.conflict(
                    "duplicate pin",
                    format!("pin {} of plug `{}` is twice in its table: {one} and {two}", pin.label, pin.plug),
                    places,
                );
            } else if one.to_lowercase() != two.to_lowercase() {
                findings.conflict(
                    "tables differ",
                    format!("two tables of plug `{}` differ at pin {}: {one} and {two}", pin.plug, pin.label),
                    places,
                );
            }
            continue;
        }
        seen.insert(key, pin);
        set(pin, &wires, names, draft, findings);
    }
}

fn described(row: &RowWire) -> String {
    match (&row.signal, row.state) {
        (Some(signal), _) => format!("`{signal}`"),
        (None, Some(state)) => state.word().to_owned(),
        (None, None) => row.number.as_ref().map_or_else(|| "empty".to_owned(), |number| format!("wire `{number}`")),
    }
}

/// The wires at each node, with their rows.
type ByNode = BTreeMap<super::Node, Vec<(String, Place)>>;

fn by_node(draft: &Draft) -> ByNode {
    let mut wires = ByNode::new();
    for (name, wire) in draft.looms.values().flat_map(|loom| &loom.wires) {
        let place = || (name.clone(), wire.place.clone());
        wires.entry(wire.from.clone()).or_default().push(place());
        if wire.to != wire.from {
            wires.entry(wire.to.clone()).or_default().push(place());
        }
    }
    wires
}

fn set(table: &PinRow, all: &ByNode, names: &Names, draft: &mut Draft, findings: &mut Findings) {
    let end = slug(&table.plug);
    let loom =
        draft.looms.iter().find(|(_, loom)| loom.ends.contains_key(&end)).map(|(name, _)| name.clone()).unwrap_or_default();
    let place = table.row.place();
    draft.cavity(names, &loom, &table.plug, &table.label, &place);
    let node = super::Node::Cavity { end: end.clone(), label: table.label.clone() };
    let wires = all.get(&node).map_or(&[][..], Vec::as_slice);
    if let Some(number) = &table.row.number
        && !wires.is_empty()
        && !numbers(number).any(|number| wires.iter().any(|(name, _)| name == number || name.starts_with(&format!("{number}-"))))
    {
        let text = format!(
            "the table of plug `{}` has wire `{number}` at pin {}, and the list of wires has `{}` there",
            table.plug,
            table.label,
            wires.iter().map(|(name, _)| name.as_str()).collect::<Vec<_>>().join("`, `")
        );
        findings.conflict("tables differ", text, wires.iter().map(|(_, place)| place.clone()).chain([place.clone()]).collect());
    }
    let is_empty = table.row.signal.is_none() && table.row.number.is_none() && table.row.state.is_none();
    let state = table.row.state.or(is_empty.then_some(State::Spare));
    if matches!(state, Some(State::Spare | State::Plugged))
        && table.row.signal.is_none()
        && let Some((wire, at)) = wires.first()
    {
        let said = if is_empty { "empty" } else { "spare" };
        findings.conflict(
            "tables differ",
            format!("pin {} of plug `{}` is {said} in its table, and wire `{wire}` goes to it", table.label, table.plug),
            vec![place.clone(), at.clone()],
        );
    }
    if state == Some(State::Plugged)
        && wires.is_empty()
        && let Some(end) = draft.looms.get_mut(&loom).and_then(|loom| loom.ends.get_mut(&end))
    {
        end.plugged.insert(table.label.clone());
    }
    // Of a wire that no list has the table says more than the netlist holds.
    let unmade: Vec<(&str, String)> = if wires.is_empty() { table.row.unmade().collect() } else { Vec::new() };
    let unread = table.row.unread.iter().map(|(column, text)| (column.as_str(), text.clone()));
    for (column, text) in unread.chain(unmade) {
        draft.unread.push(super::Unread {
            list: place.list.clone(),
            row: place.row,
            thing: format!("{}.{}", table.plug, table.label),
            column: column.to_owned(),
            text,
        });
    }
    let Some(pin) = draft.ports.get_mut(&names.port(&end)).and_then(|port| port.pins.get_mut(&table.label)) else { return };
    if let (Some(known), Some(signal)) = (&pin.signal, &table.row.signal)
        && same(known) != same(signal)
    {
        findings.conflict(
            "two signals",
            format!("the pin `{end}.{}` is `{known}` and `{signal}`", table.label),
            pin.place.iter().cloned().chain([place.clone()]).collect(),
        );
    }
    pin.signal = table.row.signal.clone().or(pin.signal.take());
    match state {
        Some(State::Spare | State::Plugged) if wires.is_empty() && pin.signal.is_none() => pin.is_spare = true,
        Some(State::Retired) | None => {}
        Some(_) => pin.is_optional = true,
    }
    pin.notes.extend(table.row.notes.iter().cloned());
    pin.unsure.extend(table.row.unsure.iter().cloned());
    pin.place = Some(place);
}
