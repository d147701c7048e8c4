use super::*;
use std::fmt::Write as _;

/// The problems of `bytes`, one a line: `line:column rule: headline`.
fn problems(bytes: &[u8]) -> (String, Vec<Problem>) {
    let (sources, decoded, parsed, _) = read(bytes);
    let all: Vec<Problem> = decoded.problems.into_iter().chain(parsed.problems).collect();
    let mut lines = String::new();
    for problem in &all {
        let place = sources.place(problem.span);
        let place = place.strip_prefix("f:").unwrap();
        writeln!(lines, "{place} {}: {}", kebab(problem.kind), problem.headline).unwrap();
    }
    (lines, all)
}

/// `RepeatedKey` as `repeated-key`.
fn kebab(kind: ProblemKind) -> String {
    let mut kebab = String::new();
    for letter in format!("{kind:?}").chars() {
        if letter.is_uppercase() && !kebab.is_empty() {
            kebab.push('-');
        }
        kebab.extend(letter.to_lowercase());
    }
    kebab
}

fn read(bytes: &[u8]) -> (Sources, Decoded, Parsed, Names) {
    let (mut sources, mut names) = (Sources::new(), Names::new());
    let decoded = decode(&mut sources, "f".to_owned(), bytes.to_vec()).unwrap();
    let parsed = parse(&sources, decoded.file, &mut names);
    (sources, decoded, parsed, names)
}

/// The tree as one line: `{key: [item, "quoted"]}`, `~` for a missing value, `!` before what is incomplete.
fn tree(text: &str) -> String {
    fn write(parsed: &Parsed, names: &Names, node: NodeId, out: &mut String) {
        let tree = &parsed.tree;
        if tree.is_incomplete(node) {
            out.push('!');
        }
        match tree.kind(node) {
            Kind::Scalar { text, plain: true } => out.push_str(names.text(text)),
            Kind::Scalar { text, plain: false } => write!(out, "{:?}", names.text(text)).unwrap(),
            Kind::Missing => out.push('~'),
            Kind::List => {
                out.push('[');
                for (index, item) in tree.items(node).enumerate() {
                    out.push_str(if index > 0 { ", " } else { "" });
                    write(parsed, names, item, out);
                }
                out.push(']');
            }
            Kind::Map => {
                out.push('{');
                for (index, (key, value)) in tree.entries(node).enumerate() {
                    out.push_str(if index > 0 { ", " } else { "" });
                    write(parsed, names, key, out);
                    out.push_str(": ");
                    write(parsed, names, value, out);
                }
                out.push('}');
            }
        }
    }
    let (_, _, parsed, names) = read(text.as_bytes());
    let mut out = String::new();
    if let Some(root) = parsed.root {
        write(&parsed, &names, root, &mut out);
    }
    out
}

#[track_caller]
fn check(text: impl AsRef<[u8]>, expect: &[&str]) {
    let (lines, all) = problems(text.as_ref());
    assert_eq!(lines.lines().collect::<Vec<_>>(), expect);
    for problem in all {
        let first = problem.headline.chars().next().unwrap();
        assert!(!first.is_uppercase() && !problem.headline.ends_with('.'), "{}", problem.headline);
        assert!(!problem.help.is_empty() && !problem.help.ends_with('.'), "{}", problem.headline);
        let words = ["invalid", "illegal", "bad", "wrong", "please", "oops", "may", "might"];
        let mut said = problem.headline.split(|letter: char| !letter.is_alphanumeric());
        assert!(!said.any(|word| words.contains(&word)), "{}", problem.headline);
    }
}

#[test]
fn scalars_stay_as_written() {
    let text = "01: NO\n1: on\n0.50: 1e3\n0x10: ~\ny: null\n.inf: \"a\\tb\"\nq: 'it''s'\nd: 2027-06-30\nt: 1:30\n";
    let expect = r#"{01: NO, 1: on, 0.50: 1e3, 0x10: ~, y: null, .inf: "a\tb", q: "it's", d: 2027-06-30, t: 1:30}"#;
    assert_eq!(tree(text), expect);
    check(text, &[]);
    let (_, _, parsed, names) = read(b"a: ~\nb:\n");
    let values: Vec<Kind> = parsed.tree.entries(parsed.root.unwrap()).map(|(_, value)| parsed.tree.kind(value)).collect();
    assert_eq!(values, [Kind::Scalar { text: names.find("~").unwrap(), plain: true }, Kind::Missing]);
}

