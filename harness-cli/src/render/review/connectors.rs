//! Each connector with its faces and cavities; then rings and bare ends.

use super::{
    LARGE, Page, Section,
    link::{Kind, plain},
    list::{Cell, Column, List, Row},
    pictures, things,
};
use crate::{
    phrase::counted,
    render::{papers::area, pictures::faces},
};
use harness_core::{
    bench::{CavityUse, Contacts, EndKindSheet, EndSheet, SheetCavity, SheetWire},
    quantity::Unit,
};
use harness_draw::Links;
use maud::{Markup, html};

const CAVITIES: [Column; 9] = [
    Column::words("cavity"),
    Column::words("meets"),
    Column::words("wire"),
    Column::figures("size", "mm²"),
    Column::words("colour"),
    Column::words("signal"),
    Column::words("terminal"),
    Column::words("far end"),
    Column::figures("length", "mm"),
];

const RINGS: [Column; 7] = [
    Column::words("end"),
    Column::words("what"),
    Column::words("on"),
    Column::words("wires"),
    Column::words("signal"),
    Column::words("terminal"),
    Column::words("zone"),
];

const MANY: [Column; 5] = [
    Column::words("connector"),
    Column::words("housing"),
    Column::words("mates"),
    Column::words("zone"),
    Column::words("wires by cavity"),
];

pub(super) fn section(page: &Page<'_>) -> Section {
    let sheets = page.bench.end_sheets();
    let (connectors, others): (Vec<_>, Vec<_>) =
        sheets.iter().partition(|sheet| matches!(sheet.kind, EndKindSheet::Connector(_)));
    let body = html! {
        p {
            (counted(connectors.len(), "connector")) " of looms, " (counted(others.len(), "ring or bare end").replace("ring or bare ends", "rings and bare ends")) ". "
            "A table has a row for each wire of a cavity, and for each empty cavity; where a face is given they are row by row as seen from the wire side, else in order."
        }
        @if connectors.len() > LARGE {
            p { "So many that each is one line here; " code { "harness papers FILE connector-sheets --end NAME" } " draws one." }
            (many(page, &connectors).markup(&page.links))
        } @else {
            @for sheet in &connectors { (connector(page, sheet)) }
        }
        @if !others.is_empty() {
            h3 { "Rings and bare ends" }
            (rings(page, &others).markup(&page.links))
        }
    };
    Section { id: "connectors", title: "Connectors", body }
}

fn connector(page: &Page<'_>, sheet: &EndSheet) -> Markup {
    let housing = match &sheet.kind {
        EndKindSheet::Connector(housing) if !housing.is_empty() => housing.as_str(),
        _ => "housing not named",
    };
    let mut facts: Vec<String> = vec![counted(sheet.cavities.len(), "position")];
    facts.extend(sheet.contacts.map(|contacts| match contacts {
        Contacts::Socket => "holds sockets".to_owned(),
        Contacts::Pin => "holds pins".to_owned(),
    }));
    let [key, key_at] = &sheet.key;
    if !key.is_empty() {
        facts.push(if key_at.is_empty() { format!("key {key}") } else { format!("key {key} at {key_at}") });
    }
    facts.extend((!sheet.latch_at.is_empty()).then(|| format!("latch at {}", sheet.latch_at)));
    facts.extend(sheet.is_sealed.map(|sealed| if sealed { "sealed".to_owned() } else { "not sealed".to_owned() }));
    facts.extend((!sheet.zone.is_empty()).then(|| format!("zone {}", sheet.zone)));
    facts.extend(sheet.reach.map(|reach| format!("free length {:.0} mm", reach.get() * 1000.0)));
    let own = page.links.define(Kind::End, &sheet.name);
    html! {
        article id=(own) data-k="connector" {
            h3 { (plain(&sheet.name)) @if sheet.has_class_b { " " (super::live_sign()) " class B" } }
            p.s { (plain(housing)) ", " (plain(&facts.join(", "))) "; "
                @match &sheet.mate {
                    Some(mate) => { "mates " (page.links.name(&mate.name)) " (" (plain(&mate.what)) ")" }
                    None => { "mates nothing that the design names" }
                }
            }
            (concerns(page, &sheet.name))
            @let opened = page.review.unplugged.iter().find(|row| row.name == sheet.name);
            @if let Some(opened) = opened {
                (things::stops(page, "If it is opened:", &opened.states))
                @if !opened.unknown.is_empty() { p { "Not known in " (opened.unknown.join(", ")) "." } }
            }
            @if let Some(drawing) = faces::draw(sheet) { (pictures::small(&drawing.svg(&Links::Quiet))) } @else {
                p.small { "No face given (" code { "face" } " and " code { "seen-from" } " of the housing): cavities in the order of the housing, not as they are seen." }
            }
            (cavities(page, sheet).markup(&page.links))
            @for alike in &sheet.look_alikes {
                p { b { "Look alike (" (plain(&area(&alike.look))) "): " }
                    @for (at, (wire, cavity)) in alike.wires.iter().enumerate() { @if at > 0 { ", " } (plain(wire)) " in " (plain(cavity)) }
                }
            }
        }
    }
}

