//! Lines of a file as bytes: where they begin and end, and what they are indented by.

use memchr::{memchr, memrchr};

pub(super) fn start_of_line(text: &str, at: u32) -> u32 {
    let before = text.as_bytes().get(..at as usize).unwrap_or_default();
    memrchr(b'\n', before).map_or(0, |newline| newline as u32 + 1)
}

/// Start of the line after the one that holds `at`, or the end of the text.
pub(super) fn next_line(text: &str, at: u32) -> u32 {
    let rest = text.as_bytes().get(at as usize..).unwrap_or_default();
    memchr(b'\n', rest).map_or(text.len() as u32, |newline| at + newline as u32 + 1)
}

/// The line that starts at `start`, without its line break.
pub(super) fn line_at(text: &str, start: u32) -> &str {
    let line = text.get(start as usize..next_line(text, start) as usize).unwrap_or("");
    line.trim_end_matches(['\n', '\r'])
}

/// First place from `at` on that holds more than blanks and comments.
pub(super) fn next_content(text: &str, at: u32) -> u32 {
    let mut from = at;
    while let Some(rest) = text.get(from as usize..).filter(|rest| !rest.is_empty()) {
        let trimmed = rest.trim_start_matches([' ', '\t', '\r', '\n', '\u{feff}']);
        from += (rest.len() - trimmed.len()) as u32;
        if !trimmed.starts_with('#') {
            return from;
        }
        from = next_line(text, from);
    }
    from.min(text.len() as u32)
}

/// Column of the dash of a block list whose first event is at `start`.
pub(super) fn dash_column(text: &str, start: u32) -> u32 {
    let line = start_of_line(text, start);
    let before = text.get(line as usize..start as usize).unwrap_or("");
    if is_dash(text.get(start as usize..).unwrap_or("")) {
        return before.chars().count() as u32;
    }
    let indent = indent_of(before);
    if is_dash(before.get(indent..).unwrap_or("")) { indent as u32 } else { u32::MAX }
}

pub(super) fn is_dash(text: &str) -> bool {
    text.strip_prefix('-').is_some_and(|rest| rest.is_empty() || rest.starts_with([' ', '\t', '\r', '\n']))
}

pub(super) fn indent_of(line: &str) -> usize {
    line.len() - line.trim_start_matches(' ').len()
}
