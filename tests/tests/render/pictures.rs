//! Engineering pictures of every fixture and of random looms: nothing covers anything, nothing is lost, the same bytes each time.

use harness_cli::render::pictures::{faces, loom, plan, time_current, timeline};
use harness_core::{
    Analysis, Design, MemoryFiles,
    bench::{Bench, Branch, Layout},
    inspect::{TimeCurrent, selective},
    views::{
        Plan,
        timeline::{discharges, precharges},
    },
};
use harness_draw::{Drawing, Links};
use harness_tests::corpus::{Fixture, checked_files};
use proptest::prelude::*;
use std::collections::BTreeSet;

/// Fails where a drawing is hard to read.
fn readable(drawing: &Drawing, of: &str) {
    let measured = drawing.measured();
    assert!(measured.is_clean(), "{of}, {}: {measured:#?}", drawing.title());
    assert!(drawing.refused().is_empty(), "{of}, {}: no room for {:?}", drawing.title(), drawing.refused());
    let svg = drawing.svg(&Links::none());
    assert_eq!(svg, drawing.svg(&Links::none()));
    assert!(!svg.contains("NaN") && !svg.contains("inf\""), "{of}: {}", drawing.title());
    assert!(!drawing.about().is_empty() && drawing.texts().any(|text| text.contains("no safety certificate")), "{of}");
}

/// Of the many fixtures those that are whole vehicles, and a part of all others.
fn designs() -> impl Iterator<Item = &'static Fixture> {
    let is_vehicle = |fixture: &Fixture| {
        let path = fixture.path.to_string_lossy().replace('\\', "/");
        ["terrace-tractor", "hut-truck", "motorcycle-96v", "cart-48v", "boat-12v", "/sound/", "interlock"]
            .iter()
            .any(|name| path.contains(name))
    };
    checked_files().iter().filter(move |fixture| is_vehicle(fixture))
}

fn name(fixture: &Fixture) -> String {
    fixture.path.display().to_string()
}

#[test]
fn every_fuse_has_a_picture_in_which_its_conductors_are() {
    let mut drawn = 0;
    for fixture in designs() {
        let analysis = &fixture.checked.analysis;
        let fuses = analysis.model().elements().filter_map(|(id, _)| Some((id, TimeCurrent::of(analysis, id).ok()?)));
        let (ids, curves): (Vec<_>, Vec<_>) = fuses.take(30).unzip();
        for curve in &curves {
            let drawing = time_current::draw(curve, "Terrace tractor, revision C");
            readable(&drawing, &name(fixture));
            let shown = curve.conductors.iter().filter(|conductor| !conductor.points.is_empty());
            let expected: BTreeSet<&str> = shown.map(|conductor| conductor.name.as_str()).chain([curve.name.as_str()]).collect();
            assert!(drawing.drawn().collect::<BTreeSet<_>>().is_subset(&expected));
            assert!(drawing.texts().any(|text| text.starts_with("rating ")) || curve.currents.is_empty());
            drawn += 1;
        }
        let pairs = selective(analysis, &ids, &curves);
        for count in [2, 3, curves.len()] {
            let Some(some) = curves.get(..count.min(curves.len())).filter(|some| !some.is_empty()) else { continue };
            let own: Vec<_> = pairs.iter().filter(|pair| pair.upper < some.len() && pair.lower < some.len()).cloned().collect();
            readable(&time_current::several(some, &own, "Terrace tractor"), &name(fixture));
        }
    }
    assert!(drawn > 100, "{drawn} pictures");
}

#[test]
fn precharges_and_discharges_are_drawn_with_their_figures() {
    let (mut charged, mut emptied) = (0, 0);
    for fixture in designs() {
        for one in precharges(&fixture.checked.analysis) {
            let drawing = timeline::precharge(&one, "Terrace tractor");
            readable(&drawing, &name(fixture));
            let texts: Vec<&str> = drawing.texts().collect();
            assert!(texts.contains(&format!("goal {}", one.goal).as_str()), "{texts:?}");
            assert!(texts.iter().any(|text| *text == format!("{} in one precharge", one.energy)), "{texts:?}");
            for contact in &one.contacts {
                assert!(drawing.drawn().any(|key| key == contact.name), "{}", contact.name);
            }
            charged += 1;
        }
        for one in discharges(&fixture.checked.analysis) {
            let drawing = timeline::discharge(&one, "Terrace tractor");
            readable(&drawing, &name(fixture));
            if let Some(time) = one.time {
                assert!(drawing.texts().any(|text| text == format!("after {time}")));
            }
            emptied += 1;
        }
    }
    assert!(charged > 5 && emptied > 5, "{charged} and {emptied}");
}

