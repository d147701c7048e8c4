//! The sheet of each end of a loom on paper.

use super::{Wanted, area, face};
use crate::render::kit::paper::{Cell, Column, Paper, Section, Table};
use harness_core::{
    bench::{Bench, CavityUse, Contacts, EndKindSheet, EndSheet, SheetCavity, SheetWire},
    quantity::Unit,
};

const COLUMNS: [Column; 20] = [
    Column::words("end", "end", 5).as_data(),
    Column::words("end_sort", "sort", 5).as_data(),
    Column::words("mates_with", "mate", 5).as_data(),
    Column::words("cavity", "cavity", 0),
    Column::words("meets", "meets", 3),
    Column::words("state", "state", 5).as_data(),
    Column::words("wire", "wire", 0),
    Column::words("core", "core", 4).as_data(),
    Column::figures("size_mm2", "", "mm²", 0),
    Column::words("colour", "colour", 0),
    Column::words("signal", "signal", 1),
    Column::words("terminal", "terminal", 2),
    Column::words("seal", "seal or plug", 3),
    Column::words("far", "far end", 1).as_data(),
    Column::words("far_here", "far end", 1).on_paper(),
    Column::figures("length_mm", "", "mm", 2),
    Column::words("class", "class", 5).as_data(),
    Column::words("crimped", "crimp", 0).on_paper(),
    Column::words("in", "in", 0).on_paper(),
    Column::words("locked", "lock", 0).on_paper(),
];

/// The sheets that are wanted, a paper each loom.
pub(super) fn papers(bench: &Bench<'_>, wanted: &Wanted) -> Vec<Paper> {
    let mut papers: Vec<Paper> = Vec::new();
    for sheet in bench.end_sheets().into_iter().filter(|sheet| wanted.has_end(&sheet.loom, &sheet.name)) {
        let section = section(&sheet);
        match papers.last_mut().filter(|paper| paper.about == sheet.loom) {
            Some(paper) => {
                paper.has_class_b |= sheet.has_class_b;
                paper.sections.push(section);
            }
            None => papers.push(Paper {
                name: "connector-sheets".to_owned(),
                title: "connector sheets".to_owned(),
                subject: format!("loom `{}`", sheet.loom),
                about: sheet.loom.clone(),
                has_class_b: sheet.has_class_b,
                lead: vec![
                    "Push in from the wire side; the view of that side is named. Pull each wire once it has locked.".to_owned(),
                ],
                sections: vec![section],
                ..Paper::default()
            }),
        }
    }
    papers
}

fn section(sheet: &EndSheet) -> Section {
    let (heading, mut lines) = about(sheet);
    if let Some(mate) = &sheet.mate {
        let zone = if mate.zone.is_empty() { String::new() } else { format!(", in zone {}", mate.zone) };
        lines.push(format!("mates `{}` ({}{zone})", mate.name, mate.what));
    } else {
        lines.push("mates nothing that the design names".to_owned());
    }
    let picture = face::picture(sheet);
    if picture.is_none() && matches!(sheet.kind, EndKindSheet::Connector(_)) {
        lines.push(
            "no face given: cavities in the order of the housing, not as they are seen (`face` and `seen-from` of the housing give both \
             views)"
                .to_owned(),
        );
    }
    let rows = sheet.cavities.iter().flat_map(|cavity| rows(sheet, cavity)).collect();
    let seen = if sheet.faces.is_some() { "row by row as seen from the wire side" } else { "in order" };
    let mut after: Vec<String> = Vec::new();
    for alike in &sheet.look_alikes {
        let wires: Vec<String> = alike.wires.iter().map(|(wire, cavity)| format!("{wire} in {cavity}")).collect();
        after.push(area(&format!("Look alike ({}), so ring them out before they are locked: {}.", alike.look, wires.join(", "))));
    }
    let free: Vec<&str> =
        sheet.cavities.iter().filter(|cavity| cavity.used == CavityUse::Empty).map(|cavity| cavity.label.as_str()).collect();
    if !free.is_empty() && sheet.is_sealed == Some(true) {
        after.push(format!("Water gets in at {}: neither wire nor plug is in it.", free.join(", ")));
    }
    Section {
        heading,
        own_sheet: true,
        lines,
        picture,
        table: Some(Table::of("cavities", format!("one row a wire, empty cavities too, {seen}"), &COLUMNS, rows)),
        after,
        ..Section::default()
    }
}

