//! `harness diff --three` as a whole: exit codes, streams and formats.

use super::{document, file, harness, unread};
use harness_cli::{Terminal, exit};
use harness_tests::{harness_at, repository::Repository};
use std::{fs, path::Path};
use unicode_width::UnicodeWidthStr;

const BASE: &str = "../fixtures/orchard-lift/revision-a.yaml";
const OURS: &str = "../fixtures/orchard-lift/revision-b.yaml";
const NONE: &str = "no edits collide in meaning; check the merged design anyway";

/// The lift that both come from, with each first text written as the second.
fn lift(exchanges: &[(&str, &str)]) -> String {
    let mut text = fs::read_to_string(BASE).unwrap();
    for (before, now) in exchanges {
        assert!(text.contains(before), "{before}");
        text = text.replace(before, now);
    }
    text
}

/// A branch of the lift in a file of its own.
fn branch(name: &str, exchanges: &[(&str, &str)]) -> String {
    file(&format!("merge/{name}"), &lift(exchanges))
}

/// A branch that cuts a wire that ours cuts too, and changes a load behind a fuse that ours changes.
fn colliding(name: &str) -> String {
    branch(name, &[("1450 mm", "1600 mm"), ("load: 4.2 A", "load: 5 A")])
}

#[test]
fn collisions_in_full() {
    let theirs = colliding("full");
    let done = harness(&["diff", "--three", BASE, OURS, &theirs]);
    assert_eq!((done.code, done.err.as_str()), (exit::FINDINGS, ""));
    let (_, told) = done.out.split_once("  edits:").unwrap();
    insta::assert_snapshot!(format!("  edits:{told}"));
    for path in [BASE, OURS, &theirs] {
        assert!(done.out.contains(path), "{path}\n{}", done.out);
    }
}

#[test]
fn every_format_tells_the_same_collisions() {
    let theirs = colliding("formats");
    let of = |format: &str| {
        let done = harness(&["diff", "--three", BASE, OURS, &theirs, "--format", format]);
        assert_eq!((done.code, done.err.as_str()), (exit::FINDINGS, ""), "{format}");
        done
    };
    let value = document("collisions", &of("json"));
    let (short, markdown) = (of("short").out, of("markdown").out);
    let collisions = value["collisions"].as_array().unwrap();
    let grades: Vec<&str> = collisions.iter().map(|it| it["grade"].as_str().unwrap()).collect();
    assert_eq!(grades, ["certain", "look"]);
    assert_eq!((&value["found"]["certain"], &value["found"]["look"]), (&1.into(), &1.into()));
    assert_eq!(value["collisions"][0]["concerns"], serde_json::json!([{ "of": "wire", "name": "mast.2" }]));
    for collision in collisions {
        let text = |key: &str| collision[key].as_str().unwrap();
        assert!(short.lines().any(|line| line.starts_with(&format!("{}: {}; ours: ", text("grade"), text("headline")))));
        assert!(markdown.contains(&format!("- **{}** {}\n", text("grade"), text("headline"))), "{markdown}");
        assert!(short.contains(text("help")) && markdown.contains(&format!("  - help: {}\n", text("help"))));
        for who in ["ours", "theirs"] {
            let did = collision[who].as_array().unwrap();
            assert!(!did.is_empty(), "{collision}");
            for line in did.iter().map(|it| it.as_str().unwrap()) {
                assert!(short.contains(line) && markdown.contains(&format!("  - {who}: {line}\n")), "{line}");
            }
        }
    }
    for text in [&short, &markdown] {
        assert!(text.contains("1 certain, 1 to look at") && text.contains("no safety certificate"), "{text}");
    }
}

#[test]
fn as_many_edits_are_counted_as_a_comparison_with_the_base_tells() {
    let theirs = colliding("edits");
    let value = document("collisions", &harness(&["diff", "--three", BASE, OURS, &theirs, "--format", "json"]));
    let changes = |path: &str| {
        let short = harness(&["diff", BASE, path, "--format", "short"]).out;
        short.lines().filter(|line| line.starts_with("changed: ")).count()
    };
    assert_eq!(value["edits"], serde_json::json!({ "ours": changes(OURS), "theirs": changes(&theirs) }));
    let full = harness(&["diff", "--three", BASE, OURS, &theirs]).out;
    assert!(full.contains(&format!("{} edits by ours, {} edits by theirs", changes(OURS), changes(&theirs))), "{full}");
}

