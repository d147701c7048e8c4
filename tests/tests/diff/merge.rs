//! Two branches of one design: what collides in meaning is reported, and nothing else.

use super::{
    designs::{Design, SIZES},
    hands, writer,
};
use harness_core::{
    Document, MemoryFiles,
    diff::{Collision, Grade, Inventory, Revision, collisions, inventory},
};
use harness_tests::Numbers;
use proptest::prelude::*;

const BASE: &str = "\
format: 1
design: Spray cart
revision: A
zones: { deck: { ambient: 40 degC, wet: true } }
modes: { work: {}, rest: {} }
parts:
  fuses:
    blade-10: { standard: ISO 8820-3, rating: 10 A }
    blade-15: { standard: ISO 8820-3, rating: 15 A }
  housings:
    QL-4S: { family: QL4, positions: 4, contacts: socket, key: A }
    QL-4P: { family: QL4, positions: 4, contacts: pin, key: A }
    QT-4S: { family: QT4, positions: 4, contacts: socket, max-wires: 2 }
  devices:
    nozzle:
      ports: { J1: { housing: QL-4P, pins: { 1: { signal: feed }, 2: { signal: ground } } } }
      inside:
        coil: { load: 1 A, kind: coil, from: J1.1, to: J1.2 }
devices:
  box:
    ports:
      BAT: { stud: M8, signal: battery }
      J1: { housing: QL-4P, pins: { 1: { signal: left }, 2: { signal: right }, 3: spare, 4: spare } }
      J2: { housing: QL-4P, pins: { 1: spare, 2: spare } }
    inside:
      F1: { fuse: blade-10, from: BAT, to: J1.1 }
      F2: { fuse: blade-10, from: BAT, to: J1.2 }
  left: { device: nozzle, zone: deck }
  right: { device: nozzle, zone: deck }
  horn:
    ports: { J1: { housing: QL-4P, pins: { 1: { signal: left }, 2: { signal: ground } } } }
    inside: { coil: { load: 2 A, kind: coil, from: J1.1, to: J1.2, in: [work] } }
looms:
  cart:
    ends:
      P1: { housing: QL-4S, mates: box.J1 }
      P2: { housing: QL-4S, mates: left.J1 }
      P3: { housing: QL-4S, mates: right.J1 }
      P4: { housing: QT-4S, mates: horn.J1 }
      P5: { housing: QL-4S }
      P6: { housing: QL-4S }
    splices: { S1: {}, S2: {} }
    wires:
      1: { from: P1.1, to: S2, size: 1 mm2, colour: RD, length: 500 mm }
      2: { from: P1.2, to: P3.1, size: 1 mm2, colour: YE, length: 700 mm }
      3: { from: P2.2, to: S1, size: 1 mm2, colour: BK, length: 300 mm }
      4: { from: P3.2, to: S1, size: 1 mm2, colour: BK, length: 300 mm }
      5: { from: S2, to: P2.1, size: 1 mm2, colour: RD, length: 200 mm }
      6: { from: S2, to: P4.1, size: 1 mm2, colour: RD, length: 300 mm }
  spare:
    splices: { S1: {} }
    ends: { Q1: { housing: QL-4S } }
    wires: { 1: { from: Q1.1, to: S1, size: 1 mm2 } }
";

type Exchanges = &'static [(&'static str, &'static str)];

/// A design with what it is made of.
struct Read {
    design: harness_core::Design,
    inventory: Inventory,
}

impl Read {
    fn new(files: &MemoryFiles) -> Self {
        let document = Document::read(files, "design.yaml");
        Self { inventory: inventory(&document), design: harness_core::Design::of(document) }
    }
}

fn collide(base: &Read, ours: &Read, theirs: &Read) -> Vec<Collision> {
    let [base, ours, theirs] = [base, ours, theirs].map(|it| Revision { design: &it.design, inventory: &it.inventory });
    collisions(base, ours, theirs)
}

fn read(exchanges: Exchanges) -> Read {
    let mut text = BASE.to_owned();
    for (before, now) in exchanges {
        assert!(text.contains(before), "`{before}` is not in the base");
        text = text.replace(before, now);
    }
    Read::new(&MemoryFiles::one("design.yaml", text))
}

