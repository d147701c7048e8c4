//! Small circuits with published or hand-computed values.

use super::{Solver, solve, solve_from};
use crate::{
    circuit::{Branch, BranchKind, Circuit, Operating, RefusalReason},
    quantity::{Ampere, Ohm, Ratio, Volt, Watt},
};

fn circuit(nodes: u32, branches: &[(u32, u32, BranchKind)]) -> Circuit {
    let branches = branches.iter().map(|&(from, to, kind)| Branch { from, to, kind }).collect();
    Circuit { nodes, branches, references: vec![0] }
}

fn ohms(value: f64) -> BranchKind {
    BranchKind::Resistance(Ohm::new(value))
}

fn source(emf: f64, resistance: f64) -> BranchKind {
    BranchKind::Source { emf: Volt::new(emf), resistance: Ohm::new(resistance), limit: None }
}

fn limited(emf: f64, resistance: f64, limit: f64) -> BranchKind {
    BranchKind::Source { emf: Volt::new(emf), resistance: Ohm::new(resistance), limit: Some(Ampere::new(limit)) }
}

fn load(amps: f64, nominal: f64) -> BranchKind {
    BranchKind::CurrentLoad { amps: Ampere::new(amps), nominal: Volt::new(nominal) }
}

fn power(watts: f64, nominal: f64) -> BranchKind {
    BranchKind::PowerLoad { watts: Watt::new(watts), nominal: Volt::new(nominal) }
}

fn diode(drop: f64, resistance: f64) -> BranchKind {
    BranchKind::Diode { drop: Volt::new(drop), resistance: Ohm::new(resistance) }
}

fn coil(resistance: f64, pull_in: f64) -> BranchKind {
    held_coil(resistance, pull_in, pull_in)
}

fn held_coil(resistance: f64, pull_in: f64, hold: f64) -> BranchKind {
    BranchKind::Coil { resistance: Ohm::new(resistance), pull_in: Volt::new(pull_in), hold: Volt::new(hold) }
}

fn contact(coil: u32, closed_when_energised: bool) -> BranchKind {
    BranchKind::RelayContact { coil, closed_when_energised, resistance: Ohm::new(0.01) }
}

fn converter(output: u32, efficiency: f64, nominal: f64) -> BranchKind {
    BranchKind::ConverterInput { output, efficiency: Ratio::new(efficiency), nominal: Volt::new(nominal) }
}

#[track_caller]
fn near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "found {found}, expected {expected} within {tolerance}");
}

fn amps(state: &Operating, branch: usize) -> f64 {
    state.amps[branch].get()
}

fn volts(state: &Operating, node: usize) -> f64 {
    state.volts[node].get()
}

/// Solves a circuit that must settle, with nothing refused.
#[track_caller]
fn settled(circuit: &Circuit) -> Operating {
    let state = solve(circuit);
    assert_eq!((state.unsettled.as_slice(), state.refused.as_slice()), (&[][..], &[][..]));
    assert!(state.residual < 1e-9, "residual {}", state.residual);
    state
}

#[test]
fn starter_motor_on_a_battery() {
    // OpenStax College Physics, exercise on a starter motor of 0.0500 ohm on a 12.0 V battery of 0.0100 ohm: 200 A, 10.0 V,
    // 2.00 kW; with 0.0900 ohm of corroded contact 80.0 A, 4.00 V, 320 W (seen on a page of worked solutions).
    for (contact, current, voltage) in [(1e-9, 200.0, 10.0), (0.090, 80.0, 4.0)] {
        let state = settled(&circuit(3, &[(0, 1, source(12.0, 0.010)), (1, 2, ohms(contact)), (2, 0, ohms(0.050))]));
        near(amps(&state, 0), current, 1e-4);
        near(volts(&state, 2), voltage, 1e-5);
        near(volts(&state, 2) * amps(&state, 2), current * voltage, 1e-2);
    }
}

#[test]
fn storage_battery_under_ninety_amperes() {
    // Textbook exercise: 12 V with 50 mohm, 90 A drawn, 7.5 V at the terminals (seen on a question-and-answer page).
    let state = settled(&circuit(2, &[(0, 1, source(12.0, 0.050)), (1, 0, load(90.0, 12.0))]));
    near(volts(&state, 1), 7.5, 1e-12);
}

