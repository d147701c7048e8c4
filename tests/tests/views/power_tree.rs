//! The power tree: each fuse, contact, source and load once, under what feeds it.

use super::{analysed, elements};
use harness_cli::render::pictures::power_tree::draw;
use harness_core::{
    Analysis,
    views::{
        ConsumerKind, Part, PieceKind, PowerTree, PowerTrees,
        power_tree::{Branch, DomainTree, End, Tree, Why},
    },
};
use harness_tests::corpus::{checked_examples, checked_files};
use std::collections::BTreeSet;

/// What is wrong with what a tree shows: names that are lost, and names that are shown more often than they are there.
fn lost(analysis: &Analysis, tree: &PowerTree) -> Vec<String> {
    let shown = tree.names();
    let mut faults = Vec::new();
    for (name, most) in elements(analysis) {
        let times = shown.iter().filter(|known| **known == name).count();
        let part = format!("{name} (");
        let listed = tree.not_shown.iter().filter(|one| one.name == name || one.name.starts_with(&part)).count();
        if times + listed == 0 || times > most || (listed == 0 && times != most) {
            faults.push(format!("{name}: {most} times in the design, {times} shown, {listed} listed"));
        }
    }
    faults
}

fn all_designs() -> impl Iterator<Item = (String, &'static Analysis)> {
    let files = checked_files().iter().map(|file| (file.path.display().to_string(), &file.checked.analysis));
    files.chain(checked_examples().iter().map(|(text, checked)| (text.name.clone(), &checked.analysis)))
}

#[test]
fn every_element_of_every_design_is_shown_or_listed_with_a_reason() {
    let mut count = 0;
    for (name, analysis) in all_designs() {
        let tree = PowerTree::of(analysis);
        let faults = lost(analysis, &tree);
        assert!(faults.is_empty(), "{name}: {faults:#?}");
        count += tree.names().len();
    }
    assert!(count > 4000, "{count} things shown");
}

#[test]
fn no_picture_of_any_design_covers_crosses_or_loses_anything() {
    for (name, analysis) in all_designs() {
        let tree = PowerTree::of(analysis);
        let drawings = draw("Design", &tree);
        let mut drawn: BTreeSet<String> = BTreeSet::new();
        for drawing in &drawings {
            let measured = drawing.measured();
            assert!(measured.is_clean(), "{name}, {}: {measured:#?}", drawing.title());
            assert_eq!(
                (measured.crossings, drawing.refused().len()),
                (0, 0),
                "{name}: no two lines cross, no label is without a place"
            );
            drawn.extend(drawing.drawn().map(str::to_owned));
        }
        let missing: Vec<&str> = tree.names().into_iter().filter(|shown| !drawn.contains(*shown)).collect();
        assert!(missing.is_empty(), "{name}: not drawn: {missing:?}");
    }
}

#[test]
fn the_same_design_gives_the_same_bytes_in_whatever_order_it_is_written() {
    let (one, other) = (analysed(&vehicle(["lamp", "pump"])), analysed(&vehicle(["pump", "lamp"])));
    let svg = |analysis: &Analysis| -> Vec<String> {
        let sheets = draw("Vehicle", &PowerTree::of(analysis));
        sheets.into_iter().map(|sheet| sheet.svg(&harness_draw::Links::none())).collect()
    };
    assert_eq!(svg(&one), svg(&analysed(&vehicle(["lamp", "pump"]))));
    // Order is that of the text by intent: the other order gives the other picture, with the same things in it.
    let names = |analysis: &Analysis| PowerTree::of(analysis).names().into_iter().map(str::to_owned).collect::<Vec<_>>();
    assert_eq!(names(&one), names(&other));
}

fn vehicle(loads: [&str; 2]) -> String {
    let mut text = HEAD.to_owned();
    for (at, load) in loads.iter().enumerate() {
        text += &format!(
            "  {load}: {{ ports: {{ P: {{ stud: M6, role: supply, domain: aux }}, N: {{ stud: M6, role: return, domain: aux }} }}, inside: {{ l: {{ load: {} A, from: P, to: N }} }} }}\n",
            at + 1
        );
    }
    text += "looms:\n  main:\n    size: 2.5 mm2\n    ends:\n      bp: { ring: M8, bolts-to: battery.P }\n      bn: { ring: M8, bolts-to: battery.N }\n      g: { ring: M8, bolts-to: body.G }\n      fi: { ring: M8, bolts-to: fuses.I }\n";
    for load in loads {
        text += &format!(
            "      {load}-p: {{ ring: M6, bolts-to: {load}.P }}\n      {load}-n: {{ ring: M6, bolts-to: {load}.N }}\n      {load}-f: {{ ring: M6, bolts-to: fuses.{load} }}\n      {load}-g: {{ ring: M8, bolts-to: body.G }}\n"
        );
    }
    text += "    wires:\n      1: { from: bp, to: fi }\n      2: { from: bn, to: g }\n";
    for load in loads {
        text +=
            &format!("      {load}-1: {{ from: {load}-f, to: {load}-p }}\n      {load}-2: {{ from: {load}-n, to: {load}-g }}\n");
    }
    text
}

