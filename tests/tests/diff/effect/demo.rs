//! The demo with one change each.

use super::{between, renames};
use harness_core::{
    FileError, Files,
    diff::{
        effect::{Effect, NetTurn, Supply, Turn},
        renames::Renames,
    },
};
use harness_tests::fixtures;

const ROOT: &str = "tractor.yaml";

/// The demo with texts swapped in its files.
struct Demo(Vec<(&'static str, String, String)>);

impl Files for Demo {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        let path = fixtures().join("written-out/terrace-tractor").join(name);
        let mut text = std::fs::read_to_string(path).map_err(|error| FileError::Unreadable(error.to_string()))?;
        for (file, from, to) in self.0.iter().filter(|(file, _, _)| *file == name || *file == "*") {
            assert!(*file == "*" || text.contains(from.as_str()), "`{from}` is not in {name}");
            text = text.replace(from.as_str(), to);
        }
        Ok(text.into_bytes())
    }
}

fn changed(swaps: &[(&'static str, &str, &str)], renames: &Renames) -> Effect {
    let new = Demo(swaps.iter().map(|(file, from, to)| (*file, (*from).to_owned(), (*to).to_owned())).collect());
    between((&Demo(Vec::new()), ROOT), (&new, ROOT), renames)
}

#[test]
fn the_demo_has_no_effect_on_itself() {
    let found = changed(&[], &Renames::default());
    assert!(found.is_empty(), "{found:#?}");
    assert!(found.modes.both.len() == 4 && found.modes.unsettled.new.is_empty());
}

#[test]
fn renamed_connectors_boxes_looms_and_wires_have_no_effect() {
    let found = changed(
        &[
            ("looms/front.yaml", "P1:", "P91:"),
            ("looms/front.yaml", "P1.", "P91."),
            ("looms/front.yaml", "      101:", "      901:"),
            ("looms/cab.yaml", "SIG", "SIX"),
            ("*", "fusebox", "fuse-carrier"),
            ("looms/rear.yaml", "  rear:", "  tail:"),
            ("*", "rear.X10", "tail.X10"),
        ],
        &renames(&[
            ("front.P1", "front.P91"),
            ("front.101", "front.901"),
            ("cab.SIG", "cab.SIX"),
            ("fusebox", "fuse-carrier"),
            ("rear", "tail"),
        ]),
    );
    assert!(found.is_empty(), "{found:#?}");
}

/// The ignition splice of the cab feeds the cluster and the direction lever; without the first half the one is dark.
#[test]
fn a_cut_splice_of_the_demo_starves_what_it_feeds() {
    let found = changed(
        &[
            ("looms/cab.yaml", "404: { from: SIG,", "404: { from: SIX,"),
            ("looms/cab.yaml", "      SIL: {", "      SIX: {}\n      SIL: {"),
        ],
        &Renames::default(),
    );
    let [net] = found.nets.as_slice() else { panic!("{:?}", found.nets) };
    assert_eq!((net.turn, net.parts.len()), (NetTurn::Split, 2));
    let lost: Vec<&str> = found
        .loads
        .iter()
        .filter(|load| load.supply.iter().any(|change| change.supply == Supply::Source && change.turn == Turn::Lost))
        .map(|load| load.name.as_str())
        .collect();
    assert_eq!(lost, ["cluster.display"]);
    let came: Vec<&str> = found.findings.came.iter().map(|told| told.rule).collect();
    assert_eq!(came, ["netlist/dangling-wire"], "only the effect says which load is dark");
    assert!(found.findings.went.is_empty());
}

#[test]
fn a_thinner_wire_of_the_demo_changes_itself_and_little_else() {
    let line = "101: { from: P1.1, to: P3.1, size: 1.5 mm2";
    let found = changed(&[("looms/front.yaml", line, "101: { from: P1.1, to: P3.1, size: 0.75 mm2")], &Renames::default());
    let change = found.conductors.iter().find(|change| change.name == "front.101").unwrap();
    let temperature = change.temperature.unwrap();
    assert!(temperature.new.unwrap() > temperature.old.unwrap());
    assert!(!change.margins.is_empty() && change.drop.is_some());
    assert!(found.nets.is_empty() && found.fuses.iter().all(|fuse| fuse.rating.is_none()));
    assert!(found.loads.iter().all(|load| load.supply.is_empty()));
    assert!(found.conductors.len() < 10, "{:?}", found.conductors.iter().map(|change| &change.name).collect::<Vec<_>>());
}
