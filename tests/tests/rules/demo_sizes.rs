//! The demo is sized as a workshop sizes: most of its conductors are too thin at half their size and all at a quarter, most of its fuses
//! are too large at twice their rating and all at four times, and the check says so.

use harness_core::{Checker, FileError, Files, Report, check, finding::Level};
use harness_tests::{fixtures, tier::sample, words};
use std::{
    collections::BTreeMap,
    path::Path,
    sync::atomic::{AtomicUsize, Ordering},
    thread,
};

const ROOT: &str = "tractor.yaml";

/// The files of the demo, one of which may be read with a line swapped.
struct Demo<'a> {
    files: &'a BTreeMap<String, String>,
    changed: (&'a str, String),
}

impl Files for Demo<'_> {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        let text = if name == self.changed.0 { &self.changed.1 } else { self.files.get(name).expect("a file of the demo") };
        Ok(text.clone().into_bytes())
    }
}

/// A change of one line of the demo, and the names of which a finding must speak.
struct Change {
    file: String,
    line: usize,
    from: String,
    to: String,
    /// Each must be named.
    names: Vec<String>,
    /// What the figures of the finding must hold.
    figure: String,
}

fn files(folder: &Path, prefix: &str, into: &mut BTreeMap<String, String>) {
    for entry in std::fs::read_dir(folder).expect("the demo's folder").map(|entry| entry.expect("an entry")) {
        let name = format!("{prefix}{}", entry.file_name().to_string_lossy());
        if entry.path().is_dir() {
            files(&entry.path(), &format!("{name}/"), into);
        } else {
            into.insert(name, std::fs::read_to_string(entry.path()).expect("a file of the demo"));
        }
    }
}

/// The value behind `key: ` up to a comma or brace.
fn value<'a>(line: &'a str, key: &str) -> Option<&'a str> {
    let (_, rest) = line.split_once(&format!("{key}: "))?;
    rest.split([',', '}']).next().map(str::trim)
}

fn entry(line: &str) -> Option<(usize, &str)> {
    let indent = line.len() - line.trim_start().len();
    let (name, _) = line.trim_start().split_once(':')?;
    name.chars().all(|c| c.is_alphanumeric() || "-.".contains(c)).then_some((indent, name))
}

fn part_of(size: &str, share: f64) -> String {
    let number: f64 = size.trim_end_matches(" mm2").parse().unwrap_or_else(|_| panic!("a size: {size}"));
    // To a thousandth, as the findings write it.
    format!("{} mm2", (number * share * 1e3).round() / 1e3)
}

/// Every wire with a size of its own, with this share of it.
fn thinner(files: &BTreeMap<String, String>, share: f64) -> Vec<Change> {
    let mut changes = Vec::new();
    for (file, text) in files.iter().filter(|(file, _)| file.starts_with("looms/")) {
        let mut loom = "";
        for (number, line) in text.lines().enumerate() {
            match entry(line) {
                Some((2, name)) => loom = name,
                Some((6, name)) if line.contains("from: ") => {
                    let Some(size) = value(line, "size") else { continue };
                    changes.push(Change {
                        file: file.clone(),
                        line: number,
                        from: format!("size: {size}"),
                        to: format!("size: {}", part_of(size, share)),
                        names: vec![format!("{loom}.{name}")],
                        figure: part_of(size, share),
                    });
                }
                _ => {}
            }
        }
    }
    changes
}

/// Every core of every cable kind with this share of its size; all wires that are such cores must be named.
fn thinner_cores(files: &BTreeMap<String, String>, share: f64) -> Vec<Change> {
    let mut uses: BTreeMap<(String, String), Vec<String>> = BTreeMap::new();
    for text in files.iter().filter(|(file, _)| file.starts_with("looms/")).map(|(_, text)| text) {
        let (mut loom, mut kinds) = ("", BTreeMap::new());
        for line in text.lines() {
            match entry(line) {
                Some((2, name)) => loom = name,
                Some((6, name)) => {
                    if let Some(kind) = value(line, "part") {
                        kinds.insert(name, kind);
                    }
                    if let Some((cable, core)) = value(line, "core").and_then(|core| core.split_once('.')) {
                        let kind = kinds.get(cable).copied().unwrap_or_else(|| panic!("the kind of {loom}.{cable}"));
                        uses.entry((kind.to_owned(), core.to_owned())).or_default().push(format!("{loom}.{name}"));
                    }
                }
                _ => {}
            }
        }
    }
    let mut changes = Vec::new();
    for (file, text) in files.iter().filter(|(file, _)| file.starts_with("parts/")) {
        let mut kind = "";
        for (number, line) in text.lines().enumerate() {
            if let Some((4, name)) = entry(line) {
                kind = name;
            }
            if !line.contains("cores: ") {
                continue;
            }
            let pieces: Vec<&str> = line.split("cores: ").nth(1).unwrap_or_default().split(": { size: ").collect();
            for pair in pieces.windows(2) {
                let [before, rest] = pair else { continue };
                let core = before.trim_start_matches('{').rsplit([' ', ',']).next().expect("a core").to_owned();
                let size = rest.split([',', '}']).next().expect("a size").trim().to_owned();
                let Some(names) = uses.get(&(kind.to_owned(), core.clone())) else { continue };
                changes.push(Change {
                    file: file.clone(),
                    line: number,
                    from: format!("{core}: {{ size: {size}"),
                    to: format!("{core}: {{ size: {}", part_of(&size, share)),
                    names: names.clone(),
                    figure: part_of(&size, share),
                });
            }
        }
    }
    changes
}

