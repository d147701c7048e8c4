//! An import as people read it: how each column was understood, what can't be read, what contradicts itself, what changed, what is asked.

use super::Made;
use crate::{
    phrase::{all, counted, first},
    render::kit::{printable, wrap},
    terminal::Look,
};
use harness_core::finding::Level;
use harness_import::{
    Understood,
    columns::Kind,
    report::{Conflict, Trouble},
};
use std::{
    collections::BTreeMap,
    io::{self, Write},
};

/// Changes that are listed; the rest is counted.
const MOST_CHANGES: usize = 30;

/// Places that are named of one conflict, rows of one remark.
const MOST_PLACES: usize = 6;

/// Writes the report.
///
/// # Errors
/// If `out` can't be written.
pub fn text(made: &Made, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let mut page = Page { out, width: look.width };
    for list in &made.made.lists {
        understood(list, made, &mut page)?;
    }
    let findings = &made.made.findings;
    section(&mut page, "cells that could not be read, kept as notes", troubles(&findings.troubles))?;
    section(&mut page, "conflicts in the lists", conflicts(&findings.conflicts))?;
    section(
        &mut page,
        "unsure, by column",
        made.made.doubts.iter().map(|doubt| format!("{}: {} in {}", doubt.list, doubt.what, rows(&doubt.rows))).collect(),
    )?;
    let mut remarks: Vec<String> = findings
        .remarks()
        .into_iter()
        .map(|remark| {
            let column = remark.column.map_or_else(String::new, |column| format!(" column '{column}'"));
            let cell = if column.is_empty() { "" } else { "the cell " };
            format!("{}{column}: {cell}{} in {}", remark.list, remark.what, rows(&remark.rows))
        })
        .collect();
    remarks.extend(
        findings
            .sections
            .iter()
            .map(|(list, row, text)| format!("{list}:{row}: `{text}` is a heading of the rows below it, not a wire")),
    );
    remarks.extend(findings.assumed.iter().cloned());
    remarks.extend(made.said.iter().cloned());
    section(&mut page, "also", remarks)?;
    written(made, &mut page)?;
    if let Some(changes) = &made.changes {
        changed(changes, &mut page)?;
    }
    asked(made, &mut page)?;
    page.line("")?;
    page.item("", &format!("next: harness check {}", made.out))
}

/// Where lines go, within a width.
struct Page<'a> {
    out: &'a mut dyn Write,
    width: usize,
}

impl Page<'_> {
    fn line(&mut self, text: &str) -> io::Result<()> {
        writeln!(self.out, "{}", printable(text))
    }

    /// A text within the width, its further lines set in by two more.
    fn item(&mut self, indent: &str, text: &str) -> io::Result<()> {
        let room = self.width.saturating_sub(indent.len() + 2).max(20);
        for (at, line) in wrap(&printable(text), room).iter().enumerate() {
            writeln!(self.out, "{indent}{}{line}", if at > 0 { "  " } else { "" })?;
        }
        Ok(())
    }
}

fn section(page: &mut Page<'_>, title: &str, lines: Vec<String>) -> io::Result<()> {
    if lines.is_empty() {
        return Ok(());
    }
    page.line("")?;
    page.line(&format!("{title} ({})", lines.len()))?;
    lines.iter().try_for_each(|line| page.item("  ", line))
}

fn understood(list: &Understood, made: &Made, page: &mut Page<'_>) -> io::Result<()> {
    let what = match list.kind {
        Kind::Skip => "nothing that is read".to_owned(),
        kind => kind.word().to_owned(),
    };
    let mut head = format!("{}: {what}", list.list);
    if list.header_row > 0 {
        head.push_str(&format!(", headings in row {}, {}", list.header_row, counted(list.rows, "row")));
    } else {
        head.push_str(", no row of headings recognised");
    }
    if let Some(loom) = &list.loom {
        head.push_str(&format!(", loom `{loom}`"));
    }
    if let Some(plug) = &list.plug {
        head.push_str(&format!(", plug `{plug}`"));
    }
    page.item("", &head)?;
    for (_, remark) in
        made.remarks.iter().filter(|(name, _)| list.list == *name || list.list.starts_with(&format!("{name}, tab ")))
    {
        page.item("  ", remark)?;
    }
    for remark in &list.remarks {
        page.item("  ", remark)?;
    }
    if list.kind == Kind::Skip {
        return Ok(());
    }
    if list.kind.is_exported() {
        // What `harness export` wrote means what it says.
        let rest: Vec<String> =
            list.columns.iter().filter(|(_, what, _)| what == "unread").map(|(key, ..)| format!("`{key}`")).collect();
        if !rest.is_empty() && list.kind != Kind::ExportedRest {
            page.item("  ", &format!("not read, and goes along: {}", all(&rest)))?;
        }
        return Ok(());
    }
    let column = list.columns.iter().map(|(key, ..)| key.chars().count()).max().unwrap_or(0).min(24);
    let meaning = list.columns.iter().map(|(_, meaning, _)| meaning.chars().count()).max().unwrap_or(0);
    for (key, what, why) in &list.columns {
        let what = if what == "unread" { "not read" } else { what };
        let start = format!("  {key:column$}  {what:meaning$}");
        // What the heading says needs no reason.
        if why == "by its heading" || why == "by the mapping" {
            page.line(start.trim_end())?;
            continue;
        }
        let room = page.width.saturating_sub(start.chars().count() + 2);
        if why.chars().count() <= room {
            page.line(&format!("{start}  {why}"))?;
        } else {
            page.line(start.trim_end())?;
            page.item("      ", why)?;
        }
    }
    Ok(())
}

