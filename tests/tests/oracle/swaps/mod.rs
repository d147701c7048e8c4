//! Plugs in each other's place against the plain way to find out: join everything, look at what meets. Keys against all keys there are.

mod joined;
mod keyed;
mod random;

use harness_core::{
    Analysis, Checker, Design, MemoryFiles,
    inspect::{Asked, Grade, Swaps},
};
use harness_tests::{corpus::side_by_side, tier, words};
use random::Drawn;
use std::collections::BTreeMap;

fn analysis(drawn: &Drawn) -> Analysis {
    let text = drawn.to_string();
    Analysis::of_all(&Design::load(&MemoryFiles::one("design.yaml", text), "design.yaml"))
}

/// The grade of each pair that fits, by the two names in order.
fn found(drawn: &Drawn) -> BTreeMap<[String; 2], (Grade, String)> {
    let asked = Asked { least: Grade::Harmless, cured: Grade::Danger, most: 10_000 };
    let rows = Swaps::of(&analysis(drawn), asked).rows;
    // A plug between two looms is called by the end of either.
    let called = |name: &String| {
        let of = |connector: &&random::Connector| connector.name == *name || connector.other == *name;
        drawn.connectors.iter().find(of).map(|connector| connector.name.clone())
    };
    let pairs = rows.into_iter().filter_map(|row| {
        let [one, other] = row.plugs.as_slice() else { return None };
        Some(([called(one)?, called(other)?], row))
    });
    pairs
        .map(|(mut names, row)| {
            names.sort();
            (names, (row.grade, row.words))
        })
        .collect()
}

/// Reading a random design must bring no mistake: it would take a connector out of it.
#[test]
fn random_designs_are_read_without_a_mistake() {
    for seed in 0..60 {
        let drawn = Drawn::new(seed, seed % 2 == 0);
        let report = harness_core::check(&MemoryFiles::one("design.yaml", drawn.to_string()), "design.yaml", &Checker::new());
        let mistakes = report.findings.iter().any(|finding| finding.rule.starts_with("format/"));
        assert!(!mistakes, "{seed}: {}\n{drawn}", words(&report));
    }
}

#[test]
fn swaps_of_random_designs_are_those_of_points_joined_anew() {
    let seeds = tier::sample("swaps_of_random_designs_are_those_of_points_joined_anew", 0..3000_u64);
    let counts = side_by_side(&seeds, |seed| {
        let drawn = Drawn::new(*seed, false);
        let mut found = found(&drawn);
        let mut counts = [0; 3];
        for (one, first) in drawn.connectors.iter().enumerate() {
            for (other, second) in drawn.connectors.iter().enumerate().skip(one + 1) {
                let mut names = [first.name.clone(), second.name.clone()];
                names.sort();
                let (its, expected) = (found.remove(&names), joined::grade(&drawn, one, other));
                assert_eq!(its.is_some(), expected.is_some(), "{seed}: {names:?} fit\n{drawn}");
                let (Some((grade, words)), Some(expected)) = (its, expected) else { continue };
                assert_ne!(grade, Grade::Unjudged, "{seed}: {names:?}: {words}\n{drawn}");
                // What neither hurts nor damages differs by names, which points joined anew do not have.
                assert_eq!(grade.max(Grade::Mixed), expected.max(Grade::Mixed), "{seed}: {names:?}: {words}\n{drawn}");
                counts[(expected.max(Grade::Mixed) as usize).saturating_sub(2).min(2)] += 1;
            }
        }
        assert!(found.is_empty(), "{seed}: {found:?}\n{drawn}");
        counts
    });
    let sums = counts.iter().fold([0; 3], |sum, counts| [0, 1, 2].map(|at| sum[at] + counts[at]));
    assert!(sums.iter().all(|count| *count > 20), "each kind is seen: {sums:?}");
}
