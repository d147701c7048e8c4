//! The lists of a design as sheets, each column with what it means to an import.

use super::kit::book::Sheet;
use harness_core::{
    inspect::{
        Contact, ContactState, EndPlace, ListedEnd, ListedFuse, ListedJoint, ListedPin, ListedWire, Lists, LoomList, Total,
    },
    quantity::Metre,
    source::Span,
};
use harness_import::{
    cell::LengthUnit,
    columns::{Kind, Meaning},
    mapping::Listed,
};
use std::collections::{BTreeMap, BTreeSet};

/// A column: its heading, and what it means to an import.
type Column = (&'static str, Meaning);

const WIRES: [Column; 17] = [
    ("Wire", Meaning::Number),
    ("From", Meaning::From),
    ("From pin", Meaning::FromPin),
    ("To", Meaning::To),
    ("To pin", Meaning::ToPin),
    ("Size", Meaning::Size(None)),
    ("mm2", Meaning::WorkedOut),
    ("Colour", Meaning::Colour),
    ("Length (mm)", Meaning::Length(Some(LengthUnit::Millimetre))),
    ("Wire kind", Meaning::WireKind),
    ("Cable core", Meaning::Core),
    ("Twist", Meaning::Twist),
    ("Signal", Meaning::Signal),
    ("State", Meaning::State),
    ("Doubt", Meaning::Unsure),
    ("Note", Meaning::Note),
    ("Findings", Meaning::WorkedOut),
];

const LOOMS: [Column; 5] = [
    ("Loom", Meaning::Loom),
    ("Wire kind", Meaning::WireKind),
    ("State", Meaning::State),
    ("Doubt", Meaning::Unsure),
    ("Note", Meaning::Note),
];

const ENDS: [Column; 8] = [
    ("Loom", Meaning::Loom),
    ("Plug", Meaning::Plug),
    ("Housing", Meaning::Housing),
    ("Mates", Meaning::Mates),
    ("Terminal", Meaning::Terminal),
    ("Doubt", Meaning::Unsure),
    ("Note", Meaning::Note),
    ("Findings", Meaning::WorkedOut),
];

const CONTACTS: [Column; 12] = [
    ("Loom", Meaning::Loom),
    ("Plug", Meaning::Plug),
    ("Pin", Meaning::Pin),
    ("Housing", Meaning::WorkedOut),
    ("Mates", Meaning::WorkedOut),
    ("Meets", Meaning::WorkedOut),
    ("Numbered differently", Meaning::Meets),
    ("State", Meaning::State),
    ("Wires", Meaning::WorkedOut),
    ("Signal", Meaning::WorkedOut),
    ("Terminal", Meaning::Terminal),
    ("Findings", Meaning::WorkedOut),
];

const PINS: [Column; 11] = [
    ("Device", Meaning::Device),
    ("Of kind", Meaning::DeviceKind),
    ("Port", Meaning::Port),
    ("What", Meaning::What),
    ("Part", Meaning::Value),
    ("Pin", Meaning::Pin),
    ("Signal", Meaning::Signal),
    ("State", Meaning::State),
    ("Doubt", Meaning::Unsure),
    ("Note", Meaning::Note),
    ("Findings", Meaning::WorkedOut),
];

const JOINTS: [Column; 7] = [
    ("Loom", Meaning::Loom),
    ("Name", Meaning::Number),
    ("What", Meaning::What),
    ("Kind or value", Meaning::Value),
    ("Length (mm)", Meaning::Length(None)),
    ("Note", Meaning::Note),
    ("Findings", Meaning::WorkedOut),
];

const FUSES: [Column; 7] = [
    ("Fuse", Meaning::Fuse),
    ("Rating", Meaning::Rating),
    ("Kind", Meaning::Value),
    ("Between", Meaning::WorkedOut),
    ("Protects", Meaning::WorkedOut),
    ("State", Meaning::WorkedOut),
    ("Findings", Meaning::WorkedOut),
];

const RETIRED: [Column; 1] = [("Retired number", Meaning::Number)];

/// Lists that an import leaves alone: an export works them out.
const TOTALS: [Column; 7] = [
    ("Loom", Meaning::WorkedOut),
    ("Wire kind", Meaning::WorkedOut),
    ("Size", Meaning::WorkedOut),
    ("Colour", Meaning::WorkedOut),
    ("Wires", Meaning::WorkedOut),
    ("Length (mm)", Meaning::WorkedOut),
    ("Without length", Meaning::WorkedOut),
];
const ABOUT: [Column; 2] = [("About", Meaning::WorkedOut), ("What", Meaning::WorkedOut)];

const REST: [Column; 5] = [
    ("List", Meaning::Unread),
    ("Row", Meaning::Unread),
    ("Thing", Meaning::Unread),
    ("Column", Meaning::Unread),
    ("Text", Meaning::Unread),
];

/// A cell that an import did not read, by the place in the list that it comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Unread {
    pub list: String,
    pub row: u32,
    pub thing: String,
    pub column: String,
    pub text: String,
}

