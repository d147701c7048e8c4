//! The guess: the row of headings, what each column means by heading and cells, and what the tab lists.

use super::{
    Column, Kind, Meaning, Sheet,
    header::{header_row, headings, title_plug},
    headings::{meanings, plain},
    key,
};
use crate::{
    cell::{self, LengthUnit, SizeUnit},
    mapping::{KindWord, ListMapping, MeaningWord},
};
use harness_sheets::Tab;
use std::collections::{BTreeMap, BTreeSet};

/// Cells of a column that are looked at.
const CELLS: usize = 200;

/// Finds out what a tab lists and what its columns mean.
///
/// # Errors
/// If the mapping names a column that is not there.
pub fn understand<'a>(
    list: &str,
    tab: &'a Tab,
    mapping: Option<&ListMapping>,
    colours: &BTreeMap<String, String>,
) -> Result<Sheet<'a>, String> {
    let header = match mapping.and_then(|mapping| mapping.header_row) {
        Some(number) => tab.rows.iter().position(|row| row.number == number),
        None => header_row(tab),
    };
    let row = header.and_then(|at| tab.rows.get(at));
    let above = header.and_then(|at| at.checked_sub(1)).and_then(|at| tab.rows.get(at));
    let header_row = row.map_or(0, |row| row.number);
    let headings = headings(tab, row, above);
    let titles = tab
        .rows
        .iter()
        .take_while(|row| row.number < header_row)
        .filter_map(|row| Some((row.number, row.cells.first()?.text.clone())))
        .collect();
    let mut sheet = Sheet {
        list: list.to_owned(),
        tab,
        kind: Kind::Skip,
        header_row,
        columns: Vec::new(),
        loom: None,
        plug: None,
        titles,
        remarks: Vec::new(),
        taken: BTreeSet::new(),
    };
    if let Some(mapping) = mapping {
        sheet.kind = match mapping.kind {
            KindWord(kind) => kind,
        };
        sheet.columns = mapped(list, &headings, mapping)?;
        sheet.loom.clone_from(&mapping.loom);
        sheet.plug.clone_from(&mapping.plug);
        return Ok(sheet);
    }
    guess(&mut sheet, &headings, colours);
    sheet.loom = tab.name.strip_prefix("loom ").or_else(|| tab.name.strip_prefix("Loom ")).map(|name| name.trim().to_owned());
    Ok(sheet)
}

/// The keys by which the mapping names the columns.
fn keys(headings: &[(u32, String)]) -> Vec<String> {
    let is_alone = |heading: &str| headings.iter().filter(|(_, other)| other == heading).count() == 1;
    headings.iter().map(|(index, heading)| key(heading, *index, is_alone(heading))).collect()
}

/// The columns as the mapping says; what it does not name is not read.
fn mapped(list: &str, headings: &[(u32, String)], mapping: &ListMapping) -> Result<Vec<Column>, String> {
    let keys = keys(headings);
    // A column that nothing reads may be taken out of a list.
    let is_read = |meaning: Meaning| !matches!(meaning, Meaning::Unread | Meaning::WorkedOut);
    let unknown = mapping.columns.iter().find(|(name, meaning)| is_read(meaning.0) && !keys.contains(name));
    if let Some((unknown, _)) = unknown {
        let known: Vec<String> = keys.iter().map(|key| format!("`{key}`")).collect();
        return Err(format!(
            "the mapping names the column `{unknown}` of `{list}`, which is not there; its columns are {}",
            known.join(", ")
        ));
    }
    let column = |(key, (index, _)): (String, &(u32, String))| {
        let meaning = mapping.columns.get(&key).map_or(Meaning::Unread, |MeaningWord(meaning)| *meaning);
        let because = if mapping.columns.contains_key(&key) { "by the mapping" } else { "not in the mapping" };
        Column { index: *index, key, meaning, because: because.to_owned() }
    };
    Ok(keys.into_iter().zip(headings).map(column).collect())
}

