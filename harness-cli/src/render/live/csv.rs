//! What is live as comma-separated values: one row for each live contact and charged capacitor.

#![allow(non_snake_case, reason = "the key names the unit as it is written")]

use crate::render::{
    Checked,
    kit::{
        figures::figure,
        sheet::{cell, sheet},
    },
};
use harness_core::inspect::{ChargedPart, Live, LiveContact};
use serde::Serialize;
use std::{
    borrow::Cow,
    io::{self, Write},
};

/// A row.
#[derive(Debug, Default, Serialize)]
struct Row<'a> {
    mode: Cow<'a, str>,
    step: Cow<'a, str>,
    /// `touchable`, `inside` or `charged`.
    reach: &'static str,
    what: Cow<'a, str>,
    against: Cow<'a, str>,
    volts_V: f64,
    limit_V: f64,
    kind: &'static str,
    source: Cow<'a, str>,
    path: String,
    below_limit_after_s: Option<f64>,
    never: bool,
    place: String,
}

/// Writes one row for each live contact and charged capacitor, every figure in the unit that its heading names.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, live: &Live, out: &mut dyn Write) -> io::Result<()> {
    let mut rows: Vec<Row<'_>> = Vec::new();
    for mode in &live.modes {
        rows.extend(mode.standing.iter().map(|contact| contact_row(checked, &mode.name, "as it is", "touchable", contact)));
        for step in &mode.steps {
            let name = format!("{} {}", step.opened, step.done);
            rows.extend(step.contacts.iter().map(|contact| contact_row(checked, &mode.name, &name, "touchable", contact)));
        }
        rows.extend(mode.inside.iter().map(|contact| contact_row(checked, &mode.name, "as it is", "inside", contact)));
        rows.extend(mode.charged.iter().map(|part| charged_row(checked, &mode.name, "as it is", part)));
        for step in &mode.steps {
            let name = format!("{} {}", step.opened, step.done);
            rows.extend(step.charged.iter().map(|part| charged_row(checked, &mode.name, &name, part)));
        }
    }
    sheet(rows, out)
}

fn owned<'a>(text: &str) -> Cow<'a, str> {
    Cow::Owned(cell(text).into_owned())
}

fn contact_row<'a>(checked: &Checked, mode: &str, step: &str, reach: &'static str, contact: &'a LiveContact) -> Row<'a> {
    Row {
        mode: owned(mode),
        step: owned(step),
        reach,
        what: cell(&contact.contact),
        against: contact.against.as_deref().map_or(Cow::Borrowed("chassis"), cell),
        volts_V: figure(contact.volts),
        limit_V: figure(contact.limit),
        kind: if contact.is_ac { "AC" } else { "DC" },
        source: contact.source.as_deref().map_or(Cow::Borrowed(""), cell),
        path: cell(&contact.path.join(" > ")).into_owned(),
        below_limit_after_s: None,
        never: false,
        place: checked.place(contact.span),
    }
}

fn charged_row<'a>(checked: &Checked, mode: &str, step: &str, part: &'a ChargedPart) -> Row<'a> {
    Row {
        mode: owned(mode),
        step: owned(step),
        reach: "charged",
        what: cell(&part.capacitor),
        against: owned(&part.touched.as_ref().map_or_else(String::new, |touched| touched.join(" "))),
        volts_V: figure(part.volts),
        limit_V: 60.0,
        kind: "DC",
        source: cell(&part.from_mode),
        path: cell(&part.through.join(" ")).into_owned(),
        below_limit_after_s: part.time.map(figure),
        never: part.time.is_none(),
        place: checked.place(part.span),
    }
}
