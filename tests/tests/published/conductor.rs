//! Resistance, its change with temperature, and insulation diameter.

use super::{Case, compare, degc, mm2};
use harness_core::{
    internals::standards::{
        Status,
        conductor::{Derivation, Series, Wall, outer_diameter, resistance, resistance_at, temperature_ratio},
    },
    quantity::OhmPerMetre,
};

fn milliohm(series: Series, size: f64) -> f64 {
    resistance(series, mm2(size)).unwrap().r20.value.get() * 1e3
}

/// The thick-wall series of a second maker, and an automotive handbook, print the same conductors; neither is the page the
/// library's rows below 25 mm2 come from.
#[test]
#[expect(clippy::approx_constant, reason = "6 mm2 has 3.14 mohm/m; the circle has no part in it")]
fn road_resistances_agree_with_pages_they_were_not_taken_from() {
    const SECOND: &str = "ISO 6722 thick wall, table of a second maker's datasheet (seen)";
    const HANDBOOK: &str = "DIN ISO 6722-3, table of an automotive handbook (seen)";
    let printed = [
        (0.5, 37.1, SECOND),
        (0.75, 24.7, SECOND),
        (1.0, 18.5, SECOND),
        (1.5, 12.7, SECOND),
        (2.0, 9.42, SECOND),
        (2.5, 7.6, SECOND),
        (3.0, 6.15, SECOND),
        (4.0, 4.71, SECOND),
        (6.0, 3.14, SECOND),
        (1.0, 18.5, HANDBOOK),
        (1.5, 12.7, HANDBOOK),
        (2.5, 7.6, HANDBOOK),
        (4.0, 4.71, HANDBOOK),
        (6.0, 3.14, HANDBOOK),
        (10.0, 1.82, HANDBOOK),
        (16.0, 1.16, HANDBOOK),
    ];
    let cases: Vec<Case> = printed
        .into_iter()
        .map(|(size, printed, source)| Case {
            what: format!("{size} mm2, mohm/m at 20 degC"),
            ours: milliohm(Series::Road, size),
            printed,
            source,
        })
        .collect();
    compare(&cases, 1e-9, 0.0);
}

/// Transcription of the rows that only one page prints.
#[test]
fn printed_rows_are_kept_with_their_status() {
    let rows = [
        // ISO 6722 thin wall, makers' datasheets (seen).
        (Series::Road, 0.22, 84.4, Status::Seen),
        (Series::Road, 0.35, 54.4, Status::Seen),
        // ISO 6722-1, from memory, not seen.
        (Series::Road, 0.13, 136.0, Status::Memory),
        (Series::Road, 1.25, 14.9, Status::Memory),
        (Series::Road, 8.0, 2.38, Status::Memory),
        // DIN ISO 6722-3, table of an automotive handbook (seen).
        (Series::Road, 25.0, 0.743, Status::Seen),
        (Series::Road, 35.0, 0.527, Status::Seen),
        (Series::Road, 50.0, 0.368, Status::Seen),
        (Series::Road, 70.0, 0.259, Status::Seen),
        (Series::Road, 95.0, 0.196, Status::Seen),
        (Series::Road, 120.0, 0.153, Status::Seen),
        // IEC 60228 class 5, engineering reference page (seen).
        (Series::Class5, 0.5, 39.0, Status::Seen),
        (Series::Class5, 10.0, 1.91, Status::Seen),
        (Series::Class5, 240.0, 0.0801, Status::Seen),
        (Series::Class5Tinned, 0.5, 40.1, Status::Seen),
        (Series::Class5Tinned, 16.0, 1.24, Status::Seen),
        (Series::Class5Tinned, 240.0, 0.0817, Status::Seen),
    ];
    for (series, size, printed, status) in rows {
        let found = resistance(series, mm2(size)).unwrap();
        assert_eq!(found.derivation, Derivation::Row, "{size} mm2");
        assert_eq!(found.r20.source.status, status, "{size} mm2");
        assert!((found.r20.value.get() * 1e3 - printed).abs() < 1e-9, "{series:?} {size} mm2");
    }
}

/// Sizes between the rows, against a chart of stranded AWG wire made of the areas it prints. The chart gives approximate
/// values of plain copper and the library limits of a standard, so the library's values are higher, by no more than 15 %.
#[test]
fn sizes_between_rows_lie_above_typical_stranded_wire() {
    // Area in mm2 and mohm/m from a stranded wire chart (seen).
    let chart = [
        (0.2270, 76.4436),
        (0.3547, 48.3596),
        (0.3821, 45.0459),
        (0.5067, 33.8583),
        (0.6162, 28.3136),
        (0.8107, 21.2598),
        (0.9627, 17.9134),
        (1.2294, 14.0092),
        (1.3174, 13.1234),
    ];
    for (area, typical) in chart {
        let found = resistance(Series::Road, mm2(area)).unwrap();
        assert!(matches!(found.derivation, Derivation::Between(..)), "{area} mm2 is a row");
        let share = found.r20.value.get() * 1e3 / typical;
        assert!((1.0..1.15).contains(&share), "{area} mm2: {share} of the chart");
    }
}

