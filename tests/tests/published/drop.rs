//! Worked examples of voltage drop, each as a netlist that goes through the whole computation.
//!
//! A gauge has two areas in these sources: the nominal one of ASTM B258 and the least one of SAE J1127 and J1128, 3 to 11 % smaller.
//! Each example names the one it is computed with. Conductors are those of ISO 6722 at their largest resistance, which is
//! 3 to 7 % above the plain copper of most examples; all of them are at 20 degC, so no surroundings are given.

use super::{Case, compare};
use harness_core::{
    Analysis, Checker, Design, MemoryFiles, check,
    internals::electrical::{
        conductors::{
            drop::Drop,
            upsize::{Remedy, remedy, round_trip},
        },
        current_path::{CurrentPath, Direction},
    },
};

/// Areas of SAE J1127 and J1128 in mm2, page of a marine wiring appendix (seen).
const SAE_18: f64 = 0.7788;
const SAE_16: f64 = 1.1837;
const SAE_14: f64 = 1.8758;
const SAE_12: f64 = 2.9556;
const SAE_10: f64 = 4.7342;
/// Nominal areas of ASTM B258 in mm2 (computed by its formula).
const NOMINAL_8: f64 = 8.3656;
const NOMINAL_6: f64 = 13.3018;
const NOMINAL_4: f64 = 21.1506;

const FEET: f64 = 0.3048;

/// A battery, a load of so many ampere, and one conductor between; the return has next to none.
fn netlist(volts: f64, share: f64, mm2: f64, metres: f64, amps: f64) -> String {
    format!(
        "format: 1
design: Worked example
domains: {{ main: {{ nominal: {volts} V, max: 60 V, reference: chassis }} }}
policy: {{ joint-resistance: 0.1 uohm, voltage-drop: {{ other: {share} % }} }}
devices:
  battery:
    ports: {{ POS: {{ stud: M8, role: supply, domain: main }}, NEG: {{ stud: M8, role: return, domain: main }} }}
    inside: {{ cells: {{ source: {volts} V, resistance: 0.001 mohm, positive: POS, negative: NEG }} }}
  load:
    ports: {{ A: {{ stud: M8 }}, B: {{ stud: M8 }} }}
    inside: {{ it: {{ load: {amps} A, from: A, to: B }} }}
looms:
  lead:
    ends:
      R1: {{ ring: M8, bolts-to: battery.POS }}
      R2: {{ ring: M8, bolts-to: load.A }}
      R3: {{ ring: M8, bolts-to: load.B }}
      R4: {{ ring: M8, bolts-to: battery.NEG }}
    wires:
      1: {{ from: R1, to: R2, size: {mm2} mm2, length: {metres} m }}
      2: {{ from: R3, to: R4, size: 120 mm2, length: 0.01 mm }}
"
    )
}

/// The volts that the computation finds on the way, and the size that it would use instead if that is too much.
fn lost(volts: f64, share: f64, mm2: f64, metres: f64, amps: f64) -> (f64, Option<f64>) {
    let files = MemoryFiles::one("example.yaml", netlist(volts, share, mm2, metres, amps));
    let design = Design::load(&files, "example.yaml");
    assert!(design.mistakes().is_empty(), "{:?}", design.mistakes());
    let analysis = Analysis::of_all(&design);
    let (model, network, electrical) = (analysis.model(), analysis.network(), analysis.electrical());
    let mode = electrical.modes().next().unwrap();
    let drop: &Drop = electrical.drops().first().unwrap();
    let [feeds, backs] = [Direction::Feed, Direction::Return].map(|way| CurrentPath::new(network, mode, way));
    let size = match remedy(model, drop, &round_trip(network, &feeds, &backs, drop).conductors) {
        Remedy::Sizes(sizes) if drop.excess().get() > 0.0 => sizes.first().map(|(_, size)| size.get()),
        _ => None,
    };
    (drop.volts().get(), size)
}

fn volts(mm2: f64, metres: f64, amps: f64) -> f64 {
    lost(60.0, 100.0, mm2, metres, amps).0
}

