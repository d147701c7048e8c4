//! The text of the mapping: how each list was understood.

use super::yaml::quoted;
use crate::{
    columns::{Kind, Meaning, Sheet},
    mapping::{IecColour, Mapping, Point},
};

const HEAD: &str = "\
# How `harness import` understood the lists. It obeys this file the next time: correct what is not right.
# kind: wires, pins, fuses, housings, screens, retired, skip
# columns: number, from, from pin, from housing, to, to pin, to housing, size in AWG, size in mm2, colour, stripe, length in mm, cable, core,
#   twist, screen, signal, state, fuse, rating, protects, loom, plug, pin, housing, key, screen grounded at, unsure, note, unread
";

/// The mapping of these sheets, with what the old one says beside the lists, and the lists that are not read this time.
pub(crate) fn mapping(sheets: &[(&Sheet<'_>, Option<String>)], old: &Mapping) -> String {
    let mut text = HEAD.to_owned();
    text.push_str("lists:\n");
    text.push_str(&entries(sheets, &Mapping::default()));
    for (list, held) in old.lists.iter().filter(|(list, _)| !sheets.iter().any(|(sheet, _)| sheet.list == **list)) {
        text.push_str(&format!("  {}:\n    kind: {}\n", quoted(list), held.kind.0.word()));
        for (key, value) in
            [("header-row", held.header_row.map(|row| row.to_string())), ("loom", held.loom.clone()), ("plug", held.plug.clone())]
        {
            if let Some(value) = value {
                text.push_str(&format!("    {key}: {}\n", quoted(&value)));
            }
        }
        if !held.columns.is_empty() {
            text.push_str("    columns:\n");
            for (key, meaning) in &held.columns {
                text.push_str(&format!("      {}: {}\n", quoted(key), meaning.0));
            }
        }
    }
    if !old.colours.is_empty() {
        text.push_str("colours:\n");
        for (code, IecColour(colour)) in &old.colours {
            text.push_str(&format!("  {}: {colour}\n", quoted(code)));
        }
    }
    if !old.points.is_empty() {
        text.push_str("points:\n");
        for (name, point) in &old.points {
            let word = match point.0 {
                Point::Splice => "splice",
                Point::Stud => "stud",
                Point::Fuse => "fuse",
                Point::Plug => "plug",
                Point::Name => "name",
            };
            text.push_str(&format!("  {}: {word}\n", quoted(name)));
        }
    }
    if !old.devices.is_empty() {
        text.push_str("devices:\n");
        for (device, plugs) in &old.devices {
            text.push_str(&format!(
                "  {}: [{}]\n",
                quoted(device),
                plugs.iter().map(|plug| quoted(plug)).collect::<Vec<_>>().join(", ")
            ));
        }
    }
    text
}

/// The entries of the sheets that the old mapping does not name.
pub(crate) fn entries(sheets: &[(&Sheet<'_>, Option<String>)], old: &Mapping) -> String {
    let mut text = String::new();
    for (sheet, loom) in sheets.iter().filter(|(sheet, _)| !old.lists.contains_key(&sheet.list)) {
        text.push_str(&format!("  {}:\n    kind: {}\n", quoted(&sheet.list), sheet.kind.word()));
        if sheet.header_row > 0 {
            text.push_str(&format!("    header-row: {}\n", sheet.header_row));
        }
        if let Some(loom) = loom.as_ref().filter(|_| matches!(sheet.kind, Kind::Wires | Kind::Pins | Kind::ExportedWires)) {
            text.push_str(&format!("    loom: {}\n", quoted(loom)));
        }
        if let Some(plug) = &sheet.plug {
            text.push_str(&format!("    plug: {}\n", quoted(plug)));
        }
        let columns: Vec<_> = sheet.columns.iter().collect();
        if columns.is_empty() {
            continue;
        }
        text.push_str("    columns:\n");
        for column in columns {
            let why = if column.meaning == Meaning::Asked { format!(" # {}", column.because) } else { String::new() };
            text.push_str(&format!("      {}: {}{why}\n", quoted(&column.key), column.meaning));
        }
    }
    text
}
