//! Several names in one sentence.

use crate::{facts::Contact, model::Model, wording};

/// Most names in one sentence; of more the last place says how many are left out.
const MOST: usize = 6;

/// Names in words: `` `1`, `2` and `A` ``, with how many more there are beyond six.
#[must_use]
pub fn names_in_words(names: &[impl AsRef<str>]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| wording::quoted(name.as_ref())).collect();
    wording::list_of_first(&quoted, if quoted.len() > MOST { MOST - 1 } else { MOST })
}

/// Labels of contacts in words.
#[must_use]
pub fn labels_in_words(model: &Model, contacts: &[&Contact]) -> String {
    let labels: Vec<&str> = contacts.iter().map(|contact| model.text(contact.label)).collect();
    names_in_words(&labels)
}
