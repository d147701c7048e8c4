//! What distinguishes a finding from all others of its report, and stays when lines are moved or files renamed.

use crate::finding::{Judged, Level};
use std::{
    cmp::Reverse,
    collections::{BTreeMap, BTreeSet},
};

/// Sets the fingerprint of every finding: its identity, and ` #2`, ` #3` … for further ones of the same identity.
///
/// Those are distinguished by what they say, never by where they are. If one of them goes, the later ones move up: as many
/// fingerprints are gone as findings are, but not always the same ones. Cost: one sorted pass.
pub fn fingerprint(findings: &mut [Judged]) {
    let mut groups: BTreeMap<String, Vec<&mut Judged>> = BTreeMap::new();
    for finding in findings {
        groups.entry(finding.identity()).or_default().push(finding);
    }
    let taken: BTreeSet<String> = groups.keys().cloned().collect();
    for (identity, mut group) in groups {
        group.sort_by(|a, b| {
            // Findings that say the same can't be distinguished; the place only keeps equal runs equal.
            said(a).cmp(&said(b)).then_with(|| a.order(b))
        });
        let mut number = 1;
        for finding in group {
            finding.fingerprint = match number {
                1 => identity.clone(),
                _ => format!("{identity} #{number}"),
            };
            number += 1;
            // A thing can be called `#2`.
            while taken.contains(&format!("{identity} #{number}")) {
                number += 1;
            }
        }
    }
}

/// What a finding says, in the order in which twins are numbered.
fn said(finding: &Judged) -> (&str, Reverse<Level>, &str, &str) {
    (&finding.headline, Reverse(finding.level), &finding.primary.text, &finding.help)
}

#[cfg(test)]
mod tests {
    use super::fingerprint;
    use crate::{
        finding::{Finding, Judged, Level},
        text::{FileId, Span},
    };

    fn finding(at: u32, headline: &str, concerns: &[&str]) -> Judged {
        let finding = Finding::new("group/fault", Level::Error, Span::new(FileId(0), at, at + 1), headline);
        concerns.iter().fold(finding, |finding, name| finding.concerns(*name)).into()
    }

    fn fingerprints(mut findings: Vec<Judged>) -> Vec<(String, String)> {
        fingerprint(&mut findings);
        findings.into_iter().map(|finding| (finding.finding.headline, finding.fingerprint)).collect()
    }

    #[test]
    fn twins_are_numbered_by_what_they_say_and_not_by_where_they_stand() {
        let one = fingerprints(vec![finding(1, "b", &["x", "y"]), finding(2, "a", &["y", "x"]), finding(3, "c", &["x"])]);
        let expected = [("b", "group/fault x y #2"), ("a", "group/fault x y"), ("c", "group/fault x")];
        assert_eq!(one, expected.map(|(said, print)| (said.to_owned(), print.to_owned())));
        let moved = fingerprints(vec![finding(9, "a", &["x", "y"]), finding(4, "c", &["x"]), finding(11, "b", &["x", "y"])]);
        assert!(one.iter().all(|pair| moved.contains(pair)), "{moved:?}");
    }

    #[test]
    fn a_thing_called_like_a_number_of_ours_keeps_its_own() {
        let all = fingerprints(vec![finding(1, "a", &["x"]), finding(2, "b", &["x"]), finding(3, "c", &["#2", "x"])]);
        let mut prints: Vec<&String> = all.iter().map(|(_, print)| print).collect();
        prints.sort();
        prints.dedup();
        assert_eq!(prints.len(), 3, "{all:?}");
    }

    #[test]
    fn findings_that_concern_nothing_are_told_apart_by_what_they_say() {
        let all = fingerprints(vec![finding(5, "first", &[]), finding(1, "second", &[])]);
        assert_eq!(all[0].1, "group/fault \"first\"");
        assert_eq!(all[1].1, "group/fault \"second\"");
    }
}
