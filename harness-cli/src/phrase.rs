//! Suggestions in running text, and the words of the library for counts and lists.

use harness_core::internals::{suggest, wording};
use std::fmt::Display;

pub(crate) use wording::{agree, any, count as counted, count_of as count, fitting, list as all, list_of_first as first};

/// At most this many names are suggested.
const SUGGESTED: usize = 3;

/// `` `a` `` for each name.
pub(crate) fn quoted(names: impl IntoIterator<Item = impl Display>) -> Vec<String> {
    names.into_iter().map(wording::quoted).collect()
}

/// `; did you mean `a` or `b`?`, or nothing if no name is near.
pub(crate) fn did_you_mean(word: &str, known: &[impl AsRef<str>]) -> String {
    let near = suggest::several(word, known.iter().map(AsRef::as_ref), SUGGESTED);
    if near.is_empty() { String::new() } else { format!("; did you mean {}?", any(&quoted(near))) }
}

/// Candidates that an answer lists.
const MOST: usize = 12;

/// That a name is not of a single thing, and the names of those that it could be, `more` of them not listed.
pub(crate) fn several(names: &[String], more: usize) -> String {
    let quoted = quoted(names);
    let listed = match more {
        0 if fitting(names.len(), MOST) == names.len() => any(&quoted),
        _ => first(&quoted, MOST, more),
    };
    format!("that is not a single thing; write one of {listed}")
}

/// That nothing has a name, and what is called nearly so.
pub(crate) fn nothing(near: &[String]) -> String {
    match near {
        [] => "nothing has this name; `harness loads` lists all fuses and conductors".to_owned(),
        _ => format!("nothing has this name; did you mean {}?", any(&quoted(near))),
    }
}

#[cfg(test)]
mod tests {
    use super::did_you_mean;

    #[test]
    fn the_question_names_all_that_are_near() {
        assert_eq!(did_you_mean("parket", &["parked", "drive"]), "; did you mean `parked`?");
        assert_eq!(did_you_mean("long", &["long-bus", "long-stub"]), "; did you mean `long-bus` or `long-stub`?");
        assert_eq!(did_you_mean("zz", &["conductor/undersized"]), "");
    }
}
