//! Whatever is written as a wire or a pin is understood piece by piece, or has a finding.

use super::terse::{PUMP, swapped};
use harness_core::{Document, MemoryFiles};
use harness_tests::report;
use proptest::prelude::*;

/// What wires and pins in words are made of, right and wrong.
const BITS: [&str; 44] = [
    "P1.1",
    "P2.2",
    "R1",
    " to ",
    "to",
    ", ",
    ", ",
    ", ",
    ",",
    " ",
    "1 mm2",
    "0.75 mm²",
    "18 AWG",
    "RD/BK",
    "red",
    "1900 mm",
    "1 m",
    "22",
    "0,5",
    "via ",
    "T1",
    " and ",
    "twist ",
    "core C1.2",
    "current 10 A",
    "note ",
    "[",
    "]",
    "spare",
    "supply",
    "return",
    "feed",
    "ground",
    "role ",
    "domain ",
    "pull down",
    "signal ",
    "\"",
    "'",
    ": ",
    "é",
    "=",
    "->",
    "\t",
];

/// How many facts the wire or the pin of a design gives.
fn facts(text: &str) -> usize {
    let document = Document::read(&MemoryFiles::one("design.yaml", text), "design.yaml");
    let wires = document
        .design
        .looms
        .0
        .iter()
        .flat_map(|loom| &loom.value.wires.0)
        .filter(|wire| document.names.text(wire.name.value) == "9");
    let wires = wires.map(|wire| {
        let wire = &wire.value;
        let texts =
            [&wire.from, &wire.to, &wire.wire, &wire.core, &wire.twist, &wire.note].iter().filter(|text| text.is_some()).count();
        let lists = [&wire.via, &wire.unsure].iter().filter(|list| !list.is_empty()).count();
        let figures = [
            wire.size.is_some(),
            wire.colour.is_some(),
            wire.length.is_some(),
            wire.current.is_some(),
            wire.peak.is_some(),
            wire.end.is_some(),
        ];
        texts + lists + figures.iter().filter(|given| **given).count()
    });
    wires.sum()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_words_are_understood_or_found(bits in prop::collection::vec(0..BITS.len(), 1..14), first in any::<bool>()) {
        let mut words: String = bits.iter().map(|bit| BITS[*bit]).collect();
        if first {
            words = format!("P1.1 to P2.1, {words}");
        }
        let is_found = |text: &str| report(text).findings.iter().any(|found| found.rule.starts_with("format/"));
        let wire = swapped(PUMP, &[("    wires:\n", &format!("    wires:\n      9: {words}\n"))]);
        if !is_found(&wire) {
            let read: serde_yaml::Value = serde_yaml::from_str(&wire).unwrap();
            let text = read["looms"]["l"]["wires"][9].as_str().unwrap_or_else(|| panic!("{words} is not a text")).to_owned();
            let pieces = text.split(',').count();
            let ends = usize::from(text.split(',').next().is_some_and(|first| first.contains(" to ")));
            prop_assert_eq!(facts(&wire), pieces + ends, "{}", words);
        }
        // A pin is what its text says, or the text has a finding.
        let pin = swapped(PUMP, &[("2: spare", &format!("2: '{}'", words.replace('\'', "")))]);
        if !is_found(&pin) {
            let written = words.replace('\'', "");
            let first = written.split(',').next().unwrap_or_default().trim().to_owned();
            let document = Document::read(&MemoryFiles::one("design.yaml", pin.as_str()), "design.yaml");
            prop_assert!(first == "spare" || document.names.find(&first).is_some(), "{}", words);
        }
    }
}
