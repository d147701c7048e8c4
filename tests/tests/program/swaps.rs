//! `harness swaps`: what it proves of the demo, what another key letter there does, and that every form of it says the same.

use super::{document, harness};
use harness_cli::exit;
use harness_core::{
    Analysis, Checker, Design, MemoryFiles, Report, check,
    finding::Level,
    inspect::{Asked, Grade, Swaps},
};
use harness_tests::{Done, fixtures, words};
use std::{fs, path::Path};
use unicode_width::UnicodeWidthStr;

fn of(name: &str, args: &[&str]) -> Done {
    let path = fixtures().join(name);
    let path = path.to_str().expect("a plain name");
    let mut done = harness(&[&["swaps", path], args].concat());
    done.out = done.out.replace(path, name);
    assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""), "{name} {args:?}");
    done
}

/// The files of the demo, with one text for another in all but its list of housings.
fn demo(from: &str, to: &str) -> MemoryFiles {
    fn read(folder: &Path, within: &str, files: &mut Vec<(String, String)>) {
        for entry in fs::read_dir(folder).expect("the demo is there").map(|entry| entry.expect("an entry")) {
            let name = format!("{within}{}", entry.file_name().to_str().expect("a plain name"));
            if entry.path().is_dir() {
                read(&entry.path(), &format!("{name}/"), files);
            } else if name.ends_with(".yaml") {
                files.push((name, fs::read_to_string(entry.path()).expect("a text")));
            }
        }
    }
    let mut files = Vec::new();
    read(&fixtures().join("written-out/terrace-tractor"), "", &mut files);
    let changed = |(name, text): &(String, String)| match name.as_str() {
        "parts/housings.yaml" => text.clone(),
        _ => text.replace(from, to),
    };
    let mut all = files.iter().map(|file| (file.0.clone(), changed(file)));
    let (name, text) = all.next().expect("files");
    all.fold(MemoryFiles::one(&name, text), |files, (name, text)| files.and(&name, text))
}

fn swaps(files: &MemoryFiles) -> Swaps {
    let analysis = Analysis::of_all(&Design::load(files, "tractor.yaml"));
    Swaps::of(&analysis, Asked { least: Grade::Damage, cured: Grade::Damage, most: 100 })
}

fn severe(report: &Report) -> Vec<String> {
    let of_rule =
        report.findings.iter().filter(|finding| finding.rule == "mating/swapped-mating" && finding.level >= Level::Error);
    of_rule.map(|finding| format!("{}; {}", finding.headline, finding.help)).collect()
}

/// Every connector of the demo is compared, nothing is taken for granted, and no pair is left that hurts or damages.
#[test]
fn no_plug_of_the_demo_fits_where_it_would_hurt() {
    let done = of("terrace-tractor/tractor.yaml", &["--format", "json"]);
    let json = document("swaps", &done);
    assert!(json["compared"]["connectors"].as_u64() > Some(60), "{}", done.out);
    for kind in ["danger", "damage", "not_judged", "turned"] {
        assert_eq!(json["compared"][kind], 0, "{kind}");
    }
    assert!(json["compared"]["pairs_kept_apart_by_keys"].as_u64() > Some(50), "{}", done.out);
    for list in ["not_compared", "without_zone", "without_face", "cures"] {
        assert_eq!(json[list].as_array().map(Vec::len), Some(0), "{list}");
    }
    let text = of("terrace-tractor/tractor.yaml", &[]).out;
    assert!(text.contains("\nno dangerous pair: "), "{text}");
}

