//! The readings of a ring-out, read back: their nets are those of the wires as written, and their ohms those of a dense solve over printed tables.

use super::{
    Rows,
    netlist::{Netlist, entries, figure, key, millimetres, read},
    table,
};
use nalgebra::{DMatrix, DVector};
use serde_yaml::Value;
use std::collections::{BTreeMap, BTreeSet};

/// Largest resistance at 20 degC in mohm/m by cross-section in mm2, ISO 6722-1 as a maker's datasheet prints it (seen; 0.5 and 0.75 second hand).
#[expect(clippy::approx_constant, reason = "a printed resistance")]
const PRINTED: [(&str, f64); 9] = [
    ("0.5", 37.1),
    ("0.75", 24.7),
    ("1", 18.5),
    ("1.5", 12.7),
    ("2.5", 7.6),
    ("4", 4.71),
    ("6", 3.14),
    ("10", 1.82),
    ("16", 1.16),
];
/// A mated contact, in ohm (common practice, no source), where the housing says nothing else.
const CONTACT: f64 = 0.002;

/// One conductor: its two places, and its ohms where the printed table has its size.
struct Conductor {
    ends: [String; 2],
    ohm: Option<f64>,
}

/// The conductors of a loom as written: wires, cores, screens; bars and fuses in line.
fn conductors(netlist: &Netlist, loom: &str, held: &Value) -> Vec<Conductor> {
    let place = |value: &Value, end: &str| format!("{loom}.{}", key(value, end));
    let mut all = Vec::new();
    for wire in entries(&held["wires"]).into_values() {
        if [key(wire, "from"), key(wire, "to")].iter().any(|end| end == "capped" || end.is_empty()) {
            continue;
        }
        let is_road = key(wire, "core").is_empty() && {
            let kind = match key(wire, "wire") {
                own if own.is_empty() => key(held, "wire"),
                own => own,
            };
            netlist.parts["conductors"].get(&kind).is_some_and(|kind| key(kind, "standard").contains("6722"))
        };
        let size = key(wire, "size");
        let printed = PRINTED.iter().find(|(printed, _)| *printed == size.split(' ').next().unwrap_or("")).map(|(_, ohm)| *ohm);
        let length = key(wire, "length");
        let ohm =
            printed.filter(|_| is_road && !length.is_empty()).map(|per_metre| per_metre * 1e-3 * millimetres(&length) * 1e-3);
        all.push(Conductor { ends: [place(wire, "from"), place(wire, "to")], ohm });
    }
    for cable in held.get("cables").map(entries).unwrap_or_default().into_values() {
        let screen = cable.get("screen").map(entries).unwrap_or_default();
        let ends: Vec<String> = screen.into_values().map(super::netlist::text).collect();
        if let [from, to] = ends.as_slice() {
            all.push(Conductor { ends: [format!("{loom}.{from}"), format!("{loom}.{to}")], ohm: None });
        }
    }
    all
}

/// The leader of each place, by who is joined to whom.
fn nets(pairs: impl Iterator<Item = [String; 2]>) -> BTreeMap<String, String> {
    let mut leader: BTreeMap<String, String> = BTreeMap::new();
    for [one, other] in pairs {
        let a = leader.entry(one.clone()).or_insert(one).clone();
        let b = leader.entry(other.clone()).or_insert(other).clone();
        for own in leader.values_mut().filter(|own| **own == b) {
            own.clone_from(&a);
        }
    }
    leader
}

/// Places that are joined, each set once.
fn sets(leader: &BTreeMap<String, String>, keep: impl Fn(&str) -> bool) -> BTreeSet<BTreeSet<String>> {
    let mut sets: BTreeMap<&String, BTreeSet<String>> = BTreeMap::new();
    for (place, own) in leader.iter().filter(|(place, _)| keep(place)) {
        sets.entry(own).or_default().insert(place.clone());
    }
    sets.into_values().filter(|set| set.len() > 1).collect()
}

