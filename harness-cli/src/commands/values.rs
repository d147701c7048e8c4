//! `harness rules --values`: the values from memory or common practice that a verdict may rest on.

use crate::{
    phrase::counted,
    render::kit::{
        blocks::{flow, heading},
        document,
    },
    terminal::Look,
};
use harness_core::values::{Status, Value};
use serde::Serialize;
use std::io::{self, Write};

/// The values that nobody read on a page, in their order.
fn weak(values: &[Value]) -> impl Iterator<Item = &Value> {
    values.iter().filter(|value| matches!(value.source.status, Status::Memory | Status::Practice))
}

/// Lists the values, subject by subject.
///
/// # Errors
/// If `out` can't be written.
pub fn text(values: &[Value], look: Look, out: &mut dyn Write) -> io::Result<()> {
    let all: Vec<&Value> = weak(values).collect();
    let intro = "Values from memory or common practice that a verdict of danger or error may rest on. Replace them by those of the part in your \
                 hand: give the key that is named, from its datasheet.";
    flow("", "", intro, look, out)?;
    for group in all.chunk_by(|one, next| one.subject == next.subject) {
        writeln!(out)?;
        heading(group.first().map_or("", |value| value.subject), look, out)?;
        // Values of one page that one key replaces have that below them once.
        for alike in group.chunk_by(|one, next| one.source == next.source && one.own == next.own) {
            for value in alike {
                flow("  ", "    ", &format!("{}: {}", value.name, value.value), look, out)?;
            }
            let Some(last) = alike.last() else { continue };
            let own = match last.own {
                "" => "no key replaces it".to_owned(),
                own => format!("your own: {own}"),
            };
            flow("    ", "    ", &format!("{}; {own}", last.source), look, out)?;
        }
    }
    let read = values.len() - all.len();
    writeln!(out)?;
    flow(
        "",
        "",
        &format!(
            "{} listed; {} more come from pages that were read (`--format json` has all)",
            counted(all.len(), "value"),
            read
        ),
        look,
        out,
    )
}

#[derive(Serialize)]
struct List<'a> {
    version: u32,
    values: Vec<Row<'a>>,
}

#[derive(Serialize)]
struct Row<'a> {
    subject: &'a str,
    name: &'a str,
    value: &'a str,
    /// `seen`, `second hand`, `computed`, `practice`, `memory`.
    status: &'static str,
    source: String,
    /// The key that replaces it; `null` where there is none.
    own: Option<&'static str>,
}

/// Writes all values, those that were read among them.
///
/// # Errors
/// If `out` can't be written.
pub fn json(values: &[Value], out: &mut dyn Write) -> io::Result<()> {
    document(&List { version: 1, values: values.iter().map(row).collect() }, out)
}

fn row(value: &Value) -> Row<'_> {
    let status = match value.source.status {
        Status::Seen => "seen",
        Status::SecondHand => "second hand",
        Status::Computed => "computed",
        Status::Practice => "practice",
        Status::Memory => "memory",
    };
    let own = (!value.own.is_empty()).then_some(value.own);
    Row { subject: value.subject, name: &value.name, value: &value.value, status, source: value.source.to_string(), own }
}

#[cfg(test)]
mod tests {
    use super::{json, text};
    use crate::terminal::Look;
    use harness_core::values;
    use unicode_width::UnicodeWidthStr;

    #[test]
    fn the_list_says_of_each_value_how_far_it_may_be_trusted_and_what_replaces_it() {
        let values = values::all();
        let mut out = Vec::new();
        text(&values, Look { width: 80, colour: false, unicode: true }, &mut out).unwrap();
        let drawn = String::from_utf8(out).unwrap();
        assert!(drawn.lines().all(|line| line.width() <= 80), "{drawn}");
        let words = drawn.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains("from memory, not seen") && words.contains("common practice, no source"), "{drawn}");
        assert!(words.contains("your own: `gates` on the fuse kind"), "{drawn}");
        assert!(!words.contains("(seen)"), "{drawn}");
        let mut out = Vec::new();
        json(&values, &mut out).unwrap();
        let list: serde_json::Value = serde_json::from_slice(&out).unwrap();
        assert_eq!(list["values"].as_array().map(Vec::len), Some(values.len()));
    }
}
