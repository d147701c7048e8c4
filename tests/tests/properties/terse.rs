//! What is written once for many is what each would be written out: no difference, the same findings; an edit of one changes one.

use super::gists;
use harness_core::{
    Analysis, Checker, Design, Document, MemoryFiles,
    diff::{Edits, changes, inventory},
};
use harness_tests::{report, words};

pub(super) const PUMP: &str = "\
format: 1
design: Pump
domains: { aux: { nominal: 12 V, max: 15 V, reference: chassis }, hv: { nominal: 350 V, max: 400 V, reference: floating } }
zones: { hood: { ambient: 40 degC } }
parts:
  conductors: { thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin, insulation: PVC } }
  fuses: { b10: { standard: ISO 8820-3, type: F, rating: 10 A } }
  housings:
    Q2M: { family: Q, face: [[1, 2]], seen-from: mating side, contacts: pin, key: A, current: 20 A, voltage: 60 V, takes: { size: 0.5 mm2 .. 2.5 mm2 } }
    Q2F: { family: Q, face: [[1, 2]], seen-from: wire side, contacts: socket, key: A, current: 20 A, voltage: 60 V, takes: { size: 0.5 mm2 .. 2.5 mm2 } }
  devices:
    motor: { ports: { J1: { housing: Q2M, pins: { 1: { signal: pump supply, role: supply, domain: aux }, 2: { signal: pump ground, role: return, domain: aux } } } }, inside: { m: { load: 4 A, from: J1.1, to: J1.2, kind: motor } } }
devices:
  battery: { zone: hood, ports: { P: { stud: M8, role: supply, domain: aux }, N: { stud: M8, role: return, domain: aux } }, inside: { c: { source: 12.6 V, resistance: 20 mohm, positive: P, negative: N } } }
  box: { zone: hood, ports: { IN: { stud: M8, domain: aux, role: supply }, E: { stud: M6, role: earth }, X: { stud: M6 }, J1: { housing: Q2M, pins: { 1: { signal: pump supply, role: supply, domain: aux }, 2: spare } } }, inside: { F1: { fuse: b10, from: IN, to: J1.1 } } }
  pump: { zone: hood, device: motor }
looms:
  l:
    wire: thin
    zone: hood
    ends:
      R1: { ring: M8, bolts-to: battery.P }
      R2: { ring: M8, bolts-to: battery.N }
      R3: { ring: M8, bolts-to: box.IN }
      P1: { housing: Q2F, mates: box.J1, plugged: [2] }
      P2: { mates: pump.J1, housing: Q2F }
    wires:
      1: { from: R1, to: R3, size: 1 mm2, colour: RD, length: 150 mm }
      2: { from: P1.1, to: P2.1, size: 1 mm2, colour: RD, length: 1 m }
      3: { from: P2.2, to: R2, size: 1 mm2, colour: BK, length: 1 m }
";

pub(super) fn swapped(text: &str, swaps: &[(&str, &str)]) -> String {
    swaps.iter().fold(text.to_owned(), |text, (before, now)| {
        assert!(text.contains(before), "`{before}` is not in the design");
        text.replace(before, now)
    })
}

/// The headlines of what differs.
fn told(one: &str, other: &str) -> Vec<String> {
    let read = |text: &str| inventory(&Document::read(&MemoryFiles::one("design.yaml", text), "design.yaml"));
    changes(&Edits::between(&read(one), &read(other))).iter().map(harness_core::diff::Change::headline).collect()
}

/// That two texts are one design, whatever is at fault in it.
fn is_the_same(terse: &str, plain: &str) {
    assert_eq!(told(plain, terse), [""; 0], "{terse}");
    assert_eq!(gists(&report(terse)), gists(&report(plain)), "{}", words(&report(terse)));
}

