//! A function: an unbroken way from a source through the thing that was asked for and back, and what else hangs on it.

use super::analysed;
use harness_cli::render::pictures::function::draw;
use harness_core::{
    Analysis,
    inspect::Thing,
    internals::model::ElementKind,
    views::{
        Function,
        function::{Stop, StopKind},
    },
};
use harness_tests::corpus::checked_files;
use std::collections::BTreeSet;

/// The name of a stop; of a joint its first half.
fn name(stop: &Stop) -> &str {
    match &stop.kind {
        StopKind::Wire { name, .. }
        | StopKind::Splice(name)
        | StopKind::Bar(name)
        | StopKind::Metal(name)
        | StopKind::Other(name) => name,
        StopKind::Pair { from, .. } | StopKind::Joint { from, .. } => from,
        StopKind::Piece(piece) => &piece.name,
        StopKind::Source { source, .. } => &source.name,
    }
}

fn names(stops: &[Stop]) -> Vec<&str> {
    stops.iter().map(name).collect()
}

fn fixture(path: &str) -> &'static Analysis {
    let found = checked_files().iter().find(|file| file.path.ends_with(path));
    &found.unwrap_or_else(|| panic!("no fixture {path}")).checked.analysis
}

fn element(analysis: &Analysis, wanted: &str) -> Thing {
    let found = analysis.model().elements().find(|(id, _)| analysis.model().element_name(*id) == wanted);
    Thing::Element(found.unwrap_or_else(|| panic!("no element {wanted}")).0)
}

fn wire(analysis: &Analysis, wanted: &str) -> Thing {
    let found = analysis.model().wires().find(|(id, _)| analysis.model().wire_name(*id) == wanted);
    Thing::Wire(found.unwrap_or_else(|| panic!("no wire {wanted}")).0)
}

#[test]
fn the_coolant_pump_runs_from_the_converter_through_its_relay_and_fuse_and_back_over_the_chassis() {
    let analysis = fixture("terrace-tractor/tractor.yaml");
    let function = Function::of(analysis, element(analysis, "coolant-pump.motor"), Some("drive")).unwrap();
    assert_eq!(function.source.as_ref().unwrap().name, "dc-dc.converter");
    let feed = [
        "dc-dc.F1",
        "dc-dc.OUT",
        "battery.503",
        "battery.R6",
        "fusebox.K2",
        "fusebox.F13",
        "fusebox.J1.1",
        "front.101",
        "front.P3.1",
    ];
    assert_eq!(names(&function.feed), feed);
    let back = [
        "coolant-pump.J1.2",
        "front.105",
        "front.SG1",
        "front.109",
        "front.R2",
        "chassis",
        "chassis.G0",
        "battery.505",
        "battery.R9",
    ];
    assert_eq!(names(&function.back), back);
    assert!(function.closed && !function.class_b && (function.amps.get() - 4.0).abs() < 1e-6);
    let splice = function.back.iter().find(|stop| name(stop) == "front.SG1").unwrap();
    let aside: Vec<(&str, &str)> = splice.asides.iter().map(|aside| (aside.name.as_str(), aside.to.as_str())).collect();
    assert_eq!(aside, [("front.106", "radiator-fan.J1.2"), ("front.107", "horn.J1.2"), ("front.108", "fusebox.J1.11")]);
}

#[test]
fn a_wire_of_a_pack_runs_through_all_its_modules_and_both_contactors() {
    let analysis = fixture("terrace-tractor/tractor.yaml");
    let function = Function::of(analysis, wire(analysis, "traction.203"), Some("drive")).unwrap();
    assert_eq!(function.source.as_ref().unwrap().name, "pack.module1");
    let feed = names(&function.feed);
    let pack = ["pack.module2", "pack.module3", "pack.SD", "pack.F0", "pack.module4", "pack.module5", "pack.module6"];
    assert_eq!(feed[..pack.len()], pack);
    assert!(feed.contains(&"junction-box.K1") && names(&function.back).contains(&"junction-box.K2"));
    assert!(function.closed && function.class_b && function.load.as_ref().unwrap().name == "inverter.drive");
}

