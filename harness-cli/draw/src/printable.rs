//! Texts of a design on their way to somebody who reads them.
//!
//! What can't be seen, or looks like something else, is shown by its code point, so that two names that differ look different and
//! no name steers a terminal, turns a line around, or gives a command to a runner that reads the log.

use std::borrow::Cow;
use unicode_security::skeleton;

/// What runners of builds take for commands, wherever in a line it is.
const MARKS: [&str; 2] = ["##[", "##vso["];

/// What a runner takes for a command where a line begins with it.
const COMMAND: &str = "::";

/// `text` in one line and in characters that can all be seen. What begins a word and would, at the beginning of a line, be a
/// command is defused, because lines are broken between words.
#[must_use]
pub fn printable(text: &str) -> Cow<'_, str> {
    let is_plain = |byte: u8| matches!(byte, b' '..=b'~') && byte != b'#';
    if text.bytes().all(is_plain) && !text.contains(COMMAND) {
        return Cow::Borrowed(text);
    }
    let mut shown = String::with_capacity(text.len());
    each(text, |at, piece| {
        let begins_word = at == 0 || text.get(..at).is_some_and(|before| before.ends_with(' '));
        let is_command = begins_word && text.get(at..).is_some_and(|rest| rest.starts_with(COMMAND));
        shown.push_str(if is_command { DEFUSED } else { piece });
    });
    Cow::Owned(shown)
}

/// A line as it may be written to a log: broken out of a long word it may begin with a command.
#[must_use]
pub fn commandless(line: String) -> String {
    let blanks = line.len() - line.trim_start().len();
    match line.split_at_checked(blanks) {
        Some((blanks, rest)) if rest.starts_with(COMMAND) => {
            format!("{blanks}{DEFUSED}{}", rest.strip_prefix(':').unwrap_or(rest))
        }
        _ => line,
    }
}

/// `text` as it is between tags and between the quotes of an attribute, in XML, SVG and HTML. What XML can't hold in any spelling is not a printable
/// character, so it is shown by its code point.
#[must_use]
pub fn escaped(text: &str) -> String {
    quick_xml::escape::escape(&*printable(text)).into_owned()
}

/// What is printed in place of the first colon of a command.
const DEFUSED: &str = "<U+003A>";

/// Hands out, character by character, where each is in `text` and what is shown for it.
pub fn each(text: &str, mut put: impl FnMut(usize, &str)) {
    let mut rest = text;
    while let Some(ch) = rest.chars().next() {
        let at = text.len() - rest.len();
        let length = if ch.is_alphanumeric() {
            let length = rest.find(|ch: char| !ch.is_alphanumeric()).unwrap_or(rest.len());
            word(rest.get(..length).unwrap_or_default(), |offset, piece| put(at + offset, piece));
            length
        } else {
            let mut kept = [0; 4];
            let is_mark = ch == '#' && MARKS.iter().any(|mark| rest.starts_with(mark));
            match ch {
                ch if is_mark || !is_seen(ch) => put(at, &code(ch)),
                ch => put(at, picture(ch).encode_utf8(&mut kept)),
            }
            ch.len_utf8()
        };
        rest = rest.get(length..).unwrap_or_default();
    }
}

/// A run of letters and digits. Those of other scripts that look like Latin ones are shown by their code points where they are
/// among Latin ones, and where the whole word could be read as Latin.
fn word(word: &str, mut put: impl FnMut(usize, &str)) {
    let mut kept = [0; 4];
    let hidden = !word.is_ascii()
        && (word.chars().any(|ch| ch.is_ascii_alphabetic()) || word.chars().all(|ch| ch.is_ascii() || looks_latin(ch)));
    for (at, ch) in word.char_indices() {
        match ch {
            ch if !is_seen(ch) || hidden && looks_latin(ch) => put(at, &code(ch)),
            ch => put(at, ch.encode_utf8(&mut kept)),
        }
    }
}

/// Whether `ch` is not a letter of a Latin alphabet and looks like one of ours, or like a digit of ours.
fn looks_latin(ch: char) -> bool {
    // Accented letters and those of other Latin alphabets are what they look like, and wide ones are seen to be wide.
    if ch.is_ascii() || matches!(ch, '\u{aa}'..='\u{24f}' | '\u{1e00}'..='\u{1eff}' | '\u{ff00}'..='\u{ff60}') {
        return false;
    }
    let mut kept = [0; 4];
    let mut like = skeleton(ch.encode_utf8(&mut kept));
    matches!((like.next(), like.next()), (Some(like), None) if like.is_ascii_alphanumeric())
}

