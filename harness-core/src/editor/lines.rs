//! Lines of a text that need not be a tree: where they begin, what they are indented by, which key they give.

use memchr::{memchr, memrchr};

/// Start of the line that holds a byte.
pub(super) fn start_of(text: &str, at: usize) -> usize {
    memrchr(b'\n', text.as_bytes().get(..at).unwrap_or_default()).map_or(0, |newline| newline + 1)
}

/// End of the line that holds a byte, without its line break.
pub(super) fn end_of(text: &str, at: usize) -> usize {
    let rest = text.as_bytes().get(at..).unwrap_or_default();
    let end = memchr(b'\n', rest).map_or(text.len(), |newline| at + newline);
    if end > at && text.as_bytes().get(end - 1) == Some(&b'\r') { end - 1 } else { end }
}

/// A line as block style reads it.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Line<'t> {
    /// Columns of the dashes that it begins with.
    pub(super) dashes: Vec<usize>,
    /// The column behind them.
    pub(super) column: usize,
    /// Its key.
    pub(super) key: Option<&'t str>,
    /// Where the value of the key begins, in bytes of the line.
    pub(super) value: usize,
    /// Nothing but blanks or a comment is written there.
    pub(super) is_blank: bool,
}

impl<'t> Line<'t> {
    /// Reads the line without its break.
    pub(super) fn read(line: &'t str) -> Self {
        let mut read = Self::default();
        let mut at = 0;
        loop {
            let rest = line.get(at..).unwrap_or("");
            at += rest.len() - rest.trim_start_matches([' ', '\t', '\u{feff}']).len();
            let rest = line.get(at..).unwrap_or("");
            if rest == "-" || rest.starts_with("- ") {
                read.dashes.push(at);
                at += 1;
                continue;
            }
            read.column = at;
            read.is_blank = read.dashes.is_empty() && (rest.is_empty() || rest.starts_with('#'));
            if let Some((key, behind)) = key_of(rest) {
                (read.key, read.value) = (Some(key), at + behind);
            }
            return read;
        }
    }

    /// The column at which it begins.
    pub(super) fn start(&self) -> usize {
        self.dashes.first().copied().unwrap_or(self.column)
    }
}

/// The key that a text begins with, without quotes, and where what is behind its colon begins.
fn key_of(text: &str) -> Option<(&str, usize)> {
    if let Some(quote) = text.chars().next().filter(|letter| matches!(letter, '"' | '\'')) {
        let rest = text.get(1..)?;
        let end = rest.find(quote)?;
        let behind = rest.get(end + 1..)?.trim_start().strip_prefix(':')?;
        return Some((rest.get(..end)?, text.len() - behind.len()));
    }
    if text.starts_with(['{', '[', '#', '&', '*', '!', '|', '>']) {
        return None;
    }
    let colons = text.match_indices(':').map(|(at, _)| at);
    let is_end = |at: &usize| text.get(at + 1..).is_some_and(|rest| rest.is_empty() || rest.starts_with([' ', '\t']));
    let at = colons.into_iter().find(is_end)?;
    let key = text.get(..at)?;
    (!key.contains(" #")).then(|| (key.trim_end(), at + 1))
}

#[cfg(test)]
mod tests {
    use super::{Line, end_of, start_of};

    #[test]
    fn a_line_is_read_with_its_dashes_and_its_key() {
        let line = Line::read("  - finding: a/b");
        assert_eq!((line.dashes.as_slice(), line.column, line.key, line.value), (&[2][..], 4, Some("finding"), 12));
        assert_eq!(Line::read("    \"a b\" : {").key, Some("a b"));
        assert_eq!(Line::read("time: 12:30").key, Some("time"));
        assert_eq!(Line::read("a:b").key, None);
        assert_eq!(Line::read("{ a: b }").key, None);
        assert!(Line::read("   # a: b").is_blank && Line::read("").is_blank && !Line::read("-").is_blank);
    }

    #[test]
    fn lines_end_before_their_break() {
        let text = "a\r\nbc\nd";
        assert_eq!((start_of(text, 4), end_of(text, 4), end_of(text, 0), end_of(text, 6)), (3, 5, 1, 7));
    }
}
