//! A tidy file says the same as before, has every comment that it had, and is tidy.

use harness_core::{
    Document, Files, MemoryFiles, Outcome,
    diff::{Edits, inventory},
    tidy,
};
use harness_tests::{corpus, tier::sample};
use proptest::prelude::*;
use std::collections::BTreeMap;

/// The comments of a text as a reader sees them: whole lines of comment, and what is behind a value and two blanks. None of our designs has
/// such a text inside quotes.
fn comments(text: &str) -> Vec<&str> {
    let mut found: Vec<&str> = text
        .lines()
        .filter_map(|line| {
            let line = line.trim();
            if line.starts_with('#') { Some(line) } else { line.find(" #").and_then(|at| line.get(at + 1..)) }
        })
        .collect();
    found.sort_unstable();
    found
}

/// The texts after tidying, and what was left.
fn tidied(files: &dyn Files, root: &str) -> (BTreeMap<String, String>, Vec<String>) {
    let (mut texts, mut left) = (BTreeMap::new(), Vec::new());
    for (name, outcome) in tidy(files, root) {
        match outcome {
            Outcome::Tidy => {}
            Outcome::Changed { old, new } => {
                assert_eq!(comments(&old), comments(&new), "{name}");
                assert!(new.ends_with('\n') && !new.contains(" \n") && !new.contains("\n\n\n"), "{name}:\n{new}");
                texts.insert(name, new);
            }
            Outcome::Left(why) => left.push(format!("{name}: {why}")),
        }
    }
    (texts, left)
}

/// The files of a design, some with other texts.
struct With<'a> {
    files: &'a dyn Files,
    texts: BTreeMap<String, String>,
}

impl Files for With<'_> {
    fn read(&self, name: &str) -> Result<Vec<u8>, harness_core::FileError> {
        self.texts.get(name).map_or_else(|| self.files.read(name), |text| Ok(text.as_bytes().to_vec()))
    }
}

/// A design tidied: it means the same, and to tidy it again changes nothing.
fn means_the_same(files: &dyn Files, root: &str) -> Vec<String> {
    let before = inventory(&Document::read(files, root));
    let (texts, left) = tidied(files, root);
    let after = With { files, texts };
    assert!(Edits::between(&before, &inventory(&Document::read(&after, root))).is_empty(), "{root} says something else");
    let again: Vec<String> = tidied(&after, root).0.into_keys().collect();
    assert!(again.is_empty(), "{root}: {again:?} is not tidy the first time");
    left
}

#[test]
fn every_design_means_the_same_when_it_is_tidy() {
    for (path, _) in sample("every_design_means_the_same_when_it_is_tidy", corpus::files()) {
        let (folder, root) = corpus::place(&path);
        let left = means_the_same(&folder, &root);
        let has_mistakes = left.iter().all(|why| why.contains("mistakes of reading"));
        assert!(has_mistakes, "{}: {left:?}", path.display());
    }
}