/// The picture of a control character (`␛`); any other character itself.
fn picture(ch: char) -> char {
    match ch {
        '\u{0}'..='\u{1f}' => char::from_u32(0x2400 + u32::from(ch)).unwrap_or(char::REPLACEMENT_CHARACTER),
        '\u{7f}' => '\u{2421}',
        _ => ch,
    }
}

/// Whether a reader can see `ch` for what it is, or sees its picture. Not so: further controls, marks of direction, separators,
/// blanks that look like something else, what has no width (Unicode: `Default_Ignorable_Code_Point`), and what is not a character or has no meaning.
fn is_seen(ch: char) -> bool {
    let code = u32::from(ch);
    !(matches!(code, 0x80..=0xa0 | 0xad | 0x34f | 0x61c | 0x115f | 0x1160 | 0x1680 | 0x17b4 | 0x17b5 | 0x180b..=0x180f)
        || matches!(code, 0x2000..=0x200f | 0x2028..=0x202f | 0x205f..=0x206f | 0x3000 | 0x3164 | 0xe000..=0xf8ff)
        || matches!(code, 0xfdd0..=0xfdef | 0xfe00..=0xfe0f | 0xfeff | 0xffa0 | 0xfff0..=0xfffb | 0x1_bca0..=0x1_bca3)
        || matches!(code, 0x1_d173..=0x1_d17a | 0xe_0000..=0x10_ffff)
        || code & 0xfffe == 0xfffe)
}

/// A character by its code point.
fn code(ch: char) -> String {
    format!("<U+{:04X}>", u32::from(ch))
}

#[cfg(test)]
mod tests {
    use super::{commandless, each, printable};

    #[test]
    fn nothing_steers_the_terminal() {
        assert_eq!(printable("a\u{1b}[31mb\u{7f}\n"), "a␛[31mb␡␊");
        assert_eq!(printable("\u{202e}abc\u{9b}"), "<U+202E>abc<U+009B>");
        assert_eq!(printable("2.5 mm², Füße"), "2.5 mm², Füße");
    }

    #[test]
    fn what_cannot_be_seen_is_shown() {
        for ch in
            ['\u{200b}', '\u{200d}', '\u{2060}', '\u{feff}', '\u{ad}', '\u{a0}', '\u{3000}', '\u{fe0f}', '\u{e0041}', '\u{fffe}']
        {
            assert_eq!(printable(&format!("pu{ch}mp")), format!("pu<U+{:04X}>mp", u32::from(ch)));
        }
        // The characters that XML 1.0 knows (its production `Char`) hold all that is ever shown.
        let all: String = ('\0'..=char::MAX).collect();
        let known = |ch: char| matches!(ch, ' '..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..);
        assert!(printable(&all).chars().all(|ch| known(ch) && !ch.is_control()));
    }

    #[test]
    fn letters_that_look_like_others_are_told_apart() {
        assert_eq!(printable("`рump`; did you mean `pump`?"), "`<U+0440>ump`; did you mean `pump`?");
        // All Cyrillic, and all of it could be Latin.
        assert_eq!(printable("рор"), "<U+0440><U+043E><U+0440>");
        assert_eq!(printable("Х1"), "<U+0425>1");
        assert_eq!(printable("ｆuse, 𝗉ump"), "ｆuse, <U+1D5C9>ump");
        // Words of other scripts, units and letters with marks are what they are.
        for text in ["насос", "Жгут-2", "αντλία", "4.7 kΩ", "5 µm", "5 μm", "ΔT", "kısa", "Łódź", "泵", "20 °C", "é"]
        {
            assert_eq!(printable(text), text);
        }
    }

    #[test]
    fn no_line_is_a_command() {
        assert_eq!(printable("::error::x"), "<U+003A>:error::x");
        assert_eq!(printable("wire ::stop-commands::x"), "wire <U+003A>:stop-commands::x");
        assert_eq!(printable("bus::can #4"), "bus::can #4");
        assert_eq!(printable("a ##[group]b ##vso[x]"), "a <U+0023>#[group]b <U+0023>#vso[x]");
        assert_eq!(commandless("  ::error::".to_owned()), "  <U+003A>:error::");
        assert_eq!(commandless("a ::error::".to_owned()), "a ::error::");
    }

    #[test]
    fn every_character_is_handed_out_once_and_in_order() {
        let text = "рump \u{200b}::x##[é";
        let mut places = Vec::new();
        each(text, |at, _| places.push(at));
        assert_eq!(places, text.char_indices().map(|(at, _)| at).collect::<Vec<_>>());
    }
}
