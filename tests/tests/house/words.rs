//! Words that a fitter would stumble over, in all that people read: messages, pages, documentation, comments.
//!
//! Each has a plain word in its place. Names in code are not looked at, and neither is what a machine reads, a word of the JSON.

use super::project;
use std::{collections::BTreeMap, path::Path};

/// The words, each with plain ones: which of them fits depends on the sentence.
const WORDS: [(&str, &str); 43] = [
    ("told", "reported, given, known"),
    ("tell", "say, show, distinguish"),
    ("tells", "says, shows"),
    ("telling", "saying, showing"),
    ("stand", "be, be written, be used in place of, withstand"),
    ("stands", "is, is written, is used in place of, withstands"),
    ("stood", "was, was written, withstood"),
    ("mend", "fix"),
    ("mends", "fixes"),
    ("mended", "fixed"),
    ("mending", "fixing"),
    ("lie", "be, run"),
    ("lies", "is, runs"),
    ("lying", "being, running"),
    ("grave", "severe"),
    ("graver", "more severe"),
    ("gravest", "most severe"),
    ("exchange", "swap, replace"),
    ("exchanged", "swapped, replaced"),
    ("exchanges", "swaps, replaces"),
    ("be had", "be available, be bought"),
    ("finds no rest", "does not converge"),
    ("find no rest", "do not converge"),
    ("come to rest", "settle"),
    ("comes to rest", "settles"),
    ("goes before", "comes before"),
    ("go before", "come before"),
    ("part the", "disconnect, unmate"),
    ("part all", "disconnect, unmate"),
    ("parts the", "disconnects, separates"),
    ("part it", "disconnect it"),
    ("part them", "disconnect them"),
    ("parted", "disconnected, separated"),
    ("let on again", "switch on"),
    ("let voltage class b on", "switch voltage class B on"),
    ("stays in in", "stays energised in"),
    ("pulled in in", "pulled in during"),
    ("speaks or listens", "sends or receives"),
    ("speaks", "reports, sends"),
    ("is no", "is not a"),
    ("are no", "are not"),
    ("was no", "was not a"),
    ("be no", "not be a"),
];

/// Files that are still to be edited, by the start of their path; the list only gets shorter.
const TO_BE_EDITED: [&str; 0] = [];

/// Texts that keep a word: the name of a file, and turns in which the word is plain.
const KEPT: [&str; 12] = [
    "mended.yaml",
    "-mended",
    "-exchanged",
    "tests/tests/house/words.rs",
    "there is no",
    "there are no",
    "is no longer",
    "are no longer",
    "is no more",
    "are no more",
    "is no safety certificate",
    "stand-in",
];

/// Files below the top that people read.
fn read(folder: &Path, files: &mut BTreeMap<String, String>) {
    let entries = std::fs::read_dir(folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    for path in entries.map(|entry| entry.expect("an entry can be read").path()) {
        let name = path.file_name().and_then(|name| name.to_str()).unwrap_or("");
        if path.is_dir() {
            if !["target", ".git", "schemas", "corpus", "seeds", "findings", "data"].contains(&name) {
                read(&path, files);
            }
        } else if [".rs", ".md", ".snap", ".schema.json", ".yaml"].iter().any(|end| name.ends_with(end)) {
            let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
            let within = path.strip_prefix(project()).unwrap_or(&path);
            files.insert(within.to_string_lossy().replace('\\', "/"), text);
        }
    }
}

/// What people read of a file: of a source its comments and texts, of a schema its descriptions, of a netlist its comments, of all else
/// every line.
fn for_people(name: &str, text: &str) -> Vec<(usize, String)> {
    let lines = text.lines().enumerate().map(|(at, line)| (at + 1, line));
    if name.ends_with(".rs") {
        return lines.map(|(at, line)| (at, of_source(line))).collect();
    }
    if name.ends_with(".yaml") {
        return lines.map(|(at, line)| (at, of_netlist(line))).collect();
    }
    if name.ends_with(".json") {
        return lines.filter(|(_, line)| line.contains("\"description\"")).map(|(at, line)| (at, line.to_owned())).collect();
    }
    lines.map(|(at, line)| (at, line.to_owned())).collect()
}

/// The comment of a line of a netlist.
fn of_netlist(line: &str) -> String {
    let comment = line.starts_with('#').then_some(line).or_else(|| line.find(" #").and_then(|at| line.get(at + 1..)));
    comment.unwrap_or_default().to_owned()
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
    for kept in KEPT {
        plain = plain.replace(kept, " _ ");
        // At the start of a sentence.
        let (first, rest) = kept.split_at(1);
        plain = plain.replace(&(first.to_uppercase() + rest), " _ ");
    }
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
    assert_eq!(stumbles("{told} parts of the design; there is no fuse"), [""; 0]);
    assert_eq!(stumbles("a switch is no fuse"), ["is no"]);
    assert_eq!(of_netlist("pump: {} # it stands"), "# it stands");
    assert_eq!(of_source("let told = \"it stands\"; // mended"), "it stands\n// mended");
    let mut files = BTreeMap::new();
    read(&project(), &mut files);
    assert!(files.len() > 800, "the repository was read");
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
