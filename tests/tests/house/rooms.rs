//! The rooms of rules and facts: a rule is one file with its page, and no two facts wait for each other.

use super::{code, project, sources};
use harness_core::internals::rules;
use std::collections::{BTreeMap, BTreeSet};

/// The files of the groups, as `group/fault` with their texts; each group's own `mod.rs` left out.
fn rule_files() -> Vec<(String, String)> {
    let folder = project().join("harness-core/src/rules");
    let mut files = Vec::new();
    for (path, text) in sources(&folder) {
        let within = path.strip_prefix(&folder).expect("a source of the folder").with_extension("");
        let parts: Vec<String> = within.components().map(|part| part.as_os_str().to_string_lossy().into_owned()).collect();
        match parts.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
            ["mod"] | [_, "mod"] => {}
            [group, fault] => files.push((format!("{group}/{fault}"), text)),
            _ => panic!("{} is deeper than a group", path.display()),
        }
    }
    files
}

#[test]
fn each_file_of_a_group_is_a_registered_rule_with_its_page_beside_it() {
    let registered: BTreeSet<&str> = rules::pages().iter().map(|page| page.name).collect();
    let mut on_disk = BTreeSet::new();
    for (file, text) in rule_files() {
        let name = file.replace('_', "-");
        let (_, stem) = file.split_once('/').expect("a group and a fault");
        assert_eq!(text.matches("static RULE: Rule").count(), 1, "{file}.rs holds one rule and nothing else");
        assert!(code(&text).contains(&format!("name: \"{name}\"")), "{file}.rs is not called `{name}`");
        assert!(code(&text).contains(&format!("include_str!(\"{stem}.md\")")), "the page of {file}.rs is not {stem}.md");
        assert!(registered.contains(name.as_str()), "`{name}` is not in the table of its group");
        on_disk.insert(name);
    }
    let missing: Vec<&&str> =
        registered.iter().filter(|name| !name.starts_with("format/") && !on_disk.contains(**name)).collect();
    assert!(missing.is_empty(), "rules without a file: {missing:?}");
}

#[test]
fn no_rule_uses_another_or_what_lies_beside_it() {
    for (file, text) in rule_files() {
        let code = code(&text);
        assert!(!code.contains("super::"), "{file}.rs reaches into its group");
        for (at, _) in code.match_indices("rules::") {
            let rest = &code[at + "rules::".len()..];
            let list = rest.strip_prefix('{').and_then(|rest| rest.split_once('}')).map(|(list, _)| list);
            let word = || rest.split(|letter: char| !letter.is_alphanumeric()).next().unwrap_or("");
            for used in list.unwrap_or_else(word).split(',').map(str::trim).filter(|used| !used.is_empty()) {
                assert!(["Rule", "RulePage"].contains(&used), "{file}.rs uses `rules::{used}`");
            }
        }
    }
}

/// A file of the facts: the queries and functions it offers, and the words that it calls.
struct FactFile {
    name: String,
    offers: BTreeSet<String>,
    text: String,
}

fn fact_files() -> Vec<FactFile> {
    let folder = project().join("harness-core/src/facts");
    let files = sources(&folder).into_iter().filter(|(path, _)| path != &folder.join("mod.rs"));
    let file = |(path, text): (std::path::PathBuf, String)| {
        let within = path.strip_prefix(&folder).expect("a source of the folder").with_extension("");
        let text = code(&text).to_owned();
        FactFile { name: within.display().to_string(), offers: offered(&text), text }
    };
    files.map(file).collect()
}

/// The queries of a file: what `impl Facts` has for others.
fn offered(text: &str) -> BTreeSet<String> {
    let mut offers = BTreeSet::new();
    for block in text.split("\nimpl Facts {").skip(1) {
        let block = block.split("\n}\n").next().unwrap_or(block);
        let queries = block.split(" fn ").skip(1).filter_map(|rest| rest.split(['(', '<']).next());
        offers.extend(queries.map(str::to_owned));
    }
    offers
}

/// The queries that a file asks.
fn asked(file: &FactFile, all: &BTreeMap<String, String>) -> BTreeSet<String> {
    let mut asked = BTreeSet::new();
    for receiver in ["facts.", "self.", "facts()."] {
        for (at, _) in file.text.match_indices(receiver) {
            let rest = &file.text[at + receiver.len()..];
            let query: String = rest.chars().take_while(|letter| letter.is_alphanumeric() || *letter == '_').collect();
            if rest[query.len()..].starts_with('(') && all.contains_key(&query) {
                asked.insert(query);
            }
        }
    }
    asked
}

/// An answer that waits for itself, over others or not, waits for ever: the files of facts have an order.
#[test]
fn no_fact_waits_for_itself() {
    let files = fact_files();
    let home: BTreeMap<String, String> =
        files.iter().flat_map(|file| file.offers.iter().map(|query| (query.clone(), file.name.clone()))).collect();
    assert!(home.len() >= 20, "the queries were not read: {home:?}");
    let uses: BTreeMap<&str, BTreeSet<&str>> = files
        .iter()
        .map(|file| {
            let homes = asked(file, &home).into_iter().filter_map(|query| home.get(&query)).map(String::as_str);
            (file.name.as_str(), homes.filter(|other| *other != file.name).collect())
        })
        .collect();
    // Files that wait for none are taken away until none is left.
    let mut left: BTreeSet<&str> = uses.keys().copied().collect();
    loop {
        let free: Vec<&str> = left.iter().copied().filter(|name| uses[name].iter().all(|other| !left.contains(other))).collect();
        if free.is_empty() {
            break;
        }
        left.retain(|name| !free.contains(name));
    }
    assert!(left.is_empty(), "these facts wait for each other: {left:?}");
}

/// Within one file the order of the answers in `Made` decides, and it holds between files too.
#[test]
fn a_fact_asks_only_for_those_above_its_own() {
    let made = std::fs::read_to_string(project().join("harness-core/src/facts/mod.rs")).expect("the room of facts");
    let (_, fields) = made.split_once("struct Made {").expect("the answers");
    let (fields, _) = fields.split_once("\n}").expect("their end");
    let order: Vec<&str> = fields.lines().filter_map(|line| line.trim().split_once(": OnceLock")).map(|(name, _)| name).collect();
    let files = fact_files();
    let all: BTreeMap<String, String> =
        files.iter().flat_map(|file| file.offers.iter().map(|query| (query.clone(), file.name.clone()))).collect();
    for file in &files {
        let own: Vec<usize> = file
            .text
            .match_indices("self.made.")
            .filter_map(|(at, word)| file.text[at + word.len()..].split('.').next())
            .map(|field| order.iter().position(|known| *known == field).unwrap_or_else(|| panic!("no answer `{field}`")))
            .collect();
        let Some(first) = own.iter().min() else { continue };
        for query in asked(file, &all).into_iter().filter(|query| !file.offers.contains(query)) {
            if let Some(at) = order.iter().position(|known| *known == query) {
                assert!(at < *first, "{} asks for `{query}`, which is below its own answer", file.name);
            }
        }
    }
}
