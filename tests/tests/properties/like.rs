//! A thing that is like another, and a range of kinds, are what they would be written out: no difference, the same findings; an edit of
//! one changes one.

use super::gists;
use harness_core::{
    Checker, Document, MemoryFiles,
    diff::{Edits, changes, inventory},
};
use harness_tests::{report, words};

/// Two lamps, each with its switch and fuse, from one battery; nothing is taken over.
const LAMPS: &str = "\
format: 1
design: Lamps
domains:
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
  low: { nominal: 5 V, max: 6 V, reference: chassis }
zones: { hood: { ambient: 40 degC, wet: no }, rear: { ambient: 40 degC, wet: no } }
parts:
  conductors:
    thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin, insulation: PVC }
    hot: { standard: ISO 6722-1, rated: 125 degC, voltage: 60 V, wall: thin, insulation: PVC }
  fuses:
    b5: { standard: ISO 8820-3, type: F, rating: 5 A }
    b10: { standard: ISO 8820-3, type: F, rating: 10 A }
  housings:
    Q2A-P: { family: Q, positions: 2, contacts: pin, key: A, current: 20 A, voltage: 60 V, takes: { size: 0.5 mm2 .. 2.5 mm2 } }
    Q2B-P: { family: Q, positions: 2, contacts: pin, key: B, current: 20 A, voltage: 60 V, takes: { size: 0.5 mm2 .. 2.5 mm2 } }
    Q2C-P: { family: Q, positions: 2, contacts: pin, key: C, current: 20 A, voltage: 60 V, takes: { size: 0.5 mm2 .. 2.5 mm2 } }
    Q2A-S: { mates-with: Q2A-P, takes: { size: 0.5 mm2 .. 2.5 mm2 } }
    Q2B-S: { mates-with: Q2B-P, takes: { size: 0.5 mm2 .. 2.5 mm2 } }
    Q2C-S: { mates-with: Q2C-P, takes: { size: 0.5 mm2 .. 2.5 mm2 } }
devices:
  battery: { zone: hood, domain: aux, ports: { P: { stud: M8, role: supply }, N: { stud: M8, role: return } }, inside: { c: { source: 12.6 V, resistance: 20 mohm, positive: P, negative: N } } }
  box:
    zone: hood
    domain: aux
    ports:
      IN: { stud: M8, role: supply }
      J1: { housing: Q2A-P, pins: { 1: { signal: left lamp, role: supply }, 2: { signal: right lamp, role: supply } } }
    inside:
      F1: { fuse: b10, from: IN, to: J1.1 }
      F2: { fuse: b10, from: IN, to: J1.2 }
  left:
    zone: rear
    domain: aux
    function: safety
    ports: { J1: { housing: Q2B-P, pins: { 1: { signal: left lamp, role: supply }, 2: { signal: ground, role: return } } } }
    inside: { lamp: { load: 3 A, from: J1.1, to: J1.2, kind: lamp } }
  right:
    zone: rear
    domain: aux
    function: safety
    ports: { J1: { housing: Q2C-P, pins: { 1: { signal: right lamp, role: supply }, 2: { signal: ground, role: return } } } }
    inside: { lamp: { load: 3 A, from: J1.1, to: J1.2, kind: lamp } }
looms:
  l:
    wire: thin
    zone: rear
    ends:
      R1: { ring: M8, bolts-to: battery.P }
      R2: { ring: M8, bolts-to: battery.N }
      R3: { ring: M8, bolts-to: box.IN }
      P1: { housing: Q2A-S, mates: box.J1 }
      P2: { housing: Q2B-S, mates: left.J1 }
      P3: { housing: Q2C-S, mates: right.J1 }
    splices: { S1: {} }
    wires:
      1: { from: R1, to: R3, size: 2.5 mm2, colour: RD, length: 150 mm }
      2: { from: P1.1, to: P2.1, size: 1 mm2, colour: RD, length: 1 m }
      3: { from: P1.2, to: P3.1, size: 1 mm2, colour: RD, length: 1 m }
      4: { from: P2.2, to: S1, size: 1 mm2, colour: BK, length: 1 m }
      5: { from: P3.2, to: S1, size: 1 mm2, colour: BK, length: 1 m }
      6: { from: S1, to: R2, size: 1.5 mm2, colour: BK, length: 1 m }
