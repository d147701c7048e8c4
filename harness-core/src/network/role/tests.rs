//! Every kind of element of the format, and what its own description says of it.

use super::*;
use crate::{
    design::Design,
    files::MemoryFiles,
    model::PointId,
    network::{EdgeId, EdgeKind, Network},
};

/// One of each kind, with its two states where it has some.
const ONE_OF_EACH: &str = "format: 1
design: one of each
modes: { drive: {}, park: {} }
domains: { low: { nominal: 12 V, max: 15 V, reference: floating } }
parts: { fuses: { blade: { rating: 10 A } } }
devices:
  box:
    nodes: [A, B, C, D, E]
    inside:
      cell: { source: 12 V, positive: A, negative: B }
      charger: { source: 14 V, limit: 10 A, positive: A, negative: B }
      lamp: { load: 1 A, from: A, to: B }
      leak: { resistor: 1 ohm, from: A, to: B }
      shunt: { resistor: 0.2 mohm, from: A, to: B }
      filter: { capacitor: 1 uF, from: A, to: B }
      guard: { diode: 0.7 V, from: A, to: B }
      main: { fuse: blade, from: A, to: B }
      empty: { fuse: blade, from: A, to: B, fitted: false }
      key: { switch: open, from: A, to: B, closed-in: [drive] }
      stuck: { switch: open, from: A, to: B }
      dial: { selector: { off: [], one: [[A, B, C]], two: [[A, B], [D, E]] }, at: { drive: two } }
      made: { relay: normally-open, coil: [A, B], contact: [C, D] }
      broken: { relay: normally-closed, coil: [A, B], contact: [C, D] }
      both: { relay: changeover, coil: [A, B], contact: [C, D, E] }
      plug: { disconnect: [park], from: A, to: B }
      bus: { link: [A, B, C] }
      jumper: { link: [A, B], fitted: false }
      step: { converter: 5 V, from: [A, B], to: [C, D], limit: 1 A }
      lid: { interlock: [A, B] }
";

/// The edges of an element: what each is, from where to where.
fn edges(network: &Network, name: &str) -> Vec<(EdgeRole, String)> {
    let model = network.model();
    let label = |point: PointId| model.text(model[point].label);
    let of = |(_, edge): (EdgeId, &super::super::Edge)| match edge.kind {
        EdgeKind::Element(element) if model.text(model[element].name) == name => {
            Some((edge.role, format!("{}{}", label(edge.a), label(edge.b))))
        }
        _ => None,
    };
    network.edges().filter_map(of).collect()
}

fn built() -> Design {
    let design = Design::load(&MemoryFiles::one("design.yaml", ONE_OF_EACH), "design.yaml");
    assert!(design.mistakes().is_empty(), "{:?}", design.mistakes());
    design
}

/// All roles, once each.
fn roles() -> Vec<EdgeRole> {
    use MetalKind::{Bar, Chassis, Contact, Joint, Screen, Wire};
    let mut roles: Vec<EdgeRole> = built().network().edges().map(|(_, edge)| edge.role).collect();
    roles.extend([Wire, Screen, Contact, Joint, Chassis, Bar].map(Metal));
    roles.sort_unstable();
    roles.dedup();
    roles
}

#[test]
fn every_kind_of_the_format_is_here() {
    let format = include_str!("../../../FORMAT.md");
    let (_, section) = format.split_once("One of these keys gives its kind:").expect("the section on elements");
    let (list, _) = section.split_once("\n## ").expect("a section after it");
    let keys: Vec<&str> = list.lines().filter_map(|line| line.strip_prefix("- `")?.split_once('`')).map(|(key, _)| key).collect();
    assert!(keys.len() >= 12, "{keys:?}");
    for key in keys {
        assert!(ONE_OF_EACH.contains(&format!("{{ {key}: ")), "no element of kind `{key}` in the design of this test");
    }
}

