//! Lists in English.

/// `a`, `a and b`, `a, b and c`; empty for none.
#[must_use]
pub fn listed(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// Empty, ` and 1 load more`, ` and 4 loads more`.
#[must_use]
pub fn and_more(count: usize, what: &str) -> String {
    match count {
        0 => String::new(),
        1 => format!(" and 1 {what} more"),
        more => format!(" and {more} {what}s more"),
    }
}

/// Names that are written out; the rest is counted.
const NAMED: usize = 3;

/// The first few names of a list in words, and how many more there are.
#[must_use]
pub fn few(names: &[String]) -> String {
    let named: Vec<String> = names.iter().take(NAMED).map(|name| format!("`{name}`")).collect();
    match names.len().saturating_sub(NAMED) {
        0 => listed(&named),
        more => format!("{} and {more} more", named.join(", ")),
    }
}
