//! One large vehicle, of any size: one battery, one chassis, thousands of fused feeds, some of them in loops. The same text for the
//! same arguments; every figure is invented.
//!
//! Where [`super::generator`] makes many small networks side by side, everything here hangs on one battery: a trunk of twelve bars
//! in a ring, on each bar groups of ten fuse boxes one behind the other, of which the last is joined to the bar again, and on each
//! box 24 feeds with a return to the chassis of their own.

use crate::generator::Numbers;
use std::fmt::Write;

/// Feeds of a fuse box.
const FEEDS: usize = 24;
/// Fuse boxes of a group.
const GROUP: usize = 10;
/// Bars of the trunk.
const BARS: usize = 12;

/// A netlist of about `wires` wires (up to 49 more) in format 1.
#[must_use]
pub fn one_network(wires: usize, seed: u64) -> String {
    let mut numbers = Numbers::new(seed);
    let boxes = wires.saturating_sub(BARS + 2).div_ceil(2 * FEEDS + 1).max(1);
    let mut text = head(boxes);
    let mut looms = String::from("looms:\n");
    trunk(&mut looms);
    for number in 0..boxes {
        fuse_box(&mut text, &mut looms, number, boxes, &mut numbers);
    }
    text.push_str(&looms);
    text
}

// Writing to a String never fails, so the results of `write!` say nothing here.
fn head(boxes: usize) -> String {
    let mut text = String::from(
        "format: 1\ndesign: One long vehicle\n\
         domains:\n  aux: { nominal: 24 V, max: 30 V, reference: chassis }\n\
         zones:\n  inside: { ambient: 35 degC }\n\
         modes:\n  work: {}\n\
         parts:\n  conductors:\n    thin: { standard: ISO 6722-1, rated: 125 degC, voltage: 60 V, wall: thin }\n  \
         fuses:\n    blade-5: { standard: ISO 8820-3, rating: 5 A }\n    \
         strip-150: { standard: ISO 8820-5, rating: 150 A }\n  devices:\n",
    );
    for (kind, demand) in [("lamp", "12 W"), ("valve", "0.4 A")] {
        let _ = writeln!(
            text,
            "    {kind}:\n      ports:\n        A: {{ stud: M5, role: supply, domain: aux }}\n        \
             B: {{ stud: M5, role: return, domain: aux }}\n      inside: {{ load: {{ load: {demand}, from: A, to: B }} }}"
        );
    }
    text.push_str("    fuse-box:\n      ports:\n        IN: { stud: M8, role: supply, domain: aux, rings: 3 }\n");
    for feed in 0..FEEDS {
        let _ = writeln!(text, "        F{feed}: {{ stud: M5, role: supply, domain: aux }}");
    }
    text.push_str("      inside:\n");
    for feed in 0..FEEDS {
        let _ = writeln!(text, "        F-{feed}: {{ fuse: blade-5, from: IN, to: F{feed} }}");
    }
    text.push_str(
        "devices:\n  battery:\n    zone: inside\n    ports:\n      POS: { stud: M10, role: supply, domain: aux }\n      \
         NEG: { stud: M10, role: return, domain: aux }\n    inside:\n      \
         cells: { source: 25.6 V, resistance: 4 mohm, positive: POS, negative: NEG }\n  \
         chassis:\n    chassis: true\n    ports:\n      S: { stud: M10, role: chassis, domain: aux }\n",
    );
    for number in 0..boxes {
        let _ = writeln!(text, "      S{number}: {{ stud: M8, role: chassis, domain: aux, rings: {FEEDS} }}");
    }
    for bar in 0..BARS {
        let _ = writeln!(
            text,
            "  bar-{bar}:\n    zone: inside\n    ports:\n      IN: {{ stud: M10, role: supply, domain: aux, rings: 4 }}\n      \
             OUT: {{ stud: M8, role: supply, domain: aux, rings: {} }}\n    \
             inside: {{ main: {{ fuse: strip-150, from: IN, to: OUT }} }}",
            2 + 2 * boxes / BARS
        );
    }
    text
}

