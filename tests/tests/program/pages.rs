//! What the README and the guide show is what the program does, and the table of rules is that of the program.
//!
//! A block below a line `<!-- shown: name -->` is what the program prints; `BLESS=1` writes it anew, with the table of rules.

use super::{folder, harness};
use harness_cli::{Terminal, exit};
use harness_core::rule_pages;
use harness_tests::{fixtures, harness_at, report, words};
use std::{collections::BTreeMap, fmt::Write as _, fs, path::PathBuf};

/// A page by its path from the top of the repository.
fn page(name: &str) -> String {
    fs::read_to_string(path(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn path(name: &str) -> PathBuf {
    fixtures().join("..").join(name)
}

/// The code blocks of a language, in order.
fn blocks(page: &str, language: &str) -> Vec<String> {
    let mut blocks = Vec::new();
    let mut rest = page;
    while let Some((_, below)) = rest.split_once(&format!("```{language}\n")) {
        let (block, more) = below.split_once("```").expect("a code block ends");
        blocks.push(block.to_owned());
        rest = more;
    }
    blocks
}

/// The design of the guide and its waiver.
fn example() -> (String, String) {
    let blocks = blocks(&page("harness-cli/GUIDE.md"), "yaml");
    let mut blocks = blocks.into_iter();
    let design = blocks.next().expect("the guide has an example");
    (design, blocks.find(|block| block.contains("waivers:")).expect("the guide has a waiver"))
}

/// Paragraphs of `text` that contain one of `words`, in their order.
fn paragraphs(text: &str, words: &[&str]) -> String {
    let kept: Vec<&str> =
        text.split("\n\n").map(|it| it.trim_matches('\n')).filter(|it| words.iter().any(|word| it.contains(word))).collect();
    for word in words {
        assert!(kept.iter().any(|it| it.contains(word)), "nothing says `{word}`:\n{text}");
    }
    kept.join("\n\n") + "\n"
}

/// What the program prints on a design given by standard input.
fn of_example(netlist: &str, code: u8, args: &[&str]) -> String {
    let done = harness_at(Terminal::PIPE, netlist, args);
    assert_eq!((done.code, done.err.as_str()), (code, ""), "{args:?}");
    done.out
}

/// What the program prints at the top of the repository, with a code.
fn at_the_top(code: u8, args: &[&str]) -> String {
    let args: Vec<String> = args.iter().map(|arg| arg.replace("fixtures/", "../fixtures/")).collect();
    let done = harness(&args.iter().map(String::as_str).collect::<Vec<_>>());
    assert_eq!((done.code, done.err.as_str()), (code, ""), "{args:?}");
    done.out.replace("../fixtures/", "fixtures/")
}

/// What each marked block shows.
fn shown() -> BTreeMap<&'static str, String> {
    let draft = at_the_top(exit::FINDINGS, &["check", "fixtures/terrace-tractor-draft/draft.yaml"]);
    let (design, waiver) = example();
    let lift = ["fixtures/orchard-lift/revision-a.yaml", "fixtures/orchard-lift/revision-b.yaml"];
    let slipped = design.replacen("to: P1.1", "to: P2.1", 1);
    let unsealed = design.replacen("sealed: true", "sealed: false", 1);
    assert!(slipped != design && unsealed != design, "the example has what is changed in it");
    let accepting = ["check", "-", "--fail-on", "note", "--today", "2027-06-30"];
    let measured = ["ringout", "fixtures/terrace-tractor", "--loom", "front", "--measured", "fixtures/measured/front.csv"];
    let read = ["--reading", "horn=on", "--reading", "coolant-pump.J1.1=0 V", "--reading", "fusebox.J1.1=12.1 V"];
    let diagnosed = [&["diagnose", "fixtures/terrace-tractor", "--mode", "drive"], read.as_slice()].concat();
    let waived = of_example(&format!("{unsealed}{waiver}"), exit::CLEAN, &accepting);
    BTreeMap::from([
        ("draft", paragraphs(&draft, &["[domain/crossing]", "[mating/key-mismatch]"])),
        ("summary", paragraphs(&draft, &["checked fixtures"])),
        ("held-back", of_example(&slipped, exit::FINDINGS, &["check", "-"])),
        ("loads", of_example(&design, exit::CLEAN, &["loads", "-"])),
        ("swaps", at_the_top(exit::CLEAN, &["swaps", "fixtures/rules/mating/swapped-mating/class-b.yaml"])),
        ("live", at_the_top(exit::CLEAN, &["live", "fixtures/hut-truck/truck.yaml", "--mode", "service"])),
        ("whatif", of_example(&design, exit::CLEAN, &["whatif", "-", "--level", "note"])),
        ("trace", of_example(&design, exit::CLEAN, &["trace", "-", "mast.2"])),
        ("diff", at_the_top(exit::FINDINGS, &["diff", lift[0], lift[1]])),
        (
            "rework",
            paragraphs(
                &at_the_top(exit::FINDINGS, &["diff", "--rework", lift[0], lift[1]]),
                &["make safe", "take out\n", "put back"],
            ),
        ),
        ("waived", paragraphs(&waived, &["waived:\n"])),
        ("baseline", baseline(&unsealed)),
        ("import", import()),
        ("papers", at_the_top(exit::CLEAN, &["papers", "fixtures/boat-12v"])),
        ("ringout", at_the_top(exit::FINDINGS, &measured)),
        ("golive", between(&at_the_top(exit::CLEAN, &["golive", "fixtures/boat-12v"]), "supplies and fuses", "  6  ")),
        ("diagnose", at_the_top(exit::CLEAN, &diagnosed)),
    ])
}

/// The lines from the first that contains `from` to the one before the next that begins with `to`.
fn between(text: &str, from: &str, to: &str) -> String {
    let lines = text.lines().skip_while(|line| !line.contains(from)).take_while(|line| !line.starts_with(to));
    let kept: Vec<&str> = lines.collect();
    assert!(!kept.is_empty(), "nothing begins with `{from}`:\n{text}");
    kept.join("\n") + "\n"
}

/// What an import of a list says, the paths as where it runs.
fn import() -> String {
    let folder = folder("pages-import", &[]);
    let list = fs::read(fixtures().join("lists/orchard-sprayer.csv")).expect("the list is a fixture");
    fs::write(folder.join("wires.csv"), list).expect("the list can be copied");
    let at = |name: &str| folder.join(name).to_str().expect("a plain path").to_owned();
    let done = harness(&["import", &at("wires.csv"), "--out", &at("sprayer")]);
    assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""));
    done.out.replace(&format!("{}/", folder.display()), "")
}

