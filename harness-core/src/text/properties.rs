//! What holds for any input, and agreement with a second YAML reader of other descent.

use super::*;
use proptest::prelude::*;

fn read(bytes: &[u8]) -> (Sources, Decoded, Parsed, Names) {
    let (mut sources, mut names) = (Sources::new(), Names::new());
    let decoded = decode(&mut sources, "f".to_owned(), bytes.to_vec()).unwrap();
    let parsed = parse(&sources, decoded.file, &mut names);
    (sources, decoded, parsed, names)
}

/// Every span is within the file and on character boundaries, and a plain scalar of one word is cut out by its span.
fn sound(bytes: &[u8]) -> Result<(), TestCaseError> {
    let (sources, decoded, parsed, names) = read(bytes);
    let text = sources.file(decoded.file).unwrap().text();
    let tree = &parsed.tree;
    for index in 0..tree.len() as u32 {
        let node = NodeId(index);
        let span = tree.span(node);
        prop_assert!(text.get(span.start as usize..span.end as usize).is_some(), "{:?} {span:?} in {text:?}", tree.kind(node));
        if let Kind::Scalar { text: name, plain: true } = tree.kind(node) {
            let (name, cut) = (names.text(name), sources.slice(span));
            if !cut.contains(['\n', '\r']) {
                prop_assert_eq!(name, cut);
            }
        }
        prop_assert!(tree.entries(node).all(|(key, _)| tree.text(key).is_some()));
        let mut keys: Vec<Name> = tree.entries(node).filter_map(|(key, _)| tree.text(key)).collect();
        let count = keys.len();
        keys.sort_unstable();
        keys.dedup();
        let merges = usize::from(names.find("<<").is_some());
        prop_assert!(count - keys.len() <= merges, "repeated keys in {text:?}");
    }
    for problem in decoded.problems.iter().chain(&parsed.problems) {
        for span in [Some(problem.span), problem.context.as_ref().map(|(span, _)| *span)].into_iter().flatten() {
            prop_assert!(text.get(span.start as usize..span.end as usize).is_some(), "{} {span:?} in {text:?}", problem.headline);
        }
        prop_assert!(!problem.headline.contains(['\n', '\r']), "{:?}", problem.headline);
    }
    let silent = decoded.problems.is_empty() && parsed.problems.is_empty();
    prop_assert!(!silent || parsed.root.is_some(), "nothing read and nothing said: {text:?}");
    prop_assert!(depth_is_bounded(&parsed));
    Ok(())
}

/// Whoever follows the tree down never goes deeper than the limit, aliases included.
fn depth_is_bounded(parsed: &Parsed) -> bool {
    let mut level: Vec<NodeId> = parsed.root.into_iter().collect();
    for _ in 0..=255 {
        let mut below: Vec<NodeId> = level
            .iter()
            .flat_map(|&node| {
                parsed.tree.items(node).chain(parsed.tree.entries(node).map(|(_, value)| value)).collect::<Vec<_>>()
            })
            .collect();
        below.sort_unstable();
        below.dedup();
        level = below;
    }
    level.is_empty()
}

/// Pieces of netlists and of YAML, sound and broken, that a mutation strings together.
const PIECES: &[&str] = &[
    "a: ",
    "b:",
    "- ",
    "-",
    "\n",
    "\n  ",
    "\n    ",
    "\r\n",
    "\t",
    " ",
    "{",
    "}",
    "[",
    "]",
    ", ",
    ",",
    ": ",
    ":",
    "#",
    " #x",
    "\"",
    "'",
    "|",
    ">-",
    "&x ",
    "*x",
    "<<: *x",
    "!t ",
    "? ",
    "---",
    "...",
    "\n---\n",
    "%YAML",
    "é",
    "ß",
    "\u{feff}",
    "\u{85}",
    "\u{2028}",
    "\0",
    "~",
    "01",
    "0.5 mm2",
    "#FF0000",
    "from:P1.1",
    "{from: P1.1, to: P2.3}",
    "\n  101: { from: P1.1, to: P9.4, size: 0.75 mm2 }",
    "\\",
    "\"\\q\"",
    "@",
    "`",
    "looms:\n  front:\n    wires:\n",
    "\nkey: value",
    "\n  key: value",
    "\n  - item",
    "$",
    "x",
    "y z",
    "\n\n# comment\n",
    "{x: &x [*x]}",
];