#[test]
fn two_resistors_in_parallel_drain_a_battery() {
    // Account of a built car: two 60 ohm paths in parallel across 12 V draw 0.4 A (seen on a builder's page).
    let state = settled(&circuit(2, &[(0, 1, source(12.0, 1e-9)), (1, 0, ohms(60.0)), (1, 0, ohms(60.0))]));
    near(amps(&state, 0), 0.4, 1e-9);
}

#[test]
fn halogen_lamps_by_power() {
    // Table of halogen lamps at 12 V: 55 W takes 4.58 A, 60 W 5.0 A, 45 W 3.75 A, 35 W 2.92 A (seen on a reference page).
    for (watts, current) in [(55.0, 4.58), (60.0, 5.0), (45.0, 3.75), (35.0, 2.92)] {
        let state = settled(&circuit(2, &[(0, 1, source(12.0, 1e-9)), (1, 0, power(watts, 12.0))]));
        near(amps(&state, 1), current, 0.005);
    }
}

#[test]
fn control_pilot_levels() {
    // IEC 61851-1 annex A, SAE J1772: 12 V behind 1 kohm, a diode and 2740 ohm in the vehicle (B), 1300 or 270 ohm beside it in
    // states C and D: +9, +6 and +3 V, each within 1 V; with a drop of 0.7 V 8.98 V and 5.99 V (seen in a published calculation).
    for (beside, level, expected) in [(None, 9.0, 8.979), (Some(1300.0), 6.0, 5.995), (Some(270.0), 3.0, 2.929)] {
        let mut parts = vec![(0, 1, source(12.0, 1000.0)), (1, 2, diode(0.7, 1e-6)), (2, 0, ohms(2740.0))];
        parts.extend(beside.map(|value| (2, 0, ohms(value))));
        let state = settled(&circuit(3, &parts));
        near(volts(&state, 1), expected, 0.0006);
        near(volts(&state, 1), level, 1.0);
    }
    // The negative half stays at -12 V, since the diode blocks it (same sources).
    let state = settled(&circuit(3, &[(0, 1, source(-12.0, 1000.0)), (1, 2, diode(0.7, 1e-6)), (2, 0, ohms(2740.0))]));
    near(volts(&state, 1), -12.0, 1e-12);
    near(amps(&state, 1), 0.0, 0.0);
}

#[test]
fn sources_in_series_and_in_parallel() {
    // By hand: three cells of 4 V and 1 mohm on 0.117 ohm give 100 A; between two batteries 0.6 V apart behind 10 mohm each flow 30 A.
    let cells = [(0, 1, source(4.0, 0.001)), (1, 2, source(4.0, 0.001)), (2, 3, source(4.0, 0.001)), (3, 0, ohms(0.117))];
    let state = settled(&circuit(4, &cells));
    near(amps(&state, 3), 100.0, 1e-9);
    let state = settled(&circuit(2, &[(0, 1, source(12.6, 0.010)), (0, 1, source(12.0, 0.010))]));
    near(volts(&state, 1), 12.3, 1e-12);
    near(amps(&state, 1), -30.0, 1e-9);
}

#[test]
fn a_load_below_half_its_voltage_is_a_resistance() {
    // By hand: 10 A at 12 V becomes 0.6 ohm; behind 1.8 ohm on 12 V that leaves 5 A and 3 V.
    let state = settled(&circuit(3, &[(0, 1, source(12.0, 0.8)), (1, 2, ohms(1.0)), (2, 0, load(10.0, 12.0))]));
    near(amps(&state, 2), 5.0, 1e-12);
    near(volts(&state, 2), 3.0, 1e-12);
}

#[test]
fn constant_power_meets_its_supply() {
    // By hand: 27 W behind 1 ohm on 12 V: V (12 - V) = 27 has the upper root 9 V, so 3 A.
    let state = settled(&circuit(2, &[(0, 1, source(12.0, 1.0)), (1, 0, power(27.0, 12.0))]));
    near(volts(&state, 1), 9.0, 1e-10);
    // 100 W is more than 12 V behind 1 ohm can give (36 W): the load falls to its resistance of 36 / 100 ohm.
    let state = settled(&circuit(2, &[(0, 1, source(12.0, 1.0)), (1, 0, power(100.0, 12.0))]));
    near(amps(&state, 1), 12.0 / 1.36, 1e-10);
}

