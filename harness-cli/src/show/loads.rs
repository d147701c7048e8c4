//! Loads of fuses and conductors: as tables, as comma-separated values, as JSON.

use super::{
    Checked,
    figures_json::{MarginJson, PlaceJson, figure, outcome, rounded, times},
    palette::{self, paint},
    printable,
    summary::CAUTION,
    table::{self, Column, LeftOut},
    wrap,
};
use crate::{args::LoadsBy, terminal::Look};
use harness_core::{
    dossier::{ConductorLoad, FuseLoad, Loads, Margin, Short},
    quantity::{Second, Unit},
};
use serde::Serialize;
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
        Column::left("fuse before", 2),
        Column::right("short", 1),
        Column::right("ends in", 4),
        Column::right("stands", 6),
        Column::right("reached", 9),
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
    short.map_or_else(|| "-".to_owned(), |short| time(short.ends, "never"))
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
        Some((first, [])) => printable(first).into_owned(),
        Some((first, rest)) => format!("{} +{}", printable(first), rest.len()),
        None if row.is_return => "return".to_owned(),
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
    let mut writer = csv::Writer::from_writer(out);
    match by {
        LoadsBy::Fuse => loads.fuses.iter().try_for_each(|row| writer.serialize(FuseCsv::of(checked, row))),
        LoadsBy::Conductor => loads.conductors.iter().try_for_each(|row| writer.serialize(ConductorCsv::of(checked, row))),
    }
    .map_err(|error| match error.into_kind() {
        csv::ErrorKind::Io(error) => error,
        other => io::Error::other(format!("{other:?}")),
    })?;
    writer.flush()
}

#[derive(Serialize)]
#[allow(non_snake_case, reason = "the heading of a column names its unit as it is written")]
struct FuseCsv<'a> {
    fuse: &'a str,
    place: String,
    rating_A: Option<f64>,
    ambient_degC: Option<f64>,
    load_A: f64,
    mode: Option<&'a str>,
    limit_A: Option<f64>,
    share: Option<f64>,
    conductors: usize,
    thinnest: Option<&'a str>,
    thinnest_size_mm2: Option<f64>,
    thinnest_capacity_A: Option<f64>,
    largest_short_A: Option<f64>,
    breaking_A: Option<f64>,
    #[serde(flatten)]
    short: ShortCsv<'a>,
    margin: Option<f64>,
    margin_to: Option<&'static str>,
}

impl<'a> FuseCsv<'a> {
    fn of(checked: &Checked, row: &'a FuseLoad) -> Self {
        let (least, thinnest) = (row.least(), row.thinnest.as_ref());
        Self {
            fuse: &row.name,
            place: checked.place(row.span),
            rating_A: number(row.rating),
            ambient_degC: number(row.ambient),
            load_A: figure(row.amps),
            mode: row.mode.as_deref(),
            limit_A: number(row.limit),
            share: number(row.share),
            conductors: row.conductors,
            thinnest: thinnest.map(|thinnest| thinnest.name.as_str()),
            thinnest_size_mm2: number(thinnest.map(|thinnest| thinnest.size)),
            thinnest_capacity_A: number(thinnest.map(|thinnest| thinnest.capacity)),
            largest_short_A: number(row.duty.as_ref().map(|duty| duty.amps)),
            breaking_A: number(row.duty.as_ref().and_then(|duty| duty.breaks).map(|breaks| breaks.value)),
            short: ShortCsv::of(row.short.as_ref()),
            margin: least.map(|margin| rounded(margin.ratio)),
            margin_to: least.map(|margin| margin.against.word()),
        }
    }
}

#[derive(Serialize)]
#[allow(non_snake_case, reason = "the heading of a column names its unit as it is written")]
struct ConductorCsv<'a> {
    conductor: &'a str,
    place: String,
    size_mm2: Option<f64>,
    load_A: f64,
    mode: Option<&'a str>,
    capacity_A: Option<f64>,
    share: Option<f64>,
    fuses: String,
    is_return: bool,
    is_bare: bool,
    #[serde(flatten)]
    short: ShortCsv<'a>,
    margin: Option<f64>,
    margin_to: Option<&'static str>,
}

impl<'a> ConductorCsv<'a> {
    fn of(checked: &Checked, row: &'a ConductorLoad) -> Self {
        let least = row.least();
        Self {
            conductor: &row.name,
            place: checked.place(row.span),
            size_mm2: number(row.size),
            load_A: figure(row.amps),
            mode: row.mode.as_deref(),
            capacity_A: number(row.capacity),
            share: number(row.share),
            fuses: row.fuses.join(" "),
            is_return: row.is_return,
            is_bare: row.is_bare,
            short: ShortCsv::of(row.short.as_ref()),
            margin: least.map(|margin| rounded(margin.ratio)),
            margin_to: least.map(|margin| margin.against.word()),
        }
    }
}

/// The worst short of a conductor, or of those behind a fuse.
#[derive(Serialize, Default)]
#[allow(non_snake_case, reason = "the heading of a column names its unit as it is written")]
struct ShortCsv<'a> {
    short_wire: Option<&'a str>,
    short_A: Option<f64>,
    short_mode: Option<&'a str>,
    short_at: Option<&'a str>,
    short_to: Option<&'a str>,
    short_fuse: Option<&'a str>,
    fuse_opens_s: Option<f64>,
    short_ends_s: Option<f64>,
    conductor_stands_s: Option<f64>,
    reached_degC: Option<f64>,
    short_limit_degC: Option<f64>,
    short_outcome: Option<&'static str>,
}

impl<'a> ShortCsv<'a> {
    fn of(short: Option<&'a Short>) -> Self {
        let Some(short) = short else { return Self::default() };
        let [at, to] = &short.points;
        Self {
            short_wire: Some(&short.wire),
            short_A: Some(figure(short.amps)),
            short_mode: Some(&short.mode),
            short_at: Some(at),
            short_to: Some(to),
            short_fuse: short.fuse.as_deref(),
            fuse_opens_s: number(short.opens.map(|opens| opens.value)),
            short_ends_s: number(short.ends),
            conductor_stands_s: number(short.stands),
            reached_degC: Some(figure(short.reached)),
            short_limit_degC: Some(figure(short.limit.value)),
            short_outcome: Some(outcome(&short.outcome)),
        }
    }
}

fn number<U: Unit>(value: Option<U>) -> Option<f64> {
    value.map(figure)
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
    row: FuseCsv<'a>,
    written: PlaceJson,
    margins: Vec<MarginJson<'a>>,
}

#[derive(Serialize)]
struct ConductorJson<'a> {
    #[serde(flatten)]
    row: ConductorCsv<'a>,
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
        row: FuseCsv::of(checked, row),
        written: PlaceJson::of(checked, row.span),
        margins: row.margins.iter().map(MarginJson::from).collect(),
    }
}

fn conductor_json<'a>(checked: &Checked, row: &'a ConductorLoad) -> ConductorJson<'a> {
    ConductorJson {
        row: ConductorCsv::of(checked, row),
        written: PlaceJson::of(checked, row.span),
        fuses_before: &row.fuses,
        margins: row.margins.iter().map(MarginJson::from).collect(),
    }
}
