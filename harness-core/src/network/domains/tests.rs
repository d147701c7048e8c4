//! The walk against slow floods and shortest ways over the same edges.

use super::*;
use crate::{design::Design, files::MemoryFiles, model::Model};
use proptest::prelude::*;

fn built(text: &str) -> Design {
    let design = Design::load(&MemoryFiles::one("design.yaml", text), "design.yaml");
    assert!(design.mistakes().is_empty(), "{:?}", design.mistakes());
    design
}

fn point(model: &Model, name: &str) -> PointId {
    model.points().map(|(id, _)| id).find(|id| model.point_name(*id) == name).expect("the point is in the design")
}

fn domain_at<'m>(model: &'m Model, domains: &Domains, name: &str) -> &'m str {
    let domain = domains.of(point(model, name)).map(|domain| &model[domain]);
    domain.map_or("none", |domain| model.text(domain.name))
}

#[test]
fn a_splice_belongs_to_the_domain_of_most_of_its_wires_and_a_divider_to_the_side_of_least_resistance() {
    let design = built(
        "format: 1
design: test
domains:
  low: { nominal: 12 V, max: 15 V, reference: chassis }
  high: { nominal: 300 V, max: 350 V, reference: floating }
devices:
  box:
    ports:
      A: { stud: M6, domain: low }
      B: { stud: M6, domain: high }
      C: { stud: M6, domain: high }
    nodes: [TAP]
    inside:
      upper: { resistor: 1 Mohm, from: B, to: TAP }
      lower: { resistor: 10 kohm, from: TAP, to: A }
looms:
  l:
    ends:
      R1: { ring: M6, bolts-to: box.A }
      R2: { ring: M6, bolts-to: box.B }
      R3: { ring: M6, bolts-to: box.C }
    splices: { S: {} }
    wires:
      1: { from: R1, to: S }
      2: { from: R2, to: S }
      3: { from: R3, to: S }
",
    );
    let (model, network) = (design.model(), design.network());
    let domains = domains(network);
    assert_eq!(domain_at(model, &domains, "l.S"), "high");
    assert_eq!(domain_at(model, &domains, "l.R1"), "low");
    assert_eq!(domain_at(model, &domains, "box.TAP"), "low");
    assert_eq!(domains.resistance(point(model, "box.TAP")), Ohm::new(10_000.0));
    let wires: Vec<_> = boundaries(network, &domains)
        .iter()
        .filter_map(|boundary| network[boundary.edge].wire())
        .map(|wire| model.wire_name(wire))
        .collect();
    assert_eq!(wires, ["l.1"]);
}

#[test]
fn chassis_and_earth_hold_what_is_nearest_to_them() {
    let design = built(
        "format: 1
design: test
domains: { low: { nominal: 12 V, max: 15 V, reference: chassis } }
devices:
  frame:
    chassis: true
    ports:
      G: { stud: M6, domain: low }
      E: { stud: M6, role: earth }
  box:
    ports:
      A: { stud: M6, domain: low }
      N: { stud: M6, role: chassis, domain: low }
      P: { stud: M6 }
looms:
  l:
    ends:
      R1: { ring: M6, bolts-to: box.A }
      R2: { ring: M6, bolts-to: frame.G }
      R3: { ring: M6, bolts-to: box.P }
      R4: { ring: M6, bolts-to: frame.E }
    wires:
      1: { from: R1, to: R2 }
      2: { from: R3, to: R4 }
",
    );
    let (model, network) = (design.model(), design.network());
    let held = potentials(network);
    let at = |name: &str| held.of(point(model, name));
    let low = DomainId::from_index(0);
    assert_eq!(at("l.R1"), Some(Potential::Domain(low)));
    assert_eq!(at("l.R2"), Some(Potential::Chassis));
    assert_eq!(at("box.N"), Some(Potential::Chassis));
    assert_eq!(at("box.P"), Some(Potential::Earth));
    assert_eq!(domains(network).of(point(model, "box.P")), Some(low));
}

/// One element between two of the points.
#[derive(Debug, Clone, Copy)]
enum Kind {
    Link,
    Switch,
    Resistor(u32),
    Capacitor,
}

fn kind() -> impl Strategy<Value = Kind> {
    prop_oneof![
        3 => Just(Kind::Link),
        3 => Just(Kind::Switch),
        3 => (1_u32..50).prop_map(Kind::Resistor),
        1 => Just(Kind::Capacitor),
    ]
}

