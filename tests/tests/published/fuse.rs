//! Fuse ratings, and the rules that relate a fuse to its load, its conductor and its circuit.

use super::{amps, degc, mm2};
use harness_core::{
    internals::standards::{
        Status,
        capacity::{Table, Thermal, capacity},
        fuse::FuseType,
        fuse_rules::{ConductorRule, Lead, largest_rating, least_rating, unfused_length},
        fuse_standard::FuseStandard,
        fuse_time::FuseCurve,
    },
    quantity::{Ratio, Volt},
};

/// Scopes of the standard's parts as standards catalogues print them (seen).
#[test]
fn scopes_are_those_of_the_catalogues() {
    // Part, lowest rated V, breaking A, largest A.
    let scopes = [
        ("ISO 8820-3", 32.0, Some(1000.0), Some(100.0)),
        ("ISO 8820-4", 32.0, Some(1000.0), Some(140.0)),
        ("ISO 8820-5", 32.0, Some(2000.0), Some(500.0)),
        ("ISO 8820-6", 58.0, Some(2000.0), Some(300.0)),
        ("ISO 8820-8", 450.0, None, None),
        ("ISO 8820-10", 32.0, Some(1000.0), Some(60.0)),
        ("ISO 8820-12", 32.0, Some(1000.0), Some(30.0)),
        ("ISO 8820-13", 32.0, Some(1000.0), Some(30.0)),
    ];
    for (number, volts, breaking, largest) in scopes {
        let standard = FuseStandard::named(number).unwrap();
        assert_eq!(standard.rated_voltage().value.get(), volts, "{number}");
        assert_eq!(standard.rated_voltage().source.status, Status::Seen, "{number}");
        assert_eq!(standard.breaking_capacity().map(|found| found.value.get()), breaking, "{number}");
        assert_eq!(standard.largest_rating().map(|found| found.value.get()), largest, "{number}");
    }
}

/// FU-1: 12 A continuous at 75 % needs at least 16 A, so a 20 A blade. Fuse selection guide and rating list (seen).
#[test]
fn fu_1_a_12_ampere_load_takes_a_20_ampere_blade() {
    let least = least_rating(amps(12.0), degc(25.0)).unwrap();
    assert!((least.get() - 16.0).abs() < 1e-9);
    assert_eq!(FuseType::F.rating_at_least(least).map(|found| found.value.get()), Some(20.0));
    assert_eq!(FuseType::C.rating_at_least(amps(40.1)), None);
}

/// FU-2 and FU-3: 2.5 mm2 PVC at 50 degC carries 22.7 A by DIN VDE 0298-4 (seen); the rules are those of a student race
/// series and of 33 CFR 183.455 (both seen), and they disagree on 30 A.
#[test]
fn fu_2_and_fu_3_a_fuse_before_a_hot_conductor() {
    let hot = Thermal { conductor: degc(70.0), ambient: degc(50.0) };
    let carries = capacity(Table::RoadPvc70, mm2(2.5), hot, 1).unwrap().amps;
    let strict = largest_rating(ConductorRule::NotAbove, carries);
    let marine = largest_rating(ConductorRule::MarineBelow50V, carries);
    assert!(amps(20.0) <= strict.value);
    assert!(amps(30.0) > strict.value && amps(30.0) <= marine.value);
    // Printed 22.7 A x 150 %.
    assert!((marine.value.get() - 34.05).abs() < 0.2);
    assert_ne!(strict.source.to_string(), marine.source.to_string());
}

/// FU-4: AWG 12 of 105 degC carries 45 A by 33 CFR 183.425 table 5 (seen), so at most 67.5 A protects it under 50 V.
#[test]
fn fu_4_a_boat_circuit_under_50_volt() {
    assert_eq!(largest_rating(ConductorRule::MarineBelow50V, amps(45.0)).value, amps(67.5));
}

