//! The rules of the house: what a test does not hold, decays.

mod keys;
mod kinds;
mod rooms;
mod values;
mod words;

use harness_core::internals::rules;
use harness_tests::corpus::{checked_examples, checked_files};
use std::{
    collections::BTreeSet,
    path::{Path, PathBuf},
};

fn project() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// All files below `folder` that end with `.rs`, sorted, with their texts.
fn sources(folder: &Path) -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder) = folders.pop() {
        let entries = std::fs::read_dir(&folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
        for path in entries.map(|entry| entry.expect("a folder can be listed").path()) {
            if path.is_dir() {
                if !path.ends_with("target") {
                    folders.push(path);
                }
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                let text = std::fs::read_to_string(&path).expect("a source can be read");
                found.push((path, text));
            }
        }
    }
    found.sort();
    found
}

/// The lines of a source before its tests begin.
fn code(text: &str) -> &str {
    text.split("\n#[cfg(test)]\nmod tests {").next().unwrap_or(text)
}

/// Whether a source holds tests alone.
fn is_test(path: &Path) -> bool {
    let name = path.file_stem().and_then(|name| name.to_str()).unwrap_or("");
    // The checkout itself may be in a folder called `tests`.
    let within = path.strip_prefix(project()).unwrap_or(path);
    ["tests", "properties", "reference_solve"].contains(&name) || within.components().any(|part| part.as_os_str() == "tests")
}

/// Modules anyone may use, and the order in which a netlist goes through the others: each uses only those before it.
const BASE: [&str; 8] = ["arena", "date", "files", "finding", "suggest", "report", "threads", "wording"];
///
/// `inspect` is beside the rules: both look at the analysis, neither at the other. The diff looks at two analysed
/// designs and at the rows of the inspect; the editor looks at all of them but the diff.
const ORDER: [&str; 23] = [
    "text",
    "quantity",
    "vocabulary",
    "standards",
    "format",
    "model",
    "network",
    "design",
    "circuit",
    "electrical",
    "facts",
    "evidence",
    "analysis",
    "inspect",
    "bench",
    "views",
    "rules",
    "review",
    "causes",
    "check",
    "diff",
    "editor",
    "tidy",
];

