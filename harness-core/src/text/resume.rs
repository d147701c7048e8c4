//! Lines of a file as bytes: where reading can go on after a fault.

use super::build::Frame;
use memchr::{memchr, memrchr};

/// A line at which reading can go on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Next {
    /// Start of a line that goes on with the frame of this index, or with the top of the file.
    Line { start: u32, frame: Option<usize> },
    /// A `---` or `...` line: what follows belongs to another document.
    Document { start: u32 },
}

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

fn is_dash(text: &str) -> bool {
    text.strip_prefix('-').is_some_and(|rest| rest.is_empty() || rest.starts_with([' ', '\t', '\r', '\n']))
}

fn indent_of(line: &str) -> usize {
    line.len() - line.trim_start_matches(' ').len()
}

/// Whether a line begins a key: a colon that ends it or is followed by a blank.
fn is_key(content: &str) -> bool {
    let mut rest = content;
    while let Some(colon) = rest.find(':') {
        rest = rest.get(colon + 1..).unwrap_or("");
        if rest.is_empty() || rest.starts_with([' ', '\t']) {
            return true;
        }
    }
    false
}

fn is_marker(line: &str) -> bool {
    ["---", "..."].iter().any(|marker| line.strip_prefix(marker).is_some_and(|r| r.is_empty() || r.starts_with([' ', '\t'])))
}

/// The first line from `from` on that continues one of the open frames, the innermost first.
///
/// `from` is the start of a line. A line continues a block map if it begins a key in its column, and a block list if
/// it begins with a dash in its column. Without open frames any key in the first column will do.
pub(super) fn resume(text: &str, from: u32, frames: &[Frame]) -> Option<Next> {
    let mut start = from;
    while (start as usize) < text.len() {
        let line = line_at(text, start);
        if is_marker(line) {
            return Some(Next::Document { start });
        }
        let indent = indent_of(line);
        let content = line.get(indent..).unwrap_or("").trim_end();
        let dash = is_dash(content);
        if dash || (!content.starts_with(['#', '-', '\t']) && is_key(content)) {
            let fits = |frame: &Frame| !frame.flow && frame.map != dash && frame.column == indent as u32;
            if let Some(frame) = frames.iter().rposition(fits) {
                return Some(Next::Line { start, frame: Some(frame) });
            }
            if frames.is_empty() && indent == 0 && !dash {
                return Some(Next::Line { start, frame: None });
            }
        }
        start = next_line(text, start);
    }
    None
}

/// End of the stretch that starts with the line at `start` and holds no line left of `column`.
///
/// Closing brackets may be further left, the library allows it.
pub(super) fn stretch_end(text: &str, start: u32, column: u32, map: bool) -> u32 {
    let mut at = next_line(text, start);
    while (at as usize) < text.len() {
        let line = line_at(text, at);
        if is_marker(line) {
            break;
        }
        let indent = indent_of(line);
        let content = line.get(indent..).unwrap_or("").trim_end();
        let left = (indent as u32) < column || (!map && indent as u32 == column && !is_dash(content));
        if left && !content.is_empty() && !content.starts_with(['#', ']', '}', '\t']) {
            break;
        }
        at = next_line(text, at);
    }
    at.min(text.len() as u32)
}