#[test]
fn spans_cut_out_what_was_written() {
    let text = "\u{feff}é: { ü: [a b, \"c\"] }\r\nlist:\r\n  - x: 1\r\n    z:\r\n  - |\r\n    two\r\n    lines\r\nend: 2\r\n";
    let (sources, _, parsed, _) = read(text.as_bytes());
    let tree = &parsed.tree;
    let cut = |node| sources.slice(tree.span(node));
    let entries: Vec<_> = tree.entries(parsed.root.unwrap()).collect();
    assert_eq!(entries.iter().map(|&(key, _)| cut(key)).collect::<Vec<_>>(), ["é", "list", "end"]);
    assert_eq!(cut(entries[0].1), "{ ü: [a b, \"c\"] }");
    let (key, list) = tree.entries(entries[0].1).next().unwrap();
    assert_eq!((cut(key), sources.place(tree.span(key))), ("ü", "f:1:6".to_owned()));
    assert_eq!(tree.items(list).map(cut).collect::<Vec<_>>(), ["a b", "\"c\""]);
    let items: Vec<_> = tree.items(entries[1].1).collect();
    assert_eq!(cut(items[0]), "x: 1\r\n    z");
    assert_eq!(cut(items[1]), "two\r\n    lines");
    assert_eq!(sources.place(tree.span(entries[2].1)), "f:8:6");
}

#[test]
fn a_repeated_key_shows_both_places_and_loses_no_names() {
    let text = "looms:\n  front: { a: 1 }\n  \"front\": { a: 2, b: 3 }\n";
    check(text, &["3:3 repeated-key: key `front` is written twice here", "3:14 repeated-key: key `a` is written twice here"]);
    assert_eq!(tree(text), "{looms: !{front: !{a: 1, b: 3}}}");
    let (_, all) = problems(text.as_bytes());
    assert_eq!(all[0].context.as_ref().unwrap().0, Span::new(FileId(0), 9, 14));
    // One and the same test below and above the number of keys at which the way of looking changes.
    for keys in [2, 31, 32, 33, 200] {
        let mut text: String = (0..keys).map(|key| format!("k{key}: {key}\n")).collect();
        check(&text, &[]);
        text.push_str("k0: again\n");
        check(&text, &[&format!("{}:1 repeated-key: key `k0` is written twice here", keys + 1)]);
    }
    // Labels that differ as texts are different, whatever a number reader makes of them.
    check("1: a\n01: b\n1.0: c\n", &[]);
}

#[test]
fn values_that_yaml_takes_for_comments() {
    check("colour: #FF0000\nb: 1\n", &["1:9 comment-for-value: `colour` has no value: YAML reads `#FF0000` as a comment"]);
    check(
        "a: {colour: #F00, size: 1 mm2}\nb: 2\n",
        &["1:13 comment-for-value: `colour` has no value: YAML reads `#F00` as a comment"],
    );
    assert_eq!(tree("a: {colour: #F00, size: 1 mm2}\nb: 2\n"), "!{a: !{colour: !~}, b: 2}");
    // In the last line nothing follows that could close the bracket.
    check("a: {b: 1, colour: #F00 }\n", &["1:19 comment-for-value: `colour` has no value: YAML reads `#F00` as a comment"]);
    check("a: {b: 1 #note }\n", &["1:4 syntax: `{` is opened and never closed"]);
    check("pins:\n  - #4\n  - 5\n", &["2:5 comment-for-value: a list item is empty: YAML reads `#4` as a comment"]);
    check("a: # a comment\n  b: 1 #F00\nc: P1#3\nd: #\n", &[]);
}

