//! Two tables of one plug, one of them made from the other side, upside down or with its rows swapped: one finding with one cure, however the
//! positions are numbered.

use super::plugs::{causes, folded, sprayer};
use harness_core::{Cause, Checker, MemoryFiles, apply};
use harness_tests::words;

/// The labels of a plug as they are seen on its face, and how its housings say so.
struct Scheme {
    name: &'static str,
    face: [[&'static str; 4]; 2],
    plug: &'static str,
    mate: &'static str,
}

const BY_ROWS: [[&str; 4]; 2] = [["1", "2", "3", "4"], ["5", "6", "7", "8"]];

const SCHEMES: [Scheme; 8] = [
    Scheme {
        name: "by rows",
        face: BY_ROWS,
        plug: "face: [[1, 2, 3, 4], [5, 6, 7, 8]], seen-from: mating side",
        mate: "face: [[4, 3, 2, 1], [8, 7, 6, 5]], seen-from: mating side",
    },
    Scheme {
        name: "by rows, one face from the wires",
        face: BY_ROWS,
        plug: "face: [[1, 2, 3, 4], [5, 6, 7, 8]], seen-from: wire side",
        mate: "face: [[1, 2, 3, 4], [5, 6, 7, 8]], seen-from: mating side",
    },
    Scheme {
        name: "the face of the mate alone",
        face: BY_ROWS,
        plug: "positions: 8",
        mate: "face: [[1, 2, 3, 4], [5, 6, 7, 8]], seen-from: mating side",
    },
    Scheme {
        name: "by columns",
        face: [["1", "3", "5", "7"], ["2", "4", "6", "8"]],
        plug: "face: [[1, 3, 5, 7], [2, 4, 6, 8]], seen-from: mating side",
        mate: "face: [[7, 5, 3, 1], [8, 6, 4, 2]], seen-from: mating side",
    },
    Scheme {
        name: "to and fro",
        face: [["1", "2", "3", "4"], ["8", "7", "6", "5"]],
        plug: "face: [[1, 2, 3, 4], [8, 7, 6, 5]], seen-from: mating side",
        mate: "positions: 8",
    },
    Scheme {
        name: "letters",
        face: [["A", "B", "C", "D"], ["E", "F", "G", "H"]],
        plug: "face: [[A, B, C, D], [E, F, G, H]], seen-from: mating side",
        mate: "positions: [A, B, C, D, E, F, G, H]",
    },
    Scheme {
        name: "rows of letters, listed by rows",
        face: [["A1", "A2", "A3", "A4"], ["B1", "B2", "B3", "B4"]],
        plug: "positions: [A1, A2, A3, A4, B1, B2, B3, B4]",
        mate: "positions: [A1, A2, A3, A4, B1, B2, B3, B4]",
    },
    Scheme {
        name: "rows of letters, listed by columns",
        face: [["A1", "A2", "A3", "A4"], ["B1", "B2", "B3", "B4"]],
        plug: "positions: [B4, A4, B3, A3, B2, A2, B1, A1]",
        mate: "positions: [A1, B1, A2, B2, A3, B3, A4, B4]",
    },
];

type Image = fn((usize, usize)) -> (usize, usize);

/// Where the wire of each place is in the other table: row and column.
const IMAGES: [(&str, Image); 3] = [
    ("each row of plug `main.C2` is numbered from the other side: cavity ", |(row, column)| (row, 3 - column)),
    ("plug `main.C2` is numbered upside down: cavity ", |(row, column)| (1 - row, 3 - column)),
    ("the rows of plug `main.C2` are swapped: cavity ", |(row, column)| (1 - row, column)),
];

/// The sound design with the labels of a scheme at its second plug, whose wires are at the image of their places.
fn drawn(scheme: &Scheme, image: Image) -> String {
    let place = |number: usize| ((number - 1) / 4, (number - 1) % 4);
    let label = |(row, column): (usize, usize)| scheme.face[row][column];
    let numbers = |text: &str| text.parse::<usize>().expect("the design counts its positions");
    let mut text = String::new();
    for line in sprayer().lines() {
        let mut line = line.to_owned();
        // First none of the numbers, then the labels: a label may be the number of another place.
        for number in 1..=8 {
            line = line.replace(&format!("J2.{number}"), &format!("J2.<{number}>"));
        }
        for number in 1..=8 {
            line = line.replace(&format!("<{number}>"), label(place(number)));
        }
        let is_key = |name: &str| line.trim_start().starts_with(name);
        if is_key("S8-B:") || is_key("P8-B:") {
            line = line.replace("positions: 8", if is_key("S8-B:") { scheme.plug } else { scheme.mate });
        } else if is_key("J2:") {
            for number in 1..=8 {
                for start in ["{ ", ", "] {
                    line = line.replace(&format!("{start}{number}: "), &format!("{start}'{}': ", label(place(number))));
                }
            }
        } else if is_key("C2:") {
            let spare = [7, 8].map(|number| format!("'{}'", label(image(place(number)))));
            line = line.replace("plugged: [7, 8]", &format!("plugged: [{}]", spare.join(", ")));
        } else if let Some((head, tail)) = line.split_once("from: C2.") {
            let (number, rest) = tail.split_once(',').expect("a wire has more than one end");
            line = format!("{head}from: C2.{},{rest}", label(image(place(numbers(number)))));
        }
        text += &line;
        text += "\n";
    }
    text
}

#[test]
fn a_sound_plug_is_clean_in_every_scheme() {
    for scheme in &SCHEMES {
        let report = folded(&drawn(scheme, |place| place));
        assert!(causes(&report).is_empty(), "{}: {}", scheme.name, words(&report));
    }
}

#[test]
fn two_tables_that_are_images_of_each_other_are_one_finding_with_one_cure() {
    for scheme in &SCHEMES {
        for (headline, image) in IMAGES {
            let text = drawn(scheme, image);
            let report = folded(&text);
            let [cause] = causes(&report)[..] else { panic!("{}, {headline}: {}", scheme.name, words(&report)) };
            assert!(cause.headline.starts_with(headline), "{}: {}", scheme.name, cause.headline);
            let offer = cause.offer.as_ref().expect("a cure is offered");
            assert!(offer.tried && offer.others == 0, "{}", scheme.name);
            let mut edits = offer.remedy.edits.clone();
            edits.sort_by_key(|edit| std::cmp::Reverse(edit.span.start));
            let mut cured = text.clone();
            for edit in edits {
                cured.replace_range(edit.span.start as usize..edit.span.end as usize, &edit.text);
            }
            let wires =
                |text: &str| text.lines().filter(|line| line.contains("from: C2.")).map(str::to_owned).collect::<Vec<_>>();
            assert_eq!(wires(&cured), wires(&drawn(scheme, |place| place)), "{}, {headline}", scheme.name);
            assert!(causes(&folded(&cured)).is_empty(), "{}, {headline}: {}", scheme.name, words(&folded(&cured)));
        }
    }
}

/// The part was drawn from the other side and its plug populated by that drawing: the faces and the wires are one cause.
#[test]
fn faces_and_the_wires_that_follow_one_of_them_are_one_cause() {
    let [by_rows, ..] = SCHEMES;
    let face = "face: [[1, 2, 3, 4], [5, 6, 7, 8]], seen-from: mating side";
    let scheme = Scheme { mate: face, ..by_rows };
    let [(_, image), ..] = IMAGES;
    let alone = folded(&drawn(&scheme, |place| place));
    assert_eq!(
        causes(&alone).iter().map(|finding| finding.rule).collect::<Vec<_>>(),
        ["mating/mirrored-face"],
        "{}",
        words(&alone)
    );
    let report = folded(&drawn(&scheme, image));
    let rules = |cause: &Cause| report.findings[cause.findings.clone()].iter().map(|finding| finding.rule).collect();
    let of_cause: Vec<Vec<&str>> = report.causes.iter().map(rules).collect();
    let of_faces = of_cause.iter().find(|rules| rules.contains(&"mating/mirrored-face"));
    assert!(of_faces.is_some_and(|rules| rules.contains(&"netlist/misnumbered-plug")), "{of_cause:?}");
}

/// Two halves of one family that are numbered by two schemes: the map of the faces is proposed, and written it leaves nothing.
#[test]
fn halves_numbered_by_two_schemes_get_the_map_of_their_faces() {
    let design = |style: &str, mate: &str| {
        format!(
            "format: 1\ndesign: Cider press\nparts:\n  housings:\n    \
             QL-F: {{ family: QL, face: [[1, 2, 3], [4, 5, 6]], seen-from: mating side, contacts: socket, key: A }}\n    \
             QL-M: {{ family: QL, {mate}, seen-from: mating side, contacts: pin, key: A }}\n\
             devices:\n  press: {{ ports: {{ J1: {{ housing: QL-M }} }} }}\nlooms:\n  press:\n    ends:\n{style}"
        )
    };
    let styles = [
        "      P1: { housing: QL-F, mates: press.J1 }\n",
        "      P1: { mates: press.J1, housing: QL-F }\n",
        "      P1:\n        housing: QL-F\n        mates: press.J1\n",
    ];
    let mates = [
        ("face: [[c, b, a], [f, e, d]]", "mating/position-mismatch", "pins: { 1: a, 2: b, 3: c, 4: d, 5: e, 6: f }"),
        ("face: [[5, 3, 1], [6, 4, 2]]", "mating/mirrored-face", "pins: { 1: 1, 2: 3, 3: 5, 4: 2, 5: 4, 6: 6 }"),
    ];
    for style in styles {
        for (mate, rule, map) in mates {
            let text = design(style, mate);
            let report = folded(&text);
            let [cause] = causes(&report)[..] else { panic!("{mate}: {}", words(&report)) };
            assert_eq!(cause.rule, rule);
            let offer = cause.offer.as_ref().expect("the map is offered");
            assert!(offer.tried, "{}", words(&report));
            let [edit] = offer.remedy.edits.as_slice() else { panic!("{:?}", offer.remedy) };
            assert!(edit.text.contains(map), "{}", edit.text);
            let mut written = text.clone();
            written.insert_str(edit.span.end as usize, &edit.text);
            assert!(causes(&folded(&written)).is_empty(), "{written}\n{}", words(&folded(&written)));
            // What a design says is not written without asking.
            let done = apply(&MemoryFiles::one("design.yaml", text), "design.yaml", &Checker::new());
            assert_eq!(done.written, []);
        }
    }
}