/// FU-5: a blade fuse of 32 V does not belong in a circuit of 48 V; ISO 8820-3 knows a 58 V version (seen).
#[test]
fn fu_5_a_blade_fuse_in_a_48_volt_circuit() {
    let blades = FuseStandard::named("ISO 8820-3").unwrap();
    assert!(Volt::new(48.0) > blades.rated_voltage().value);
    assert!(blades.voltages().any(|rated| rated >= Volt::new(48.0)));
}

/// 33 CFR 183.455(b) (seen): 7 in and 40 in; ABYC E-11 as quoted (seen): 72 in. An inch is 25.4 mm.
#[test]
fn unfused_lengths_are_the_printed_inches() {
    for (lead, inches) in [(Lead::Bare, 7.0), (Lead::Sheathed, 40.0), (Lead::SheathedFromBattery, 72.0)] {
        let metres = unfused_length(lead).value.get();
        assert!((metres / 0.0254 - inches).abs() < 0.02, "{lead:?}: {metres} m");
    }
}

/// A gate as it was quoted or is remembered: share of the rating, s that it holds, s within which it opens, status.
type GateRow = (f64, f64, Option<f64>, Status);

/// All gates, and the times that a fuse gets from them at their currents. The quoted rows are those of a maker's tables as
/// a talk, a review note and a forum give them (seen second hand); the others are remembered and say so.
#[test]
fn operating_times_are_the_quoted_gates_and_carry_their_status() {
    use Status::{Memory, SecondHand};
    let blade: &[GateRow] = &[
        (1.10, 360_000.0, None, SecondHand),
        (1.35, 0.75, Some(600.0), SecondHand),
        (1.60, 0.25, Some(50.0), Memory),
        (2.00, 0.15, Some(5.0), Memory),
        (3.50, 0.04, Some(0.5), Memory),
        (6.00, 0.02, Some(0.1), Memory),
    ];
    let high_current: &[GateRow] = &[
        (1.10, 360_000.0, None, Memory),
        (1.35, 60.0, Some(1800.0), Memory),
        (1.60, 5.0, Some(300.0), Memory),
        (2.00, 2.0, Some(60.0), Memory),
        (3.50, 0.2, Some(7.0), Memory),
        (6.00, 0.04, Some(1.0), Memory),
    ];
    let strip: &[GateRow] = &[
        (1.00, 14_400.0, None, Memory),
        (1.35, 120.0, Some(1800.0), Memory),
        (2.00, 1.0, Some(15.0), Memory),
        (3.50, 0.3, Some(5.0), Memory),
        (6.00, 0.1, Some(1.0), Memory),
    ];
    let subminiature: &[GateRow] = &[
        (1.10, 360_000.0, None, SecondHand),
        (1.35, 0.75, Some(120.0), SecondHand),
        (1.60, 0.3, Some(50.0), SecondHand),
        (2.00, 0.15, Some(5.0), SecondHand),
    ];
    let types = [
        (FuseType::C, blade),
        (FuseType::F, blade),
        (FuseType::E, high_current),
        (FuseType::Strip30, strip),
        (FuseType::Strip51, strip),
        (FuseType::N, subminiature),
    ];
    for (kind, rows) in types {
        let curve = FuseCurve::of_type(amps(20.0), kind).unwrap();
        assert_eq!(kind.gates().count(), rows.len(), "{kind}");
        for (gate, (share, holds, within, status)) in kind.gates().zip(rows) {
            assert_eq!(gate.current, Ratio::new(*share), "{kind}");
            assert_eq!(gate.source.status, *status, "{kind} at {share}");
            let opening = curve.opening(amps(20.0 * share));
            assert_eq!(opening.fastest.map(|edge| edge.time.get()), Some(*holds), "{kind} at {share}");
            assert_eq!(opening.slowest.map(|edge| edge.time.get()), *within, "{kind} at {share}");
        }
    }
    assert!(FuseType::E.gates().all(|gate| gate.source.to_string().ends_with("(from memory, not seen)")));
}
