//! The lines that a finding is about, cut out of their files.
//!
//! `miette` asks its source for a span and its lines, several times for each label. Its ready sources walk there from
//! the first byte of the file; this one holds only the lines that are to be drawn, found through the line index, with
//! the spans moved along. Lines of several files follow each other in *boxes*; a box is a run of lines of one
//! file that is drawn in one frame. Cost: the length of the lines drawn, whatever the size of the files.

use super::{
    line::{self, Place},
    printable, wrap,
};
use crate::{render::Checked, terminal::Look};
use harness_core::{
    finding::{Finding, Label},
    source::{FileId, SourceFile},
};
use miette::{MietteError, MietteSpanContents, SourceCode, SourceSpan, SpanContents};

/// Marked lines with no more than this many others between them share a frame.
const GAP: usize = 1;

/// Labels are not wrapped narrower than this.
const NARROWEST_LABEL: usize = 16;

/// A label, with its place counted within the excerpt.
#[derive(Debug)]
pub(crate) struct Mark {
    /// First byte in the excerpt.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
    /// Its words, wrapped.
    pub text: String,
    /// Whether the finding is reported at this place.
    pub primary: bool,
    /// Column of its start in the file, from 0, in characters.
    column: usize,
}

/// A run of lines of one file.
#[derive(Debug)]
struct Frame {
    name: String,
    /// The first line, from 0.
    line: usize,
    /// Where each of its lines ends in the excerpt.
    ends: Vec<usize>,
    start: usize,
}

impl Frame {
    fn end(&self) -> usize {
        self.ends.last().copied().unwrap_or(self.start)
    }
}

/// The lines of one finding.
#[derive(Debug)]
pub(crate) struct Excerpt {
    text: String,
    frames: Vec<Frame>,
    marks: Vec<Mark>,
}

/// A label within one line of its file.
struct Found<'a> {
    file: FileId,
    line: usize,
    start: usize,
    end: usize,
    text: String,
    primary: bool,
    source: &'a SourceFile,
}

impl Excerpt {
    /// Cuts out the lines of `finding`. Labels outside any file are left out.
    pub fn new(checked: &Checked, finding: &Finding, look: Look) -> Self {
        let found = found(checked, finding);
        let mut excerpt = Self { text: String::new(), frames: Vec::new(), marks: Vec::new() };
        for run in runs(&found) {
            excerpt.frame(checked, &found, &run, look);
        }
        excerpt.marks.sort_by_key(|mark| mark.start);
        excerpt
    }

    /// Whether there is nothing to draw.
    pub fn is_empty(&self) -> bool {
        self.marks.is_empty()
    }

    /// The labels in the order of the excerpt.
    pub fn marks(&self) -> impl Iterator<Item = &Mark> {
        self.marks.iter()
    }

    /// Adds the frame of one run of lines.
    fn frame(&mut self, checked: &Checked, found: &[Found<'_>], run: &Run, look: Look) {
        let Some(source) = checked.report.sources.file(run.file) else { return };
        let digits = (run.last + 1).to_string().len();
        // ` 118 │ ` is before the line.
        let room = look.width.saturating_sub(digits + 4);
        let start = self.text.len();
        let mut ends = Vec::new();
        for number in run.first..=run.last {
            let here: Vec<&Found<'_>> = found.iter().filter(|mark| mark.file == run.file && mark.line == number).collect();
            let places: Vec<Place> =
                here.iter().map(|mark| Place { start: mark.start, end: mark.end, words: longest_line(&mark.text) }).collect();
            let row = line::fit(content(source, number), &places, room, look.ellipsis());
            for (mark, place) in here.iter().zip(&row.places) {
                // `╰── ` is between the middle of the span and the words.
                let words = room.saturating_sub(place.column + 4).max(NARROWEST_LABEL);
                self.marks.push(Mark {
                    start: self.text.len() + place.start,
                    end: self.text.len() + place.end,
                    text: mark.text.lines().flat_map(|part| wrap(part, words)).collect::<Vec<_>>().join("\n"),
                    primary: mark.primary,
                    column: mark.source.line_column(mark.start as u32).1.saturating_sub(1),
                });
            }
            self.text.push_str(&row.text);
            self.text.push('\n');
            ends.push(self.text.len());
        }
        self.frames.push(Frame { name: checked.file_name(run.file), line: run.first, ends, start });
    }
}

impl SourceCode for Excerpt {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        _lines_before: usize,
        _lines_after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let (start, end) = (span.offset(), span.offset() + span.len());
        let frame = self.frames.get(self.frames.partition_point(|frame| frame.end() <= start));
        // A span over two frames is refused: that is how `miette` learns that they are not to be joined.
        let Some(frame) = frame.filter(|frame| end <= frame.end()) else { return Err(MietteError::OutOfBounds) };
        let first = frame.ends.partition_point(|&line_end| line_end <= start);
        let last = frame.ends.partition_point(|&line_end| line_end < end).max(first);
        let from = match first.checked_sub(1) {
            Some(before) => frame.ends.get(before).copied().unwrap_or(frame.start),
            None => frame.start,
        };
        let to = frame.ends.get(last).copied().unwrap_or_else(|| frame.end());
        let data = self.text.as_bytes().get(from..to).ok_or(MietteError::OutOfBounds)?;
        let column = self.marks.iter().find(|mark| mark.start == start).map_or(0, |mark| mark.column);
        Ok(Box::new(MietteSpanContents::new_named(
            frame.name.clone(),
            data,
            (from, to - from).into(),
            frame.line + first,
            column,
            // Read as "how far the next label may be away to share the frame".
            frame.ends.len(),
        )))
    }
}