#[test]
fn every_kind_gives_the_edges_that_its_description_says() {
    let design = built();
    let of = |name| edges(design.network(), name);
    let one = |role, ends: &str| vec![(role, ends.to_owned())];
    // A source drives from its negative to its positive point; a limit is the largest current that it can deliver.
    assert_eq!(of("cell"), one(Source { limited: false }, "BA"));
    assert_eq!(of("charger"), one(Source { limited: true }, "BA"));
    assert_eq!(of("lamp"), one(Load, "AB"));
    assert_eq!(of("leak"), one(Resistor, "AB"));
    // "At most 10 mohm it counts as a shunt".
    assert_eq!(of("shunt"), one(Shunt, "AB"));
    assert_eq!(of("filter"), one(Capacitor, "AB"));
    // "Conducts from `from` to `to`".
    assert_eq!(of("guard"), one(Diode, "AB"));
    // "`false`: the holder is empty in this build".
    assert_eq!(of("main"), one(Fuse, "AB"));
    assert_eq!(of("empty"), []);
    // "Modes in which it is closed, though it rests open".
    assert_eq!(of("key"), one(Switch { closes: true }, "AB"));
    assert_eq!(of("stuck"), one(Switch { closes: false }, "AB"));
    // "Each with the groups of points that it joins there": a contact for each pair, closed in some mode or in none.
    let dial = [(Switch { closes: true }, "AB"), (Switch { closes: false }, "BC"), (Switch { closes: true }, "DE")];
    assert_eq!(of("dial"), dial.map(|(role, ends)| (role, ends.to_owned())));
    // "For a changeover: common, closed when energised, closed at rest".
    assert_eq!(of("made"), [(Coil, "AB".to_owned()), (MakeContact, "CD".to_owned())]);
    assert_eq!(of("broken"), [(Coil, "AB".to_owned()), (BreakContact, "CD".to_owned())]);
    assert_eq!(of("both"), [(Coil, "AB".to_owned()), (MakeContact, "CD".to_owned()), (BreakContact, "CE".to_owned())]);
    assert_eq!(of("plug"), one(Disconnect, "AB"));
    // "Joins its points"; "`false`: not fitted in this build".
    assert_eq!(of("bus"), [(Metal(MetalKind::Bar), "AB".to_owned()), (Metal(MetalKind::Bar), "BC".to_owned())]);
    assert_eq!(of("jumper"), []);
    // "A galvanically isolated transfer": no edge from one side to the other.
    assert_eq!(of("step"), [(ConverterInput, "AB".to_owned()), (ConverterOutput { limited: true }, "DC".to_owned())]);
    assert_eq!(of("lid"), one(Interlock, "AB"));
}

#[test]
fn each_role_lets_through_drives_draws_or_holds_back() {
    for role in roles() {
        let sorts = [role.conducts_when_closed(), role.drives(), role.draws(), role.holds_back()];
        assert_eq!(sorts.iter().filter(|is| **is).count(), 1, "{role:?}");
    }
}

#[test]
fn narrower_questions_never_say_yes_where_wider_ones_say_no() {
    for role in roles() {
        let narrower: [(&str, bool, bool); 13] = [
            ("metal is a conductor", role.is_metal(), role.passes_faults() && role.loses_volts() && role.joins_battery()),
            ("what passes faults conducts", role.passes_faults(), role.conducts_when_closed()),
            ("what loses volts conducts", role.loses_volts(), role.conducts_when_closed()),
            ("what joins a battery leads to it", role.joins_battery(), role.leads_to_battery()),
            ("what leads to a battery loses volts", role.leads_to_battery(), role.loses_volts()),
            ("what cuts coils is switched", role.cuts_coils(), role.is_switched()),
            ("a contact of a relay cuts coils", role.is_relay_contact(), role.cuts_coils()),
            ("what is switched conducts when closed", role.is_switched(), role.conducts_when_closed() && !role.is_metal()),
            ("a source drives", role.is_source(), role.drives()),
            (
                "what takes charge is a source without a limit",
                role.takes_charge(),
                role.drives_without_limit() && role.is_source(),
            ),
            ("what draws drains, and may fail short", role.draws(), role.drains() && role.fails_short() && role.ends_strings()),
            ("what has a drop limit draws", role.has_drop_limit(), role.draws()),
            ("a place is metal", role.is_place() || role.ties_to_chassis(), role.is_metal()),
        ];
        for (law, narrow, wide) in narrower {
            assert!(!narrow || wide, "{law}: {role:?}");
        }
    }
}

#[test]
fn resistors_are_all_that_joins_galvanically_and_not_directly() {
    for role in roles() {
        assert_eq!(role.is_galvanic(), role.joins_directly() || role == Resistor, "{role:?}");
    }
}

#[test]
fn fuses_and_diodes_are_all_that_tells_the_three_kinds_of_conductor_apart() {
    for role in roles() {
        assert_eq!(role.conducts_when_closed(), role.passes_faults() || role.is_fuse(), "{role:?}");
        assert_eq!(role.conducts_when_closed(), role.loses_volts() || role == Diode, "{role:?}");
    }
}
