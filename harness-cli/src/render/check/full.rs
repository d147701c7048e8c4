//! Findings drawn into the lines concerned, with the figures they rest on and what to do.
//!
//! Drawing is left to `miette`. It is handed an excerpt of a few lines for each finding, never a whole file, so that
//! a finding costs the same however large the design is.

use super::{members, reviewed};
use crate::{
    render::{
        Checked,
        kit::{
            blocks::pairs,
            commandless,
            excerpt::Excerpt,
            glued,
            palette::{self, paint},
            printable, unglued, words, wrap,
        },
    },
    terminal::Look,
};
use harness_core::finding::Judged;
use miette::{Diagnostic, GraphicalReportHandler, LabeledSpan, SourceCode};
use std::{
    collections::BTreeMap,
    fmt,
    io::{self, Write},
};

/// Draws the findings of one design, one entry a cause or with `all` one a finding, of each rule at most `most`, and says how many that
/// leaves out; what was accepted or known follows in brief.
///
/// # Errors
/// If `out` can't be written.
pub fn write(checked: &Checked, look: Look, most: usize, all: bool, out: &mut dyn Write) -> io::Result<()> {
    let mut drawn: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for entry in checked.entries(all, reviewed::is_drawn) {
        let finding = entry.lead;
        let (shown, left_out) = drawn.entry(finding.rule).or_default();
        if *shown == most {
            *left_out += 1;
            continue;
        }
        *shown += 1;
        draw(checked, finding, look, out)?;
        members::write(checked, &entry, look, out)?;
        writeln!(out)?;
    }
    let cut: Vec<(&str, usize)> =
        drawn.iter().filter(|(_, (_, left_out))| *left_out > 0).map(|(rule, (_, left_out))| (*rule, *left_out)).collect();
    if cut.is_empty() {
        return reviewed::write(checked, look, out);
    }
    writeln!(out, "{}", paint(look, palette::heading(), "not drawn:"))?;
    for (rule, left_out) in cut {
        writeln!(out, "  {left_out} more of `{rule}`")?;
    }
    let total = drawn.values().map(|(shown, left_out)| shown + left_out).max().unwrap_or(most);
    let how = format!("`--most {total}` draws them all, `--format short` gives each a line");
    for line in wrap(&how, look.width - 2) {
        writeln!(out, "  {line}")?;
    }
    writeln!(out)?;
    reviewed::write(checked, look, out)
}

/// Draws one finding.
fn draw(checked: &Checked, finding: &Judged, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let drawing = Drawing { finding, excerpt: Excerpt::new(checked, finding, look) };
    let head = format!("{}[{}]:", finding.level, finding.rule);
    let theme = palette::theme(look, finding.level, head, drawing.excerpt.marks().map(|mark| mark.primary));
    let mut text = String::new();
    GraphicalReportHandler::new_themed(theme)
        .with_width(look.width)
        .with_context_lines(0)
        .with_word_separator(textwrap::WordSeparator::AsciiSpace)
        .with_word_splitter(textwrap::WordSplitter::NoHyphenation)
        .render_report(&mut text, &drawing)
        .map_err(io::Error::other)?;
    // The headline starts the line, so that findings can be found by `^danger`.
    for line in text.strip_prefix("  ").unwrap_or(&text).lines() {
        writeln!(out, "{}", commandless(unglued(line).trim_end().to_owned()))?;
    }
    facts(checked, finding, look, out)
}

/// Path, figures and help, as `name: value` with the values in one column.
fn facts(checked: &Checked, finding: &Judged, look: Look, out: &mut dyn Write) -> io::Result<()> {
    let path = finding.path.join(" > ");
    let figures = finding.figures.iter().map(|figure| (figure.name, figure.value.as_str()));
    let known = if finding.known { "in the baseline, so it fails no check; still a danger" } else { "" };
    let tried = words::tried(finding).unwrap_or_default();
    let trust = words::trust(finding).unwrap_or_default();
    let last = [("rests on", trust.as_str()), ("help", &finding.help), ("tried", &tried), ("known", known)];
    let list = words::rows(checked, finding).unwrap_or_default();
    let first = [("list", list.as_str()), ("path", path.as_str())];
    let all = first.into_iter().chain(figures).chain(last);
    let rows: Vec<(&str, &str)> = all.filter(|(_, value)| !value.is_empty()).collect();
    pairs(&rows, look, out)
}

/// A finding as `miette` wants to see it.
struct Drawing<'a> {
    finding: &'a Judged,
    excerpt: Excerpt,
}

impl fmt::Display for Drawing<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&glued(&printable(&self.finding.headline)))
    }
}

impl fmt::Debug for Drawing<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(self.finding, f)
    }
}

impl std::error::Error for Drawing<'_> {}

impl Diagnostic for Drawing<'_> {
    fn source_code(&self) -> Option<&dyn SourceCode> {
        (!self.excerpt.is_empty()).then_some(&self.excerpt)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        Some(Box::new(self.excerpt.marks().map(|mark| {
            let text = (!mark.text.is_empty()).then(|| mark.text.clone());
            match mark.primary {
                true => LabeledSpan::new_primary_with_span(text, mark.start..mark.end),
                false => LabeledSpan::new_with_span(text, mark.start..mark.end),
            }
        })))
    }
}
