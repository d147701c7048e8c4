//! Slips with what current must pass and what it must not: converters, precharge, the interlock loop, the neutral behind its own device.

use super::{
    Said,
    items::{Item, elements, ends},
    netlist::{Netlist, way},
    said, sentences,
    slip::{Edit, Kind, Owed, Slip},
};
use harness_tests::fixtures;
use serde_yaml::{Mapping, Value};

/// The kinds of slips with ways of the current.
pub fn kinds() -> Vec<Kind> {
    vec![
        Kind { name: "converter's input and output swapped", owed: Owed::All, places: turned_round },
        Kind { name: "precharge resistor bridged", owed: Owed::All, places: without_precharge },
        Kind { name: "interlock contacts bridged in the plug", owed: Owed::All, places: bridged_loop },
    ]
}

fn turned_round(design: &Netlist) -> Vec<Slip> {
    let slip = |converter: Item| {
        let [input, output] = ["from", "to"].map(|key| design.at(&converter.key(key)).cloned());
        let edits = vec![Edit::Set(converter.key("from"), output?), Edit::Set(converter.key("to"), input?)];
        Some(Slip::with(&converter.label, edits))
    };
    elements(design, "converter").into_iter().filter_map(slip).collect()
}

/// A link in place of the resistor, at those that are named as such: `R1`, `Rpre`.
fn without_precharge(design: &Netlist) -> Vec<Slip> {
    let slip = |resistor: Item| {
        let points = ["from", "to"].map(|side| resistor.says(design, side).map(Value::String));
        let mut link = Mapping::new();
        link.insert(Value::String("link".to_owned()), Value::Sequence(points.into_iter().flatten().collect()));
        Slip::with(&resistor.label, vec![Edit::Set(resistor.way.clone(), Value::Mapping(link))]).naming(["no-precharge"])
    };
    elements(design, "resistor").into_iter().filter(|resistor| resistor.name.starts_with('R')).map(slip).collect()
}

/// A jumper from one interlock contact of a plug to the other.
fn bridged_loop(design: &Netlist) -> Vec<Slip> {
    let slip = |end: Item| {
        let housing = end.says(design, "housing")?;
        let labels = way(&["parts", "housings", &housing, "interlock"]);
        let label = |at: &str| design.text(&[labels.clone(), vec![at.to_owned()]].concat());
        let (one, other) = (label("0")?, label("1")?);
        let mut wire = Mapping::new();
        for (key, value) in [("from", one), ("to", other)] {
            wire.insert(Value::String(key.to_owned()), Value::String(format!("{}.{value}", end.name)));
        }
        for (key, value) in [("size", "0.5 mm2"), ("colour", "VT"), ("length", "50 mm")] {
            wire.insert(Value::String(key.to_owned()), Value::String(value.to_owned()));
        }
        let edit = Edit::Set(way(&["looms", &end.owner, "wires", "jumper"]), Value::Mapping(wire));
        Some(Slip::with(&end.label, vec![edit]).naming(["loop-misses"]))
    };
    ends(design).into_iter().filter_map(slip).collect()
}

/// Designs with a residual-current device: the points before and behind its neutral pole, and before and behind its line pole.
const RESIDUAL: [(&str, [&str; 4]); 2] = [
    ("sound/camper-12v-230v.yaml", ["consumer-unit.Ni", "consumer-unit.No", "consumer-unit.Li", "consumer-unit.L1"]),
    ("sound/cutter-12v.yaml", ["ac-box.N1", "ac-box.N2", "ac-box.Lin", "ac-box.Lout"]),
];

#[test]
fn neutrals_and_lines_from_before_the_residual_current_device_are_found() {
    for (design, [before_neutral, behind_neutral, before_line, behind_line]) in RESIDUAL {
        let sound = Netlist::read(&fixtures().join(design));
        let before = sentences(&sound.report());
        for (from, to) in [(behind_neutral, before_neutral), (behind_line, before_line)] {
            let moved: Vec<Item> =
                ends(&sound).into_iter().filter(|end| end.says(&sound, "lands-on").as_deref() == Some(from)).collect();
            assert!(!moved.is_empty(), "{design}: nothing lands on {from}");
            for end in moved {
                let slip = Slip::set(&end.label, end.key("lands-on"), to).naming(["netlist/borrowed-neutral"]);
                assert!(
                    said(&before, &slip.made(&sound).report(), &slip) == Said::Here,
                    "{design}: {} from {from} to {to}",
                    end.label
                );
            }
        }
    }
}
