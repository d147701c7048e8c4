//! The Markdown of rule documentation, in the terminal: headings, paragraphs, lists, code.
//!
//! Reads what rule documentation uses and prints the rest as it is. Backticks stay, so that code is distinguished from
//! text without colour.

use super::{
    palette::{self, paint},
    wrap,
};
use crate::terminal::Look;
use similar::{ChangeTag, TextDiff};
use std::io::{self, Write};

/// The section whose code is the example again, put right; only what differs is shown.
const REMEDY: &str = "Remedy";

/// What is before a paragraph, and before code.
const TEXT: usize = 2;
const CODE: usize = 4;

/// A run of lines that is printed as one.
enum Block {
    Heading(String),
    Paragraph(String),
    /// A list item: its mark and its text.
    Item(String, String),
    /// Lines as they are.
    Code(Vec<String>),
}

/// Writes `markdown` wrapped to the width of `look`.
///
/// # Errors
/// If `out` can't be written.
pub fn write(out: &mut dyn Write, markdown: &str, look: Look) -> io::Result<()> {
    let mut before: Option<Block> = None;
    for block in differences(blocks(markdown)) {
        let close = matches!(
            (&before, &block),
            (Some(Block::Item(..)), Block::Item(..)) | (Some(Block::Heading(_)), Block::Paragraph(_) | Block::Item(..))
        );
        if !close {
            writeln!(out)?;
        }
        match &block {
            Block::Heading(text) => writeln!(out, "{}", paint(look, palette::heading(), text))?,
            Block::Paragraph(text) => flow(out, "", text, look)?,
            Block::Item(mark, text) => flow(out, mark, text, look)?,
            Block::Code(lines) => {
                for line in lines {
                    writeln!(out, "{}", format!("{:CODE$}{line}", "").trim_end())?;
                }
            }
        }
        before = Some(block);
    }
    Ok(())
}

/// Running text behind `mark`, wrapped, with its code coloured.
fn flow(out: &mut dyn Write, mark: &str, text: &str, look: Look) -> io::Result<()> {
    let hang = if mark.is_empty() { 0 } else { mark.chars().count() + 1 };
    let mut code = false;
    for (index, line) in wrap(text, look.width.saturating_sub(TEXT + hang)).iter().enumerate() {
        let mark = if index == 0 { mark } else { "" };
        let gap = hang.saturating_sub(mark.chars().count());
        writeln!(out, "{:TEXT$}{mark}{:gap$}{}", "", "", coloured(line, &mut code, look))?;
    }
    Ok(())
}

/// `line` with what is between backticks coloured; `code` says whether a code span is open and goes on over lines.
fn coloured(line: &str, code: &mut bool, look: Look) -> String {
    if !look.colour {
        return line.to_owned();
    }
    let mut text = String::new();
    for (index, part) in line.split('`').enumerate() {
        if index > 0 {
            *code = !*code;
            if !*code {
                text.push('`');
            }
        }
        match (*code, index) {
            (true, 1..) => text.push_str(&paint(look, palette::code(), &format!("`{part}"))),
            (true, _) => text.push_str(&paint(look, palette::code(), part)),
            (false, _) => text.push_str(part),
        }
    }
    text
}

fn blocks(markdown: &str) -> Vec<Block> {
    let mut blocks: Vec<Block> = Vec::new();
    let mut open = false;
    let mut lines = markdown.lines();
    while let Some(line) = lines.next() {
        let text = line.trim();
        if text.starts_with("```") {
            let code = lines.by_ref().take_while(|line| !line.trim_start().starts_with("```"));
            blocks.push(Block::Code(code.map(str::to_owned).collect()));
            open = false;
        } else if text.is_empty() {
            open = false;
        } else if let Some(heading) = heading(text) {
            blocks.push(Block::Heading(heading.to_owned()));
            open = false;
        } else if text.starts_with('|') {
            match blocks.last_mut() {
                Some(Block::Code(rows)) if open => rows.push(text.to_owned()),
                _ => blocks.push(Block::Code(vec![text.to_owned()])),
            }
            open = true;
        } else if let Some((mark, rest)) = item(text) {
            blocks.push(Block::Item(mark.to_owned(), rest.to_owned()));
            open = true;
        } else {
            match blocks.last_mut() {
                Some(Block::Paragraph(so_far) | Block::Item(_, so_far)) if open => {
                    so_far.push(' ');
                    so_far.push_str(text);
                }
                _ => blocks.push(Block::Paragraph(text.to_owned())),
            }
            open = true;
        }
    }
    blocks
}

