//! Lists and plurals in running text: the one place where an "and" or an "s" is put.
//!
//! Knows nothing of designs; words for things of a design are in `evidence`, names in `model`.

/// A name as messages show it: in backticks.
#[must_use]
pub fn quoted(name: &str) -> String {
    format!("`{name}`")
}

/// All items as they are spoken: `a`, `a and b`, `a, b and c`; empty for none.
#[must_use]
pub fn list(items: &[impl AsRef<str>]) -> String {
    match items {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [first @ .., last] => format!("{} and {}", commas(first), last.as_ref()),
    }
}

/// As [`list`], but of more than `most` items only the first `most` and how many more there are: `a, b and 3 more`.
#[must_use]
pub fn list_of_first(items: &[impl AsRef<str>], most: usize) -> String {
    match items.split_at_checked(most) {
        Some((shown, more)) if !more.is_empty() => format!("{} and {} more", commas(shown), more.len()),
        _ => list(items),
    }
}

/// Items to choose from or to look up, the first `most` of them: `a, b, c`, `a, b and 3 more`.
#[must_use]
pub fn first(items: &[impl AsRef<str>], most: usize) -> String {
    match items.split_at_checked(most) {
        Some((shown, more)) if !more.is_empty() => format!("{} and {} more", commas(shown), more.len()),
        _ => commas(items),
    }
}

/// Items with commas between: `a, b, c`.
#[must_use]
pub fn commas(items: &[impl AsRef<str>]) -> String {
    let mut text = String::new();
    for (at, item) in items.iter().enumerate() {
        if at > 0 {
            text.push_str(", ");
        }
        text.push_str(item.as_ref());
    }
    text
}

/// A number of things whose plural takes an s: `0 wires`, `1 wire`, `4 wires`.
#[must_use]
pub fn count(number: usize, one: &str) -> String {
    format!("{number} {one}{}", if number == 1 { "" } else { "s" })
}

/// What follows the thing that is named: empty, ` and 1 load more`, ` and 4 loads more`.
#[must_use]
pub fn and_more(number: usize, one: &str) -> String {
    if number == 0 { String::new() } else { format!(" and {} more", count(number, one)) }
}

/// The form of a word that agrees with a number: `is` or `are`.
#[must_use]
pub fn agree<'w>(number: usize, one: &'w str, many: &'w str) -> &'w str {
    if number == 1 { one } else { many }
}

#[cfg(test)]
mod tests {
    use super::{and_more, count, first, list, list_of_first};

    const NONE: [&str; 0] = [];

    #[test]
    fn lists_read_as_they_are_spoken() {
        assert_eq!([list(&NONE), list(&["a"]), list(&["a", "b"]), list(&["a", "b", "c"])], ["", "a", "a and b", "a, b and c"]);
        assert_eq!(list_of_first(&["a", "b", "c"], 3), "a, b and c");
        assert_eq!(list_of_first(&["a", "b", "c"], 2), "a, b and 1 more");
        assert_eq!(first(&["a", "b", "c"], 3), "a, b, c");
        assert_eq!(first(&["a", "b", "c"], 1), "a and 2 more");
        assert_eq!(first(&NONE, 1), "");
    }

    #[test]
    fn one_is_singular_and_none_is_plural() {
        assert_eq!([count(0, "wire"), count(1, "wire"), count(12, "wire")], ["0 wires", "1 wire", "12 wires"]);
        assert_eq!(
            [and_more(0, "load"), and_more(1, "load"), and_more(4, "load")],
            ["", " and 1 load more", " and 4 loads more"]
        );
    }
}
