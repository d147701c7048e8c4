//! The lists of a design as sheets.

use super::kit::book::Sheet;
use harness_core::{
    inspect::{Contact, EndPlace, ListedFuse, ListedWire, Lists, LoomList, Total},
    quantity::Metre,
};

/// The columns of a loom's wires.
const WIRES: [&str; 17] = [
    "Wire",
    "From",
    "From pin",
    "To",
    "To pin",
    "Size",
    "mm2",
    "Colour",
    "Length (mm)",
    "Wire kind",
    "Cable core",
    "Twist",
    "Signal",
    "State",
    "Doubt",
    "Note",
    "Findings",
];

/// The columns of the contacts.
const CONTACTS: [&str; 11] =
    ["Loom", "Plug", "Pin", "Housing", "Mates", "Meets", "State", "Wires", "Signal", "Terminal", "Findings"];

/// The columns of the fuses.
const FUSES: [&str; 7] = ["Fuse", "Rating", "Kind", "Between", "Protects", "State", "Findings"];

/// The columns of the totals.
const TOTALS: [&str; 7] = ["Loom", "Wire kind", "Size", "Colour", "Wires", "Length (mm)", "Without length"];

/// What joins several things in one cell.
const AND: &str = "; ";

/// The sheets, one for each loom and one for each other list.
pub(crate) fn sheets(lists: &Lists, about: &[(&str, String)]) -> Vec<Sheet> {
    let looms = lists.looms.iter().map(wires);
    let others = [
        sheet("contacts", &CONTACTS, lists.contacts.iter().map(contact)),
        sheet("fuses", &FUSES, lists.fuses.iter().map(fuse)),
        sheet("retired", &["Retired number"], lists.retired.iter().map(|number| vec![number.clone()])),
        sheet("totals", &TOTALS, lists.totals.iter().map(total)),
        sheet("about", &["About", "What"], about.iter().map(|(name, value)| vec![(*name).to_owned(), value.clone()])),
    ];
    looms.chain(others).collect()
}

fn sheet(name: &str, head: &[&str], rows: impl Iterator<Item = Vec<String>>) -> Sheet {
    Sheet { rows: rows.collect(), ..Sheet::new(name, head) }
}

fn wires(loom: &LoomList) -> Sheet {
    let rows = loom.wires.iter().map(|wire| row(wire, loom.fitted));
    sheet(&format!("loom {}", loom.name), &WIRES, rows)
}

fn row(wire: &ListedWire, fitted: bool) -> Vec<String> {
    let capped = [&wire.from, &wire.to].iter().any(|end| end.item == "capped");
    let state = match (fitted, capped) {
        (false, _) => "not fitted",
        (true, true) => "capped",
        (true, false) => "",
    };
    let [from, to] = [&wire.from, &wire.to].map(|EndPlace { item, position }| (item.clone(), position.clone()));
    vec![
        wire.number.clone(),
        from.0,
        from.1,
        to.0,
        to.1,
        wire.size_as_written.clone(),
        wire.size.map_or_else(String::new, |size| figure(size.get())),
        wire.colour.clone(),
        wire.length.map_or_else(String::new, millimetres),
        wire.kind.clone(),
        wire.core.clone(),
        wire.twist.clone(),
        wire.signal.clone(),
        state.to_owned(),
        wire.doubts.join(AND),
        wire.note.clone(),
        wire.findings.join(AND),
    ]
}

fn contact(contact: &Contact) -> Vec<String> {
    vec![
        contact.loom.clone(),
        contact.end.clone(),
        contact.cavity.clone(),
        contact.kind.clone(),
        contact.mates.clone(),
        contact.meets.clone(),
        contact.state.name().to_owned(),
        contact.wires.join(AND),
        contact.signal.clone(),
        contact.terminal.clone(),
        contact.findings.join(AND),
    ]
}

fn fuse(fuse: &ListedFuse) -> Vec<String> {
    vec![
        fuse.name.clone(),
        fuse.rating.map_or_else(String::new, |rating| rating.to_string()),
        fuse.kind.clone(),
        fuse.points.join(AND),
        fuse.protects.join(AND),
        if fuse.fitted { String::new() } else { "not fitted".to_owned() },
        fuse.findings.join(AND),
    ]
}

fn total(total: &Total) -> Vec<String> {
    vec![
        total.loom.clone(),
        total.kind.clone(),
        total.size.clone(),
        total.colour.clone(),
        total.wires.to_string(),
        millimetres(total.length),
        total.without_length.to_string(),
    ]
}

/// A length in millimetres, to the nanometre: what a conversion leaves behind that is rounded away.
fn millimetres(length: Metre) -> String {
    figure(length.get() * 1000.0)
}

/// A figure with up to six decimals.
fn figure(value: f64) -> String {
    let text = format!("{value:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
