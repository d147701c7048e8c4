//! The nearest valid spelling, for every message about an unknown name.
//!
//! One measure of nearness for all: the number of letters added, missing, replaced or swapped with their neighbour;
//! capitals do not count. Near is what is within a third of the longer word, and always one letter.

use crate::text::letters;
use rustc_hash::FxHashMap;
use std::hash::{BuildHasher, BuildHasherDefault};

/// Longest word, in bytes, that is compared at all. The distance of two words is quadratic in their length, and a word of a whole
/// paragraph is not a misspelling.
const LONGEST: usize = 80;

/// The candidate nearest to `word`, if one is near enough to be meant. Of equally near candidates the first wins; `word` itself
/// is not a candidate. Cost: one comparison a candidate. For many words and the same candidates use [`Candidates`].
pub fn nearest<'a>(word: &str, candidates: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let wanted = Wanted::new(word)?;
    let mut best: Option<(usize, &str)> = None;
    for candidate in candidates {
        let Some(distance) = wanted.distance(candidate) else { continue };
        if best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

/// At most `most` candidates that may be meant by `word`, the nearest first, equally near ones in the order of their letters: those
/// near enough, and those that contain it from three letters on. May be empty.
#[must_use]
pub fn several<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>, most: usize) -> Vec<&'a str> {
    let Some(wanted) = Wanted::new(word) else { return Vec::new() };
    let mut near: Vec<(usize, &str)> = candidates
        .into_iter()
        .filter_map(|candidate| {
            let inside = word.chars().count() >= 3 && candidate != word && candidate.contains(word);
            let inside = inside.then(|| reach(wanted.length));
            let distance = wanted.distance(candidate);
            distance.into_iter().chain(inside).min().map(|distance| (distance, candidate))
        })
        .collect();
    near.sort_unstable();
    near.dedup();
    near.into_iter().map(|(_, candidate)| candidate).take(most).collect()
}

/// Asks for the nearest name; where that looks the same as what was written, says what differs.
#[must_use]
pub fn question(written: &str, near: &str) -> String {
    let question = format!("did you mean `{near}`?");
    if !letters::are_twins(written, near) {
        return question;
    }
    match letters::first_difference(written, near) {
        Some((one, other)) if !letters::is_invisible(one) && !letters::is_invisible(other) => {
            format!("{question} `{one}` ({}) is not `{other}` ({})", letters::described(one), letters::described(other))
        }
        _ => format!(
            "{question} one of both holds characters that can't be seen: `{}`, `{}`",
            letters::visible(written),
            letters::visible(near)
        ),
    }
}

/// How far a word of `length` letters may be from what is meant.
fn reach(length: usize) -> usize {
    (length / 3).max(1)
}

/// A word that is looked for.
struct Wanted<'w> {
    word: &'w str,
    lower: String,
    length: usize,
}

impl<'w> Wanted<'w> {
    /// `None` for a word too long to be a slip.
    fn new(word: &'w str) -> Option<Self> {
        let lower = word.to_lowercase();
        let length = lower.chars().count();
        (lower.len() <= LONGEST).then_some(Self { word, lower, length })
    }

    /// How far `candidate` is, if it is near.
    fn distance(&self, candidate: &str) -> Option<usize> {
        let length = self.length.max(candidate.chars().count());
        let most = reach(length);
        if self.lower.len().abs_diff(candidate.len()) > most * 4 || candidate == self.word {
            return None;
        }
        let distance = strsim::osa_distance(&self.lower, &candidate.to_lowercase());
        (distance <= most).then_some(distance)
    }
}

/// Look-ups among one set of candidates before slips of a single letter alone are looked for.
const FULL: usize = 32;
/// Candidates with a common remainder that a look-up for a single letter goes through.
const CROWD: usize = 64;

