//! The cut list of a loom on paper.

use super::{Wanted, area};
use crate::{
    phrase::counted,
    render::kit::paper::{Cell, Column, Group, Paper, Section, Table, three_digits},
};
use harness_core::{
    bench::{Bench, Changes, Crimp, CutCable, CutList, CutWire, LengthFrom, Spool},
    colours::WireColour,
    quantity::{Metre, Unit},
};

const WIRES: [Column; 28] = [
    Column::words("done", "", 0).on_paper(),
    Column::words("wire", "wire", 0),
    Column::words("kind", "kind", 5).as_data(),
    Column::words("size", "size", 5).as_data(),
    Column::figures("size_mm2", "", "mm²", 0),
    Column::words("colour", "colour", 0),
    Column::figures("length_mm", "cut", "mm", 0),
    Column::words("length_from", "length from", 6).as_data(),
    Column::words("first", "first end", 0).on_paper(),
    Column::words("second", "second end", 0).on_paper(),
    Column::words("from", "from", 1).as_data(),
    Column::words("from_sort", "sort", 6).as_data(),
    Column::words("from_terminal", "terminal", 6).as_data(),
    Column::figures("from_strip_mm", "strip", "mm", 6).as_data(),
    Column::words("from_die", "die", 6).as_data(),
    Column::words("from_seal", "seal", 6).as_data(),
    Column::words("from_label", "label", 6).as_data(),
    Column::words("to", "to", 1).as_data(),
    Column::words("to_sort", "sort", 6).as_data(),
    Column::words("to_terminal", "terminal", 6).as_data(),
    Column::figures("to_strip_mm", "strip", "mm", 6).as_data(),
    Column::words("to_die", "die", 6).as_data(),
    Column::words("to_seal", "seal", 6).as_data(),
    Column::words("to_label", "label", 6).as_data(),
    Column::words("twist", "twist", 6).as_data(),
    Column::words("core", "core", 6).as_data(),
    Column::words("signal", "signal", 4),
    Column::words("class", "class", 6).as_data(),
];

const CABLES: [Column; 9] = [
    Column::words("done", "", 0).on_paper(),
    Column::words("cable", "cable", 0),
    Column::words("kind", "kind", 1),
    Column::figures("length_mm", "cut", "mm", 0),
    Column::words("length_from", "length from", 3),
    Column::figures("cores_used", "cores used", "", 2),
    Column::figures("cores", "of", "", 2),
    Column::words("screen_from", "screen from", 3),
    Column::words("screen_to", "screen to", 3),
];

const SPOOLS: [Column; 8] = [
    Column::words("kind", "kind", 0),
    Column::words("size", "size", 0),
    Column::words("colour", "colour", 0),
    Column::words("sort", "sort", 2),
    Column::figures("pieces", "pieces", "", 0),
    Column::figures("length_m", "length", "m", 0),
    Column::figures("with_waste_m", "with waste", "m", 1),
    Column::figures("without_length", "without a length", "", 1),
];

/// The cut lists that are wanted.
pub(super) fn papers(bench: &Bench<'_>, wanted: &Wanted) -> Vec<Paper> {
    bench.cut_lists().into_iter().filter(|list| wanted.has_loom(&list.loom)).map(|list| paper(&list)).collect()
}

fn paper(list: &CutList) -> Paper {
    let mut sections = vec![
        Section {
            heading: "wires".to_owned(),
            table: Some(wires(list)),
            after: vec![changes(list.changes)],
            ..Section::default()
        },
        Section { heading: "metres by spool".to_owned(), table: Some(spools(list)), ..Section::default() },
    ];
    if !list.cables.is_empty() {
        let cables = Section { heading: "cables".to_owned(), table: Some(cables(&list.cables)), ..Section::default() };
        sections.insert(0, cables);
    }
    Paper {
        name: "cut-list".to_owned(),
        title: "cut list".to_owned(),
        subject: format!("loom `{}`", list.loom),
        about: list.loom.clone(),
        has_class_b: list.wires.iter().any(|wire| wire.is_class_b) || list.cables.iter().any(|cable| cable.is_class_b),
        lead: lead(list),
        unknown: unknown(list),
        sections,
        sources: Vec::new(),
    }
}

fn lead(list: &CutList) -> Vec<String> {
    let mut lead = vec![
        "Put the label on, then the seal, before the terminal is crimped. The end that is named first is crimped first."
            .to_owned(),
    ];
    let routed = list.wires.iter().filter(|wire| matches!(wire.length_from, LengthFrom::Route { .. })).count();
    if routed > 0 {
        lead.push(format!(
            "The length of {} follows from the route: its segments, each passed whole, the reach of its ends and the loom's allowance.",
            counted(routed, "wire")
        ));
    }
    lead
}

