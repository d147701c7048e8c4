//! What lists of unlike make become, seen by the netlist that is read, with the facts of people on top.

use super::{findings, fresh, imported, list, text, written};
use std::fs;

/// Facts that people write under the names of imported things come on top of them, in files that no import touches.
#[test]
fn facts_come_on_top_of_what_was_imported() {
    let folder = fresh("facts");
    imported(&folder, &[&list("marsh-boat-J1.csv"), &list("marsh-boat-J2.csv")], &[]);
    let before = findings(&folder);
    assert!(before.iter().any(|(_, headline)| headline.contains("of 2 connectors were not checked")), "{before:?}");
    let facts = "\
parts:
  housings:
    helm-s: { family: HM, positions: [01, 02, 03, 04, 05, 06, 07, 08, 09, 10], contacts: socket }
    helm-p: { family: HM, positions: [01, 02, 03, 04, 05, 06, 07, 08, 09, 10], contacts: pin }
    engine-s: { family: EN, positions: [A, B, C, D, E, F, G, H], contacts: socket }
    engine-p: { family: EN, positions: [A, B, C, D, E, F, G, H], contacts: pin }
looms: { marsh-boat: { ends: { J1: { housing: helm-s }, J2: { housing: engine-s } } } }
devices:
  J1: { ports: { J: { housing: helm-p } } }
  J2: { ports: { J: { housing: engine-p } } }
";
    fs::write(folder.join("design/facts.yaml"), facts).unwrap();
    let after = findings(&folder);
    assert!(
        !after
            .iter()
            .any(|(rule, headline)| rule.starts_with("format/") || headline.contains("of 2 connectors were not checked")),
        "{after:?}"
    );
    let out = imported(&folder, &[&list("marsh-boat-J1.csv"), &list("marsh-boat-J2.csv")], &[]);
    assert!(out.contains("no change since the last import"), "{out}");
}

/// A name that three wires or more share and no cell gives a cavity of is a splice, and that is said; two wires are a box without cavities.
#[test]
fn many_wires_make_a_splice_and_two_do_not() {
    let folder = fresh("splice");
    let rows = "From,To,Gauge,Color\nP1 pin 8,S1,16,Yel\nS1,L2 1,16,Yel\nS1,L3 1,16,Yel\nP1 pin 9,S2,16,Blu\nS2,L4 1,16,Blu\n";
    let out = imported(&folder, &[&written(&folder, "e.csv", rows)], &[]);
    assert!(out.contains("`S1` is taken for a splice") && !out.contains("`S2` is taken for a splice"), "{out}");
    assert!(out.contains("the end `S2` of wire"), "{out}");
    let file = written(&folder, "m.yaml", "points: { S2: splice }\n");
    let again = fresh("splice-said");
    let out = imported(&again, &[&text(&folder.join("e.csv"))], &["--mapping", &file]);
    assert!(!out.contains("no cavity"), "{out}");
    assert!(findings(&again).iter().all(|(rule, _)| rule == "review/missing-fact"));
}

/// What each form of an end becomes in the netlist: fuses and resistors in line, taps, jumpers, studs; and the design reads.
#[test]
fn ends_in_every_form_make_a_netlist_that_reads() {
    let folder = fresh("ends");
    let rows = "From,To,Gauge,Color\nP1 pin 1,P2 pin 4,18,Red\nP1 pin 2,K1 86 and K2 86,18,White\nP1 pin 3,F7 (15 A) -> L1 2,16,Org\n\
                P1 pin 4,F15 inline (7.5 A) -> L1 3,16,Orn\nP1 pin 5,short to P1-6,,\nP1 pin 7,P2 pin 5 via 10k resistor,20,Pink\n\
                P1 pin 9,P1 pin 1 tap,18,Red\nK1 85,GND,18,Blk\nK2 85,GND,18,Blk\nL1 1,GND M6,16,Blk\n";
    imported(&folder, &[&written(&folder, "e.csv", rows)], &[]);
    let made = fs::read_to_string(folder.join("design/imported/e.yaml")).unwrap();
    for line in [
        "F7: { fuse: 15 A, row: 4 }",
        "F15: { fuse: 7.5 A, row: 5 }",
        "link: [P1.5, P1.6]",
        "R-P1_7-P2_5: { resistor: 10 kohm, row: 7 }",
        "L1.3-P1.4-1: { from: P1.4, to: F15.1, size: 16 AWG, colour: OG, row: 5 }",
        "L1.3-P1.4-2: { from: F15.2, to: L1.3, size: 16 AWG, colour: OG, row: 5 }",
        "P1.1-P2.4-rest: { from: S-P1_1-P2_4, to: P2.4",
        "GND-L1_1: { ring: M6, bolts-to: GND.point",
        "GND-K1_85: { ring: M6, bolts-to: GND.point",
    ] {
        assert!(made.contains(line), "{line}: {made}");
    }
    let found = findings(&folder);
    assert!(found.iter().all(|(rule, _)| rule.starts_with("review/")), "{found:?}");
}

/// Several tables of pins below each other, each with its title; and pins written before their plugs.
#[test]
fn titles_and_the_order_of_columns_say_which_plug_a_pin_is_of() {
    let folder = fresh("titles");
    let tables = "Plug P1\nPin,Signal,Goes to,Color,Size\n1,12V,P2-1,red,16 AWG\n2,GND,P2-2,blk,16 AWG\n5,,,,\nPlug P3\n1,Lamp,P2-5,wht,18 AWG\n";
    let out = imported(&folder, &[&written(&folder, "i.csv", tables)], &[]);
    assert!(!out.contains("conflicts"), "{out}");
    let made = fs::read_to_string(folder.join("design/imported/i.yaml")).unwrap();
    assert!(
        made.contains("from: P3.1, to: P2.5") && made.contains("from: P1.1, to: P2.1") && made.contains("5: spare"),
        "{made}"
    );
    let folder = fresh("before");
    let before = "Wire,Pin,From,Pin,To\n1,3,P1,5,P2\n2,4,P1,6,P2\n";
    imported(&folder, &[&written(&folder, "f.csv", before)], &[]);
    let made = fs::read_to_string(folder.join("design/imported/f.yaml")).unwrap();
    assert!(made.contains("1: { from: P1.3, to: P2.5, row: 2 }"), "{made}");
}

/// A jumper that has a size is a wire, one without is a link; a pin `-` beside pins `+` is a pole.
#[test]
fn jumpers_and_poles_arrive() {
    let folder = fresh("jumpers");
    let list = written(
        &folder,
        "list.csv",
        "Nr,AWG,Conn From,Term from,Conn To,Term to\nH1,20,P1,8,short to P1:9,\nH2,,P4,1,jumper to P4:2,\nH3,12,Pack,+,Box,1\nH4,12,Pack,-,Box,2\nH5,12,Box,3,Lamp,-\n",
    );
    imported(&folder, &[&list], &[]);
    let made = fs::read_to_string(folder.join("design/imported/list.yaml")).unwrap();
    for said in [
        "H1: { from: P1.8, to: P1.9, size: 20 AWG",
        "link: [P4.1, P4.2]",
        "H3: { from: Pack.+, to: Box.1",
        "H4: { from: Pack.-, to: Box.2",
        "H5: { from: Box.3, to: Lamp.-",
    ] {
        assert!(made.contains(said), "{said}:\n{made}");
    }
}