/// Every label within one line: a span over several lines is marked to the end of its first. Labels of the same place
/// become one with several lines.
fn found<'a>(checked: &'a Checked, finding: &Finding) -> Vec<Found<'a>> {
    let mut found: Vec<Found<'a>> = Vec::new();
    let primary = std::iter::once((true, &finding.primary));
    for (primary, Label { span, text }) in primary.chain(finding.labels.iter().map(|label| (false, label))) {
        let Some(source) = checked.report.sources.file(span.file) else { continue };
        let whole = source.text();
        let at = |offset: u32| {
            let offset = (offset as usize).min(whole.len());
            (0..=offset).rev().find(|&offset| whole.is_char_boundary(offset)).unwrap_or(0)
        };
        let line = source.line_of(at(span.start) as u32);
        let (from, text_of_line) = content(source, line);
        let content_end = from + text_of_line.len();
        let start = at(span.start).min(content_end);
        let end = at(span.end).clamp(start, content_end);
        let text = printable(text).into_owned();
        match found.iter_mut().find(|mark| (mark.file, mark.start, mark.end) == (span.file, start, end)) {
            Some(same) if text.is_empty() || same.text == text => {}
            Some(same) if same.text.is_empty() => same.text = text,
            Some(same) => same.text = format!("{}\n{text}", same.text),
            None => found.push(Found { file: span.file, line, start, end, text, primary, source }),
        }
    }
    found
}

/// A run of lines of one file.
struct Run {
    file: FileId,
    first: usize,
    last: usize,
}

/// The runs of lines to draw: the one with the primary place first, the others as their first label comes.
fn runs(found: &[Found<'_>]) -> Vec<Run> {
    let mut lines: Vec<(FileId, usize)> = found.iter().map(|mark| (mark.file, mark.line)).collect();
    lines.sort_unstable();
    let mut runs: Vec<Run> = Vec::new();
    for (file, line) in lines {
        match runs.last_mut() {
            Some(run) if run.file == file && line <= run.last + GAP + 1 => run.last = line,
            _ => runs.push(Run { file, first: line, last: line }),
        }
    }
    let rank = |run: &Run| {
        let inside = |mark: &Found<'_>| mark.file == run.file && (run.first..=run.last).contains(&mark.line);
        found.iter().position(inside)
    };
    runs.sort_by_key(rank);
    runs
}

/// Where line `number` (from 0) starts, and its text without the line end.
fn content(source: &SourceFile, number: usize) -> (usize, &str) {
    let starts = source.line_starts();
    let from = starts.get(number).map_or(source.text().len(), |&start| start as usize);
    let to = starts.get(number + 1).map_or(source.text().len(), |&start| start as usize);
    let text = source.text().get(from..to).unwrap_or("");
    let text = text.strip_suffix('\n').unwrap_or(text);
    (from, text.strip_suffix('\r').unwrap_or(text))
}

fn longest_line(text: &str) -> usize {
    text.lines().map(unicode_width::UnicodeWidthStr::width).max().unwrap_or(0)
}

#[cfg(test)]
mod tests;