/// The heading of a sheet, and what is said of the end.
fn about(sheet: &EndSheet) -> (String, Vec<String>) {
    let mut lines = Vec::new();
    let what = match &sheet.kind {
        EndKindSheet::Connector(housing) if housing.is_empty() => "connector, housing not named".to_owned(),
        EndKindSheet::Connector(housing) => format!("{housing}, {} positions", sheet.cavities.len()),
        EndKindSheet::Ring(thread) => format!("ring {thread}"),
        EndKindSheet::Bare => "bare end".to_owned(),
        _ => String::new(),
    };
    let mut facts: Vec<String> = Vec::new();
    match sheet.contacts {
        Some(Contacts::Socket) => facts.push("holds sockets".to_owned()),
        Some(Contacts::Pin) => facts.push("holds pins".to_owned()),
        None => {}
    }
    let [key, key_at] = &sheet.key;
    if !key.is_empty() {
        let at = if key_at.is_empty() { String::new() } else { format!(" at {key_at}") };
        facts.push(format!("key {key}{at}"));
    }
    if !sheet.latch_at.is_empty() {
        facts.push(format!("latch at {}", sheet.latch_at));
    }
    match sheet.is_sealed {
        Some(true) => facts.push("sealed: the seal goes on the wire first".to_owned()),
        Some(false) => facts.push("not sealed".to_owned()),
        None => {}
    }
    if let Some(reach) = sheet.reach {
        facts.push(format!("free length {:.0} mm", reach.get() * 1000.0));
    }
    if !facts.is_empty() {
        lines.push(facts.join("; "));
    }
    (format!("`{}`: {what}", sheet.name), lines)
}

fn rows(sheet: &EndSheet, cavity: &SheetCavity) -> Vec<Vec<Cell>> {
    let wires: Vec<Option<&SheetWire>> =
        if cavity.wires.is_empty() { vec![None] } else { cavity.wires.iter().map(Some).collect() };
    wires.into_iter().map(|wire| row(sheet, cavity, wire)).collect()
}

fn row(sheet: &EndSheet, cavity: &SheetCavity, wire: Option<&SheetWire>) -> Vec<Cell> {
    let kind = match &sheet.kind {
        EndKindSheet::Connector(housing) => housing.clone(),
        EndKindSheet::Ring(thread) => format!("ring {thread}"),
        _ => "bare end".to_owned(),
    };
    let tick = || if wire.is_some() { Cell::Tick } else { Cell::None("") };
    let seal = match (cavity.used, cavity.plug.as_str()) {
        (CavityUse::Plugged, "") => Cell::text("plug"),
        (CavityUse::Plugged, plug) => Cell::text(format!("plug {plug}")),
        _ => Cell::text(&cavity.seal),
    };
    vec![
        Cell::text(&sheet.name),
        Cell::text(kind),
        Cell::text(sheet.mate.as_ref().map_or("", |mate| mate.name.as_str())),
        Cell::text(&cavity.label),
        Cell::text(&cavity.meets),
        Cell::text(cavity.used.word()),
        wire.map_or_else(
            || Cell::text(if cavity.used == CavityUse::Wired { "in line" } else { cavity.used.word() }),
            |wire| Cell::text(&wire.number),
        ),
        Cell::text(wire.map_or("", |wire| wire.core.as_str())),
        wire.map_or(Cell::None(""), |wire| Cell::figure_or(wire.size.map(Unit::get), "not given")),
        wire.map_or(Cell::None(""), |wire| wire.colour.map_or(Cell::None("not given"), Cell::Colour)),
        Cell::text(&cavity.signal),
        if wire.is_some() && cavity.terminal.is_empty() && matches!(sheet.kind, EndKindSheet::Connector(_)) {
            Cell::None("not chosen")
        } else {
            Cell::text(&cavity.terminal)
        },
        seal,
        Cell::text(wire.map_or("", |wire| wire.far.as_str())),
        Cell::text(wire.map_or("", |wire| wire.far.strip_prefix(&format!("{}.", sheet.loom)).unwrap_or(&wire.far))),
        wire.map_or(Cell::None(""), |wire| {
            let length = wire.length.map(|length| length.get() * 1000.0);
            length.map_or(Cell::None("not given"), |length| Cell::Figure(length, format!("{length:.0}")))
        }),
        Cell::text(if cavity.is_class_b { "B" } else { "A" }),
        tick(),
        tick(),
        tick(),
    ]
}
