//! What the list of contacts says beyond that of the ends: which cavities are plugged, numbered differently, have a terminal of their own.

use super::{Line, Reading, lines};
use crate::columns::{Meaning, Sheet};

pub(super) fn read(sheet: &Sheet<'_>, reading: &mut Reading<'_>) {
    for line in lines(sheet) {
        contact(&line, reading);
    }
}

fn contact(line: &Line<'_>, reading: &mut Reading<'_>) {
    let (loom, name, pin) = (line.loom(), line.text(Meaning::Plug), line.text(Meaning::Pin));
    reading.unread(line, &format!("{loom}.{name}.{pin}"));
    let of = |reading: &Reading<'_>| reading.draft.looms.get(&loom)?.ends.get(&name).map(|end| end.given.clone());
    let Some(given) = of(reading) else {
        return reading.refused(line, Meaning::Plug, "is not in the list of ends");
    };
    if pin.is_empty() {
        return;
    }
    let own = line.optional(Meaning::Terminal);
    let own = own.filter(|own| !given.iter().any(|(key, terminal)| *key == "terminal" && terminal == own));
    let is_known = own.as_ref().is_some_and(|own| reading.has(("terminal", "terminals"), own));
    let Some(end) = reading.draft.looms.get_mut(&loom).and_then(|held| held.ends.get_mut(&name)) else { return };
    if let Some(met) = line.optional(Meaning::Meets) {
        end.pins.insert(pin.clone(), met);
    }
    if line.text(Meaning::State).split("; ").any(|state| state == "plugged") {
        end.plugged.insert(pin.clone());
    }
    match own {
        Some(own) if is_known => {
            end.terminals.insert(pin, own);
        }
        Some(own) => {
            let note = format!("terminal: {own}");
            if !end.notes.contains(&note) {
                end.notes.push(note);
            }
        }
        None => {}
    }
}