/// The battery's leads and the ring of bars.
fn trunk(looms: &mut String) {
    let _ = writeln!(
        looms,
        "  trunk:\n    wire: thin\n    zone: inside\n    ends:\n      P: {{ ring: M10, bolts-to: battery.POS }}\n      \
         N: {{ ring: M10, bolts-to: battery.NEG }}\n      S: {{ ring: M10, bolts-to: chassis.S }}\n      \
         B: {{ ring: M10, bolts-to: bar-0.IN }}"
    );
    for bar in 0..BARS {
        let next = (bar + 1) % BARS;
        let _ = writeln!(
            looms,
            "      A{bar}: {{ ring: M10, bolts-to: bar-{bar}.IN }}\n      Z{bar}: {{ ring: M10, bolts-to: bar-{next}.IN }}"
        );
    }
    let _ = writeln!(
        looms,
        "    wires:\n      1: {{ from: P, to: B, size: 120 mm2, colour: RD, length: 800 mm }}\n      \
         2: {{ from: N, to: S, size: 120 mm2, colour: BK, length: 400 mm }}"
    );
    for bar in 0..BARS {
        let _ = writeln!(looms, "      {}: {{ from: A{bar}, to: Z{bar}, size: 70 mm2, colour: RD, length: 1500 mm }}", 10 + bar);
    }
}

/// A fuse box with its loads and their loom.
fn fuse_box(devices: &mut String, looms: &mut String, number: usize, boxes: usize, numbers: &mut Numbers) {
    let (group, place) = (number / GROUP, number % GROUP);
    let bar = format!("bar-{}.OUT", group % BARS);
    let before = if place == 0 { bar.clone() } else { format!("box-{}.IN", number - 1) };
    let _ = writeln!(devices, "  box-{number}: {{ device: fuse-box, zone: inside }}");
    let _ = writeln!(
        looms,
        "  loom-{number}:\n    wire: thin\n    zone: inside\n    ends:\n      I: {{ ring: M8, bolts-to: box-{number}.IN }}\n      \
         O: {{ ring: M8, bolts-to: {before} }}"
    );
    let mut wires = format!("      1: {{ from: O, to: I, size: 25 mm2, colour: RD, length: {} mm }}\n", numbers.length());
    if place == GROUP - 1 || number + 1 == boxes {
        let _ = writeln!(looms, "      J: {{ ring: M8, bolts-to: box-{number}.IN }}\n      L: {{ ring: M8, bolts-to: {bar} }}");
        let _ = writeln!(wires, "      2: {{ from: J, to: L, size: 25 mm2, colour: RD, length: {} mm }}", numbers.length());
    }
    for feed in 0..FEEDS {
        let kind = if feed % 2 == 0 { "lamp" } else { "valve" };
        let _ = writeln!(devices, "  {kind}-{number}-{feed}: {{ device: {kind}, zone: inside }}");
        let _ = writeln!(
            looms,
            "      A{feed}: {{ ring: M5, bolts-to: box-{number}.F{feed} }}\n      \
             B{feed}: {{ ring: M5, bolts-to: {kind}-{number}-{feed}.A }}\n      \
             C{feed}: {{ ring: M5, bolts-to: {kind}-{number}-{feed}.B }}\n      \
             D{feed}: {{ ring: M8, bolts-to: chassis.S{number} }}"
        );
        let _ = writeln!(
            wires,
            "      {}: {{ from: A{feed}, to: B{feed}, size: 0.75 mm2, colour: {}, length: {} mm }}\n      \
             {}: {{ from: C{feed}, to: D{feed}, size: 0.75 mm2, colour: BK, length: {} mm }}",
            100 + 2 * feed,
            numbers.colour(),
            numbers.length(),
            101 + 2 * feed,
            numbers.length()
        );
    }
    let _ = write!(looms, "    wires:\n{wires}");
}
