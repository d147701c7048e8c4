//! Files, byte spans and the line index.

use super::Name;

/// A file of the design, by the order in which it was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct FileId(pub u16);

/// A range of bytes in one file; `start == end` marks a place between two characters. In the order of the files, then of the bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Span {
    /// The file.
    pub file: FileId,
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
    room: Room,
}

/// Fills the last bytes of a [`Span`] with a value that leaves others unused, so that `Option<Span>` and all that holds
/// one take no more room than the span: a design holds some millions of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
#[repr(u8)]
enum Room {
    #[default]
    Filled,
}

impl Span {
    /// The span from `start` to `end` of `file`.
    #[must_use]
    pub fn new(file: FileId, start: u32, end: u32) -> Self {
        Self { start, end: end.max(start), file, room: Room::Filled }
    }

    /// From the start of `self` to the end of `other`, if both are in one file; else `self`.
    #[must_use]
    pub fn to(self, other: Self) -> Self {
        if self.file == other.file { Self::new(self.file, self.start, other.end) } else { self }
    }
}

/// A value with the place where it is written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct At<T> {
    /// The value.
    pub value: T,
    /// Where it is.
    pub span: Span,
}

/// A text or a name of the design, as written.
pub type Text = At<Name>;

/// One file that was read: its display name, its text and where its lines start.
#[derive(Debug, Clone)]
pub struct SourceFile {
    name: String,
    text: String,
    line_starts: Vec<u32>,
    /// Columns at regular places of long lines; empty where every character is one byte, as it is in most files.
    columns: Vec<Column>,
    is_ascii: bool,
    refused: bool,
    list: Option<Box<str>>,
    shared: Vec<Shared>,
}

/// A stretch of a file that says something of several things, and what in it is of one alone.
#[derive(Debug, Clone)]
struct Shared {
    start: u32,
    end: u32,
    own: Vec<(u32, u32)>,
}

impl Shared {
    /// Whether a change of what is between two bytes changes several things. What is put before the stretch or behind it does not.
    fn holds(&self, start: u32, end: u32) -> bool {
        if start == end {
            return self.start < start && start <= self.end;
        }
        let is_own = self.own.iter().any(|(first, last)| *first <= start && end <= *last);
        start < self.end && self.start < end && !is_own
    }
}

impl SourceFile {
    /// Takes a file's display name and its text.
    #[must_use]
    pub fn new(name: String, text: String) -> Self {
        let mut line_starts = vec![0];
        line_starts.extend(memchr::memchr_iter(b'\n', text.as_bytes()).map(|at| at as u32 + 1));
        let is_ascii = text.is_ascii();
        let columns = if is_ascii { Vec::new() } else { columns(&text, &line_starts) };
        Self { name, text, line_starts, columns, is_ascii, refused: false, list: None, shared: Vec::new() }
    }

    /// A file whose bytes could not be taken as text.
    pub(super) fn refused(name: String) -> Self {
        Self { refused: true, ..Self::new(name, String::new()) }
    }

    /// Whether the file's bytes could not be taken as text; its text is empty then.
    #[must_use]
    pub fn is_refused(&self) -> bool {
        self.refused
    }

    /// The list that the file was made from, if it says so.
    #[must_use]
    pub fn list(&self) -> Option<&str> {
        self.list.as_deref()
    }

    /// Notes the list that the file was made from.
    pub(crate) fn set_list(&mut self, list: String) {
        self.list = Some(list.into_boxed_str());
    }

    /// Notes that what is between two bytes says something of several things, but for the stretches `own`.
    pub(crate) fn share(&mut self, start: u32, end: u32, own: Vec<(u32, u32)>) {
        self.shared.push(Shared { start, end, own });
    }

    /// Whether a change of what is between two bytes would change several things.
    #[must_use]
    pub fn is_shared(&self, start: u32, end: u32) -> bool {
        self.shared.iter().any(|shared| shared.holds(start, end))
    }

    /// The name to show.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The whole text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Byte offsets at which lines start; the first is 0.
    #[must_use]
    pub fn line_starts(&self) -> &[u32] {
        &self.line_starts
    }