const HEAD: &str = "format: 1
design: Vehicle
domains: { aux: { nominal: 12 V, max: 15 V, reference: chassis } }
parts: { fuses: { ten: { standard: ISO 8820-3, type: C, rating: 10 A } } }
devices:
  body: { chassis: true, ports: { G: { stud: M8, role: chassis, rings: 9 } } }
  battery: { ports: { P: { stud: M8, role: supply, domain: aux }, N: { stud: M8, role: return, domain: aux } }, inside: { cells: { source: 12.8 V, resistance: 10 mohm, positive: P, negative: N } } }
  fuses:
    ports: { I: { stud: M8, domain: aux }, lamp: { stud: M6 }, pump: { stud: M6 }, spare: { stud: M6 }, empty: { stud: M6 } }
    inside: { F1: { fuse: ten, from: I, to: lamp }, F2: { fuse: ten, from: I, to: pump }, F3: { fuse: ten, from: I, to: spare }, F4: { fuse: ten, from: I, to: empty, fitted: false } }
";

fn domain<'t>(tree: &'t PowerTree, name: &str) -> &'t DomainTree {
    tree.domains.iter().find(|domain| domain.name.as_deref() == Some(name)).unwrap_or_else(|| panic!("no domain {name}"))
}

fn branches(tree: &Tree) -> impl Iterator<Item = &Branch> {
    tree.buses.iter().flat_map(|bus| &bus.branches)
}

/// The branch that ends at a consumer.
fn to<'t>(tree: &'t PowerTree, consumer: &str) -> &'t Branch {
    let all = tree.domains.iter().flat_map(|domain| &domain.trees).flat_map(branches);
    let ends_there =
        |branch: &&Branch| matches!(&branch.end, End::Consumers(those) if those.iter().any(|one| one.name == consumer));
    all.into_iter().find(ends_there).unwrap_or_else(|| panic!("{consumer} is not shown"))
}

fn way(branch: &Branch) -> Vec<&str> {
    Part::pieces(&branch.way).into_iter().map(|piece| piece.name.as_str()).collect()
}

fn fixture(path: &str) -> &'static Analysis {
    let found = checked_files().iter().find(|file| file.path.ends_with(path));
    &found.unwrap_or_else(|| panic!("no fixture {path}")).checked.analysis
}

#[test]
fn rows_are_in_the_order_of_the_fuse_box_and_spare_and_empty_fuses_are_rows() {
    let analysis = analysed(&vehicle(["lamp", "pump"]));
    let tree = PowerTree::of(&analysis);
    let bus = &domain(&tree, "aux").trees[0].buses[0];
    let fuses: Vec<(&str, bool)> =
        bus.branches.iter().filter_map(|branch| branch.fuse.as_ref()).map(|fuse| (fuse.name.as_str(), fuse.fitted)).collect();
    assert_eq!(fuses, [("fuses.F1", true), ("fuses.F2", true), ("fuses.F3", true), ("fuses.F4", false)]);
    assert_eq!(way(to(&tree, "lamp.l")), ["fuses.F1"]);
    assert_eq!(bus.branches[2].end, End::Pins(vec!["fuses.spare".to_owned()]));
    assert_eq!(to(&tree, "pump.l").wires.iter().map(|wire| wire.name.as_str()).collect::<Vec<_>>(), ["main.pump-1"]);
}

#[test]
fn the_tractor_has_its_pack_as_one_feeder_and_its_converter_at_both_ends_of_a_letter() {
    let analysis = fixture("terrace-tractor/tractor.yaml");
    let tree = PowerTree::in_mode(analysis, "drive").unwrap();
    let names: Vec<_> = tree.domains.iter().map(|domain| domain.name.clone().unwrap()).collect();
    assert_eq!(names, ["traction", "mains", "aux"], "class B first, then by voltage");
    let traction = &domain(&tree, "traction").trees[0];
    let pack = &traction.feeders[0];
    let cells = pack.way.iter().filter(|part| matches!(part, Part::Sources(_))).count();
    let beside = pack.way.iter().filter(|part| matches!(part, Part::Beside(lanes) if lanes.len() == 2)).count();
    assert_eq!((cells, beside), (6, 1), "six modules in series, the contactor beside its precharge");
    let End::Consumers(converter) = &to(&tree, "dc-dc.converter").end else { panic!("a consumer") };
    let ConsumerKind::Converter { letter: Some(letter), .. } = converter[0].kind else { panic!("{converter:?}") };
    let aux = &domain(&tree, "aux").trees[0];
    assert!(format!("{:?}", aux.feeders[0].way).contains(&format!("letter: Some({letter:?})")));
    assert_eq!(way(to(&tree, "horn.horn")), ["fusebox.K8", "fusebox.F7"]);
    assert_eq!(domain(&tree, "traction").returns[0].piece.name, "junction-box.K2", "the contactor in the minus is in no row");
    assert_eq!(to(&tree, "inlet.lock").back[0].name, "vcu.lock-minus");
    assert!(PowerTree::in_mode(analysis, "flying").is_none());
}