fn turned(mut found: Vec<Collision>) -> Vec<Collision> {
    for collision in &mut found {
        std::mem::swap(&mut collision.ours, &mut collision.theirs);
    }
    found.sort();
    found
}

/// Grades and headlines of the collisions of two branches.
fn told(ours: Exchanges, theirs: Exchanges) -> Vec<String> {
    let (base, ours, theirs) = (read(&[]), read(ours), read(theirs));
    let found = collide(&base, &ours, &theirs);
    for collision in &found {
        assert!(!collision.ours.is_empty() && !collision.theirs.is_empty() && !collision.help.is_empty(), "{collision:?}");
    }
    assert_eq!(turned(collide(&base, &theirs, &ours)), found);
    found.iter().map(|collision| format!("{}: {}", collision.grade.word(), collision.headline)).collect()
}

const WIRE_1: &str = "1: { from: P1.1, to: S2, size: 1 mm2";
const WIRE_2: &str = "2: { from: P1.2, to: P3.1, size: 1 mm2, colour: YE, length: 700 mm }";
const MORE: &str = "    wires:\n";

#[test]
fn one_fact_has_one_value() {
    let thick = &[(WIRE_1, "1: { from: P1.1, to: S2, size: 2.5 mm2")];
    let thicker = &[(WIRE_1, "1: { from: P1.1, to: S2, size: 4 mm2")];
    assert_eq!(told(thick, thicker), ["certain: wire `cart.1`, `size`: set to 2.5 mm2 by one and to 4 mm2 by the other"]);
    assert!(told(thick, thick).is_empty(), "both decided the same");
    assert!(told(thick, &[("colour: YE", "colour: GN")]).is_empty(), "another wire");
    assert!(told(thick, &[(WIRE_1, "1: { from: S2, to: P1.1, size: 1.0 mm²")]).is_empty(), "only written otherwise");
    assert!(told(&[("revision: A", "revision: B")], &[("colour: YE", "colour: GN")]).is_empty());
}

#[test]
fn sets_are_joined_where_both_add_to_them() {
    let both = told(&[("in: [work]", "in: [work, rest]")], &[("in: [work]", "in: []")]);
    assert!(both.iter().all(|told| told.starts_with("certain: element `horn.coil`, `in`")), "{both:?}");
    assert!(
        told(&[("    splices: { S1: {} }\n", "    splices: { S1: {}, SA: {} }\n")], &[("S2: {} }", "S2: {}, SB: {} }")])
            .is_empty()
    );
}

#[test]
fn a_number_is_not_retired_and_given() {
    let retired: Exchanges = &[("revision: A\n", "revision: A\nretired: [11, 12]\n")];
    let given: Exchanges = &[(MORE, "    wires:\n      11: { from: P5.1, to: S1 }\n")];
    assert_eq!(told(retired, given), ["certain: wire number `11` is retired by one and given to wire `cart.11` by the other"]);
    assert!(told(retired, &[(MORE, "    wires:\n      13: { from: P5.1, to: S1 }\n")]).is_empty());
    assert!(told(retired, &[("revision: A\n", "revision: A\nretired: [14]\n")]).is_empty(), "both retire some");
}