/// The cells, those of one column with one reason folded where they are many.
fn troubles(troubles: &[Trouble]) -> Vec<String> {
    let mut groups: BTreeMap<(&str, Option<&str>, &str), Vec<&Trouble>> = BTreeMap::new();
    for trouble in troubles {
        let key = (trouble.place.list.as_str(), trouble.place.column.as_deref(), trouble.why.as_str());
        groups.entry(key).or_default().push(trouble);
    }
    let mut groups: Vec<_> = groups.into_iter().collect();
    groups.sort_by_key(|((list, ..), members)| (*list, members.first().map(|trouble| trouble.place.row)));
    let mut lines = Vec::new();
    for ((list, column, why), members) in groups {
        match members.as_slice() {
            [first, .., _] if members.len() > MOST_PLACES => {
                let column = column.map_or_else(String::new, |column| format!(" column '{column}'"));
                let numbers: Vec<u32> = members.iter().map(|trouble| trouble.place.row).collect();
                lines.push(format!(
                    "{list}{column}: {} such as \"{}\": each {why}; {}",
                    counted(members.len(), "cell"),
                    first.text,
                    rows(&numbers)
                ));
            }
            members => lines.extend(members.iter().map(ToString::to_string)),
        }
    }
    lines
}

fn conflicts(conflicts: &[Conflict]) -> Vec<String> {
    let mut lines = Vec::new();
    // Ends without a cavity are as many as the list has devices: one line a list.
    let (bare, others): (Vec<&Conflict>, Vec<&Conflict>) = conflicts.iter().partition(|conflict| conflict.kind == "no cavity");
    for conflict in others {
        let places: Vec<String> = conflict.places.iter().map(ToString::to_string).collect();
        let places = if places.is_empty() { String::new() } else { format!(" ({})", first(&places, MOST_PLACES, 0)) };
        lines.push(format!("{}: {}{places}", conflict.kind, conflict.text));
    }
    if bare.len() > MOST_PLACES {
        let places: Vec<String> = bare.iter().filter_map(|conflict| conflict.places.first()).map(ToString::to_string).collect();
        lines.push(format!(
            "no cavity: {} name a thing and no cavity; each has a pin `?…` that is unsure ({})",
            counted(bare.len(), "end"),
            first(&places, MOST_PLACES, 0)
        ));
    } else {
        lines.extend(bare.iter().map(|conflict| {
            let place = conflict.places.first().map_or_else(String::new, |place| format!(" ({place})"));
            format!("no cavity: {}{place}", conflict.text)
        }));
    }
    lines
}

fn rows(rows: &[u32]) -> String {
    let names: Vec<String> = rows.iter().map(u32::to_string).collect();
    format!("row{} {}", if rows.len() == 1 { "" } else { "s" }, first(&names, MOST_PLACES, 0))
}

fn written(made: &Made, page: &mut Page<'_>) -> io::Result<()> {
    page.line("")?;
    let looms = all(&made.made.looms.iter().map(|loom| format!("`{loom}`")).collect::<Vec<_>>());
    page.item("", &format!("{}: {} of loom {looms}", made.out, counted(made.made.wires, "wire")))?;
    page.item("  ", &format!("written: {}", all(&made.written)))?;
    if !made.kept.is_empty() {
        page.item("  ", &format!("yours, left as they are: {}", all(&made.kept)))?;
    }
    if made.made.unread > 0 {
        page.item(
            "  ",
            &format!(
                "{} of columns and rows that the netlist does not hold {} in imported/not-read.csv, by list and row",
                counted(made.made.unread, "cell"),
                if made.made.unread == 1 { "is" } else { "are" }
            ),
        )?;
    }
    Ok(())
}

fn changed(changes: &[String], page: &mut Page<'_>) -> io::Result<()> {
    page.line("")?;
    if changes.is_empty() {
        return page.line("no change since the last import");
    }
    page.line(&format!("changed since the last import ({})", changes.len()))?;
    changes.iter().take(MOST_CHANGES).try_for_each(|change| page.item("  ", change))?;
    if changes.len() > MOST_CHANGES {
        page.line(&format!("  and {} more; `harness diff` against the revision before shows all", changes.len() - MOST_CHANGES))?;
    }
    Ok(())
}

fn asked(made: &Made, page: &mut Page<'_>) -> io::Result<()> {
    let counts: Vec<String> = [Level::Danger, Level::Error, Level::Warning, Level::Note]
        .into_iter()
        .filter_map(|level| {
            let count = made.report.findings.iter().filter(|finding| finding.level == level && finding.counts()).count();
            (count > 0).then(|| counted(count, level.name()))
        })
        .collect();
    page.line("")?;
    page.item(
        "",
        &if counts.is_empty() { "a check finds nothing".to_owned() } else { format!("a check finds {}", all(&counts)) },
    )?;
    if made.asks.is_empty() {
        return Ok(());
    }
    page.line("these facts in facts.yaml would let most further checks be made")?;
    for (at, ask) in made.asks.iter().enumerate() {
        let things = if ask.things.is_empty() { String::new() } else { format!("{}: ", first(&ask.things, 5, 0)) };
        page.item("  ", &format!("{}. {things}{}: {}", at + 1, ask.fact, counted(ask.checks, "check")))?;
    }
    Ok(())
}