/// Every fuse with a kind of a larger rating, and all else as its own kind has it.
fn larger(files: &BTreeMap<String, String>) -> Vec<Change> {
    let mut changes = Vec::new();
    for (file, text) in files.iter().filter(|(file, _)| file.starts_with("devices/")) {
        let mut device = "";
        for (number, line) in text.lines().enumerate() {
            match entry(line) {
                Some((2, name)) => device = name,
                Some((6, name)) => {
                    let Some(kind) = value(line, "{ fuse") else { continue };
                    changes.push(Change {
                        file: file.clone(),
                        line: number,
                        from: format!("fuse: {kind},"),
                        to: format!("fuse: larger-{kind},"),
                        names: vec![format!("{device}.{name}")],
                        figure: String::new(),
                    });
                }
                _ => {}
            }
        }
    }
    changes
}

/// The demo with each kind of fuse a second time, at so many times its rating.
fn with_larger(files: &BTreeMap<String, String>, times: f64) -> BTreeMap<String, String> {
    let mut files = files.clone();
    for text in files.iter_mut().filter(|(file, _)| file.starts_with("parts/")).map(|(_, text)| text) {
        let lines: Vec<&str> = text.lines().collect();
        let mut larger = Vec::new();
        for (number, line) in lines.iter().enumerate() {
            let (Some((4, name)), Some(rating)) = (entry(line), value(line, "rating")) else { continue };
            let amps: f64 = rating.trim_end_matches(" A").parse().unwrap_or_else(|_| panic!("a rating: {rating}"));
            let more = lines.iter().skip(number + 1).take_while(|line| line.starts_with("      "));
            let block: Vec<&str> = std::iter::once(line).chain(more).copied().collect();
            let block = block.join("\n").replacen(&format!("{name}:"), &format!("larger-{name}:"), 1).replacen(
                &format!("rating: {rating}"),
                &format!("rating: {} A", times * amps),
                1,
            );
            // The name of a shared list stays with the first that bears it.
            larger.push(block.split_once("&hv-times ").map_or(block.clone(), |(before, list)| format!("{before}{list}")));
        }
        let before = lines.iter().position(|line| line.starts_with("  fuses:"));
        if let Some(before) = before {
            let (head, tail) = lines.split_at(before + 1);
            // Behind the kinds themselves, where a shared list is already known.
            let end = tail.iter().position(|line| line.starts_with("  ") && !line.starts_with("   ")).unwrap_or(tail.len());
            let (kinds, rest) = tail.split_at(end);
            *text = [head.join("\n"), kinds.join("\n"), larger.join("\n"), rest.join("\n")].join("\n");
        }
    }
    files
}

fn changed(files: &BTreeMap<String, String>, change: &Change) -> Report {
    let text = files.get(&change.file).expect("a file of the demo");
    let lines = text.lines().enumerate().map(|(number, line)| {
        if number != change.line {
            return line.to_owned();
        }
        assert!(line.contains(&change.from), "{}:{} holds `{}`", change.file, number + 1, change.from);
        line.replacen(&change.from, &change.to, 1)
    });
    let text = lines.collect::<Vec<_>>().join("\n");
    check(&Demo { files, changed: (&change.file, text) }, ROOT, &Checker::new())
}

/// What is wrong with the report of a change; nothing if a finding names what was changed, with its new figure.
fn silent(report: &Report, change: &Change) -> Option<String> {
    let spoken = |name: &String| {
        report.findings.iter().any(|finding| {
            finding.level > Level::Note
                && finding.concerns.contains(name)
                && (finding.headline.contains(&change.figure)
                    || finding.labels.iter().any(|label| label.text.contains(&change.figure))
                    || finding.figures.iter().any(|figure| figure.value.contains(&change.figure)))
        })
    };
    let missing: Vec<&String> = change.names.iter().filter(|name| !spoken(name)).collect();
    (!missing.is_empty()).then(|| format!("{missing:?} {} -> {}\n{}", change.from, change.to, words(report)))
}

