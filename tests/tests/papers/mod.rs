//! The papers of the bench: what they say is the design, read by other means.

mod counts;
mod made;
mod netlist;
mod printed;
mod ring_out;
mod round_trip;

use harness_tests::harness_at;
use std::collections::BTreeMap;

/// The demo with every fact written out, which another reader of YAML can follow without knowing the format.
pub const DEMO: &str = "../fixtures/written-out/terrace-tractor/tractor.yaml";

/// Rows of a table by the keys of its columns.
pub type Rows = Vec<BTreeMap<String, String>>;

/// A table of a paper, as comma-separated values read by another library.
pub fn table(paper: &str, arguments: &[&str]) -> Rows {
    let all: Vec<&str> = ["papers", DEMO, paper, "--format", "csv"].into_iter().chain(arguments.iter().copied()).collect();
    let done = harness_at(harness_cli::Terminal::PIPE, "", &all);
    assert_eq!(done.code, 0, "{all:?}: {}", done.err);
    let mut reader = csv::Reader::from_reader(done.out.as_bytes());
    let head: Vec<String> = reader.headers().expect("a head").iter().map(str::to_owned).collect();
    let rows = reader.records().map(|record| record.expect("a record"));
    rows.map(|record| head.iter().cloned().zip(record.iter().map(str::to_owned)).collect()).collect()
}