/// Names among which many unknown ones are looked up.
///
/// The first 32 unknown names are compared with every candidate, as [`nearest`] does. From then on only slips of one letter are
/// found, by an index that is built once: a file full of unknown names has another fault than its spelling, and comparing
/// each with each would take minutes.
#[derive(Debug, Clone, Default)]
pub struct Candidates {
    texts: Vec<Box<str>>,
    is_ascii: bool,
    asked: usize,
    /// The first candidate of each look, if there are candidates that look like others may.
    looks: Option<FxHashMap<String, u32>>,
    /// The candidates by the hash of what remains of them with no letter or one left out.
    remains: Option<FxHashMap<u64, Vec<u32>>>,
    compared: usize,
}

impl Candidates {
    /// The candidates in their order: of equally near ones the first is suggested.
    #[must_use]
    pub fn new<'a>(texts: impl Iterator<Item = &'a str>) -> Self {
        let texts: Vec<Box<str>> = texts.map(Box::from).collect();
        Self { is_ascii: texts.iter().all(|text| text.is_ascii()), texts, ..Self::default() }
    }

    /// How many candidates there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.texts.len()
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.texts.is_empty()
    }

    /// The candidates in their order.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = &str> {
        self.texts.iter().map(|text| &**text)
    }

    /// How many candidates were compared with a word so far: the work that the look-ups took.
    #[must_use]
    pub fn compared(&self) -> usize {
        self.compared
    }

    /// The candidate that looks like `word`; else the one nearest to it, if one is near enough.
    pub fn nearest(&mut self, word: &str) -> Option<&str> {
        if let Some(number) = self.twin(word) {
            return self.texts.get(number).map(|text| &**text);
        }
        self.asked += 1;
        if self.asked <= FULL || self.texts.len() <= CROWD {
            self.compared += self.texts.len();
            return nearest(word, self.texts.iter().map(|text| &**text));
        }
        let wanted = Wanted::new(word)?;
        let texts = &self.texts;
        let remains = self.remains.get_or_insert_with(|| index(texts));
        let mut best: Option<(usize, u32)> = None;
        for key in remainders(&wanted.lower) {
            for &number in remains.get(&key).into_iter().flatten().take(CROWD) {
                self.compared += 1;
                let distance = texts.get(number as usize).and_then(|text| wanted.distance(text));
                let Some(distance) = distance.filter(|distance| *distance <= 1) else { continue };
                if best.is_none_or(|least| (distance, number) < least) {
                    best = Some((distance, number));
                }
            }
        }
        best.and_then(|(_, number)| texts.get(number as usize)).map(|text| &**text)
    }
}

impl Candidates {
    fn twin(&mut self, word: &str) -> Option<usize> {
        if word.len() > LONGEST || (word.is_ascii() && self.is_ascii) {
            return None;
        }
        let texts = &self.texts;
        let looks = self.looks.get_or_insert_with(|| {
            let mut looks = FxHashMap::default();
            for (number, text) in texts.iter().enumerate().filter(|(_, text)| text.len() <= LONGEST) {
                looks.entry(letters::look(text)).or_insert(number as u32);
            }
            looks
        });
        let number = *looks.get(&letters::look(word))? as usize;
        texts.get(number).is_some_and(|text| letters::are_twins(text, word)).then_some(number)
    }
}

fn index(texts: &[Box<str>]) -> FxHashMap<u64, Vec<u32>> {
    let mut index: FxHashMap<u64, Vec<u32>> = FxHashMap::default();
    for (number, text) in texts.iter().enumerate() {
        let lower = text.to_lowercase();
        // A longer one can't be a slip of a word that is short enough to be looked for.
        if lower.len() > LONGEST + 4 {
            continue;
        }
        for key in remainders(&lower) {
            index.entry(key).or_default().push(number as u32);
        }
    }
    index
}

/// The hashes of a word and of what remains with one of its letters left out, each once. Two words that differ by one letter more,
/// fewer, replaced or swapped have one of them in common.
fn remainders(lower: &str) -> Vec<u64> {
    let hasher = BuildHasherDefault::<rustc_hash::FxHasher>::default();
    let mut keys = vec![hasher.hash_one(lower)];
    let mut rest = String::with_capacity(lower.len());
    for (at, letter) in lower.char_indices() {
        let (before, after) = lower.split_at(at);
        rest.clear();
        rest.push_str(before);
        rest.push_str(after.get(letter.len_utf8()..).unwrap_or(""));
        keys.push(hasher.hash_one(rest.as_str()));
    }
    keys.sort_unstable();
    keys.dedup();
    keys
}

