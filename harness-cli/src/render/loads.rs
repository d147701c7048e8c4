//! Loads of fuses and conductors: as tables, as comma-separated values, as JSON.

use super::{
    Checked,
    check::summary::CAUTION,
    kit::{
        figures::{MarginJson, PlaceJson, figure, outcome, rounded, times},
        palette::{self, paint},
        printable,
        table::{self, Column, LeftOut},
        wrap,
    },
};
use crate::{args::LoadsBy, terminal::Look};
use harness_core::{
    inspect::{ConductorLoad, FuseLoad, Loads, Margin, Outcome, Short},
    quantity::{Second, Unit},
};
use serde::{Serialize, Serializer};
use serde_json::{Value, json};
use std::io::{self, Write};

/// The version of the JSON: raised when a reader of the one before would misread it.
pub const VERSION: u32 = 1;

/// Writes the tables asked for, both if none is; the columns that do not fit are named below.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, loads: &Loads, by: Option<LoadsBy>, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let title = format!("loads of {}", checked.shown(&checked.root));
    writeln!(out, "{}", paint(look, palette::heading(), &title))?;
    let modes = loads.modes.iter().map(|mode| format!("`{}`", printable(mode))).collect::<Vec<_>>().join(", ");
    text(&format!("worst of the modes {modes}; margin: limit over figure, the least first"), look, out)?;
    let mut left_out: Vec<(&str, LeftOut)> = Vec::new();
    if by != Some(LoadsBy::Conductor) {
        writeln!(out)?;
        left_out.push(("fuses", fuses(&loads.fuses, look, out)?));
    }
    if by != Some(LoadsBy::Fuse) {
        writeln!(out)?;
        left_out.push(("conductors", conductors(&loads.conductors, look, out)?));
    }
    writeln!(out)?;
    for (of, left_out) in left_out.iter().filter(|(_, left_out)| !left_out.titles.is_empty()) {
        let titles = left_out.titles.join(", ");
        text(&format!("{of}: no room for {titles}; `--width {}` shows all, `--format csv` too", left_out.needed), look, out)?;
    }
    for unknown in &loads.unknown {
        text(&format!("not known: {unknown}"), look, out)?;
    }
    text(CAUTION.first().copied().unwrap_or_default(), look, out)
}

fn text(text: &str, look: Look, out: &mut dyn Write) -> io::Result<()> {
    for line in wrap(&printable(text), look.width) {
        writeln!(out, "{line}")?;
    }
    Ok(())
}

fn fuses(rows: &[FuseLoad], look: Look, out: &mut dyn Write) -> io::Result<LeftOut> {
    if rows.is_empty() {
        writeln!(out, "no fuse feeds anything")?;
        return Ok(LeftOut::default());
    }
    let columns = [
        Column::left("fuse", 0),
        Column::right("rating", 0),
        Column::right("load", 1),
        Column::left("mode", 7),
        Column::right("share", 4),
        Column::right("air", 8),
        Column::left("thinnest", 2),
        Column::right("size", 6),
        Column::right("takes", 5),
        Column::right("behind", 9),
        Column::right("short", 1),
        Column::right("ends in", 3),
        Column::right("margin", 0),
        Column::left("to", 0),
    ];
    let row = |row: &FuseLoad| {
        let (margin, against) = least(row.least());
        let thinnest = row.thinnest.as_ref();
        vec![
            printable(&row.name).into_owned(),
            shown(row.rating),
            row.amps.to_string(),
            mode(row.mode.as_deref()),
            shown(row.share),
            shown(row.ambient),
            thinnest.map_or_else(String::new, |thinnest| printable(&thinnest.name).into_owned()),
            shown(thinnest.map(|thinnest| thinnest.size)),
            shown(thinnest.map(|thinnest| thinnest.capacity)),
            row.conductors.to_string(),
            shown(row.duty.as_ref().map(|duty| duty.amps)),
            ends(row.short.as_ref()),
            margin,
            against,
        ]
    };
    table::write(&columns, &rows.iter().map(row).collect::<Vec<_>>(), 0, look, out)
}

