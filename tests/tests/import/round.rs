//! What `harness export` writes, imported again, laid over with what no list of wires holds: the same design.

use super::{fresh, harness, text};
use harness_core::inspect::ListedJoint;
use harness_tests::{fixtures, netlists, tier};
use serde_yaml::{Mapping, Value};
use std::{
    collections::BTreeSet,
    fs,
    path::{Path, PathBuf},
};

/// The keys of each thing that the lists hold. All others are facts that no list of wires has: what parts are (`parts`), what is inside a box,
/// what a pin does (role, domain, network), where things are (zones, routes, lengths of branches), how the vehicle is used (modes, policy).
const HELD: [(&str, &[&str]); 7] = [
    ("wires", &["from", "to", "size", "colour", "length", "wire", "core", "twist", "note", "unsure"]),
    ("ends", &["housing", "mates", "pins", "plugged", "ring", "bolts-to", "lands-on", "terminal", "terminals", "note", "unsure"]),
    ("splices", &["note"]),
    ("cables", &["part", "length", "note"]),
    ("inside", &["note"]),
    ("ports", &["housing", "stud", "screw", "tab", "strip", "ferrule", "body"]),
    ("pins", &["signal", "need", "note", "unsure"]),
];

fn map<'a>(of: &'a mut Mapping, key: &str) -> Option<&'a mut Mapping> {
    of.get_mut(key).and_then(Value::as_mapping_mut)
}

fn drop(of: &mut Mapping, keys: &[&str]) {
    of.retain(|key, _| !key.as_str().is_some_and(|key| keys.contains(&key)));
}

/// Takes the keys that lists hold out of all things behind `key`, and things of which nothing is left.
fn thin(of: &mut Mapping, key: &str) {
    let Some(things) = map(of, key) else { return };
    let held = HELD.iter().find(|(known, _)| *known == key).map_or(&[][..], |(_, held)| held);
    things.retain(|_, thing| {
        let Value::Mapping(thing) = thing else { return false };
        if key == "inside" {
            drop(thing, &ListedJoint::elements().collect::<Vec<_>>());
        }
        let is_plug = thing.get("pins").is_some_and(Value::is_mapping);
        if key == "ports" {
            thin(thing, "pins");
            if !is_plug {
                drop(thing, &["signal", "need", "note"]);
            }
        }
        drop(thing, held);
        !thing.is_empty()
    });
    if things.is_empty() {
        of.remove(key);
    }
}

/// A file of a design without what the lists hold.
fn without_lists(text: &str) -> Mapping {
    let mut file: Mapping = serde_yaml::from_str(text).unwrap();
    file.remove("retired");
    for (_, loom) in map(&mut file, "looms").into_iter().flatten() {
        let Some(loom) = loom.as_mapping_mut() else { continue };
        for key in ["wires", "ends", "splices", "cables", "inside"] {
            thin(loom, key);
        }
        drop(loom, &["wire", "size", "colour", "fitted", "note", "unsure"]);
    }
    for (_, device) in map(&mut file, "devices").into_iter().flatten() {
        let Some(device) = device.as_mapping_mut() else { continue };
        thin(device, "ports");
    }
    file
}

/// Exports a design, imports that into a folder where the rest of the design is, and gives the root of what came of it.
fn round((exported, root): (&Path, &Path), files: &[PathBuf], folder: &Path, to: &str) -> PathBuf {
    let lists = folder.join(to);
    let done = harness(&["export", &text(exported), "--to", &text(&lists)]);
    assert_eq!((done.code, done.err.as_str()), (0, ""), "{}", root.display());
    let design = folder.join(format!("design-{to}"));
    fs::create_dir_all(design.join("imported")).unwrap();
    let home = root.parent().unwrap();
    for file in files {
        let mut rest = without_lists(&fs::read_to_string(file).unwrap());
        let name = if file == root {
            let include = rest.entry("include".into()).or_insert_with(|| Value::Sequence(Vec::new()));
            include.as_sequence_mut().unwrap().push("imported/lists.yaml".into());
            PathBuf::from("design.yaml")
        } else {
            file.strip_prefix(home).unwrap().to_owned()
        };
        let path = design.join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, serde_yaml::to_string(&rest).unwrap()).unwrap();
    }
    fs::write(design.join("facts.yaml"), "").unwrap();
    let done = harness(&["import", &text(&lists), "--out", &text(&design)]);
    assert_eq!((done.code, done.err.as_str()), (0, ""), "{}", root.display());
    for section in ["could not be read", "conflicts in the lists", "not in the design"] {
        assert!(!done.out.contains(section), "{}: {}", root.display(), done.out);
    }
    design.join("design.yaml")
}

