//! The excerpt against `miette`'s own sources, which read the whole file.

use super::Excerpt;
use crate::{Look, render::Checked};
use harness_core::{
    Report,
    finding::{Finding, Level},
    source::{FileId, SourceFile, Sources, Span},
};
use miette::{Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, NamedSource, SourceCode};
use std::fmt;

const LOOK: Look = Look { width: 80, colour: false, unicode: true };

/// A diagnostic with one label over any source.
struct Shown<'a> {
    source: &'a dyn SourceCode,
    label: LabeledSpan,
}

impl fmt::Debug for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("shown")
    }
}

impl fmt::Display for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("headline")
    }
}

impl std::error::Error for Shown<'_> {}

impl Diagnostic for Shown<'_> {
    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(self.source)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        Some(Box::new(std::iter::once(self.label.clone())))
    }
}

fn drawn(source: &dyn SourceCode, start: usize, end: usize, context: usize) -> String {
    let label = LabeledSpan::new_primary_with_span(Some("label".to_owned()), start..end);
    let mut text = String::new();
    GraphicalReportHandler::new_themed(GraphicalTheme::unicode_nocolor())
        .with_context_lines(context)
        .render_report(&mut text, &Shown { source, label })
        .unwrap();
    text
}

/// The line the label is under, with its number, and the rows of the label; without the gutter's width.
fn marked_rows(drawing: &str) -> Vec<String> {
    let rows: Vec<&str> = drawing.lines().filter(|line| line.contains('│') || line.contains('·')).collect();
    let Some(first_mark) = rows.iter().position(|row| row.trim_start().starts_with('·')) else { return Vec::new() };
    let marks = rows[first_mark..].iter().take_while(|row| row.trim_start().starts_with('·'));
    std::iter::once(&rows[first_mark - 1]).chain(marks).map(|row| row.trim().replace('\u{feff}', "")).collect()
}

fn checked(text: &str) -> Checked {
    let mut sources = Sources::new();
    sources.add(SourceFile::new("a.yaml".to_owned(), text.to_owned())).unwrap();
    let report = Report { sources: sources.into(), ..Report::default() };
    Checked::new(String::new(), "a.yaml".to_owned(), report)
}

fn excerpt(checked: &Checked, start: usize, end: usize) -> Excerpt {
    let span = Span::new(FileId(0), start as u32, end as u32);
    Excerpt::new(checked, &Finding::new("group/fault", Level::Error, span, "headline").label("label"), LOOK)
}

#[test]
fn an_excerpt_is_drawn_like_the_whole_file() {
    let texts = [
        "one: 1\ntwo: 2\nthree: 3\nfour: 4\n",
        "one: 1\r\ntwo: 2\r\nthree: 3\r\nfour: 4\r\n",
        "one: 1\ntwo: 2\nthree: 3",
        "\u{feff}one: 1\ntwo: 2\n",
        "größe: 2.5 mm²\nΩ: 測定 x\nwide: ａｂ c\n",
        "a:\tb\tc\n\td: e\n",
        "\n\nthree: 3\n\n\nsix: 6\n",
        "only",
    ];
    let mut compared = 0;
    for text in texts {
        let checked = checked(text);
        let file = checked.report.sources.file(FileId(0)).unwrap();
        let whole = NamedSource::new("a.yaml", text.to_owned());
        let boundaries: Vec<usize> = (0..=text.len()).filter(|&at| text.is_char_boundary(at)).collect();
        for &start in &boundaries {
            for &end in boundaries.iter().filter(|&&end| end >= start && end <= start + 6) {
                let inside = text[start..end].find(['\n', '\r']).is_none();
                // The whole file is drawn without its last, empty line; ours draws it.
                let past_last_line = start == text.len() && text.ends_with('\n');
                let between_cr_and_lf = text[..start].ends_with('\r');
                let at_mark = text[start..].starts_with('\u{feff}');
                if !inside || past_last_line || between_cr_and_lf || at_mark {
                    continue;
                }
                let excerpt = excerpt(&checked, start, end);
                let mark = excerpt.marks().next().unwrap();
                let ours = drawn(&excerpt, mark.start, mark.end, 0);
                let theirs = drawn(&whole, start, end, 1);
                let rows = marked_rows(&ours);
                assert!(rows.last().is_some_and(|row| row.ends_with("label")), "{ours}");
                // The ready source draws no label at the very end of a file, ours does.
                if start < text.len() || text.ends_with('\n') {
                    assert_eq!(rows, marked_rows(&theirs), "{text:?} {start}..{end}\n{ours}\n{theirs}");
                }
                let (line, column) = file.line_column(start as u32);
                assert!(ours.contains(&format!("[a.yaml:{line}:{column}]")), "{ours}");
                if text.is_ascii() {
                    assert!(theirs.contains(&format!("[a.yaml:{line}:{column}]")), "{ours}\n{theirs}");
                }
                compared += 1;
            }
        }
    }
    assert!(compared > 300, "{compared}");
}

#[test]
fn the_end_of_a_file_that_ends_with_a_line_end_is_drawn() {
    let checked = checked("one: 1\n");
    let excerpt = excerpt(&checked, 7, 7);
    let drawing = drawn(&excerpt, 0, 0, 0);
    assert!(drawing.contains("[a.yaml:2:1]"), "{drawing}");
    assert!(marked_rows(&drawing).iter().any(|row| row.ends_with("label")), "{drawing}");
}

#[test]
fn an_excerpt_of_a_large_file_holds_the_lines_it_needs_and_no_others() {
    let line = "      101: { from: P1.1, to: P9.4, size: 0.75 mm2 }\n";
    let text = line.repeat(200_000);
    assert!(text.len() > 10_000_000);
    let middle = line.len() * 100_000;
    let checked = checked(&text);
    let excerpt = excerpt(&checked, middle + 6, middle + 9);
    assert_eq!(excerpt.text, line);
    let contents = excerpt.read_span(&(6, 3).into(), 0, 0).unwrap();
    assert_eq!((contents.data(), contents.line()), (line.as_bytes(), 100_000));
}

#[test]
fn a_span_over_two_frames_is_refused() {
    let checked = checked(&"x: 1\n".repeat(50));
    let span = |at: u32| Span::new(FileId(0), at, at + 1);
    let finding = Finding::new("group/fault", Level::Error, span(200), "headline").context(span(0), "first");
    let excerpt = Excerpt::new(&checked, &finding, LOOK);
    let marks: Vec<(usize, bool)> = excerpt.marks().map(|mark| (mark.start, mark.primary)).collect();
    assert_eq!(marks, [(0, true), (5, false)], "the frame of the primary place comes first");
    assert!(excerpt.read_span(&(0, 6).into(), 0, 0).is_err());
    assert_eq!(excerpt.read_span(&(5, 1).into(), 0, 0).unwrap().line(), 0);
}

#[test]
fn spans_outside_their_file_or_inside_a_character_do_no_harm() {
    let checked = checked("ä: 1\n");
    for (start, end) in [(0, 1), (1, 1), (1, 900), (700, 900)] {
        let excerpt = excerpt(&checked, start, end);
        let mark = excerpt.marks().next().unwrap();
        assert!(excerpt.text.is_char_boundary(mark.start) && excerpt.text.is_char_boundary(mark.end));
        let drawing = drawn(&excerpt, mark.start, mark.end, 0);
        assert!(drawing.contains("label"), "{drawing}");
    }
    let nowhere = Span::new(FileId(7), 0, 1);
    assert!(Excerpt::new(&checked, &Finding::new("a/b", Level::Note, nowhere, "headline"), LOOK).is_empty());
}
