//! One side of a comparison: a design on disk, or as it stood at a revision.

pub mod disk;
pub mod git;

use crate::{
    failure::Failure,
    source::{disk::DiskFiles, git::RevisionFiles},
};
use harness_core::{FileError, Files};
use std::{io::Read, path::Path};

/// Where one of two revisions is read from.
#[derive(Debug)]
pub enum Source {
    /// A file, or standard input.
    Disk(DiskFiles),
    /// A file as it stood at a git revision.
    Revision(RevisionFiles),
}

impl Source {
    /// Reads the file `path`; `-` is `input`.
    ///
    /// # Errors
    /// If it can't be read; completes "failed to …".
    pub fn file(path: &Path, input: &mut dyn Read) -> Result<Self, Failure> {
        DiskFiles::open(path, input).map(Self::Disk)
    }

    /// Reads what is to be compared with the design `of`: a file if there is one called `text`, else `of` as it stood at the
    /// revision `text`.
    ///
    /// # Errors
    /// If it is neither, or can't be read; completes "failed to …".
    pub fn file_or_revision(text: &Path, of: &Path, input: &mut dyn Read) -> Result<Self, Failure> {
        let is_input = text == Path::new("-");
        let is_there = is_input || text.symlink_metadata().is_ok();
        // A branch may be called as a folder is, and a folder is no design.
        let is_design = is_input || (is_there && !text.is_dir());
        let folder = of.parent().unwrap_or(Path::new(""));
        match text.to_str() {
            Some(name) if !is_design && git::is_revision(name, folder) => RevisionFiles::open(name, of).map(Self::Revision),
            _ if is_there => Self::file(text, input),
            _ => Self::file(text, input).map_err(|failure| match failure {
                Failure::Told(told) => Failure::Told(format!("{told}; no git revision of `{}` is called so", of.display())),
                other => other,
            }),
        }
    }

    /// The name of the design's own file, for [`harness_core::analyse`].
    #[must_use]
    pub fn root(&self) -> &str {
        match self {
            Self::Disk(files) => files.root(),
            Self::Revision(files) => files.root(),
        }
    }

    /// What stands before the names of its files: the folder, after the revision if it is of one.
    #[must_use]
    pub fn prefix(&self) -> String {
        match self {
            Self::Disk(files) => files.prefix(),
            Self::Revision(files) => files.prefix(),
        }
    }
}

impl Files for Source {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        match self {
            Self::Disk(files) => files.read(name),
            Self::Revision(files) => files.read(name),
        }
    }

    fn beside(&self, name: &str) -> Vec<String> {
        match self {
            Self::Disk(files) => files.beside(name),
            Self::Revision(files) => files.beside(name),
        }
    }
}
