//! Unknown keys and names, wrong kinds of values, and the same key twice.

use super::expect::{reads, told};

#[test]
fn an_unknown_key_is_told_with_the_nearest() {
    reads(
        "format: 1\ndesign: x\nzones:\n  cab: { ambiant: 50 degC }\n",
        &[told("4:10", "format/unknown-key", "`ambiant`", "write `ambient`")],
    );
    // Nothing is near: the keys that there are.
    reads(
        "format: 1\ndesign: x\nzones:\n  cab: { paint: green }\n",
        &[told("4:10", "format/unknown-key", "`paint`", "`ambient`, `wet`, `note`")],
    );
}

#[test]
fn an_unknown_name_is_told_with_the_nearest() {
    reads(
        "format: 1\ndesign: x\nzones:\n  hood: {}\ndevices:\n  horn: { zone: hod }\nlooms:\n  front:\n    ends:\n      \
         P1: { mates: horm.J1 }\n      P2: { housing: QL-4, mates: horn.J7 }\n    wires:\n      1: { from: P1.1, to: P3.1 }\n",
        &[
            told("6:17", "format/unknown-name", "no zone `hod`", "write `hood`"),
            told("10:20", "format/unknown-name", "`horm`", "write `horn`"),
            told("11:22", "format/unknown-name", "no housing `QL-4`", "define"),
            told("11:35", "format/unknown-name", "port of `horn` called `J7`", "define"),
            told("13:28", "format/unknown-name", "`P3`", "write `P1`"),
        ],
    );
}

#[test]
fn a_value_of_the_wrong_kind_is_told_with_what_belongs_there() {
    reads(
        "format: 1\ndesign: [a]\nzones:\n  cab: { wet: maybe }\nparts:\n  housings:\n    QL: { family: q, positions: {}, contacts: pim }\n\
         devices: none\n",
        &[
            told("2:9", "format/unexpected-value", "a list is written where a text belongs", "a text"),
            told("4:15", "format/unexpected-value", "`maybe`", "`yes` or `no`"),
            told("7:33", "format/unexpected-value", "a map is written", "a number of positions"),
            told("7:47", "format/unexpected-value", "`pim`", "write `pin`"),
            told("8:10", "format/unexpected-value", "`none`", "a map"),
        ],
    );
}

#[test]
fn a_missing_key_is_told_with_what_it_says() {
    reads(
        "format: 1\ndesign: x\nlooms:\n  front:\n    ends: { R1: { ring: M6 } }\n    wires:\n      1: { from: R1 }\n",
        &[told("7:10", "format/missing-key", "`to`", "add `to`")],
    );
    reads("design: x\n", &[told("1:1", "format/missing-key", "`format`", "format: 1")]);
    reads("format: 2\ndesign: x\n", &[told("1:9", "format/version", "version is 2", "format: 1")]);
}

#[test]
fn the_same_key_twice_shows_both_places() {
    reads(
        "format: 1\ndesign: x\nzones:\n  cab: {}\n  hood: { wet: true }\n  cab: {}\n",
        &[told("6:3", "format/repeated-key", "`cab`", "").with("4:3")],
    );
}

#[test]
fn two_things_of_one_name_are_one_mistake() {
    // Whatever keys both entries have.
    reads(
        "format: 1\ndesign: x\nlooms:\n  low:\n    ends: { R1: { ring: M6 }, R2: { ring: M6 } }\n    wires:\n      \
         10: { from: R1, to: R2, size: 1 mm2 }\n      10: { from: R2, to: R1, size: 1 mm2 }\n",
        &[told("8:7", "format/repeated-key", "there are two wires `low.10`", "another number").with("7:7")],
    );
    reads(
        "format: 1\ndesign: x\ndevices:\n  horn: { ports: { A: { stud: M6, need: optional } } }\n  \
         horn: { ports: { A: { stud: M8, need: optional } } }\n",
        &[told("5:3", "format/repeated-key", "there are two devices `horn`", "another name").with("4:3")],
    );
    // A section that is there twice is a mistake of its own, beside a thing that is in both.
    reads(
        "format: 1\ndesign: x\nzones:\n  cab: {}\nzones:\n  cab: {}\n",
        &[
            told("5:1", "format/repeated-key", "`zones` is written twice here", "").with("3:1"),
            told("6:3", "format/repeated-key", "there are two zones `cab`", "").with("4:3"),
        ],
    );
    // One key twice in one entry stays a mistake of that key.
    reads(
        "format: 1\ndesign: x\nzones:\n  cab: { wet: true, wet: false }\n",
        &[told("4:21", "format/repeated-key", "`wet` is written twice here", "").with("4:10")],
    );
}

