//! The one door to the outside: files by name.

use std::collections::BTreeMap;

/// Hands the library files by name, so that an editor, a test or a browser can hold them in memory.
///
/// # Example
/// Files out of a store of one's own:
/// ```
/// use harness_core::{Checker, FileError, Files, check};
/// use std::collections::BTreeMap;
///
/// struct Store(BTreeMap<&'static str, &'static str>);
///
/// impl Files for Store {
///     fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
///         self.0.get(name).map(|text| text.as_bytes().to_vec()).ok_or(FileError::Missing)
///     }
/// }
///
/// let lift = ("lift.yaml", "format: 1\ndesign: Lift\ninclude: [zones.yaml]\ndevices: { horn: { zone: grill } }\n");
/// let zones = ("zones.yaml", "zones: { grill: { wet: true } }\n");
/// let whole = check(&Store([lift, zones].into()), "lift.yaml", &Checker::new());
/// assert!(!whole.findings.iter().any(|finding| finding.rule.starts_with("format/")));
/// let part = check(&Store([lift].into()), "lift.yaml", &Checker::new());
/// assert_eq!(part.findings[0].rule, "format/include");
/// ```
pub trait Files {
    /// The bytes of the file `name`.
    ///
    /// Names are relative to the caller's root and use `/`; an include is joined to the folder of the file that
    /// names it before this is called, with `.` and `..` already resolved.
    ///
    /// # Errors
    /// A [`FileError`] that says why the file can't be read.
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError>;

    /// The names of the files in the folder in which `name` would be, without the folder; for a hint where it is missing.
    ///
    /// Asked once for each folder, however many files are missing in it. May be empty; the order decides between names that are
    /// equally near.
    fn beside(&self, name: &str) -> Vec<String> {
        let _ = name;
        Vec::new()
    }
}

/// Why a file can't be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FileError {
    /// There is no such file.
    Missing,
    /// The file is there and can't be read; completes "failed to read …: ".
    Unreadable(String),
}

/// Files held in memory, by name.
#[derive(Debug, Default, Clone)]
pub struct MemoryFiles {
    files: BTreeMap<String, Vec<u8>>,
}

impl MemoryFiles {
    /// One file called `name`.
    #[must_use]
    pub fn one(name: &str, bytes: impl Into<Vec<u8>>) -> Self {
        Self::default().and(name, bytes)
    }

    /// Adds a file; of two with one name the first is kept.
    #[must_use]
    pub fn and(mut self, name: &str, bytes: impl Into<Vec<u8>>) -> Self {
        self.files.entry(name.to_owned()).or_insert_with(|| bytes.into());
        self
    }
}

/// The folder of a name with its final `/`, and what is behind it.
fn parted(name: &str) -> (&str, &str) {
    name.split_at(name.rfind('/').map_or(0, |at| at + 1))
}

impl Files for MemoryFiles {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        self.files.get(name).cloned().ok_or(FileError::Missing)
    }

    fn beside(&self, name: &str) -> Vec<String> {
        let (folder, _) = parted(name);
        self.files.keys().map(|known| parted(known)).filter(|(own, _)| *own == folder).map(|(_, file)| file.to_owned()).collect()
    }
}
