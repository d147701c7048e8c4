//! A difference as a comment on a change request, in Markdown. Of HTML only `details` and `summary` are used.

use super::{
    Compared, counted,
    effect::{Item, MOST, Section, left_out, nothing, sections},
};
use crate::show::{printable, summary::CAUTION};
use std::io::{self, Write};

/// Writes the comment.
///
/// # Errors
/// If `out` can't be written.
pub fn write(compared: &Compared, out: &mut dyn Write) -> io::Result<()> {
    let design = compared.new.report.summary.design.as_str();
    let design = if design.is_empty() { compared.new.root.as_str() } else { design };
    writeln!(out, "## Wiring changes: {}\n", escaped(design))?;
    let (old, new) = (compared.old.shown(&compared.old.root), compared.new.shown(&compared.new.root));
    let (verdict, more) = verdict(compared);
    writeln!(out, "**{}**{}\n", escaped(&verdict), escaped(&more))?;
    writeln!(out, "From {} to {}; {}.\n", code(&old), code(&new), escaped(&compared.design()))?;
    for unread in compared.unread() {
        writeln!(out, "**Not compared:** {}.\n", escaped(&unread))?;
    }
    if !compared.is_same() {
        // What came is read first and never folded away.
        let (open, folded): (Vec<Section>, Vec<Section>) =
            sections(compared).into_iter().partition(|section| matches!(section.title, "findings that came" | "loads"));
        for section in &open {
            section_open(section, out)?;
        }
        changes(compared, out)?;
        for section in &folded {
            section_folded(section, out)?;
        }
    }
    writeln!(out, "**Caution.** {}", CAUTION.map(escaped).join(" "))
}

/// What a reader must know first, and what it rests on.
fn verdict(compared: &Compared) -> (String, String) {
    if compared.is_same() {
        return (format!("{}.", capital(&nothing(compared).unwrap_or_default())), String::new());
    }
    let changes = counted(compared.changes.len(), "change");
    match (nothing(compared), compared.brought().count()) {
        (Some(nothing), _) => (format!("{changes}: {nothing}."), String::new()),
        (None, 0) => (format!("{changes}, no new finding."), format!(" Findings that {}.", compared.findings())),
        (None, brought) => {
            (format!("{changes}, {}.", counted(brought, "new finding")), format!(" Findings that {}.", compared.findings()))
        }
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn changes(compared: &Compared, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "### What changed\n")?;
    writeln!(out, "| where | what |\n| --- | --- |")?;
    for group in compared.groups() {
        for change in group.changes {
            let because = match change.rests_on() {
                [] => String::new(),
                joins => format!(" (recognised by this: {})", joins.join(", ")),
            };
            let what = cell(&format!("{}{because}", change.headline()));
            writeln!(out, "| {} | {what} |", cell(&group.title))?;
        }
    }
    writeln!(out)
}

fn section_open(section: &Section, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "### {}\n", capital(section.title))?;
    items(section, usize::MAX, out)
}

fn section_folded(section: &Section, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "<details>\n<summary>{} ({})</summary>\n", capital(section.title), section.items.len())?;
    items(section, MOST, out)?;
    writeln!(out, "</details>\n")
}

fn items(section: &Section, most: usize, out: &mut dyn Write) -> io::Result<()> {
    for Item { level, text, more } in section.items.iter().take(most) {
        // `level[rule]: headline`, the level in bold and the rule as code.
        let parts = level.and_then(|level| Some((level, text.strip_prefix(level.name())?.strip_prefix('[')?.split_once("]: ")?)));
        match parts {
            Some((level, (rule, headline))) => writeln!(out, "- **{level}** {}: {}", code(rule), escaped(headline))?,
            None => writeln!(out, "- {}", escaped(text))?,
        }
        for line in more {
            writeln!(out, "  - {}", escaped(line))?;
        }
    }
    if let Some(more) = left_out(section.items.len(), "item").filter(|_| section.items.len() > most) {
        writeln!(out, "- {}", escaped(&more))?;
    }
    writeln!(out)
}

/// `text` as Markdown that shows it: what stands between two backticks becomes code, all else that Markdown or HTML would take
/// for a mark is escaped.
pub(super) fn escaped(text: &str) -> String {
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
fn cell(text: &str) -> String {
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
pub(super) fn code(text: &str) -> String {
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
