//! `harness diff` as a whole: exit codes, streams and formats.

use super::{document, file, folder, harness, unread};
use harness_cli::{Terminal, exit};
use harness_tests::harness_at;
use std::fs;
use unicode_width::UnicodeWidthStr;

const OLD: &str = "../fixtures/orchard-lift/revision-a.yaml";
const NEW: &str = "../fixtures/orchard-lift/revision-b.yaml";
const DEMO: &str = "../fixtures/terrace-tractor/tractor.yaml";

/// The newer lift with `from` written as `to`, in a file of its own.
fn edited(name: &str, from: &str, to: &str) -> String {
    let text = fs::read_to_string(NEW).unwrap();
    assert!(text.contains(from), "{from}");
    file(&format!("diff/{name}"), &text.replace(from, to))
}

#[test]
fn the_lift_in_full() {
    let done = harness(&["diff", OLD, NEW]);
    assert_eq!((done.code, done.err.as_str()), (exit::FINDINGS, ""));
    insta::assert_snapshot!(done.out);
}

#[test]
fn the_lift_in_short() {
    insta::assert_snapshot!(harness(&["diff", OLD, NEW, "--format", "short"]).out);
}

#[test]
fn the_lift_in_markdown() {
    insta::assert_snapshot!(harness(&["diff", OLD, NEW, "--format", "markdown"]).out);
}

#[test]
fn the_lift_in_json_tells_what_the_screen_tells() {
    let value = document("diff", &harness(&["diff", OLD, NEW, "--format", "json"]));
    assert_eq!(value["same"], false);
    let short = harness(&["diff", OLD, NEW, "--format", "short"]).out;
    let changed: Vec<&str> = short.lines().filter_map(|line| line.strip_prefix("changed: ")).collect();
    let mut headlines: Vec<&str> =
        value["changes"].as_array().unwrap().iter().map(|it| it["headline"].as_str().unwrap()).collect();
    headlines.sort_unstable();
    let mut sorted = changed.clone();
    sorted.sort_unstable();
    assert_eq!(headlines, sorted);
    let renamed = value["changes"].as_array().unwrap().iter().find(|it| it["name"] == "mast.4").unwrap();
    assert_eq!((&renamed["change"], &renamed["was"]), (&"renamed".into(), &"mast.3".into()));
    let came = value["effect"]["findings"]["came"].as_array().unwrap();
    assert_eq!(came.iter().map(|it| it["rule"].as_str().unwrap()).collect::<Vec<_>>(), ["protection/fuse-over-conductor"]);
}

#[test]
fn every_format_of_the_whole_demo_against_nothing_but_its_head_holds() {
    let value = document("diff", &harness_at(Terminal::PIPE, "format: 1\ndesign: x\n", &["diff", DEMO, "-", "--format", "json"]));
    assert!(value["changes"].as_array().unwrap().len() > 50);
    let value = document("diff", &harness_at(Terminal::PIPE, "format: 1\ndesign: x\n", &["diff", "-", DEMO, "--format", "json"]));
    assert!(value["changes"].as_array().unwrap().iter().any(|it| it["change"] == "added"));
}

#[test]
fn a_design_and_itself_say_the_same() {
    for format in ["full", "short"] {
        let done = harness(&["diff", DEMO, DEMO, "--format", format, "--fail-on", "note"]);
        assert_eq!(done.out, "the two revisions say the same: both are one file\n");
        assert_eq!((done.code, done.err.as_str()), (exit::CLEAN, ""));
    }
    let value = document("diff", &harness(&["diff", DEMO, DEMO, "--format", "json"]));
    assert_eq!((&value["same"], value["changes"].as_array().map(Vec::len)), (&true.into(), Some(0)));
    let markdown = harness(&["diff", DEMO, DEMO, "--format", "markdown"]).out;
    assert!(markdown.contains("The two revisions say the same") && markdown.contains("no safety certificate"), "{markdown}");
}

#[test]
fn another_spelling_is_no_change() {
    let path = edited("spelling", "length: 2.6 m", "length: 2600 mm");
    assert_eq!(harness(&["diff", NEW, &path]).out, "the two revisions say the same\n");
}