/// The fixture designs: which is exported, and root and files of the one whose facts are laid over it. The demo is written in words and by what
/// is like what; its facts come from its written-out form.
fn designs() -> Vec<([PathBuf; 2], Vec<PathBuf>)> {
    let fixtures = fixtures();
    let mut designs: Vec<([PathBuf; 2], Vec<PathBuf>)> = [
        "written-out/terrace-tractor/tractor.yaml",
        "hut-truck/truck.yaml",
        "cart-48v/cart.yaml",
        "boat-12v/boat.yaml",
        "truck-24v/truck.yaml",
        "motorcycle-96v/motorcycle.yaml",
    ]
    .iter()
    .map(|root| fixtures.join(root))
    .map(|root| ([root.clone(), root.clone()], netlists(root.parent().unwrap())))
    .collect();
    if let Some((roots, _)) = designs.first_mut() {
        roots[0] = fixtures.join("terrace-tractor/tractor.yaml");
    }
    let alone = [netlists(&fixtures.join("sound")), netlists(&fixtures.join("orchard-lift"))].concat();
    designs.extend(alone.into_iter().map(|file| ([file.clone(), file.clone()], vec![file])));
    designs
}

#[test]
fn an_export_imported_again_is_the_same_design() {
    let mut kept: BTreeSet<String> = BTreeSet::new();
    for (at, ([root, rest], files)) in
        tier::sample("an_export_imported_again_is_the_same_design", designs().into_iter().enumerate())
    {
        let folder = fresh(&format!("round-{at}"));
        for to in ["lists", "lists.xlsx"] {
            let made = round((&root, &rest), &files, &folder, to);
            let done = harness(&["diff", &text(&root), &text(&made)]);
            assert_eq!((done.code, done.out.trim()), (0, "the two revisions say the same"), "{} {to}", root.display());
        }
        for file in &files {
            kept.extend(without_lists(&fs::read_to_string(file).unwrap()).keys().filter_map(Value::as_str).map(str::to_owned));
        }
    }
    // The other half of the proof: the lists hold whole kinds of things, so that nothing of them comes by the way of the rest.
    assert!(kept.contains("parts") && kept.contains("devices") && !kept.contains("retired"), "{kept:?}");
}