#[test]
fn the_readings_of_a_loom_are_its_nets_and_what_must_be_open_is_of_two() {
    let netlist = read();
    let (mut joined, mut open) = (0, 0);
    for (loom, held) in &netlist.looms {
        let rows: Rows = table("ring-out", &["--loom", loom, "--table", "steps"]);
        let written = nets(conductors(&netlist, loom, held).into_iter().map(|conductor| conductor.ends));
        let ends: BTreeSet<String> = entries(&held["ends"]).into_keys().map(|end| format!("{loom}.{end}")).collect();
        let is_at_end = |place: &str| {
            ends.iter().any(|end| place == end || place.strip_prefix(end.as_str()).is_some_and(|rest| rest.starts_with('.')))
        };
        let read = nets(rows.iter().filter(|row| row["expect"] == "joined").map(|row| [row["from"].clone(), row["to"].clone()]));
        assert_eq!(sets(&written, is_at_end), sets(&read, |_| true), "the nets of {loom}");
        for row in rows.iter().filter(|row| row["expect"] == "open" && row["to"] != "strip") {
            let of = |place: &str| written.get(place).cloned().unwrap_or_else(|| place.to_owned());
            assert_ne!(of(&row["from"]), of(&row["to"]), "{row:?}");
            open += 1;
        }
        joined += rows.iter().filter(|row| row["expect"] == "joined").count();
    }
    assert!(joined > 200 && open > 100, "{joined} joined and {open} open");
}

#[test]
fn the_ohms_of_a_reading_are_those_of_a_dense_solve_over_printed_tables() {
    let netlist = read();
    let mut compared = 0;
    for (loom, held) in &netlist.looms {
        let all = conductors(&netlist, loom, held);
        let leader = nets(all.iter().map(|conductor| conductor.ends.clone()));
        let rows: Rows = table("ring-out", &["--loom", loom, "--table", "steps"]);
        for row in rows.iter().filter(|row| row["expect"] == "joined" && !row["expected_ohm"].is_empty()) {
            let own: Vec<&Conductor> =
                all.iter().filter(|conductor| leader[&conductor.ends[0]] == leader[&row["from"]]).collect();
            let Some(ohm) = between(&own, &row["from"], &row["to"]) else { continue };
            let contacts: f64 =
                [&row["from"], &row["to"]].into_iter().filter_map(|place| contact(&netlist, loom, held, place)).sum();
            let ours: f64 = row["expected_ohm"].parse().expect("a figure");
            let theirs = ohm + contacts;
            assert!((ours - theirs).abs() <= 0.003 * theirs + 1e-6, "{row:?}: {theirs}");
            compared += 1;
        }
    }
    assert!(compared > 100, "{compared} readings");
}

/// The contact of a place, in ohm: that of a housing; a bolted joint has a tenth of a milliohm.
fn contact(netlist: &Netlist, loom: &str, held: &Value, place: &str) -> Option<f64> {
    let end = place.strip_prefix(loom)?.strip_prefix('.')?.split('.').next()?;
    let said = entries(&held["ends"]).get(end).copied().cloned()?;
    let housing = key(&said, "housing");
    if housing.is_empty() {
        return Some(1e-4);
    }
    let own = key(&netlist.parts["housings"][&housing], "contact-resistance");
    Some(match figure_or_none(&own) {
        Some((value, "mohm")) => value * 1e-3,
        Some((value, _)) => value,
        None => CONTACT,
    })
}

fn figure_or_none(text: &str) -> Option<(f64, &str)> {
    if text.is_empty() { None } else { Some(figure(text)) }
}

/// The resistance between two places over conductors whose ohms are all known.
fn between(conductors: &[&Conductor], from: &str, to: &str) -> Option<f64> {
    let mut places: BTreeMap<&str, usize> = BTreeMap::new();
    for end in conductors.iter().flat_map(|conductor| &conductor.ends) {
        let next = places.len();
        places.entry(end).or_insert(next);
    }
    let count = places.len();
    let mut matrix = DMatrix::<f64>::zeros(count, count);
    for conductor in conductors {
        let siemens = 1.0 / conductor.ohm?;
        let [a, b] = [places[conductor.ends[0].as_str()], places[conductor.ends[1].as_str()]];
        matrix[(a, a)] += siemens;
        matrix[(b, b)] += siemens;
        matrix[(a, b)] -= siemens;
        matrix[(b, a)] -= siemens;
    }
    let ground = places[to];
    matrix.row_mut(ground).fill(0.0);
    matrix[(ground, ground)] = 1.0;
    let mut amps = DVector::<f64>::zeros(count);
    amps[places[from]] = 1.0;
    Some(matrix.lu().solve(&amps)?[places[from]])
}
