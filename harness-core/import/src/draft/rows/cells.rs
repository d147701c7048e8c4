//! The cells of one row, each read by the meaning of its column.

use super::{Reading, end::end};
use crate::{
    cell::{self, Coloured, End, Size, SizeUnit, State},
    columns::{Kind, Meaning, Sheet},
    draft::{Place, RowWire, slug},
    report::{Findings, Trouble},
};
use harness_sheets::{Odd, Row};
use std::collections::BTreeMap;

pub(super) fn read(
    sheet: &Sheet<'_>,
    row: &Row,
    (unit, plug): (Option<SizeUnit>, Option<&str>),
    reading: &Reading<'_>,
    findings: &mut Findings,
) -> RowWire {
    let mut wire = RowWire { place: Some(Place::of_row(&sheet.list, row.number)), ..RowWire::default() };
    let mut stripe = None;
    if sheet.columns.iter().all(|column| row.cell(column.index).is_none_or(|cell| cell.odd.contains(&Odd::Struck))) {
        wire.unsure.push("the row is struck out".to_owned());
    } else if row.cells.iter().any(|cell| cell.odd.contains(&Odd::Struck)) {
        wire.unsure.push("a cell is struck out".to_owned());
    }
    let mut ends: BTreeMap<bool, (String, String)> = BTreeMap::new();
    for column in &sheet.columns {
        let text = row.text(column.index);
        let is_misled = row.cell(column.index).is_some_and(|cell| {
            cell.odd.iter().any(|odd| matches!(odd, Odd::Date | Odd::Exponent | Odd::NoValue | Odd::Failed | Odd::Rounded(_)))
        });
        let mut trouble = |why: String, wire: &mut RowWire, name: &str| {
            findings.trouble(Trouble::cell(&sheet.list, row.number, &column.key, text, &why));
            wire.notes.push(format!("{}: {text}", column.key));
            wire.unsure.push(format!("{name}: {text}"));
        };
        if is_misled && !matches!(column.meaning, Meaning::Unread | Meaning::Asked | Meaning::Note) {
            let why = row.cell(column.index).and_then(|cell| cell.odd.first()).map_or_else(String::new, ToString::to_string);
            trouble(why, &mut wire, &column.meaning.to_string());
            // A date is not a name that anybody wrote.
            continue;
        }
        if let Some(cell) = row.cell(column.index).filter(|cell| !cell.note.is_empty()) {
            let note = format!("note at {}: {}", column.key, cell.note);
            if cell.note.contains('?') || cell::doubt(&cell.note).is_doubtful {
                wire.unsure.push(note.clone());
            }
            wire.notes.push(note);
        }
        if text.is_empty() {
            continue;
        }
        let plain = cell::doubt(text);
        let unsure = |wire: &mut RowWire, name: &str| {
            if plain.is_doubtful {
                wire.unsure.push(format!("{name}: {text}"));
            }
        };
        match column.meaning {
            Meaning::Number => match cell::state(text).filter(|_| text.chars().count() > 1) {
                Some(state) => wire.state = wire.state.or(Some(state)),
                None => wire.number = Some(text.to_owned()),
            },
            Meaning::From => ends.entry(false).or_default().0 = text.to_owned(),
            Meaning::FromPin => ends.entry(false).or_default().1 = text.to_owned(),
            Meaning::To => ends.entry(true).or_default().0 = text.to_owned(),
            Meaning::ToPin => ends.entry(true).or_default().1 = text.to_owned(),
            Meaning::Plug if sheet.kind == Kind::Pins => ends.entry(false).or_default().0 = text.to_owned(),
            Meaning::Pin if sheet.kind == Kind::Pins => ends.entry(false).or_default().1 = text.to_owned(),
            Meaning::Size(_) => {
                unsure(&mut wire, "size");
                if plain.text.is_empty() {
                    continue;
                }
                match cell::size(&plain.text, unit) {
                    Ok(size) => {
                        if !size.rest.is_empty() {
                            wire.notes.push(format!("size: {}", size.rest));
                        }
                        wire.size = Some(size);
                        wire.size_cell = (column.key.clone(), text.to_owned());
                    }
                    Err(why) => match cell::size_and_colour(&plain.text, unit, reading.colours) {
                        Some(both) => joint(&mut wire, both, &column.key, text),
                        None if cell::is_bare_size_and_colour(&plain.text, reading.colours) => {
                            let both = cell::size_and_colour(&plain.text, Some(SizeUnit::Awg), reading.colours);
                            wire.colour = wire.colour.take().or(both.map(|(_, colour)| colour.code));
                            let why = "holds a colour and a bare number: say `size in AWG` or `size in mm2` in the mapping";
                            trouble(why.to_owned(), &mut wire, "size");
                        }
                        None if cell::state(text).is_none() => trouble(why, &mut wire, "size"),
                        None => {}
                    },
                }
            }
            Meaning::Colour | Meaning::Stripe => {
                unsure(&mut wire, "colour");
                if plain.text.is_empty() {
                    continue;
                }
                match cell::colour(&plain.text, reading.colours) {
                    Ok(colour) => {
                        if let Some(shade) = colour.shade {
                            wire.notes.push(format!("shade: {shade}"));
                        }
                        if column.meaning == Meaning::Stripe {
                            stripe = Some(colour.code)
                        } else {
                            wire.colour = Some(colour.code)
                        }
                    }
                    Err(why) => match cell::size_and_colour(&plain.text, unit, reading.colours) {
                        Some(both) if wire.size.is_none() => joint(&mut wire, both, &column.key, text),
                        _ if cell::state(text).is_none() => trouble(why, &mut wire, "colour"),
                        _ => {}
                    },
                }
            }
            Meaning::Length(unit) => {
                unsure(&mut wire, "length");
                if plain.text.is_empty() {
                    continue;
                }
                match cell::length(&plain.text, unit) {
                    Ok(length) => wire.length = Some(length),
                    Err(why) if cell::state(text).is_none() => trouble(why, &mut wire, "length"),
                    Err(_) => {}
                }
            }
            Meaning::Signal => match cell::state(text) {
                Some(state) => wire.state = wire.state.or(Some(state)),
                None => wire.signal = Some(text.to_owned()),
            },
            Meaning::State => match cell::state(&plain.text) {
                Some(state) => wire.state = Some(state),
                // What a wired cavity says of itself is nothing new.
                None if ["wired", "used", "in use", "yes", "ok", "done"].contains(&plain.text.to_lowercase().as_str()) => {}
                None => {
                    unsure(&mut wire, "state");
                    wire.notes.push(format!("{}: {text}", column.key));
                }
            },
            Meaning::Fuse | Meaning::Rating => match cell::element(text)
                .or_else(|| cell::rating(text).map(|rating| cell::Element::Fuse { name: None, rating: Some(rating) }))
            {
                Some(fuse @ cell::Element::Fuse { .. }) => wire.fuse = Some(joined(wire.fuse.take(), fuse)),
                _ if cell::state(text).is_some() => {}
                _ => trouble("is not a fuse or its rating".to_owned(), &mut wire, "fuse"),
            },
            Meaning::Note => {
                match cell::state_in_note(text) {
                    Some(State::Retired) => {
                        findings.folded(
                            &sheet.list,
                            Some(&column.key),
                            row.number,
                            "says that the number is retired: no wire is made",
                        );
                        wire.state = wire.state.or(Some(State::Retired));
                    }
                    // What is nothing else but a state is kept as one.
                    Some(state) if cell::state(text) == Some(state) => {
                        wire.state = wire.state.or(Some(state));
                        continue;
                    }
                    state => wire.state = wire.state.or(state),
                }
                if text.contains('?') || plain.is_doubtful && plain.text.is_empty() {
                    wire.unsure.push(text.to_owned());
                }
                wire.notes.push(text.to_owned());
            }
            Meaning::Cable => wire.cable = Some(slug(&plain.text)),
            Meaning::Core => wire.core = Some(plain.text.clone()),
            Meaning::FromHousing => wire.housings = [Some(text.to_owned()), wire.housings[1].take()],
            Meaning::ToHousing => wire.housings = [wire.housings[0].take(), Some(text.to_owned())],
            Meaning::Screen => match plain.text.to_lowercase().as_str() {
                "no" | "n" | "-" | "--" | "none" | "0" | "false" | "nein" | "non" | "n/a" => {}
                "yes" | "y" | "x" | "1" | "true" | "ja" | "oui" | "shielded" | "screened" | "shield" | "screen" => {
                    wire.notes.push("screened".to_owned());
                }
                _ => wire.notes.push(format!("screen: {text}")),
            },
            Meaning::WireKind | Meaning::Terminal => wire.notes.push(format!("{}: {text}", column.meaning)),
            Meaning::WorkedOut => {}
            Meaning::Twist => wire.twist = Some(slug(text)),
            Meaning::Unsure => wire.unsure.extend(text.split("; ").map(str::to_owned)),
            Meaning::Loom => {}
            _ => wire.unread.push((column.key.clone(), text.to_owned())),
        }
    }
    if let (Some(base), Some(stripe)) = (&wire.colour, stripe) {
        if base.contains('/') || *base == stripe {
            wire.notes.push(format!("stripe: {stripe}"));
        } else {
            wire.colour = Some(cell::striped(base, &stripe));
        }
    }
    if sheet.kind == Kind::Pins {
        let own = ends.entry(false).or_default();
        if own.0.is_empty() {
            own.0 = plug.unwrap_or_default().to_owned();
        }
    }
    for (is_to, (plug, pin)) in ends {
        let name = if is_to { "to" } else { "from" };
        let has_pins = sheet.column(if is_to { Meaning::ToPin } else { Meaning::FromPin }).is_some();
        let read = end(&plug, &pin, has_pins, reading);
        let column = sheet.column(if is_to { Meaning::To } else { Meaning::From }).map_or(name, |column| column.key.as_str());
        match read {
            Ok((chain, is_doubtful)) => {
                if is_doubtful {
                    wire.unsure.push(format!("{name}: {plug} {pin}").trim_end().to_owned());
                }
                if is_to {
                    wire.to = chain;
                    // `P2 4 via 10k resistor`: it is before the end at which the wire arrives.
                    let count = wire.to.len();
                    let lower = plug.to_lowercase();
                    if count > 1
                        && matches!(wire.to.last(), Some(End::Element(_)))
                        && (lower.contains(" via ") || lower.contains(" through "))
                    {
                        wire.to.swap(count - 1, count - 2);
                    }
                } else {
                    wire.from = chain;
                }
            }
            Err(why) => {
                let text = format!("{plug} {pin}");
                findings.trouble(Trouble::cell(&sheet.list, row.number, column, text.trim(), &why));
                wire.notes.push(format!("{name}: {}", text.trim()));
                wire.unsure.push(format!("{name}: {}", text.trim()));
            }
        }
    }
    wire
}

/// Takes over size and colour of one cell.
fn joint(wire: &mut RowWire, (size, colour): (Size, Coloured), column: &str, text: &str) {
    if let Some(shade) = colour.shade {
        wire.notes.push(format!("shade: {shade}"));
    }
    wire.size = Some(size);
    wire.size_cell = (column.to_owned(), text.to_owned());
    wire.colour = wire.colour.take().or(Some(colour.code));
}

/// A fuse named in one column and rated in another.
fn joined(known: Option<cell::Element>, more: cell::Element) -> cell::Element {
    match (known, more) {
        (Some(cell::Element::Fuse { name, rating }), cell::Element::Fuse { name: other, rating: more }) => {
            cell::Element::Fuse { name: name.or(other), rating: rating.or(more) }
        }
        (_, more) => more,
    }
}
