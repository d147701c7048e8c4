//! The files of a design with changes made in memory.

use crate::{
    files::{FileError, Files},
    finding::Edit,
    text::{FileId, Sources},
};
use std::collections::BTreeMap;

/// Files as they were read, some with edits made. What was not read is missing: an edit can't bring in a file.
#[derive(Debug)]
pub(super) struct Overlay<'s> {
    sources: &'s Sources,
    edited: BTreeMap<FileId, String>,
}

impl<'s> Overlay<'s> {
    /// The files with `edits` made; `None` if two edits touch each other, one is outside its file, or a file could not be taken as
    /// text.
    pub(super) fn new(sources: &'s Sources, edits: &[Edit]) -> Option<Self> {
        if sources.files().any(|(_, file)| file.is_refused()) {
            return None;
        }
        Some(Self { sources, edited: edited(sources, edits)? })
    }

    /// The files that an edit changed, with their new texts.
    pub(super) fn edited(self) -> BTreeMap<FileId, String> {
        self.edited
    }
}

impl Files for Overlay<'_> {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        let file = self.sources.files().find(|(_, file)| file.name() == name);
        let (id, file) = file.ok_or(FileError::Missing)?;
        Ok(self.edited.get(&id).map_or(file.text(), String::as_str).as_bytes().to_vec())
    }
}

/// Whether two edits would change the same place. Two insertions at one place do; so does one at the border of a replacement.
pub(super) fn touch(one: &Edit, other: &Edit) -> bool {
    one.span.file == other.span.file && one.span.start <= other.span.end && other.span.start <= one.span.end
}

/// The new texts of the files that the edits change. Every byte outside of an edit stays as it is.
fn edited(sources: &Sources, edits: &[Edit]) -> Option<BTreeMap<FileId, String>> {
    let mut sorted: Vec<&Edit> = edits.iter().collect();
    sorted.sort_unstable();
    sorted.dedup();
    if sorted.iter().zip(sorted.iter().skip(1)).any(|(one, other)| touch(one, other)) {
        return None;
    }
    let mut texts = BTreeMap::new();
    for group in sorted.chunk_by(|a, b| a.span.file == b.span.file) {
        let id = group.first()?.span.file;
        let old = sources.file(id)?.text();
        let mut new = String::with_capacity(old.len() + 64);
        let mut done = 0;
        for edit in group {
            new.push_str(old.get(done..edit.span.start as usize)?);
            old.get(edit.span.start as usize..edit.span.end as usize)?;
            new.push_str(&edit.text);
            done = edit.span.end as usize;
        }
        new.push_str(old.get(done..)?);
        texts.insert(id, new);
    }
    Some(texts)
}

#[cfg(test)]
mod tests {
    use super::{Overlay, touch};
    use crate::{
        files::{FileError, Files},
        finding::Edit,
        text::{SourceFile, Sources, Span},
    };

    fn edit(file: crate::text::FileId, start: u32, end: u32, text: &str) -> Edit {
        Edit { span: Span::new(file, start, end), text: text.to_owned() }
    }

    #[test]
    fn edits_change_their_places_and_no_other_byte() {
        let mut sources = Sources::new();
        let one = sources.add(SourceFile::new("a.yaml".to_owned(), "a: 1 # é\r\nb: 2\r\n".to_owned())).unwrap();
        let other = sources.add(SourceFile::new("b.yaml".to_owned(), "c: 3".to_owned())).unwrap();
        let edits = [edit(one, 14, 15, "4"), edit(other, 4, 4, ", d: 5"), edit(one, 3, 4, "10 # x")];
        let overlay = Overlay::new(&sources, &edits).unwrap();
        assert_eq!(overlay.read("a.yaml").unwrap(), "a: 10 # x # é\r\nb: 4\r\n".as_bytes());
        assert_eq!(overlay.read("b.yaml").unwrap(), b"c: 3, d: 5");
        assert_eq!(overlay.read("c.yaml"), Err(FileError::Missing));
        assert_eq!(overlay.edited().len(), 2);
    }

    #[test]
    fn edits_that_touch_or_lead_out_of_the_file_are_refused() {
        let mut sources = Sources::new();
        let file = sources.add(SourceFile::new("a.yaml".to_owned(), "é: 1".to_owned())).unwrap();
        let refused = |edits: &[Edit]| Overlay::new(&sources, edits).is_none();
        assert!(refused(&[edit(file, 0, 3, "a"), edit(file, 3, 5, "b")]));
        assert!(refused(&[edit(file, 4, 9, "a")]));
        assert!(refused(&[edit(file, 1, 2, "a")]), "within a character");
        assert!(!refused(&[edit(file, 4, 5, "a"), edit(file, 4, 5, "a")]), "the same edit twice is one");
        assert!(touch(&edit(file, 2, 2, "a"), &edit(file, 2, 2, "b")));
    }
}
