//! Texts of a design on their way to a terminal.

use std::borrow::Cow;

/// `text` without characters that would steer a terminal or reorder its line: control characters become their
/// pictures (`␛`), bidirectional controls and line separators the replacement character.
pub(crate) fn printable(text: &str) -> Cow<'_, str> {
    if text.chars().all(|ch| shown(ch) == ch) { Cow::Borrowed(text) } else { Cow::Owned(text.chars().map(shown).collect()) }
}

/// What stands for `ch`.
pub(crate) fn shown(ch: char) -> char {
    match ch {
        '\u{0}'..='\u{1f}' => char::from_u32(0x2400 + u32::from(ch)).unwrap_or(char::REPLACEMENT_CHARACTER),
        '\u{7f}' => '\u{2421}',
        '\u{80}'..='\u{9f}' | '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => {
            char::REPLACEMENT_CHARACTER
        }
        _ => ch,
    }
}

#[cfg(test)]
mod tests {
    use super::printable;

    #[test]
    fn nothing_steers_the_terminal() {
        assert_eq!(printable("a\u{1b}[31mb\u{7f}\n"), "a␛[31mb␡␊");
        assert_eq!(printable("\u{202e}abc\u{9b}"), "\u{fffd}abc\u{fffd}");
        assert_eq!(printable("2.5 mm², Füße"), "2.5 mm², Füße");
    }
}
