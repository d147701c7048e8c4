//! The picture of the chain of class B, of every fixture that has any.

use harness_cli::{
    args::PictureKind,
    render::pictures::{
        chain::draw,
        gallery::{Plate, plates},
    },
};
use harness_core::views::Chain;
use harness_draw::{Drawing, Links};
use harness_tests::corpus::{checked_files, side_by_side};
use std::collections::BTreeMap;

#[test]
fn the_chain_of_every_fixture_covers_nothing_crosses_nothing_and_says_what_it_leaves_out() {
    let results = side_by_side(checked_files(), |fixture| {
        let of = fixture.path.display();
        let chain = Chain::of(&fixture.checked.analysis);
        let sheets = || plates(&fixture.checked.analysis, PictureKind::Chain, &[]).unwrap();
        let drawn = sheets();
        assert_eq!(drawn.is_empty(), chain.is_empty(), "{of}");
        let written =
            |plates: &[Plate]| -> Vec<String> { plates.iter().map(|plate| plate.drawing.svg(&Links::none())).collect() };
        assert_eq!(written(&drawn), written(&sheets()), "{of}");
        let mut faults = Vec::new();
        for Plate { drawing, .. } in &drawn {
            let measured = drawing.measured();
            faults.extend((!measured.is_clean() || measured.crossings > 0).then(|| format!("{of}: {measured:#?}")));
            // The width of a sheet of A3; a row that nothing cuts may be as wide as it is.
            assert!(
                drawing.size().0 <= if of.to_string().contains("starter-panel") { 2100.0 } else { 1680.0 },
                "{of}: {:?}",
                drawing.size()
            );
            assert!(drawing.refused().is_empty(), "{of}");
            assert!(!drawing.svg(&Links::none()).contains("NaN"), "{of}");
            assert!(drawing.texts().any(|text| text.contains("no safety certificate")), "{of}");
        }
        let text = drawn.iter().flat_map(|plate| plate.drawing.texts()).collect::<Vec<_>>().join(" ");
        for left in &chain.left_out {
            assert!(left.name.len() > 60 || text.contains(&left.name), "{of}: {} is left out in silence", left.name);
        }
        (!drawn.is_empty(), faults)
    });
    let faults: Vec<&String> = results.iter().flat_map(|(_, faults)| faults).collect();
    assert!(faults.is_empty(), "{} pictures: {faults:#?}", faults.len());
    let count = results.iter().filter(|(is_drawn, _)| *is_drawn).count();
    assert!(count > 100, "{count} pictures");
}

#[test]
fn a_design_without_class_b_has_no_picture_and_a_name_is_refused() {
    let boat = checked_files().iter().find(|file| file.path.ends_with("boat-12v/boat.yaml")).unwrap();
    assert!(plates(&boat.checked.analysis, PictureKind::Chain, &[]).unwrap().is_empty());
    let tractor = checked_files().iter().find(|file| file.path.ends_with("fixtures/terrace-tractor/tractor.yaml")).unwrap();
    let refused = plates(&tractor.checked.analysis, PictureKind::Chain, &["pack".to_owned()]).unwrap_err();
    assert!(refused.contains("`pack`"), "{refused}");
}

#[test]
fn the_order_of_closing_waits_for_the_voltage_before_the_main_contact() {
    let van = checked_files().iter().find(|file| file.path.ends_with("sound/delivery-van-350v.yaml")).unwrap();
    let chain = Chain::of(&van.checked.analysis);
    let [order] = chain.closing.orders.as_slice() else { panic!("{:?}", chain.closing.orders) };
    let sheets = draw(&chain, "Delivery van");
    let texts: Vec<&str> = sheets.iter().flat_map(Drawing::texts).collect();
    let at = |words: &str| texts.iter().position(|text| text.contains(words)).unwrap_or_else(|| panic!("{words}: {texts:?}"));
    let (first, wait) = (at("1. pack.Km, pack.Kpre shut"), at("wait for the voltage"));
    assert!(first < wait && wait < at("3. pack.Kp shut") && at("3. pack.Kp shut") < at("4. pack.Kpre open"));
    // Nine tenths of the voltage that the main contact joins to it.
    let full = order.steps[2].volts.get();
    assert!((order.steps[1].volts.get() / full - 0.9).abs() < 1e-6, "{order:?}");
    // Shut is what the modes say.
    let shut: BTreeMap<&str, Vec<bool>> =
        chain.closing.contacts.iter().map(|contact| (contact.name.as_str(), contact.shut.clone())).collect();
    assert_eq!(chain.closing.modes, ["parked", "precharge", "drive", "charge", "service"]);
    assert_eq!(shut["pack.Kp"], [false, false, true, true, false]);
    assert_eq!(shut["pack.Km"], [false, true, true, true, false]);
    assert_eq!(shut["pack.msd"], [true, true, true, true, false]);
}
