//! The pins, studs and points of devices.

use super::{Line, Reading, lines};
use crate::{
    columns::{Meaning, Sheet},
    draft::{Pin, Port, PortKind},
};

pub(super) fn read(sheet: &Sheet<'_>, reading: &mut Reading<'_>) {
    for line in lines(sheet) {
        pin(&line, reading);
    }
}

fn pin(line: &Line<'_>, reading: &mut Reading<'_>) {
    let (device, name, label) = (line.text(Meaning::Device), line.text(Meaning::Port), line.text(Meaning::Pin));
    if device.is_empty() || name.is_empty() {
        return reading.refused(
            line,
            if device.is_empty() { Meaning::Device } else { Meaning::Port },
            "names no port of a device",
        );
    }
    reading.unread(line, &format!("{device}.{name}.{label}"));
    if let Some(kind) = line.optional(Meaning::DeviceKind)
        && reading.has(("device kind", "devices"), &kind)
    {
        // The kind has the pin.
        if reading.kinds.has_kind(&device) {
            return;
        }
        reading.draft.of_kind.entry(device).or_insert((kind, line.place()));
        return;
    }
    port(line, &(device.clone(), name.clone()), reading);
    let Some(port) = reading.draft.ports.get_mut(&(device, name)) else { return };
    let signal = line.optional(Meaning::Signal);
    let state = line.text(Meaning::State);
    let need = Some(state.clone()).filter(|state| !state.is_empty() && state != "spare");
    if label.is_empty() {
        port.given.extend(signal.map(|signal| ("signal", signal)));
        port.given.extend(need.map(|need| ("need", need)));
        port.notes.extend(line.optional(Meaning::Note));
        return;
    }
    let made = Pin {
        signal,
        is_spare: state == "spare",
        need,
        unsure: line.several(Meaning::Unsure),
        notes: line.optional(Meaning::Note).into_iter().collect(),
        place: Some(line.place()),
        ..Pin::default()
    };
    if port.pins.insert(label, made).is_some() {
        reading.refused(line, Meaning::Pin, "is in the list twice");
    }
}

/// The port of a row, made by the first row that names it.
fn port(line: &Line<'_>, key: &(String, String), reading: &mut Reading<'_>) {
    if reading.draft.ports.contains_key(key) {
        return;
    }
    let (what, part) = (line.text(Meaning::What), line.text(Meaning::Value));
    let mut made =
        Port { kind: PortKind::Plug, pins: Default::default(), notes: Vec::new(), given: Vec::new(), place: line.place() };
    match what.as_str() {
        "housing" if reading.has(("housing", "housings"), &part) => made.given.push(("housing", part)),
        "stud" => made.kind = PortKind::Given("stud", part),
        "body" => made.kind = PortKind::Given("body", part),
        "screw" | "tab" | "strip" | "ferrule" => {
            let key = ["screw", "tab", "strip", "ferrule"].into_iter().find(|key| *key == what).unwrap_or("screw");
            if reading.has(("point", "points"), &part) {
                made.kind = PortKind::Given(key, part);
            } else {
                made.kind = PortKind::Point;
                made.notes.push(format!("{what}: {part}"));
            }
        }
        "" => {}
        _ => made.notes.push(format!("{what}: {part}")),
    }
    reading.draft.ports.insert(key.clone(), made);
}
