//! Words that a fitter would stumble over, in all that people read: messages, pages, documentation, comments.
//!
//! Each has a plain word in its place. Names in code are not looked at, and neither is what a machine reads, a word of the JSON.

use super::project;
use std::{collections::BTreeMap, path::Path};

/// The words, each with the plain one.
const WORDS: [(&str, &str); 24] = [
    ("told", "reported, says"),
    ("tells", "says, shows"),
    ("stands", "is, withstands"),
    ("mend", "fix"),
    ("mends", "fixes"),
    ("mended", "fixed"),
    ("mending", "fixing"),
    ("lies", "is"),
    ("grave", "severe"),
    ("graver", "more severe"),
    ("gravest", "most severe"),
    ("exchange", "swap, replace"),
    ("exchanged", "swapped, replaced"),
    ("exchanges", "swaps, replaces"),
    ("be had", "is available"),
    ("finds no rest", "does not converge"),
    ("come to rest", "is not solved"),
    ("comes to rest", "settles"),
    ("goes before", "precedes"),
    ("part the", "disconnect"),
    ("part all", "unmate, disconnect"),
    ("parts the", "disconnects, separates"),
    ("let on again", "switch on"),
    ("is no connector", "is not a connector"),
];

/// Files that are still to be edited, by the start of their path; the list only gets shorter.
const TO_BE_EDITED: [&str; 0] = [];

/// Texts that keep a word: the name of a thing outside, a word of the JSON, the name of a file.
const KEPT: [&str; 3] = ["mended.yaml", "-mended", "tests/tests/house/words.rs"];

/// Files below the top that people read.
fn read(folder: &Path, files: &mut BTreeMap<String, String>) {
    let entries = std::fs::read_dir(folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    for path in entries.map(|entry| entry.expect("an entry can be read").path()) {
        let name = path.file_name().and_then(|name| name.to_str()).unwrap_or("");
        if path.is_dir() {
            if !["target", ".git", "schemas", "corpus", "seeds", "findings", "data"].contains(&name) {
                read(&path, files);
            }
        } else if [".rs", ".md", ".snap", ".schema.json"].iter().any(|end| name.ends_with(end)) {
            let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
            let within = path.strip_prefix(project()).unwrap_or(&path);
            files.insert(within.to_string_lossy().replace('\\', "/"), text);
        }
    }
}

/// What people read of a file: of a source its comments and texts (of a test its comments), of a schema its descriptions, of all else every
/// line.
fn for_people(name: &str, text: &str) -> Vec<(usize, String)> {
    let lines = text.lines().enumerate().map(|(at, line)| (at + 1, line));
    if name.ends_with(".rs") {
        let is_test = name.starts_with("tests/") || name.contains("/tests/") || name.ends_with("tests.rs");
        let code = text.split("\n#[cfg(test)]").next().map_or(0, |code| code.lines().count());
        let seen = |at: usize, line: &str| if is_test || at > code { of_comment(line) } else { of_source(line) };
        return lines.map(|(at, line)| (at, seen(at, line))).collect();
    }
    if name.ends_with(".json") {
        return lines.filter(|(_, line)| line.contains("\"description\"")).map(|(at, line)| (at, line.to_owned())).collect();
    }
    lines.map(|(at, line)| (at, line.to_owned())).collect()
}

/// The comment that is a line of its own.
fn of_comment(line: &str) -> String {
    let line = line.trim_start();
    if line.starts_with("//") { line.to_owned() } else { String::new() }
}

/// The comment and the texts in quotes of a line of source. A word of one piece is a name, not a text.
fn of_source(line: &str) -> String {
    let mut found = String::new();
    let mut rest = line;
    while let Some(at) = rest.find(['"', '/']) {
        let (_, from) = rest.split_at(at);
        if from.starts_with("//") {
            return found + from;
        }
        if let Some(text) = from.strip_prefix('"') {
            let mut escaped = false;
            let end = text.char_indices().find(|(_, letter)| {
                let closes = *letter == '"' && !escaped;
                escaped = *letter == '\\' && !escaped;
                closes
            });
            let end = end.map_or(text.len(), |(end, _)| end);
            if text[..end].contains(' ') {
                found.push_str(&text[..end]);
                found.push('\n');
            }
            rest = text.get(end + 1..).unwrap_or("");
        } else {
            rest = &from[1..];
        }
    }
    found
}

/// The words of the list in a text, names in backticks and braces left out.
fn stumbles(text: &str) -> Vec<&'static str> {
    let mut plain: String = text.split('`').step_by(2).collect::<Vec<_>>().join(" _ ");
    KEPT.iter().for_each(|kept| plain = plain.replace(kept, " _ "));
    while let (Some(open), Some(close)) = (plain.find('{'), plain.find('}')) {
        if open > close {
            plain.replace_range(close..=close, " ");
        } else {
            plain.replace_range(open..=close, " _ ");
        }
    }
    let words: String = plain
        .chars()
        .map(|letter| if letter.is_alphanumeric() || letter == '_' { letter.to_ascii_lowercase() } else { ' ' })
        .collect();
    let words = format!(" {} ", words.split_whitespace().collect::<Vec<_>>().join(" "));
    WORDS.iter().map(|(word, _)| *word).filter(|word| words.contains(&format!(" {word} "))).collect()
}

#[test]
fn a_fitter_stumbles_over_no_word() {
    assert_eq!(stumbles("what lies in `told` is mended"), ["mended", "lies"]);
    assert_eq!(stumbles("{told} parts of the design"), [""; 0]);
    assert_eq!(of_source("let told = \"it stands\"; // mended"), "it stands\n// mended");
    let mut files = BTreeMap::new();
    read(&project(), &mut files);
    assert!(files.len() > 400, "the repository was read");
    let mut faults = Vec::new();
    for (name, text) in files.iter().filter(|(name, _)| !KEPT.contains(&name.as_str())) {
        if TO_BE_EDITED.iter().any(|start| name.starts_with(start)) {
            continue;
        }
        for (line, text) in for_people(name, text) {
            for word in stumbles(&text) {
                let plain = WORDS.iter().find(|(known, _)| *known == word).map_or("", |(_, plain)| plain);
                faults.push(format!("{name}:{line}: `{word}`, write `{plain}`: {}", text.trim()));
            }
        }
    }
    assert!(faults.is_empty(), "{} words:\n{}", faults.len(), faults.join("\n"));
    for start in TO_BE_EDITED {
        assert!(files.keys().any(|name| name.starts_with(start)), "`{start}` is no longer there: take it off the list");
    }
}
