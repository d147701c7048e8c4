//! The keys that rule out the worst swaps, against all keys that there are.

use super::{analysis, joined, random::Drawn};
use harness_core::inspect::{Asked, CureRow, Grade, Swaps};

/// Small designs of which all keys are tried.
const SEEDS: u64 = 150;

/// The fewest connectors that get another key out of `letters` so that none of `excluded` join; `None` where no keys do.
fn fewest(keys: &[Option<usize>], excluded: &[(usize, usize)], letters: usize) -> Option<usize> {
    fn search(
        at: usize,
        then: &mut Vec<Option<usize>>,
        keys: &[Option<usize>],
        excluded: &[(usize, usize)],
        letters: usize,
    ) -> Option<usize> {
        let Some(own) = keys.get(at) else { return Some(0) };
        let mut all: Vec<Option<usize>> = vec![*own];
        all.extend((0..letters).map(Some).filter(|letter| letter != own));
        let mut best: Option<usize> = None;
        for key in all {
            let joins = |(one, other): &(usize, usize)| {
                let (one, other) = (*one.min(other), *one.max(other));
                let clashes = |its: Option<usize>| key.is_none() || its.is_none() || key == its;
                other == at && clashes(then[one])
            };
            if excluded.iter().any(joins) {
                continue;
            }
            then.push(key);
            let rest = search(at + 1, then, keys, excluded, letters);
            then.pop();
            let sum = rest.map(|rest| rest + usize::from(key != *own));
            best = [best, sum].into_iter().flatten().min();
        }
        best
    }
    search(0, &mut Vec::new(), keys, excluded, letters)
}

#[test]
fn the_fewest_keys_are_those_that_trying_all_finds() {
    let (mut cured, mut more) = (0, 0);
    for seed in 0..SEEDS {
        let drawn = Drawn::new(seed, false);
        let count = drawn.connectors.len();
        let alike = Drawn::new(seed, true);
        let pairs = || (0..count).flat_map(|one| (one + 1..count).map(move |other| (one, other)));
        let is_severe = |drawn: &Drawn, one, other| joined::grade(drawn, one, other) >= Some(Grade::Damage);
        let excluded: Vec<(usize, usize)> = pairs().filter(|(one, other)| is_severe(&alike, *one, *other)).collect();
        let is_needed = pairs().any(|(one, other)| is_severe(&drawn, one, other));
        let asked = Asked { least: Grade::Damage, cured: Grade::Damage, most: 10_000 };
        let rows: Vec<CureRow> = Swaps::of(&analysis(&drawn), asked).cures.into_iter().filter(|row| row.family == "RR").collect();
        assert_eq!(rows.len(), usize::from(is_needed), "{seed}\n{drawn}");
        let [row] = rows.as_slice() else { continue };
        cured += 1;
        assert_eq!((row.left, row.at_least), (0, None), "{seed}: {row:?}\n{drawn}");
        let known: Vec<String> = drawn.letters.iter().map(char::to_string).collect();
        assert_eq!(row.letters, known, "{seed}");
        let number = |key: &str| {
            let new = || {
                key.strip_prefix("new key ")
                    .and_then(|number| number.parse::<usize>().ok())
                    .map(|number| known.len() + number - 1)
            };
            known.iter().position(|known| known == key).or_else(new).expect("a letter or a new one")
        };
        let before: Vec<Option<usize>> =
            drawn.connectors.iter().map(|connector| connector.key.map(|key| number(&key.to_string()))).collect();
        let mut after = before.clone();
        for (plug, was, key) in &row.changes {
            // The half with sockets names the connector; of a plug between two looms it is the end of either.
            let of = |connector: &super::random::Connector| connector.name == *plug || connector.other == *plug;
            let at = drawn.connectors.iter().position(of).expect("a connector of the family");
            assert_eq!(was.as_ref().map(|was| number(was)), before[at], "{seed}");
            after[at] = Some(number(key));
        }
        for (one, other) in &excluded {
            let are_apart = after[*one].zip(after[*other]).is_some_and(|(one, other)| one != other);
            assert!(are_apart, "{seed}: {} and {}: {row:?}\n{drawn}", drawn.connectors[*one].name, drawn.connectors[*other].name);
        }
        if row.letters_more > 0 {
            more += 1;
            assert_eq!(
                fewest(&before, &excluded, known.len()),
                None,
                "{seed}: the letters that there are would do: {row:?}\n{drawn}"
            );
        }
        let least = fewest(&before, &excluded, known.len() + row.letters_more);
        assert_eq!(Some(row.changes.len()), least, "{seed}: {row:?}\n{drawn}");
    }
    assert!(cured > 30 && more > 5, "{cured} cured, {more} with letters more");
}
