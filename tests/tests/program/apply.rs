//! `harness check --apply`: what it writes, what it leaves alone, and what it says of both.

use super::{document, folder, harness};
use harness_cli::{Terminal, exit};
use harness_tests::harness_at;
use std::{
    fs,
    path::{Path, PathBuf},
};

/// Two boxes joined by two wires that are alike and swapped, with a misspelt key; the housings are in a file of their own, in which a word is
/// misspelt. Comments, blank lines and the line ends of two bytes are those of people.
const PLOUGH: &str = "# The plough, left half.\r\nformat: 1\r\ndesign: Plough  # as built\r\ninclude: [parts.yaml]\r\n\r\n\
domains: { aux: { nominal: 12 V, max: 15 V, reference: chassis } }\r\ndevices:\r\n  \
panel: { ports: { J1: { housing: pins, pins: { 1: { signal: lamp }, 2: { signal: horn } } } } }\r\n  \
unit: { ports: { J1: { housing: pins, pins: { 1: { signal: lamp }, 2: { signal: horn } } } } }\r\nlooms:\r\n  main:\r\n    ends:\r\n      \
P1: { housing: sockets, mates: panel.J1 }   # drawn on sheet 2: `housing`\r\n      P2: { housing: sockets, mates: unit.J1 }\r\n    wires:\r\n      \
1: { from: P1.1, to: P2.2, size: 0.5 mm2, color: BK, length: 1 m } # color of the first\r\n      \
2: { from: P1.2, to: 'P2.1', size: 0.5 mm2, colour: BK, length: 1 m } # to P2.1?\r\n";

const PARTS: &str = "# Shared by all ploughs.\nparts:\n  housings:\n    pins: { family: QL, positions: 2, contacts: pin }\n    \
sockets: { family: QL, positions: 2, contacts: sockt } # not sockt\n";

fn plough(name: &str) -> PathBuf {
    folder(name, &[("plough.yaml", PLOUGH), ("parts.yaml", PARTS)])
}

fn path(folder: &Path, name: &str) -> String {
    folder.join(name).to_str().unwrap().to_owned()
}

#[test]
fn safe_remedies_are_written_and_no_other_byte() {
    let folder = plough("apply/safe");
    let design = path(&folder, "plough.yaml");
    assert_eq!(harness(&["check", &design]).code, exit::FINDINGS);
    let done = harness(&["check", &design, "--apply"]);
    assert_eq!(done.code, exit::CLEAN, "{}\n{}", done.out, done.err);
    assert!(done.err.contains("applied 3 remedies to 2 files"), "{}", done.err);
    for said in [
        "write `colour` (format/unknown-key)",
        "write `socket` (format/",
        "swap wires `main.1` and `main.2` in",
        "plough.yaml:16:",
        "parts.yaml:5:",
    ] {
        assert!(done.err.contains(said), "{said}\n{}", done.err);
    }
    let expected = PLOUGH
        .replace("color: BK", "colour: BK")
        .replace("1: { from: P1.1,", "1: { from: P1.2,")
        .replace("2: { from: P1.2,", "2: { from: P1.1,");
    let text = fs::read_to_string(&design).unwrap();
    assert_eq!(text, expected);
    assert_eq!(fs::read_to_string(folder.join("parts.yaml")).unwrap(), PARTS.replace("contacts: sockt }", "contacts: socket }"));
    // The second time there is nothing to do.
    let again = harness(&["check", &design, "--apply"]);
    assert!(again.err.contains("plough.yaml: nothing to apply"), "{}", again.err);
    assert_eq!(fs::read_to_string(&design).unwrap(), text);
    assert_eq!(fs::read_dir(&folder).unwrap().count(), 2, "nothing is left beside the files");
}

#[test]
fn what_needs_a_decision_is_left_and_named() {
    let text = PLOUGH.replace("\r\n", "\n").replace("0.5 mm2", "0.22 mm2").replace("color", "colour");
    let folder = folder("apply/left", &[("plough.yaml", &text), ("parts.yaml", &PARTS.replace("sockt }", "socket }"))]);
    let design = path(&folder, "plough.yaml");
    let done = harness(&["check", &design, "--apply", "--format", "json"]);
    let report = document("report", &done);
    assert!(done.err.contains("left for you to decide: 2 remedies"), "{}", done.err);
    assert!(done.err.contains("use 0.35 mm2 for `main.2` (conductor/thin-for-handling)"), "{}", done.err);
    let findings = report["designs"][0]["findings"].as_array().unwrap();
    let thin = findings.iter().find(|finding| finding["rule"] == "conductor/thin-for-handling").unwrap();
    let remedy = &thin["remedy"];
    assert_eq!((&remedy["kind"], &remedy["tried"], &remedy["safe"]), (&"size".into(), &true.into(), &false.into()));
    let edit = &remedy["edits"][0];
    let now = fs::read_to_string(&design).unwrap();
    let byte = |end: &str| usize::try_from(edit[end]["byte"].as_u64().unwrap()).unwrap();
    assert_eq!(&now[byte("start")..byte("end")], "0.22 mm2");
    assert_eq!(edit["text"], "0.35 mm2");
    assert!(edit["file"].as_str().unwrap().ends_with("plough.yaml"));
}

