//! Bundles and bends, as printed.

use harness_core::{
    internals::standards::route::{bend_radius, bundle, is_flexible},
    quantity::Millimetre,
};

/// Strands of a concentric conductor with their diameter over that of one strand: one in the middle and layers of six, twelve, eighteen around
/// it, 1 + 2 n (handbooks of stranded conductors, from memory, not seen).
const CONCENTRIC: [(usize, f64); 4] = [(7, 3.0), (19, 5.0), (37, 7.0), (61, 9.0)];

/// Equal wires with the bundle's diameter in mm: 24 of 2.0 mm by the formula for wires laid at random, which a page of a calculator prints (seen).
const AT_RANDOM: (usize, f64, f64) = (24, 2.0, 11.8);

fn equal(count: usize, diameter: f64) -> [f64; 2] {
    let thickness = bundle(&vec![Millimetre::new(diameter); count]).expect("there are wires");
    [thickness.least.value.get(), thickness.laid.value.get()]
}

#[test]
fn a_bundle_is_as_thick_as_strands_around_each_other() {
    for (count, diameters) in CONCENTRIC {
        let [least, laid] = equal(count, 1.0);
        assert!(least <= diameters + 1e-9, "{count} in {diameters}: at least {least}");
        assert!(laid >= diameters * 0.999 && laid <= diameters * 1.1, "{count} in {diameters}: {laid}");
    }
    let (count, diameter, bundle) = AT_RANDOM;
    assert!((equal(count, diameter)[1] - bundle).abs() < 0.05);
}

/// What the formula takes too low (2 wires 1.70 d against 2 d, 3 wires 2.08 d against 2.155 d) is taken as it is.
#[test]
fn few_wires_need_what_they_need_side_by_side() {
    for (count, diameters) in [(1, 1.0), (2, 2.0), (3, 2.155), (4, 1.0 + 2.0_f64.sqrt())] {
        let [least, laid] = equal(count, 3.0);
        assert!((least - 3.0 * diameters).abs() < 0.01, "{count}: {least}");
        assert!(laid >= least, "{count}: {laid}");
    }
}

/// Building wire of flame-retardant PVC, table of a maker (seen): 4 diameters up to 8 mm, 5 to 12 mm, 6 above. IPC/WHMA-A-620 table 14-1 (seen second hand): a
/// single wire 2, an unshielded cable 5. None of them is reported.
#[test]
fn what_a_table_allows_is_not_too_tight() {
    for (diameter, times, is_cable) in
        [(7.5, 4.0, true), (10.0, 5.0, true), (15.0, 6.0, true), (9.0, 5.0, true), (2.4, 2.0, false)]
    {
        let least = bend_radius(Millimetre::new(diameter), is_cable, false);
        assert!(least.value <= Millimetre::new(diameter * times + 1e-9), "{diameter} mm: {}", least.value);
    }
    // IEC 60204-1 (from memory, not seen): 6 diameters for a moving cable up to 20 mm, 8 above.
    assert_eq!(bend_radius(Millimetre::new(20.0), true, true).value, Millimetre::new(120.0));
    assert_eq!(bend_radius(Millimetre::new(25.0), true, true).value, Millimetre::new(200.0));
}

#[test]
fn classes_five_and_six_are_flexible() {
    // IEC 60228 (from memory, not seen): classes 1 and 2 for fixed installation, 5 and 6 flexible.
    let flexible = [1, 2, 5, 6].map(|class| is_flexible(class).value);
    assert_eq!(flexible, [false, false, true, true]);
}
