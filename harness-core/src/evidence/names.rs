//! Names in a row.

use crate::wording::{list_of_first, quoted};

/// Names that are written out; the rest is counted.
const NAMED: usize = 3;

/// The first few names in backticks, and how many more there are: ``a`, `b` and `c``, ``a`, `b`, `c` and 4 more``.
#[must_use]
pub fn few_names(names: &[String]) -> String {
    let names: Vec<String> = names.iter().map(|name| quoted(name)).collect();
    list_of_first(&names, NAMED)
}