/// Whether a conductor keeps the limit, and whether the rule says the same.
fn keeps(volts: f64, share: f64, mm2: f64, metres: f64, amps: f64) -> bool {
    let text = netlist(volts, share, mm2, metres, amps);
    let report = check(&MemoryFiles::one("example.yaml", text), "example.yaml", &Checker::new());
    let silent = !report.findings.iter().any(|finding| finding.rule == "conductor/voltage-drop");
    assert_eq!(silent, lost(volts, share, mm2, metres, amps).0 <= volts * share / 100.0);
    silent
}

#[test]
fn drops_are_those_of_the_worked_examples() {
    const FAA: &str = "FAA AC 43.13-1B paragraphs 11-66 and 11-67 (seen)";
    const SCHOOL: &str =
        "page of a vehicle electrics school (seen); its result line is cut off, 0.433 V computed from its figures";
    const CLUB: &str = "page of a classic car club (seen)";
    const CHART: &str = "page on cable size charts, one conductor alone (seen)";
    const CABLE: &str = "page on cable of trailers, one conductor alone (seen); its sizes are taken from its ohm per metre";
    const RULE: &str = "page on cable loading of 12 V systems, per metre at 0.0178 ohm mm2/m (seen)";
    // What, area in mm2, metres, A, printed V, source.
    let examples = [
        ("VD-5 AWG 6 nominal, 107 ft", NOMINAL_6, 107.0 * FEET, 20.0, 0.942, FAA),
        ("VD-6 AWG 4 nominal, 90 ft", NOMINAL_4, 90.0 * FEET, 20.0, 0.504, FAA),
        ("VD-7 AWG 12 SAE, 88 ft", SAE_12, 88.0 * FEET, 20.0, 3.60, FAA),
        ("VD-8 AWG 14 SAE, 100 ft", SAE_14, 100.0 * FEET, 20.0, 6.12, FAA),
        ("VD-9 AWG 10 SAE, 39 ft", SAE_10, 39.0 * FEET, 20.0, 0.98, FAA),
        // DIFFERENCE: the circular prints 0.366 V for half of the 39 ft that lose 0.98 V; half of that is 0.491 V.
        ("VD-10 AWG 10 SAE, 19.5 ft, corrected", SAE_10, 19.5 * FEET, 20.0, 0.491, FAA),
        ("VD-11 AWG 10 SAE, 156 ft", SAE_10, 156.0 * FEET, 20.0, 3.93, FAA),
        ("VD-12 AWG 10 SAE, 273 ft", SAE_10, 273.0 * FEET, 20.0, 6.88, FAA),
        ("VD-14 25 mm2, 3.2 m", 25.0, 3.2, 190.0, 0.433, SCHOOL),
        ("VD-20 35 mm2, 1 m", 35.0, 1.0, 100.0, 0.051, CLUB),
        ("VD-21 1.5 mm2, 5 m", 1.5, 5.0, 4.17, 0.265, CHART),
        ("VD-22 0.65 mm2, 5 m", 0.65, 5.0, 5.75, 0.845, CABLE),
        ("VD-22 1 mm2, 5 m", 1.0, 5.0, 8.75, 0.827, CABLE),
        ("VD-22 1.5 mm2, 5 m", 1.5, 5.0, 12.75, 0.797, CABLE),
        ("VD-22 2 mm2, 5 m", 2.0, 5.0, 17.5, 0.823, CABLE),
        ("VD-22 2.5 mm2, 5 m", 2.5, 5.0, 21.75, 0.816, CABLE),
        ("VD-22 3 mm2, 5 m", 3.0, 5.0, 25.5, 0.765, CABLE),
        ("VD-23 0.75 mm2, 1 m", 0.75, 1.0, 3.0, 0.071, RULE),
        ("VD-23 1.5 mm2, 1 m", 1.5, 1.0, 8.0, 0.095, RULE),
        ("VD-23 10 mm2, 1 m", 10.0, 1.0, 50.0, 0.089, RULE),
        ("VD-23 35 mm2, 1 m", 35.0, 1.0, 160.0, 0.081, RULE),
    ];
    let cases: Vec<Case> = examples
        .into_iter()
        .map(|(what, mm2, metres, amps, printed, source)| Case {
            what: format!("{what}, V"),
            ours: volts(mm2, metres, amps),
            printed,
            source,
        })
        .collect();
    // Resistivities differ by up to 7 %: 0.0178 ohm mm2/m in VD-23 against 0.0191 for 1.5 mm2 of ISO 6722.
    compare(&cases, 0.0, 0.075);
}