";

fn swapped(text: &str, swaps: &[(&str, &str)]) -> String {
    swaps.iter().fold(text.to_owned(), |text, (before, now)| {
        assert!(text.contains(before), "`{before}` is not in the design");
        text.replacen(before, now, 1)
    })
}

fn told(one: &MemoryFiles, other: &MemoryFiles) -> Vec<String> {
    let read = |files: &MemoryFiles| inventory(&Document::read(files, "design.yaml"));
    changes(&Edits::between(&read(one), &read(other))).iter().map(harness_core::diff::Change::headline).collect()
}

fn one(text: &str) -> MemoryFiles {
    MemoryFiles::one("design.yaml", text)
}

/// That two texts are one design, whatever is at fault in it.
fn is_the_same(terse: &str, plain: &str) {
    assert_eq!(told(&one(plain), &one(terse)), [""; 0], "{terse}");
    assert_eq!(gists(&report(terse)), gists(&report(plain)), "{}", words(&report(terse)));
}

/// Each place where a thing may be like another, with the same written out.
const FORMS: [(&str, &[(&str, &str)]); 12] = [
    (
        "kinds of housings, one after the other",
        &[
            (
                "Q2B-P: { family: Q, positions: 2, contacts: pin, key: B, current: 20 A, voltage: 60 V, takes: { size: 0.5 mm2 .. 2.5 mm2 } }",
                "Q2B-P: { like: Q2A-P, key: B }",
            ),
            (
                "Q2C-P: { family: Q, positions: 2, contacts: pin, key: C, current: 20 A, voltage: 60 V, takes: { size: 0.5 mm2 .. 2.5 mm2 } }",
                "Q2C-P: { key: C, like: Q2B-P }",
            ),
            ("Q2C-S: { mates-with: Q2C-P, takes: { size: 0.5 mm2 .. 2.5 mm2 } }", "Q2C-S: { like: Q2A-S, mates-with: Q2C-P }"),
        ],
    ),
    (
        "the one before is like the one behind it",
        &[(
            "Q2A-P: { family: Q, positions: 2, contacts: pin, key: A, current: 20 A, voltage: 60 V, takes: { size: 0.5 mm2 .. 2.5 mm2 } }",
            "Q2A-P: { like: Q2C-P, key: A }",
        )],
    ),
    ("kinds of fuses", &[("b10: { standard: ISO 8820-3, type: F, rating: 10 A }", "b10: { like: b5, rating: 10 A }")]),
    (
        "kinds of wire",
        &[(
            "hot: { standard: ISO 6722-1, rated: 125 degC, voltage: 60 V, wall: thin, insulation: PVC }",
            "hot: { like: thin, rated: 125 degC }",
        )],
    ),
    ("elements", &[("F2: { fuse: b10, from: IN, to: J1.2 }", "F2: { to: J1.2, like: F1 }")]),
    (
        "devices",
        &[(
            "  right:\n    zone: rear\n    domain: aux\n    function: safety\n    ports: { J1: { housing: Q2C-P, pins: { 1: { signal: right lamp, role: supply }, 2: { signal: ground, role: return } } } }\n    inside: { lamp: { load: 3 A, from: J1.1, to: J1.2, kind: lamp } }\n",
            "  right:\n    like: left\n    ports: { J1: { housing: Q2C-P, pins: { 1: { signal: right lamp, role: supply }, 2: { signal: ground, role: return } } } }\n",
        )],
    ),
    (
        "ports and ends",
        &[
            ("N: { stud: M8, role: return }", "N: { like: P, role: return }"),
            ("R2: { ring: M8, bolts-to: battery.N }", "R2: { like: R1, bolts-to: battery.N }"),
            ("R3: { ring: M8, bolts-to: box.IN }", "R3: { like: R2, bolts-to: box.IN }"),
        ],
    ),
    (
        "pins",
        &[("2: { signal: right lamp, role: supply } } }\n    inside", "2: { like: 1, signal: right lamp } } }\n    inside")],
    ),
    (
        "wires",
        &[
            ("3: { from: P1.2, to: P3.1, size: 1 mm2, colour: RD, length: 1 m }", "3: { like: 2, from: P1.2, to: P3.1 }"),
            ("5: { from: P3.2, to: S1, size: 1 mm2, colour: BK, length: 1 m }", "5: { from: P3.2, like: 4 }"),
        ],
    ),
    (
        "zones and domains",
        &[
            ("rear: { ambient: 40 degC, wet: no }", "rear: { like: hood }"),
            ("low: { nominal: 5 V, max: 6 V, reference: chassis }", "low: { like: aux, nominal: 5 V, max: 6 V }"),
        ],
    ),
    (
        "a range of kinds",
        &[
            (
                "Q2B-P: { family: Q, positions: 2, contacts: pin, key: B, current: 20 A, voltage: 60 V, takes: { size: 0.5 mm2 .. 2.5 mm2 } }",
                "Q2B-P..Q2C-P: { like: Q2A-P, key: B..C }",
            ),
            (
                "    Q2C-P: { family: Q, positions: 2, contacts: pin, key: C, current: 20 A, voltage: 60 V, takes: { size: 0.5 mm2 .. 2.5 mm2 } }\n",
                "",
            ),
            (
                "Q2B-S: { mates-with: Q2B-P, takes: { size: 0.5 mm2 .. 2.5 mm2 } }",
                "Q2B-S .. Q2C-S: { mates-with: Q2B-P..Q2C-P, like: Q2A-S }",
            ),
            ("    Q2C-S: { mates-with: Q2C-P, takes: { size: 0.5 mm2 .. 2.5 mm2 } }\n", ""),
        ],
    ),
    (
        "a range that others are like",
        &[
            (
                "Q2A-P: { family: Q, positions: 2, contacts: pin, key: A, current: 20 A, voltage: 60 V, takes: { size: 0.5 mm2 .. 2.5 mm2 } }",
                "\"Q2A-P..Q2B-P\":\n      family: Q\n      positions: 2\n      contacts: pin\n      key: A..B\n      current: 20 A\n      voltage: 60 V\n      takes: { size: 0.5 mm2 .. 2.5 mm2 }",
            ),
            (
                "    Q2B-P: { family: Q, positions: 2, contacts: pin, key: B, current: 20 A, voltage: 60 V, takes: { size: 0.5 mm2 .. 2.5 mm2 } }\n",
                "",
            ),
            (
                "Q2C-P: { family: Q, positions: 2, contacts: pin, key: C, current: 20 A, voltage: 60 V, takes: { size: 0.5 mm2 .. 2.5 mm2 } }",
                "Q2C-P: { like: Q2B-P, key: C }",
            ),
        ],
    ),
];

