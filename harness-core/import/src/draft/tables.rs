//! Lists of fuses, of housings by end, of screens, of retired numbers.

use super::{Draft, Place, Unread, ends::Names, names::slug, rows::odd};
use crate::{
    cell::{self, Element},
    columns::{Meaning, Sheet},
    report::{Findings, Trouble},
};
use harness_sheets::Row;
use std::collections::BTreeMap;

fn text<'a>(sheet: &Sheet<'_>, row: &'a Row, meaning: Meaning) -> &'a str {
    sheet.column(meaning).map_or("", |column| row.text(column.index))
}

/// The ratings of fuses by their names.
pub(crate) fn ratings(sheet: &Sheet<'_>, draft: &mut Draft, findings: &mut Findings) -> BTreeMap<String, String> {
    let mut ratings: BTreeMap<String, (String, Place)> = BTreeMap::new();
    for row in sheet.rows() {
        odd(sheet, row, findings);
        let place = Place::of_row(&sheet.list, row.number);
        let name = text(sheet, row, Meaning::Fuse);
        let named = match cell::element(name) {
            Some(Element::Fuse { rating, name: Some(name) }) => (name, rating),
            _ => (name.to_owned(), None),
        };
        if named.0.is_empty() {
            continue;
        }
        let rated = text(sheet, row, Meaning::Rating);
        let rating = cell::rating(&cell::doubt(rated).text).or(named.1);
        match rating {
            Some(rating) => {
                let name = slug(&named.0);
                if let Some((known, at)) = ratings.get(&name)
                    && *known != rating
                {
                    findings.conflict(
                        "tables differ",
                        format!("the fuse `{name}` has {known} and {rating}"),
                        vec![at.clone(), place.clone()],
                    );
                }
                ratings.entry(name).or_insert((rating, place.clone()));
            }
            None if !rated.is_empty() && cell::state(rated).is_none() => {
                let column = sheet.column(Meaning::Rating).map_or("rating", |column| column.key.as_str());
                findings.trouble(Trouble::cell(&sheet.list, row.number, column, rated, "is not a rating in A"));
            }
            None => {}
        }
        let protects = sheet.column(Meaning::Protects).map(|column| (column.key.as_str(), row.text(column.index)));
        for (column, held) in protects.into_iter().chain(rest(sheet, row)).filter(|(_, held)| !held.is_empty()) {
            draft.unread.push(Unread {
                list: sheet.list.clone(),
                row: row.number,
                thing: named.0.clone(),
                column: column.to_owned(),
                text: held.to_owned(),
            });
        }
    }
    ratings.into_iter().map(|(name, (rating, _))| (name, rating)).collect()
}

/// The cells of a row that nothing reads, by heading.
fn rest<'a>(sheet: &'a Sheet<'_>, row: &'a Row) -> impl Iterator<Item = (&'a str, &'a str)> {
    let columns = sheet
        .columns
        .iter()
        .filter(|column| matches!(column.meaning, Meaning::Unread | Meaning::Asked | Meaning::Note | Meaning::Signal));
    columns.map(|column| (column.key.as_str(), row.text(column.index)))
}

/// Housings and keys by end: kept as notes of the ends, because the record of a housing needs more than a list has.
pub(crate) fn housings(sheet: &Sheet<'_>, names: &Names, draft: &mut Draft, findings: &mut Findings) {
    for row in sheet.rows() {
        odd(sheet, row, findings);
        let plug = text(sheet, row, Meaning::Plug);
        if plug.is_empty() {
            continue;
        }
        let end = slug(plug);
        let mut notes = Vec::new();
        // A kind that the design has is named; the record of one that it has not needs more than a list says.
        let mut kind = None;
        for (word, meaning) in [("housing", Meaning::Housing), ("key", Meaning::Key)] {
            let held = text(sheet, row, meaning);
            if word == "housing" && draft.kinds.has("housings", held) {
                kind = Some(held.to_owned());
            } else if !held.is_empty() {
                notes.push(format!("{word}: {held}"));
            }
        }
        notes.extend(rest(sheet, row).filter(|(_, text)| !text.is_empty()).map(|(heading, text)| format!("{heading}: {text}")));
        let found: Vec<String> =
            draft.looms.iter().filter(|(_, loom)| loom.ends.contains_key(&end)).map(|(name, _)| name.clone()).collect();
        let place = Place::of_row(&sheet.list, row.number);
        if found.is_empty() {
            findings.conflict(
                "no wires",
                format!("the plug `{plug}` has a housing, and no wire goes to it"),
                vec![place.clone()],
            );
            draft.plug(names, "", plug, &place);
            for note in notes {
                draft.unread.push(Unread {
                    list: sheet.list.clone(),
                    row: row.number,
                    thing: plug.to_owned(),
                    column: "housing".to_owned(),
                    text: note,
                });
            }
            continue;
        }
        for loom in found {
            if let Some(end) = draft.looms.get_mut(&loom).and_then(|loom| loom.ends.get_mut(&end)) {
                if let Some(kind) = &kind {
                    end.given.push(("housing", kind.clone()));
                }
                end.notes.extend(notes.iter().cloned());
            }
        }
    }
}