#[test]
fn a_name_that_cannot_be_referred_to_is_told() {
    reads(
        "format: 1\ndesign: x\ndevices:\n  horn.left: {}\n",
        &[told("4:3", "format/label", "`horn.left`", "letters, digits and dashes")],
    );
}

#[test]
fn labels_stay_as_written() {
    // Pin 01 is not pin 1, and no reader turns `on` or `1e3` into something else.
    reads(
        "format: 1\ndesign: x\nparts:\n  housings:\n    QL: { family: q, positions: [01, on, 1e3], contacts: pin }\n\
         looms:\n  a:\n    ends: { P1: { housing: QL } }\n    wires:\n      1: { from: P1.1, to: P1.on }\n      2: { from: P1.01, to: P1.1000 }\n",
        &[
            told("10:18", "format/unknown-name", "no position `1`", "`01`, `on`, `1e3`"),
            told("11:29", "format/unknown-name", "no position `1000`", "`01`, `on`, `1e3`"),
        ],
    );
}

#[test]
fn one_mistake_hides_no_other() {
    // Nine mistakes on nine lines, reported in the order of the lines.
    reads(
        "format: 1\ndesign: x\nrevison: B\nzones:\n  hood: { ambient: 85 }\n  hood: {}\ndevices:\n  horn: { zone: hod }\n  pump: {side: lft}\n\
         looms:\n  front:\n    ends:\n      R1: { ring: M6 }\n      R2: { ring: M6, bolts-to: }\n    wires:\n      1: { from: R1, to: R2, size: 0.5 A }\n      \
         2: { from: R1 }\n      3: { from: R1, to: R2, colour: #00FF00 }\n",
        &[
            told("3:1", "format/unknown-key", "`revison`", "write `revision`"),
            told("5:20", "format/quantity", "`85` has no unit", "`85 degC`"),
            told("6:3", "format/repeated-key", "`hood`", "").with("5:3"),
            told("8:17", "format/unknown-name", "`hod`", "write `hood`"),
            told("9:16", "format/unexpected-value", "`lft`", "write `left`"),
            told("14:31", "format/unexpected-value", "nothing is written where a text belongs", "a text"),
            told("16:36", "format/quantity", "`A`", "mm2"),
            told("17:10", "format/missing-key", "`to`", "add `to`"),
            told("18:38", "format/comment-for-value", "`colour` has no value", "quote"),
        ],
    );
}

#[test]
fn a_mistake_silences_what_only_follows_from_it() {
    // Without its positions nothing is known of the pins and cavities of a housing; none of them is reported.
    reads(
        "format: 1\ndesign: x\nparts:\n  housings:\n    QL: { family: q, positions: many, contacts: pin }\n\
         devices:\n  horn: { ports: { J1: { housing: QL, pins: { 1: spare, 2: spare } } } }\n\
         looms:\n  a:\n    ends: { P1: { housing: QL, plugged: [3] }, P2: { housing: [] } }\n    wires: { 1: { from: P1.1, to: P2.2 } }\n",
        &[
            told("5:33", "format/unexpected-value", "`many`", "a whole number"),
            told("10:63", "format/unexpected-value", "a list is written where a text belongs", "a text"),
        ],
    );
}

#[test]
fn gates_of_a_fuse_that_contradict_each_other_are_told() {
    let fuse = |keys: &str| format!("format: 1\ndesign: x\nparts:\n  fuses:\n    main: {{ rating: 80 A, {keys} }}\n");
    reads(
        fuse("gates: [{ at: 200 % }, { holds: 1 s }, { at: 350 %, holds: 5 s, opens-within: 2 s }]"),
        &[
            told("5:35", "format/missing-key", "the gate of `main` at 200 % has no time", "opens-within"),
            told("5:50", "format/missing-key", "`at`", "add `at`"),
            told("5:66", "format/unexpected-value", "holds for 5 s and opens within 2 s", "swap"),
        ],
    );
    reads(
        fuse("gates: [{ at: 350 %, opens-within: 20 s }, { at: 200 %, opens-within: 15 s }]"),
        &[told("5:35", "format/unexpected-value", "at 350 % is slower than the one at 200 %", "correct the two gates")],
    );
    reads(
        fuse("standard: ISO 8820-5, type: C"),
        &[told("5:55", "format/unexpected-value", "ISO 8820-5 has no fuse of type C", "type SF 30, strip; type SF 51, strip")],
    );
    reads(fuse("type: SF30"), &[told("5:33", "format/unexpected-value", "`SF30`", "write `SF 30`")]);
    reads(fuse("standard: ISO 8820-5, type: SF 30, gates: [{ at: 200 %, holds: 1 s, opens-within: 15 s }]"), &[]);
}