/// Faults that a design may have besides.
const FAULTS: [&[(&str, &str)]; 3] = [
    &[("size: 1.5 mm2, colour: BK", "size: 0.35 mm2, colour: BK"), ("load: 3 A", "load: 30 A")],
    &[("P2: { housing: Q2B-S", "P2: { housing: Q2C-S")],
    &[("positions: 2", "positions: 3"), ("current: 20 A", "current: 2 A")],
];

#[test]
fn a_thing_that_is_like_another_is_what_it_is_written_out() {
    for (form, swaps) in FORMS {
        let terse = swapped(LAMPS, swaps);
        is_the_same(&terse, LAMPS);
        for fault in FAULTS {
            // A fault of the one that others are like is theirs too, and then not that of the design written out.
            if fault.iter().all(|(before, _)| terse.matches(before).count() == LAMPS.matches(before).count()) {
                is_the_same(&swapped(&terse, fault), &swapped(LAMPS, fault));
            }
        }
        assert!(!form.is_empty());
    }
    let all = FORMS.iter().filter(|(form, _)| {
        !["the one before is like the one behind it", "a range of kinds", "a range that others are like"].contains(form)
    });
    is_the_same(&all.fold(LAMPS.to_owned(), |text, (_, swaps)| swapped(&text, swaps)), LAMPS);
}

