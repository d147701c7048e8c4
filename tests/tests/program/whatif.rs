//! `harness whatif`: faults by name and all of them, in the three formats.

use super::{document, file, harness};

/// A box with a supply, a ground, and an input that permits the drive; a lever that closes to the supply; a lamp on the same fuse.
const LIFT: &str = "format: 1
design: Orchard lift
domains:
  aux: { nominal: 12 V, max: 15 V, reference: chassis }
modes:
  lift: {}
  rest: { immobile: true }
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
    ports: { IN: { stud: M6 }, OUT: { stud: M6 } }
    inside: { F1: { fuse: blade-10, from: IN, to: OUT } }
  lever:
    ports: { A: { stud: M4 }, B: { stud: M4 } }
    inside: { contact: { switch: open, from: A, to: B, closed-in: [lift] } }
  winch:
    function: essential
    ports:
      S: { stud: M5, role: supply, domain: aux }
      G: { stud: M5, role: return, domain: aux }
      E: { stud: M4, signal: enable, role: input, domain: aux, enables: drive }
    inside:
      motor: { load: 5 A, from: S, to: G, kind: motor }
      pull: { resistor: 10 kohm, from: E, to: G }
looms:
  deck:
    wire: thin
    zone: deck
    ends:
      R1: { ring: M8, bolts-to: battery.POS }
      R2: { ring: M6, bolts-to: fuse-box.IN }
      R3: { ring: M6, bolts-to: fuse-box.OUT }
      R4: { ring: M4, bolts-to: lever.A }
      R5: { ring: M4, bolts-to: lever.B }
      R6: { ring: M4, bolts-to: winch.E }
      R7: { ring: M6, bolts-to: fuse-box.OUT }
      R8: { ring: M5, bolts-to: winch.S }
      R9: { ring: M5, bolts-to: winch.G }
      R10: { ring: M8, bolts-to: battery.NEG }
    wires:
      1: { from: R1, to: R2, size: 4 mm2, length: 150 mm }
      2: { from: R3, to: R4, size: 1.5 mm2, length: 900 mm }
      3: { from: R5, to: R6, size: 1.5 mm2, length: 900 mm }
      4: { from: R7, to: R8, size: 1.5 mm2, length: 900 mm }
      5: { from: R9, to: R10, size: 1.5 mm2, length: 900 mm }
";

#[test]
fn one_fault_by_name_says_what_stops_and_what_a_signal_permits() {
    let lift = file("whatif-one", LIFT);
    let feed = harness(&["whatif", &lift, "--open", "deck.4"]);
    assert_eq!(feed.code, 0, "{}", feed.err);
    assert!(feed.out.contains("`winch.motor` stops (essential)"), "{}", feed.out);
    let signal = harness(&["whatif", &lift, "--open", "deck.3"]);
    assert!(signal.out.contains("the drive is not enabled") && !signal.out.contains("stops"), "{}", signal.out);
    let fuse = harness(&["whatif", &lift, "--blow", "fuse-box.F1"]);
    assert!(fuse.out.contains("`winch.motor` stops"), "{}", fuse.out);
}

/// The box counts its input against its own ground, which goes up with it: nothing permits the drive while the lever is open.
#[test]
fn a_ground_that_comes_loose_lifts_no_input_against_it() {
    let lift = file("whatif-ground", LIFT);
    let done = harness(&["whatif", &lift, "--open", "deck.5", "--mode", "rest"]);
    assert!(done.out.contains("`winch.motor` stops"), "{}", done.out);
    assert!(!done.out.contains("is enabled") && done.out.lines().all(|line| line != "danger"), "{}", done.out);
}

#[test]
fn a_bridge_across_the_lever_permits_the_drive_where_nothing_may() {
    let lift = file("whatif-bridge", LIFT);
    let done = harness(&["whatif", &lift, "--bridge", "lever.A", "lever.B"]);
    assert!(done.out.contains("danger") && done.out.contains("the drive is enabled"), "{}", done.out);
}

#[test]
fn all_faults_are_listed_by_severity_in_lines_of_the_width_and_counted() {
    let lift = file("whatif-all", LIFT);
    let done = harness(&["whatif", &lift, "--level", "note"]);
    assert_eq!(done.code, 0, "{}", done.err);
    assert!(done.out.lines().all(|line| line.chars().count() <= 80), "{}", done.out);
    let place = |level: &str| done.out.lines().position(|line| line == level);
    let levels: Vec<usize> = ["danger", "error", "warning", "note"].into_iter().filter_map(place).collect();
    assert!(levels.len() >= 2 && levels.is_sorted(), "{}", done.out);
    assert!(done.out.contains("conductor open"), "{}", done.out);
    assert_eq!(done.out, harness(&["whatif", &lift, "--level", "note", "--jobs", "3"]).out);
    assert_eq!(done.err, "", "a pipe gets no bar");
}

#[test]
fn csv_and_json_hold_the_same_faults() {
    let lift = file("whatif-formats", LIFT);
    let json = document("whatif", &harness(&["whatif", &lift, "--level", "note", "--format", "json"]));
    let faults = json["faults"].as_array().unwrap();
    let csv = harness(&["whatif", &lift, "--level", "note", "--format", "csv"]).out;
    let states: usize = faults.iter().map(|fault| fault["states"].as_array().unwrap().len().max(1)).sum();
    assert_eq!(csv.lines().count(), states + 1, "{csv}");
    for fault in faults {
        let at = fault["at"][0].as_str().unwrap();
        assert!(csv.lines().any(|line| line.contains(at)), "{at}\n{csv}");
    }
    // Five conductors, one fuse.
    let tried =
        |kind: &str| json["counts"].as_array().unwrap().iter().find(|count| count["kind"] == kind).unwrap()["tried"].clone();
    assert_eq!([tried("open"), tried("blown")], [5, 1]);
}

/// A list of which rows are left out says how many, wherever that list has room for it.
#[test]
fn what_a_severity_leaves_out_is_counted_in_every_format() {
    let lift = file("whatif-left-out", LIFT);
    let all = document("whatif", &harness(&["whatif", &lift, "--level", "note", "--format", "json"]));
    let some = document("whatif", &harness(&["whatif", &lift, "--level", "danger", "--format", "json"]));
    let listed = |json: &serde_json::Value| json["faults"].as_array().unwrap().len();
    let left = listed(&all) - listed(&some);
    assert!(left > 0, "{some}");
    assert_eq!([&all["left_out"], &some["left_out"]], [&0, &left]);
    let said = format!("not listed: {left} faults below `danger`");
    let csv = harness(&["whatif", &lift, "--level", "danger", "--format", "csv"]);
    assert!(csv.err.contains(&said) && csv.out.starts_with("level,fault,at,"), "{}{}", csv.err, csv.out);
    assert!(harness(&["whatif", &lift, "--level", "danger"]).out.contains(&said), "{said}");
    assert_eq!(harness(&["whatif", &lift, "--level", "note", "--format", "csv"]).err, "");
}

#[test]
fn a_name_that_leads_to_nothing_ends_the_run() {
    let lift = file("whatif-name", LIFT);
    let done = harness(&["whatif", &lift, "--open", "deck.44"]);
    assert_eq!(done.code, 2);
    assert!(done.err.contains("deck.44"), "{}", done.err);
    let done = harness(&["whatif", &lift, "--blow", "lever.contact"]);
    assert!(done.code == 2 && done.err.contains("the name of one fuse"), "{}", done.err);
}