fn unknown(list: &CutList) -> Vec<String> {
    let mut unknown = Vec::new();
    let mut say = |count: usize, what: &str, rest: String| {
        if count > 0 {
            unknown.push(format!("{} of {}{rest}", what, counted(count, "wire")));
        }
    };
    let named = |wires: Vec<&CutWire>| {
        let names: Vec<&str> = wires.iter().take(8).map(|wire| wire.number.as_str()).collect();
        let more = wires.len().saturating_sub(names.len());
        format!(": {}{}", names.join(", "), if more > 0 { format!(" and {more} more") } else { String::new() })
    };
    let without: Vec<&CutWire> = list.wires.iter().filter(|wire| wire.length.is_none()).collect();
    say(without.len(), "the length", named(without));
    let unchosen: Vec<&CutWire> = list.wires.iter().filter(|wire| wire.ends.iter().any(|end| end.is_unchosen)).collect();
    say(unchosen.len(), "a terminal", format!("{}; the parts list names what would fit", named(unchosen)));
    let unsealed: Vec<&CutWire> = list.wires.iter().filter(|wire| wire.ends.iter().any(|end| end.lacks_seal)).collect();
    say(unsealed.len(), "the seal", format!(" in a sealed housing{}", named(unsealed)));
    let crimped = |end: &Crimp| !end.terminal.is_empty() || end.sort == "bare end";
    let unstripped: Vec<&CutWire> =
        list.wires.iter().filter(|wire| wire.ends.iter().any(|end| crimped(end) && end.strip.is_none())).collect();
    say(unstripped.len(), "a strip length", named(unstripped));
    unknown
}

fn wires(list: &CutList) -> Table {
    let mut groups: Vec<Group> = Vec::new();
    for wire in &list.wires {
        let heading = spool_heading(wire);
        match groups.last_mut().filter(|group| group.heading == heading) {
            Some(group) => group.rows.push(row(wire)),
            None => groups.push(Group { heading, rows: vec![row(wire)] }),
        }
    }
    Table {
        key: "wires",
        caption: "one row a wire, in the order of cutting: spool by spool, dies changed least".to_owned(),
        columns: WIRES.to_vec(),
        groups,
    }
}

fn spool_heading(wire: &CutWire) -> String {
    let kind = if wire.kind.is_empty() { "no kind given" } else { &wire.kind };
    match wire.core.split_once('.') {
        Some((cable, _)) => format!("cores of cable {cable}, {kind}"),
        None => {
            let size = if wire.size_as_written.is_empty() { "no size given".to_owned() } else { area(&wire.size_as_written) };
            let colour =
                wire.colour.map_or_else(|| "no colour given".to_owned(), |colour| format!("{} ({colour})", words(colour)));
            format!("{kind}, {size}, {colour}")
        }
    }
}

/// A colour in words: `red with a black stripe`.
pub(super) fn words(colour: WireColour) -> String {
    match colour.stripe {
        Some(stripe) => format!("{} with {}", colour.base.name(), stripe.name()),
        None => colour.base.name().to_owned(),
    }
}

fn row(wire: &CutWire) -> Vec<Cell> {
    let mut cells = vec![
        Cell::Tick,
        Cell::text(&wire.number),
        Cell::text(&wire.kind),
        Cell::text(&wire.size_as_written),
        Cell::figure_or(wire.size.map(Unit::get), "not given"),
        wire.colour.map_or(Cell::None("not given"), Cell::Colour),
        millimetres(wire.length),
        Cell::text(length_from(&wire.length_from)),
    ];
    cells.extend([0, 1].map(|at| wire.ends.get(at).map_or(Cell::None(""), |end| Cell::text(in_words(end, wire)))));
    for at in [0, 1] {
        let Some(end) = wire.ends.get(at) else { continue };
        cells.extend([
            Cell::text(&end.at),
            Cell::text(&end.sort),
            Cell::text(&end.terminal),
            Cell::figure_or(end.strip.map(Unit::get), ""),
            Cell::text(&end.die),
            Cell::text(&end.seal),
            Cell::text(end.label.join("\n")),
        ]);
    }
    cells.extend([
        Cell::text(&wire.twist),
        Cell::text(&wire.core),
        Cell::text(&wire.signal),
        Cell::text(if wire.is_class_b { "B" } else { "A" }),
    ]);
    cells
}

