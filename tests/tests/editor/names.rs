//! Every name of every fixture is found where the model has it, and leads to the thing that the model has.

use harness_core::{
    editor::{Index, Kind, Sort, Token, opposites, thing},
    inspect::Thing,
    internals::model::{Mate, Model, PointId, PointKind},
    source::Span,
};
use harness_tests::corpus::checked_files;

/// The names at a place.
fn at(index: &Index, span: Span) -> &[Token] {
    // Behind the quote of a quoted name.
    let found = index.at(span.file, span.start);
    if found.is_empty() { index.at(span.file, span.start + 1) } else { found }
}

/// Whether a thing of this sort and name is defined at a place.
fn is_defined(index: &Index, span: Span, sort: Sort, name: &str) -> bool {
    at(index, span)
        .iter()
        .any(|token| token.defines && index.sort(token.symbol) == Some(sort) && index.name(token.symbol) == name)
}

/// The last name of a dotted text.
fn last(index: &Index, span: Span) -> Option<&Token> {
    let found = index.at(span.file, span.end);
    let found = if found.is_empty() { index.at(span.file, span.end - 1) } else { found };
    found.last()
}

fn definitions(model: &Model) -> Vec<(Span, Sort, String)> {
    let mut found = Vec::new();
    let mut add = |span: Span, kind: Kind, name| found.push((span, Sort::Thing(kind), model.text(name).to_owned()));
    model.domains().for_each(|(_, item)| add(item.span, Kind::Domain, item.name));
    model.zones().for_each(|(_, item)| add(item.span, Kind::Zone, item.name));
    model.modes().filter_map(|(_, item)| Some((item.span, item.name?))).for_each(|(span, name)| add(span, Kind::Mode, name));
    model.networks().for_each(|(_, item)| add(item.span, Kind::Network, item.name));
    model.housings().for_each(|(_, item)| add(item.span, Kind::HousingKind, item.name));
    model.fuse_kinds().for_each(|(_, item)| add(item.span, Kind::FuseKind, item.name));
    model.devices().for_each(|(_, item)| add(item.span, Kind::Device, item.name));
    model.ports().for_each(|(_, item)| add(item.span, Kind::Port, item.name));
    model.elements().for_each(|(_, item)| add(item.span, Kind::Element, item.name));
    model.looms().for_each(|(_, item)| add(item.span, Kind::Loom, item.name));
    model.ends().for_each(|(_, item)| add(item.span, Kind::End, item.name));
    model.wires().for_each(|(_, item)| add(item.span, Kind::Wire, item.name));
    model.cables().for_each(|(_, item)| add(item.span, Kind::Cable, item.name));
    model.segments().for_each(|(_, item)| add(item.span, Kind::Segment, item.name));
    for (_, item) in model.splices() {
        // The closed end of a wire and the points of an element in line are made, not written.
        let name = model.text(item.name);
        if !name.contains(['.', ' ']) {
            add(item.span, Kind::Splice, item.name);
        }
    }
    found
}

#[test]
fn every_thing_of_every_fixture_is_defined_where_the_model_has_it() {
    let (mut things, mut faults) = (0, Vec::new());
    for fixture in checked_files() {
        let design = fixture.checked.analysis.design();
        let index = Index::new(design.sources());
        for (span, sort, name) in definitions(design.model()) {
            things += 1;
            if !is_defined(&index, span, sort, &name) {
                faults.push(format!("{}: {sort:?} `{name}`", design.sources().place(span)));
            }
        }
        for token in index.tokens() {
            let written = design.sources().slice(token.span);
            if token.is_verbatim && written != index.name(token.symbol) && !index.sort(token.symbol).is_some_and(Sort::is_label) {
                faults.push(format!("{}: `{written}` bears `{}`", design.sources().place(token.span), index.path(token.symbol)));
            }
        }
    }
    assert!(things > 5_000, "{things}");
    assert!(faults.is_empty(), "{} of {things}: {:#?}", faults.len(), &faults[..faults.len().min(20)]);
}