#[test]
fn branches_that_do_not_collide() {
    let theirs = branch("apart", &[("colour: RD, length", "colour: YE, length")]);
    for format in ["full", "short"] {
        let done = harness(&["diff", "--three", BASE, OURS, &theirs, "--format", format]);
        assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""), "{}", done.out);
        assert!(done.out.contains(&format!("collisions: {NONE}\n")), "{}", done.out);
        assert!(done.out.contains("1 edit by theirs") && done.out.contains("no safety certificate"), "{}", done.out);
    }
    let markdown = harness(&["diff", "--three", BASE, OURS, &theirs, "--format", "markdown"]);
    assert!(markdown.out.contains(&format!("**Collisions:** {NONE}.\n")), "{}", markdown.out);
    let value = document("collisions", &harness(&["diff", "--three", BASE, OURS, &theirs, "--format", "json"]));
    assert_eq!(
        (value["collisions"].as_array().map(Vec::len), value["not_compared"].as_array().map(Vec::len)),
        (Some(0), Some(0))
    );
    // Both did the same.
    assert_eq!(harness(&["diff", "--three", BASE, OURS, OURS]).code, exit::CLEAN);
}

#[test]
fn what_is_only_to_be_looked_at_fails_nothing() {
    let theirs = branch("look", &[("load: 4.2 A", "load: 5 A")]);
    let done = harness(&["diff", "--three", BASE, OURS, &theirs]);
    assert_eq!(done.code, exit::CLEAN);
    assert!(done.out.contains("none certain, 1 to look at") && done.out.contains("\nlook: one changes element"), "{}", done.out);
}

