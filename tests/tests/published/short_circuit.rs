//! What conductors withstand for a short time, against printed constants and worked examples.

use super::{Case, amps, compare, degc, mm2};
use harness_core::{
    internals::standards::{
        insulation::{Covering, Insulation},
        short_circuit::{Conductor, Metal, adiabatic_time, k, least_area, melts_at, melts_in_the_end},
    },
    quantity::{Millimetre, Second, SquareMillimetre},
};

const K_TABLE: &str = "k table of BS 7671 and IEC 60364-5-54 on an engineering page (seen)";

/// Insulation, conductor size, start, printed final temperature, printed k of copper and of aluminium.
const K_ROWS: [(Insulation, f64, f64, f64, f64, f64); 8] = [
    (Insulation::Pvc, 300.0, 70.0, 160.0, 115.0, 76.0),
    // DIFFERENCE: the page prints 78 for aluminium. That is above the 76 of the row before it, though the conductor may get
    // less hot; copper falls from 115 to 103 in the same two rows, and 76 x 103/115 is 68.
    (Insulation::Pvc, 400.0, 70.0, 140.0, 103.0, 68.0),
    (Insulation::Pvc, 300.0, 90.0, 160.0, 100.0, 66.0),
    (Insulation::Pvc, 400.0, 90.0, 140.0, 86.0, 57.0),
    (Insulation::Xlpe, 50.0, 90.0, 250.0, 143.0, 94.0),
    (Insulation::Rubber, 50.0, 60.0, 200.0, 141.0, 93.0),
    (Insulation::Rubber, 50.0, 85.0, 220.0, 134.0, 89.0),
    (Insulation::Silicone, 50.0, 180.0, 350.0, 132.0, 87.0),
];

#[test]
fn k_is_that_of_the_wiring_regulations() {
    let mut cases = Vec::new();
    for (insulation, size, start, end, copper, aluminium) in K_ROWS {
        let covering = Covering { insulation, rated: degc(start), size: mm2(size) };
        let limit = covering.limit(Some(Second::new(1.0))).value;
        let case = |what: &str, ours, printed| Case {
            what: format!("{insulation} from {start}, {what}"),
            ours,
            printed,
            source: K_TABLE,
        };
        cases.push(case("final temperature", limit.get(), end));
        cases.push(case("copper", k(Metal::Copper, degc(start), limit).value, copper));
        cases.push(case("aluminium", k(Metal::Aluminium, degc(start), limit).value, aluminium));
    }
    for (insulation, printed) in [(Insulation::Pvc, 143.0), (Insulation::Xlpe, 176.0)] {
        let limit = Covering { insulation, rated: degc(70.0), size: mm2(10.0) }.limit(Some(Second::new(1.0))).value;
        let ours = k(Metal::Copper, degc(30.0), limit).value;
        let source = "page of an adiabatic calculator, separate conductor from 30 degC (seen)";
        cases.push(Case { what: format!("{insulation} from 30"), ours, printed, source });
    }
    // The table prints whole numbers.
    compare(&cases, 0.51, 0.0);
}

/// k2S2 in 10^6 A2s: cross-section, then copper and aluminium under PVC, copper and aluminium under XLPE.
const HEAT: [(f64, [f64; 4]); 7] = [
    (1.5, [0.0297, 0.0130, 0.0460, 0.0199]),
    (2.5, [0.0826, 0.0361, 0.1278, 0.0552]),
    (4.0, [0.2116, 0.0924, 0.3272, 0.1414]),
    (6.0, [0.4761, 0.2079, 0.7362, 0.3181]),
    (10.0, [1.3225, 0.5776, 2.0450, 0.8836]),
    (16.0, [3.3856, 1.4786, 5.2350, 2.2620]),
    (25.0, [8.2656, 3.6100, 12.7806, 5.5225]),
];

/// The guide rounds k to whole numbers before it squares them: up to 1 % in the heat.
#[test]
fn the_heat_is_that_of_an_installation_guide() {
    let mut cases = Vec::new();
    for (size, printed) in HEAT {
        let covers = [
            (Metal::Copper, 70.0, 160.0),
            (Metal::Aluminium, 70.0, 160.0),
            (Metal::Copper, 90.0, 250.0),
            (Metal::Aluminium, 90.0, 250.0),
        ];
        for ((metal, start, end), printed) in covers.into_iter().zip(printed) {
            // In one second the square of the current is the heat.
            let k = k(metal, degc(start), degc(end)).value;
            let ours = adiabatic_time(k, mm2(size), amps(1000.0)).unwrap().get();
            let what = format!("{size} mm2 {metal:?} to {end}");
            cases.push(Case { what, ours, printed, source: "Electrical Installation Guide, figures G52 and G53 (seen)" });
        }
    }
    compare(&cases, 0.0001, 0.012);
}

/// SC-1 to SC-4 and SC-8: worked examples with a printed k.
#[test]
fn sc_1_to_4_areas_of_worked_examples() {
    let area = |k, fault, time| least_area(k, amps(fault), Second::new(time)).unwrap().get();
    let case = |what: &str, ours, printed, source| Case { what: what.to_owned(), ours, printed, source };
    compare(
        &[
            case("SC-1", area(143.0, 12_000.0, 0.2), 37.5, "page on cable sizing (seen, low trust)"),
            case("SC-2", area(143.0, 12_000.0, 0.02), 11.9, "page on cable sizing (seen, low trust)"),
            case("SC-3", area(115.0, 2_500.0, 0.1), 6.9, "page on electrical cables (seen, low trust)"),
            case("SC-4", area(115.0, 650.0, 0.01), 0.565, "forum of electricians, corrected result (seen)"),
        ],
        0.0,
        0.006,
    );
    // SC-3 goes on: 4 mm2 fails, 10 mm2 does not.
    let stands = |size| adiabatic_time(115.0, mm2(size), amps(2_500.0)).unwrap() >= Second::new(0.1);
    assert!(!stands(4.0) && stands(10.0));
    // SC-4's first answer, 1.78 mm2, comes from a wrong time (0.1 s) and was withdrawn there.
    assert!((area(115.0, 650.0, 0.1) - 1.78).abs() < 0.01);
}

