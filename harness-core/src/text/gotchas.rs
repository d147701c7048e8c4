//! Texts that are sound YAML and mean something else than was meant.

use super::{FileId, Problem, ProblemKind, Span, lines, problem::shown};

/// The comment without a space after its `#` in the place of the value of a key that ends at `at`.
pub(super) fn swallowed(text: &str, at: u32) -> Option<(u32, u32)> {
    let rest = text.get(at as usize..)?.trim_start_matches([' ', '\t']);
    let rest = rest.strip_prefix(':').unwrap_or(rest).trim_start_matches([' ', '\t']);
    comment_at(text, (text.len() - rest.len()) as u32)
}

/// The comment behind the dash of an empty item somewhere between `from` and `to`.
pub(super) fn swallowed_item(text: &str, from: u32, to: u32) -> Option<(u32, u32)> {
    let mut start = lines::start_of_line(text, from);
    while start < to {
        let line = lines::line_at(text, start);
        if let Some(behind) = line.trim_start().strip_prefix('-') {
            let comment = behind.trim_start_matches([' ', '\t']);
            let at = start + (line.len() - comment.len()) as u32;
            if comment.len() < behind.len() && at >= from && comment.starts_with('#') {
                return comment_at(text, at);
            }
        }
        start = lines::next_line(text, start);
    }
    None
}

/// A comment without a space after its `#` in the line that holds `at`, behind a blank.
pub(super) fn comment_in_line(text: &str, at: u32) -> Option<(u32, u32)> {
    let start = lines::start_of_line(text, at);
    let line = lines::line_at(text, start);
    let hash = line.match_indices(" #").map(|(found, _)| start + found as u32 + 1).find(|&hash| hash > at)?;
    comment_at(text, hash)
}

/// The first word of the comment at `at`, if it follows its `#` at once.
fn comment_at(text: &str, at: u32) -> Option<(u32, u32)> {
    let comment = text.get(at as usize..)?.strip_prefix('#')?;
    let length = comment.find(|letter: char| letter.is_whitespace() || ",]}#".contains(letter)).unwrap_or(comment.len());
    (length > 0).then_some((at, at + 1 + length as u32))
}

pub(super) fn comment_for_value(file: FileId, text: &str, key: Option<&str>, (start, end): (u32, u32)) -> Problem {
    let word = text.get(start as usize..end as usize).unwrap_or("");
    let (headline, example) = match key {
        Some(key) => {
            let key = shown(key);
            (format!("`{key}` has no value: YAML reads `{word}` as a comment"), format!("`{key}: \"{word}\"`"))
        }
        None => (format!("a list item is empty: YAML reads `{word}` as a comment"), format!("`- \"{word}\"`")),
    };
    Problem::new(ProblemKind::CommentForValue, Span::new(file, start, end), headline)
        .label("read as a comment")
        .help(format!("quote the value: {example}; or put a space after the `#` if it is a comment"))
}

/// The colon inside a key that was meant to separate a key from its value.
pub(super) fn inner_colon(key: &str) -> Option<usize> {
    let colon = key.find(':')?;
    (colon > 0 && colon + 1 < key.len()).then_some(colon)
}

/// The colon directly before a bracket inside a key.
pub(super) fn bracket_colon(key: &str) -> Option<usize> {
    key.find(":{").or_else(|| key.find(":["))
}

pub(super) fn unspaced_colon(file: FileId, start: u32, key: &str, colon: usize) -> Problem {
    let (left, right) = (key.get(..colon).unwrap_or(""), key.get(colon + 1..).unwrap_or(""));
    let at = start + colon as u32;
    Problem::new(
        ProblemKind::UnspacedColon,
        Span::new(file, at, at + 1),
        format!("`{}` is one key without a value to YAML", shown(key)),
    )
    .label("no space after this colon")
    .help(format!("write `{}: {}`", shown(left), shown(right)))
}

pub(super) fn unspaced_bracket(file: FileId, start: u32, key: &str, colon: usize) -> Problem {
    let left = key.get(..colon).unwrap_or("");
    let bracket = key.get(colon + 1..colon + 2).unwrap_or("");
    let at = start + colon as u32;
    Problem::new(
        ProblemKind::UnspacedColon,
        Span::new(file, at, at + 1),
        format!("`{}` is one key to YAML, and the bracket is part of it", shown(key)),
    )
    .label("no space after this colon")
    .help(format!("write `{}: {bracket}`", shown(left)))
}
