//! Splices, what is in line with wires, cables; the ratings of fuses.

use super::{Line, Reading, lines};
use crate::{
    cell,
    columns::{Meaning, Sheet},
    draft::{FuseKind, InLine, InLineKind},
};
use harness_core::inspect::ListedJoint;

/// The ratings of kinds of fuses, for those that the design does not have.
pub(super) fn fuses(sheet: &Sheet<'_>, reading: &mut Reading<'_>) {
    for line in lines(sheet) {
        reading.unread(&line, &line.text(Meaning::Fuse));
        let kind = line.text(Meaning::Value);
        if kind.is_empty() || reading.kinds.has("fuses", &kind) {
            continue;
        }
        let rating = cell::rating(&line.text(Meaning::Rating));
        reading.draft.ratings.entry(kind).or_insert((rating, line.place()));
    }
}

pub(super) fn read(sheet: &Sheet<'_>, reading: &mut Reading<'_>) {
    for line in lines(sheet) {
        joint(&line, reading);
    }
}

fn joint(line: &Line<'_>, reading: &mut Reading<'_>) {
    let (loom, name) = (line.loom(), line.text(Meaning::Number));
    let (what, value) = (line.text(Meaning::What), line.text(Meaning::Value));
    if name.is_empty() || loom.is_empty() {
        return reading.refused(line, if name.is_empty() { Meaning::Number } else { Meaning::Loom }, "names nothing of a loom");
    }
    reading.unread(line, &format!("{loom}.{name}"));
    let (place, note) = (line.place(), line.optional(Meaning::Note));
    match what.as_str() {
        "splice" => {
            let held = reading.draft.looms.entry(loom).or_default();
            held.splices.insert(name.clone(), place);
            held.notes.extend(note.map(|note| (name, note)));
        }
        "cable" => {
            if !value.is_empty() && !reading.kinds.has("cables", &value) {
                reading.draft.cores.entry(value.clone()).or_insert_with(|| (Default::default(), place.clone()));
            }
            let held = reading.draft.looms.entry(loom).or_default();
            held.cables.insert(name.clone(), (value, place));
            held.cable_lengths.extend(line.optional(Meaning::Length(None)).map(|length| (name.clone(), format!("{length} mm"))));
            held.notes.extend(note.map(|note| (name, note)));
        }
        _ => {
            let Some(key) = ListedJoint::elements().find(|key| *key == what) else {
                return reading.refused(line, Meaning::What, "is not a splice, a cable or what may be in line with a wire");
            };
            if key == "fuse" && !value.is_empty() && !reading.kinds.has("fuses", &value) {
                let (rating, _) = reading.draft.ratings.get(&value).cloned().unwrap_or((None, place.clone()));
                reading.draft.fuses.entry(value.clone()).or_insert(FuseKind { rating, place: place.clone() });
            }
            let made = InLine { kind: InLineKind::Given(key, value), note, place };
            reading.draft.looms.entry(loom).or_default().inside.insert(name, made);
        }
    }
}