#[test]
fn gauges_are_those_of_the_worked_examples() {
    // VD-1: 10 A, 21 ft out and back, 12 V, 3 %: AWG 10; catalogue of a marine supplier (seen). SAE areas.
    assert!(!keeps(12.0, 3.0, SAE_12, 21.0 * FEET, 10.0));
    assert!(keeps(12.0, 3.0, SAE_10, 21.0 * FEET, 10.0));
    // VD-2: the same at 10 %: AWG 16 (seen). SAE areas.
    assert!(!keeps(12.0, 10.0, SAE_18, 21.0 * FEET, 10.0));
    assert!(keeps(12.0, 10.0, SAE_16, 21.0 * FEET, 10.0));
    // VD-3: 45 A, 40 ft, 12 V, 10 %: AWG 8, page on wire size (seen). Nominal areas; plain copper loses 1.17 V there.
    // DIFFERENCE: at the largest resistance of ISO 6722 AWG 8 loses 1.25 V, 4 % over, and the next gauge is asked for.
    let (lost_8, _) = lost(12.0, 10.0, NOMINAL_8, 40.0 * FEET, 45.0);
    assert!((1.2..1.26).contains(&lost_8), "{lost_8}");
    assert!(keeps(12.0, 10.0, NOMINAL_6, 40.0 * FEET, 45.0));
    // VD-4: 100 A, 10 ft, 24 V, 3 %: the drop alone allows AWG 8 (seen). Nominal areas; `boat_example` has the rest of it.
    assert!(keeps(24.0, 3.0, NOMINAL_8, 10.0 * FEET, 100.0));
    // VD-13: 20 A, 50 ft with the ground, 28 V, 1 V: AWG 8, FAA AC 43.13-1B (seen): AWG 10 loses 1.26 V, AWG 8 0.70 V.
    assert!(!keeps(28.0, 100.0 / 28.0, SAE_10, 50.0 * FEET, 20.0));
    assert!(keeps(28.0, 100.0 / 28.0, NOMINAL_8, 50.0 * FEET, 20.0));
    assert!((volts(SAE_10, 50.0 * FEET, 20.0) - 1.26).abs() < 0.02);
    assert!((volts(NOMINAL_8, 50.0 * FEET, 20.0) - 0.70).abs() < 0.02);
}

/// The size that the rule would use in place of a conductor that is far too thin.
#[test]
fn sizes_that_mend_are_those_of_the_worked_examples() {
    let mended = |metres, amps, limit: f64| lost(60.0, limit / 0.6, 0.35, metres, amps).1;
    // VD-15: 50 A, 12 m, 0.25 V: 43.2 mm2, take 50; page of a yacht battery supplier (seen).
    // In place of 10 mm2: thinner wire leaves the load too little to draw its current.
    assert_eq!(lost(60.0, 0.25 / 0.6, 10.0, 12.0, 50.0).1, Some(50.0));
    // VD-16: 1 A, 40 m, 0.5 V: 1.44 mm2, take 1.5; the same page (seen).
    // DIFFERENCE: 1.5 mm2 of ISO 6722 may have 12.7 mohm/m, which loses 0.508 V; 2 mm2 is asked for.
    assert_eq!(mended(40.0, 1.0, 0.5), Some(2.0));
    assert!((volts(1.5, 40.0, 1.0) - 0.508).abs() < 1e-4);
    // VD-17: 8.3 A, 1.8 m, 0.5 V: 0.54 mm2; a supplier's journal takes 1, the smallest of its table (seen).
    // DIFFERENCE: the trade sizes here go lower, and 0.75 mm2 is the next above 0.54.
    assert_eq!(mended(1.8, 8.3, 0.5), Some(0.75));
    // VD-19: 2.1 A, 18 m one way, 0.6 V: 2.25 mm2, take 2.5; catalogue of a chandler (seen).
    assert_eq!(mended(36.0, 2.1, 0.6), Some(2.5));
}