/// The filled cells of a column below the headings.
fn cells(tab: &Tab, column: u32, header_row: u32) -> Vec<&str> {
    let rows = tab.rows.iter().filter(move |row| row.number > header_row && row.cells.len() > 1);
    rows.map(move |row| row.text(column)).filter(|text| !text.is_empty()).take(CELLS).collect()
}

fn share(cells: &[&str], is: impl Fn(&str) -> bool) -> f64 {
    if cells.is_empty() { 0.0 } else { cells.iter().filter(|cell| is(cell)).count() as f64 / cells.len() as f64 }
}

fn guess(sheet: &mut Sheet<'_>, headings: &[(u32, String)], colours: &BTreeMap<String, String>) {
    let keys = keys(headings);
    for ((index, heading), key) in headings.iter().zip(keys) {
        let cells = cells(sheet.tab, *index, sheet.header_row);
        let (meaning, because) = by_cells(heading, &cells, colours);
        sheet.columns.push(Column { index: *index, key, meaning, because });
    }
    identities(sheet);
    sides(&mut sheet.columns);
    let name = format!("{} {}", sheet.tab.name, sheet.titles.iter().map(|(_, text)| text.as_str()).collect::<Vec<_>>().join(" "))
        .to_lowercase();
    sheet.kind = kind(&sheet.columns, &name);
    if sheet.kind != Kind::Wires {
        for column in &mut sheet.columns {
            match column.meaning {
                Meaning::From if sheet.kind != Kind::Pins => column.meaning = Meaning::Plug,
                Meaning::FromPin => column.meaning = Meaning::Pin,
                _ => {}
            }
        }
    }
    if sheet.kind == Kind::Housings {
        for column in sheet.columns.iter_mut().filter(|column| column.meaning == Meaning::To) {
            column.meaning = Meaning::Plug;
        }
    }
    if sheet.kind == Kind::Fuses
        && !sheet.columns.iter().any(|column| column.meaning == Meaning::Protects)
        && let Some(column) = sheet.columns.iter_mut().find(|column| column.meaning == Meaning::Number)
    {
        column.meaning = Meaning::Protects;
    }
    doubles(sheet);
    if sheet.kind == Kind::Pins && sheet.column(Meaning::Plug).is_none() && sheet.column(Meaning::From).is_none() {
        sheet.plug = title_plug(sheet);
    }
}

/// Circuits and cables that are on one row each are the numbers of the wires, if no other column has these.
fn identities(sheet: &mut Sheet<'_>) {
    let has_number = sheet.columns.iter().any(|column| column.meaning == Meaning::Number);
    let has_core = sheet.columns.iter().any(|column| column.meaning == Meaning::Core);
    let is_id = |cell: &str| {
        cell.chars().count() <= 10 && !cell.contains(char::is_whitespace) && cell.contains(|letter: char| letter.is_ascii_digit())
    };
    let mut found = None;
    for (at, column) in sheet.columns.iter().enumerate() {
        let word = plain(&column.key);
        let may_be = match column.meaning {
            Meaning::Signal => ["circuit", "net", "name"].contains(&word.as_str()),
            Meaning::Cable => !has_core,
            _ => false,
        };
        let cells = cells(sheet.tab, column.index, sheet.header_row);
        let different: BTreeSet<&str> = cells.iter().copied().collect();
        if may_be && cells.len() >= 3 && different.len() == cells.len() && cells.iter().all(|cell| is_id(cell)) {
            found = found.or(Some(at));
        }
    }
    if let Some(column) = found.filter(|_| !has_number).and_then(|at| sheet.columns.get_mut(at)) {
        column.meaning = Meaning::Number;
        column.because = "by its heading, and each of its cells is another".to_owned();
    }
}

