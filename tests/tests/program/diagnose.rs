//! `harness diagnose`: readings by name and from a table, what they come to, in the formats of papers.

use super::{file, harness};

/// A battery feeds a lamp through a fuse, a switch and two wires; a horn is on a fuse of its own, with two wires side by side for its feed.
const CART: &str = "format: 1
design: Orchard cart
domains:
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
modes:
  night: {}
zones:
  deck: { ambient: 40 degC }
parts:
  conductors:
    thin: { standard: ISO 6722-1, rated: 105 degC, voltage: 60 V, wall: thin, insulation: PVC }
  fuses:
    blade-10: { standard: ISO 8820-3, type: C, rating: 10 A }
devices:
  battery:
    ports: { POS: { stud: M8, role: supply, domain: aux }, NEG: { stud: M8, role: return, domain: aux } }
    inside: { cells: { source: 12.6 V, resistance: 20 mohm, positive: POS, negative: NEG } }
  fuse-box:
    zone: deck
    ports: { IN: { stud: M6 }, OUT1: { stud: M6 }, OUT2: { stud: M6 } }
    inside:
      F1: { fuse: blade-10, from: IN, to: OUT1 }
      F2: { fuse: blade-10, from: IN, to: OUT2 }
  lamp:
    ports: { S: { stud: M5, role: supply, domain: aux }, G: { stud: M5, role: return, domain: aux } }
    inside: { bulb: { load: 1 A, from: S, to: G, kind: lamp } }
  horn:
    ports: { S: { stud: M5, role: supply, domain: aux }, G: { stud: M5, role: return, domain: aux } }
    inside: { coil: { load: 4 A, from: S, to: G, kind: coil } }
looms:
  deck:
    wire: thin
    zone: deck
    ends:
      R1: { ring: M8, bolts-to: battery.POS }
      R2: { ring: M6, bolts-to: fuse-box.IN }
      R3: { ring: M6, bolts-to: fuse-box.OUT1 }
      R4: { ring: M5, bolts-to: lamp.S }
      R5: { ring: M5, bolts-to: lamp.G }
      R6: { ring: M6, bolts-to: fuse-box.OUT2 }
      R7: { ring: M5, bolts-to: horn.S }
      R8: { ring: M5, bolts-to: horn.G }
      R9: { ring: M8, bolts-to: battery.NEG }
    wires:
      1: { from: R1, to: R2, size: 4 mm2, length: 150 mm }
      2: { from: R3, to: R4, size: 1.5 mm2, length: 900 mm }
      3: { from: R5, to: R9, size: 1.5 mm2, length: 900 mm }
      4: { from: R6, to: R7, size: 1.5 mm2, length: 900 mm }
      5: { from: R6, to: R7, size: 1.5 mm2, length: 900 mm }
      6: { from: R8, to: R9, size: 1.5 mm2, length: 900 mm }
";

