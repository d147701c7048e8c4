//! `like` and ranges of kinds that mean nothing: each slip is one finding at its place, with the name that was meant.

use harness_core::{Checker, MemoryFiles, check};
use harness_tests::report;

fn design(housings: &str, inside: &str) -> String {
    format!(
        "format: 1
design: Kinds
domains: {{ aux: {{ nominal: 12 V, max: 15 V, reference: chassis }} }}
parts:
  fuses: {{ b5: {{ standard: ISO 8820-3, type: F, rating: 5 A }} }}
  housings:
    QA-P: {{ family: Q, positions: 2, contacts: pin, key: A }}
{housings}
devices:
  box: {{ domain: aux, ports: {{ A: {{ stud: M6, role: supply }}, B: {{ stud: M6, role: supply }}, J1: {{ housing: QA-P, pins: {{ 1..2: spare }} }} }}, inside: {{ F1: {{ fuse: b5, from: A, to: B }}{inside} }} }}
"
    )
}

/// The reading mistakes of a design, each with the text at its place.
fn mistakes(text: &str) -> Vec<String> {
    let report = report(text);
    let found = report.findings.iter().filter(|found| found.rule.starts_with("format/"));
    found
        .map(|found| {
            let span = found.primary.span;
            let at = text.get(span.start as usize..span.end as usize).unwrap_or_default();
            format!("{} at `{at}`: {}", found.rule, found.headline)
        })
        .collect()
}

#[test]
fn each_slip_is_one_finding() {
    assert_eq!(mistakes(&design("    QB-P: { like: QA-P, key: B }", ", F2: { like: F1 }")), [""; 0]);
    for (housings, inside, said) in [
        (
            "    QB-P: { like: QA-B, key: B }",
            "",
            "format/unknown-name at `QA-B`: `QB-P` is like `QA-B`, and there is no such housing kind here",
        ),
        ("    QB-P: { like: QB-P, key: B }", "", "format/unexpected-value at `QB-P`: housing kind `QB-P` is like itself"),
        (
            "    QB-P: { like: QC-P, key: B }\n    QC-P: { key: C, like: QB-P }",
            "",
            "format/unexpected-value at `QC-P`: `QB-P` is like `QC-P`, that like `QB-P`",
        ),
        (
            "    QD-P: { like: QC-P }\n    QB-P: { like: QC-P, key: B }\n    QC-P: { key: C, like: QB-P }",
            "",
            "format/unexpected-value at `QC-P`: `QB-P` is like `QC-P`, that like `QB-P`",
        ),
        (
            "    QB-P: { like: QA-P, family: Q, positions: 2, contacts: pin, key: B }",
            "",
            "format/unused-default at `QA-P`: the `like` of housing kind `QB-P` takes nothing over",
        ),
        ("    QB-P: { like: [QA-P], key: B }", "", "format/unexpected-value at `[QA-P]`: `QB-P` has `like` without a name"),
        ("", ", F2: { like: F3 }", "format/unknown-name at `F3`: `F2` is like `F3`, and there is no such element here"),
        // What the housings are called says nothing of elements.
        ("", ", F2: { like: QA-P }", "format/unknown-name at `QA-P`: `F2` is like `QA-P`, and there is no such element here"),
        (
            "",
            ", R2: { like: F1, resistor: 5 ohm, from: A, to: B }",
            "format/unexpected-value at `F1`: `R2` has the key `resistor` and is like `F1`, which has the key `fuse`",
        ),
        (
            "    QB-P: { lik: QA-P, key: B, family: Q, contacts: pin }",
            "",
            "format/unknown-key at `lik`: there is no key `lik` here",
        ),
        (
            "    QB-P: { like: QA-P, key: B, takes: { like: QA-P } }",
            "",
            "format/unknown-key at `like`: there is no key `like` here",
        ),
        // What is at fault in one is found once, whatever is like it.
        (
            "    QB-P: { family: Q, positions: 2, contacts: pn, key: B }\n    QC-P: { like: QB-P, key: C }\n    QD-P: { like: QC-P, key: D }",
            "",
            "format/unexpected-value at `pn`: `pn` is not one of the words that are allowed here",
        ),
        (
            "    QB-P: { family: Q, positions: 2, contacts: pin, kye: B }\n    QC-P: { like: QB-P, key: C }",
            "",
            "format/unknown-key at `kye`: there is no key `kye` here",
        ),
        (
            "    QD-P..QB-P: { like: QA-P, key: B..D }",
            "",
            "format/range at `QD-P..QB-P`: `QD-P..QB-P` runs backwards from `QD-P` to `QB-P`",
        ),
        ("    QB-P..QC-S: { like: QA-P, key: B..D }", "", "format/range at `QB-P..QC-S`: `QB-P..QC-S` leads from"),
        (
            "    QB-P..QD-P: { like: QA-P, key: B..C }",
            "",
            "format/range at `B..C`: `B..C` has 2 values, and `QB-P..QD-P` names 3 kinds",
        ),
        ("    QB-P..QD-P: { like: QA-P, key: D..B }", "", "format/range at `D..B`: `D..B` runs backwards"),
        (
            "    QB-P..QD-P: { like: QA-P, key: B..D }\n    QC-P: { like: QA-P, key: K }",
            "",
            "format/repeated-name at `QB-P..QD-P`: `QB-P..QD-P` names `QC-P`, which has an entry already",
        ),
        (
            "    QA-P..QB-P: { family: Q, positions: 2, contacts: pin, key: A..B }",
            "",
            "format/repeated-name at `QA-P..QB-P`: `QA-P..QB-P` names `QA-P`, which has an entry already",
        ),
    ] {
        let found = mistakes(&design(housings, inside));
        let [found] = found.as_slice() else { panic!("{housings}{inside}: {found:?}") };
        assert!(found.starts_with(said), "{housings}{inside}: {found}");
    }
}

