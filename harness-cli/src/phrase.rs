//! Counts, lists and suggestions in running text.

use harness_core::internals::suggest;
use std::fmt::Display;

/// At most this many names are suggested.
const SUGGESTED: usize = 3;

/// `1 change`, `2 changes`, for words that only take an `s`.
pub(crate) fn counted(number: usize, one: &str) -> String {
    count(number, one, &format!("{one}s"))
}

/// `1 finding is`, `2 findings are`.
pub(crate) fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// `` `a` `` for each name.
pub(crate) fn quoted(names: impl IntoIterator<Item = impl Display>) -> Vec<String> {
    names.into_iter().map(|name| format!("`{name}`")).collect()
}

/// `a, b and c`; empty if there is nothing.
pub(crate) fn all(parts: &[impl AsRef<str>]) -> String {
    joined(parts, "and")
}

/// `a, b or c`; empty if there is nothing.
pub(crate) fn any(parts: &[impl AsRef<str>]) -> String {
    joined(parts, "or")
}

/// `a, b and 3 more`: at most `most` parts, where the rest is more than one, which would take no less room than its count.
/// `unlisted` more are known by their number only.
pub(crate) fn first(parts: &[impl AsRef<str>], most: usize, unlisted: usize) -> String {
    let shown = fitting(parts.len() + unlisted, most).min(parts.len());
    let more = parts.len() - shown + unlisted;
    let shown = parts.iter().take(shown).map(AsRef::as_ref);
    match more {
        0 => all(&shown.collect::<Vec<_>>()),
        _ => format!("{} and {more} more", shown.collect::<Vec<_>>().join(", ")),
    }
}

/// How many of `count` things are shown where there is room for `most`: one more takes no more room than "and 1 more".
pub(crate) fn fitting(count: usize, most: usize) -> usize {
    if count <= most + 1 { count } else { most }
}

/// `; did you mean `a` or `b`?`, or nothing if no name is near.
pub(crate) fn did_you_mean(word: &str, known: &[impl AsRef<str>]) -> String {
    let near = suggest::several(word, known.iter().map(AsRef::as_ref), SUGGESTED);
    if near.is_empty() { String::new() } else { format!("; did you mean {}?", any(&quoted(near))) }
}

fn joined(parts: &[impl AsRef<str>], word: &str) -> String {
    match parts {
        [] => String::new(),
        [only] => only.as_ref().to_owned(),
        [before @ .., last] => {
            format!("{} {word} {}", before.iter().map(AsRef::as_ref).collect::<Vec<_>>().join(", "), last.as_ref())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{all, any, count, counted, did_you_mean, first, quoted};

    #[test]
    fn one_is_one_and_all_others_are_many() {
        assert_eq!([0, 1, 2].map(|number| counted(number, "danger")), ["0 dangers", "1 danger", "2 dangers"]);
        assert_eq!(count(1, "of it is", "of them are"), "1 of it is");
    }

    #[test]
    fn a_list_reads_as_a_sentence() {
        let none: [&str; 0] = [];
        assert_eq!((all(&none), all(&["a"]), all(&["a", "b"])), (String::new(), "a".to_owned(), "a and b".to_owned()));
        assert_eq!(any(&quoted(["a", "b", "c"])), "`a`, `b` or `c`");
    }

    #[test]
    fn the_last_one_is_shown_and_not_counted() {
        let four = ["a", "b", "c", "d"];
        assert_eq!(first(&four, 4, 0), "a, b, c and d");
        assert_eq!(first(&four, 3, 0), "a, b, c and d");
        assert_eq!(first(&four, 2, 0), "a, b and 2 more");
        assert_eq!(first(&four, 4, 1), "a, b, c, d and 1 more");
        assert_eq!(first(&four, 3, 5), "a, b, c and 6 more");
    }

    #[test]
    fn the_question_names_all_that_are_near() {
        assert_eq!(did_you_mean("parket", &["parked", "drive"]), "; did you mean `parked`?");
        assert_eq!(did_you_mean("long", &["long-bus", "long-stub"]), "; did you mean `long-bus` or `long-stub`?");
        assert_eq!(did_you_mean("zz", &["conductor/undersized"]), "");
    }
}
