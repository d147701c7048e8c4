//! Words that name several pins or cavities at once.

use crate::{
    format::cavities::spread,
    text::{Name, Names},
};

/// The labels that a word names: those of a range or list, else the word itself. One that means nothing names itself.
pub(super) fn expand(names: &mut Names, word: Name) -> Vec<Name> {
    let labels = spread(names.text(word));
    if labels.is_empty() { vec![word] } else { labels.iter().map(|label| names.intern(label)).collect() }
}
