//! What must open what, covers, networks, the sequence, elements in line: names that refer to nothing, and points that are missing.

use super::expect::{reads, told};

const HEAD: &str = "format: 1\ndesign: x\n";
const NAME: &str = "format/unknown-name";
const VALUE: &str = "format/unexpected-value";
const MISSING: &str = "format/missing-key";

#[test]
fn what_must_open_is_a_contact_that_is_there() {
    let design = |opens: &str| {
        format!(
            "{HEAD}modes:\n  fault: {{ opens: [{opens}] }}\ndevices:\n  pack:\n    ports: {{ A: {{ stud: M6 }}, B: {{ stud: M6 }} }}\n    inside:\n      \
             K1: {{ switch: open, from: A, to: B }}\n      R1: {{ resistor: 5 ohm, from: A, to: B }}\n      K2: {{ switch: open, from: A, to: B, fitted: false }}\n"
        )
    };
    reads(design("pack.K1"), &[]);
    // One that is left out of this build is open.
    reads(design("pack.K2"), &[]);
    reads(design("pack.K3"), &[told("4:20", NAME, "no contact called `pack.K3`", "write `pack.K1`")]);
    reads(design("pack.R1"), &[told("4:20", VALUE, "`pack.R1` is not a contact", "contactors")]);
}

#[test]
fn modes_of_the_sequence_and_networks_of_pins_are_there() {
    reads(
        format!("{HEAD}sequence: [parked, driv]\nmodes:\n  parked: {{}}\n  drive: {{}}\n"),
        &[told("3:20", NAME, "no mode `driv`", "write `drive`")],
    );
    reads(
        format!(
            "{HEAD}networks: {{ drive-can: {{ kind: CAN, rate: 500 kbit/s }} }}\nparts:\n  housings:\n    C: {{ family: c, positions: 2, contacts: pin }}\n\
             devices:\n  node: {{ ports: {{ J1: {{ housing: C, pins: {{ 1: {{ network: drive-can }}, 2: {{ network: drive-cam }} }} }} }} }}\n"
        ),
        &[told("8:87", NAME, "no network `drive-cam`", "write `drive-can`")],
    );
    reads(
        format!("{HEAD}networks: {{ n: {{ kind: can, rate: 500 kbps }} }}\n"),
        &[told("3:24", VALUE, "`can`", "write `CAN`"), told("3:35", "format/quantity", "`kbps`", "")],
    );
}

#[test]
fn covers_and_isolation_name_points_and_ports_of_their_box() {
    reads(
        format!(
            "{HEAD}devices:\n  box:\n    ports: {{ A: {{ stud: M6 }}, B: {{ stud: M6 }} }}\n    covers: {{ lid: {{ access: without tool, reaches: [A, C] }} }}\n    \
             isolation: [ {{ between: [A], and: [D], voltage: 2 kV }} ]\n    isolation-monitor: {{ at: E }}\n"
        ),
        &[
            told("6:57", NAME, "port or node of `box` called `C`", ""),
            told("7:40", NAME, "no port `D`", ""),
            told("8:30", NAME, "called `E`", ""),
        ],
    );
}

#[test]
fn an_element_in_line_has_two_points_of_its_own() {
    let design = |fuse: &str, wires: &str| {
        format!(
            "{HEAD}parts:\n  fuses:\n    f: {{ rating: 5 A }}\nlooms:\n  a:\n    ends: {{ R1: {{ ring: M6 }}, R2: {{ ring: M6 }} }}\n    inside: {{ F9: {{ {fuse} }} }}\n    \
             wires:\n{wires}"
        )
    };
    let wires = "      1: { from: R1, to: F9.1 }\n      2: { from: F9.2, to: R2 }\n";
    reads(design("fuse: f", wires), &[]);
    reads(
        design("fuse: f, from: R1", "      1: { from: R1, to: R2 }\n"),
        &[told("9:15", MISSING, "what `F9` joins", "name both points, or neither")],
    );
    reads(
        design("fuse: f", "      1: { from: R1, to: F9 }\n      2: { from: F9.3, to: R2 }\n"),
        &[told("11:26", NAME, "`F9` is in line", "write `F9.1` or `F9.2`"), told("12:18", NAME, "`F9` is in line", "")],
    );
    // In a box each element names its points.
    reads(
        format!("{HEAD}parts:\n  fuses:\n    f: {{ rating: 5 A }}\ndevices:\n  box: {{ inside: {{ F1: {{ fuse: f }} }} }}\n"),
        &[told("7:20", MISSING, "what `F1` joins", "name the two points")],
    );
}

#[test]
fn a_switch_says_once_in_which_modes_it_is_closed() {
    let design = |keys: &str| {
        format!(
            "{HEAD}modes:\n  parked: {{}}\n  drive: {{}}\n  charge: {{}}\ndevices:\n  box:\n    ports: {{ A: {{ stud: M6 }}, B: {{ stud: M6 }} }}\n    inside:\n      \
             S: {{ from: A, to: B, {keys} }}\n"
        )
    };
    for sound in [
        "switch: open, closed-in: [drive]",
        "switch: closed, open-in: [drive]",
        // The other key beside it says the same again.
        "switch: open, closed-in: [drive], open-in: [parked]",
        "switch: closed, open-in: [parked], closed-in: [drive, charge]",
        "switch: closed, closed-in: [parked, drive, charge]",
    ] {
        reads(design(sound), &[]);
    }
    let changes_nothing = "changes nothing, because it rests closed: it counts as closed in modes `charge` and `parked` too";
    reads(
        design("switch: closed, closed-in: [drive]"),
        &[told("11:56", VALUE, changes_nothing, "write `switch: open`").with("11:36")],
    );
    let changes_nothing = "changes nothing, because it rests open: it counts as open in modes `charge` and `drive` too";
    reads(design("switch: open, open-in: [parked]"), &[told("11:52", VALUE, changes_nothing, "write `switch: closed`")]);
    let both = "switch `S` is open and closed in mode `drive`";
    reads(
        design("switch: open, closed-in: [drive, charge], open-in: [drive]"),
        &[told("11:80", VALUE, both, "take the mode out")],
    );
}