/// What a heading and its cells say together.
fn by_cells(heading: &str, cells: &[&str], colours: &BTreeMap<String, String>) -> (Meaning, String) {
    let candidates = meanings(heading);
    // What every cell names holds against a heading such as `Gauge`.
    let size_unit = (!cells.is_empty() && cells.iter().all(|cell| SizeUnit::named_in(cell).is_some()))
        .then(|| unit_of_cells(cells))
        .flatten()
        .or_else(|| SizeUnit::named_in(heading))
        .or_else(|| unit_of_cells(cells));
    let fits = |meaning: &Meaning| match meaning {
        Meaning::Size(_) => share(cells, |cell| {
            cell::size(&cell::doubt(cell).text, size_unit).is_ok()
                || cell::size(cell, size_unit).is_ok()
                || cell::size_and_colour(cell, size_unit.or(Some(SizeUnit::Awg)), colours).is_some()
        }),
        Meaning::Colour | Meaning::Stripe => share(cells, |cell| cell::colour(&cell::doubt(cell).text, colours).is_ok()),
        Meaning::Length(_) => share(cells, |cell| cell::length(&cell::doubt(cell).text, Some(LengthUnit::Millimetre)).is_ok()),
        Meaning::Rating => share(cells, |cell| cell::rating(cell).is_some()),
        _ => 0.5,
    };
    let heading_says = || "by its heading".to_owned();
    match candidates {
        [] => without_heading(cells, colours),
        [Meaning::Size(_)] => match size_unit {
            Some(unit) => (Meaning::Size(Some(unit)), heading_says()),
            None if cell::are_areas(cells) => (
                Meaning::Size(Some(SizeUnit::SquareMillimetre)),
                "by its heading; its cells are cross-sections, no gauge has a fraction".to_owned(),
            ),
            None if fits(&Meaning::Size(None)) > 0.3 => (Meaning::Size(None), heading_says()),
            // A heading that names the wire or its gauge is about wires; a bare `Size` may be that of contacts.
            None if plain(heading) != "size" && plain(heading) != "mm" => (Meaning::Size(None), heading_says()),
            None => (Meaning::Unread, "sizes without a unit: of wires or of contacts?".to_owned()),
        },
        [Meaning::Length(_)] => {
            let words: Vec<String> = heading
                .split(|letter: char| !(letter.is_alphanumeric() || letter == '"' || letter == '\''))
                .map(str::to_lowercase)
                .collect();
            let unit = words
                .iter()
                .filter(|word| *word != "in" || heading.contains("(in)") || heading.ends_with(" in"))
                .find_map(|word| LengthUnit::of(word));
            (Meaning::Length(unit), heading_says())
        }
        [Meaning::Number] if repeats(cells) => (Meaning::Unread, REPEATS.to_owned()),
        [one] => (*one, heading_says()),
        several => {
            let best = several.iter().copied().fold(None, |best: Option<(Meaning, f64)>, meaning| match best {
                Some((_, fit)) if fit >= fits(&meaning) => best,
                _ => Some((meaning, fits(&meaning))),
            });
            match best.map_or(Meaning::Unread, |(meaning, _)| meaning) {
                Meaning::Size(_) => (Meaning::Size(size_unit), "by its heading and its cells".to_owned()),
                Meaning::Number if repeats(cells) => (Meaning::Unread, REPEATS.to_owned()),
                meaning => (meaning, "by its heading and its cells".to_owned()),
            }
        }
    }
}

/// Why a column of numbers is not that of the wires.
const REPEATS: &str = "one number is on many rows, so that it does not distinguish wires; if it is a gauge, say `size in AWG`";

/// Whether most cells of a column are the same few.
fn repeats(cells: &[&str]) -> bool {
    let different: BTreeSet<&str> = cells.iter().copied().collect();
    cells.len() >= 6 && different.len() * 2 <= cells.len()
}

