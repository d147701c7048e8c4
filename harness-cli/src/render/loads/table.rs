//! Loads as tables that stay within the width.

use crate::{
    args::LoadsBy,
    render::{
        Checked,
        kit::{
            blocks::flow,
            caution::caution,
            figures::times,
            palette::{self, paint},
            printable,
            table::{self, Column, LeftOut},
        },
    },
    terminal::Look,
};
use harness_core::{
    inspect::{ConductorLoad, FuseLoad, Loads, Margin, Outcome, Short},
    quantity::Second,
};
use std::io::{self, Write};

/// Writes the tables asked for, both if none is; the columns that do not fit and the rows left out are named below.
///
/// # Errors
/// If `out` can't be written.
pub fn write(
    checked: &Checked,
    loads: &Loads,
    (by, selected): (Option<LoadsBy>, Option<&str>),
    look: Look,
    out: &mut dyn Write,
) -> io::Result<()> {
    let title = format!("loads of {}", checked.shown(&checked.root));
    writeln!(out, "{}", paint(look, palette::heading(), &title))?;
    let modes = loads.modes.iter().map(|mode| format!("`{}`", printable(mode))).collect::<Vec<_>>().join(", ");
    flow("", "", &format!("worst of the modes {modes}; margin: limit over figure, the least first"), look, out)?;
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
        flow(
            "",
            "",
            &format!("{of}: no room for {titles}; `--width {}` shows all, `--format csv` too", left_out.needed),
            look,
            out,
        )?;
    }
    if let Some(selected) = selected {
        flow("", "", selected, look, out)?;
    }
    for unknown in &loads.unknown {
        flow("", "", &format!("not known: {unknown}"), look, out)?;
    }
    caution(look, out)
}

fn fuses(rows: &[FuseLoad], look: Look, out: &mut dyn Write) -> io::Result<LeftOut<'static>> {
    if rows.is_empty() {
        writeln!(out, "no fuse to list")?;
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

fn conductors(rows: &[ConductorLoad], look: Look, out: &mut dyn Write) -> io::Result<LeftOut<'static>> {
    if rows.is_empty() {
        writeln!(out, "no conductor to list")?;
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
        Column::right("withstands", 6),
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
            row.short.as_ref().map_or_else(|| "-".to_owned(), reached),
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

/// The temperature that a short brings the conductor to, or that its copper melts.
fn reached(short: &Short) -> String {
    if short.melts() { "melts".to_owned() } else { short.reached.to_string() }
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

/// A time, or what is printed where there is no end.
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
