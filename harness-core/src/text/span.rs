//! Files, byte spans and the line index.

use super::Name;

/// A file of the design, by the order in which it was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct FileId(pub u16);

/// A range of bytes in one file; `start == end` marks a place between two characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Span {
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
    /// The file.
    pub file: FileId,
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

    /// From the start of `self` to the end of `other`, if both lie in one file; else `self`.
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
    /// Where it stands.
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
    refused: bool,
}

impl SourceFile {
    /// Takes a file's display name and its text.
    #[must_use]
    pub fn new(name: String, text: String) -> Self {
        let mut line_starts = vec![0];
        line_starts.extend(memchr::memchr_iter(b'\n', text.as_bytes()).map(|at| at as u32 + 1));
        Self { name, text, line_starts, refused: false }
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
    #[must_use]
    pub fn line_column(&self, offset: u32) -> (usize, usize) {
        let line = self.line_of(offset);
        let start = self.line_starts.get(line).copied().unwrap_or(0) as usize;
        let before = self.text.get(start..(offset as usize).min(self.text.len())).unwrap_or("");
        (line + 1, before.trim_start_matches('\u{feff}').chars().count() + 1)
    }
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

    /// All files with their ids.
    pub fn files(&self) -> impl Iterator<Item = (FileId, &SourceFile)> {
        self.files.iter().enumerate().map(|(index, file)| (FileId(index as u16), file))
    }

    /// The text that `span` covers; empty if the span lies outside its file.
    #[must_use]
    pub fn slice(&self, span: Span) -> &str {
        self.file(span.file).and_then(|file| file.text().get(span.start as usize..span.end as usize)).unwrap_or("")
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