#[test]
fn what_one_removes_the_other_can_not_build_on() {
    let without_horn: Exchanges = &[
        (
            "  horn:\n    ports: { J1: { housing: QL-4P, pins: { 1: { signal: left }, 2: { signal: ground } } } }\n    inside: { coil: { load: 2 A, kind: coil, from: J1.1, to: J1.2, in: [work] } }\n",
            "",
        ),
        (", mates: horn.J1", ""),
    ];
    let headline = "certain: device `horn` is removed by one, and the other builds on it";
    assert!(told(without_horn, &[("load: 2 A", "load: 3 A")]).contains(&headline.to_owned()), "changed");
    assert!(
        told(without_horn, &[("P5: { housing: QL-4S", "P5: { housing: QL-4S, mates: horn.J1")]).contains(&headline.to_owned()),
        "named"
    );
    assert!(
        told(without_horn, &[("  horn:", "  hooter:"), ("mates: horn.J1", "mates: hooter.J1")]).contains(&headline.to_owned()),
        "renamed"
    );
    assert!(told(without_horn, &[("colour: YE", "colour: GN")]).is_empty(), "elsewhere");
    assert!(told(without_horn, without_horn).is_empty(), "both removed it");
    let without_wire: Exchanges = &[("      2: { from: P1.2, to: P3.1, size: 1 mm2, colour: YE, length: 700 mm }\n", "")];
    assert_eq!(
        told(without_wire, &[("colour: YE", "colour: GN")]),
        ["certain: wire `cart.2` is removed by one, and the other builds on it"]
    );
    let without_splice: Exchanges = &[("splices: { S1: {}, S2: {} }", "splices: { S1: {} }"), (" S2", " S1")];
    assert_eq!(
        told(without_splice, &[(WIRE_2, "2: { from: S2, to: P3.1, size: 1 mm2, colour: YE, length: 700 mm }")]),
        ["certain: splice `cart.S2` is removed by one, and the other builds on it"],
        "moved to it"
    );
}

#[test]
fn a_cavity_takes_as_many_wires_as_its_housing_says() {
    let ours: Exchanges = &[(MORE, "    wires:\n      11: { from: P5.1, to: S1 }\n")];
    let theirs: Exchanges = &[(MORE, "    wires:\n      12: { from: P5.1, to: S1 }\n")];
    assert_eq!(
        told(ours, theirs),
        ["certain: both put wires into cavity `cart.P5.1`: `cart.11`, `cart.12` would be in it, it takes 1"]
    );
    assert!(told(ours, &[(MORE, "    wires:\n      12: { from: P5.2, to: S1 }\n")]).is_empty(), "the next cavity");
    let two: [Exchanges; 2] = [
        &[(MORE, "    wires:\n      11: { from: P4.3, to: S1 }\n")],
        &[(MORE, "    wires:\n      12: { from: P4.3, to: S1 }\n")],
    ];
    assert!(told(two[0], two[1]).is_empty(), "its housing takes two");
    let three: Exchanges = &[(MORE, "    wires:\n      12: { from: P4.3, to: S1 }\n      13: { from: P4.3, to: S2 }\n")];
    assert_eq!(told(two[0], three).len(), 1, "and no third");
    let splices: [Exchanges; 2] =
        [&[(MORE, "    wires:\n      11: { from: S1, to: S2 }\n")], &[(MORE, "    wires:\n      12: { from: S1, to: S2 }\n")]];
    assert!(told(splices[0], splices[1]).is_empty(), "a splice takes any");
}

#[test]
fn a_plug_and_a_wire_do_not_share_a_cavity() {
    let plugged: Exchanges = &[("P5: { housing: QL-4S }", "P5: { housing: QL-4S, plugged: [1, 2] }")];
    let wired: Exchanges = &[(MORE, "    wires:\n      11: { from: P5.1, to: S1 }\n")];
    assert_eq!(told(plugged, wired), ["certain: cavity `cart.P5.1` is plugged by one and wired by the other"]);
    assert!(told(plugged, &[(MORE, "    wires:\n      11: { from: P5.3, to: S1 }\n")]).is_empty());
}

#[test]
fn one_end_mates_a_port() {
    let (ours, theirs): (Exchanges, Exchanges) = (
        &[("P5: { housing: QL-4S", "P5: { housing: QL-4S, mates: box.J2")],
        &[("P6: { housing: QL-4S", "P6: { housing: QL-4S, mates: box.J2")],
    );
    assert_eq!(told(ours, theirs), ["certain: `box.J2` is mated by both, with `cart.P5` and `cart.P6`"]);
}

