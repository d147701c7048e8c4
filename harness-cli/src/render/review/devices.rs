//! The devices with their pins, studs and inner nodes.

use super::{
    LARGE, Page,
    link::{Kind, plain},
    list::{Cell, Column, List, Row},
};
use harness_core::inspect::Thing;
use maud::{Markup, html};
use std::collections::{BTreeMap, BTreeSet};

const OTHERS: [Column; 3] = [Column::words("name"), Column::words("what"), Column::words("written")];
const PINS: [Column; 4] = [Column::words("pin"), Column::words("what"), Column::words("signal"), Column::words("written")];

/// The devices with their pins; where there are very many, the pins in lines.
pub(super) fn group(page: &Page<'_>, pins: &[Thing]) -> Markup {
    let model = page.review.analysis.model();
    let mut of_device: BTreeMap<(harness_core::source::Span, &str), Vec<Row>> = BTreeMap::new();
    let mut seen: BTreeSet<String> = BTreeSet::new();
    for thing in pins {
        let Thing::Point(point) = thing else { continue };
        let Some(device) = model.device_at(*point) else { continue };
        let name = thing.name(model);
        if !seen.insert(name.clone()) {
            continue;
        }
        let signal = model.pin_at(*point).and_then(|pin| pin.signal).map(|signal| model.text(signal.value).to_owned());
        let row = Row {
            id: page.links.define(Kind::Pin, &name),
            cells: vec![
                Cell::Name(name),
                Cell::text(thing.kind(model)),
                Cell::text(signal.unwrap_or_default()),
                Cell::Place(thing.span(model)),
            ],
        };
        of_device.entry((model[device].span, model.device_name(device))).or_default().push(row);
    }
    let list =
        |caption: String, rows: Vec<Row>| List { kind: "pin", caption, columns: &PINS, rows, identity: page.identity.clone() };
    html! {
        @if !of_device.is_empty() {
            div.group data-group {
                h3 { "Devices (" (of_device.len()) ")" }
                @if of_device.len() <= LARGE {
                    @for ((span, device), rows) in of_device {
                        article id=(page.links.define(Kind::Device, device)) data-k="device" {
                            h4 { (plain(device)) " " small { "device" } }
                            p.s { (page.links.place(span)) }
                            (list(format!("pins, studs and inner nodes of {device}"), rows).markup(&page.links))
                        }
                    }
                } @else {
                    @let devices = of_device.keys().map(|(span, device)| Row {
                        id: page.links.define(Kind::Device, device),
                        cells: vec![Cell::Name((*device).to_owned()), Cell::text("device"), Cell::Place(*span)],
                    }).collect();
                    (List { kind: "device", caption: "devices in the order written".to_owned(), columns: &OTHERS, rows: devices, identity: page.identity.clone() }.markup(&page.links))
                    @let rows = of_device.into_values().flatten().collect();
                    (list("pins, studs and inner nodes of all devices".to_owned(), rows).markup(&page.links))
                }
            }
        }
    }
}
