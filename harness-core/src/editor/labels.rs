//! Words that name several pins, cavities or kinds at once.

use crate::{
    format::{
        Kind,
        cavities::spread,
        steps::{self, named},
    },
    text::{Name, Names},
};

/// The labels that a word names: those of a range or list, else the word itself. One that means nothing names itself.
pub(super) fn expand(names: &mut Names, word: Name) -> Vec<Name> {
    let labels = spread(names.text(word));
    if labels.is_empty() { vec![word] } else { labels.iter().map(|label| names.intern(label)).collect() }
}

/// The names that the key of a thing defines: those of a range of kinds, else the word itself.
pub(super) fn of_kind(names: &mut Names, kind: Kind, word: Name) -> Vec<Name> {
    if steps::has_ranges(kind) { series(names, word) } else { vec![word] }
}

/// The kinds that a word names: those of a range, else the word itself. One that means nothing names itself.
pub(super) fn series(names: &mut Names, word: Name) -> Vec<Name> {
    let labels = named(names.text(word));
    if labels.is_empty() { vec![word] } else { labels.iter().map(|label| names.intern(label)).collect() }
}