fn diagnosed(name: &str, readings: &[&str]) -> String {
    let cart = file(name, CART);
    let mut args = vec!["diagnose", cart.as_str()];
    for reading in readings {
        args.extend(["--reading", reading]);
    }
    let done = harness(&args);
    assert_eq!((done.code, done.err.as_str()), (0, ""), "{readings:?}");
    assert!(done.out.lines().all(|line| line.chars().count() <= 80), "{}", done.out);
    done.out.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// 12 V before the fuse and nothing behind it, by hand: the fuse, or a short behind it that blew it.
#[test]
fn a_fuse_is_found_and_the_short_behind_it_is_another_reading_away() {
    let out = diagnosed("diagnose-fuse", &["lamp=off", "fuse-box.IN=12.4 V", "fuse-box.OUT1=0 V"]);
    assert!(out.contains("fuse `fuse-box.F1` blown") && out.contains("`deck.R3` shorted to ground"), "{out}");
    assert!(out.contains("with the power off decides"), "{out}");
    assert!(!out.contains("conductor `deck.1` open") && !out.contains("`deck.2` open"), "{out}");
    let out =
        diagnosed("diagnose-short", &["lamp=off", "fuse-box.IN=12.4 V", "fuse-box.OUT1=0 V", "deck.R3-battery.NEG=0.1 ohm"]);
    assert!(out.contains("shorted to ground") && !out.contains("blown; or"), "{out}");
}

/// The whole voltage behind the lamp, and it is off: its ground is open.
#[test]
fn a_ground_that_is_open_has_the_voltage_of_the_feed() {
    let out = diagnosed("diagnose-ground", &["lamp=off", "lamp.S=12.4 V", "lamp.G=12.4 V"]);
    assert!(out.contains("conductor `deck.3` open") && !out.contains("deck.2"), "{out}");
}

/// 12 V across it, and it is off: itself.
#[test]
fn what_has_its_voltage_and_does_nothing_is_itself_the_fault() {
    let out = diagnosed("diagnose-self", &["lamp=off", "lamp.bulb=12.4 V"]);
    assert!(out.contains("`lamp.bulb` does nothing") && !out.contains("blown"), "{out}");
}

/// By hand: 1 A through 4 ohm of corrosion are 4 V, which the lamp lacks.
#[test]
fn a_corroded_contact_is_found_by_what_is_lost_in_it() {
    let out = diagnosed("diagnose-corroded", &["deck.R3=12.4 V", "deck.R4=12.3 V", "lamp.S=8.4 V"]);
    assert!(out.contains("contact `deck.R4` corroded, 1.5 ohm to 5 ohm more"), "{out}");
}

#[test]
fn sound_readings_find_nothing_and_impossible_ones_are_said_to_be_so() {
    let out = diagnosed("diagnose-sound", &["lamp=on", "horn=on", "lamp.S=12.4 V", "horn.S=12.4 V", "lamp.G=0 V", "horn.G=0 V"]);
    assert!(out.contains("Every reading is as it should be"), "{out}");
    let out = diagnosed("diagnose-nothing", &["battery.POS=31 V", "lamp=on"]);
    assert!(out.contains("Nothing in the design explains all readings") && out.contains("battery.POS=31 V"), "{out}");
}

/// A lamp and a horn on fuses of their own do not go out by one fault with the battery full behind both.
#[test]
fn two_faults_are_found_where_none_explains_it_alone() {
    let out = diagnosed("diagnose-two", &["fuse-box.IN=12.5 V", "fuse-box.OUT1=0 V", "fuse-box.OUT2=0 V"]);
    assert!(out.contains("two faults at once") || out.contains("two at once do"), "{out}");
    let both = |one: &str, other: &str| out.contains(&format!("fuse `fuse-box.{one}` blown and fuse `fuse-box.{other}` blown"));
    assert!(both("F1", "F2") || both("F2", "F1"), "{out}");
    // Two wires side by side: neither alone stops the horn.
    let out = diagnosed("diagnose-two-ways", &["deck.R6=12.5 V", "deck.R7=0 V", "lamp=on"]);
    assert!(out.contains("conductor `deck.4` open and conductor `deck.5` open"), "{out}");
}

#[test]
fn a_table_of_readings_is_read_as_they_are_one_by_one_and_mistakes_are_all_named() {
    let cart = file("diagnose-table", CART);
    let table = file("diagnose-table-readings", "value,place,against\n0 V,fuse-box.OUT1,battery.NEG\noff,lamp,\n");
    let by_table = harness(&["diagnose", &cart, "--readings", &table, "--format", "csv"]);
    let by_hand =
        harness(&["diagnose", &cart, "--reading", "fuse-box.OUT1-battery.NEG=0 V", "--reading", "lamp=off", "--format", "csv"]);
    assert_eq!((by_table.code, by_table.err.as_str()), (0, ""));
    assert_eq!(by_table.out, by_hand.out);
    let wrong = harness(&["diagnose", &cart, "--reading", "lmap=off", "--reading", "fuse-box.OUT1=3", "--reading", "deck=1 V"]);
    assert_eq!(wrong.code, 2);
    for what in ["`lmap=off`", "`fuse-box.OUT1=3`", "`deck=1 V`"] {
        assert!(wrong.err.contains(what), "{}", wrong.err);
    }
    let twice = harness(&["diagnose", &cart, "--reading", "lamp=off", "--reading", "lamp=on"]);
    assert!(twice.code == 2 && twice.err.contains("same place"), "{}", twice.err);
}
