//! A design torn apart into files, key by key, is the same design.

use super::gists;
use harness_core::{
    Checker, Document, MemoryFiles, check,
    diff::{Edits, changes, inventory},
    internals::text::{Kind, Names, NodeId, Sources, Tree, decode, parse},
};
use harness_tests::{
    Numbers,
    corpus::checked_texts,
    tier::{sample, share},
};

/// Files of a torn design, beside its own.
const FILES: usize = 3;

struct Tearing<'a> {
    tree: &'a Tree,
    names: &'a Names,
    numbers: Numbers,
    /// Maps of which several files have keys.
    torn: usize,
}

impl Tearing<'_> {
    fn quoted(text: &str) -> String {
        let letter = |letter: char| match letter {
            '"' | '\\' => format!("\\{letter}"),
            letter if letter.is_control() => format!("\\u{:04x}", u32::from(letter)),
            letter => letter.to_string(),
        };
        format!("\"{}\"", text.chars().map(letter).collect::<String>())
    }

    fn whole(&self, node: NodeId) -> String {
        match self.tree.kind(node) {
            Kind::Scalar { text, .. } => Self::quoted(self.names.text(text)),
            Kind::Missing => String::new(),
            Kind::List => format!("[{}]", self.tree.items(node).map(|item| self.whole(item) + ", ").collect::<String>()),
            Kind::Map => {
                let entry = |(key, value)| format!("{}: {}, ", self.whole(key), self.whole(value));
                format!("{{{}}}", self.tree.entries(node).map(entry).collect::<String>())
            }
        }
    }

    /// What each file says of a map; nothing where it has none of its keys.
    fn map(&mut self, node: NodeId) -> [Option<String>; FILES] {
        let mut files: [Option<String>; FILES] = std::array::from_fn(|_| None);
        let entries: Vec<(NodeId, NodeId)> = self.tree.entries(node).collect();
        if entries.is_empty() {
            files[self.numbers.below(FILES)] = Some(String::new());
        }
        for (key, value) in entries {
            let word = self.whole(key);
            let whole = self.whole(value);
            let said: [Option<String>; FILES] = if self.tree.kind(value) == Kind::Map && self.numbers.chance(75) {
                self.map(value).map(|said| said.map(|inner| format!("{{{inner}}}")))
            } else {
                let mut said = std::array::from_fn(|_| None);
                said[self.numbers.below(FILES)] = Some(whole);
                said
            };
            for (file, said) in files.iter_mut().zip(said) {
                if let Some(said) = said {
                    *file.get_or_insert_default() += &format!("{word}: {said}, ");
                }
            }
        }
        self.torn += usize::from(files.iter().flatten().count() > 1);
        files
    }
}

/// The design in files that are included in any order, and how many of its maps are in several.
fn torn(netlist: &str, seed: u64) -> (MemoryFiles, usize) {
    let mut sources = Sources::new();
    let decoded = decode(&mut sources, "design.yaml".to_owned(), netlist.as_bytes().to_vec()).unwrap();
    let mut names = Names::new();
    let parsed = parse(&sources, decoded.file, &mut names);
    let mut tearing = Tearing { tree: &parsed.tree, names: &names, numbers: Numbers::new(seed), torn: 0 };
    let mut own = String::new();
    let mut parts: [String; FILES] = std::array::from_fn(|_| String::new());
    for (key, value) in parsed.tree.entries(parsed.root.unwrap()) {
        let word = tearing.whole(key);
        if parsed.tree.kind(value) != Kind::Map {
            own += &format!("{word}: {}, ", tearing.whole(value));
            continue;
        }
        for (file, said) in parts.iter_mut().zip(tearing.map(value)) {
            *file += &said.map_or_else(String::new, |inner| format!("{word}: {{{inner}}}, "));
        }
    }
    let first = tearing.numbers.below(FILES);
    let order: Vec<String> = (0..FILES).map(|at| format!("part{}.yaml", (first + at) % FILES)).collect();
    let files = MemoryFiles::one("design.yaml", format!("{{{own} include: [{}]}}", order.join(", ")));
    let files = parts
        .iter()
        .enumerate()
        .fold(files, |files, (at, part)| files.and(&format!("part{at}.yaml"), format!("{{format: 1, {part}}}")));
    (files, tearing.torn)
}

#[test]
fn files_may_share_every_thing_key_by_key() {
    let sound = |(_, checked): &(_, &harness_tests::corpus::Checked)| {
        !checked.report.findings.iter().any(|finding| finding.rule.starts_with("format/"))
    };
    let mut maps = 0;
    for (text, checked) in sample("files_may_share_every_thing_key_by_key", checked_texts().filter(sound)) {
        for seed in 0..2 {
            let (files, torn) = torn(&text.netlist, seed);
            maps += torn;
            let report = check(&files, "design.yaml", &Checker::new());
            assert_eq!(gists(&report), gists(&checked.report), "{}, seed {seed}", text.name);
            let whole = MemoryFiles::one("design.yaml", text.netlist.as_str());
            let read = |files: &MemoryFiles| inventory(&Document::read(files, "design.yaml"));
            let told: Vec<String> =
                changes(&Edits::between(&read(&whole), &read(&files))).iter().map(harness_core::diff::Change::headline).collect();
            assert_eq!(told, [""; 0], "{}, seed {seed}", text.name);
        }
    }
    assert!(maps > 2_000 / share("files_may_share_every_thing_key_by_key"), "only {maps} maps were torn");
}