/// A column whose heading says nothing: only cells that can mean one thing alone decide.
fn without_heading(cells: &[&str], colours: &BTreeMap<String, String>) -> (Meaning, String) {
    let by = || "by its cells".to_owned();
    if cells.len() >= 3 {
        if share(cells, |cell| cell::size(&cell::doubt(cell).text, None).is_ok_and(|size| !size.sizes.is_empty())) >= 0.8 {
            return (Meaning::Size(None), by());
        }
        if share(cells, |cell| cell::size_and_colour(cell, Some(SizeUnit::Awg), colours).is_some()) >= 0.8 {
            return (Meaning::Size(unit_of_cells(cells)), by());
        }
        if share(cells, |cell| cell::colour(&cell::doubt(cell).text, colours).is_ok()) >= 0.8 {
            return (Meaning::Colour, by());
        }
        if share(cells, |cell| cell::length(&cell::doubt(cell).text, None).is_ok()) >= 0.8 {
            return (Meaning::Length(None), by());
        }
    }
    (Meaning::Unread, "its heading is not known".to_owned())
}

/// The one unit that the cells of a column name.
fn unit_of_cells(cells: &[&str]) -> Option<SizeUnit> {
    let mut units: BTreeSet<SizeUnit> = cells.iter().filter_map(|cell| SizeUnit::named_in(cell)).collect();
    let unit = units.pop_first();
    // `2/0` says it too.
    let unit = unit.or_else(|| cells.iter().any(|cell| ["1/0", "2/0", "3/0", "4/0"].contains(cell)).then_some(SizeUnit::Awg));
    if units.is_empty() { unit } else { None }
}

/// Plugs and pins whose headings do not say the side: the first plug is where the wire begins, the second where it ends, and a pin is
/// of the plug before it.
fn sides(columns: &mut [Column]) {
    let has = |columns: &[Column], meaning: Meaning| columns.iter().any(|column| column.meaning == meaning);
    let plugs = columns.iter().filter(|column| column.meaning == Meaning::Plug).count();
    let (has_from, has_to) = (has(columns, Meaning::From), has(columns, Meaning::To));
    if plugs == 2 && !has_from && !has_to {
        let mut next = [Meaning::From, Meaning::To].into_iter();
        for column in columns.iter_mut().filter(|column| column.meaning == Meaning::Plug) {
            column.meaning = next.next().unwrap_or(Meaning::Unread);
        }
    } else if plugs == 1 && has_from != has_to {
        let meaning = if has_from { Meaning::To } else { Meaning::From };
        let is_table = has(columns, Meaning::Pin)
            && !has_from
            && columns.iter().filter(|column| column.meaning == Meaning::Pin).count() == 1;
        for column in columns.iter_mut().filter(|column| column.meaning == Meaning::Plug && !is_table) {
            column.meaning = meaning;
        }
    }
    if !(has(columns, Meaning::From) && has(columns, Meaning::To)) {
        return;
    }
    let at = |meaning: Meaning| columns.iter().position(|column| column.meaning == meaning);
    let pins: Vec<usize> =
        columns.iter().enumerate().filter(|(_, column)| column.meaning == Meaning::Pin).map(|(at, _)| at).collect();
    // A pin before the first plug and none behind the last one: each pin is written before its plug.
    let is_before = match (at(Meaning::From), at(Meaning::To), pins.as_slice()) {
        (Some(from), Some(to), [first, .., last]) => *first < from.min(to) && *last < from.max(to),
        _ => false,
    };
    let mut side = None;
    let mut assign = |column: &mut Column| match column.meaning {
        Meaning::From => side = Some(Meaning::FromPin),
        Meaning::To => side = Some(Meaning::ToPin),
        Meaning::Pin => column.meaning = side.take().unwrap_or(Meaning::Unread),
        _ => {}
    };
    if is_before {
        columns.iter_mut().rev().for_each(&mut assign);
    } else {
        columns.iter_mut().for_each(&mut assign);
    }
}