/// Each way to write a fact once, with the same written out.
const FORMS: [(&str, &[(&str, &str)]); 10] = [
    (
        "a device",
        &[
            (
                "  box: { zone: hood, ports: { IN: { stud: M8, domain: aux, role",
                "  box: { domain: aux, zone: hood, ports: { IN: { stud: M8, role",
            ),
            (
                "J1: { housing: Q2M, pins: { 1: { signal: pump supply, role: supply, domain: aux }, 2: spare",
                "J1: { housing: Q2M, pins: { 1: { signal: pump supply, role: supply }, 2: spare",
            ),
        ],
    ),
    (
        "a port over its device",
        &[
            (
                "  box: { zone: hood, ports: { IN: { stud: M8, domain: aux, role",
                "  box: { domain: hv, zone: hood, ports: { IN: { stud: M8, domain: aux, role",
            ),
            (
                "J1: { housing: Q2M, pins: { 1: { signal: pump supply, role: supply, domain: aux }, 2: spare",
                "Y: { stud: M6, role: supply }, J1: { domain: aux, role: supply, housing: Q2M, pins: { 1: { signal: pump supply }, 2: spare",
            ),
        ],
    ),
    (
        "a kind",
        &[
            ("motor: { ports", "motor: { domain: aux, ports"),
            (
                "role: supply, domain: aux }, 2: { signal: pump ground, role: return, domain: aux }",
                "role: supply }, 2: { signal: pump ground, role: return }",
            ),
        ],
    ),
    (
        "a port of a kind",
        &[
            ("motor: { ports: { J1: { ", "motor: { ports: { J1: { domain: aux, "),
            (
                "role: supply, domain: aux }, 2: { signal: pump ground, role: return, domain: aux }",
                "role: supply }, 2: { signal: pump ground, role: return }",
            ),
        ],
    ),
    (
        "a loom",
        &[
            ("    wire: thin", "    wire: thin\n    size: 1 mm2\n    colour: RD"),
            (" size: 1 mm2, colour: RD,", ""),
            (" size: 1 mm2, colour: BK,", " colour: BK,"),
        ],
    ),
    (
        "a housing",
        &[
            (
                "Q2F: { family: Q, face: [[1, 2]], seen-from: wire side, contacts: socket, key: A, current: 20 A, voltage: 60 V,",
                "Q2F: { mates-with: Q2M,",
            ),
            ("P1: { housing: Q2F, ", "P1: { "),
            (", housing: Q2F }", " }"),
        ],
    ),
    (
        "the other half",
        &[
            (
                "Q2M: { family: Q, face: [[1, 2]], seen-from: mating side, contacts: pin, key: A, current: 20 A, voltage: 60 V,",
                "Q2M: { mates-with: Q2F,",
            ),
            ("P1: { housing: Q2F, ", "P1: { "),
            (", housing: Q2F }", " }"),
        ],
    ),
    ("wires in words", &[("1: { from: R1, to: R3, size: 1 mm2, colour: RD, length: 150 mm }", "1: R1 to R3, 1 mm2, RD, 150 mm")]),
    (
        "pins in words",
        &[
            (
                "1: { signal: pump supply, role: supply, domain: aux }, 2: spare",
                "1: \"pump supply, supply, domain aux\", 2: spare",
            ),
            ("2: { signal: pump ground, role: return, domain: aux }", "2: 'pump ground, role return, domain aux'"),
        ],
    ),
    (
        "both halves",
        &[("Q2M: { family: Q, ", "Q2M: { mates-with: Q2F, family: Q, "), ("Q2F: { family: Q, ", "Q2F: { mates-with: Q2M, ")],
    ),
];

/// What is written out beside a form: studs that the plain design has not.
fn plain(form: &str) -> String {
    if form == "a port over its device" {
        swapped(PUMP, &[("X: { stud: M6 }, ", "X: { stud: M6 }, Y: { stud: M6, role: supply, domain: hv }, ")])
    } else {
        PUMP.to_owned()
    }
}

#[test]
fn what_is_written_once_is_what_is_written_out() {
    for (form, swaps) in FORMS {
        is_the_same(&swapped(PUMP, swaps), &plain(form));
        // The same with something at fault: findings too are those of the design written out.
        let fault = [("length: 1 m", "length: 60 m"), ("10 A }", "30 A }")];
        is_the_same(&swapped(&swapped(PUMP, swaps), &fault), &swapped(&plain(form), &fault));
    }
}

