//! Notes that people put on cells.

use super::{
    about::place,
    format::one_line,
    parts::{Parts, attribute, each, each_start},
};
use crate::{Unreadable, limits};
use quick_xml::events::Event;
use std::collections::BTreeMap;

/// The notes of a tab by row and column, counted from 0.
pub(super) fn of(parts: &mut Parts<'_>, sheet: &str) -> Result<BTreeMap<(u32, u32), String>, Unreadable> {
    let mut notes = BTreeMap::new();
    let Some(part) = part(parts, sheet)? else { return Ok(notes) };
    let Some((mut xml, _)) = parts.xml(&part)? else { return Ok(notes) };
    let (mut at, mut text, mut in_text, mut bytes) = (None, String::new(), false, 0usize);
    each(&mut xml, |event| {
        match event {
            Event::Start(start) => match start.local_name().as_ref() {
                "comment" => {
                    at = attribute(start, "ref").as_deref().and_then(place);
                    text.clear();
                }
                "t" => in_text = true,
                _ => {}
            },
            Event::Text(own) if in_text => text.push_str(own.as_ref()),
            Event::GeneralRef(name) if in_text => text.push_str(letter(name.as_ref())),
            Event::End(end) => match end.local_name().as_ref() {
                "t" => in_text = false,
                "comment" => {
                    if let Some(at) = at.take().filter(|_| !text.trim().is_empty()) {
                        bytes += text.len();
                        notes.insert(at, one_line(&text));
                    }
                }
                _ => {}
            },
            _ => {}
        }
        if notes.len() > limits::CELLS || bytes > limits::TEXT_BYTES {
            return Err(Unreadable::TooMuch { what: "notes", most: limits::CELLS });
        }
        Ok(())
    })?;
    Ok(notes)
}

/// The letter of a reference that texts need; another one shows that something was there.
fn letter(name: &str) -> &'static str {
    match name {
        "amp" => "&",
        "lt" => "<",
        "gt" => ">",
        "quot" => "\"",
        "apos" => "'",
        "#10" | "#13" | "#xA" | "#xa" | "#xD" | "#xd" => "\n",
        _ => "\u{fffd}",
    }
}

/// The part with the notes of a tab, by what the tab refers to.
fn part(parts: &mut Parts<'_>, sheet: &str) -> Result<Option<String>, Unreadable> {
    let (folder, file) = sheet.rsplit_once('/').unwrap_or(("", sheet));
    let Some((mut xml, _)) = parts.xml(&format!("{folder}/_rels/{file}.rels"))? else { return Ok(None) };
    let mut found = None;
    each_start(&mut xml, |start| {
        if start.local_name().as_ref() == "Relationship"
            && attribute(start, "Type").is_some_and(|kind| kind.ends_with("/comments"))
            && let Some(target) = attribute(start, "Target")
        {
            found = Some(resolved(folder, &target));
        }
        Ok(())
    })?;
    Ok(found)
}

/// A target as a name in the archive: `../comments1.xml` of a tab in `xl/worksheets` is `xl/comments1.xml`.
fn resolved(folder: &str, target: &str) -> String {
    if let Some(whole) = target.strip_prefix('/') {
        return whole.to_owned();
    }
    let mut way: Vec<&str> = folder.split('/').filter(|step| !step.is_empty()).collect();
    for step in target.split('/') {
        match step {
            ".." => {
                way.pop();
            }
            "." | "" => {}
            step => way.push(step),
        }
    }
    way.join("/")
}
