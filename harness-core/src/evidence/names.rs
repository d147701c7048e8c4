//! Several names in one sentence.

use crate::{
    facts::Contact,
    model::Model,
    wording::{list_of_first, quoted},
};

/// Names that are written out in a short list; the rest is counted.
const NAMED: usize = 3;
/// Most names in one sentence; of more the last place says how many are left out.
const MOST: usize = 6;

/// The first few names in backticks, and how many more there are: ``a`, `b` and `c``, ``a`, `b`, `c` and 4 more``.
#[must_use]
pub fn few_names(names: &[String]) -> String {
    let names: Vec<String> = names.iter().map(quoted).collect();
    list_of_first(&names, NAMED, 0)
}

/// Names in words: `` `1`, `2` and `A` ``, with how many more there are beyond six.
#[must_use]
pub fn names_in_words(names: &[impl AsRef<str>]) -> String {
    let names: Vec<String> = names.iter().map(|name| quoted(name.as_ref())).collect();
    list_of_first(&names, MOST - 1, 0)
}

/// Labels of contacts in words.
#[must_use]
pub fn labels_in_words(model: &Model, contacts: &[&Contact]) -> String {
    let labels: Vec<&str> = contacts.iter().map(|contact| model.text(contact.label)).collect();
    names_in_words(&labels)
}