#[test]
fn a_default_falls_on_no_earth_and_on_nothing_that_is_spare_or_unsaid() {
    let terse = swapped(PUMP, FORMS[0].1);
    let design = Design::load(&MemoryFiles::one("design.yaml", terse.as_str()), "design.yaml");
    let analysis = Analysis::of_all(&design);
    let model = analysis.model();
    let domain = |name: &str| {
        let point = model.points().find(|(id, _)| model.point_name(*id) == name).map(|(id, _)| id).unwrap();
        model[point].pin.and_then(|pin| model[pin].domain).map(|(domain, _)| model.text(model[domain].name).to_owned())
    };
    assert_eq!(["box.IN", "box.J1.1"].map(domain), [Some("aux".to_owned()), Some("aux".to_owned())]);
    assert_eq!(["box.E", "box.X", "box.J1.2"].map(domain), [None, None, None]);
    // An earth that is said to be of none, and a stud that is kept out by hand.
    let kept = swapped(&terse, &[("X: { stud: M6 }", "X: { stud: M6, role: input, domain: none }")]);
    let plain = swapped(PUMP, &[("X: { stud: M6 }", "X: { stud: M6, role: input }")]);
    is_the_same(&kept, &plain);
}

#[test]
fn a_default_of_class_b_leaves_signals_of_class_a_alone() {
    let plug = |device: &str, port: &str, one: &str, two: &str| {
        format!(
            "format: 1\ndesign: Pack\ndomains: {{ aux: {{ nominal: 12 V, max: 15 V, reference: chassis }}, hv: {{ nominal: 350 V, max: 400 V, reference: floating }} }}\n\
             parts: {{ housings: {{ H: {{ family: H, positions: 3, contacts: socket, hv: yes, mixed: yes }} }} }}\n\
             devices: {{ pack: {{ {device} ports: {{ J: {{ housing: H, {port} pins: {{ 1: {{ role: supply{one} }}, 2: {{ role: return{one} }}, 3: {{ role: interlock{two} }} }} }} }} }} }}\n"
        )
    };
    is_the_same(&plug("", "domain: hv,", "", ""), &plug("", "", ", domain: hv", ""));
    is_the_same(&plug("domain: aux,", "domain: hv,", "", ""), &plug("", "", ", domain: hv", ", domain: aux"));
    is_the_same(&plug("domain: hv,", "", "", ", domain: aux"), &plug("", "", ", domain: hv", ", domain: aux"));
}

#[test]
fn a_device_fills_what_its_kind_leaves_open() {
    let open = swapped(
        PUMP,
        &[(
            "role: supply, domain: aux }, 2: { signal: pump ground, role: return, domain: aux }",
            "role: supply }, 2: { signal: pump ground, role: return }",
        )],
    );
    let terse = swapped(&open, &[("pump: { zone: hood, device: motor }", "pump: { zone: hood, device: motor, domain: aux }")]);
    assert_eq!(gists(&report(&terse)), gists(&report(PUMP)));
    // Where the kind says it, the device says it in vain.
    let vain = swapped(PUMP, &[("pump: { zone: hood, device: motor }", "pump: { zone: hood, device: motor, domain: hv }")]);
    let report = report(&vain);
    let said: Vec<&str> = report
        .findings
        .iter()
        .filter(|found| found.rule == "format/unused-default")
        .map(|found| found.headline.as_str())
        .collect();
    assert_eq!(said, ["the `domain` of device `pump` falls on nothing"]);
}