fn conductors(rows: &[ConductorLoad], look: Look, out: &mut dyn Write) -> io::Result<LeftOut> {
    if rows.is_empty() {
        writeln!(out, "no conductors")?;
        return Ok(LeftOut::default());
    }
    let columns = [
        Column::left("conductor", 0),
        Column::right("size", 1),
        Column::right("load", 1),
        Column::left("mode", 8),
        Column::right("takes", 3),
        Column::right("share", 7),
        Column::left("fuse", 2),
        Column::right("short", 1),
        Column::right("ends in", 4),
        Column::right("stands", 6),
        Column::right("reached", 11),
        Column::right("heats to", 9),
        Column::right("drop", 10),
        Column::right("margin", 0),
        Column::left("to", 0),
    ];
    let row = |row: &ConductorLoad| {
        let (margin, against) = least(row.least());
        vec![
            printable(&row.name).into_owned(),
            shown(row.size),
            row.amps.to_string(),
            mode(row.mode.as_deref()),
            shown(row.capacity),
            shown(row.share),
            guard(row),
            shown(row.short.as_ref().map(|short| short.amps)),
            ends(row.short.as_ref()),
            row.short.as_ref().map_or_else(|| "-".to_owned(), |short| time(short.stands, "for ever")),
            shown(row.short.as_ref().map(|short| short.reached)),
            shown(row.temperature),
            row.drop.to_string(),
            margin,
            against,
        ]
    };
    table::write(&columns, &rows.iter().map(row).collect::<Vec<_>>(), 0, look, out)
}

/// A value, or a dash where it is not known.
fn shown<T: ToString>(value: Option<T>) -> String {
    value.map_or_else(|| "-".to_owned(), |value| value.to_string())
}

/// When the current of a short has ended at the latest.
fn ends(short: Option<&Short>) -> String {
    short.map_or_else(
        || "-".to_owned(),
        |short| match short.outcome {
            Outcome::Unknown(_) => "unknown".to_owned(),
            _ => time(short.ends, "never"),
        },
    )
}

/// A time, or what stands for there being no end.
fn time(time: Option<Second>, none: &str) -> String {
    time.map_or_else(|| none.to_owned(), |time| time.to_string())
}

fn mode(mode: Option<&str>) -> String {
    mode.map_or_else(|| "-".to_owned(), |mode| printable(mode).into_owned())
}

fn guard(row: &ConductorLoad) -> String {
    match row.fuses.split_first() {
        Some((first, rest)) => match rest.len() + row.more_fuses {
            0 => printable(first).into_owned(),
            more => format!("{} +{more}", printable(first)),
        },
        None if row.is_return => "return".to_owned(),
        None if row.is_lead_in => "lead-in".to_owned(),
        None => "-".to_owned(),
    }
}

fn least(margin: Option<&Margin>) -> (String, String) {
    margin.map_or_else(|| ("-".to_owned(), "-".to_owned()), |margin| (times(margin.ratio), margin.against.word().to_owned()))
}

/// Writes one table as comma-separated values with a heading, every figure in the unit that its heading names.
///
/// # Errors
/// If `out` can't be written.
pub fn csv(checked: &Checked, loads: &Loads, by: LoadsBy, out: &mut dyn Write) -> io::Result<()> {
    let rows: Vec<Row> = match by {
        LoadsBy::Fuse => loads.fuses.iter().map(|row| fuse_row(checked, row)).collect(),
        LoadsBy::Conductor => loads.conductors.iter().map(|row| conductor_row(checked, row)).collect(),
    };
    let mut writer = csv::Writer::from_writer(out);
    let headings = rows.first().map(|row| row.0.iter().map(|(name, _)| *name)).into_iter().flatten();
    let written = match rows.is_empty() {
        true => Ok(()),
        false => writer.write_record(headings),
    };
    written
        .and_then(|()| rows.iter().try_for_each(|row| writer.write_record(row.0.iter().map(|(_, value)| plain(value)))))
        .map_err(|error| match error.into_kind() {
            csv::ErrorKind::Io(error) => error,
            other => io::Error::other(format!("{other:?}")),
        })?;
    writer.flush()
}

/// A value as comma-separated values have it; nothing where it is not known.
fn plain(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::String(text) => text.clone(),
        other => other.to_string(),
    }
}

/// A row of a table with its headings, the same in CSV and in JSON. A heading ends with the unit of its figure.
struct Row(Vec<(&'static str, Value)>);

impl Serialize for Row {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(name, value)| (*name, value)))
    }
}

fn fuse_row(checked: &Checked, row: &FuseLoad) -> Row {
    let thinnest = row.thinnest.as_ref();
    let mut cells = vec![
        ("fuse", json!(row.name)),
        ("place", json!(checked.place(row.span))),
        ("rating_A", number(row.rating)),
        ("ambient_degC", number(row.ambient)),
        ("load_A", number(Some(row.amps))),
        ("mode", json!(row.mode)),
        ("limit_A", number(row.limit)),
        ("share", number(row.share)),
        ("conductors", json!(row.conductors)),
        ("thinnest", json!(thinnest.map(|thinnest| &thinnest.name))),
        ("thinnest_size_mm2", number(thinnest.map(|thinnest| thinnest.size))),
        ("thinnest_capacity_A", number(thinnest.map(|thinnest| thinnest.capacity))),
        ("largest_short_A", number(row.duty.as_ref().map(|duty| duty.amps))),
        ("breaking_A", number(row.duty.as_ref().and_then(|duty| duty.breaks).map(|breaks| breaks.value))),
    ];
    cells.extend(short_cells(row.short.as_ref()));
    cells.extend(margin_cells(row.least()));
    Row(cells)
}