#[test]
fn what_cannot_be_read_is_not_said_to_be_the_same() {
    let done = harness_at(Terminal::PIPE, "format: 1\nlooms: [", &["diff", "-", NEW]);
    assert!(done.out.contains("not compared:") && done.out.contains("older revision"), "{}", done.out);
    let path = &file("diff/broken", "format: 1\nlooms: [");
    for format in ["full", "short", "markdown"] {
        let done = harness_at(Terminal::PIPE, "format: 1\nlooms: [", &["diff", "-", path, "--format", format]);
        assert!(done.out.to_lowercase().contains("not compared"), "{format}: {}", done.out);
    }
    let done = harness_at(Terminal::PIPE, "format: 1\nlooms: [", &["diff", "-", path, "--format", "json"]);
    assert_eq!(document("diff", &done)["not_compared"].as_array().map(Vec::len), Some(2));
}

#[test]
fn the_level_from_which_what_came_fails_is_asked_for() {
    for (level, code) in [("danger", exit::FINDINGS), ("note", exit::FINDINGS)] {
        assert_eq!(harness(&["diff", OLD, NEW, "--fail-on", level]).code, code, "{level}");
    }
    // The other way round the finding goes, and what went fails nothing.
    let back = harness(&["diff", NEW, OLD, "--fail-on", "note"]);
    assert_eq!(back.code, exit::CLEAN, "{}", back.out);
    assert!(back.out.contains("findings that went"), "{}", back.out);
}

#[test]
fn what_was_asked_for_and_is_not_there_is_named_with_what_lies_near() {
    let missing = harness(&["diff", "../fixtures/orchard-lift/revision-aa.yaml", NEW]);
    assert_eq!((missing.code, missing.out.as_str()), (exit::FAILED, ""));
    assert!(missing.err.contains("; did you mean `revision-a.yaml` or `revision-b.yaml`?"), "{}", missing.err);
    assert!(
        missing.err.contains("`../fixtures/orchard-lift/revision-b.yaml` has no git revision of that name"),
        "{}",
        missing.err
    );
    let missing = harness(&["diff", OLD, "../fixtures/orchard-lift/revision-bb.yaml"]);
    assert!(missing.err.starts_with("error: failed to read `../fixtures/orchard-lift/revision-bb.yaml`: "), "{}", missing.err);
    let folder = harness(&["diff", "../fixtures", NEW]);
    assert!(folder.err.starts_with("error: failed to read `../fixtures`: there is no design in this folder; there is one in `"));
    let mode = harness(&["diff", OLD, NEW, "--mode", "lft"]);
    assert_eq!((mode.code, mode.out.as_str()), (exit::FAILED, ""));
    assert!(mode.err.ends_with("in mode `lft`: neither has such a mode; did you mean `lift`?\n"), "{}", mode.err);
    let both = harness(&["diff", "-", "-"]);
    assert_eq!(both.err, "error: failed to compare standard input with itself: name a file for OLD or for NEW\n");
    assert_eq!(both.code, exit::FAILED);
}

#[test]
fn a_mode_that_one_revision_has_is_computed_there() {
    let path = edited("mode", "  lift: {}\n", "  lift: {}\n  tilt: {}\n");
    let done = harness(&["diff", NEW, &path, "--mode", "tilt"]);
    assert!(done.out.contains("`tilt` is in the newer revision only"), "{}", done.out);
}

#[test]
fn nothing_is_wider_than_asked_for_and_ascii_is_ascii() {
    for width in ["60", "80", "100"] {
        let done = harness(&["--width", width, "diff", OLD, NEW]);
        let most: usize = width.parse().unwrap();
        for line in done.out.lines() {
            assert!(line.width() <= most, "{width}: {line}");
            assert_eq!(line.trim_end(), line, "blanks at the end of {line:?}");
        }
    }
    let done = harness(&["--ascii", "diff", OLD, NEW]);
    assert!(done.out.is_ascii(), "{}", done.out);
}

#[test]
fn the_same_comparison_gives_the_same_bytes() {
    for format in ["full", "short", "json", "markdown"] {
        let run = || harness(&["diff", OLD, NEW, "--format", format]).out;
        assert_eq!(run(), run(), "{format}");
    }
}

