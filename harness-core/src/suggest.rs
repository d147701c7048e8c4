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

/// At most `most` candidates that may be meant by `word`, the nearest first, equally near ones in the order of their letters: those
/// near enough, and those that contain it from three letters on. May be empty.
#[must_use]
pub fn several<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>, most: usize) -> Vec<&'a str> {
    let wanted = word.to_lowercase();
    if wanted.len() > 80 {
        return Vec::new();
    }
    let mut near: Vec<(usize, &str)> = candidates
        .into_iter()
        .filter_map(|candidate| {
            let reach = (word.chars().count() / 3).max(1);
            let edits = strsim::osa_distance(&wanted, &candidate.to_lowercase());
            let inside = word.chars().count() >= 3 && candidate.contains(word);
            (candidate != word && (edits <= reach || inside)).then_some((edits.min(reach), candidate))
        })
        .collect();
    near.sort_unstable();
    near.dedup();
    near.into_iter().map(|(_, candidate)| candidate).take(most).collect()
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