    /// Line (from 0) that holds the byte `offset`.
    #[must_use]
    pub fn line_of(&self, offset: u32) -> usize {
        self.line_starts.partition_point(|&start| start <= offset).saturating_sub(1)
    }

    /// Line and column of `offset`, both from 1; the column counts characters, a byte order mark not.
    ///
    /// An offset behind the text is its end; one within a character is the start of that character. Cost: a search by halving, and
    /// the characters of at most 512 bytes.
    #[must_use]
    pub fn line_column(&self, offset: u32) -> (usize, usize) {
        let position = self.position(offset);
        (position.line, position.column)
    }

    /// Where `offset` is, in characters and in UTF-16 units. As for [`Self::line_column`].
    #[must_use]
    pub fn position(&self, offset: u32) -> Position {
        let offset = (offset as usize).min(self.text.len());
        let offset = (0..=offset).rev().find(|at| self.text.is_char_boundary(*at)).unwrap_or(0) as u32;
        let line = self.line_of(offset);
        let start = self.line_starts.get(line).copied().unwrap_or(0);
        let known = self.columns.partition_point(|column| column.at <= offset).checked_sub(1);
        let known = known.and_then(|known| self.columns.get(known)).filter(|column| column.at >= start);
        let from = known.copied().unwrap_or(Column { at: start, characters: 0, units: 0 });
        let more = self.text.get(from.at as usize..offset as usize).unwrap_or("");
        let Column { characters, units, .. } = match self.is_ascii {
            true => Column { at: offset, characters: from.characters + more.len() as u32, units: from.units + more.len() as u32 },
            false => from.behind(more),
        };
        Position { line: line + 1, column: characters as usize + 1, utf16_column: units as usize + 1 }
    }

    /// Where the bytes from `start` to `end` begin and end; `end` is the place behind the last character.
    #[must_use]
    pub fn range(&self, start: u32, end: u32) -> PositionRange {
        PositionRange { start: self.position(start), end: self.position(end.max(start)) }
    }
}

/// A place in a file as people and editors count it: everything from 1.
///
/// Protocols of editors count from 0: take one off each.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Position {
    /// The line.
    pub line: usize,
    /// The column in characters (Unicode scalar values). A byte order mark takes no column.
    pub column: usize,
    /// The column in units of UTF-16, in which a character beyond U+FFFF takes two.
    pub utf16_column: usize,
}

/// Where something begins, and the place behind its last character.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PositionRange {
    /// The first character.
    pub start: Position,
    /// One past the last character; the same place where nothing is between them.
    pub end: Position,
}

/// How many characters and UTF-16 units of a line are before the byte `at`.
#[derive(Debug, Clone, Copy)]
struct Column {
    at: u32,
    characters: u32,
    units: u32,
}

impl Column {
    /// The column behind `text`, which begins here.
    fn behind(self, text: &str) -> Self {
        let mut column = self;
        for letter in text.chars() {
            column.at += letter.len_utf8() as u32;
            // A byte order mark is not a character of its line.
            if column.characters > 0 || letter != '\u{feff}' {
                column.characters += 1;
                column.units += letter.len_utf16() as u32;
            }
        }
        column
    }
}

/// Bytes between two known columns of one line.
const STRIDE: u32 = 512;

/// The columns at every 512 bytes or so of lines longer than that, in order.
fn columns(text: &str, line_starts: &[u32]) -> Vec<Column> {
    let ends = line_starts.iter().skip(1).copied().chain([text.len() as u32]);
    let mut columns = Vec::new();
    for (start, end) in line_starts.iter().copied().zip(ends).filter(|(start, end)| end - start > STRIDE) {
        let mut column = Column { at: start, characters: 0, units: 0 };
        while end - column.at > STRIDE {
            let aim = (column.at + STRIDE) as usize;
            // A character has at most four bytes.
            let next = (aim..=aim + 3).find(|at| text.is_char_boundary(*at)).unwrap_or(aim);
            column = column.behind(text.get(column.at as usize..next).unwrap_or(""));
            if column.at < next as u32 {
                break;
            }
            columns.push(column);
        }
    }
    columns
}

