//! Lists and plurals in running text: the one place where an "and" or an "s" is put.
//!
//! Knows nothing of designs; words for things of a design are in `evidence`, names in `model`.

/// A name as messages show it: in backticks.
#[must_use]
pub fn quoted(name: impl std::fmt::Display) -> String {
    format!("`{name}`")
}

/// All items as they are spoken: `a`, `a and b`, `a, b and c`; empty for none.
#[must_use]
pub fn list(items: &[impl AsRef<str>]) -> String {
    joined(items, "and")
}

/// Items of which one is meant: `a`, `a or b`, `a, b or c`; empty for none.
#[must_use]
pub fn any(items: &[impl AsRef<str>]) -> String {
    joined(items, "or")
}

/// As [`list`], but of many items only the first `most` and how many more there are: `a, b and 3 more`. `unlisted` more are known by
/// their number alone. The last one is shown and not counted: that takes no more room.
#[must_use]
pub fn list_of_first(items: &[impl AsRef<str>], most: usize, unlisted: usize) -> String {
    let (shown, more) = shown(items, most, unlisted);
    if more == 0 { list(shown) } else { format!("{} and {more} more", commas(shown)) }
}

/// Items to choose from or to look up, the first `most` of them: `a, b, c`, `a, b and 3 more`.
#[must_use]
pub fn first(items: &[impl AsRef<str>], most: usize) -> String {
    let (shown, more) = shown(items, most, 0);
    if more == 0 { commas(shown) } else { format!("{} and {more} more", commas(shown)) }
}

/// How many of `count` things are shown where there is room for `most`: one more takes no more room than "and 1 more".
#[must_use]
pub fn fitting(count: usize, most: usize) -> usize {
    if count <= most + 1 { count } else { most }
}

fn shown<T>(items: &[T], most: usize, unlisted: usize) -> (&[T], usize) {
    let count = items.len() + unlisted;
    let shown = items.get(..fitting(count, most).min(items.len())).unwrap_or(items);
    (shown, count - shown.len())
}

fn joined(items: &[impl AsRef<str>], word: &str) -> String {
    match items {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [first @ .., last] => format!("{} {word} {}", commas(first), last.as_ref()),
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

/// A number of things whose plural takes an s: `0 wires`, `1 wire`, `4 wires`, `2 branches`.
#[must_use]
pub fn count(number: usize, one: &str) -> String {
    let hisses = ["s", "x", "z", "ch", "sh"].iter().any(|end| one.ends_with(end));
    format!("{number} {one}{}", agree(number, "", if hisses { "es" } else { "s" }))
}

/// A number of things with the words that follow it: `1 finding is`, `2 findings are`.
#[must_use]
pub fn count_of(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", agree(number, one, many))
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
    use super::{and_more, any, count, first, list, list_of_first};

    const NONE: [&str; 0] = [];

    #[test]
    fn lists_read_as_they_are_spoken() {
        assert_eq!([list(&NONE), list(&["a"]), list(&["a", "b"]), list(&["a", "b", "c"])], ["", "a", "a and b", "a, b and c"]);
        assert_eq!([any(&["a"]), any(&["a", "b", "c"])], ["a", "a, b or c"]);
        let four = ["a", "b", "c", "d"];
        assert_eq!([4, 3, 2].map(|most| list_of_first(&four, most, 0)), ["a, b, c and d", "a, b, c and d", "a, b and 2 more"]);
        assert_eq!([list_of_first(&four, 4, 1), list_of_first(&four, 3, 5)], ["a, b, c, d and 1 more", "a, b, c and 6 more"]);
        assert_eq!([first(&four, 4), first(&four, 3), first(&four, 1)], ["a, b, c, d", "a, b, c, d", "a and 3 more"]);
        assert_eq!(first(&NONE, 1), "");
    }

    #[test]
    fn one_is_singular_and_none_is_plural() {
        assert_eq!([count(0, "wire"), count(1, "wire"), count(12, "wire")], ["0 wires", "1 wire", "12 wires"]);
        assert_eq!([count(1, "branch"), count(2, "branch"), count(2, "bus")], ["1 branch", "2 branches", "2 buses"]);
        assert_eq!(
            [and_more(0, "load"), and_more(1, "load"), and_more(4, "load")],
            ["", " and 1 load more", " and 4 loads more"]
        );
    }
}