#[cfg(test)]
mod tests {
    use super::{Candidates, FULL, nearest, question, several};
    use proptest::prelude::*;

    #[test]
    fn a_slip_finds_its_word_and_a_stranger_finds_none() {
        let words = ["from", "to", "size", "colour", "length"];
        for (slip, meant) in [("form", "from"), ("color", "colour"), ("Size", "size"), ("lenght", "length")] {
            assert_eq!(nearest(slip, words.into_iter()), Some(meant), "{slip}");
        }
        assert_eq!(nearest("ampacity", words.into_iter()), None);
    }

    #[test]
    fn parts_of_names_find_them_too() {
        let known = ["conductor/undersized", "conductor/overheated", "contact/unsealed", "bus/long-bus", "bus/long-stub"];
        assert_eq!(several("conductor/undersised", known, 3), ["conductor/undersized"]);
        assert_eq!(several("undersized", known, 3), ["conductor/undersized"]);
        assert_eq!(several("Bus/Long-Bus", known, 1), ["bus/long-bus"]);
        assert_eq!(several("long", known, 3), ["bus/long-bus", "bus/long-stub"]);
        assert!(several("x", known, 3).is_empty());
    }

    #[test]
    fn what_looks_the_same_is_found_and_told_apart() {
        let mut candidates = Candidates::new(["pump", "cop", "fan"].into_iter());
        // Wholly Cyrillic, no letter in common with what it looks like.
        assert_eq!(candidates.nearest("\u{441}\u{43e}\u{440}"), Some("cop"));
        assert_eq!(
            question("\u{440}ump", "pump"),
            "did you mean `pump`? `\u{440}` (U+0440, Cyrillic) is not `p` (U+0070, Latin)"
        );
        let hidden = "did you mean `pump`? one of both holds characters that can't be seen: `pu<U+200B>mp`, `pump`";
        assert_eq!(question("pu\u{200b}mp", "pump"), hidden);
        assert_eq!(question("pumb", "pump"), "did you mean `pump`?");
    }

    /// Asks for words that nothing is near to until only slips of one letter are found.
    fn tired(texts: &[String]) -> Candidates {
        let mut candidates = Candidates::new(texts.iter().map(String::as_str));
        for _ in 0..FULL {
            assert_eq!(candidates.nearest(&"!".repeat(100)), None);
        }
        candidates
    }

    proptest! {
        #[test]
        fn the_index_finds_what_a_comparison_with_all_finds_within_one_letter(
            texts in prop::collection::btree_set("[a-cA-Cäß]{1,6}", 65..120), word in "[a-cA-Cäß]{1,6}",
        ) {
            let texts: Vec<String> = texts.into_iter().collect();
            let distance = |text: &&String| strsim::osa_distance(&text.to_lowercase(), &word.to_lowercase());
            let within = texts.iter().filter(|text| **text != word && distance(text) <= 1).min_by_key(distance);
            let mut candidates = tired(&texts);
            prop_assert_eq!(candidates.nearest(&word), within.map(String::as_str));
        }
    }

    #[test]
    fn work_grows_as_the_names_do() {
        let work = |names: usize| {
            let texts: Vec<String> = (0..names).map(|number| format!("sensor-{number:06}")).collect();
            let mut candidates = Candidates::new(texts.iter().map(String::as_str));
            for number in 0..names {
                candidates.nearest(&format!("sensors-{number:06}"));
                candidates.nearest(&format!("motor{number:06}"));
            }
            candidates.compared() as f64
        };
        let exponent = (work(4_000) / work(1_000)).log2() / 2.0;
        assert!(exponent < 1.3, "{exponent}");
    }
}
