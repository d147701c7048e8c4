//! The one door to the outside: files by name.

/// Hands the library files by name, so that an editor, a test or a browser can hold them in memory.
pub trait Files {
    /// The bytes of the file `name`.
    ///
    /// Names are relative to the caller's root and use `/`; an include is joined to the folder of the file that
    /// names it before this is called, with `.` and `..` already resolved.
    ///
    /// # Errors
    /// A [`FileError`] that says why the file can't be had.
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError>;
}

/// Why a file can't be had.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FileError {
    /// There is no such file; `near` lists names of the same folder, for a hint.
    Missing {
        /// Names of files in the folder that was looked in.
        near: Vec<String>,
    },
    /// The file is there and can't be read; completes "failed to read …: ".
    Unreadable(String),
}

/// Files held in memory, by name.
#[derive(Debug, Default, Clone)]
pub struct MemoryFiles {
    files: Vec<(String, Vec<u8>)>,
}

impl MemoryFiles {
    /// One file called `name`.
    #[must_use]
    pub fn one(name: &str, bytes: impl Into<Vec<u8>>) -> Self {
        Self { files: vec![(name.to_owned(), bytes.into())] }
    }

    /// Adds a file.
    #[must_use]
    pub fn and(mut self, name: &str, bytes: impl Into<Vec<u8>>) -> Self {
        self.files.push((name.to_owned(), bytes.into()));
        self
    }
}

impl Files for MemoryFiles {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        match self.files.iter().find(|(known, _)| known == name) {
            Some((_, bytes)) => Ok(bytes.clone()),
            None => Err(FileError::Missing { near: self.files.iter().map(|(known, _)| known.clone()).collect() }),
        }
    }
}