/// Fails unless every branch is drawn once, and every end that hangs on one.
fn whole(layout: &Layout, drawing: &Drawing, of: &str) {
    readable(drawing, of);
    let branches = layout.branches.iter().map(|branch| format!("{}.{}", layout.loom, branch.name));
    let hung = |branch: &Branch| {
        let reached = branch.reached.iter().flatten().map(|one| one.end.clone());
        branch.ends.iter().map(|(end, _)| end.clone()).chain(reached).collect::<Vec<_>>()
    };
    let ends = layout.branches.iter().flat_map(hung);
    let expected: BTreeSet<String> = branches.chain(ends).collect();
    assert_eq!(drawing.drawn().map(str::to_owned).collect::<BTreeSet<_>>(), expected, "{of}, {}", layout.loom);
    for branch in &layout.branches {
        assert_eq!(drawing.texts().filter(|text| *text == branch.name).count(), 1, "{of}: {}", branch.name);
    }
}

#[test]
fn every_loom_is_laid_out_with_all_its_branches_and_ends() {
    let mut drawn = 0;
    for fixture in designs() {
        for layout in Bench::of(&fixture.checked.analysis).layouts() {
            whole(&layout, &loom::draw(&layout, "Terrace tractor"), &name(fixture));
            drawn += 1;
        }
    }
    assert!(drawn > 20, "{drawn}");
}

#[test]
fn a_plan_has_every_device_and_every_loom() {
    for fixture in designs() {
        let plan = Plan::of(&fixture.checked.analysis);
        let drawing = plan::draw(&plan, "Terrace tractor");
        readable(&drawing, &name(fixture));
        let between = plan.between.iter().map(|one| one.ends.join(" – "));
        let devices = plan.zones.iter().flat_map(|zone| zone.devices.clone());
        let expected: BTreeSet<String> = devices.chain(plan.looms.iter().map(|loom| loom.name.clone())).chain(between).collect();
        assert_eq!(drawing.drawn().map(str::to_owned).collect::<BTreeSet<_>>(), expected, "{}", name(fixture));
        // Every end of every loom is a lead, a meeting of looms, or left out with a reason.
        let model = fixture.checked.analysis.model();
        let told: BTreeSet<&str> = plan
            .leads
            .iter()
            .flat_map(|lead| &lead.ends)
            .chain(plan.between.iter().flat_map(|one| &one.ends))
            .chain(plan.left_out.iter().map(|(name, _)| name))
            .map(String::as_str)
            .collect();
        for (id, _) in model.ends().filter(|(_, end)| model[end.loom].fitted) {
            assert!(told.contains(model.end_name(id).as_str()), "{}: {}", name(fixture), model.end_name(id));
        }
    }
}

#[test]
fn every_face_is_drawn_from_both_sides_with_all_its_cavities() {
    let mut drawn = 0;
    for fixture in designs() {
        for sheet in Bench::of(&fixture.checked.analysis).end_sheets() {
            let Some(drawing) = faces::draw(&sheet) else { continue };
            let measured = drawing.measured();
            assert!(measured.is_clean(), "{}, {}: {measured:#?}", name(fixture), sheet.name);
            let faces = sheet.faces.as_ref().unwrap();
            for label in faces.mating.iter().flatten() {
                assert!(
                    drawing.texts().filter(|text| *text == label).count() >= 2,
                    "{}: {label} of {}",
                    name(fixture),
                    sheet.name
                );
            }
            drawn += 1;
        }
    }
    assert!(drawn > 50, "{drawn}");
}

/// A design of one loom with a random tree of branches, some without a length, and ends here and there.
fn random_loom(branches: &[(usize, Option<u32>, usize, String)]) -> String {
    let mut text = "format: 1\ndesign: Random loom\nlooms:\n  trunk:\n    ends:\n".to_owned();
    let mut route = String::new();
    let mut end = 0;
    for (at, (parent, length, ends, name)) in branches.iter().enumerate() {
        let parent = if at == 0 { 0 } else { parent % (at + 1) };
        let length = length.map_or(String::new(), |length| format!("length: {} mm, ", length + 1));
        route += &format!("      S{at}-{name}: {{ {length}from: n{parent}, to: n{} }}\n", at + 1);
        for _ in 0..*ends {
            text += &format!("      E{end}: {{ ring: M6, at: S{at}-{name} }}\n");
            end += 1;
        }
    }
    if end == 0 {
        text += "      E0: { ring: M6 }\n";
    }
    text + "    route:\n" + &route
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn a_random_loom_is_laid_out_whole(
        branches in prop::collection::vec(
            (0..40_usize, prop::option::weighted(0.8, 20..4000_u32), 0..4_usize, "[a-zA-Z]{1,12}"), 1..16
        ),
    ) {
        let netlist = random_loom(&branches);
        let analysis = Analysis::of_all(&Design::load(&MemoryFiles::one("random.yaml", netlist.as_str()), "random.yaml"));
        let layouts = Bench::of(&analysis).layouts();
        prop_assert_eq!(layouts.len(), 1, "{}", netlist);
        let layout = &layouts[0];
        prop_assert_eq!(layout.branches.len(), branches.len(), "{}", netlist);
        whole(layout, &loom::draw(layout, "Random loom"), &netlist);
        let sheets = loom::sheets(layout, "Random loom", 2);
        let all: BTreeSet<&str> = sheets.iter().flat_map(Drawing::drawn).collect();
        let is_drawn = layout.branches.iter().all(|branch| all.contains(format!("trunk.{}", branch.name).as_str()));
        prop_assert!(is_drawn, "{}", netlist);
    }
}
