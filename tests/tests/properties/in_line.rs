//! An element in line and a closed end are what two dummy splices were: the same findings, the same figures.

use super::gists;
use harness_tests::report;

fn design(inside: &str, splices: &str, one: &str, other: &str, closed: &str) -> String {
    format!(
        "format: 1
design: lamp
domains: {{ aux: {{ nominal: 12 V, max: 15 V, reference: chassis }} }}
parts:
  conductors: {{ thin: {{ standard: ISO 6722, rated: 105 degC, voltage: 60 V, wall: thin }} }}
  fuses: {{ f10: {{ standard: ISO 8820-3, type: C, rating: 10 A }} }}
policy: {{ ambient: 40 degC }}
devices:
  battery:
    ports: {{ POS: {{ stud: M8, role: supply, domain: aux }}, NEG: {{ stud: M8, role: return, domain: aux }} }}
    inside: {{ cell: {{ source: 12.6 V, resistance: 10 mohm, capacity: 20 Ah, positive: POS, negative: NEG }} }}
  lamp:
    ports: {{ A: {{ stud: M6, role: supply, domain: aux }}, B: {{ stud: M6, role: return, domain: aux }} }}
    inside: {{ l: {{ load: 9.5 A, from: A, to: B, kind: lamp }} }}
looms:
  l:
    wire: thin
    ends:
      R1: {{ ring: M8, bolts-to: battery.POS }}
      R2: {{ ring: M8, bolts-to: battery.NEG }}
      R3: {{ ring: M6, bolts-to: lamp.A }}
      R4: {{ ring: M6, bolts-to: lamp.B }}
    splices: {{ {splices} }}
    inside: {{ F9: {{ fuse: f10{inside} }} }}
    wires:
      1: {{ from: R1, to: {one}, size: 1.5 mm2, colour: RD, length: 100 mm }}
      2: {{ from: {other}, to: R3, size: 1.5 mm2, colour: RD, length: 1 m }}
      3: {{ from: R4, to: R2, size: 1.5 mm2, colour: BK, length: 1 m }}
      4: {{ from: {other}, {closed}, size: 1.5 mm2, colour: RD, length: 500 mm }}
"
    )
}

#[test]
fn it_is_judged_as_between_two_splices() {
    let dummies = report(&design(", from: S1, to: S2", "S1: {}, S2: {}, S3: {}", "S1", "S2", "to: S3, end: capped"));
    let in_line = report(&design("", "", "F9.1", "F9.2", "to: capped"));
    let old: Vec<String> =
        gists(&dummies).into_iter().map(|gist| gist.replace("l.S1", "l.F9.1").replace("l.S2", "l.F9.2")).collect();
    assert_eq!(old, gists(&in_line));
    // The fuse is loaded to 95 %: something has to be found, or nothing would have been compared.
    assert!(old.iter().any(|gist| gist.contains("l.F9")), "{old:?}");
}
