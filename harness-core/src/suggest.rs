//! The nearest valid spelling, for every message about an unknown name.

/// The candidate nearest to `word`, if one is near enough to be meant.
///
/// Near means an edit distance of at most a third of the longer word, at least one; letters of another case count
/// as equal. Of equally near candidates the first wins.
pub fn nearest<'a>(word: &str, candidates: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let wanted = word.to_lowercase();
    // Edit distance is quadratic: a word of a whole paragraph is no misspelling.
    if wanted.len() > 80 {
        return None;
    }
    let mut best: Option<(usize, &str)> = None;
    for candidate in candidates {
        let length = wanted.chars().count().max(candidate.chars().count());
        let most = (length / 3).max(1);
        if wanted.len().abs_diff(candidate.len()) > most * 4 || candidate == word {
            continue;
        }
        let distance = strsim::osa_distance(&wanted, &candidate.to_lowercase());
        if distance <= most && best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn a_slip_finds_its_word_and_a_stranger_finds_none() {
        let words = ["from", "to", "size", "colour", "length"];
        for (slip, meant) in [("form", "from"), ("color", "colour"), ("Size", "size"), ("lenght", "length")] {
            assert_eq!(nearest(slip, words.into_iter()), Some(meant), "{slip}");
        }
        assert_eq!(nearest("ampacity", words.into_iter()), None);
    }
}