#[test]
fn a_limited_source_gives_its_limit_and_takes_nothing() {
    // By hand: 14 V behind 10 mohm and at most 100 A, on 0.05 ohm: 100 A at 5 V.
    let state = settled(&circuit(2, &[(0, 1, limited(14.0, 0.010, 100.0)), (1, 0, ohms(0.05))]));
    near(amps(&state, 0), 100.0, 1e-9);
    near(volts(&state, 1), 5.0, 1e-9);
    // A battery at 12.6 V does not feed back into a converter set to 12 V.
    let state = settled(&circuit(2, &[(0, 1, source(12.6, 0.010)), (0, 1, limited(12.0, 0.010, 100.0)), (1, 0, ohms(12.59))]));
    near(amps(&state, 1), 0.0, 0.0);
    near(amps(&state, 0), 1.0, 1e-9);
    // Loads of 80 A are met at its own voltage; loads of 120 A pull it down to where they are resistances.
    let state = settled(&circuit(2, &[(0, 1, limited(14.0, 0.010, 100.0)), (1, 0, load(80.0, 12.0))]));
    near(volts(&state, 1), 13.2, 1e-12);
    let state = settled(&circuit(2, &[(0, 1, limited(14.0, 0.010, 100.0)), (1, 0, load(120.0, 12.0))]));
    near(volts(&state, 1), 5.0, 1e-9);
    near(amps(&state, 0), 100.0, 1e-9);
}

#[test]
fn loads_in_series_find_their_path_through_each_other() {
    // By hand: the ground of two lamps is lost at node 2. The lamp of 3 A holds its current and the one of 5 A, 1.2 ohm, keeps 3.6 V.
    let state = settled(&circuit(3, &[(0, 1, source(13.0, 1e-6)), (1, 2, load(5.0, 12.0)), (2, 0, load(3.0, 12.0))]));
    near(amps(&state, 1), 3.0, 1e-9);
    near(volts(&state, 2), 13.0 - 3.6, 1e-5);
    assert_eq!(state.no_return, [1, 2]);
    // With nothing beyond, the lamp carries nothing, and its far terminal is at the voltage of its feed.
    let state = settled(&circuit(3, &[(0, 1, source(13.0, 0.01)), (1, 2, load(5.0, 12.0)), (1, 0, ohms(13.0))]));
    near(amps(&state, 1), 0.0, 0.0);
    near(volts(&state, 2), volts(&state, 1), 0.0);
    assert_eq!(state.no_return, [1]);
}

#[test]
fn a_relay_closes_its_contact_and_a_buzzer_is_named() {
    let parts = [(0, 1, source(12.0, 0.010)), (1, 0, coil(90.0, 8.0)), (1, 2, contact(1, true)), (2, 0, load(4.0, 12.0))];
    let state = settled(&circuit(3, &parts));
    assert!(state.energised[1]);
    near(amps(&state, 3), 4.0, 1e-12);
    // The coil is fed through its own normally closed contact.
    let parts = [(0, 1, source(12.0, 0.010)), (1, 2, contact(2, false)), (2, 0, coil(90.0, 8.0))];
    let state = solve(&circuit(3, &parts));
    assert_eq!(state.unsettled, [2]);
}

/// The relay of a second fuse panel: 90 ohm of coil behind 90 ohm of igniter on 12 V leave it half of it (Ohm's law). It does not
/// pull in at 8 V, holds from 5 V, and lets go from 7 V.
#[test]
fn a_coil_between_hold_and_pull_in_stays_as_it_was() {
    let parts = |hold| {
        let coil = held_coil(90.0, 8.0, hold);
        [(0, 1, source(12.0, 0.000_1)), (1, 2, ohms(90.0)), (2, 0, coil), (1, 3, contact(2, true)), (3, 0, load(4.0, 12.0))]
    };
    let rest = settled(&circuit(4, &parts(5.0)));
    assert!(!rest.energised[2]);
    near(amps(&rest, 4), 0.0, 1e-9);
    let held = solve_from(&circuit(4, &parts(5.0)), &[2]);
    assert!(held.energised[2] && held.unsettled.is_empty());
    near(volts(&held, 2), 6.0, 0.01);
    near(amps(&held, 4), 4.0, 1e-9);
    assert!(!solve_from(&circuit(4, &parts(7.0)), &[2]).energised[2]);
    // A branch that is not a coil can't be energised.
    assert_eq!(solve_from(&circuit(4, &parts(5.0)), &[0, 9]), rest);
}

