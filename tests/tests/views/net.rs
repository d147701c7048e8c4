//! A net by itself: all that is on it once, nothing covered, no crossing, no wider than a sheet, cut ends in pairs.

use super::analysed;
use harness_cli::render::pictures::net::draw;
use harness_core::{
    Analysis,
    inspect::{Thing, nets},
    internals::model::PointId,
    views::{
        Net,
        function::StopKind,
        net::{End, Run},
    },
};
use harness_draw::{Drawing, Links};
use harness_tests::corpus::checked_files;
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// The width of a sheet of paper in landscape inside its margins, with the edge of a drawing: 259 mm and 6 mm, in quarters of a millimetre.
const PAPER: f64 = 1036.0 + 12.0;

fn fixture(path: &str) -> &'static Analysis {
    let found = checked_files().iter().find(|file| file.path.ends_with(path));
    &found.unwrap_or_else(|| panic!("no fixture {path}")).checked.analysis
}

fn point(analysis: &Analysis, name: &str) -> PointId {
    let found = analysis.model().points().find(|(id, _)| analysis.model().point_name(*id) == name);
    found.unwrap_or_else(|| panic!("no point {name}")).0
}

/// The runs of a net, each with the letters and things at its ends.
fn runs<'n>(run: &'n Run, found: &mut Vec<&'n Run>) {
    found.push(run);
    for branch in run.branches.iter().chain(run.stops.iter().flat_map(|stop| &stop.branches)) {
        runs(branch, found);
    }
}

/// Fails unless each cut end has its other half: `→ a` and `a →`, or `a ←` and `← a`.
pub(super) fn paired(sheets: &[Drawing], of: &str) {
    let mut ends: BTreeMap<String, Vec<bool>> = BTreeMap::new();
    let foot = |text: &&str| text.contains(' ') && text.chars().count() < 8;
    for text in sheets.iter().flat_map(Drawing::texts).filter(foot) {
        for arrow in ["→", "←"] {
            if let Some(letter) = text.strip_prefix(arrow) {
                ends.entry(letter.trim().to_owned()).or_default().push(true);
            } else if let Some(letter) = text.strip_suffix(arrow) {
                ends.entry(letter.trim().to_owned()).or_default().push(false);
            }
        }
    }
    for (letter, halves) in ends {
        assert!(halves.len() == 2 && halves[0] != halves[1], "{of}: letter {letter} at {halves:?}");
    }
}

/// Fails where a drawing of a net is hard to read, or not all of it is there.
fn whole(analysis: &Analysis, net: &Net, of: &str) {
    let sheets = draw(net, "Design");
    let of = format!("{of}, net of {}", net.name);
    for sheet in &sheets {
        let measured = sheet.measured();
        assert!(measured.is_clean() && measured.crossings == 0, "{of}: {measured:#?}");
        assert!(sheet.refused().is_empty() && sheet.size().0 <= PAPER, "{of}: {:?}", sheet.size());
    }
    paired(&sheets, &of);
    // The wires and elements of the net, found without its tree.
    let model = analysis.model();
    let (mut wires, mut joined): (BTreeSet<String>, BTreeSet<String>) = Default::default();
    let own = analysis.network().net(point(analysis, &net.name));
    for at in analysis.network().net_points(own) {
        for (_, edge, _) in analysis.network().around(*at) {
            wires.extend(edge.wire().map(|wire| model.wire_name(wire)));
            joined.extend(edge.element().map(|element| model.element_name(element)));
        }
    }
    let drawn: BTreeSet<&str> = sheets.iter().flat_map(Drawing::drawn).collect();
    let missing: Vec<&String> = wires.iter().chain(&joined).filter(|name| !drawn.contains(name.as_str())).collect();
    assert!(missing.is_empty(), "{of}: {missing:?}");
    let mut all = Vec::new();
    runs(&net.run, &mut all);
    let stops = || all.iter().flat_map(|run| &run.stops);
    let mut numbers: Vec<&str> = stops()
        .filter_map(|stop| match &stop.stop.kind {
            StopKind::Wire { name, .. } => Some(name.as_str()),
            _ => None,
        })
        .collect();
    numbers.sort_unstable();
    assert_eq!(numbers, wires.iter().map(String::as_str).collect::<Vec<_>>(), "{of}");
    assert_eq!(net.counts.wires, wires.len(), "{of}");
    // Every ring is opened once: drawn at the one end, named at the other.
    let ends = || all.iter().flat_map(|run| run.ends.iter().chain(&run.begin));
    let to = ends().filter(|end| matches!(end, End::To(_))).count();
    let from = ends().filter(|end| matches!(end, End::From(_))).count();
    assert_eq!((to, from), (net.letters as usize, net.letters as usize), "{of}");
}

#[test]
fn every_net_of_every_fixture_is_drawn_whole_and_fits_the_width_of_a_sheet() {
    let mut drawn = 0;
    for file in checked_files() {
        let analysis = &file.checked.analysis;
        let points = Net::with_wires(analysis);
        assert_eq!(points.len(), nets(analysis).len(), "{}", file.path.display());
        for point in points {
            let net = Net::of(analysis, point, None).unwrap();
            whole(analysis, &net, &file.path.display().to_string());
            drawn += 1;
        }
    }
    assert!(drawn > 1000, "{drawn} nets");
}