fn netlist(marks: &[Option<u8>], edges: &[(usize, usize, Kind)]) -> String {
    let mut text = String::from("format: 1\ndesign: test\ndomains:\n");
    for domain in 0..3 {
        text.push_str(&format!("  d{domain}: {{ nominal: 12 V, max: 15 V, reference: floating }}\n"));
    }
    text.push_str("devices:\n  box:\n    ports:\n");
    for (at, mark) in marks.iter().enumerate() {
        let domain = mark.map_or_else(String::new, |domain| format!(", domain: d{domain}"));
        text.push_str(&format!("      P{at}: {{ stud: M6{domain} }}\n"));
    }
    text.push_str(if edges.is_empty() { "" } else { "    inside:\n" });
    for (at, (a, b, kind)) in edges.iter().enumerate() {
        let element = match kind {
            Kind::Link => format!("link: [P{a}, P{b}]"),
            Kind::Switch => format!("switch: open, from: P{a}, to: P{b}"),
            Kind::Resistor(ohms) => format!("resistor: {ohms} ohm, from: P{a}, to: P{b}"),
            Kind::Capacitor => format!("capacitor: 1 uF, from: P{a}, to: P{b}"),
        };
        text.push_str(&format!("      e{at}: {{ {element} }}\n"));
    }
    text
}

/// Least resistance between each two points by trying every point between them; infinite where no way leads.
fn distances(count: usize, edges: &[(usize, usize, Kind)], cost: impl Fn(Kind) -> Option<f64>) -> Vec<Vec<f64>> {
    let mut least = vec![vec![f64::INFINITY; count]; count];
    for (at, row) in least.iter_mut().enumerate() {
        row[at] = 0.0;
    }
    for &(a, b, kind) in edges {
        if let Some(ohms) = cost(kind) {
            least[a][b] = least[a][b].min(ohms);
            least[b][a] = least[b][a].min(ohms);
        }
    }
    for between in 0..count {
        for from in 0..count {
            for to in 0..count {
                least[from][to] = least[from][to].min(least[from][between] + least[between][to]);
            }
        }
    }
    least
}

fn galvanic(kind: Kind) -> Option<f64> {
    match kind {
        Kind::Resistor(ohms) => Some(f64::from(ohms)),
        Kind::Capacitor => None,
        Kind::Link | Kind::Switch => Some(0.0),
    }
}

fn metal(kind: Kind) -> Option<f64> {
    matches!(kind, Kind::Link).then_some(0.0)
}

/// The domain of each point, and what joins them.
type Drawn = (Vec<Option<u8>>, Vec<(usize, usize, Kind)>);

fn designs() -> impl Strategy<Value = Drawn> {
    (2_usize..12).prop_flat_map(|count| {
        let marks = proptest::collection::vec(proptest::option::weighted(0.4, 0_u8..3), count);
        let edge = (0..count, 1..count, kind()).prop_map(move |(a, step, kind)| (a, (a + step) % count, kind));
        (marks, proptest::collection::vec(edge, 0..20))
    })
}

proptest! {
    #[test]
    fn each_point_has_a_domain_that_is_nearest_to_it((marks, edges) in designs()) {
        let design = built(&netlist(&marks, &edges));
        let network = design.network();
    let domains = domains(network);
        let all = distances(marks.len(), &edges, galvanic);
        let bare = distances(marks.len(), &edges, metal);
        let least = |table: &[Vec<f64>], from: usize, domain: Option<u8>| {
            let pins = marks.iter().enumerate().filter(|(_, mark)| mark.is_some() && (domain.is_none() || **mark == domain));
            pins.map(|(pin, _)| table[from][pin]).fold(f64::INFINITY, f64::min)
        };
        for at in 0..marks.len() {
            let id = PointId::from_index(at);
            let found = domains.of(id).map(|domain| domain.index() as u8);
            prop_assert_eq!(found.is_some(), least(&all, at, None).is_finite());
            if found.is_some() {
                prop_assert_eq!(domains.resistance(id).get(), least(&all, at, None));
                prop_assert_eq!(least(&all, at, found), least(&all, at, None));
                // Over metal, if any metal leads to a pin.
                prop_assert!(least(&bare, at, None).is_infinite() || least(&bare, at, found) == 0.0);
                let pin = domains.named_by(id).map(PointId::index).unwrap_or_default();
                prop_assert_eq!(marks[pin], found);
            }
        }
    }

    #[test]
    fn the_boundaries_are_where_domains_meet((marks, edges) in designs()) {
        let design = built(&netlist(&marks, &edges));
        let network = design.network();
        let found = boundaries(network, &domains(network));
        let joined = |edges: &[(usize, usize, Kind)]| {
            let all = distances(marks.len(), edges, galvanic);
            let pins: Vec<usize> = (0..marks.len()).filter(|at| marks[*at].is_some()).collect();
            let pairs = pins.iter().flat_map(|a| pins.iter().map(move |b| (*a, *b))).filter(|(a, b)| marks[*a] != marks[*b]);
            pairs.map(|(a, b)| all[a][b]).fold(f64::INFINITY, f64::min)
        };
        let least = found.iter().map(|boundary| boundary.resistance.get()).fold(f64::INFINITY, f64::min);
        prop_assert_eq!(least, joined(&edges));
        // Without them, no pin is joined to a pin of another domain: each edge here is an element of its own.
        let cut: Vec<usize> = found.iter().map(|boundary| boundary.edge.index()).collect();
        let rest: Vec<_> = edges.iter().enumerate().filter(|(at, _)| !cut.contains(at)).map(|(_, edge)| *edge).collect();
        prop_assert!(joined(&rest).is_infinite());
    }
}