/// All files of a design, in the order in which they were read.
#[derive(Debug, Default, Clone)]
pub struct Sources {
    files: Vec<SourceFile>,
}

impl Sources {
    /// No files yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a file; `None` if there are already 65,535 of them.
    pub fn add(&mut self, file: SourceFile) -> Option<FileId> {
        let id = u16::try_from(self.files.len()).ok()?;
        self.files.push(file);
        Some(FileId(id))
    }

    /// The file `id`.
    #[must_use]
    pub fn file(&self, id: FileId) -> Option<&SourceFile> {
        self.files.get(id.0 as usize)
    }

    pub(crate) fn file_mut(&mut self, id: FileId) -> Option<&mut SourceFile> {
        self.files.get_mut(id.0 as usize)
    }

    /// All files with their ids.
    pub fn files(&self) -> impl Iterator<Item = (FileId, &SourceFile)> {
        self.files.iter().enumerate().map(|(index, file)| (FileId(index as u16), file))
    }

    /// The text that `span` covers; empty if the span is outside its file.
    #[must_use]
    pub fn slice(&self, span: Span) -> &str {
        self.file(span.file).and_then(|file| file.text().get(span.start as usize..span.end as usize)).unwrap_or("")
    }

    /// Where `span` begins and ends, for an editor; `None` if its file is not known.
    #[must_use]
    pub fn range(&self, span: Span) -> Option<PositionRange> {
        self.file(span.file).map(|file| file.range(span.start, span.end))
    }

    /// `file:line:column` of the start of `span`.
    #[must_use]
    pub fn place(&self, span: Span) -> String {
        match self.file(span.file) {
            Some(file) => {
                let (line, column) = file.line_column(span.start);
                format!("{}:{line}:{column}", file.name())
            }
            None => String::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{FileId, Position, SourceFile, Sources, Span};
    use proptest::prelude::*;

    /// Line, column and UTF-16 column by counting from the start of the file.
    fn counted(text: &str, offset: usize) -> (usize, usize, usize) {
        let before = &text[..offset];
        let line = before.rsplit('\n').next().unwrap_or("");
        let line = line.trim_start_matches('\u{feff}');
        (before.matches('\n').count() + 1, line.chars().count() + 1, line.encode_utf16().count() + 1)
    }

    proptest! {
        #[test]
        fn every_place_is_where_counting_finds_it(parts in prop::collection::vec("[a-c]{0,400}|[äß☃😀é]{0,150}|\n|\u{feff}", 0..12)) {
            let text = parts.concat();
            let file = SourceFile::new("f".to_owned(), text.clone());
            for (offset, _) in text.char_indices().chain([(text.len(), ' ')]) {
                let Position { line, column, utf16_column } = file.position(offset as u32);
                prop_assert_eq!((line, column, utf16_column), counted(&text, offset), "at {} of {:?}", offset, &text);
            }
        }
    }

    #[test]
    fn a_range_is_told_in_characters_and_in_utf16() {
        // The face takes four bytes, one character, two units of UTF-16.
        let mut sources = Sources::new();
        let file = sources.add(SourceFile::new("f".to_owned(), "a: 1\n😀: né\n".to_owned())).unwrap();
        let range = sources.range(Span::new(file, 11, 14)).unwrap();
        assert_eq!(range.start, Position { line: 2, column: 4, utf16_column: 5 });
        assert_eq!(range.end, Position { line: 2, column: 6, utf16_column: 7 });
        assert_eq!(sources.range(Span::new(FileId(7), 0, 0)), None);
    }

    #[test]
    fn a_place_within_a_character_or_behind_the_text_is_the_nearest_before() {
        let file = SourceFile::new("f".to_owned(), "é\nx".to_owned());
        assert_eq!(file.line_column(1), (1, 1));
        assert_eq!(file.line_column(99), (2, 2));
    }
}