#[test]
fn wires_and_pins_are_words_where_all_of_their_facts_can_be_said() {
    let text = |wires: &str, pins: &str| {
        format!(
            "format: 1\ndesign: Lift\ndevices:\n  a:\n    ports:\n      J1:\n        pins:\n{pins}looms:\n  l:\n    wires:\n{wires}"
        )
    };
    let wires = "      1:   { to: P2.1, from: P1.1, size: 1 mm2, via: [A, B], twist: T }   # first
      2: { from: P1.2, to: P2.2, colour: 'RD/BK', length: 3 m, size: 0.5 mm2 }
      3: { from: P1.3, to: P2.3, size: 2 mm2, note: \"cut last, as it is\" }
      # A map over several lines.
      4:
        from: P1.4
        to: P2.4
        core: C1.2
      5: { from: P1.5, to: P2.5, via: [left and right], size: 1 mm2 }
      6: { from: P1.6, size: 4 mm2 }
      7: \"P1.7 to P2.7, RD, 1 mm2\"
      8: { from: P1.8, to: P2.8, size: 3 mm2, colour: BK } # to be cut
";
    let pins = "          1: { role: input, signal: one, pull: down }
          2: { signal: two }
          3: { signal: supply }
          4: { role: output }
          5: { signal: \"a, b\", role: input }
          6: spare
          7: { signal: 'five: volts', role: output }
";
    let tidy = text(
        "      1: P1.1 to P2.1, 1 mm2, twist T, via A and B  # first
      2: P1.2 to P2.2, 0.5 mm2, RD/BK, 3 m
      3: { from: P1.3, to: P2.3, size: 2 mm2, note: \"cut last, as it is\" }
      # A map over several lines.
      4: P1.4 to P2.4, core C1.2
      5: { from: P1.5, to: P2.5, size: 1 mm2, via: [left and right] }
      6: { from: P1.6, size: 4 mm2 }
      7: P1.7 to P2.7, 1 mm2, RD
      8: P1.8 to P2.8, 3 mm2, BK  # to be cut
",
        "          1: one, input, pull down
          2: two
          3: { signal: supply }
          4: { role: output }
          5: { signal: \"a, b\", role: input }
          6: spare
          7: \"five: volts, output\"
",
    );
    let files = MemoryFiles::one("a.yaml", text(wires, pins));
    let (texts, left) = tidied(&files, "a.yaml");
    assert_eq!((texts.get("a.yaml").map(String::as_str), left), (Some(tidy.as_str()), Vec::new()));
    means_the_same(&files, "a.yaml");
    let flow = |pins: &str| format!("format: 1\ndesign: Lift\ndevices:\n  a: {{ ports: {{ J1: {{ pins: {pins} }} }} }}\n");
    let files = MemoryFiles::one("a.yaml", flow("{ 1: { signal: one, role: input }, 2: { signal: two }, 3: spare }"));
    assert_eq!(tidied(&files, "a.yaml").0["a.yaml"], flow("{ 1: \"one, input\", 2: two, 3: spare }"));
}

/// Untidies a text: comments above and behind its lines, blank lines, blanks in brackets, other line ends.
fn untidied(text: &str, marks: &[(usize, u8)]) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    for (number, (at, what)) in marks.iter().enumerate() {
        let at = at % (lines.len() + 1);
        let indent = " ".repeat(usize::from(*what >> 4));
        match what % 5 {
            0 => lines.insert(at, format!("{indent}# mark {number}")),
            1 => lines.insert(at, String::new()),
            2 => {
                if let Some(line) = lines.get_mut(at).filter(|line| !line.contains('#') && !line.trim().is_empty()) {
                    line.push_str(&format!(" {indent}# mark {number}"));
                }
            }
            3 => {
                if let Some(line) = lines.get_mut(at).filter(|line| line.contains(": {") && !line.contains(['"', '\''])) {
                    *line = line.replace(": {", ":   {").replace(" }", "}").replace(", ", " ,  ");
                }
            }
            _ => {
                if let Some(line) = lines.get_mut(at) {
                    line.push_str("   ");
                }
            }
        }
    }
    let end = if marks.len().is_multiple_of(3) { "\r\n" } else { "\n" };
    lines.iter().map(|line| format!("{line}{end}")).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    /// Wherever comments and blanks are, none is lost.
    #[test]
    fn an_untidy_text_keeps_every_comment(which in 0_usize..10_000, marks in prop::collection::vec((0_usize..1000, any::<u8>()), 1..12)) {
        let texts = corpus::texts();
        let text = &texts[which % texts.len()].netlist;
        let messy = untidied(text, &marks);
        let files = MemoryFiles::one("a.yaml", messy.as_str());
        let left = means_the_same(&files, "a.yaml");
        prop_assert!(left.iter().all(|why| why.contains("mistakes of reading")), "{:?}\n{}", left, messy);
    }

    /// Nothing that can be written makes it fail, or say something else.
    #[test]
    fn any_text_is_left_or_means_the_same(text in "[a-c:#{}\\[\\], \n'\"|>&*?!-]{0,60}") {
        let files = MemoryFiles::one("a.yaml", text.as_str());
        let (texts, _) = tidied_any(&files);
        if let Some(new) = texts {
            let again = tidied_any(&MemoryFiles::one("a.yaml", new.as_str())).0;
            prop_assert_eq!(again, None, "{:?} becomes {:?}, which is not tidy", text, new);
        }
    }
}

fn tidied_any(files: &MemoryFiles) -> (Option<String>, bool) {
    match tidy(files, "a.yaml").remove("a.yaml") {
        Some(Outcome::Changed { new, .. }) => (Some(new), false),
        Some(Outcome::Left(_)) => (None, true),
        Some(Outcome::Tidy) | None => (None, false),
    }
}
