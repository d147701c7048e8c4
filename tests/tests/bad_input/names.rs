//! Names that look like others, and unknown names that look like known ones.

use super::expect::{reads, told};

const HEAD: &str = "format: 1\ndesign: x\n";
const RULE: &str = "format/lookalike-name";

#[test]
fn a_letter_of_another_script_is_told_with_the_one_to_write() {
    reads(
        format!("{HEAD}devices:\n  \u{440}ump: {{}}\n"),
        &[told("4:3", RULE, "`\u{440}` (U+0440, Cyrillic) looks like `p` (U+0070, Latin)", "write `pump`")],
    );
    reads(
        format!("{HEAD}devices:\n  pump: {{ zone: m\u{3bf}tor }}\nzones:\n  m\u{3bf}tor: {{}}\n"),
        &[told("4:17", RULE, "U+03BF, Greek", "write `motor`"), told("6:3", RULE, "U+03BF, Greek", "write `motor`")],
    );
}

#[test]
fn what_is_not_drawn_is_told_by_its_number() {
    reads(format!("{HEAD}devices:\n  pu\u{200b}mp: {{}}\n"), &[told("4:3", RULE, "`pu<U+200B>mp` holds", "out: `pump`")]);
    reads(format!("{HEAD}devices:\n  pu\u{202e}mp: {{}}\n"), &[told("4:3", RULE, "`pu<U+202E>mp` holds", "out: `pump`")]);
    reads(
        format!("{HEAD}zones:\n  cab: {{}}\ndevices:\n  pump: {{ zone: \"cab\u{a0}\" }}\n"),
        &[
            told("6:17", RULE, "`cab<U+00A0>` begins or ends with a blank", "out: `cab`"),
            told("6:17", "format/unknown-name", "no zone", "write `cab`"),
        ],
    );
    reads(format!("{HEAD}zones:\n  ca\u{65}\u{301}b: {{}}\n"), &[told("4:3", RULE, "U+0065 U+0301", "as U+00E9")]);
}

#[test]
fn names_that_differ_in_case_alone_are_told() {
    reads(
        format!("{HEAD}zones:\n  cab: {{}}\n  Cab: {{}}\ndevices:\n  F1: {{ zone: cab }}\n  f1: {{ zone: Cab }}\n"),
        &[told("8:3", RULE, "devices `F1` and `f1` differ in upper and lower case alone", "a name of its own").with("7:3")],
    );
    reads(
        format!(
            "{HEAD}looms:\n  a:\n    splices: {{ SA: {{}}, sa: {{}}, S1: {{}} }}\n    ends: {{ R1: {{ ring: M6 }} }}\n    wires:\n      \
             10a: {{ from: R1, to: SA }}\n      10A: {{ from: R1, to: sa }}\n      10: {{ from: SA, to: S1 }}\n      11: {{ from: sa, to: S1 }}\n"
        ),
        &[
            told("5:24", RULE, "splices `a.SA` and `a.sa`", "").with("5:16"),
            told("9:7", RULE, "wires `a.10a` and `a.10A`", "").with("8:7"),
        ],
    );
    // Pins of circular connectors have both cases, and each loom has its own names.
    reads(
        format!(
            "{HEAD}parts:\n  housings:\n    C: {{ family: c, positions: [A, a], contacts: pin }}\ndevices:\n  \
             horn: {{ ports: {{ J1: {{ housing: C, pins: {{ A: spare, a: spare }} }} }} }}\n"
        ),
        &[],
    );
}

#[test]
fn names_in_one_script_and_signs_of_units_are_sound() {
    for name in ["насос", "Kühlpumpe", "pompa-główna", "αντλία", "R-10kΩ", "C-470µF", "ポンプ", "R-10k\u{2126}"]
    {
        reads(format!("{HEAD}devices:\n  {name}: {{}}\n"), &[]);
    }
    // What is read by people alone may hold anything.
    reads(format!("{HEAD}devices:\n  pump: {{ note: \"\u{440}ump \u{200b} \u{a0}\" }}\n"), &[]);
}

#[test]
fn an_unknown_name_that_looks_like_a_known_one_says_what_differs() {
    // Wholly Cyrillic beside wholly Latin: each is sound, and they are not one name.
    let netlist = format!("{HEAD}zones:\n  cop: {{}}\ndevices:\n  pump: {{ zone: \u{441}\u{43e}\u{440} }}\n");
    let report = harness_tests::report(&netlist);
    let labels: Vec<&str> = report.findings.iter().map(|finding| finding.primary.text.as_str()).collect();
    assert_eq!(labels, ["did you mean `cop`? `\u{441}` (U+0441, Cyrillic) is not `c` (U+0063, Latin)"]);
    let key = harness_tests::report(&format!("{HEAD}z\u{43e}nes: {{}}\n"));
    let labels: Vec<&str> = key.findings.iter().map(|finding| finding.primary.text.as_str()).collect();
    assert_eq!(labels, ["did you mean `zones`? `\u{43e}` (U+043E, Cyrillic) is not `o` (U+006F, Latin)"]);
}