#[test]
fn what_is_said_of_one_thing_alone_is_not_taken_over() {
    let terse = swapped(
        LAMPS,
        &[
            ("F1: { fuse: b10,", "F1: { note: \"left lamp\", fuse: b10,"),
            ("F2: { fuse: b10, from: IN, to: J1.2 }", "F2: { like: F1, to: J1.2 }"),
        ],
    );
    is_the_same(&terse, &swapped(LAMPS, &[("F1: { fuse: b10,", "F1: { note: \"left lamp\", fuse: b10,")]));
}

#[test]
fn in_which_file_a_thing_is_says_nothing() {
    let (_, swaps) = FORMS[0];
    let terse = swapped(LAMPS, swaps);
    // The housings that are like another in a file of their own, before or behind the other file.
    let (kept, moved): (Vec<&str>, Vec<&str>) = terse.lines().partition(|line| !line.contains("like: "));
    assert_eq!(moved.len(), 3);
    let more = format!("parts:\n  housings:\n{}\n", moved.join("\n"));
    let rest = kept.join("\n").replacen("design: Lamps\n", "", 1).replacen("format: 1\n", "", 1);
    for order in [["kinds.yaml", "rest.yaml"], ["rest.yaml", "kinds.yaml"]] {
        let root = format!("format: 1\ndesign: Lamps\ninclude: [{}]\n", order.join(", "));
        let files = one(&root).and("kinds.yaml", more.as_str()).and("rest.yaml", format!("{rest}\n"));
        assert_eq!(told(&one(LAMPS), &files), [""; 0]);
        let checked = harness_core::check(&files, "design.yaml", &Checker::new());
        assert_eq!(gists(&checked), gists(&report(LAMPS)));
    }
}

/// A device of a design with `like` in all sorts of places, one that takes part of the map of another.
#[test]
fn a_map_inside_is_taken_whole_or_not_at_all() {
    let written = "Q2C-P: { family: Q, positions: 2, contacts: pin, key: C, current: 20 A, voltage: 60 V, takes: { size: 0.5 mm2 .. 2.5 mm2 } }";
    let terse = swapped(LAMPS, &[(written, "Q2C-P: { like: Q2B-P, key: C, takes: { insulation: 1 mm .. 3 mm } }")]);
    let plain = written.replace("size: 0.5 mm2 .. 2.5 mm2", "insulation: 1 mm .. 3 mm");
    let plain = swapped(LAMPS, &[(written, &plain)]);
    is_the_same(&terse, &plain);
}

#[test]
fn an_edit_changes_one_thing() {
    // Wires too thin, fuses too large, a plug with the wrong key: what is offered is tried, and each edit changes what it says.
    let faults: [&[(&str, &str)]; 3] = [
        &[
            ("2: { from: P1.1, to: P2.1, size: 1 mm2", "2: { from: P1.1, to: P2.1, size: 0.5 mm2"),
            ("b10: { like: b5, rating: 10 A }", "b10: { like: b5, rating: 20 A }"),
        ],
        &[("F1: { fuse: b10", "F1: { fuse: b5"), ("load: 3 A", "load: 6 A")],
        &[("P2: { housing: Q2B-S", "P2: { housing: Q2C-S")],
    ];
    let all = FORMS.iter().filter(|(form, _)| {
        ["kinds of fuses", "elements", "wires", "devices", "ports and ends", "a range of kinds"].contains(form)
    });
    let terse = all.fold(LAMPS.to_owned(), |text, (_, swaps)| swapped(&text, swaps));
    let (mut offers, mut edited) = (0, 0);
    for fault in faults {
        let text = swapped(&terse, fault);
        let checked = harness_core::check(&one(&text), "design.yaml", &Checker::new().try_remedies());
        assert!(!checked.findings.is_empty(), "{fault:?}\n{text}");
        for finding in &checked.findings {
            let candidates = finding.finding.remedies.iter().chain(finding.offer.as_ref().map(|offer| &offer.remedy));
            for remedy in candidates {
                offers += 1;
                let mut edits = remedy.edits.clone();
                edits.sort_by_key(|edit| std::cmp::Reverse(edit.span.start));
                edits.dedup();
                edited += edits.len();
                let mut after = text.clone();
                for edit in &edits {
                    after.replace_range(edit.span.start as usize..edit.span.end as usize, &edit.text);
                }
                let changed = told(&one(&text), &one(&after));
                assert!(changed.len() <= edits.len(), "{}: {changed:?}\n{after}", remedy.words);
            }
        }
    }
    assert!(offers >= 3 && edited >= offers, "{offers} offers with {edited} edits");
}