#[test]
fn colons_without_a_space() {
    let text = "101: {from:P1.1, to: P2.3}\n";
    check(text, &["1:11 unspaced-colon: `from:P1.1` is one key without a value to YAML"]);
    assert_eq!(tree(text), "{101: {from: P1.1, to: P2.3}}");
    check("w:\n  101:{ from: P1 }\n", &["2:6 unspaced-colon: `101:{ from` is one key to YAML, and the bracket is part of it"]);
    check("x: {a:[1]}\ny: 1\n", &["1:6 unspaced-colon: a space is missing after a colon"]);
    check("w:\n  d: 1\n  from:P1\n  to: 4\n", &["3:7 unspaced-colon: `from:P1` is one key without a value to YAML"]);
    assert_eq!(tree("w:\n  d: 1\n  from:P1\n  to: 4\n"), "{w: !{d: 1, to: 4}}");
    check("{\"a\":1, b: c:d, e: [f:g]}\n", &[]);
}

#[test]
fn more_than_one_document() {
    check("a: 1\n---\nb: 2\n", &["2:1 extra-document: `---` begins a second document in the file, and only the first is read"]);
    check("--- # first\na: 1\n...\n", &[]);
    assert_eq!(tree("a: 1\n---\nb: 2\n"), "{a: 1}");
    check(
        "a: [\nb: 1\n---\nc: 2\n",
        &[
            "1:4 syntax: `[` is opened and never closed",
            "3:1 extra-document: `---` begins a second document in the file, and only the first is read",
        ],
    );
}

#[test]
fn bytes_that_are_no_text() {
    check(b"a: gr\xFCn\nb: \xE4\xF6\n", &["1:6 encoding: byte 0xFC is not UTF-8"]);
    let (_, all) = problems(b"a: gr\xFCn\nb: \xE4\xF6\n");
    assert_eq!(all[0].label, "read as `?`, the first of 3");
    assert_eq!(all[0].help, "save the file as UTF-8; in ISO 8859-1 the byte is `ü`");
    // A truncated character at the end of the file (RFC 3629, section 3).
    check(b"a: \xE2\x82", &["1:4 encoding: byte 0xE2 is not UTF-8"]);
    check(b"a: b\0c\nd: [\n", &["1:5 encoding: the file holds a NUL character", "2:4 syntax: `[` is opened and never closed"]);
    let utf16 = ["1:1 encoding: the file is in UTF-16, a netlist is read as UTF-8"];
    check(b"\xFF\xFEf\0o\0", &utf16);
    check(b"\xFE\xFF\0f\0o", &utf16);
    check(b"f\0o\0r\0m\0a\0t\0", &utf16);
    check(vec![b' '; MAX_BYTES + 1], &["1:1 limit: the file has 67108865 bytes, 1 more than are read"]);
}

#[test]
fn tabs_for_indentation() {
    check("a:\n\tb: 1\nc: 2\n", &["2:1 tab: a tab is used for indentation"]);
    check("a:\n  b: 1\n \tc: 2\n", &["3:2 tab: a tab is used for indentation"]);
    check("a: 1\r\n\tb: 1\r\nc: 2\r\n", &["2:1 tab: a tab is used for indentation"]);
    check("\ta: 1\n", &["1:1 tab: a tab is used for indentation"]);
    check("a:\tb\nc: {d:\t1}\t# fine\n", &[]);
}

#[test]
fn an_empty_file_is_told_what_a_design_looks_like() {
    for text in ["", "\n\n", "# nothing\n# yet\n", "\u{feff}", "---\n", "---\n...\n"] {
        check(text, &["1:1 empty-file: the file holds no design"]);
    }
    let (_, all) = problems(b"");
    for word in ["format: 1", "design: NAME", "devices", "looms"] {
        assert!(all[0].help.contains(word));
    }
}

