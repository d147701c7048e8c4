//! The ends of looms.

use super::{Line, Reading, lines};
use crate::{
    columns::{Meaning, Sheet},
    draft::{EndKind, LoomEnd},
};

pub(super) fn read(sheet: &Sheet<'_>, reading: &mut Reading<'_>) {
    for line in lines(sheet) {
        end(&line, reading);
    }
}

fn end(line: &Line<'_>, reading: &mut Reading<'_>) {
    let (loom, name) = (line.loom(), line.text(Meaning::Plug));
    if name.is_empty() || loom.is_empty() {
        return reading.refused(line, if name.is_empty() { Meaning::Plug } else { Meaning::Loom }, "names no end of a loom");
    }
    if reading.draft.looms.get(&loom).is_some_and(|held| held.ends.contains_key(&name)) {
        return reading.refused(line, Meaning::Plug, "is in the list twice");
    }
    let (housing, mates) = (line.text(Meaning::Housing), line.text(Meaning::Mates));
    let mut made = LoomEnd::new(EndKind::Mates(mates.clone()), line.place());
    made.is_given = true;
    if let Some(thread) = housing.strip_prefix("ring ") {
        made.kind = EndKind::Ring { thread: thread.to_owned(), bolts_to: mates };
    } else if housing == "bare end" {
        made.kind = EndKind::Lands(mates);
    } else if !housing.is_empty() {
        match reading.has(("housing", "housings"), &housing) {
            true => made.given.push(("housing", housing)),
            false => made.notes.push(format!("housing: {housing}")),
        }
    }
    if let Some(terminal) = line.optional(Meaning::Terminal) {
        match reading.has(("terminal", "terminals"), &terminal) {
            true => made.given.push(("terminal", terminal)),
            false => made.notes.push(format!("terminal: {terminal}")),
        }
    }
    made.notes.extend(line.optional(Meaning::Note));
    made.unsure = line.several(Meaning::Unsure);
    reading.unread(line, &format!("{loom}.{name}"));
    let held = reading.draft.looms.entry(loom).or_default();
    held.is_given = true;
    held.ends.insert(name, made);
}
