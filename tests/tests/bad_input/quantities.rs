//! Quantities: without a unit, of another unit, below zero, zero where that can't be, infinite, absurd.

use super::expect::{reads, told};

/// Checks one value of a key, written on line 5 at `column`.
#[track_caller]
fn wire(pair: &str, headline: &'static str, help: &'static str) {
    let netlist = format!(
        "format: 1\ndesign: x\nlooms: {{ a: {{ ends: {{ R1: {{ ring: M6 }}, R2: {{ ring: M6 }} }}, wires: {{ 1: {{\n  from: R1, to: R2,\n{pair} }} }} }} }}\n"
    );
    let column: &'static str = match pair.split_once(": ").map(|(key, _)| key) {
        Some("size") => "5:7",
        Some("length") => "5:9",
        Some("peak") => "5:7",
        other => panic!("no place for {other:?}"),
    };
    reads(netlist, &[told(column, "format/quantity", headline, help)]);
}

#[test]
fn a_bare_number_shows_the_two_likeliest_readings() {
    wire("size: 0.5", "`0.5` has no unit", "write `0.5 mm2`");
    wire("size: 20", "`20` has no unit", "`20 mm2` or `20 AWG`");
    wire("length: 1450", "`1450` has no unit", "`1450 mm` or `1450 m`");
    wire("length: 1.45", "`1.45` has no unit", "`1.45 m` or `1.45 mm`");
    wire("peak: 30", "`30` has no unit", "`30 A` or `30 mA`");
}

#[test]
fn another_unit_is_told_with_the_ones_that_belong() {
    wire("size: 4.2 A", "measures current, where cross-section belongs", "`mm2` or `AWG`");
    wire("length: 3 V", "measures voltage, where length belongs", "`m`");
    wire("size: 0.5 mm3", "`mm3`", "write `mm2`");
    wire("peak: 30 a", "`a`", "`A`");
}

#[test]
fn below_zero_is_told() {
    wire("size: -0.5 mm2", "cross-section `-0.5 mm2` is below zero", "");
    wire("length: -1 m", "length `-1 m` is below zero", "");
}

#[test]
fn zero_is_told_where_it_cannot_be() {
    wire("size: 0 mm2", "cross-section `0 mm2` is below 0.01 mm2", "");
    wire("length: 0 mm", "length `0 mm` is zero", "above zero");
    wire("peak: 0.0 A", "current `0.0 A` is zero", "above zero");
    reads(
        "format: 1\ndesign: x\ndomains:\n  aux: { nominal: 0 V, max: 0 V, reference: chassis }\n",
        &[
            told("4:19", "format/quantity", "voltage `0 V` is zero", "above zero"),
            told("4:29", "format/quantity", "voltage `0 V` is zero", "above zero"),
        ],
    );
    reads(
        "format: 1\ndesign: x\nparts:\n  fuses:\n    blade: { rating: 0 A, resistance: 0 mohm }\n",
        &[
            told("5:22", "format/quantity", "current `0 A` is zero", "above zero"),
            told("5:39", "format/quantity", "resistance `0 mohm` is zero", "above zero"),
        ],
    );
    reads(
        "format: 1\ndesign: x\ndevices:\n  box:\n    ports: { A: { stud: M6 }, B: { stud: M6 } }\n    inside:\n      \
         K1: { relay: normally-open, coil: [A, B], contact: [A, B], resistance: 0 ohm }\n      \
         cells: { source: 0 V, resistance: 0 ohm, positive: A, negative: B }\n      bar: { link: [A, B], resistance: 0 mohm }\n      \
         lamp: { load: 0 W, from: A, to: B }\n      dc: { converter: 12 V, from: [A, B], to: [A, B], limit: 1 A, efficiency: 0 % }\n",
        &[
            told("7:78", "format/quantity", "resistance `0 ohm` is zero", "above zero"),
            // One mistake twice is one cause, at its first place.
            told("8:41", "format/quantity", "resistance `0 ohm` is zero", "above zero"),
            told("8:24", "format/quantity", "voltage `0 V` is zero", "above zero"),
            told("9:40", "format/quantity", "resistance `0 mohm` is zero", "above zero"),
            told("10:21", "format/quantity", "power `0 W` is zero", "above zero"),
            told("11:80", "format/quantity", "share `0 %` is zero", "up to 100 %"),
        ],
    );
}

#[test]
fn a_share_above_the_whole_is_told() {
    reads(
        "format: 1\ndesign: x\npolicy:\n  fuse-loading: 120 %\n",
        &[told("4:17", "format/quantity", "share `120 %` is above the whole", "up to 100 %")],
    );
}

#[test]
fn the_absurd_and_the_infinite_are_told() {
    wire("size: 900 mm2", "cross-section `900 mm2` is above 400 mm2", "");
    wire("length: 3000 m", "length `3000 m` is above 1000 m", "");
    wire("peak: 5000 kA", "current `5000 kA` is above 200 kA", "");
    wire("size: .inf", "not finite", "");
    wire("peak: 1e400 A", "not finite", "");
    wire("length: nan", "not finite", "");
    reads(
        "format: 1\ndesign: x\nzones:\n  hood: { ambient: -300 degC }\n  cab: { ambient: 5000 degC }\n",
        &[
            told("4:20", "format/quantity", "temperature `-300 degC` is below -80 degC", ""),
            told("5:19", "format/quantity", "temperature `5000 degC` is above 1200 degC", ""),
        ],
    );
}

#[test]
fn a_range_is_told_what_it_lacks() {
    reads(
        "format: 1\ndesign: x\nparts:\n  terminals:\n    t1: { size: 0.5 mm2 }\n    t2: { size: 1 mm2 .. 0.5 mm2 }\n    t3: { size: 0.5 .. 1 mm2 }\n",
        &[
            told("5:17", "format/quantity", "one value where a range belongs", "0.5 mm2 .. 0.5 mm2"),
            told("6:17", "format/quantity", "ends below its start", "0.5 mm2 .. 1 mm2"),
            told("7:17", "format/quantity", "`0.5` has no unit", "0.5 mm2"),
        ],
    );
}

#[test]
fn a_decimal_comma_that_cuts_a_map_is_one_mistake() {
    reads(
        "format: 1\ndesign: x\ndomains:\n  aux: { nominal: 12,5 V, max: 15 V, reference: floating }\n  low: { nominal: 12 V, max: 14,4 V, reference: floating }\n",
        &[
            told("4:19", "format/quantity", "`12,5 V` has a comma in its number", "write `12.5 V`"),
            told("5:30", "format/quantity", "`14,4 V` has a comma in its number", "write `14.4 V`"),
        ],
    );
    // A number without a unit, and a key that begins with a digit.
    reads(
        "format: 1\ndesign: x\ndomains:\n  aux: { nominal: 12, 5x: 1, max: 15 V, reference: floating }\n",
        &[told("4:19", "format/quantity", "`12` has no unit", "`12 V`"), told("4:23", "format/unknown-key", "`5x`", "")],
    );
}

#[test]
fn a_domain_does_not_end_below_its_nominal_voltage() {
    reads(
        "format: 1\ndesign: x\ndomains:\n  aux: { nominal: 120 V, max: 15 V, reference: floating }\n  low: { nominal: 12 V, max: 12 V, reference: floating }\n",
        &[told("4:31", "format/quantity", "is 15 V, below its nominal 120 V", "correct `nominal` or `max`")],
    );
}