#[test]
fn the_name_that_was_meant_is_offered() {
    let text = design("    QB-P: { like: QA-B, key: B }", ", F2: { like: f1 }");
    let checked = check(&MemoryFiles::one("design.yaml", text.as_str()), "design.yaml", &Checker::new().try_remedies());
    let mut meant: Vec<(&str, bool)> = checked
        .findings
        .iter()
        .filter(|found| found.rule == "format/unknown-name")
        .filter_map(|found| found.offer.as_ref())
        .map(|offer| (offer.remedy.words.as_str(), offer.tried))
        .collect();
    meant.sort_unstable();
    assert_eq!(meant, [("write `F1`", true), ("write `QA-P`", true)]);
}

#[test]
fn a_like_says_nothing_where_nothing_has_a_name() {
    for text in [
        "format: 1\ndesign: A\npolicy: { like: x }\n",
        "format: 1\ndesign: A\nlike: B\n",
        "format: 1\ndesign: A\nparts: { like: x }\n",
        "format: 1\ndesign: A\nwaivers: [{ like: x, finding: a/b, at: c, reason: d }]\n",
    ] {
        let found = mistakes(text);
        assert!(found.iter().any(|found| found.starts_with("format/unknown-key at `like`")), "{text}: {found:?}");
    }
}

#[test]
fn nothing_grows_without_bound() {
    // A chain of thousands, each like the one before; and a thousand devices like one with a thousand pins.
    let chain: String = (1..5_000).map(|at| format!("    Q{at}: {{ like: Q{}, key: A{at} }}\n", at - 1)).collect();
    assert_eq!(mistakes(&design(&format!("    Q0: {{ like: QA-P }}\n{chain}"), "")), [""; 0]);
    let ring: String = (0..5_000).map(|at| format!("    Q{at}: {{ like: Q{}, key: A{at} }}\n", (at + 1) % 5_000)).collect();
    let found = mistakes(&design(&ring, ""));
    assert!(
        found.len() == 1 && found[0].contains("`Q0` is like `Q1`, that like `Q2`, that like `Q3`, that like `Q4`, and so on"),
        "{found:?}"
    );
    let gates: String = (1..=4_000).map(|at| format!("{{ at: {at} %, holds: 1 s }}, ")).collect();
    let kinds: String = (0..200).map(|at| format!("    b{at}: {{ like: b, note: n }}\n")).collect();
    let text = format!("format: 1\ndesign: A\nparts:\n  fuses:\n    b: {{ rating: 5 A, gates: [{gates}] }}\n{kinds}");
    let found = mistakes(&text);
    assert!(found.iter().any(|found| found.contains("the design takes 1,")), "{:?}", found.first());
}