#[test]
fn a_row_that_somebody_adds_to_an_export_is_read_as_any_list_is() {
    let folder = fresh("round-added");
    let root = fixtures().join("boat-12v/boat.yaml");
    let files = netlists(root.parent().unwrap());
    let design = round((&root, &root), &files, &folder, "lists");
    let wires = folder.join("lists/loom cabin.csv");
    let mut text_of = fs::read_to_string(&wires).unwrap();
    // As people write: plug and cavity in one cell, the gauge without its unit, a colour by its word, a doubt.
    text_of.push_str("190,CAB:1,,new lamp:2,,18 AWG,,Red,~600,,,,,,,,\n");
    fs::write(&wires, &text_of).unwrap();
    let done = harness(&["import", &text(&folder.join("lists")), "--out", &text(design.parent().unwrap())]);
    assert_eq!((done.code, done.err.as_str()), (0, ""), "{}", done.out);
    assert!(done.out.contains("wire `cabin.190` added"), "{}", done.out);
    let made = fs::read_to_string(design.parent().unwrap().join("imported/loom-cabin.yaml")).unwrap();
    assert!(made.contains("190: { from: CAB.1, to: new-lamp.2, size: 18 AWG, colour: RD, length: 600 mm,"), "{made}");
    assert!(made.contains("unsure: [\"length: ~600\"]"), "{made}");
    // One cell of the export that was changed is one change.
    let changed = text_of.replacen(",2.5 mm2,2.5,GY,1000,", ",4 mm2,2.5,GY,1000,", 1);
    assert_ne!(changed, text_of);
    fs::write(&wires, changed).unwrap();
    let done = harness(&["import", &text(&folder.join("lists")), "--out", &text(design.parent().unwrap())]);
    let changes: Vec<&str> = done.out.lines().skip_while(|line| !line.starts_with("changed since")).take(2).collect();
    assert_eq!(
        changes,
        ["changed since the last import (1)", "  wire `cabin.101` resized: from 2.5 mm2 to 4 mm2"],
        "{}",
        done.out
    );
}

#[test]
fn what_no_import_reads_goes_out_again_as_it_came() {
    let folder = fresh("round-unread");
    let rows = "Wire,From,To,AWG,Shelf,Bought from\n101,P1:1,P2:1,20,B4,\"corner shop, left\"\n102,P1:2,P2:2,20,B5,\n,,,,only a shelf,x\n";
    let list = super::written(&folder, "front.csv", rows);
    super::imported(&folder, &[&list], &[]);
    let lists = folder.join("lists");
    let exported = |to: &Path| {
        let done = harness(&["export", &text(&folder.join("design")), "--to", &text(to)]);
        assert_eq!((done.code, done.err.as_str()), (0, ""));
        fs::read_to_string(to.join("loom front.csv")).unwrap()
    };
    let first = exported(&lists);
    let cells = |text: &str| -> Vec<Vec<String>> {
        let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(text.as_bytes());
        let rows = reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect::<Vec<_>>());
        rows.map(|row| row.into_iter().skip(17).collect()).collect()
    };
    assert_eq!(cells(&first), [["Bought from", "Shelf"], ["corner shop, left", "B4"], ["", "B5"]]);
    // And again: an import of the export keeps them, and the next export writes the same.
    let done = harness(&["import", &text(&lists), "--out", &text(&folder.join("again"))]);
    assert!(done.out.contains("not read, and goes along: `Bought from` and `Shelf`"), "{}", done.out);
    let done = harness(&["export", &text(&folder.join("again")), "--to", &text(&folder.join("second"))]);
    assert_eq!(done.code, 0, "{}", done.err);
    for name in ["loom front.csv", "not read.csv"] {
        let [one, two] = ["lists", "second"].map(|to| fs::read_to_string(folder.join(to).join(name)).unwrap_or_default());
        assert_eq!(one, two, "{name}");
    }
}

#[test]
fn an_export_without_its_design_is_a_design_by_itself() {
    let folder = fresh("round-alone");
    let root = fixtures().join("terrace-tractor/tractor.yaml");
    let book = text(&folder.join("any name.xlsx"));
    assert_eq!(harness(&["export", &text(&root), "--to", &book]).code, 0);
    let done = harness(&["import", &book, "--out", &text(&folder.join("design"))]);
    assert_eq!((done.code, done.err.as_str()), (0, ""), "{}", done.out);
    assert!(done.out.contains("are not in the design, and kept as notes: write them"), "{}", done.out);
    assert!(done.out.contains("under `parts.housings` in facts.yaml"), "{}", done.out);
    assert!(done.out.lines().all(|line| line.chars().count() <= 80), "{}", done.out);
    // Nothing of it refers to what is not there.
    let found = super::findings(&folder);
    let unresolved: Vec<_> = found.iter().filter(|(rule, _)| rule.starts_with("format/") || rule.contains("unknown")).collect();
    assert!(unresolved.is_empty(), "{unresolved:?}");
}
