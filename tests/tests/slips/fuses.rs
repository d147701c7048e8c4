//! Slips with fuses: a rating, a bridge in the holder, a data sheet misread.

use super::{
    items::{Item, elements, times},
    netlist::{Netlist, way},
    slip::{Edit, Kind, Owed, Slip},
};
use serde_yaml::{Mapping, Value};

/// The kinds of slips with fuses.
pub fn kinds() -> Vec<Kind> {
    vec![
        Kind {
            name: "fuse of twice the rating",
            owed: Owed::Share(
                35,
                "the conductor has room for the next rating, or its source has a limit below; `oracle/recompute/doubles` computes each of the demo anew",
            ),
            places: |design| figures(design, "rating", 2.0),
        },
        Kind {
            name: "fuse of four times the rating",
            owed: Owed::Share(65, "the source has a limit that the conductor carries, as the converter of the cart has"),
            places: |design| figures(design, "rating", 4.0),
        },
        Kind {
            name: "fuse of a tenth of the rating",
            owed: Owed::Share(90, "what idles or only senses takes less than that"),
            places: |design| figures(design, "rating", 0.1),
        },
        Kind {
            name: "wire across the fuse holder",
            owed: Owed::Somewhere(65, "a source with a limit that the conductor carries is its own protection"),
            places: bridged,
        },
        Kind { name: "no fuse in the holder", owed: Owed::Note(100, "none may be quiet"), places: empty },
        Kind {
            name: "fuse that breaks a hundredth",
            owed: Owed::Share(60, "the source has a limit that the fuse breaks"),
            places: |design| figures(design, "breaking", 0.01),
        },
        Kind { name: "fuse for a tenth of the voltage", owed: Owed::All, places: |design| figures(design, "voltage", 0.1) },
    ]
}

/// Every fuse with a figure of its kind changed, for this fuse alone.
fn figures(design: &Netlist, key: &str, factor: f64) -> Vec<Slip> {
    let mut slips = Vec::new();
    for fuse in elements(design, "fuse") {
        let Some(kind) = fuse.says(design, "fuse") else { continue };
        let Some(figure) = design.text(&way(&["parts", "fuses", &kind, key])) else { continue };
        let Some(Value::Mapping(facts)) = design.at(&way(&["parts", "fuses", &kind])) else { continue };
        let mut facts: Mapping = facts.clone();
        facts.insert(Value::String(key.to_owned()), Value::String(times(&figure, factor)));
        let name = format!("{kind}-slipped");
        let edits = vec![
            Edit::Set(way(&["parts", "fuses", &name]), Value::Mapping(facts)),
            Edit::Set(fuse.key("fuse"), Value::String(name.clone())),
        ];
        slips.push(Slip::with(&fuse.label, edits).naming([name]));
    }
    slips
}

fn sides(design: &Netlist, fuse: &Item) -> Vec<String> {
    let points = ["from", "to"].iter().filter_map(|side| fuse.says(design, side));
    points.map(|point| format!("{}.{point}", fuse.owner)).collect()
}

fn bridged(design: &Netlist) -> Vec<Slip> {
    let with_a_wire = |fuse: Item| {
        let points = ["from", "to"].iter().filter_map(|side| fuse.says(design, side)).map(Value::String).collect();
        let mut link = Mapping::new();
        link.insert(Value::String("link".to_owned()), Value::Sequence(points));
        Slip::with(&fuse.label, vec![Edit::Set(fuse.way.clone(), Value::Mapping(link))]).naming(sides(design, &fuse))
    };
    elements(design, "fuse").into_iter().map(with_a_wire).collect()
}

fn empty(design: &Netlist) -> Vec<Slip> {
    let taken_out = |fuse: Item| {
        Slip::with(&fuse.label, vec![Edit::Set(fuse.key("fitted"), Value::Bool(false))]).naming(sides(design, &fuse))
    };
    elements(design, "fuse").into_iter().map(taken_out).collect()
}