/// Findings that concern a thing of this name.
pub(super) fn concerns(page: &Page<'_>, name: &str) -> Markup {
    let findings = &page.review.checked.report.findings;
    let own: Vec<_> = findings.iter().filter(|finding| finding.concerns.iter().any(|known| known == name)).collect();
    html! {
        @if !own.is_empty() {
            ul { @for finding in own {
                li { (super::findings::level(finding.level)) " " a href=(super::findings::href(finding)) { (plain(&super::people(&finding.headline.replace('`', "")))) }
                    @if finding.waived.is_some() { " (accepted)" } }
            } }
        }
    }
}

fn cavities(page: &Page<'_>, sheet: &EndSheet) -> List {
    let rows = sheet.cavities.iter().flat_map(|cavity| rows(page, sheet, cavity)).collect();
    List {
        kind: "",
        caption: if sheet.faces.is_some() { "Cavities, as seen from the wire side" } else { "Cavities, in order" }.to_owned(),
        columns: &CAVITIES,
        rows,
        identity: page.identity.clone(),
    }
}

fn rows(page: &Page<'_>, sheet: &EndSheet, cavity: &SheetCavity) -> Vec<Row> {
    let wires: Vec<Option<&SheetWire>> =
        if cavity.wires.is_empty() { vec![None] } else { cavity.wires.iter().map(Some).collect() };
    let row = |(at, wire): (usize, Option<&SheetWire>)| Row {
        id: if at == 0 { page.links.define(Kind::Contact, &cavity.name) } else { String::new() },
        cells: vec![
            Cell::plain(&cavity.label),
            Cell::plain(&cavity.meets),
            match (wire, cavity.used) {
                (Some(wire), _) => {
                    let name = format!("{}.{}", sheet.loom, wire.number);
                    Cell::Other(page.links.called(Kind::Wire, &name, &wire.number), wire.number.clone())
                }
                (None, CavityUse::Wired) => Cell::text("in line"),
                (None, CavityUse::Plugged) => Cell::text(format!("plug {}", cavity.plug).trim()),
                (None, CavityUse::Empty) => Cell::text("empty"),
            },
            Cell::figure(wire.and_then(|wire| wire.size).map(Unit::get)),
            wire.and_then(|wire| wire.colour).map_or(Cell::None, Cell::Colour),
            Cell::plain(&cavity.signal),
            Cell::plain(&cavity.terminal),
            wire.map_or(Cell::None, |wire| Cell::Name(wire.far.clone())),
            Cell::figure(wire.and_then(|wire| wire.length).map(|length| (length.get() * 1000.0).round())),
        ],
    };
    wires.into_iter().enumerate().map(row).collect()
}

fn rings(page: &Page<'_>, sheets: &[&EndSheet]) -> List {
    let row = |sheet: &&EndSheet| {
        let wires = sheet.cavities.iter().flat_map(|cavity| &cavity.wires).map(|wire| format!("{}.{}", sheet.loom, wire.number));
        let cavity = sheet.cavities.first();
        let text = |of: fn(&SheetCavity) -> &String| cavity.map(of).cloned().unwrap_or_default();
        Row {
            id: page.links.define(Kind::Contact, &sheet.name),
            cells: vec![
                Cell::plain(&sheet.name),
                match &sheet.kind {
                    EndKindSheet::Ring(thread) => Cell::text(format!("ring {thread}")),
                    _ => Cell::text("bare end"),
                },
                sheet.mate.as_ref().map_or(Cell::None, |mate| Cell::Name(mate.name.clone())),
                Cell::Names(wires.collect()),
                Cell::plain(&text(|cavity| &cavity.signal)),
                Cell::plain(&text(|cavity| &cavity.terminal)),
                Cell::text(sheet.zone.clone()),
            ],
        }
    };
    List {
        kind: "ring",
        caption: "Rings and bare ends, loom by loom in the order written".to_owned(),
        columns: &RINGS,
        rows: sheets.iter().map(row).collect(),
        identity: page.identity.clone(),
    }
}

/// Connectors in a line each.
fn many(page: &Page<'_>, sheets: &[&EndSheet]) -> List {
    let row = |sheet: &&EndSheet| {
        let wires = sheet.cavities.iter().filter(|cavity| !cavity.wires.is_empty()).map(|cavity| {
            let wires: Vec<&str> = cavity.wires.iter().map(|wire| wire.number.as_str()).collect();
            format!("{}: {}", cavity.label, wires.join("+"))
        });
        let wires: Vec<String> = wires.collect();
        Row {
            id: page.links.define(Kind::End, &sheet.name),
            cells: vec![
                Cell::Name(sheet.name.clone()),
                match &sheet.kind {
                    EndKindSheet::Connector(housing) => Cell::text(housing.clone()),
                    _ => Cell::None,
                },
                sheet.mate.as_ref().map_or(Cell::None, |mate| Cell::Name(mate.name.clone())),
                Cell::text(sheet.zone.clone()),
                Cell::text(wires.join(", ")),
            ],
        }
    };
    List {
        kind: "connector",
        caption: "Connectors, loom by loom in the order written".to_owned(),
        columns: &MANY,
        rows: sheets.iter().map(row).collect(),
        identity: page.identity.clone(),
    }
}