/// SC-5, SC-7 and SC-8: currents for one second, from the library's own temperatures.
#[test]
fn sc_5_to_8_currents_for_a_second() {
    let kiloampere = |metal, start, size: f64, time: f64| k(metal, degc(start), degc(160.0)).value * size / time.sqrt() / 1000.0;
    let maker = "page of a cable maker, 120 mm2 for 1 s (seen)";
    let case = |what: &str, ours, printed, source| Case { what: what.to_owned(), ours, printed, source };
    compare(
        &[
            case("SC-5 copper 70", kiloampere(Metal::Copper, 70.0, 120.0, 1.0), 13.80, maker),
            case("SC-5 aluminium 70", kiloampere(Metal::Aluminium, 70.0, 120.0, 1.0), 9.12, maker),
            case("SC-5 copper 85", kiloampere(Metal::Copper, 85.0, 120.0, 1.0), 12.48, maker),
            case("SC-5 aluminium 85", kiloampere(Metal::Aluminium, 85.0, 120.0, 1.0), 8.28, maker),
            case("SC-7 PVC", kiloampere(Metal::Copper, 70.0, 1.0, 1.0), 0.115, "page of a short-circuit calculator (seen)"),
            case(
                "SC-7 XLPE",
                k(Metal::Copper, degc(90.0), degc(250.0)).value / 1000.0,
                0.143,
                "page of a short-circuit calculator (seen)",
            ),
            case(
                "SC-7 PVC over 300 mm2",
                k(Metal::Copper, degc(70.0), degc(140.0)).value / 1000.0,
                0.103,
                "page of a short-circuit calculator (seen)",
            ),
            case("SC-8", kiloampere(Metal::Copper, 70.0, 10.0, 1.0), 1.150, "Electrical Installation Guide, figure G53 (seen)"),
        ],
        0.0,
        // Half a unit of a k of 69, which the pages round.
        0.0073,
    );
}

/// SC-8 once more through the heat balance: 10 mm2 that carries 73 A continuously withstands 1150 A for a second, to a per cent or two
/// of cooling.
#[test]
fn sc_8_by_the_heat_balance() {
    let conductor = Conductor { size: mm2(10.0), capacity: Some(amps(73.0)), rated: degc(70.0), ambient: degc(30.0) };
    let covering = Covering { insulation: Insulation::Pvc, rated: degc(70.0), size: mm2(10.0) };
    let time = conductor.stands_for(covering, degc(70.0), amps(1150.0)).unwrap().get();
    assert!((1.0..1.03).contains(&time), "{time} s");
    let bare = Conductor { capacity: None, ..conductor };
    let time = bare.stands_for(covering, degc(70.0), amps(1150.0)).unwrap().get();
    assert!((time - 1.0).abs() < 0.005, "{time} s");
}

/// A circular mil is the area of a circle of 0.0254 mm.
fn circular_mils(count: f64) -> SquareMillimetre {
    mm2(count * std::f64::consts::FRAC_PI_4 * 0.0254 * 0.0254)
}

#[test]
fn onderdonk_and_preece() {
    let melts = |mils, ambient, time| melts_at(circular_mils(mils), degc(ambient), Second::new(time)).unwrap().value.get();
    // DIFFERENCE: ON-1, AWG 16 for 5 s from 25 degC, is printed as 178 A in a physics forum (seen). The post takes 234 - 25
    // where its own formula has 234 + 25; with the sign of the formula it is 168.9 A, worked by hand.
    assert!((melts(2581.0, 25.0, 5.0) - 168.9).abs() < 0.1);
    // DIFFERENCE: ON-2, AWG 14 at 400 A, is printed as about 2 s (2.50 s) for the same reason; the right sign gives 2.26 s.
    assert!((melts(4110.0, 25.0, 2.26) - 400.0).abs() < 0.5);
    // The post's own figures follow from the wrong sign alone: 25 degC below zero has 234 - 25 and almost the same rise.
    let wrong = 2581.0 * (((1083.0 - 25.0) / (234.0 - 25.0) + 1.0_f64).log10() / (33.0 * 5.0)).sqrt();
    assert!((wrong - 178.0).abs() < 0.5);
    // ON-3: 400 circular mil for 10 ms take "about 600 A" by a forum text with 0.0297 for 1/33 (seen); 1/33 gives 1 % more
    // than its formula, from 20 degC.
    assert!((melts(400.0, 20.0, 0.01) / 600.0 - 1.0).abs() < 0.02);
    assert!((melts(400.0, 20.0, 0.01) / 583.0 - 1.0).abs() < 0.0105);
    // PR-1: a wire of 0.0524 in melts at 123 A in the end (seen, same post).
    assert!((melts_in_the_end(Millimetre::new(0.0524 * 25.4)).value.get() - 123.0).abs() < 0.5);
}

/// Two laws of the same physics: heating copper from 25 degC to its melting point, by Onderdonk and by IEC 60949.
#[test]
fn onderdonk_agrees_with_the_adiabatic_formula() {
    let onderdonk = melts_at(mm2(1.0), degc(25.0), Second::new(1.0)).unwrap().value.get();
    let adiabatic = k(Metal::Copper, degc(25.0), degc(1083.0)).value;
    assert!((onderdonk / adiabatic - 1.0).abs() < 0.003, "{onderdonk} and {adiabatic}");
}
