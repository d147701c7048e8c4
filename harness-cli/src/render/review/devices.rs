//! The devices with their pins, studs and inner nodes.

use super::{
    Page,
    link::{Kind, are_many, plain},
    list::{Cell, Column, List, Row},
};
use harness_core::{inspect::Thing, source::Span};
use maud::{Markup, html};
use std::collections::{BTreeMap, BTreeSet};

const DEVICES: [Column; 3] =
    [Column::words("device"), Column::words("line"), Column::words("pins with their signals; studs; inner nodes")];
const PINS: [Column; 4] = [Column::words("pin"), Column::words("what"), Column::words("signal"), Column::words("written")];

/// A pin, stud or inner node.
struct Pin {
    name: String,
    /// What it is, in a word.
    what: &'static str,
    signal: String,
    span: Span,
}

/// The devices with their pins; where there are very many, each in a line.
pub(super) fn group(page: &Page<'_>, pins: &[Thing]) -> Markup {
    let model = page.review.analysis.model();
    let mut of_device: BTreeMap<(Span, &str), Vec<Pin>> = BTreeMap::new();
    let mut seen: BTreeSet<String> = BTreeSet::new();
    for thing in pins {
        let Thing::Point(point) = thing else { continue };
        let Some(device) = model.device_at(*point) else { continue };
        let name = thing.name(model);
        if !seen.insert(name.clone()) {
            continue;
        }
        let signal = model.pin_at(*point).and_then(|pin| pin.signal).map(|signal| model.text(signal.value).to_owned());
        let pin = Pin { name, what: thing.kind(model), signal: signal.unwrap_or_default(), span: thing.span(model) };
        of_device.entry((model[device].span, model.device_name(device))).or_default().push(pin);
    }
    let is_large = are_many(model);
    html! {
        @if !of_device.is_empty() {
            div.group data-group data-of="device" {
                h3 { "Devices (" (of_device.len()) ")" }
                @if is_large {
                    p { "So many that each is one line here; a link to a pin leads to the line of its device." }
                    @let rows = of_device.iter().map(|((span, device), pins)| line(page, *span, device, pins)).collect();
                    (List { kind: "device", caption: "devices in the order written".to_owned(), columns: &DEVICES, rows, identity: page.identity.clone() }.markup(&page.links))
                } @else {
                    @for ((span, device), pins) in of_device {
                        article id=(page.links.define(Kind::Device, device)) {
                            h4 { (plain(device)) }
                            p.s { (page.links.place(span)) }
                            (table(page, pins).markup(&page.links))
                        }
                    }
                }
            }
        }
    }
}

fn table(page: &Page<'_>, pins: Vec<Pin>) -> List {
    let row = |pin: Pin| Row {
        id: page.links.define(Kind::Pin, &pin.name),
        cells: vec![Cell::plain(&pin.name), Cell::text(pin.what), Cell::plain(&pin.signal), Cell::Place(pin.span)],
    };
    List {
        kind: "pin",
        caption: "pins, studs and inner nodes".to_owned(),
        columns: &PINS,
        rows: pins.into_iter().map(row).collect(),
        identity: page.identity.clone(),
    }
}

/// A device with all its pins in one line.
fn line(page: &Page<'_>, span: Span, device: &str, pins: &[Pin]) -> Row {
    let inside = format!("{device}.");
    let said = |pin: &Pin| {
        let short = pin.name.strip_prefix(&inside).unwrap_or(&pin.name);
        let what = if pin.what == "pin" { String::new() } else { format!(" {}", pin.what) };
        let signal = if pin.signal.is_empty() { String::new() } else { format!(" {}", pin.signal) };
        format!("{short}{what}{signal}")
    };
    let pins: Vec<String> = pins.iter().map(said).collect();
    let pins = pins.join(", ");
    Row { id: page.links.define(Kind::Device, device), cells: vec![Cell::plain(device), Cell::Place(span), Cell::plain(&pins)] }
}