/// Cells that an import did not read, with the rows of lists that the things of the design come from.
pub(crate) struct Rest<'a> {
    cells: BTreeMap<(String, u32), Vec<Unread>>,
    origin: &'a dyn Fn(Span) -> Option<(String, u32)>,
}

impl<'a> Rest<'a> {
    pub(crate) fn new(cells: Vec<Unread>, origin: &'a dyn Fn(Span) -> Option<(String, u32)>) -> Self {
        let mut by_row: BTreeMap<(String, u32), Vec<Unread>> = BTreeMap::new();
        for cell in cells {
            by_row.entry((cell.list.clone(), cell.row)).or_default().push(cell);
        }
        Self { cells: by_row, origin }
    }

    /// The cells of the row that a thing comes from, each once.
    fn take(&mut self, span: Span) -> Vec<Unread> {
        (self.origin)(span).and_then(|row| self.cells.remove(&row)).unwrap_or_default()
    }
}

/// A sheet with what it lists.
pub(crate) struct List {
    pub sheet: Sheet,
    pub meaning: Listed,
}

/// The sheets, one for each loom and one for each other list. What an import did not read goes along behind the columns of the thing that it was
/// said of.
pub(crate) fn lists(lists: &Lists, about: &[(&str, String)], mut rest: Rest<'_>) -> Vec<List> {
    let mut made = Vec::new();
    for loom in &lists.looms {
        let rows = loom.wires.iter().map(|wire| (Some(wire.span), row(wire, loom.fitted))).collect();
        let name = format!("loom {}", loom.name);
        made.push(list((&name, Kind::ExportedWires, Some(loom)), &WIRES, rows, &mut rest));
    }
    let plain = |name: &'static str, kind: Kind| (name, kind, None);
    made.extend([
        list(plain("looms", Kind::ExportedLooms), &LOOMS, spanned(&lists.looms, |own| (None, whole(own))), &mut rest),
        list(plain("ends", Kind::ExportedEnds), &ENDS, spanned(&lists.ends, |end| (Some(end.span), ended(end))), &mut rest),
        list(
            plain("contacts", Kind::ExportedContacts),
            &CONTACTS,
            spanned(&lists.contacts, |own| (None, contact(own))),
            &mut rest,
        ),
        list(plain("pins", Kind::ExportedPins), &PINS, spanned(&lists.pins, |own| (own.span, pin(own))), &mut rest),
        list(
            plain("joints", Kind::ExportedJoints),
            &JOINTS,
            spanned(&lists.joints, |own| (Some(own.span), joint(own))),
            &mut rest,
        ),
        list(plain("fuses", Kind::ExportedFuses), &FUSES, spanned(&lists.fuses, |own| (Some(own.span), fuse(own))), &mut rest),
        list(
            plain("retired", Kind::Retired),
            &RETIRED,
            spanned(&lists.retired, |number| (None, vec![number.clone()])),
            &mut rest,
        ),
    ]);
    let left: Vec<Unread> = std::mem::take(&mut rest.cells).into_values().flatten().collect();
    if !left.is_empty() {
        let cells = |own: &Unread| {
            (None, vec![own.list.clone(), own.row.to_string(), own.thing.clone(), own.column.clone(), own.text.clone()])
        };
        made.push(list(plain("not read", Kind::ExportedRest), &REST, spanned(&left, cells), &mut rest));
    }
    let about = spanned(about, |(name, value)| (None, vec![(*name).to_owned(), value.clone()]));
    made.push(list(plain("totals", Kind::Skip), &TOTALS, spanned(&lists.totals, |own| (None, total(own))), &mut rest));
    made.push(list(plain("about", Kind::Skip), &ABOUT, about, &mut rest));
    made
}