fn millimetres(length: Option<Metre>) -> Cell {
    let length = length.map(|length| Unit::get(length) * 1000.0);
    length.map_or(Cell::None("not given"), |length| Cell::Figure(length, format!("{:.0}", length)))
}

fn length_from(from: &LengthFrom) -> String {
    match from {
        LengthFrom::Given => "design".to_owned(),
        LengthFrom::Route { segments, reach, allowance } => {
            let more = |what: &str, length: Metre| {
                let millimetres = Unit::get(length) * 1000.0;
                if millimetres > 0.0 { format!(", {what} {millimetres:.0} mm") } else { String::new() }
            };
            format!("route {}{}{}", segments.join(" + "), more("reach", *reach), more("allowance", *allowance))
        }
        LengthFrom::Unknown(why) => why.clone(),
        _ => String::new(),
    }
}

/// What is done at an end, for people: the place, then what goes on it.
fn in_words(end: &Crimp, wire: &CutWire) -> String {
    let loom = wire.name.strip_suffix(&wire.number).unwrap_or("");
    let place = end.at.strip_prefix(loom).unwrap_or(&end.at);
    let mut done: Vec<String> = Vec::new();
    match end.sort.as_str() {
        "cavity" => {}
        sort => done.push(sort.to_owned()),
    }
    if end.is_unchosen {
        done.push("terminal not chosen".to_owned());
    } else if !end.terminal.is_empty() {
        done.push(end.terminal.clone());
    }
    if !end.die.is_empty() && end.die != end.terminal {
        done.push(format!("die {}", end.die));
    }
    if let Some(strip) = end.strip {
        done.push(format!("strip {} mm", three_digits(Unit::get(strip))));
    }
    if !end.seal.is_empty() {
        done.push(format!("seal {}", end.seal));
    } else if end.lacks_seal {
        done.push("seal not chosen".to_owned());
    }
    let twist = if wire.twist.is_empty() { String::new() } else { format!("; twist {}", wire.twist) };
    let label = if end.label.is_empty() { String::new() } else { format!("\nlabel {}", end.label.join(" / ")) };
    format!("{place}\n{}{twist}{label}", done.join(", ")).trim_end().to_owned()
}

fn cables(cables: &[CutCable]) -> Table {
    let rows = cables.iter().map(|cable| {
        let [used, all] = cable.cores;
        let screen = |at: usize| match cable.screen.get(at).and_then(Option::as_ref) {
            Some(point) => Cell::text(point),
            None if cable.is_screened => Cell::text("cut back, insulated"),
            None => Cell::None(""),
        };
        vec![
            Cell::Tick,
            Cell::text(&cable.name),
            Cell::text(&cable.kind),
            millimetres(cable.length),
            Cell::text(length_from(&cable.length_from)),
            Cell::count(used),
            if all > 0 { Cell::count(all) } else { Cell::None("not given") },
            screen(0),
            screen(1),
        ]
    });
    Table::of("cables", "one row a cable: cut these first; their cores are among the wires", &CABLES, rows.collect())
}

fn spools(list: &CutList) -> Table {
    let waste = list.waste.map_or_else(
        || "no waste is added: the design gives none (`bench: { waste: … }`)".to_owned(),
        |waste| format!("{} % of waste added", three_digits(waste * 100.0)),
    );
    let row = |spool: &Spool| {
        let metres = |length| Cell::figure(Unit::get(length));
        vec![
            Cell::text(if spool.kind.is_empty() { "no kind given" } else { &spool.kind }),
            Cell::text(area(&spool.size)),
            spool.colour.map_or(Cell::None("not given"), Cell::Colour),
            Cell::text(if spool.is_cable { "cable" } else { "wire" }),
            Cell::count(spool.pieces),
            metres(spool.length),
            if list.waste.is_some() { metres(spool.with_waste) } else { Cell::None("") },
            if spool.without_length > 0 { Cell::count(spool.without_length) } else { Cell::None("") },
        ]
    };
    Table::of(
        "spools",
        format!("one row a spool, in the order of the list; {waste}"),
        &SPOOLS,
        list.spools.iter().map(row).collect(),
    )
}

fn changes(changes: Changes) -> String {
    let Changes { spools, least_spools, dies, least_dies, .. } = changes;
    let proof = |changed: usize, least: usize| {
        if changed == least { "no order has fewer".to_owned() } else { format!("no order has fewer than {least}") }
    };
    format!(
        "In this order the spool changes {} ({}), and the die {} ({}, the cores of a cable kept together).",
        times(spools),
        proof(spools, least_spools),
        times(dies),
        proof(dies, least_dies)
    )
}

fn times(count: usize) -> String {
    match count {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        count => format!("{count} times"),
    }
}