fn name_of(model: &Model, point: PointId) -> (Sort, String) {
    let label = model.text(model[point].label).to_owned();
    match model[point].kind {
        PointKind::Cavity(_) => (Sort::Cavity, label),
        PointKind::Ring(end) => (Sort::Thing(Kind::End), model.text(model[end].name).to_owned()),
        PointKind::Splice(_) => (Sort::Thing(Kind::Splice), label),
        PointKind::Pin(_) => (Sort::Thing(Kind::Pin), label),
        PointKind::Stud(port) => (Sort::Thing(Kind::Port), model.text(model[port].name).to_owned()),
        PointKind::Node(_) => (Sort::Node, label),
    }
}

#[test]
fn every_reference_of_every_fixture_leads_to_what_the_model_has() {
    let (mut references, mut faults) = (0, Vec::new());
    for fixture in checked_files() {
        let design = fixture.checked.analysis.design();
        let (model, index) = (design.model(), Index::new(design.sources()));
        let mut check = |span: Span, sort: Sort, name: &str, definition: Option<Span>| {
            references += 1;
            let token = last(&index, span);
            let leads = token.is_some_and(|token| {
                let found = index.definitions(token.symbol);
                let is_there = definition
                    .is_none_or(|span| found.iter().any(|at| at.start.abs_diff(span.start) <= 1 && at.file == span.file));
                index.sort(token.symbol) == Some(sort) && index.name(token.symbol) == name && is_there
            });
            if !leads {
                let found = token.map(|token| (index.sort(token.symbol), index.path(token.symbol)));
                faults.push(format!("{}: {sort:?} `{name}`, not {found:?}", design.sources().place(span)));
            }
        };
        for (_, end) in model.ends() {
            let (Some(span), Some(mate)) = (end.mate_span, end.mate) else { continue };
            match mate {
                Mate::Port(port) => check(span, Sort::Thing(Kind::Port), model.text(model[port].name), Some(model[port].span)),
                Mate::End(other) => check(span, Sort::Thing(Kind::End), model.text(model[other].name), Some(model[other].span)),
            }
        }
        for (_, wire) in model.wires() {
            for (point, span) in [(wire.from, wire.from_span), (wire.to, wire.to_span)] {
                let Some(point) = point else { continue };
                let (sort, name) = name_of(model, point);
                if name.contains(' ') {
                    continue;
                }
                match name.split_once('.') {
                    Some((element, _)) => {
                        let start = Span::new(span.file, span.start, span.start + element.len() as u32);
                        check(start, Sort::Thing(Kind::Element), element, None);
                    }
                    None => check(span, sort, &name, None),
                }
            }
            if let (Some((cable, core)), Some(span)) = (wire.core, wire.core_span) {
                let label = model[cable].kind.and_then(|kind| model[kind].cores.get(core as usize)).map(|core| core.label);
                check(span, Sort::Core, label.map_or("", |label| model.text(label)), None);
            }
        }
        for (_, pin) in model.pins() {
            if let Some((domain, span)) = pin.domain {
                check(span, Sort::Thing(Kind::Domain), model.text(model[domain].name), Some(model[domain].span));
            }
            if let Some(signal) = pin.signal {
                check(signal.span, Sort::Signal, model.text(signal.value), None);
            }
        }
    }
    assert!(references > 8_000, "{references}");
    assert!(faults.is_empty(), "{} of {references}: {:#?}", faults.len(), &faults[..faults.len().min(20)]);
}

#[test]
fn a_name_leads_to_its_thing_and_to_the_other_side() {
    let (mut wires, mut mates) = (0, 0);
    for fixture in checked_files().iter().filter(|fixture| fixture.path.to_string_lossy().contains("terrace-tractor/tractor")) {
        let design = fixture.checked.analysis.design();
        let (model, index) = (design.model(), Index::new(design.sources()));
        for token in index.tokens().iter().filter(|token| token.defines) {
            match (index.sort(token.symbol), thing(&index, design, token.symbol)) {
                (Some(Sort::Thing(Kind::Wire)), Some(Thing::Wire(wire))) => {
                    assert_eq!(index.path(token.symbol), model.wire_name(wire));
                    assert_eq!(opposites(&index, design, token.symbol).len(), 2, "{}", index.path(token.symbol));
                    wires += 1;
                }
                (Some(Sort::Thing(Kind::End)), Some(_)) => {
                    assert_eq!(opposites(&index, design, token.symbol).len(), 1, "{}", index.path(token.symbol));
                    mates += 1;
                }
                _ => {}
            }
        }
    }
    assert!(wires > 150 && mates > 80, "{wires} {mates}");
}