#[test]
fn names_neither_steer_the_terminal_nor_mark_up_the_comment() {
    let design = |name: &str| format!("format: 1\ndesign: \"{name}\"\nzones:\n  \"<b>|`@who\\e[31m\": {{ ambient: 20 degC }}\n");
    let path = &file("diff/names", &design("a"));
    let empty = "format: 1\ndesign: \"<script>|b\\e[2J\"\n";
    for format in ["full", "short", "markdown"] {
        let done = harness_at(Terminal::PIPE, empty, &["diff", "-", path, "--format", format]);
        assert!(!done.out.contains('\u{1b}'), "{format}: {}", done.out);
        if format == "markdown" {
            let html =
                done.out.replace("<details>", "").replace("</details>", "").replace("<summary>", "").replace("</summary>", "");
            // Outside code an angle is escaped; a table has as many bars as it has columns.
            for line in html.lines() {
                let outside: String = line.split('`').step_by(2).collect();
                assert!(!outside.contains("<s") && !outside.contains("<b") && !outside.contains("@who"), "{line}");
            }
        }
    }
}

#[test]
fn the_picture_is_drawn_beside_the_answer_and_over_no_file() {
    let path = folder("diff/picture", &[]).join("lift.svg");
    let svg = path.to_str().unwrap();
    let done = harness(&["diff", OLD, NEW, "--svg", svg]);
    assert!(done.out.contains("picture of the changes: "), "{}", done.out);
    let drawn = fs::read_to_string(&path).unwrap();
    for words in ["dashed and crossed: out", "triangles: new", "called 3 before", "1 mm² → 0.5 mm²", "no safety certificate"]
    {
        assert!(drawn.contains(words), "{words}\n{drawn}");
    }
    // A picture is handed on: it names the files, not the folders in which they were read.
    for path in [OLD, NEW] {
        let (folder, name) = path.rsplit_once('/').unwrap();
        assert!(drawn.contains(name) && !drawn.contains(folder), "{path}");
    }
    let refused = harness(&["diff", OLD, NEW, "--svg", svg]);
    assert_eq!((refused.code, refused.out.as_str()), (exit::FAILED, ""));
    assert!(refused.err.contains("`--force` replaces it"), "{}", refused.err);
    assert_eq!(harness(&["diff", OLD, NEW, "--svg", svg, "--force"]).code, exit::FINDINGS);
    assert_eq!(fs::read_to_string(&path).unwrap(), drawn);
    assert_eq!(harness(&["diff", OLD, NEW, "--force"]).code, exit::FAILED, "--force without a picture");
}

#[test]
fn a_reader_that_leaves_changes_no_verdict() {
    for (old, new, code) in [(OLD, NEW, exit::FINDINGS), (NEW, OLD, exit::CLEAN)] {
        for format in ["full", "short", "json", "markdown"] {
            assert_eq!(unread(&["diff", old, new, "--format", format]), (code, String::new()), "{format}");
        }
    }
}

#[test]
fn an_earlier_revision_is_read_from_git() {
    let top = folder("diff/git", &[]);
    let git = |arguments: &[&str]| {
        let identity = ["-c", "user.name=Workshop", "-c", "user.email=workshop@example.com", "-c", "commit.gpgsign=false"];
        let mut command = std::process::Command::new("git");
        command.arg("-C").arg(&top).args(identity).args(arguments).env_remove("GIT_DIR").env_remove("GIT_INDEX_FILE");
        assert!(command.output().unwrap().status.success(), "{arguments:?}");
    };
    let path = top.join("lift.yaml");
    fs::copy(OLD, &path).unwrap();
    git(&["init", "-q"]);
    git(&["add", "."]);
    git(&["commit", "-q", "-m", "lift"]);
    fs::copy(NEW, &path).unwrap();
    let path = path.to_str().unwrap();
    let done = harness(&["diff", "HEAD", path, "--format", "short"]);
    assert_eq!((done.code, done.err.as_str()), (exit::FINDINGS, ""));
    assert!(done.out.contains("changed: wire `mast.4` resized: from 1 mm2 to 0.5 mm2"), "{}", done.out);
    let json = document("diff", &harness(&["diff", "HEAD", path, "--format", "json"]));
    assert!(json["old"]["file"].as_str().unwrap().starts_with("HEAD:"), "{}", json["old"]);
    let unknown = harness(&["diff", "HEAD~7", path]);
    assert_eq!(unknown.code, exit::FAILED);
    assert!(unknown.err.contains("no git revision of"), "{}", unknown.err);
}