/// Those of `changes` that no finding reports, each with what the report says.
fn silent_ones<'c>(files: &BTreeMap<String, String>, changes: &[&'c Change]) -> Vec<(&'c Change, String)> {
    let next = AtomicUsize::new(0);
    thread::scope(|scope| {
        let work = || {
            let mut failures = Vec::new();
            while let Some(change) = changes.get(next.fetch_add(1, Ordering::Relaxed)) {
                failures.extend(silent(&changed(files, change), change).map(|words| (*change, words)));
            }
            failures
        };
        let threads: Vec<_> = (0..2).map(|_| scope.spawn(work)).collect();
        threads.into_iter().flat_map(|thread| thread.join().expect("a thread that does not panic")).collect()
    })
}

/// A design and the changes that are tried on it.
type Trial<'a> = (&'a BTreeMap<String, String>, &'a [Change]);

/// Of the first trial at least `least` in a hundred are found, and what is silent there is found in the second, which goes further.
fn all_speak((files, changes): Trial<'_>, (further_files, further): Trial<'_>, least: usize) {
    let silent = silent_ones(files, &changes.iter().collect::<Vec<_>>());
    let words = |silent: &[(&Change, String)]| silent.iter().map(|(_, words)| words.clone()).collect::<Vec<_>>().join("\n");
    let found = changes.len() - silent.len();
    assert!(found * 100 >= least * changes.len(), "only {found} of {} are found:\n{}", changes.len(), words(&silent));
    let same = |change: &&Change| silent.iter().any(|(known, _)| known.file == change.file && known.names == change.names);
    let further: Vec<&Change> = further.iter().filter(same).collect();
    assert_eq!(further.len(), silent.len(), "each that is silent is tried again");
    let silent = silent_ones(further_files, &further);
    assert!(silent.is_empty(), "{} of {} are silent:\n{}", silent.len(), changes.len(), words(&silent));
}

fn demo() -> BTreeMap<String, String> {
    let mut demo = BTreeMap::new();
    files(&fixtures().join("written-out/terrace-tractor"), "", &mut demo);
    demo
}

// What is silent at half its size still carries its load and its fuse, hot and among its neighbours: `oracle/recompute/sizes` computes each
// of them anew. Half of 1.5 mm2 takes the 10 A of its fuse in air of 60 degC (19 A are printed for 1 mm2 at 70 degC in 30 degC).
#[test]
fn a_thinner_conductor_of_the_demo_is_found() {
    let demo = demo();
    let all = |share| {
        let mut changes = thinner(&demo, share);
        changes.extend(thinner_cores(&demo, share));
        changes
    };
    let (halves, quarters) = (all(0.5), all(0.25));
    let names: usize = halves.iter().map(|change| change.names.len()).sum();
    assert!(names >= 230, "only {names} conductors are tried");
    let halves = sample("a_thinner_conductor_of_the_demo_is_found", halves);
    all_speak((&demo, &halves), (&demo, &quarters), 70);
}

#[test]
fn a_larger_fuse_of_the_demo_is_found() {
    let (twice, four_times) = (with_larger(&demo(), 2.0), with_larger(&demo(), 4.0));
    let mut changes = larger(&twice);
    // The first feeds relay coils alone, inside its box: no wire is behind it, and the resistance of each coil limits what leads back.
    // The second is between a converter that gives 85 A and a battery whose own fuse passes 125 A: the wires on both sides take these.
    changes.retain(|change| change.names != ["fusebox.F24"] && change.names != ["dc-dc.F1"]);
    assert!(changes.len() >= 33, "only {} fuses are tried", changes.len());
    all_speak((&twice, &sample("a_larger_fuse_of_the_demo_is_found", changes)), (&four_times, &larger(&four_times)), 60);
}

/// Loads of constant power and warm conductors lead to one state at any lengths, not only at those of the demo.
#[test]
fn the_demo_finds_its_rest_at_other_lengths_too() {
    let demo = demo();
    let shares = [90, 93, 96, 98, 99, 101, 103, 105, 108, 111, 114, 120];
    for per_cent in sample("the_demo_finds_its_rest_at_other_lengths_too", shares) {
        let files: BTreeMap<String, String> = demo.iter().map(|(name, text)| (name.clone(), stretched(text, per_cent))).collect();
        let report = check(&Demo { files: &files, changed: ("", String::new()) }, ROOT, &Checker::new());
        assert!(report.summary.modes.iter().all(|mode| mode.solved), "{per_cent} %: {}", words(&report));
    }
}

/// The text with every length in millimetres at this share of itself, each a little different from the last.
fn stretched(text: &str, per_cent: u32) -> String {
    let mut pieces = text.split("length: ");
    let mut stretched = pieces.next().unwrap_or_default().to_owned();
    for (piece, more) in pieces.zip((0..7).cycle()) {
        stretched.push_str("length: ");
        match piece.split_once(" mm").and_then(|(number, rest)| Some((number.parse::<u32>().ok()?, rest))) {
            Some((length, rest)) => stretched.push_str(&format!("{} mm{rest}", length * per_cent / 100 + more)),
            None => stretched.push_str(piece),
        }
    }
    stretched
}