#[test]
fn each_slip_is_one_finding() {
    let terse = FORMS
        .iter()
        .filter(|(form, _)| ["a device", "a kind", "a loom", "a housing"].contains(form))
        .fold(PUMP.to_owned(), |text, (_, swaps)| swapped(&text, swaps));
    assert_eq!(gists(&report(&terse)), gists(&report(PUMP)));
    for (swap, said) in [
        (("box: { domain: aux", "box: { domain: aus"), "format/unknown-name: there is no voltage domain `aus`"),
        (
            ("box: { domain: aux", "box: { role: input, domain: aux"),
            "format/unused-default: the `role` of device `box` falls on nothing",
        ),
        (("box: { domain: aux", "box: { domian: aux"), "format/unknown-key: there is no key `domian` here"),
        (("colour: BK", "size: 1 mm2, colour: BK"), ""),
        (("    colour: RD", "    colour: RE"), "format/unexpected-value: `RE` is not a colour of IEC 60757"),
        (("size: 1 mm2\n", "size: 1 mm\n"), "format/quantity: `1 mm` is given in `mm`, which measures length"),
        (("mates-with: Q2M", "mates-with: Q2X"), "format/unknown-name: there is no housing `Q2X`"),
        (
            ("mates-with: Q2M", "mates-with: Q2M, key: B"),
            "format/unexpected-value: `Q2F` mates with `Q2M`, and the two have `key` B and A",
        ),
        (
            ("mates-with: Q2M", "mates-with: Q2M, contacts: pin"),
            "format/unexpected-value: `Q2F` mates with `Q2M`, and the two have both the same `contacts`",
        ),
        (
            ("mates-with: Q2M", "mates-with: Q2M, family: R"),
            "format/unexpected-value: `Q2F` mates with `Q2M`, and the two have `family` R and Q",
        ),
    ] {
        let report = report(&swapped(&terse, &[swap]));
        let found = report.findings.iter().filter(|found| found.rule.starts_with("format/"));
        let found: Vec<String> = found.map(|found| format!("{}: {}", found.rule, found.headline)).collect();
        let said: Vec<&str> = Some(said).into_iter().filter(|said| !said.is_empty()).collect();
        assert!(
            found.len() == said.len() && found.iter().zip(&said).all(|(one, other)| one.starts_with(other)),
            "{swap:?}: {found:?}"
        );
    }
}

#[test]
fn an_edit_of_one_wire_leaves_the_others() {
    let maps = an_edit_of_one_wire(&[]);
    // The same for wires in words.
    let words = an_edit_of_one_wire(&[
        ("{ from: R1, to: R3, colour: RD, length: 150 mm }", "R1 to R3, RD, 150 mm"),
        ("{ from: P1.1, to: P2.1, colour: RD, length: 1 m }", "\"P1.1 to P2.1, RD, 1 m\""),
        ("{ from: P2.2, to: R2, colour: BK, length: 1 m }", "P2.2 to R2  # back"),
    ]);
    assert_eq!(maps, words);
}

/// The remedies of sizes in the words of the check.
fn an_edit_of_one_wire(more: &[(&str, &str)]) -> Vec<String> {
    let terse = swapped(
        PUMP,
        &[
            ("    wire: thin", "    wire: thin\n    size: 0.35 mm2"),
            (" size: 1 mm2,", ""),
            ("10 A }", "5 A }"),
            ("load: 4 A", "load: 2 A"),
        ],
    );
    let terse = swapped(&terse, more);
    let files = MemoryFiles::one("design.yaml", terse.as_str());
    let checker = Checker::new().try_remedies();
    let report = harness_core::check(&files, "design.yaml", &checker);
    let mut tried = Vec::new();
    for finding in &report.findings {
        let Some(offer) = finding.offer.as_ref().filter(|offer| offer.tried && offer.remedy.words.contains("mm2")) else {
            continue;
        };
        tried.push(offer.remedy.words.clone());
        let mut edits = offer.remedy.edits.clone();
        edits.sort_by_key(|edit| std::cmp::Reverse(edit.span.start));
        let mut text = terse.clone();
        for edit in &edits {
            text.replace_range(edit.span.start as usize..edit.span.end as usize, &edit.text);
        }
        let changed: Vec<String> = told(&terse, &text);
        assert_eq!(changed.len(), edits.len(), "{}: {changed:?}", offer.remedy.words);
        assert!(text.contains("    size: 0.35 mm2\n"), "the size of the loom stays: {text}");
        assert!(text.contains(if more.is_empty() { ", size: 0." } else { ", 0." }), "{text}");
    }
    assert!(tried.len() >= 2, "{}", words(&report));
    tried
}
