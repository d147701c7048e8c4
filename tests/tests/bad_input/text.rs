//! Bytes and YAML: encodings, tabs, comments for values, second documents, aliases, nesting, empty files.

use super::expect::{reads, told};

const HEAD: &str = "format: 1\ndesign: x\n";

#[test]
fn what_yaml_takes_for_a_comment_is_told() {
    reads(
        format!(
            "{HEAD}looms:\n  a:\n    ends: {{ R1: {{ ring: M6 }}, R2: {{ ring: M6 }} }}\n    wires:\n      1:\n        from: R1\n        to: R2\n        colour: #FF0000\n"
        ),
        &[told(
            "10:17",
            "format/comment-for-value",
            "`colour` has no value: YAML reads `#FF0000` as a comment",
            "quote the value",
        )],
    );
}

#[test]
fn a_colon_without_a_blank_is_told() {
    reads(
        format!("{HEAD}looms:\n  a:\n    ends: {{ R1: {{ ring: M6 }}, P1: {{}} }}\n    wires:\n      1: {{from:P1.1, to: R1}}\n"),
        &[
            told("5:31", "format/missing-key", "what the end `P1` is", "`housing`"),
            told("7:15", "format/unspaced-colon", "`from:P1.1`", "write `from: P1.1`"),
        ],
    );
}

#[test]
fn a_second_document_is_told() {
    reads(format!("{HEAD}---\nformat: 1\n"), &[told("3:1", "format/extra-document", "second document", "")]);
}

#[test]
fn bytes_that_are_no_text_are_told() {
    reads(b"format: 1\ndesign: caf\xE9\n".as_slice(), &[told("2:12", "format/encoding", "byte 0xE9 is not UTF-8", "UTF-8")]);
    reads(b"format: 1\ndesign: a\0b\n".as_slice(), &[told("2:10", "format/encoding", "NUL", "delete")]);
    reads(b"\xFF\xFEf\0o\0".as_slice(), &[told("1:1", "format/encoding", "UTF-16", "UTF-8")]);
}

#[test]
fn a_tab_for_indentation_is_told() {
    reads("format: 1\ndesign: x\nzones:\n\tcab: {}\n", &[told("4:1", "format/tab", "tab", "spaces")]);
}

#[test]
fn line_ends_and_marks_of_other_systems_are_taken() {
    reads("\u{feff}format: 1\r\ndesign: x\r\nzones:\r\n  cab: { wet: true }\r\n", &[]);
    // The place of a mistake is the same as with plain line ends.
    reads(
        "\u{feff}format: 1\r\ndesign: x\r\nzones:\r\n  cab: { wett: true }\r\n",
        &[told("4:10", "format/unknown-key", "`wett`", "write `wet`")],
    );
    reads(
        "\u{feff}formt: 1\ndesign: x\n",
        &[
            told("1:1", "format/unknown-key", "`formt`", "write `format`"),
            told("1:1", "format/missing-key", "`format`", "format: 1"),
        ],
    );
}

#[test]
fn aliases_that_multiply_are_refused_with_the_limit() {
    let mut bomb = format!(
        "{HEAD}note: x\nzones:\n  a: &a {{ ambient: 1 degC, wet: true }}\nwaivers:\n  - &l0 [x, x, x, x, x, x, x, x, x, x]\n"
    );
    for level in 1..8 {
        let below = vec![format!("*l{}", level - 1); 10].join(", ");
        bomb.push_str(&format!("  - &l{level} [{below}]\n"));
    }
    let report = harness_tests::report(&bomb);
    let limits: Vec<_> = report.findings.iter().filter(|finding| finding.rule == "format/limit").collect();
    assert_eq!(limits.len(), 1, "{}", harness_tests::words(&report));
    assert!(limits[0].headline.contains("expand to more than"), "{}", limits[0].headline);
    reads(format!("{HEAD}zones:\n  cab: *hot\n"), &[told("4:8", "format/alias", "`*hot` refers to nothing", "&hot")]);
    reads(format!("{HEAD}zones: &z\n  cab: *z\n"), &[told("4:8", "format/alias", "is inside the value", "").with("4:3")]);
}

#[test]
fn thousands_of_levels_are_refused_with_the_limit() {
    for (open, close) in [("[", "]"), ("{ a: ", "}")] {
        let deep = format!("{HEAD}zones: {}{}\n", open.repeat(10_000), close.repeat(10_000));
        let report = harness_tests::report(&deep);
        let limit = report.findings.iter().find(|finding| finding.rule == "format/limit");
        let limit = limit.unwrap_or_else(|| panic!("{}", harness_tests::words(&report)));
        assert!(limit.headline.contains("255 deep"), "{}", limit.headline);
    }
    let block: String = (0..10_000).map(|level| format!("{}a:\n", " ".repeat(level))).collect();
    let report = harness_tests::report(&block);
    assert!(report.findings.iter().any(|finding| finding.rule == "format/limit"), "{}", harness_tests::words(&report));
}

#[test]
fn a_file_without_content_is_told_what_a_smallest_design_looks_like() {
    for empty in ["", "\n\n", "# a comment\n", "# a\n# b\n", "---\n", "\u{feff}"] {
        reads(empty, &[told("1:1", "format/empty-file", "", "format: 1")]);
    }
}

#[test]
fn a_file_of_one_word_or_list_is_told() {
    reads("tractor\n", &[told("1:1", "format/unexpected-value", "`tractor` is written where a map", "format, design")]);
    reads("- a\n- b\n", &[told("1:1", "format/unexpected-value", "a list is written where a map", "format, design")]);
}

#[test]
fn tags_and_keys_that_are_no_texts_are_told() {
    reads(format!("{HEAD}note: !text x\n"), &[told("3:7", "format/tag", "`!text`", "delete")]);
    reads(format!("{HEAD}zones:\n  ? [a, b]\n  : {{}}\n"), &[told("4:5", "format/complex-key", "", "")]);
}
