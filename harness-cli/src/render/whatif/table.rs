//! Single faults as a list that stays within the width, and counts.

use super::{Shown, words};
use crate::{
    phrase::{counted, quoted},
    render::{
        Checked,
        kit::{
            blocks::{flow, heading},
            caution::caution,
            palette::{self, paint},
            printable,
            table::{self, Column},
        },
    },
    terminal::Look,
};
use harness_core::{
    finding::Level,
    inspect::single_faults::{FaultKind, FaultRow, InState, Outcome},
};
use std::io::{self, Write};

/// Lines that a fault gets for what follows from it, where it was not asked for by name.
const MOST: usize = 3;

/// Writes the faults, the most severe first, then how many were tried and what came of them.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, shown: &Shown<'_>, look: Look, out: &mut dyn Write) -> io::Result<()> {
    heading(&format!("single faults of {}", checked.shown(&checked.root)), look, out)?;
    let states = quoted(&shown.faults.states).join(", ");
    flow("", "", &format!("in {states}; contacts raised by {}; the most severe first", shown.faults.raised), look, out)?;
    let mut last: Option<Option<Level>> = None;
    for row in shown.rows() {
        if last != Some(row.level) {
            last = Some(row.level);
            writeln!(out)?;
            let title = row.level.map_or("no level", Level::name);
            let style = row.level.map_or_else(palette::heading, palette::level);
            writeln!(out, "{}", paint(look, style, title))?;
        }
        fault(row, shown.in_full, look, out)?;
    }
    writeln!(out)?;
    counts(shown, look, out)?;
    for unknown in shown.unknown {
        flow("", "", &format!("not known: {unknown}"), look, out)?;
    }
    writeln!(out)?;
    caution(look, out)
}

fn fault(row: &FaultRow, in_full: bool, look: Look, out: &mut dyn Write) -> io::Result<()> {
    flow("  ", "    ", &words::fault(row), look, out)?;
    let (shown, others) = if in_full { (row.states.as_slice(), &[][..]) } else { row.states.split_at(row.states.len().min(1)) };
    for state in shown {
        for (at, line) in lines(state, in_full).into_iter().enumerate() {
            let first = if at == 0 { format!("    {}: ", printable(&state.state)) } else { "      ".to_owned() };
            flow(&first, "      ", &line, look, out)?;
        }
    }
    if !others.is_empty() {
        let others = quoted(others.iter().map(|state| &state.state)).join(", ");
        flow("    ", "      ", &format!("also in {others}"), look, out)?;
    }
    if row.idle {
        let text = "nothing flows there in any mode, and what a signal means to a box is not computed";
        flow("    ", "      ", text, look, out)?;
    } else if row.states.is_empty() && row.unknown.is_empty() {
        flow("    ", "      ", "nothing changes in any mode", look, out)?;
    }
    if !row.unknown.is_empty() && in_full {
        let unknown = quoted(&row.unknown).join(", ");
        flow("    ", "      ", &format!("not judged in {unknown}: no steady state to begin from"), look, out)?;
    }
    Ok(())
}

/// What follows in a state, a line for each kind and level.
fn lines(state: &InState, in_full: bool) -> Vec<String> {
    let mut groups: Vec<Vec<&Outcome>> = Vec::new();
    for outcome in &state.outcomes {
        let is_like = |group: &&mut Vec<&Outcome>| {
            group
                .first()
                .is_some_and(|first| (first.what, first.level, first.function) == (outcome.what, outcome.level, outcome.function))
        };
        match groups.iter_mut().find(is_like) {
            Some(group) => group.push(outcome),
            None => groups.push(vec![outcome]),
        }
    }
    let left = if in_full { 0 } else { groups.len().saturating_sub(MOST) };
    let mut lines: Vec<String> = groups.iter().take(groups.len() - left).map(|group| words::sentence(group, in_full)).collect();
    if left > 0 {
        lines.push(format!("and {} more", counted(left, "line")));
    }
    lines
}

/// How many faults were tried and what came of them, by kind.
fn counts(shown: &Shown<'_>, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let columns = [
        Column::left("tried", 0),
        Column::right("all", 0),
        Column::right("danger", 0),
        Column::right("error", 0),
        Column::right("warning", 0),
        Column::right("note", 0),
        Column::right("none", 0),
        Column::right("no current", 0),
        Column::right("unknown", 1),
    ];
    let rows: Vec<Vec<String>> = FaultKind::ALL
        .iter()
        .zip(&shown.faults.counts)
        .filter(|(_, count)| count.tried > 0)
        .map(|(kind, count)| {
            let mut cells = vec![kind.noun().to_owned(), count.tried.to_string()];
            cells.extend(count.levels.iter().map(ToString::to_string));
            let unknown = if count.unknown > 0 { count.unknown.to_string() } else { String::new() };
            cells.extend([count.harmless.to_string(), count.idle.to_string(), unknown]);
            cells
        })
        .collect();
    if rows.is_empty() {
        return flow("", "", "no fault to try: the design has no conductor, fuse, relay or mated connector", look, out);
    }
    table::write(&columns, &rows, 0, look, out)?;
    let idle: usize = shown.faults.counts.iter().map(|count| count.idle).sum();
    if idle > 0 {
        let text = "none: nothing changes in any mode; no current: nothing flows there in any mode, and what a signal means to a box is not computed";
        flow("", "", text, look, out)?;
    }
    if shown.faults.counts.iter().any(|count| count.unknown > 0) {
        flow("", "", "unknown: in some mode the circuit has no steady state to begin from", look, out)?;
    }
    shown.left_out().map_or(Ok(()), |left| flow("", "", &left, look, out))
}
