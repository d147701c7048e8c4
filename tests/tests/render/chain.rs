//! The picture of the chain of class B, of every fixture that has any.

use harness_cli::{
    args::PictureKind,
    render::pictures::{chain::draw, gallery::plates},
};
use harness_core::views::Chain;
use harness_draw::Links;
use harness_tests::corpus::{checked_files, side_by_side};
use std::collections::BTreeMap;

#[test]
fn the_chain_of_every_fixture_covers_nothing_crosses_nothing_and_says_what_it_leaves_out() {
    let results = side_by_side(checked_files(), |fixture| {
        let of = fixture.path.display();
        let chain = Chain::of(&fixture.checked.analysis);
        let drawn = plates(&fixture.checked.analysis, PictureKind::Chain, &[]).unwrap();
        assert_eq!(drawn.len(), usize::from(!chain.is_empty()), "{of}");
        let Some(plate) = drawn.first() else { return (false, None) };
        let measured = plate.drawing.measured();
        let fault = (!measured.is_clean() || measured.crossings > 0).then(|| format!("{of}: {measured:#?}"));
        assert!(plate.drawing.refused().is_empty(), "{of}");
        let svg = plate.drawing.svg(&Links::none());
        assert_eq!(svg, plates(&fixture.checked.analysis, PictureKind::Chain, &[]).unwrap()[0].drawing.svg(&Links::none()));
        assert!(!svg.contains("NaN") && plate.drawing.texts().any(|text| text.contains("no safety certificate")), "{of}");
        let text = plate.drawing.texts().collect::<Vec<_>>().join(" ");
        for left in &chain.left_out {
            assert!(left.name.len() > 60 || text.contains(&left.name), "{of}: {} is left out in silence", left.name);
        }
        (true, fault)
    });
    let faults: Vec<&String> = results.iter().filter_map(|(_, fault)| fault.as_ref()).collect();
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
    let drawing = draw(&chain, "Delivery van");
    let texts: Vec<&str> = drawing.texts().collect();
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
