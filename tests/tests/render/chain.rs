//! The picture of the chain of class B, of every fixture that has any.

use harness_cli::{args::PictureKind, render::pictures::gallery::plates};
use harness_core::views::Chain;
use harness_draw::Links;
use harness_tests::corpus::{checked_files, side_by_side};

#[test]
fn the_chain_of_every_fixture_covers_nothing_crosses_nothing_and_says_what_it_leaves_out() {
    let results = side_by_side(checked_files(), |fixture| {
        let of = fixture.path.display();
        let chain = Chain::of(&fixture.checked.analysis);
        let drawn = plates(&fixture.checked.analysis, PictureKind::Chain, &[]).unwrap();
        assert_eq!(drawn.len(), usize::from(!chain.is_empty()), "{of}");
        let Some(plate) = drawn.first() else { return false };
        let measured = plate.drawing.measured();
        assert!(measured.is_clean(), "{of}: {measured:#?}");
        assert_eq!(measured.crossings, 0, "{of}");
        assert!(plate.drawing.refused().is_empty(), "{of}");
        let svg = plate.drawing.svg(&Links::none());
        assert_eq!(svg, plates(&fixture.checked.analysis, PictureKind::Chain, &[]).unwrap()[0].drawing.svg(&Links::none()));
        assert!(!svg.contains("NaN") && plate.drawing.texts().any(|text| text.contains("no safety certificate")), "{of}");
        let text = plate.drawing.texts().collect::<Vec<_>>().join(" ");
        for left in &chain.left_out {
            assert!(left.name.len() > 60 || text.contains(&left.name), "{of}: {} is left out in silence", left.name);
        }
        true
    });
    let count = results.into_iter().filter(|is_drawn| *is_drawn).count();
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
