//! The pins, studs and points of devices, as their ports have them.

use crate::{
    format::{
        Document,
        cavities::spread,
        devices::{Device, PinUse, Port},
    },
    text::{Span, Text},
    vocabulary::Word,
};
use std::collections::{BTreeMap, BTreeSet};

/// A pin of a device, or a port that is one stud or point.
#[derive(Debug, Clone, PartialEq, Default)]
#[non_exhaustive]
pub struct ListedPin {
    /// The device.
    pub device: String,
    /// The kind of device that the port is of; empty where the device itself has it.
    pub of_kind: String,
    /// The port.
    pub port: String,
    /// Where it is written.
    pub span: Option<Span>,
    /// The key by which the format says what the port is, `housing`, `stud`, `screw` …; empty for a plug without a housing.
    pub key: String,
    /// What is behind that key: a kind, or the thread of a stud.
    pub part: String,
    /// The pin; empty for a stud or point, and for a plug of which no pin is named.
    pub pin: String,
    /// The signal.
    pub signal: String,
    /// `spare` for a pin that nothing is behind, what is said of whether it must be wired, or nothing.
    pub state: String,
    /// What must still be measured or found out.
    pub doubts: Vec<String>,
    /// What its note says.
    pub note: String,
    /// What was found of it: `level[rule]` each.
    pub findings: Vec<String>,
}

impl ListedPin {
    /// Its name as findings have it.
    pub(super) fn point(&self) -> String {
        let port = format!("{}.{}", self.device, self.port);
        if self.pin.is_empty() { port } else { format!("{port}.{}", self.pin) }
    }
}

/// All pins by device and port in the order written.
pub(super) fn of(document: &Document) -> Vec<ListedPin> {
    let text = |text: &Text| document.names.text(text.value).to_owned();
    let kinds: BTreeMap<&str, &Device> = match &document.design.parts {
        Some(parts) => parts.devices.iter().map(|kind| (document.names.text(kind.name.value), &kind.value)).collect(),
        None => BTreeMap::new(),
    };
    let mut devices: Vec<_> = document.design.devices.iter().collect();
    devices.sort_by_key(|device| device.name.span);
    let mut pins = Vec::new();
    for device in devices {
        let name = text(&device.name);
        let mut own: BTreeSet<String> = BTreeSet::new();
        for port in &device.value.ports {
            own.insert(text(&port.name));
            rows(document, [&name, "", &text(&port.name)], (port.name.span, &port.value), &mut pins);
        }
        let Some(kind) = device.value.device.as_ref().map(text) else { continue };
        for port in kinds.get(kind.as_str()).into_iter().flat_map(|held| &held.ports) {
            if !own.contains(&text(&port.name)) {
                rows(document, [&name, &kind, &text(&port.name)], (port.name.span, &port.value), &mut pins);
            }
        }
    }
    pins
}

fn rows(document: &Document, [device, of_kind, name]: [&str; 3], (span, port): (Span, &Port), pins: &mut Vec<ListedPin>) {
    let text = |text: &Text| document.names.text(text.value).to_owned();
    let optional = |value: &Option<Text>| value.as_ref().map_or_else(String::new, text);
    let keys = [
        ("housing", &port.housing),
        ("stud", &port.stud),
        ("screw", &port.screw),
        ("tab", &port.tab),
        ("strip", &port.strip),
        ("ferrule", &port.ferrule),
        ("body", &port.body),
    ];
    let (key, part) =
        keys.into_iter().find_map(|(key, value)| value.as_ref().map(|value| (key, text(value)))).unwrap_or_default();
    let whole = ListedPin {
        device: device.to_owned(),
        of_kind: of_kind.to_owned(),
        port: name.to_owned(),
        span: Some(span),
        key: key.to_owned(),
        part,
        ..ListedPin::default()
    };
    if !port.is_plug() || port.pins.0.0.is_empty() {
        pins.push(ListedPin {
            signal: optional(&port.signal),
            state: port.need.as_ref().map_or_else(String::new, |need| need.value.written().to_owned()),
            note: optional(&port.note),
            ..whole
        });
        return;
    }
    for entry in &port.pins.0 {
        for label in spread(document.names.text(entry.name.value)) {
            let whole = ListedPin { pin: label, span: Some(entry.name.span), ..whole.clone() };
            pins.push(match &entry.value {
                PinUse::Spare(_) => ListedPin { state: "spare".to_owned(), ..whole },
                PinUse::Used(pin) => ListedPin {
                    signal: optional(&pin.signal),
                    state: pin.need.as_ref().map_or_else(String::new, |need| need.value.written().to_owned()),
                    doubts: pin.unsure.iter().map(text).collect(),
                    note: optional(&pin.note),
                    ..whole
                },
            });
        }
    }
}