fn pieces() -> impl Strategy<Value = String> {
    proptest::collection::vec(proptest::sample::select(PIECES), 0..40).prop_map(|pieces| pieces.concat())
}

const NETLIST: &str = "format: 1\ndevices:\n  pump:\n    ports:\n      J1: { housing: QL, pins: { 1: spare, 2: { signal: \"a b\" } } }\n\
    looms:\n  front:\n    wires:\n      101: { from: P1.1, to: P9.4, size: 0.75 mm2 } # feed\n      102: { from: P1.2,\n             to: R1 }\n\
    waivers:\n  - { finding: x, reason: 'it''s' }\n  - |\n    text\n";

proptest! {
    #![proptest_config(ProptestConfig { cases: 2_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        sound(&bytes)?;
    }

    #[test]
    fn any_pieces_of_yaml_are_read_or_refused(text in pieces()) {
        sound(text.as_bytes())?;
    }

    #[test]
    fn a_mutated_netlist_is_read_or_refused(at in 0..NETLIST.len(), cut in 0..6usize, piece in proptest::sample::select(PIECES)) {
        let mut text = NETLIST.to_owned();
        text.replace_range(at..(at + cut).min(NETLIST.len()), piece);
        sound(text.as_bytes())?;
        sound(text.replace('\n', "\r\n").as_bytes())?;
    }

    #[test]
    fn a_second_reader_agrees(text in pieces()) {
        // Whether a text block on the last line ends with a line break is read in two ways (YAML test suite, L24T).
        agrees(&(text + "\n"))?;
    }

    #[test]
    fn a_second_reader_agrees_on_netlists(at in 0..NETLIST.len(), piece in proptest::sample::select(PIECES)) {
        let mut text = NETLIST.to_owned();
        text.insert_str(at, piece);
        agrees(&text)?;
    }
}

#[test]
fn a_second_reader_agrees_on_a_sound_netlist() {
    assert!(serde_yaml::from_str::<serde_yaml::Value>(NETLIST).is_ok());
    agrees(NETLIST).unwrap();
}

/// What both readers take without a word has the same shape, keys and texts.
fn agrees(text: &str) -> Result<(), TestCaseError> {
    // Known differences: the second reader follows YAML 1.1 for line breaks and counts a byte order mark as text.
    if text.contains(['\u{85}', '\u{2028}', '\u{feff}', '\0', '\t']) || text.contains("<<") || text.contains('%') {
        return Ok(());
    }
    let (_, decoded, parsed, names) = read(text.as_bytes());
    if !decoded.problems.is_empty() || !parsed.problems.is_empty() {
        return Ok(());
    }
    let (Some(root), Ok(value)) = (parsed.root, serde_yaml::from_str::<serde_yaml::Value>(text)) else { return Ok(()) };
    // A file that is one text in the first column: the second reader ends it at a `#`, YAML 1.2 does not.
    if parsed.tree.text(root).is_some() {
        return Ok(());
    }
    same(&parsed.tree, &names, root, &value).map_err(|error| TestCaseError::fail(format!("{error} in {text:?}")))
}

fn same(tree: &Tree, names: &Names, node: NodeId, value: &serde_yaml::Value) -> Result<(), String> {
    use serde_yaml::Value;
    let own = tree.text(node).map(|name| names.text(name));
    match (tree.kind(node), value) {
        // A reader that resolves types distinguishes a text from a number; ours keeps every scalar as the text that was written.
        (Kind::Missing, Value::Null) | (Kind::Scalar { plain: true, .. }, Value::Null | Value::Bool(_) | Value::Number(_)) => {
            Ok(())
        }
        (Kind::Scalar { .. }, Value::String(other)) if own == Some(other) => Ok(()),
        (Kind::List, Value::Sequence(other)) if tree.items(node).len() == other.len() => {
            tree.items(node).zip(other).try_for_each(|(item, other)| same(tree, names, item, other))
        }
        (Kind::Map, Value::Mapping(other)) if tree.entries(node).len() == other.len() => {
            tree.entries(node).zip(other).try_for_each(|((key, value), (other_key, other_value))| {
                same(tree, names, key, other_key)?;
                same(tree, names, value, other_value)
            })
        }
        (kind, other) => Err(format!("{kind:?} {own:?} is {other:?}")),
    }
}
