//! How differences read: cases of which everybody would say the same.

use harness_core::{
    Document, MemoryFiles,
    diff::{Edits, changes, inventory},
};

const BASE: &str = "\
format: 1
design: Pump cart
revision: A
zones: { deck: { ambient: 40 degC, wet: true } }
modes: { work: {} }
parts:
  fuses:
    blade-10: { standard: ISO 8820-3, rating: 10 A }
    blade-15: { standard: ISO 8820-3, rating: 15 A }
  housings:
    QL-4S: { family: QL4, positions: 4, contacts: socket, key: A }
    QL-4P: { family: QL4, positions: 4, contacts: pin, key: A }
  devices:
    valve:
      ports: { J1: { housing: QL-4P, pins: { 1: { signal: valve feed }, 2: { signal: ground } } } }
      inside: { coil: { load: 1 A, kind: coil, from: J1.1, to: J1.2 } }
devices:
  unit:
    ports: { J1: { housing: QL-4P, pins: { 1: { signal: feed }, 2: { signal: ground }, 3: { signal: left }, 4: { signal: right } } } }
    inside:
      F1: { fuse: blade-10, from: J1.1, to: J1.3 }
      logic: { load: 2 A, from: J1.1, to: J1.2, in: [work] }
  left-valve: { device: valve, zone: deck }
  right-valve: { device: valve, zone: deck }
looms:
  cart:
    ends:
      P1: { housing: QL-4S, mates: unit.J1 }
      P2: { housing: QL-4S, mates: left-valve.J1 }
      P3: { housing: QL-4S, mates: right-valve.J1 }
    splices: { S1: {} }
    wires:
      1: { from: P1.3, to: P2.1, size: 1 mm2, colour: RD, length: 500 mm }
      2: { from: P1.4, to: P3.1, size: 1 mm2, colour: YE, length: 700 mm }
      3: { from: P2.2, to: S1, size: 1 mm2, colour: BK, length: 300 mm }
      4: { from: P3.2, to: S1, size: 1 mm2, colour: BK, length: 300 mm }
      5: { from: S1, to: P1.2, size: 1.5 mm2, colour: BK, length: 400 mm }
retired: [6]
";

/// The headlines after texts were swapped in the base.
fn told(exchanges: &[(&str, &str)]) -> Vec<String> {
    let mut text = BASE.to_owned();
    for (before, now) in exchanges {
        assert!(text.contains(before), "`{before}` is not in the base");
        text = text.replace(before, now);
    }
    let read = |text: &str| inventory(&Document::read(&MemoryFiles::one("design.yaml", text), "design.yaml"));
    let edits = Edits::between(&read(BASE), &read(&text));
    assert_eq!(edits.apply(&read(BASE)), read(&text));
    changes(&edits).iter().map(harness_core::diff::Change::headline).collect()
}

#[test]
fn a_device_of_a_kind_is_known_by_what_mates_it() {
    assert_eq!(told(&[("left-valve", "port-valve")]), ["device `left-valve` is now called `port-valve`"]);
}

#[test]
fn a_connector_and_its_device_may_be_renamed_at_once() {
    assert_eq!(
        told(&[("left-valve", "port-valve"), ("P2", "X2")]),
        ["device `left-valve` is now called `port-valve`", "end `cart.P2` is now called `cart.X2`"]
    );
}

#[test]
fn another_fuse_is_another_fuse_even_where_the_old_kind_goes() {
    let told = told(&[("    blade-10: { standard: ISO 8820-3, rating: 10 A }\n", ""), ("fuse: blade-10", "fuse: blade-15")]);
    assert_eq!(
        told,
        ["fuse kind `blade-10` removed: rating 10 A", "element `unit.F1` has another fuse: from blade-10 to blade-15"]
    );
}

#[test]
fn a_kind_that_is_only_renamed_is_renamed_though_another_use_came() {
    let told = told(&[("QL-4P", "QL4-P"), ("    splices", "      P4: { housing: QL4-P }\n    splices")]);
    assert_eq!(told, ["housing kind `QL-4P` is now called `QL4-P`", "end `cart.P4` added: housing QL4-P"]);
}

#[test]
fn a_renamed_loom_in_which_a_wire_moved_is_a_renamed_loom() {
    let told = told(&[("  cart:", "  hull:"), ("from: P1.3", "from: P1.1")]);
    assert_eq!(told, ["loom `cart` is now called `hull`", "wire `hull.1` moved from P1.3 to P1.1; its other end stays at P2.1"]);
}

#[test]
fn wires_that_exchange_names_are_wires_that_exchange_places() {
    let told = told(&[("      3: {", "      0: {"), ("      4: {", "      3: {"), ("      0: {", "      4: {")]);
    assert_eq!(told, ["wires `cart.3` and `cart.4` swapped places: P2.2 and P3.2"]);
}

#[test]
fn a_wire_renamed_and_moved_at_once_is_another_wire() {
    let told = told(&[("      1: { from: P1.3", "      11: { from: P1.1")]);
    assert_eq!(
        told,
        ["wire `cart.1` removed: P1.3 to P2.1, 1 mm2, RD, 500 mm", "wire `cart.11` added: P1.1 to P2.1, 1 mm2, RD, 500 mm"]
    );
}

#[test]
fn another_wire_in_the_same_place_bears_another_number() {
    let told = told(&[("      1: { from: P1.3, to: P2.1, size: 1 mm2", "      11: { from: P1.3, to: P2.1, size: 2.5 mm2")]);
    assert_eq!(told, ["wire `cart.1` is now called `cart.11`", "wire `cart.11` resized: from 1 mm2 to 2.5 mm2"]);
}

#[test]
fn what_stands_at_the_top_reads_as_people_say_it() {
    assert_eq!(
        told(&[("revision: A", "revision: B"), ("retired: [6]", "retired: [6, 7, 8]")]),
        ["wire numbers 7 and 8 retired: they are never used again", "revision `B` follows revision `A`"]
    );
    let told = told(&[("zones:", "policy: { fuse-loading: 70 %, levels: { netlist/meeting: error } }\nzones:")]);
    assert_eq!(told, ["policy, limit `fuse-loading` set: 70 %", "policy, findings of `netlist/meeting` raised to error"]);
}

#[test]
fn a_name_that_two_things_share_hides_neither() {
    let shared = "  cart:\n    inside: { F1: { fuse: blade-10, from: S1, to: S1 } }";
    let text = BASE
        .replace("  unit:\n", "  cart:\n")
        .replace("unit.J1", "cart.J1")
        .replace("  cart:\n    ends", &format!("{shared}\n    ends"));
    let read = |text: &str| inventory(&Document::read(&MemoryFiles::one("design.yaml", text), "design.yaml"));
    let (old, new) = (read(&text), read(&text.replace("F1: { fuse: blade-10, from: S1", "F1: { fuse: blade-15, from: S1")));
    let edits = Edits::between(&old, &new);
    assert_eq!(edits.altered.len(), 1, "{edits:?}");
    assert_eq!(edits.apply(&old), new);
}