#[test]
fn faults_of_the_grammar_in_plain_words() {
    check("a: \"x\nb: 2\n", &["1:4 syntax: a quote is opened and never closed"]);
    check("a: \"x\nb: 2\nc: \"d\"\n", &["1:4 syntax: a quote is opened and not closed on its line"]);
    check("a: 'it's'\nb: 1\n", &["1:8 syntax: `s'` follows a closing quote"]);
    check("a: \"x \\q\"\n", &["1:7 syntax: a quoted text holds an escape that YAML does not know"]);
    check("a: b: c\nd: e\n", &["1:5 syntax: there is a second `: ` in one line"]);
    check("a: 1\nb\nc: 2\n", &["2:1 syntax: `b` has no `: `, so it is not a key with a value"]);
    check("a: @x\nb: %y\n", &["1:4 syntax: a text cannot begin with `@`", "2:4 syntax: a text cannot begin with `%`"]);
    check("a: {b: c}}\nd: 1\n", &["1:10 syntax: `}` closes a bracket that was never opened"]);
    check("a: [1}\n", &["1:4 syntax: `[` is closed by `}`"]);
    check("a: - b\n", &["1:4 syntax: there is a list item where none can begin"]);
    check("a: [b, , c]\n", &["1:8 syntax: `,` does not fit here inside the brackets"]);
    check("a: !foo b\n", &["1:4 tag: `!foo` is a YAML type tag; the format has none"]);
    check("? [a]\n: b\nc: d\n", &["1:3 complex-key: a list is written where a key belongs"]);
    check("? {a: b}\n: c\n", &["1:3 complex-key: a map is written where a key belongs"]);
    check(": b\n", &["1:1 complex-key: a value has no key before its colon"]);
    check("a: |x\n  b\n", &["1:4 syntax: a text block has something behind its `|` or `>`"]);
    check("a:\n  b: 1\n   c: 2\n  d: 3\n", &["3:4 syntax: `c` is indented more than the key above it"]);
    check("a:\n  b:\n    z: 1\n   p: 2\n  x: y\n", &["4:4 syntax: `p:` is in a column that fits no list or map above it"]);
}