#[test]
fn a_wire_that_goes_elsewhere_is_sized_for_its_new_way() {
    let moved: Exchanges = &[(WIRE_2, "2: { from: P1.3, to: P3.1, size: 1 mm2, colour: YE, length: 700 mm }")];
    let longer: Exchanges = &[(WIRE_2, "2: { from: P1.2, to: P3.1, size: 1 mm2, colour: YE, length: 900 mm }")];
    assert_eq!(told(longer, moved), ["look: wire `cart.2`: one changes its `length`, the other where it goes"]);
    assert!(told(&[("colour: YE", "colour: GN")], moved).is_empty(), "a colour does not go by where it ends");
    assert_eq!(
        told(moved, &[(WIRE_2, "2: { from: P1.4, to: P3.1, size: 1 mm2, colour: YE, length: 700 mm }")]),
        ["certain: both move the same end of wire `cart.2`, to different places"]
    );
    assert_eq!(
        told(moved, &[(WIRE_2, "2: { from: P1.2, to: P3.3, size: 1 mm2, colour: YE, length: 700 mm }")]),
        ["look: both move wire `cart.2`, each a different end"]
    );
}

#[test]
fn one_new_name_is_one_new_thing() {
    let ours: Exchanges = &[(MORE, "    wires:\n      11: { from: P5.1, to: S1, size: 1 mm2 }\n")];
    let theirs: Exchanges = &[(MORE, "    wires:\n      11: { from: P5.1, to: S1, size: 2.5 mm2 }\n")];
    assert_eq!(told(ours, theirs), ["certain: both add wire `cart.11`, each a different one"]);
    assert!(told(ours, ours).is_empty());
    let device = |load: &'static str| -> [(&'static str, &'static str); 1] { [("  left: {", load)] };
    let (one, two) = (
        Box::leak(Box::new(device(
            "  pump: { ports: { A: { stud: M6 } }, inside: { m: { load: 5 A, from: A, to: A } } }\n  left: {",
        ))),
        Box::leak(Box::new(device(
            "  pump: { ports: { A: { stud: M6 } }, inside: { m: { load: 6 A, from: A, to: A } } }\n  left: {",
        ))),
    );
    assert_eq!(told(one, two), ["certain: both add device `pump`, each a different one"], "parts count");
}

#[test]
fn names_are_given_once() {
    let port: Exchanges = &[("  left:", "  port:"), ("left.J1", "port.J1")];
    assert_eq!(
        told(port, &[("  left:", "  larboard:"), ("left.J1", "larboard.J1")]),
        ["certain: device `left` is renamed by both, to `larboard` and to `port`"]
    );
    assert!(told(port, port).is_empty());
    assert_eq!(
        told(&[("P5", "X1")], &[("      P6: {", "      P6: { housing: QL-4S }\n      X1: {")]).len(),
        0,
        "an end without joints is not recognised, so both add `X1`, the same"
    );
    let two = told(&[("P2", "X1")], &[("P3", "X1")]);
    assert_eq!(two, ["certain: two things are given the name `X1`: end `cart.P2` and end `cart.P3`"]);
    let taken = told(&[("P2", "X1")], &[("      P6: {", "      X1: { housing: QT-4S }\n      P6: {")]);
    assert_eq!(taken, ["certain: two things are given the name `X1`: end `cart.P2` and end `cart.X1`"]);
}

#[test]
fn an_old_name_leads_nowhere() {
    let renamed: Exchanges = &[("P2", "X1")];
    assert_eq!(
        told(renamed, &[(MORE, "    wires:\n      11: { from: P2.3, to: S1 }\n")]),
        ["certain: end `cart.P2` is renamed by one, and wire `cart.11` of the other names it by its old name"]
    );
    assert!(told(renamed, &[(MORE, "    wires:\n      11: { from: P3.3, to: S1 }\n")]).is_empty());
    let loom: Exchanges = &[("  spare:", "  hull:")];
    assert_eq!(
        told(loom, &[("P5: { housing: QL-4S", "P5: { housing: QL-4S, mates: spare.Q1")]),
        ["certain: loom `spare` is renamed by one, and end `cart.P5` of the other names it by its old name"]
    );
}