#[test]
fn files_need_no_repository() {
    let outside = std::env::temp_dir().join(format!("harness-three-{}", std::process::id()));
    fs::create_dir_all(&outside).unwrap();
    let path = |name: &str, text: String| {
        let path = outside.join(name);
        fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let (base, ours) = (path("base.yaml", lift(&[])), path("ours.yaml", lift(&[("1450 mm", "1500 mm")])));
    let theirs = path("theirs.yaml", lift(&[("1450 mm", "1600 mm")]));
    let done = harness(&["diff", "--three", &base, &ours, &theirs, "--format", "short"]);
    let piped = harness_at(Terminal::PIPE, &lift(&[]), &["diff", "--three", "-", &ours, &theirs, "--format", "short"]);
    let unknown = harness(&["diff", "--three", "HEAD", &ours, &theirs]);
    fs::remove_dir_all(&outside).unwrap();
    assert_eq!((done.code, done.err.as_str()), (exit::FINDINGS, ""));
    assert_eq!((piped.code, piped.out), (exit::FINDINGS, done.out));
    assert_eq!((unknown.code, unknown.out.as_str()), (exit::FAILED, ""));
    let why = format!("and it cannot be a git revision of `{theirs}`: it is not in a git repository\n");
    assert!(unknown.err.ends_with(&why), "{}", unknown.err);
}

#[test]
fn base_and_our_branch_are_read_from_git() {
    let repository = Repository::new("three");
    repository.write("lift.yaml", lift(&[]));
    repository.commit("the lift");
    repository.git(&["checkout", "--quiet", "-b", "longer"]);
    repository.write("lift.yaml", lift(&[("1450 mm", "1500 mm")]));
    repository.commit("a longer wire");
    repository.git(&["checkout", "--quiet", "main"]);
    repository.write("lift.yaml", lift(&[("1450 mm", "1600 mm")]));
    let path = repository.path("lift.yaml");
    let value =
        document("collisions", &harness(&["diff", "--three", "HEAD", "longer", path.to_str().unwrap(), "--format", "json"]));
    assert_eq!(value["collisions"][0]["headline"], "wire `mast.2`, `length`: set to 1500 mm by one and to 1600 mm by the other");
    let file = |which: &str| value[which]["file"].as_str().unwrap().to_owned();
    assert!(file("base").starts_with("HEAD:") && file("ours").starts_with("longer:"), "{value}");
    assert_eq!(Path::new(&file("theirs")), path);
}

#[test]
fn what_cannot_be_read_is_told_before_what_collides() {
    let broken = &*file("merge/broken", "format: 1\nlooms: [");
    for (three, whose) in [
        ([broken, OURS, BASE], "what the base says at"),
        ([BASE, broken, OURS], "what our branch says at"),
        ([BASE, OURS, broken], "what their branch says at"),
    ] {
        for format in ["full", "short", "markdown"] {
            let done = harness(&["diff", "--three", three[0], three[1], three[2], "--format", format]);
            let words = done.out.split_whitespace().collect::<Vec<_>>().join(" ");
            let at = words.to_lowercase().find("not compared:");
            assert!(at.is_some() && words.contains(whose) && words.contains("harness check"), "{format}: {}", done.out);
            assert!(words.find("ours:").is_none_or(|ours| format == "full" || at < Some(ours)), "{format}: {}", done.out);
        }
        let value = document("collisions", &harness(&["diff", "--three", three[0], three[1], three[2], "--format", "json"]));
        assert_eq!(value["not_compared"].as_array().map(Vec::len), Some(1));
    }
    let none = harness(&["diff", "--three", broken, broken, broken]).out;
    assert!(none.contains("no edits collide in meaning in what could be read"), "{none}");
}

#[test]
fn a_file_that_is_not_there_is_named() {
    for (three, missing) in
        [([BASE, OURS, "no.yaml"], "no.yaml"), ([BASE, "nor.yaml", OURS], "nor.yaml"), (["not.yaml", OURS, BASE], "not.yaml")]
    {
        let done = harness(&["diff", "--three", three[0], three[1], three[2]]);
        assert_eq!((done.code, done.out.as_str()), (exit::FAILED, ""));
        assert!(done.err.starts_with(&format!("error: failed to read `{missing}`: no such file")), "{}", done.err);
    }
    let twice = harness(&["diff", "--three", "-", OURS, "-"]);
    assert_eq!(twice.code, exit::FAILED);
    assert!(twice.err.contains("only one of BASE, OURS and THEIRS can be `-`"), "{}", twice.err);
}

#[test]
fn three_are_three_and_two_are_two() {
    for (args, told) in [
        (&["--three", BASE, OURS][..], "<THEIRS>"),
        (&["--three", BASE], "<NEW|OURS>\n  <THEIRS>"),
        (&["--three", BASE, OURS, BASE, BASE], "unexpected argument"),
        (&[BASE, OURS, BASE], "--three"),
        (&[BASE], "<NEW|OURS>"),
        (&["--three", BASE, OURS, BASE, "--svg", "no.svg"], "cannot be used with '--svg <FILE>'"),
        (&["--three", BASE, OURS, BASE, "--mode", "lift"], "cannot be used with '--mode <NAME>'"),
        (&["--three", BASE, OURS, BASE, "--fail-on", "note"], "cannot be used with '--fail-on <LEVEL>'"),
    ] {
        let done = harness(&[&["diff"], args].concat());
        assert_eq!((done.code, done.out.as_str()), (exit::FAILED, ""), "{args:?}");
        let (first, usage) = done.err.split_once("Usage: ").unwrap();
        assert!(first.contains(told), "{args:?}: {}", done.err);
        assert!(usage.contains("harness diff --three [OPTIONS] <BASE> <OURS> <THEIRS>"), "{usage}");
    }
    let help = harness(&["diff", "--help"]).out;
    assert!(help.split_whitespace().collect::<Vec<_>>().join(" ").contains("with --three: a certain collision"), "{help}");
}

#[test]
fn nothing_is_wider_than_asked_for_and_ascii_is_ascii() {
    // A path in a folder of the build may be wider than the line; these are not.
    for width in ["60", "80", "100"] {
        let theirs = lift(&[("1450 mm", "1600 mm"), ("load: 4.2 A", "load: 5 A")]);
        let done = harness_at(Terminal::PIPE, &theirs, &["--width", width, "--ascii", "diff", "--three", BASE, OURS, "-"]);
        let most: usize = width.parse().unwrap();
        for line in done.out.lines() {
            assert!(line.width() <= most, "{width}: {line}");
            assert_eq!(line.trim_end(), line, "blanks at the end of {line:?}");
        }
        assert!(done.out.is_ascii() && done.out.contains("<standard input>"), "{}", done.out);
    }
}

#[test]
fn names_neither_steer_the_terminal_nor_mark_up_the_comment() {
    let zone = |ambient: u8| {
        format!("format: 1\ndesign: \"<script>|b\\e[2J\"\nzones:\n  \"<b>|`@who\\e[31m\": {{ ambient: {ambient} degC }}\n")
    };
    let path = |name: &str, ambient| file(&format!("merge/{name}"), &zone(ambient));
    let (base, ours, theirs) = (path("names-base", 20), path("names-ours", 30), path("names-theirs", 40));
    for format in ["full", "short", "markdown", "json"] {
        let done = harness(&["diff", "--three", &base, &ours, &theirs, "--format", format]);
        assert_eq!(done.code, exit::FINDINGS, "{}", done.out);
        assert!(!done.out.contains('\u{1b}'), "{format}: {}", done.out);
        if format == "markdown" {
            for line in done.out.lines() {
                let outside: String = line.split('`').step_by(2).collect();
                assert!(!outside.contains("<s") && !outside.contains("<b") && !outside.contains("@who"), "{line}");
            }
        }
    }
}

#[test]
fn a_reader_that_leaves_changes_no_verdict() {
    let theirs = colliding("closed");
    for (three, code) in [([BASE, OURS, &theirs], exit::FINDINGS), ([BASE, OURS, BASE], exit::CLEAN)] {
        for format in ["full", "short", "json", "markdown"] {
            let done = unread(&[&["diff", "--three"], &three[..], &["--format", format]].concat());
            assert_eq!(done, (code, String::new()), "{format}");
        }
    }
}