fn kind(columns: &[Column], name: &str) -> Kind {
    let has = |meaning: Meaning| columns.iter().any(|column| column.meaning.is_like(meaning));
    let says = |words: &[&str]| words.iter().any(|word| name.contains(word));
    if says(&["retired", "do not use", "do not reuse", "withdrawn"])
        && (has(Meaning::Number) || has(Meaning::Protects))
        && !(has(Meaning::From) && has(Meaning::To))
    {
        return Kind::Retired;
    }
    if has(Meaning::Grounded) && !(has(Meaning::From) && has(Meaning::To)) {
        return Kind::Screens;
    }
    if has(Meaning::From) && has(Meaning::To) {
        return Kind::Wires;
    }
    if has(Meaning::Pin) || has(Meaning::FromPin) {
        return Kind::Pins;
    }
    if has(Meaning::Fuse) && (has(Meaning::Rating) || has(Meaning::Protects)) {
        return Kind::Fuses;
    }
    if (has(Meaning::Plug) || has(Meaning::From) || has(Meaning::To)) && (has(Meaning::Housing) || has(Meaning::Key)) {
        return Kind::Housings;
    }
    Kind::Skip
}

/// Two columns of one meaning: neither is taken, but for notes, for a size given in two units, and for a description beside a signal.
fn doubles(sheet: &mut Sheet<'_>) {
    let single: Vec<(u32, Meaning)> = sheet.columns.iter().map(|column| (column.index, column.meaning)).collect();
    for (index, meaning) in &single {
        if matches!(meaning, Meaning::Note | Meaning::Unread | Meaning::Asked) {
            continue;
        }
        let same: Vec<(u32, Meaning)> = single.iter().filter(|(_, other)| other.is_like(*meaning)).copied().collect();
        if same.len() < 2 {
            continue;
        }
        let metric = same.iter().filter(|(_, other)| *other == Meaning::Size(Some(SizeUnit::SquareMillimetre))).count();
        let descriptions = |sheet: &Sheet<'_>| {
            sheet.columns.iter().filter(|column| column.meaning == Meaning::Signal && is_description(&column.key)).count()
        };
        let is_plain_signal = *meaning == Meaning::Signal && (1..same.len()).contains(&descriptions(sheet));
        let signals =
            sheet.columns.iter().filter(|column| column.meaning == Meaning::Signal && !is_description(&column.key)).count();
        let is_cavity = |column: &&Column| {
            column.meaning.is_like(Meaning::Pin)
                && !["terminal", "contact"].iter().any(|word| plain(&column.key).starts_with(word))
        };
        let cavities = sheet.columns.iter().filter(is_cavity).count();
        let Some(column) = sheet.columns.iter_mut().find(|column| column.index == *index) else { continue };
        match meaning {
            // A gauge and its area in mm2 are one size twice: the gauge is what was written.
            Meaning::Size(Some(SizeUnit::SquareMillimetre)) if same.len() == 2 && metric == 1 => {
                column.meaning = Meaning::Unread;
                column.because = "the size is taken from the other column of sizes".to_owned();
            }
            Meaning::Size(_) if same.len() == 2 && metric == 1 => {}
            // The part of the contact beside the cavity that it is in.
            Meaning::Pin if plain(&column.key).starts_with("terminal") || plain(&column.key).starts_with("contact") => {
                column.meaning = Meaning::Unread;
                column.because = "the cavity is taken from the other column".to_owned();
            }
            Meaning::Pin if cavities == 1 => {}
            Meaning::Signal if is_plain_signal && is_description(&column.key) => {
                column.meaning = Meaning::Note;
                column.because = "a description beside the signal".to_owned();
            }
            Meaning::Signal if is_plain_signal && signals == 1 => {}
            _ => {
                let others = if same.len() == 2 { "one other".to_owned() } else { format!("{} others", same.len() - 1) };
                column.because = format!("this and {others} may both be the {meaning}");
                column.meaning = Meaning::Asked;
            }
        }
    }
}

/// A heading of what a wire is for, in words, where another column may name its signal.
fn is_description(heading: &str) -> bool {
    let plain = plain(heading);
    ["desc", "purpose", "use", "function", "name"].iter().any(|word| plain.contains(word))
        && !plain.contains("signal")
        && !plain.contains("net")
        && !plain.contains("circuit name")
}