/// The demo is terse; written out it says the same in half as many bytes again, and more.
#[test]
fn the_terse_demo_says_what_it_says_written_out() {
    let [terse, plain] = ["terrace-tractor", "written-out/terrace-tractor"].map(|folder| harness_tests::fixtures().join(folder));
    let read = |folder: &std::path::Path| {
        let (folder, root) = harness_tests::corpus::place(&folder.join("tractor.yaml"));
        inventory(&Document::read(&folder, &root))
    };
    let differences = Edits::between(&read(&plain), &read(&terse));
    assert!(
        differences.is_empty(),
        "{:?}",
        changes(&differences).iter().map(harness_core::diff::Change::headline).collect::<Vec<_>>()
    );
    let bytes = |folder: &std::path::Path| {
        harness_tests::netlists(folder).iter().map(|path| std::fs::metadata(path).unwrap().len()).sum::<u64>()
    };
    let (terse, plain) = (bytes(&terse), bytes(&plain));
    assert!(terse * 3 <= plain * 2, "{terse} of {plain} bytes");
}

/// The one file of a design after tidying.
fn tidied(text: &str) -> String {
    match harness_core::tidy(&one(text), "design.yaml").remove("design.yaml") {
        Some(harness_core::Outcome::Changed { new, .. }) => new,
        Some(harness_core::Outcome::Tidy) => text.to_owned(),
        other => panic!("{other:?}"),
    }
}

#[test]
fn tidy_writes_what_is_alike_once() {
    let new = tidied(LAMPS);
    assert_eq!(told(&one(LAMPS), &one(&new)), [""; 0]);
    let lines: Vec<&str> = new.lines().map(str::trim).collect();
    for line in [
        "Q2A-P..Q2C-P: { family: Q, positions: 2, contacts: pin, key: A..C, takes: { size: 0.5 mm2 .. 2.5 mm2 }, current: 20 A, voltage: 60 V }",
        "Q2A-S..Q2C-S: { mates-with: Q2A-P..Q2C-P, takes: { size: 0.5 mm2 .. 2.5 mm2 } }",
        "hot:  { like: thin, rated: 125 degC }",
        // Two keys less are not worth a look at another line.
        "F2: { fuse: b10, from: IN, to: J1.2 }",
        "R3: { ring: M8, bolts-to: box.IN }",
    ] {
        assert!(lines.contains(&line), "`{line}` is not in:\n{new}");
    }
    // What has a comment of its own keeps it, and is not made into one with others.
    let commented = swapped(LAMPS, &[("    Q2B-P:", "    # The right one.\n    Q2B-P:")]);
    let new = tidied(&commented);
    assert!(new.contains("    # The right one.\n    Q2B-P..Q2C-P: { like: Q2A-P, key: B..C }\n"), "{new}");
    // Of another family, with a key less, or of another kind: not alike.
    let other = swapped(
        LAMPS,
        &[
            ("Q2C-P: { family: Q,", "Q2C-P: { family: R,"),
            ("wall: thin, insulation: PVC }\n    hot: {", "wall: thin, insulation: PVC }\n    hot: { note: new,"),
        ],
    );
    let new = tidied(&other);
    assert!(
        new.contains("{ family: R, positions: 2,") && new.contains("hot:  { like: thin, rated: 125 degC, note: new }"),
        "{new}"
    );
}