/// IEC 60228 limits beside those of road wire of the same size: the reference pages put class 5 at 5 to 8 % above.
#[test]
fn flexible_industrial_wire_has_five_to_eight_per_cent_more_resistance() {
    for size in [0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0] {
        let share = milliohm(Series::Class5, size) / milliohm(Series::Road, size);
        assert!((1.04..1.08).contains(&share), "{size} mm2: {share}");
    }
}

#[test]
fn copper_warms_as_printed() {
    // Worked out beforehand from the 0.00393 and the 234.5 form, which agree within 0.01 % (computed).
    const WORKED: &str = "worked values for copper (computed)";
    let printed = [(70.0, 1.1965), (85.0, 1.2554), (105.0, 1.3340), (125.0, 1.4126), (150.0, 1.5109)];
    let cases: Vec<Case> = printed
        .into_iter()
        .map(|(at, printed)| Case {
            what: format!("{at} degC over 20 degC"),
            ours: temperature_ratio(degc(at)).value,
            printed,
            source: WORKED,
        })
        .collect();
    compare(&cases, 1e-4, 0.0);
    assert!((resistance_at(OhmPerMetre::new(0.01), degc(70.0)).get() - 0.011965).abs() < 1e-6);
    assert_eq!(resistance_at(OhmPerMetre::new(0.01), degc(-300.0)).get(), 0.0);
}

/// IEC 60228 prints factors from measured resistance to that at 20 degC, by its rounded form 250/(230 + T).
///
/// DIFFERENCE: the library keeps 234.5 and so prints 0.784 where the standard has 0.781 at 90 degC. 0.5 % at 100 degC is
/// the largest difference of the table, and the standard's form is for correcting measurements near room temperature.
#[test]
fn copper_cools_to_the_factors_of_iec_60228() {
    const TABLE: &str = "IEC 60228 temperature correction factors, page of a cable trade reference (seen)";
    let printed = [(5.0, 1.064), (25.0, 0.980), (40.0, 0.926), (60.0, 0.862), (70.0, 0.833), (90.0, 0.781), (100.0, 0.758)];
    let cases: Vec<Case> = printed
        .into_iter()
        .map(|(at, printed)| Case {
            what: format!("from {at} degC to 20 degC"),
            ours: 1.0 / temperature_ratio(degc(at)).value,
            printed,
            source: TABLE,
        })
        .collect();
    compare(&cases, 0.0, 0.005);
    let at_90 = 1.0 / temperature_ratio(degc(90.0)).value;
    assert_eq!((at_90 * 1e3).round() / 1e3, 0.784);
}

/// Seal ranges of sealed road connectors, small 1.2 to 1.6 mm (from memory, not seen); diameters from makers' datasheets (seen).
#[test]
fn a_small_seal_takes_thin_wall_and_not_thick_wall() {
    let small = 1.2..=1.6;
    let diameter = |wall| outer_diameter(mm2(0.5), wall).unwrap().value.get();
    assert!(small.contains(&diameter(Wall::Thin)));
    assert!(!small.contains(&diameter(Wall::Thick)));
    assert_eq!(diameter(Wall::Thick), 2.3);
    assert!(outer_diameter(mm2(0.6), Wall::Thin).is_none());
}

/// A supplier's thin-wall table (seen) beside the makers' datasheets that the library holds.
#[test]
fn thin_wall_diameters_agree_with_a_second_page() {
    const SUPPLIER: &str = "ISO 6722 class B thin wall, supplier's table (seen)";
    // DIFFERENCE: the supplier prints 1.7 mm for 0.5 mm2 where the maker prints 1.6.
    let printed = [(0.75, 1.9), (1.0, 2.1), (1.5, 2.4), (2.0, 2.8), (2.5, 3.0), (3.0, 3.4), (4.0, 3.7), (6.0, 4.3), (10.0, 6.0)];
    let cases: Vec<Case> = printed
        .into_iter()
        .map(|(size, printed)| Case {
            what: format!("{size} mm2, mm over the insulation"),
            ours: outer_diameter(mm2(size), Wall::Thin).unwrap().value.get(),
            printed,
            source: SUPPLIER,
        })
        .collect();
    compare(&cases, 1e-9, 0.0);
}