/// A load behind its own contact pulls the supply down to 7.2 V: below pull-in, above hold. It chatters without hysteresis.
#[test]
fn a_relay_that_pulls_its_supply_down_holds() {
    let parts =
        |hold| [(0, 1, source(12.0, 1.0)), (1, 0, held_coil(1e6, 8.0, hold)), (1, 2, contact(1, true)), (2, 0, ohms(1.49))];
    let held = settled(&circuit(3, &parts(5.0)));
    assert!(held.energised[1]);
    near(volts(&held, 1), 7.2, 1e-3);
    assert_eq!(solve(&circuit(3, &parts(8.0))).unsettled, [1]);
}

#[test]
fn a_converter_draws_what_it_gives() {
    // By hand: 13.5 V at 100 A from a source of 14 V behind 5 mohm is 1350 W; at 90 % 1500 W, 5 A from 300 V behind next to nothing.
    let parts =
        [(0, 1, source(300.0, 1e-9)), (1, 0, converter(2, 0.9, 300.0)), (2, 3, source(14.0, 0.005)), (3, 2, load(100.0, 12.0))];
    let state = settled(&circuit(4, &parts));
    near(volts(&state, 3) - volts(&state, 2), 13.5, 1e-12);
    near(amps(&state, 1), 5.0, 1e-7);
    assert!(state.converting[1] && state.live[3] && state.island[0] != state.island[2]);
    // With less than half its voltage the output is dead.
    let mut low = parts;
    low[0].2 = source(149.0, 1e-9);
    let state = settled(&circuit(4, &low));
    assert!(!state.converting[1] && !state.live[3]);
    near(amps(&state, 2), 0.0, 0.0);
}

#[test]
fn diodes_block_join_and_pass() {
    // By hand: of two supplies joined by diodes the higher one feeds; the other carries nothing.
    let parts = [
        (0, 1, source(12.0, 0.001)),
        (0, 2, source(13.0, 0.001)),
        (1, 3, diode(0.7, 0.001)),
        (2, 3, diode(0.7, 0.001)),
        (3, 4, diode(0.7, 0.001)),
        (4, 0, load(2.0, 12.0)),
        (0, 4, diode(0.7, 0.001)),
    ];
    let state = settled(&circuit(5, &parts));
    near(amps(&state, 2), 0.0, 0.0);
    near(amps(&state, 6), 0.0, 0.0);
    near(volts(&state, 4), 13.0 - 1.4 - 2.0 * 0.003, 1e-12);
}

#[test]
fn floating_and_dead_parts_are_at_rest() {
    let mut parts = circuit(6, &[(1, 2, ohms(1.0)), (2, 3, load(1.0, 12.0)), (4, 5, source(12.0, 1.0)), (3, 1, diode(0.7, 1.0))]);
    parts.references = vec![5, 99];
    let state = settled(&parts);
    assert_eq!(state.live, [false, false, false, false, true, true]);
    near(volts(&state, 4), -12.0, 1e-12);
    near(amps(&state, 1), 0.0, 0.0);
    assert_eq!(solve(&Circuit::default()), Operating { rounds: 1, ..Operating::default() });
}

#[test]
fn microohms_beside_gigaohms() {
    // A meshed part of microohms hangs on two gigaohms only: currents still add up, and the loop still closes.
    let mut parts = vec![(0, 1, source(400.0, 1e-3)), (0, 2, ohms(1e9)), (1, 3, ohms(1e9))];
    parts.extend([(2, 3, ohms(1e-6)), (3, 4, ohms(2e-6)), (4, 2, ohms(3e-6)), (4, 3, ohms(1e-6)), (0, 4, ohms(2e9))]);
    let state = settled(&circuit(5, &parts));
    // By hand: 1 Gohm in series with 1 and 2 Gohm in parallel is 5/3 Gohm.
    near(amps(&state, 0), 400.0 / (5.0 / 3.0 * 1e9), 1e-16);
}

#[test]
fn what_can_not_be_computed_is_named() {
    let parts = [
        (0, 1, ohms(0.0)),
        (0, 1, ohms(f64::NAN)),
        (1, 1, ohms(1.0)),
        (0, 7, ohms(1.0)),
        (0, 1, contact(0, true)),
        (0, 1, converter(1, 0.9, 12.0)),
        (0, 1, source(12.0, 1.0)),
        (1, 0, load(-1.0, 12.0)),
        (1, 0, load(1.0, 0.0)),
        (0, 1, converter(6, 1.2, 12.0)),
        (0, 1, converter(99, 0.9, 12.0)),
        (1, 0, ohms(11.0)),
    ];
    let state = solve(&circuit(2, &parts));
    let why: Vec<(u32, RefusalReason)> = state.refused.iter().map(|refusal| (refusal.branch, refusal.why)).collect();
    let expected = [
        (0, RefusalReason::Resistance),
        (1, RefusalReason::Resistance),
        (2, RefusalReason::SameNode),
        (3, RefusalReason::NoSuchNode),
        (4, RefusalReason::NotACoil),
        (5, RefusalReason::NotASource),
        (7, RefusalReason::Magnitude),
        (8, RefusalReason::Magnitude),
        (9, RefusalReason::Efficiency),
        (10, RefusalReason::NotASource),
    ];
    assert_eq!(why, expected);
    near(amps(&state, 11), 1.0, 1e-12);
}

