//! Where reading can go on after a fault.

use super::{
    build::Frame,
    lines::{indent_of, is_dash, line_at, next_line},
};

/// A line at which reading can go on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Next {
    /// Start of a line that goes on with the frame of this index, or with the top of the file.
    Line { start: u32, frame: Option<usize> },
    /// A `---` or `...` line: what follows belongs to another document.
    Document { start: u32 },
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
