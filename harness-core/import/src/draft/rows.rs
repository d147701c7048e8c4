//! The rows of lists of wires: each cell read by the meaning of its column, what can't be read kept.

use super::{Place, sums::Sum};
use crate::{
    cell::{self, End, Known, Size, SizeUnit, State},
    columns::{Kind, Meaning, Sheet},
    mapping::{Mapping, Point},
    report::{Findings, Trouble},
};
use harness_sheets::{Odd, Row};
use std::collections::BTreeMap;

/// A row that is a wire, or says something of one.
#[derive(Debug, Clone, Default)]
pub(crate) struct RowWire {
    pub(crate) number: Option<String>,
    pub(crate) from: Vec<End>,
    pub(crate) to: Vec<End>,
    pub(crate) size: Option<Size>,
    /// The heading and the text of the size, as they are.
    pub(crate) size_cell: (String, String),
    pub(crate) colour: Option<String>,
    pub(crate) length: Option<String>,
    pub(crate) signal: Option<String>,
    pub(crate) twist: Option<String>,
    pub(crate) state: Option<State>,
    pub(crate) fuse: Option<cell::Element>,
    pub(crate) loom: String,
    pub(crate) notes: Vec<String>,
    pub(crate) unsure: Vec<String>,
    pub(crate) place: Option<Place>,
    /// Cells that nothing reads, by heading.
    pub(crate) unread: Vec<(String, String)>,
}

impl RowWire {
    pub(crate) fn place(&self) -> Place {
        self.place.clone().unwrap_or_else(|| Place::of_row("", 0))
    }
}

/// What a cell reader needs.
pub(crate) struct Reading<'a> {
    pub(crate) known: &'a Known,
    pub(crate) colours: &'a BTreeMap<String, String>,
    pub(crate) mapping: &'a Mapping,
}

/// The wires of a sheet of wires, and of a sheet of pins that names the other ends.
pub(crate) fn wires(sheet: &Sheet<'_>, loom: &str, reading: &Reading<'_>, findings: &mut Findings) -> Vec<RowWire> {
    let mut wires = Vec::new();
    let unit = size_unit(sheet);
    let mut section: Option<String> = None;
    let mut plug = sheet.plug.clone();
    let mut sum = Sum::default();
    for row in sheet.rows() {
        odd(sheet, row, findings);
        if let Some(text) = section_of(sheet, row) {
            if !sum.is_total(sheet, row, &text, findings) {
                findings.section(&sheet.list, row.number, &text);
                // The title of the next plug in one table after another.
                match crate::columns::plug_of(&text).filter(|_| sheet.kind == Kind::Pins && sheet.column(Meaning::Plug).is_none())
                {
                    Some(next) => plug = Some(next),
                    None => section = Some(text),
                }
            }
            continue;
        }
        if sum.is_total(sheet, row, row.cells.first().map_or("", |cell| &cell.text), findings) {
            continue;
        }
        let mut wire = read(sheet, row, (unit, plug.as_deref()), reading, findings);
        wire.loom = sheet
            .column(Meaning::Loom)
            .map(|column| row.text(column.index))
            .filter(|text| !text.is_empty())
            .map_or_else(|| loom.to_owned(), super::names::slug);
        if let Some(section) = &section {
            wire.notes.push(format!("section: {section}"));
        }
        sum.add(&wire);
        wires.push(wire);
    }
    sum.titles(sheet, findings);
    wires
}

/// The unit of bare sizes: that of the column, or the one that its cells name.
fn size_unit(sheet: &Sheet<'_>) -> Option<SizeUnit> {
    match sheet.column(Meaning::Size(None))?.meaning {
        Meaning::Size(unit) => unit,
        _ => None,
    }
}

/// A row with one text alone, which is not a wire: a section or branch.
fn section_of(sheet: &Sheet<'_>, row: &Row) -> Option<String> {
    let mut filled = row.cells.iter().filter(|cell| !cell.text.is_empty());
    let only = filled.next().filter(|_| filled.next().is_none())?;
    let meaning = sheet.columns.iter().find(|column| column.index == only.column).map(|column| column.meaning);
    let is_number = meaning == Some(Meaning::Number)
        && only.spans <= 1
        && !only.text.contains(' ')
        && sheet.kind == Kind::Wires
        && only.text.chars().any(|letter| letter.is_ascii_digit());
    let is_pin = sheet.kind == Kind::Pins && only.spans <= 1 && !only.text.contains(' ') && matches!(meaning, Some(Meaning::Pin));
    (!is_number && !is_pin).then(|| only.text.clone())
}

/// Says what is odd about the cells of a row: struck, hidden, a date.
pub(crate) fn odd(sheet: &Sheet<'_>, row: &Row, findings: &mut Findings) {
    if row.is_hidden {
        findings.folded(&sheet.list, None, row.number, "is hidden in the sheet, and is read");
    }
    let struck = row.cells.iter().filter(|cell| cell.odd.contains(&Odd::Struck)).count();
    if struck > 0 && struck == row.cells.len() {
        findings.folded(&sheet.list, None, row.number, "is struck out, and is read");
        return;
    }
    for cell in &row.cells {
        let heading = sheet.columns.iter().find(|column| column.index == cell.column).map(|column| column.key.clone());
        for odd in cell.odd.iter().filter(|odd| **odd != Odd::Merged) {
            findings.folded(&sheet.list, heading.as_deref(), row.number, &odd.to_string());
        }
    }
}