#[test]
fn a_slip_in_one_wire_costs_that_wire_only() {
    let text = "\
looms:
  front:
    wires:
      101: { from: P1.1, to: P9.4 }
      102: { from: P1.2, to: R1
      103: { from: P1.3, to: \"P9.5 }
      104: { from: P1.4, to: P9.6 }
       105: { from: P1.5, to: P9.7 }
      106: { from: P1.6, to: P9.8 }
    splices: { S1: {} }
devices:
\tpump: {}
policy:
  - a: [1, 2
  - b: 1
    c: 2
waivers: 1
";
    check(
        text,
        &[
            "5:12 syntax: `{` is opened and never closed",
            "6:30 syntax: a quote is opened and never closed",
            "8:8 syntax: `105:` is in a column that fits no list or map above it",
            "12:1 tab: a tab is used for indentation",
            "14:8 syntax: `[` is opened and never closed",
        ],
    );
    let wires = "!{101: {from: P1.1, to: P9.4}, 102: !{from: P1.2, to: R1}, 103: !{from: P1.3, to: !~}, \
                 104: !{from: P1.4, to: P9.6}, 106: {from: P1.6, to: P9.8}}";
    let expect = format!(
        "!{{looms: {{front: {{wires: {wires}, splices: {{S1: {{}}}}}}}}, devices: !~, \
         policy: ![!{{a: ![1]}}, {{b: 1, c: 2}}], waivers: 1}}"
    );
    assert_eq!(tree(text), expect);
}

#[test]
fn reading_is_given_up_after_many_faults() {
    let text = "a: @\n".repeat(100);
    let (lines, all) = problems(text.as_bytes());
    assert_eq!(all.iter().filter(|problem| problem.kind == ProblemKind::Syntax).count(), MAX_FAULTS);
    assert!(lines.contains("limit: reading stopped after 20 faults of the YAML grammar"), "{lines}");
}

#[test]
fn nesting_is_limited() {
    let limit = ["1:256 limit: lists and maps are nested more than 255 deep"];
    let nested = |depth: usize| format!("{}{}", "[".repeat(depth), "]".repeat(depth));
    check(nested(255), &[]);
    check(nested(256), &limit);
    check(nested(100_000), &limit);
    let block: String = (0..300).map(|depth| format!("{}a:\n", " ".repeat(depth))).collect();
    check(&block, &["256:256 limit: lists and maps are nested more than 255 deep"]);
    // Brackets inside blocks count together, and so does what an alias refers to.
    let mixed: String = (0..200).map(|depth| format!("{}a:\n", " ".repeat(depth))).collect();
    check(
        format!("{mixed}{}{}\n", " ".repeat(200), nested(56)),
        &["201:256 limit: lists and maps are nested more than 255 deep"],
    );
    check(
        format!("a: &deep {}\nb: {}*deep{}\n", nested(200), "[".repeat(60), "]".repeat(60)),
        &["2:64 limit: alias `*deep` nests lists and maps more than 255 deep"],
    );
}

#[test]
fn aliases_share_what_they_stand_for() {
    let (_, _, parsed, _) = read(b"a: &x { b: 1 }\nc: *x\nd: [*x]\n");
    let tree = &parsed.tree;
    let values: Vec<NodeId> = tree.entries(parsed.root.unwrap()).map(|(_, value)| value).collect();
    assert_eq!(values[0], values[1]);
    assert_eq!(tree.items(values[2]).next(), Some(values[0]));
    assert_eq!(tree.uses(values[0]).map(|span| span.start).collect::<Vec<_>>(), [18, 25]);
    assert_eq!(tree.uses(values[2]).count(), 0);
    check("a: *x\nb: &x 1\n", &["1:4 alias: alias `*x` refers to nothing"]);
    check("a: &x [*x]\n", &["1:8 alias: alias `*x` is inside the value that it refers to"]);
    check("a: &x\n  <<: *x\n  b: 1\n", &["2:7 alias: alias `*x` is inside the value that it refers to"]);
    // An anchor above a fault is known below it.
    assert_eq!(tree_of_two("a: &x 1\nb: [\nc: *x\n"), "1");
}

fn tree_of_two(text: &str) -> String {
    let (_, _, parsed, names) = read(text.as_bytes());
    let value = parsed.tree.entries(parsed.root.unwrap()).last().unwrap().1;
    names.text(parsed.tree.text(value).unwrap()).to_owned()
}

#[test]
fn aliases_that_multiply_are_refused() {
    let mut text = "l0: &l0 [x, x, x, x, x, x, x, x, x]\n".to_owned();
    for level in 1..10 {
        let before = format!("*l{}", level - 1);
        writeln!(text, "l{level}: &l{level} [{}]", vec![before; 9].join(", ")).unwrap();
    }
    let (lines, all) = problems(text.as_bytes());
    assert_eq!(all.len(), 1, "{lines}");
    assert!(lines.contains("limit: aliases up to `*l"), "{lines}");
    // An ordinary use of aliases is far from the limit.
    let mut text = "kind: &kind { size: 0.5 mm2, colour: RD }\nwires:\n".to_owned();
    (0..2_000).for_each(|wire| writeln!(text, "  {wire}: *kind").unwrap());
    check(text, &[]);
}

#[test]
fn merge_keys_are_resolved() {
    let text = "p: &p {a: 1, b: 2}\nq: {<<: *p, b: 3}\nr:\n  <<: [*p, {c: 4, a: 5}]\n  \"<<\": 6\n  d: 7\n";
    check(text, &[]);
    assert_eq!(tree(text), "{p: {a: 1, b: 2}, q: {b: 3, a: 1}, r: {\"<<\": 6, d: 7, a: 1, b: 2, c: 4}}");
    check("a: {<<: 1}\n", &["1:9 alias: `<<` merges a map or a list of maps, and this is neither"]);
    check("a: {<<: {b: 1}, <<: {c: 1}}\n", &["1:17 repeated-key: key `<<` is written twice here"]);
}

#[test]
fn a_tree_answers_for_nodes_it_does_not_have() {
    let (_, _, parsed, _) = read(b"a: [1]\n");
    let (_, _, other, _) = read("[x, x, x, x, x, x, x, x, x]".as_bytes());
    let alien = other.tree.items(other.root.unwrap()).last().unwrap();
    assert_eq!(parsed.tree.kind(alien), Kind::Missing);
    assert_eq!(parsed.tree.entries(alien).len() + parsed.tree.items(alien).len(), 0);
    assert_eq!(parsed.tree.span(alien), Span::new(FileId(0), 0, 0));
    assert!(!parsed.tree.is_incomplete(alien) && parsed.tree.text(alien).is_none());
}