/// The lines of a baseline of the example below its preface.
fn baseline(design: &str) -> String {
    let folder = folder("pages", &[("lift.yaml", design)]);
    let at = |name: &str| folder.join(name).to_str().expect("a plain path").to_owned();
    let done = harness(&["baseline", &at("lift.yaml"), "--output", &at("lift.baseline")]);
    assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""));
    let written = fs::read_to_string(at("lift.baseline")).expect("the baseline was written");
    written[written.find("design ").expect("a baseline names its design")..].to_owned()
}

/// A page with every marked block filled; the names of its blocks.
fn filled(page: &str, shown: &BTreeMap<&str, String>) -> (String, Vec<String>) {
    const MARK: &str = "<!-- shown: ";
    let (mut text, mut names) = (String::new(), Vec::new());
    let mut rest = page;
    while let Some((before, below)) = rest.split_once(MARK) {
        let (name, below) = below.split_once(" -->\n```text\n").expect("a block of text follows the mark");
        let (_, after) = below.split_once("```").expect("a code block ends");
        let block = shown.get(name).unwrap_or_else(|| panic!("nothing makes `{name}`"));
        let _ = write!(text, "{before}{MARK}{name} -->\n```text\n{block}```");
        names.push(name.to_owned());
        rest = after;
    }
    (text + rest, names)
}

fn bless(name: &str, text: &str) {
    if std::env::var_os("BLESS").is_some() {
        fs::write(path(name), text).unwrap_or_else(|error| panic!("{name}: {error}"));
    }
}

#[test]
fn the_pages_show_what_the_program_prints() {
    let shown = shown();
    let mut used = Vec::new();
    for name in ["README.md", "harness-cli/GUIDE.md"] {
        let (text, names) = filled(&page(name), &shown);
        used.extend(names);
        bless(name, &text);
        assert!(page(name) == text, "{name} shows something else than the program prints; read it, then bless it\n{text}");
        // What is shown fits a screen of 80 columns.
        let wide: Vec<&str> = text
            .split("```text\n")
            .skip(1)
            .filter_map(|it| it.split("```").next())
            // A baseline is a file, not a screen.
            .filter(|it| !it.starts_with("design "))
            .flat_map(str::lines)
            .filter(|line| line.chars().count() > 80)
            .collect();
        assert!(wide.is_empty(), "{name}: {wide:#?}");
    }
    used.sort();
    assert_eq!(used, shown.keys().copied().collect::<Vec<_>>(), "every block is on a page");
}

#[test]
fn the_format_by_example_is_a_clean_design() {
    let report = report(&example().0);
    assert!(report.findings.is_empty(), "{}", words(&report));
}

#[test]
fn the_readme_is_read_to_its_end() {
    let readme = page("README.md");
    assert!(readme.lines().count() < 200, "the README has {} lines", readme.lines().count());
    for link in
        ["harness-cli/GUIDE.md", "harness-core/RULES.md", "harness-core/FORMAT.md", "harness-cli/CHANGELOG.md", "DEVELOPERS.md"]
    {
        assert!(readme.contains(&format!("({link})")) && path(link).is_file(), "{link}");
    }
}

#[test]
fn the_table_of_rules_is_that_of_the_program() {
    let mut text = String::from(
        "# Rules\n\nEvery rule, one line each, written by `BLESS=1 cargo test -p harness-tests program::pages`. `harness explain RULE` gives \
         what a rule checks, why it matters, an\nexample, its remedy, what it cannot see, and its source. A workshop can raise levels by \
         `policy: levels`; none can be lowered.\n",
    );
    let mut group = "";
    for rule in rule_pages() {
        if rule.group() != group {
            group = rule.group();
            let _ = write!(text, "\n## {group}\n\n| rule | level | finds |\n|---|---|---|\n");
        }
        let _ = writeln!(text, "| `{}` | {} | {} |", rule.name, rule.level, rule.finds);
    }
    bless("harness-core/RULES.md", &text);
    let kept = fs::read_to_string(path("harness-core/RULES.md")).unwrap_or_default();
    assert!(kept == text, "harness-core/RULES.md is not the table of the program; bless it");
}