fn read(
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
        let is_misled = row
            .cell(column.index)
            .is_some_and(|cell| cell.odd.iter().any(|odd| matches!(odd, Odd::Date | Odd::Exponent | Odd::NoValue | Odd::Failed)));
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
                    Err(why) if cell::state(text).is_none() => trouble(why, &mut wire, "size"),
                    Err(_) => {}
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
                    Err(why) if cell::state(text).is_none() => trouble(why, &mut wire, "colour"),
                    Err(_) => {}
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
                if text.contains('?') || plain.is_doubtful && plain.text.is_empty() {
                    wire.unsure.push(text.to_owned());
                }
                wire.notes.push(text.to_owned());
            }
            Meaning::Twist => wire.twist = Some(super::names::slug(text)),
            Meaning::Unsure => wire.unsure.extend(text.split("; ").map(str::to_owned)),
            Meaning::Loom => {}
            _ => wire.unread.push((column.key.clone(), text.to_owned())),
        }
    }
    if let (Some(base), Some(stripe)) = (&wire.colour, stripe) {
        if base.contains('/') || *base == stripe {
            wire.notes.push(format!("stripe: {stripe}"));
        } else {
            wire.colour = Some(if base == "GN" && stripe == "YE" { "GNYE".to_owned() } else { format!("{base}/{stripe}") });
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

/// A fuse named in one column and rated in another.
fn joined(known: Option<cell::Element>, more: cell::Element) -> cell::Element {
    match (known, more) {
        (Some(cell::Element::Fuse { name, rating }), cell::Element::Fuse { name: other, rating: more }) => {
            cell::Element::Fuse { name: name.or(other), rating: rating.or(more) }
        }
        (_, more) => more,
    }
}

/// An end in one cell or two; whether it is doubtful.
pub(crate) fn end(plug: &str, pin: &str, has_pins: bool, reading: &Reading<'_>) -> Result<(Vec<End>, bool), String> {
    let plain = cell::doubt(plug);
    // `?101` is the name that an import gave a cavity that no list names.
    let is_unknown = pin.strip_prefix('?').is_some_and(|rest| rest.starts_with(|letter: char| letter.is_alphanumeric()));
    let label = if is_unknown { cell::Doubted { text: pin.to_owned(), is_doubtful: false } } else { cell::doubt(pin) };
    let is_doubtful = plain.is_doubtful || label.is_doubtful;
    if plain.text.is_empty() {
        return if label.text.is_empty() && !is_doubtful {
            Ok((Vec::new(), false))
        } else {
            Err(if label.text.is_empty() { "is still to be found out" } else { "is a cavity without a plug" }.to_owned())
        };
    }
    if let Some(point) = reading.mapping.points.get(plain.text.as_str()) {
        let chain = match point.0 {
            Point::Splice => Some(End::Splice(super::names::slug(&plain.text))),
            Point::Stud => Some(End::At(cell::Plain::Whole { name: plain.text.clone(), fixing: Some("stud".to_owned()) })),
            Point::Fuse => Some(End::Element(cell::Element::Fuse { name: Some(plain.text.clone()), rating: None })),
            Point::Name => Some(End::At(cell::Plain::Whole { name: plain.text.clone(), fixing: None })),
            Point::Plug => None,
        };
        if let Some(end) = chain {
            return Ok((vec![end], is_doubtful));
        }
    }
    let is_pole = label.text == "-" && reading.known.has_poles;
    if label.text.is_empty() || label.text == "-" && !is_pole || cell::state(&plain.text).is_some() {
        let mut chain = cell::chain(&plain.text, reading.known)?;
        // Where cavities have a column of their own, `Headlamp L` without one is a name, not a plug with the cavity L.
        if has_pins
            && !plain.text.contains(':')
            && let [End::At(place @ cell::Plain::Cavity { .. })] = chain.as_mut_slice()
        {
            *place = cell::whole(&plain.text);
        }
        return Ok((chain, is_doubtful));
    }
    if let Some(state) = cell::state(&label.text)
        && label.text.to_lowercase() != "x"
        && !is_pole
    {
        return Ok((vec![End::State(state)], is_doubtful));
    }
    // `K1` with `86`, or several cavities of one plug.
    let labels: Vec<&str> = label.text.split([',', ';', '+', '&']).map(str::trim).filter(|label| !label.is_empty()).collect();
    let is_list = labels.len() > 1 && labels.iter().all(|label| cell::is_cavity(label));
    let labels = if is_list { labels } else { vec![label.text.as_str()] };
    let lower = label.text.to_lowercase();
    if ["ring", "stud", "lug", "bolt", "screw", "tab"].contains(&lower.as_str())
        || cell::is_thread(&label.text) && cell::is_ground(&plain.text)
    {
        let fixing = if ["screw", "tab"].contains(&lower.as_str()) {
            lower
        } else if cell::is_thread(&label.text) {
            label.text.clone()
        } else {
            "stud".to_owned()
        };
        return Ok((vec![End::At(cell::Plain::Whole { name: plain.text, fixing: Some(fixing) })], is_doubtful));
    }
    let mut places: Vec<cell::Plain> = labels
        .iter()
        .map(|label| {
            let label = ["pin ", "cavity ", "way ", "terminal "]
                .iter()
                .find_map(|word| label.to_lowercase().starts_with(word).then(|| label.get(word.len()..).unwrap_or(label)))
                .unwrap_or(label);
            cell::Plain::Cavity { plug: plain.text.clone(), cavity: label.trim().to_owned() }
        })
        .collect();
    Ok((vec![if places.len() > 1 { End::Several(places) } else { End::At(places.remove(0)) }], is_doubtful))
}