#[test]
fn what_is_not_a_file_of_utf_8_is_refused_and_nothing_is_written() {
    let refused = harness_at(Terminal::PIPE, PLOUGH, &["check", "-", "--apply"]);
    assert_eq!(refused.code, exit::FAILED);
    assert!(refused.err.contains("standard input: it can't be written; name a file"), "{}", refused.err);
    let mode = harness(&["check", "plough.yaml", "--apply", "--mode", "lift"]);
    assert_eq!(mode.code, exit::FAILED);
    // A byte that is not UTF-8 is read as something else: the file can't be written back as it was.
    let folder = plough("apply/bytes");
    let mut bytes = PARTS.as_bytes().to_vec();
    bytes[4] = 0xff;
    fs::write(folder.join("parts.yaml"), &bytes).unwrap();
    let done = harness(&["check", &path(&folder, "plough.yaml"), "--apply"]);
    assert_eq!(fs::read(folder.join("parts.yaml")).unwrap(), bytes);
    assert!(done.code == exit::FAILED || done.code == exit::FINDINGS, "{}", done.err);
    if done.code == exit::FAILED {
        assert!(done.err.contains("parts.yaml`: it holds bytes that were not read as they are"), "{}", done.err);
        assert_eq!(fs::read_to_string(folder.join("plough.yaml")).unwrap(), PLOUGH);
    }
}

#[cfg(unix)]
#[test]
fn a_file_keeps_its_mode_and_a_link_stays_a_link() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let folder = plough("apply/links");
    fs::rename(folder.join("parts.yaml"), folder.join("store.yaml")).unwrap();
    symlink("store.yaml", folder.join("parts.yaml")).unwrap();
    fs::set_permissions(folder.join("store.yaml"), fs::Permissions::from_mode(0o640)).unwrap();
    assert_eq!(harness(&["check", &path(&folder, "plough.yaml"), "--apply"]).code, exit::CLEAN);
    assert!(folder.join("parts.yaml").symlink_metadata().unwrap().is_symlink());
    assert_eq!(fs::metadata(folder.join("store.yaml")).unwrap().permissions().mode() & 0o777, 0o640);
    assert!(fs::read_to_string(folder.join("store.yaml")).unwrap().contains("contacts: socket }"));
    // Where one file can't be written, none is.
    let folder = plough("apply/locked");
    fs::set_permissions(folder.join("parts.yaml"), fs::Permissions::from_mode(0o440)).unwrap();
    let done = harness(&["check", &path(&folder, "plough.yaml"), "--apply"]);
    assert_eq!(done.code, exit::FAILED);
    assert!(done.err.contains("parts.yaml`: it is read-only"), "{}", done.err);
    assert_eq!(fs::read_to_string(folder.join("plough.yaml")).unwrap(), PLOUGH);
}

#[test]
fn a_misspelt_include_is_corrected_and_what_the_file_says_is_read() {
    let folder = folder(
        "apply/include",
        &[("plough.yaml", &PLOUGH.replace("[parts.yaml]", "['part.yaml'] # shared")), ("parts.yaml", PARTS)],
    );
    let design = path(&folder, "plough.yaml");
    let done = harness(&["check", &design, "--apply"]);
    assert_eq!(done.code, exit::CLEAN, "{}\n{}", done.out, done.err);
    assert!(done.err.contains("include `parts.yaml` in place of `part.yaml` (format/include)"), "{}", done.err);
    let text = fs::read_to_string(&design).unwrap();
    assert!(text.contains("include: ['parts.yaml'] # shared\r\n"), "{text}");
    // No file has a name that is near: nothing is written.
    let design = path(&folder, "other.yaml");
    fs::write(&design, PLOUGH.replace("[parts.yaml]", "[wheels.yaml]")).unwrap();
    let done = harness(&["check", &design, "--apply"]);
    assert!(
        !done.err.contains("format/include") && fs::read_to_string(&design).unwrap().contains("[wheels.yaml]"),
        "{}",
        done.err
    );
}