/// The cells of a thing, with where it is written.
type Cells = (Option<Span>, Vec<String>);

fn spanned<T>(things: &[T], row: impl Fn(&T) -> Cells) -> Vec<Cells> {
    things.iter().map(row).collect()
}

fn list((name, kind, loom): (&str, Kind, Option<&LoomList>), head: &[Column], rows: Vec<Cells>, rest: &mut Rest<'_>) -> List {
    let mut columns: Vec<(String, Meaning)> = head.iter().map(|(word, meaning)| ((*word).to_owned(), *meaning)).collect();
    let own: BTreeSet<&str> = head.iter().map(|(word, _)| *word).collect();
    let mut sheet = Sheet::new(name, &[]);
    let mut further: Vec<String> = Vec::new();
    for (span, mut cells) in rows {
        for unread in span.map(|span| rest.take(span)).unwrap_or_default() {
            let at = further.iter().position(|known| *known == unread.column).unwrap_or_else(|| {
                further.push(unread.column.clone());
                further.len() - 1
            });
            let column = head.len() + at;
            if cells.len() <= column {
                cells.resize(column + 1, String::new());
            }
            if let Some(cell) = cells.get_mut(column) {
                *cell = if cell.is_empty() { unread.text } else { format!("{cell}{AND}{}", unread.text) };
            }
        }
        sheet.rows.push(cells);
    }
    // A heading that is one of ours is of the list that was read.
    columns.extend(further.into_iter().map(|word| {
        let is_taken = own.contains(word.as_str());
        (if is_taken { format!("{word} (of the list)") } else { word }, Meaning::Unread)
    }));
    sheet.head = columns.iter().map(|(word, _)| word.clone()).collect();
    for cells in &mut sheet.rows {
        cells.resize(columns.len(), String::new());
    }
    let meaning = Listed { name: sheet.name.clone(), kind, loom: loom.map(|loom| loom.name.clone()), columns };
    List { sheet, meaning }
}

/// What joins several things in one cell.
const AND: &str = "; ";

/// Several texts in one cell: in brackets where one of them holds a semicolon itself.
fn joined(texts: &[String]) -> String {
    if texts.iter().any(|text| text.contains(AND)) { format!("[{}]", texts.join("]; [")) } else { texts.join(AND) }
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
        joined(&wire.doubts),
        wire.note.clone(),
        wire.findings.join(AND),
    ]
}

fn whole(loom: &LoomList) -> Vec<String> {
    let state = if loom.fitted { "" } else { "not fitted" };
    vec![loom.name.clone(), loom.kind.clone(), state.to_owned(), joined(&loom.doubts), loom.note.clone()]
}

fn ended(end: &ListedEnd) -> Vec<String> {
    vec![
        end.loom.clone(),
        end.name.clone(),
        end.housing.clone(),
        end.mates.clone(),
        end.terminal.clone(),
        joined(&end.doubts),
        end.note.clone(),
        end.findings.join(AND),
    ]
}

fn contact(contact: &Contact) -> Vec<String> {
    let plugged = if contact.plugged && contact.state != ContactState::Plugged { "; plugged" } else { "" };
    vec![
        contact.loom.clone(),
        contact.end.clone(),
        contact.cavity.clone(),
        contact.kind.clone(),
        contact.mates.clone(),
        contact.meets.clone(),
        contact.renumbered.clone(),
        format!("{}{plugged}", contact.state.name()),
        contact.wires.join(AND),
        contact.signal.clone(),
        contact.terminal.clone(),
        contact.findings.join(AND),
    ]
}

fn pin(pin: &ListedPin) -> Vec<String> {
    vec![
        pin.device.clone(),
        pin.of_kind.clone(),
        pin.port.clone(),
        pin.key.clone(),
        pin.part.clone(),
        pin.pin.clone(),
        pin.signal.clone(),
        pin.state.clone(),
        joined(&pin.doubts),
        pin.note.clone(),
        pin.findings.join(AND),
    ]
}

fn joint(joint: &ListedJoint) -> Vec<String> {
    vec![
        joint.loom.clone(),
        joint.name.clone(),
        joint.what.clone(),
        joint.value.clone(),
        joint.length.map_or_else(String::new, millimetres),
        joint.note.clone(),
        joint.findings.join(AND),
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