#[test]
fn where_nothing_flows_the_way_is_what_joins_and_says_so() {
    let analysis = fixture("terrace-tractor-draft/draft.yaml");
    let unfed = Function::of(analysis, element(analysis, "lamp-right.position"), None).unwrap();
    assert!(unfed.mode.is_none() && unfed.source.is_none() && unfed.amps.get() == 0.0);
    let idle = analysed(
        "format: 1\ndesign: Lift\ndevices:\n  box:\n    nodes: [a, b, c]\n    inside: { s: { source: 12 V, positive: a, negative: c }, k: { switch: open, from: a, to: b }, l: { load: 1 A, from: b, to: c } }\n",
    );
    let function = Function::of(&idle, element(&idle, "box.l"), None).unwrap();
    assert_eq!((names(&function.feed), function.mode.clone()), (vec!["box.k"], None));
    assert_eq!(function.source.unwrap().name, "box.s");
    assert!(Function::of(&idle, element(&idle, "box.l"), Some("flying")).is_none());
}

#[test]
fn the_way_of_every_load_and_every_tenth_wire_is_unbroken_and_its_drawing_covers_nothing() {
    let mut closed = 0;
    for file in checked_files() {
        let analysis = &file.checked.analysis;
        let model = analysis.model();
        let loads =
            model.elements().filter(|(_, one)| matches!(one.kind, ElementKind::Load { .. })).map(|(id, _)| Thing::Element(id));
        let wires = model.wires().enumerate().filter(|(at, _)| at % 10 == 0).map(|(_, (id, _))| Thing::Wire(id));
        for thing in loads.chain(wires) {
            let of = || format!("{} in {}", thing.name(model), file.path.display());
            let Some(function) = Function::of(analysis, thing, None) else { continue };
            closed += usize::from(function.closed);
            let drawing = draw("Design", &function);
            let measured = drawing.measured();
            assert!(measured.is_clean() && measured.crossings == 0, "{}: {measured:#?}", of());
            // A sheet of A4 across, inside the margins of printers, and the edge of the drawing.
            assert!(drawing.size().0 <= 1048.0, "{}: {:?}", of(), drawing.size());
            super::net::paired(std::slice::from_ref(&drawing), &of());
            let drawn: BTreeSet<&str> = drawing.drawn().collect();
            let load = function.load.as_ref().map(|load| load.name.as_str());
            let source = function.source.as_ref().map(|source| source.name.as_str());
            let all = function.feed.iter().chain(&function.back).map(name).chain(load).chain(source);
            let missing: Vec<&str> = all.filter(|name| !drawn.contains(name)).collect();
            assert!(missing.is_empty(), "{}: {missing:?}", of());
            // What uses the current was asked for, or is behind it; no piece of the way carries nothing where a current flows.
            if function.mode.is_some() {
                let idle: Vec<&Stop> = function
                    .feed
                    .iter()
                    .chain(&function.back)
                    .filter(|stop| matches!(&stop.kind, StopKind::Piece(piece) if piece.amps.get() == 0.0))
                    .collect();
                assert!(idle.is_empty(), "{}: {idle:?}", of());
            }
        }
    }
    assert!(closed > 500, "{closed} ways came back to their source");
}

#[test]
fn a_source_that_is_charged_is_met_at_its_plus_and_an_alternating_one_is_said_to_be() {
    let analysis = fixture("terrace-tractor/tractor.yaml");
    let charging = Function::of(analysis, element(analysis, "charger.charger"), Some("charge")).unwrap();
    let poles = |function: &Function| -> Vec<bool> {
        let stops = function.feed.iter();
        stops
            .filter_map(|stop| if let StopKind::Source { from_plus, .. } = &stop.kind { Some(*from_plus) } else { None })
            .collect()
    };
    assert!(poles(&charging).len() == 6 && poles(&charging).iter().all(|from_plus| *from_plus), "{:?}", poles(&charging));
    let driving = Function::of(analysis, element(analysis, "inverter.drive"), Some("drive")).unwrap();
    assert!(poles(&driving).len() == 5 && poles(&driving).iter().all(|from_plus| !from_plus), "{:?}", poles(&driving));
    let mains = Function::of(analysis, wire(analysis, "traction.214"), None).unwrap();
    assert!(mains.alternating && draw("Design", &mains).texts().any(|text| text == "230 V AC"));
    assert!(!driving.alternating && !charging.alternating);
}