/// One key letter of the demo for another: the pair, what would happen, and the key that rules it out, which then does.
#[test]
fn another_key_letter_of_the_demo_shows_the_pair_and_its_cure() {
    let changes = [
        ("VC-20B", "VC-20A", ["front.P2", "traction.P20"], "meets the return"),
        ("RX-6A", "RX-6B", ["cab.P44", "cab.P46"], "`pedal supply 1`, 5 V DC"),
        ("RX-2E", "RX-2A", ["cab.P43", "cab.P49"], "joined through `key-switch.J1`"),
        ("QL-2E", "QL-2A", ["front.P13", "front.P9"], "joined through `brake-fluid-switch.J1`"),
        ("RX-3A", "RX-3C", ["cab.P53", "cab.P56"], "joined through `direction-lever.J1`"),
    ];
    assert!(severe(&check(&demo("nothing", "nothing"), "tractor.yaml", &Checker::new())).is_empty());
    for (from, to, names, words_of) in changes {
        let files = demo(from, to);
        let found = swaps(&files);
        let [row] = found.rows.as_slice() else { panic!("{from} to {to}: {:?}", found.rows) };
        let mut plugs = row.plugs.clone();
        plugs.sort();
        assert_eq!(plugs, names, "{from} to {to}: {}", row.words);
        assert!(row.grade >= Grade::Damage && row.words.contains(words_of), "{from} to {to}: {}", row.words);
        let [cure] = found.cures.as_slice() else { panic!("{from} to {to}: {:?}", found.cures) };
        assert_eq!((cure.changes.len(), cure.at_least, cure.before, cure.left), (1, None, 1, 0), "{cure:?}");
        let report = check(&files, "tractor.yaml", &Checker::new());
        let said = severe(&report);
        let [said] = said.as_slice() else { panic!("{from} to {to}: {}", words(&report)) };
        assert!(names.iter().all(|name| said.contains(name)) && said.contains(&cure.changes[0].2), "{said}");
    }
}

#[test]
fn what_is_read_on_a_screen_stays_within_its_width() {
    for name in ["class-b", "voltage", "turned", "in-line", "outputs", "free-port", "free-length"] {
        let done = of(&format!("rules/mating/swapped-mating/{name}.yaml"), &[]);
        assert!(done.out.lines().all(|line| line.width() <= 80 && line.trim_end() == line), "{}", done.out);
        assert!(!done.out.contains('\u{1b}'), "no colour in a pipe");
    }
    insta::assert_snapshot!("swaps_class_b", of("rules/mating/swapped-mating/class-b.yaml", &[]).out);
    insta::assert_snapshot!("swaps_turned", of("rules/mating/swapped-mating/turned.yaml", &[]).out);
}

/// The same pairs in every form.
#[test]
fn text_csv_and_json_have_the_same_pairs() {
    for name in ["class-b", "voltage", "outputs"] {
        let file = format!("rules/mating/swapped-mating/{name}.yaml");
        let json = document("swaps", &of(&file, &["--format", "json"]));
        let csv = of(&file, &["--format", "csv"]).out;
        let text = of(&file, &[]).out;
        let rows = json["swaps"].as_array().expect("rows");
        assert_eq!(csv.lines().count(), rows.len() + 1, "{csv}");
        let flowing = text.split_whitespace().collect::<Vec<_>>().join(" ");
        for row in rows {
            let said = row["words"].as_str().expect("words");
            let is_shown = row["grade"] != "harmless";
            assert_eq!(flowing.contains(said), is_shown, "{said}\n{text}");
            assert!(csv.contains(&said.replace('"', "\"\"")), "{said}\n{csv}");
        }
    }
}

#[test]
fn one_pair_by_its_names() {
    let file = "rules/mating/swapped-mating/class-b.yaml";
    let done = of(file, &["--pair", "traction.H", "cabin-lamp.X"]);
    assert!(done.out.contains("danger: class B at `heater.X.1`"), "{}", done.out);
    let unknown = harness(&["swaps", fixtures().join(file).to_str().expect("a plain name"), "--pair", "traction.H", "main.LL"]);
    assert_eq!(unknown.code, exit::FAILED);
    assert!(unknown.err.contains("`main.LL`") && unknown.err.contains("`main.L`"), "{}", unknown.err);
}