#[test]
fn modules_use_only_what_lies_before_them() {
    let folder = project().join("harness-core/src");
    let mut faults = Vec::new();
    for (path, text) in sources(&folder) {
        let within = path.strip_prefix(&folder).expect("the source is in the folder");
        let module = within.components().next().and_then(|part| part.as_os_str().to_str()).unwrap_or("").trim_end_matches(".rs");
        if module == "lib" || is_test(&path) {
            continue;
        }
        let own = ORDER.iter().position(|known| *known == module);
        assert!(own.is_some() || BASE.contains(&module), "the module `{module}` has no place in the order");
        for used in used_modules(code(&text)) {
            let allowed = match (own, ORDER.iter().position(|known| *known == used)) {
                (Some(_), Some(_)) if used == "inspect" => ["inspect", "bench", "views", "diff", "editor"].contains(&module),
                (Some(_), Some(_)) if used == "diff" => ["diff", "tidy"].contains(&module),
                (Some(own), Some(used)) => used <= own,
                // Bases rest on text and quantities alone, the report on what it shows.
                (None, Some(_)) => used == "text" || used == "quantity" || used == module,
                (_, None) => BASE.contains(&used.as_str()),
            };
            if !allowed {
                faults.push(format!("{} uses `{used}`", within.display()));
            }
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
}

/// The modules of the crate that a source names, in `use` and elsewhere.
fn used_modules(text: &str) -> BTreeSet<String> {
    let mut used = BTreeSet::new();
    let plain: String = text.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n");
    for (at, _) in plain.match_indices("crate::") {
        if plain[..at].ends_with('$') {
            // A macro's own path; where it is used decides.
        }
        let rest = &plain[at + "crate::".len()..];
        match rest.strip_prefix('{') {
            Some(list) => used.extend(heads(list)),
            None => used.extend(word(rest)),
        }
    }
    used.retain(|name| !name.starts_with(char::is_uppercase));
    used
}

/// The first words of the entries of a list in braces, up to its end.
fn heads(list: &str) -> Vec<String> {
    let mut heads = Vec::new();
    let (mut depth, mut expected) = (0, true);
    for (at, letter) in list.char_indices() {
        match letter {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => expected = true,
            letter if expected && letter.is_alphabetic() => {
                heads.extend(word(&list[at..]));
                expected = false;
            }
            _ => {}
        }
    }
    heads
}

fn word(text: &str) -> Option<String> {
    let word: String = text.chars().take_while(|letter| letter.is_alphanumeric() || *letter == '_').collect();
    (!word.is_empty()).then_some(word)
}

#[test]
fn no_source_is_too_long() {
    for folder in ["harness-core", "harness-cli", "tests"] {
        for (path, text) in sources(&project().join(folder)) {
            let lines = text.lines().count();
            assert!(lines <= 800, "{} has {lines} lines", path.display());
            // Figures of a table may be long; code is not.
            let lines = code(&text).lines().count();
            let is_data = path.components().any(|part| part.as_os_str() == "data");
            if lines > 400 && !is_data && !is_test(&path) {
                println!("soft limit: {} has {lines} lines", path.display());
            }
        }
    }
}

/// A file that no module names would not be compiled, and its tests would be missed by nobody.
#[test]
fn every_file_of_tests_is_part_of_the_program() {
    let top = project().join("tests/tests");
    for (path, _) in sources(&top) {
        let place = if path.ends_with("mod.rs") { path.parent().expect("a folder") } else { path.as_path() };
        if place.ends_with("main.rs") {
            continue;
        }
        let folder = place.parent().expect("a folder");
        let above = folder.join(if folder == top { "main.rs" } else { "mod.rs" });
        let text = std::fs::read_to_string(&above).unwrap_or_else(|error| panic!("{}: {error}", above.display()));
        let name = place.file_stem().and_then(|name| name.to_str()).expect("a plain name");
        let is_declared = |line: &str| {
            let line = ["pub ", "pub(super) ", "pub(crate) "].iter().find_map(|how| line.strip_prefix(how)).unwrap_or(line);
            line == format!("mod {name};")
        };
        let declared = text.lines().any(is_declared);
        assert!(declared, "{} is named in no `mod` line of {}", path.display(), above.display());
    }
}

#[test]
fn the_library_has_no_way_out_but_its_results() {
    const WAYS: [&str; 12] = [
        ".unwrap()",
        ".expect(",
        "panic!(",
        "todo!(",
        "unimplemented!(",
        "unreachable!(",
        "println!(",
        "eprintln!(",
        "print!(",
        "dbg!(",
        "std::process",
        "std::env",
    ];
    for (path, text) in sources(&project().join("harness-core/src")) {
        // Lists and tables in which a missing thing is a fault of the library are loud by intent; a rule that meets one is reported.
        if is_test(&path)
            || path.components().any(|part| part.as_os_str() == "reference")
            || path.ends_with("electrical/lookup.rs")
        {
            continue;
        }
        for (number, line) in code(&text).lines().enumerate() {
            let line = line.trim_start();
            let found = WAYS.iter().find(|way| line.contains(**way) && !line.starts_with("//"));
            assert!(found.is_none(), "{}:{}: {}", path.display(), number + 1, found.unwrap_or(&""));
            assert!(
                !line.contains("std::fs") && !line.contains("std::net"),
                "{}:{}: files come by `Files`",
                path.display(),
                number + 1
            );
        }
    }
}

/// Words that scold, or leave open what was found.
const BANNED: [&str; 8] = ["invalid", "illegal", "bad", "wrong", "please", "oops", "may", "might"];

/// What is at fault with a headline, if anything.
fn voice(headline: &str) -> Option<String> {
    let first = headline.chars().next()?;
    // What is in backticks is the user's own text.
    let own: String = headline.split('`').step_by(2).collect();
    let mut words = own.split(|letter: char| !letter.is_alphanumeric());
    if !(first.is_lowercase() || first == '`' || first.is_ascii_digit()) {
        // A sign, an abbreviation of the trade such as CAN, is not a capital at the start of a sentence.
        let word: String = headline.chars().take_while(|letter| letter.is_alphanumeric()).collect();
        if word.chars().count() < 2 || word.chars().any(char::is_lowercase) {
            return Some("begins with a capital".to_owned());
        }
    }
    if headline.ends_with(['.', '!', ' ']) && !headline.ends_with("..") {
        return Some("ends with a stop".to_owned());
    }
    if headline.contains(['\n', '\r']) {
        return Some("has more than one line".to_owned());
    }
    if headline.matches('`').count() % 2 == 1 {
        return Some("leaves a backtick open".to_owned());
    }
    words.find(|word| BANNED.contains(&word.to_lowercase().as_str())).map(|word| format!("says `{word}`"))
}

#[test]
fn every_headline_and_help_keeps_the_voice() {
    let mut seen = BTreeSet::new();
    let mut faults = Vec::new();
    let examples = checked_examples().iter().map(|(_, checked)| &checked.report);
    let reports = examples.chain(checked_files().iter().map(|fixture| &fixture.checked.report));
    for report in reports {
        for finding in &report.findings {
            seen.insert(finding.rule);
            let headline = &finding.headline;
            faults.extend(voice(headline).map(|why| format!("{}: the headline {why}: {headline}", finding.rule)));
            let help = &finding.help;
            let first = help.chars().next();
            if first.is_some_and(char::is_uppercase) || help.ends_with('.') || help.contains('\n') {
                faults.push(format!("{}: the help begins with a capital or ends with a stop: {help}", finding.rule));
            }
        }
    }
    faults.sort();
    faults.dedup();
    assert!(faults.is_empty(), "{faults:#?}");
    // Files that are bytes or several are left to the tests of bad input.
    let elsewhere = ["format/encoding", "format/limit", "format/repeated-name", "format/astray-name", "format/include"];
    let silent: Vec<&str> =
        rules::pages().iter().map(|rule| rule.name).filter(|name| !seen.contains(name) && !elsewhere.contains(name)).collect();
    assert!(silent.is_empty(), "no text of the project makes these speak: {silent:?}");
}

#[test]
fn the_voice_is_heard() {
    assert_eq!(voice("wire `front.101` carries 30 A, 5 A more than it can"), None);
    assert_eq!(voice("`F4` of `Bad` may not be"), Some("says `may`".to_owned()));
    assert_eq!(voice("Wire is thin"), Some("begins with a capital".to_owned()));
    assert_eq!(voice("wire is thin."), Some("ends with a stop".to_owned()));
    assert_eq!(voice("CAN high meets CAN low"), None);
    assert_eq!(voice("an invalid wire"), Some("says `invalid`".to_owned()));
}