#[test]
fn a_converter_takes_and_gives_the_waves_of_its_domains() {
    let waves = |path: &str, name: &str| {
        let tree = PowerTree::of(fixture(path));
        let End::Consumers(those) = &to(&tree, name).end else { panic!("a consumer") };
        match those.iter().find(|one| one.name == name).unwrap().kind {
            ConsumerKind::Converter { takes_ac, gives_ac, .. } => (takes_ac, gives_ac),
            other => panic!("{other:?}"),
        }
    };
    assert_eq!(waves("sound/solar-hut-48v.yaml", "controller.c"), (false, false));
    assert_eq!(waves("sound/solar-hut-48v.yaml", "inverter.c"), (false, true));
    assert_eq!(waves("sound/onboard-charger.yaml", "charger.conv"), (true, false));
}

#[test]
fn what_is_taken_between_two_batteries_is_a_tree_of_its_own_with_a_letter() {
    let analysis = fixture("truck-24v/truck.yaml");
    let tree = PowerTree::of(analysis);
    let main = &domain(&tree, "t24").trees[0].feeders[0];
    let kinds: Vec<&str> = main
        .way
        .iter()
        .map(|part| match part {
            Part::Sources(sources) => sources[0].name.as_str(),
            Part::Tap(_) => "tap",
            Part::One(_) | Part::Beside(_) => "other",
        })
        .collect();
    assert_eq!(kinds, ["lower.cells", "tap", "upper.cells"]);
    let Part::Tap(letter) = main.way[1] else { panic!("a tap") };
    let tapped = &domain(&tree, "c12").trees[0];
    assert!(tapped.feeders.iter().any(|feeder| feeder.from == Some(letter)), "{:?}", tapped.feeders);
}

#[test]
fn a_ring_is_cut_once_and_both_ends_bear_its_letter() {
    let tree = PowerTree::of(fixture("hut-truck/truck.yaml"));
    let all: Vec<&Branch> = tree.domains.iter().flat_map(|domain| &domain.trees).flat_map(branches).collect();
    let meets: Vec<_> =
        all.iter().filter_map(|branch| if let End::Meets(letter) = branch.end { Some(letter) } else { None }).collect();
    let from: Vec<_> =
        all.iter().filter_map(|branch| if let End::From(letter) = branch.end { Some(letter) } else { None }).collect();
    assert_eq!((meets.len(), meets), (1, from));
}

#[test]
fn loads_without_a_feed_and_loads_without_a_fuse_are_not_lost() {
    let tree = PowerTree::of(fixture("terrace-tractor-draft/draft.yaml"));
    let unfed: Vec<&str> = tree.not_shown.iter().filter(|one| one.why == Why::Unfed).map(|one| one.name.as_str()).collect();
    assert_eq!(unfed, ["lamp-right.position"]);
    let bare = to(&tree, "receiver.logic");
    assert!(bare.fuse.is_none() && bare.way.is_empty());
}

#[test]
fn currents_are_those_of_the_mode_and_a_fuse_carries_the_sum_of_its_loads() {
    let tree = PowerTree::in_mode(fixture("terrace-tractor/tractor.yaml"), "drive").unwrap();
    for branch in tree.domains.iter().flat_map(|domain| &domain.trees).flat_map(branches) {
        let (End::Consumers(consumers), Some(Part::One(piece))) = (&branch.end, branch.way.last()) else { continue };
        let sum: f64 = consumers.iter().map(|one| harness_core::quantity::Unit::get(one.amps)).sum();
        let carried = harness_core::quantity::Unit::get(piece.amps);
        // Pull-ups and inputs at the same net take milliamperes.
        assert!((carried - sum).abs() < 0.01, "{}: {carried} A, its loads {sum} A", piece.name);
        assert!(sum == 0.0 || piece.closed == Some(true), "{} is open and carries {sum} A", piece.name);
    }
    let all = PowerTrees::of(fixture("terrace-tractor/tractor.yaml"));
    let modes: Vec<&str> = all.modes().collect();
    let parked = &all.at(modes.iter().position(|mode| *mode == "parked").unwrap());
    assert_eq!((modes.len(), parked), (4, &PowerTree::in_mode(fixture("terrace-tractor/tractor.yaml"), "parked").unwrap()));
    assert_eq!(harness_core::quantity::Unit::get(to(parked, "steering-pump.motor").amps), 0.0);
    let shape = |tree: &PowerTree| tree.names().into_iter().map(str::to_owned).collect::<Vec<_>>();
    assert_eq!(shape(&tree), shape(parked), "a mode changes figures, not what is drawn");
}

#[test]
fn poles_of_a_contactor_side_by_side_are_one_way() {
    let tree = PowerTree::of(fixture("several-poles.yaml"));
    let kinds: Vec<PieceKind> = Part::pieces(&to(&tree, "heater.h").way).into_iter().map(|piece| piece.kind).collect();
    assert_eq!(kinds.len(), 6);
    assert!(kinds.iter().all(|kind| matches!(kind, PieceKind::MakeContact | PieceKind::BreakContact)), "{kinds:?}");
}