/// Where screens are grounded: notes of the wires.
pub(crate) fn screens(sheet: &Sheet<'_>, draft: &mut Draft, findings: &mut Findings) {
    for row in sheet.rows() {
        odd(sheet, row, findings);
        let number = [Meaning::Number, Meaning::Protects, Meaning::From]
            .into_iter()
            .map(|meaning| text(sheet, row, meaning))
            .find(|text| !text.is_empty())
            .unwrap_or("");
        let at = text(sheet, row, Meaning::Grounded);
        let note = format!("screen grounded at {at}");
        let mut found = false;
        for wire in draft
            .looms
            .values_mut()
            .flat_map(|loom| loom.wires.iter_mut())
            .filter(|(name, _)| *name == number || name.starts_with(&format!("{number}-")))
            .map(|(_, wire)| wire)
        {
            wire.notes.push(note.clone());
            found = true;
        }
        if !found && !number.is_empty() {
            let place = Place::of_row(&sheet.list, row.number);
            findings.conflict("no wires", format!("a screen is of wire `{number}`, which is in no list"), vec![place]);
            draft.unread.push(Unread {
                list: sheet.list.clone(),
                row: row.number,
                thing: number.to_owned(),
                column: "screen".to_owned(),
                text: note,
            });
        }
    }
}

/// Numbers that must not be used again.
pub(crate) fn retired(sheet: &Sheet<'_>, draft: &mut Draft, findings: &mut Findings) {
    for row in sheet.rows() {
        odd(sheet, row, findings);
        let number = [Meaning::Number, Meaning::Protects]
            .into_iter()
            .map(|meaning| text(sheet, row, meaning))
            .find(|text| !text.is_empty())
            .unwrap_or("");
        if number.is_empty() {
            continue;
        }
        let place = Place::of_row(&sheet.list, row.number);
        draft.retired.entry(number.to_owned()).or_insert(place);
        for (column, held) in rest(sheet, row).filter(|(_, held)| !held.is_empty()) {
            draft.unread.push(Unread {
                list: sheet.list.clone(),
                row: row.number,
                thing: number.to_owned(),
                column: column.to_owned(),
                text: held.to_owned(),
            });
        }
    }
}

/// A retired number that is on a wire is said; a colour on several wires of a loom is said once.
pub(crate) fn cross_checks(draft: &Draft, findings: &mut Findings) {
    for (number, at) in &draft.retired {
        for (loom, held) in &draft.looms {
            if let Some(wire) = held.wires.get(number) {
                findings.conflict(
                    "retired number",
                    format!("the number `{number}` is retired, and a wire of loom `{loom}` has it"),
                    vec![at.clone(), wire.place.clone()],
                );
            }
        }
    }
    for (name, loom) in draft.looms.iter().filter(|(_, loom)| !loom.is_given) {
        let mut colours: BTreeMap<&str, u32> = BTreeMap::new();
        for colour in loom.wires.values().filter_map(|wire| wire.colour.as_deref()) {
            *colours.entry(colour).or_default() += 1;
        }
        let mut twice: Vec<(&str, u32)> = colours.into_iter().filter(|(_, count)| *count > 1).collect();
        twice.sort_by_key(|(colour, count)| (std::cmp::Reverse(*count), *colour));
        if !twice.is_empty() {
            let shown: Vec<String> = twice.iter().take(6).map(|(colour, count)| format!("{colour} on {count}")).collect();
            let more = if twice.len() > 6 { format!(" and {} more colours", twice.len() - 6) } else { String::new() };
            findings.conflict(
                "colour twice",
                format!("wires of one colour in loom `{name}`: {}{more}", shown.join(", ")),
                Vec::new(),
            );
        }
    }
}
