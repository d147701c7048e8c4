//! Data buses: terminators, lengths by bit rate, LIN, as printed.

use harness_core::{
    internals::standards::bus::{
        Protocol, between_lines, least_of_pair, lin_length, lin_nodes, stub, stubs_together, terminator, trunk,
    },
    quantity::{BitRate, Metre},
};
use harness_tests::report;

/// Length of a bus by bit rate, kbit/s and m: CiA 102 as a design guide prints it; beyond 500 kbit/s other pages differ (seen).
const CIA_102: [(f64, f64); 6] = [(1000.0, 25.0), (800.0, 50.0), (500.0, 100.0), (250.0, 250.0), (125.0, 500.0), (50.0, 1000.0)];

/// Longest stub and all stubs together by bit rate, kbit/s and m: manual of a controls maker (seen).
const STUBS: [(f64, f64, f64); 6] =
    [(1000.0, 1.5, 7.5), (800.0, 2.5, 12.5), (500.0, 5.5, 27.5), (250.0, 11.0, 55.0), (125.0, 22.0, 110.0), (50.0, 55.0, 275.0)];

fn rate(kbit: f64) -> BitRate {
    BitRate::new(kbit * 1e3)
}

#[test]
fn what_cia_102_allows_is_no_error() {
    for (kbit, length) in CIA_102 {
        let reach = trunk(Protocol::Can, rate(kbit)).expect("the table has the rate").value;
        assert!(!reach.is_exceeded(Metre::new(length)), "{kbit} kbit/s: {length} m");
        // The pages differ by less than twice.
        assert!(reach.is_exceeded(Metre::new(2.0 * length)), "{kbit} kbit/s: {} m", 2.0 * length);
    }
    assert!(trunk(Protocol::Can, rate(1001.0)).is_none());
}

#[test]
fn what_a_manual_allows_as_a_stub_is_no_error() {
    for (kbit, single, together) in STUBS {
        let reach = stub(Protocol::Can, rate(kbit)).expect("the table has the rate").value;
        assert!(!reach.is_exceeded(Metre::new(single)), "{kbit} kbit/s: {single} m");
        assert!(reach.is_exceeded(Metre::new(1.2 * single)), "{kbit} kbit/s: {} m", 1.2 * single);
        let sum = stubs_together(Protocol::Can, rate(kbit)).expect("the table has the rate").value;
        assert!(sum >= Metre::new(together) && sum < Metre::new(2.0 * together), "{kbit} kbit/s: {together} m");
    }
    // ISO 11898-2 at 1 Mbit/s: 0.3 m (seen on a page of a controls maker).
    let reach = stub(Protocol::Can, rate(1000.0)).expect("the table has the rate").value;
    assert!(!reach.is_warned_of(Metre::new(0.3)) && reach.is_warned_of(Metre::new(0.301)));
}

#[test]
fn j1939_and_lin_have_figures_of_their_own() {
    // SAE J1939: bus 40 m, stub 1 m (-11) or 3 m (other editions), seen on pages that differ; ISO 17987: 16 nodes, 40 m of wire (seen).
    let bus = trunk(Protocol::J1939, rate(250.0)).expect("one for every rate").value;
    assert!(!bus.is_warned_of(Metre::new(40.0)) && bus.is_exceeded(Metre::new(40.1)));
    let branch = stub(Protocol::J1939, rate(250.0)).expect("one for every rate").value;
    assert!(!branch.is_warned_of(Metre::new(1.0)) && branch.is_warned_of(Metre::new(1.1)));
    assert!(!branch.is_exceeded(Metre::new(3.0)) && branch.is_exceeded(Metre::new(3.1)));
    assert_eq!((lin_nodes().value, lin_length().value), (16, Metre::new(40.0)));
    assert!(trunk(Protocol::Lin, rate(19.2)).is_none() && stub(Protocol::Lin, rate(19.2)).is_none());
}

#[test]
fn a_bus_is_sixty_ohm_with_two_terminators_and_forty_with_three() {
    // ISO 11898-2: 120 ohm at both ends, 108 to 132 ohm; about 60 ohm end to end (both seen). Three: 40 ohm (computed in the notes of a bus guide).
    assert_eq!(terminator().value.map(|ohm| ohm.get()), [108.0, 120.0, 132.0]);
    assert_eq!(between_lines().value.map(|ohm| ohm.get()), [54.0, 60.0, 66.0]);
    let said = |third: &str| {
        wrong_termination(&three_nodes(third, ["signal: CAN high, role: CAN high", "signal: CAN low, role: CAN low"]))
    };
    assert_eq!(said("none"), None);
    assert!(said("fitted").is_some_and(|headline| headline.contains("3 terminators: 40 ohm between its lines")));
}

#[test]
fn an_rs_485_driver_has_room_for_two_terminators_and_not_for_three() {
    // TIA-485-A (from memory, not seen): a driver makes its level into a load of 54 ohm.
    assert_eq!(least_of_pair().value.get(), 54.0);
    let said = |third: &str| {
        wrong_termination(&three_nodes(third, ["signal: RS-485 B, role: bidirectional", "signal: RS-485 A, role: bidirectional"]))
    };
    // Two of 120 ohm: 60 ohm, more than 54. Three: 40 ohm, less.
    assert_eq!(said("none"), None);
    let found = said("fitted").expect("three are one too many");
    assert!(found.contains("3 terminators: 40 ohm between its lines"), "{found}");
}

/// A pair with three nodes in a row, terminated at both ends; the middle one says `third` of itself.
fn three_nodes(third: &str, [high, low]: [&str; 2]) -> String {
    let node = |name: &str, term: &str| {
        format!(
            "  {name}: {{ ports: {{ J: {{ housing: P, termination: {term}, pins: {{ H: {{ {high} }}, L: {{ {low} }} }} }} }} }}\n"
        )
    };
    let nodes = [node("a", "fitted"), node("b", "fitted"), node("c", third)].concat();
    format!(
        "format: 1\ndesign: bus\nparts:\n  housings:\n    P: {{ family: n, positions: [H, L], contacts: pin }}\n    \
             S: {{ family: n, positions: [H, L], contacts: socket, max-wires: 2 }}\ndevices:\n{nodes}looms:\n  l:\n    ends:\n      \
             A: {{ housing: S, mates: a.J }}\n      B: {{ housing: S, mates: b.J }}\n      C: {{ housing: S, mates: c.J }}\n    wires:\n      \
             1: {{ from: A.H, to: C.H, length: 1 m, twist: x }}\n      2: {{ from: A.L, to: C.L, length: 1 m, twist: x }}\n      \
             3: {{ from: C.H, to: B.H, length: 1 m, twist: y }}\n      4: {{ from: C.L, to: B.L, length: 1 m, twist: y }}\n"
    )
}

/// What is said of its terminators.
fn wrong_termination(design: &str) -> Option<String> {
    let report = report(design);
    let found = report.findings.iter().find(|finding| finding.rule == "bus/wrong-termination");
    found.map(|finding| finding.headline.clone())
}