#[test]
fn a_fuse_and_what_lies_behind_it_are_looked_at_together() {
    let fuse: Exchanges = &[("F1: { fuse: blade-10", "F1: { fuse: blade-15")];
    let behind: Exchanges = &[("5: { from: S2, to: P2.1, size: 1 mm2", "5: { from: S2, to: P2.1, size: 0.5 mm2")];
    assert_eq!(told(fuse, behind), ["look: one changes element `box.F1`, the other wire `cart.5` on it"], "beyond a splice");
    assert_eq!(
        told(fuse, &[("load: 2 A", "load: 8 A")]),
        ["look: one changes element `box.F1`, the other element `horn.coil` on it"]
    );
    assert_eq!(
        told(fuse, &[("load: 1 A", "load: 4 A")]),
        ["look: one changes element `box.F1`, the other element `nozzle.coil` on it"],
        "a load that a kind of device has"
    );
    assert_eq!(
        told(fuse, &[(MORE, "    wires:\n      11: { from: S2, to: P5.1 }\n")]),
        ["look: one changes element `box.F1`, the other wire `cart.11` on it"],
        "a new wire there"
    );
    let other: Exchanges = &[(WIRE_2, "2: { from: P1.2, to: P3.1, size: 0.5 mm2, colour: YE, length: 700 mm }")];
    assert!(told(fuse, other).is_empty(), "behind another fuse of the same box");
    assert!(told(fuse, &[("colour: YE", "colour: GN")]).is_empty());
    assert!(
        told(fuse, &[("3: { from: P2.2, to: S1, size: 1 mm2", "3: { from: P2.2, to: S1, size: 2 mm2")]).is_empty(),
        "behind the load"
    );
    let rating: Exchanges = &[("rating: 10 A", "rating: 7.5 A")];
    assert_eq!(told(rating, other), ["look: one changes fuse kind `blade-10`, the other wire `cart.2` on it"]);
    assert!(told(&[("rating: 15 A", "rating: 20 A")], other).is_empty(), "a kind that nothing has");
}

fn branch(base: &Design, seed: u64, count: usize, serial: usize) -> Design {
    let (mut design, mut numbers) = (base.clone(), Numbers::new(seed));
    for number in 0..count {
        if numbers.below(4) == 0 {
            hands::rename(&mut design, &mut numbers, serial + number);
        } else {
            hands::work(&mut design, &mut numbers, serial + number);
        }
    }
    design
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 50, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn it_does_not_matter_which_branch_is_ours(seed in any::<u64>(), size in 0_usize..6, ours in any::<u64>(), theirs in any::<u64>()) {
        let design = Design::random(&mut Numbers::new(seed), size);
        let read = |design: &Design| Read::new(&writer::plain(&design.text()));
        let (one, two) = (read(&branch(&design, ours, 5, 0)), read(&branch(&design, theirs, 5, 3)));
        let base = read(&design);
        let found = collide(&base, &one, &two);
        prop_assert_eq!(&found, &turned(collide(&base, &two, &one)));
        // Whatever form a branch is written in.
        let reformed = Read::new(&writer::reformed(&branch(&design, theirs, 5, 3).text(), seed));
        prop_assert_eq!(&found, &collide(&base, &one, &reformed));
        for collision in &found {
            prop_assert!(!collision.ours.is_empty() && !collision.theirs.is_empty(), "{:?}", collision);
        }
        prop_assert!(collide(&base, &one, &one).is_empty(), "{:?}", collide(&base, &one, &one));
        prop_assert!(collide(&base, &base, &two).is_empty());
    }

    /// Two branches that touch no common thing and nothing that leans on the other's have nothing that can't hold.
    #[test]
    fn work_on_different_looms_is_never_certain_to_collide(seed in any::<u64>(), ours in 0_usize..9, theirs in 0_usize..9) {
        let base = Design::random(&mut Numbers::new(seed), 6);
        let (mut one, mut two) = (base.clone(), base.clone());
        let mut numbers = Numbers::new(seed ^ 1);
        for (design, loom, count) in [(&mut one, 0, ours), (&mut two, 1, theirs)] {
            for _ in 0..count {
                let wires = &mut design.looms[loom].what.wires;
                let at = numbers.below(wires.len());
                wires[at].what.size = numbers.pick(&SIZES);
                wires[at].what.length += 10;
                wires[at].gone |= numbers.below(5) == 0;
            }
        }
        let read = |design: &Design| Read::new(&writer::plain(&design.text()));
        let found = collide(&read(&base), &read(&one), &read(&two));
        prop_assert!(found.iter().all(|collision| collision.grade == Grade::Look), "{:?}", found);
    }
}