/// The search goes on with resistances that creep, as those of conductors that warm up: each time it finds what a search from
/// the start would, loads of constant power included.
#[test]
fn a_search_goes_on_with_other_resistances() {
    let parts = [(0, 1, source(300.0, 0.05)), (1, 2, ohms(0.1)), (2, 0, power(20_000.0, 307.0)), (2, 0, load(3.0, 307.0))];
    let circuit = circuit(3, &parts);
    let mut solver = Solver::new(&circuit, &[]);
    solver.run();
    for step in 0..60 {
        let wire = 0.1 + 0.002 * f64::from(step);
        solver.retune(1, Ohm::new(wire));
        // A load is not a resistance and stays what it is.
        solver.retune(2, Ohm::new(1.0));
        solver.run();
        let state = solver.operating();
        assert!(state.unsettled.is_empty() && state.residual < 1e-9, "{:?} at {wire}", state.unsettled);
        // By hand: u = 300 - (0.05 + wire) (20000/u + 3), the larger root.
        let supply = 0.05 + wire;
        let open = 300.0 - supply * 3.0;
        let volts = 0.5 * (open + (open * open - 4.0 * supply * 20_000.0).sqrt());
        near(amps(&state, 2), 20_000.0 / volts, 1e-6);
    }
}

/// Two loads that hold each other's currents, a starving one and a diode, whose voltages on the way there turn the diode on and off.
/// By hand: the 5 V loads keep their currents, so the starving one carries 1.0521 A - 0.5847 A at node 5, of its 22.13 ohm, which is
/// 10.344 V; the diode then has 0.9 V against it.
#[test]
fn loads_between_loads_come_to_rest_before_a_diode_is_judged() {
    let state = solve(&circuit(
        6,
        &[
            (0, 3, ohms(68.101_558_719_731_53)),
            (0, 4, ohms(9.900_810_972_647_948)),
            (4, 2, ohms(1.0)),
            (2, 0, source(27.881_148_031_678_965, 0.348_016_387_977_615_97)),
            (2, 3, source(14.264_982_050_861_605, 0.001_576_843_784_091_746_7)),
            (5, 3, diode(0.962_755_005_991_428_2, 0.001)),
            (2, 5, load(1.052_056_337_735_529_2, 5.0)),
            (5, 0, load(0.841_406_585_500_513_6, 37.245_792_089_597_536)),
            (5, 0, load(0.584_686_400_424_618_4, 5.0)),
            (0, 3, load(1.492_182_985_900_589_7, 5.0)),
            (0, 2, load(1.728_565_608_018_914_7, 5.0)),
        ],
    ));
    assert!(state.unsettled.is_empty(), "{:?}", state.unsettled);
    assert!((state.volts[5].get() - state.volts[0].get() + 10.344).abs() < 0.001, "{:?}", state.volts);
    assert_eq!(state.amps[5].get(), 0.0);
}

/// The only loop of the network is beyond where anything flows: what rounding leaves there is no error of the solution.
#[test]
fn a_loop_at_rest_leaves_no_residual() {
    let mut network = circuit(
        6,
        &[
            (0, 2, ohms(1.0)),
            (0, 3, ohms(0.105_978_526_883_668_27)),
            (0, 4, ohms(1.0)),
            (0, 5, ohms(1.0)),
            (5, 3, ohms(0.208_510_759_418_308_02)),
            (2, 0, source(24.407_445_905_848_558, 0.001_767_994_831_539_427_3)),
            (2, 0, limited(29.877_936_012_215_766, 0.174_253_281_898_153_84, 6.286_370_089_288_17)),
            (4, 2, load(1.630_676_180_840_881_8, 5.0)),
            (2, 4, load(3.275_425_752_700_144_7, 5.0)),
        ],
    );
    network.references = vec![5];
    let state = solve(&network);
    assert!(state.unsettled.is_empty());
    assert!(state.residual < 1e-9, "{}", state.residual);
}