/// `blocks` with the code below the heading `Remedy` as what differs from the code before it.
fn differences(blocks: Vec<Block>) -> Vec<Block> {
    let mut shown = Vec::new();
    let mut example: Vec<String> = Vec::new();
    let mut remedy = false;
    for block in blocks {
        match block {
            Block::Code(lines) if remedy && !example.is_empty() => {
                shown.push(Block::Paragraph("The example with these lines changed, `-` before and `+` after:".to_owned()));
                shown.push(Block::Code(changed(&example, &lines)));
            }
            Block::Code(lines) => {
                example.clone_from(&lines);
                shown.push(Block::Code(lines));
            }
            Block::Heading(text) => {
                remedy = text == REMEDY;
                shown.push(Block::Heading(text));
            }
            other => shown.push(other),
        }
    }
    shown
}

/// The lines that differ, each with its sign, beside the one before and after; `...` between places.
fn changed(before: &[String], after: &[String]) -> Vec<String> {
    let before: Vec<&str> = before.iter().map(String::as_str).collect();
    let after: Vec<&str> = after.iter().map(String::as_str).collect();
    let difference = TextDiff::from_slices(&before, &after);
    let mut lines = Vec::new();
    for group in difference.grouped_ops(1) {
        if !lines.is_empty() {
            lines.push("...".to_owned());
        }
        for change in group.iter().flat_map(|op| difference.iter_changes(op)) {
            let sign = match change.tag() {
                ChangeTag::Delete => "-",
                ChangeTag::Insert => "+",
                ChangeTag::Equal => " ",
            };
            lines.push(format!("{sign} {}", change.value()));
        }
    }
    lines
}

/// The text of a heading line.
fn heading(text: &str) -> Option<&str> {
    let rest = text.trim_start_matches('#');
    (rest.len() < text.len()).then_some(rest).and_then(|rest| rest.strip_prefix(' ')).map(str::trim)
}

/// Mark and text of a line that opens a list item: `- text`, `* text`, `3. text`.
fn item(text: &str) -> Option<(&str, &str)> {
    let (mark, rest) = text.split_once(' ')?;
    let digits = mark.strip_suffix('.').is_some_and(|digits| !digits.is_empty() && digits.bytes().all(|it| it.is_ascii_digit()));
    (matches!(mark, "-" | "*") || digits).then_some((mark, rest.trim_start()))
}

#[cfg(test)]
mod tests {
    use super::write;
    use crate::terminal::Look;

    fn drawn(markdown: &str, width: usize, colour: bool) -> String {
        let mut out = Vec::new();
        write(&mut out, markdown, Look { width, colour, unicode: true }).unwrap();
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn paragraphs_and_lists_wrap_and_code_stays_verbatim() {
        let markdown = "\
## What it checks
Each fuse rating against the limit of the weakest
wire behind it, such as `W41` or `front.102`.

- a first item that is long enough to need a second line
- a second one
1. a third

## Example
```yaml
looms:
  front: {  a:   1 }   # kept as it is, however long the line may be
```
Tail.
";
        let expected = "
What it checks
  Each fuse rating against the limit of
  the weakest wire behind it, such as
  `W41` or `front.102`.

  - a first item that is long enough to
    need a second line
  - a second one
  1. a third

Example

    looms:
      front: {  a:   1 }   # kept as it is, however long the line may be

  Tail.
";
        assert_eq!(drawn(markdown, 40, false), expected);
    }

    #[test]
    fn a_remedy_shows_what_differs_from_the_example() {
        let markdown = "\
## Example
```yaml
a:
  one: 1
  two: 2
  three: 3
  four: 4
  five: 5
  six: 6
```
## Remedy
```yaml
a:
  one: 1
  two: 20
  three: 3
  four: 4
  five: 5
  six: 6
  seven: 7
```
";
        let expected = "
Example

    a:
      one: 1
      two: 2
      three: 3
      four: 4
      five: 5
      six: 6

Remedy
  The example with these lines changed, `-` before and `+` after:

        one: 1
    -   two: 2
    +   two: 20
        three: 3
    ...
        six: 6
    +   seven: 7
";
        assert_eq!(drawn(markdown, 80, false), expected);
    }

    #[test]
    fn colour_adds_escapes_and_changes_no_text() {
        let markdown = "# Head\nsome `code with blanks that wraps over` the line `b`\n";
        let coloured = drawn(markdown, 40, true);
        assert!(coloured.contains("\u{1b}["));
        let mut plain = String::new();
        let mut escape = false;
        for ch in coloured.chars() {
            match (escape, ch) {
                (false, '\u{1b}') => escape = true,
                (true, 'm') => escape = false,
                (true, _) => {}
                (false, ch) => plain.push(ch),
            }
        }
        assert_eq!(plain, drawn(markdown, 40, false));
    }
}
