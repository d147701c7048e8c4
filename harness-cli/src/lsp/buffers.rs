//! The texts that the client holds, and the files of a design with these in the place of those on disk.

use super::{
    place::{Encoding, Lines},
    uri,
};
use crate::source::disk::DiskFiles;
use harness_core::{FileError, Files};
use lsp_types::{TextDocumentContentChangeEvent, Uri};
use std::{
    collections::BTreeMap,
    fs,
    path::{Path, PathBuf},
};

/// A text that the client holds.
#[derive(Debug, Clone)]
pub struct Buffer {
    /// Its address, as the client writes it.
    pub uri: Uri,
    /// Its version.
    pub version: i32,
    /// Its text.
    pub text: String,
}

/// A stretch of a text that was replaced: its bytes, and how many there are now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Replaced {
    /// First byte.
    pub start: usize,
    /// One past the last byte that was there.
    pub end: usize,
    /// How many bytes are there now.
    pub now: usize,
}

/// All texts that the client holds, by path. A text that is not a file has a path of its own.
#[derive(Debug, Default)]
pub struct Buffers {
    open: BTreeMap<PathBuf, Buffer>,
}

/// The path under which a text is kept: that of its file; what is not a file is by its address in a folder that no system has.
#[must_use]
pub fn key(uri: &Uri) -> PathBuf {
    uri::path(uri).unwrap_or_else(|| Path::new("\u{1}").join(uri.as_str().replace(['/', '\\', ':'], "_")))
}

impl Buffers {
    /// Takes a text.
    pub fn open(&mut self, uri: Uri, version: i32, text: String) -> PathBuf {
        let path = key(&uri);
        self.open.insert(path.clone(), Buffer { uri, version, text });
        path
    }

    /// Lets a text go.
    pub fn close(&mut self, path: &Path) -> Option<Buffer> {
        self.open.remove(path)
    }

    /// The text at a path.
    #[must_use]
    pub fn get(&self, path: &Path) -> Option<&Buffer> {
        self.open.get(path)
    }

    /// The paths of all texts.
    pub fn paths(&self) -> impl Iterator<Item = &PathBuf> {
        self.open.keys()
    }

    /// Makes changes in their order; what was replaced by each. Nothing where the text is not held.
    pub fn change(
        &mut self,
        path: &Path,
        version: i32,
        changes: Vec<TextDocumentContentChangeEvent>,
        encoding: Encoding,
    ) -> Vec<Replaced> {
        let Some(buffer) = self.open.get_mut(path) else { return Vec::new() };
        buffer.version = version;
        let mut replaced = Vec::with_capacity(changes.len());
        for change in changes {
            let (start, end) = match change.range {
                Some(range) => {
                    let lines = Lines::new(&buffer.text, encoding);
                    let (one, other) = (lines.byte(range.start), lines.byte(range.end));
                    (one.min(other), one.max(other))
                }
                None => (0, buffer.text.len()),
            };
            replaced.push(Replaced { start, end, now: change.text.len() });
            if change.range.is_some() { buffer.text.replace_range(start..end, &change.text) } else { buffer.text = change.text }
        }
        replaced
    }

    /// The address of a file: as the client writes it, if it has it open.
    #[must_use]
    pub fn address(&self, path: &Path) -> Option<Uri> {
        self.get(path).map(|buffer| buffer.uri.clone()).or_else(|| uri::of(path))
    }

    /// The text at a path, held or on disk; `None` if it can't be read as text.
    #[must_use]
    pub fn text(&self, path: &Path) -> Option<String> {
        match self.get(path) {
            Some(buffer) => Some(buffer.text.clone()),
            None => fs::read_to_string(path).ok(),
        }
    }

    /// The files of the design whose own file is at a path.
    #[must_use]
    pub fn files(&self, root: &Path) -> Workspace<'_> {
        let folder = root.parent().unwrap_or(Path::new("")).to_owned();
        let name = root.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        let disk = match self.get(root) {
            Some(buffer) => Some(DiskFiles::held(root, buffer.text.as_bytes().to_vec())),
            None => DiskFiles::file(root).ok(),
        };
        Workspace { buffers: self, folder, name, disk }
    }
}

/// The files of one design: texts that the client holds, else those on disk below the folder of the design.
#[derive(Debug)]
pub struct Workspace<'b> {
    buffers: &'b Buffers,
    folder: PathBuf,
    name: String,
    disk: Option<DiskFiles>,
}

impl Workspace<'_> {
    /// The name of the design's own file.
    #[must_use]
    pub fn root(&self) -> &str {
        &self.name
    }
}

impl Files for Workspace<'_> {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        // The library lets no name lead out of the folder.
        if let Some(buffer) = self.buffers.get(&self.folder.join(name)) {
            return Ok(buffer.text.as_bytes().to_vec());
        }
        self.disk.as_ref().map_or(Err(FileError::Missing), |disk| disk.read(name))
    }

    fn beside(&self, name: &str) -> Vec<String> {
        self.disk.as_ref().map_or_else(Vec::new, |disk| disk.beside(name))
    }
}