fn conductor_row(checked: &Checked, row: &ConductorLoad) -> Row {
    let mut cells = vec![
        ("conductor", json!(row.name)),
        ("place", json!(checked.place(row.span))),
        ("size_mm2", number(row.size)),
        ("load_A", number(Some(row.amps))),
        ("mode", json!(row.mode)),
        ("capacity_A", number(row.capacity)),
        ("share", number(row.share)),
        ("temperature_degC", number(row.temperature)),
        ("drop_V", number(Some(row.drop))),
        ("fuses", json!(row.fuses.join(" "))),
        ("more_fuses", json!(row.more_fuses)),
        ("is_return", json!(row.is_return)),
        ("is_lead_in", json!(row.is_lead_in)),
        ("is_bare", json!(row.is_bare)),
    ];
    cells.extend(short_cells(row.short.as_ref()));
    cells.extend(margin_cells(row.least()));
    Row(cells)
}

/// The worst short of a conductor, or of those behind a fuse.
fn short_cells(short: Option<&Short>) -> [(&'static str, Value); 12] {
    let points = short.map(|short| &short.points);
    [
        ("short_wire", json!(short.map(|short| &short.wire))),
        ("short_A", number(short.map(|short| short.amps))),
        ("short_mode", json!(short.map(|short| &short.mode))),
        ("short_at", json!(points.map(|[at, _]| at))),
        ("short_to", json!(points.map(|[_, to]| to))),
        ("short_fuse", json!(short.and_then(|short| short.fuse.as_ref()))),
        ("fuse_opens_s", number(short.and_then(|short| short.opens).map(|opens| opens.value))),
        ("short_ends_s", number(short.and_then(|short| short.ends))),
        ("conductor_stands_s", number(short.and_then(|short| short.stands))),
        ("reached_degC", number(short.map(|short| short.reached))),
        ("short_limit_degC", number(short.map(|short| short.limit.value))),
        ("short_outcome", json!(short.map(|short| outcome(&short.outcome)))),
    ]
}

fn margin_cells(least: Option<&Margin>) -> [(&'static str, Value); 2] {
    let margin = json!(least.map(|margin| rounded(margin.ratio)));
    [("margin", margin), ("margin_to", json!(least.map(|margin| margin.against.word())))]
}

fn number<U: Unit>(value: Option<U>) -> Value {
    json!(value.map(figure))
}

#[derive(Serialize)]
struct LoadsJson<'a> {
    version: u32,
    file: String,
    modes: &'a [String],
    #[serde(skip_serializing_if = "Option::is_none")]
    fuses: Option<Vec<FuseJson<'a>>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    conductors: Option<Vec<ConductorJson<'a>>>,
    unknown: &'a [String],
    caution: &'a [&'a str],
}

#[derive(Serialize)]
struct FuseJson<'a> {
    #[serde(flatten)]
    row: Row,
    written: PlaceJson,
    margins: Vec<MarginJson<'a>>,
}

#[derive(Serialize)]
struct ConductorJson<'a> {
    #[serde(flatten)]
    row: Row,
    written: PlaceJson,
    fuses_before: &'a [String],
    margins: Vec<MarginJson<'a>>,
}

/// Writes the tables asked for as JSON, both if none is.
///
/// # Errors
/// If `out` can't be written.
pub fn json(checked: &Checked, loads: &Loads, by: Option<LoadsBy>, out: &mut dyn Write) -> io::Result<()> {
    let fuses = |row| fuse_json(checked, row);
    let conductors = |row| conductor_json(checked, row);
    let value = LoadsJson {
        version: VERSION,
        file: checked.shown(&checked.root),
        modes: &loads.modes,
        fuses: (by != Some(LoadsBy::Conductor)).then(|| loads.fuses.iter().map(fuses).collect()),
        conductors: (by != Some(LoadsBy::Fuse)).then(|| loads.conductors.iter().map(conductors).collect()),
        unknown: &loads.unknown,
        caution: &CAUTION,
    };
    serde_json::to_writer_pretty(&mut *out, &value)?;
    writeln!(out)
}

fn fuse_json<'a>(checked: &Checked, row: &'a FuseLoad) -> FuseJson<'a> {
    FuseJson {
        row: fuse_row(checked, row),
        written: PlaceJson::of(checked, row.span),
        margins: row.margins.iter().map(MarginJson::from).collect(),
    }
}

fn conductor_json<'a>(checked: &Checked, row: &'a ConductorLoad) -> ConductorJson<'a> {
    ConductorJson {
        row: conductor_row(checked, row),
        written: PlaceJson::of(checked, row.span),
        fuses_before: &row.fuses,
        margins: row.margins.iter().map(MarginJson::from).collect(),
    }
}
