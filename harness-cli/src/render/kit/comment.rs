//! Texts of a design in a Markdown comment.

use super::{caution::CAUTION, printable};
use std::io::{self, Write};

/// Writes what a clean result does not mean, as the end of a comment.
pub(crate) fn caution(out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "**Caution.** {}", CAUTION.map(escaped).join(" "))
}

/// `text` as Markdown that shows it: what is between two backticks becomes code, all else that Markdown or HTML would take
/// for a mark is escaped.
pub(crate) fn escaped(text: &str) -> String {
    let text = printable(text);
    let pieces: Vec<&str> = text.split('`').collect();
    // With a backtick left over, which pair is one can't be known.
    let paired = pieces.len() % 2 == 1;
    let mut out = String::new();
    for (at, piece) in pieces.iter().enumerate() {
        if at % 2 == 1 && paired {
            out.push_str(&code(piece));
            continue;
        }
        if at > 0 && !paired {
            out.push_str("\\`");
        }
        out.push_str(&plain(piece));
    }
    out
}

/// `text` in a cell of a table, where a bar needs its escape in code too.
pub(crate) fn cell(text: &str) -> String {
    let mut out = String::new();
    let mut before = ' ';
    for letter in escaped(text).chars() {
        if letter == '|' && before != '\\' {
            out.push('\\');
        }
        out.push(letter);
        before = letter;
    }
    out
}

/// Running text without marks.
fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            // A name of a person or a number of a request would be called up by these.
            '@' => out.push_str("&#64;"),
            '#' => out.push_str("&#35;"),
            '\\' | '*' | '_' | '[' | ']' | '|' | '~' | '$' => {
                out.push('\\');
                out.push(letter);
            }
            _ => out.push(letter),
        }
    }
    out
}

/// A name as code.
pub(crate) fn code(text: &str) -> String {
    let text = printable(text);
    // A fence is one backtick longer than any run within.
    let longest = text.split(|letter| letter != '`').map(str::len).max().unwrap_or(0);
    let fence = "`".repeat(longest + 1);
    let pad = if text.starts_with('`') || text.ends_with('`') { " " } else { "" };
    if text.trim().is_empty() {
        return plain(&text);
    }
    format!("{fence}{pad}{text}{pad}{fence}")
}

#[cfg(test)]
mod tests {
    use super::{cell, escaped};

    #[test]
    fn names_cannot_mark_up_the_comment() {
        assert_eq!(escaped("wire `front.1` is 0.5 mm2"), "wire `front.1` is 0.5 mm2");
        assert_eq!(escaped("<b>@who</b> #12"), "&lt;b&gt;&#64;who&lt;/b&gt; &#35;12");
        assert_eq!(escaped("`a|b` and c|d"), "`a|b` and c\\|d");
        assert_eq!(cell("`a|b` and c|d"), "`a\\|b` and c\\|d");
        assert_eq!(escaped("one ` left *open*"), "one \\` left \\*open\\*");
        assert_eq!(escaped("`<i>`"), "`<i>`");
        assert_eq!(escaped("a\nb"), "a␊b");
    }
}