#[test]
fn a_net_begins_where_most_comes_in_and_its_longest_way_is_straight() {
    let analysis = fixture("terrace-tractor/tractor.yaml");
    let net = Net::of(analysis, point(analysis, "accelerator.J1.1"), Some("drive")).unwrap();
    assert!(matches!(&net.run.begin[0], End::Source(source, true) if source.name == "vcu.v5"), "{:?}", net.run.begin);
    assert_eq!((net.domain.as_deref(), net.class_b, net.alternating), (Some("aux"), false, false));
    let straight: Vec<&str> = net
        .run
        .stops
        .iter()
        .filter_map(|stop| match &stop.stop.kind {
            StopKind::Wire { name, .. } => Some(name.as_str()),
            _ => None,
        })
        .collect();
    // By hand: the supply of the rear sensors passes the coupling of both looms and a splice, all others are one wire long.
    assert_eq!(straight.first(), Some(&"cab.492"), "{straight:?}");
    assert!(Net::of(analysis, point(analysis, "accelerator.J1.1"), Some("flying")).is_none());
    let mains = Net::of(analysis, point(analysis, "charger.AC.L1"), None).unwrap();
    assert!(mains.alternating && mains.class_b);
}

#[test]
fn the_same_net_is_found_by_each_of_its_things_and_written_alike() {
    let analysis = fixture("hut-truck/truck.yaml");
    for whole in nets(analysis) {
        let written = |net: &Net| draw(net, "Design").iter().map(|sheet| sheet.svg(&Links::none())).collect::<Vec<_>>();
        let first = written(&Net::of(analysis, point(analysis, &whole.name), None).unwrap());
        for name in whole.points.iter().step_by(7) {
            let net = Net::of(analysis, point(analysis, name), None).unwrap();
            assert_eq!(written(&net), first, "{name}");
        }
    }
}

#[test]
fn a_ring_is_opened_once_and_says_so() {
    let analysis = analysed(
        "format: 1\ndesign: Ring\nlooms:\n  body:\n    splices: { A: {}, B: {}, C: {} }\n    wires:\n      1: { from: A, to: B, size: 1 mm2 }\n      2: { from: B, to: C, size: 1 mm2 }\n      3: { from: C, to: A, size: 1 mm2 }\n",
    );
    let net = Net::of(&analysis, point(&analysis, "body.A"), None).unwrap();
    assert_eq!((net.letters, net.counts.wires, net.counts.points), (1, 3, 3));
    whole(&analysis, &net, "ring");
    assert!(draw(&net, "Ring")[0].texts().any(|text| text.contains("1 ring is closed")));
}

#[test]
fn what_is_at_no_or_several_nets_says_what_to_write() {
    let analysis = fixture("terrace-tractor/tractor.yaml");
    let fuse = analysis.model().elements().find(|(id, _)| analysis.model().element_name(*id) == "fusebox.F13").unwrap().0;
    let said = harness_cli::render::pictures::net::points(analysis, &[Thing::Element(fuse)]).unwrap_err();
    assert!(said.starts_with("`fusebox.F13`: it is on several nets; write one of its points: `"), "{said}");
    let wire = |name: &str| {
        let found = analysis.model().wires().find(|(id, _)| analysis.model().wire_name(*id) == name);
        Thing::Wire(found.unwrap_or_else(|| panic!("no wire {name}")).0)
    };
    // Both are at one splice.
    let points = harness_cli::render::pictures::net::points(analysis, &[wire("rear.641"), wire("rear.642")]).unwrap();
    assert_eq!(points.len(), 1);
}

/// A loom of splices that are joined as a random tree, with some further wires that close rings.
fn random_net(parents: &[(usize, String)], rings: &[(usize, usize)]) -> String {
    let name = |at: usize| if at == 0 { "root".to_owned() } else { format!("{}-{at}", parents[at - 1].1) };
    let mut text = "format: 1\ndesign: Random net\nlooms:\n  body:\n    splices:\n".to_owned();
    for at in 0..=parents.len() {
        text += &format!("      {}: {{}}\n", name(at));
    }
    text += "    wires:\n";
    for (at, (parent, _)) in parents.iter().enumerate() {
        text += &format!(
            "      {}: {{ from: {}, to: {}, size: 2.5 mm2, length: 900 mm }}\n",
            at + 1,
            name(parent % (at + 1)),
            name(at + 1)
        );
    }
    let count = parents.len() + 1;
    for (at, (one, other)) in rings.iter().enumerate().filter(|(_, (one, other))| one % count != other % count) {
        text += &format!("      {}: {{ from: {}, to: {} }}\n", 1000 + at, name(one % count), name(other % count));
    }
    text
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn a_random_net_is_drawn_whole(
        parents in prop::collection::vec((0..80_usize, "[a-z]{1,60}"), 1..60),
        rings in prop::collection::vec((0..80_usize, 0..80_usize), 0..5),
    ) {
        let netlist = random_net(&parents, &rings);
        let analysis = analysed(&netlist);
        let points = Net::with_wires(&analysis);
        prop_assert_eq!(points.len(), 1, "{}", netlist);
        whole(&analysis, &Net::of(&analysis, points[0], None).unwrap(), &netlist);
    }
}
