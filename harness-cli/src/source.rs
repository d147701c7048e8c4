//! Where a design is read from: a file, standard input, or a file as it was at a git revision.

pub mod above;
pub mod design;
pub mod disk;
pub mod git;
mod guard;
pub mod input;

use crate::failure::Failure;
use disk::{DiskFiles, STDIN};
use git::{NoRevision, RevisionFiles};
use harness_core::{FileError, Files};
use std::{
    io::Read,
    path::{Path, PathBuf},
};

/// A design that is read from one of them.
#[derive(Debug)]
pub enum Source {
    /// A file, or standard input.
    Disk(DiskFiles),
    /// A file as it was at a git revision.
    Revision(RevisionFiles),
}

impl Source {
    /// Reads the file `path`; `-` is `input`.
    ///
    /// # Errors
    /// If it can't be read; completes "failed to …".
    pub fn file(path: &Path, input: &mut dyn Read) -> Result<Self, Failure> {
        design::open(path, input).map(Self::Disk)
    }

    /// Reads what is to be compared with the design `of`: a file if there is one called `text`, else `of` as it was at the
    /// revision `text`.
    ///
    /// # Errors
    /// If it is neither, or can't be read; completes "failed to …".
    pub fn file_or_revision(text: &Path, of: &Path, input: &mut dyn Read) -> Result<Self, Failure> {
        let is_input = text == Path::new(STDIN);
        let is_there = is_input || text.symlink_metadata().is_ok();
        // A branch may be called as a folder is, and a folder is not a design.
        let is_design = is_input || (is_there && !text.is_dir());
        let folder = of.parent().unwrap_or(Path::new(""));
        if is_design {
            return Self::file(text, input);
        }
        let why = match text.to_str().map(|name| (name, git::is_revision(name, folder))) {
            Some((name, Ok(()))) => return RevisionFiles::open(name, of).map(Self::Revision),
            Some((_, Err(why))) => why,
            None => NoRevision::Unknown(String::new()),
        };
        Self::file(text, input).map_err(|failure| match failure {
            Failure::Told(told) if !is_there => Failure::Told(neither(&told, of, &why)),
            other => other,
        })
    }

    /// The name of the design's own file, for [`harness_core::Design::load`].
    #[must_use]
    pub fn root(&self) -> &str {
        match self {
            Self::Disk(files) => files.root(),
            Self::Revision(files) => files.root(),
        }
    }

    /// The files on disk that were read so far; none of them may be written over.
    #[must_use]
    pub fn read_so_far(&self) -> Vec<PathBuf> {
        match self {
            Self::Disk(files) => files.read_so_far(),
            Self::Revision(_) => Vec::new(),
        }
    }

    /// What is before the names of its files: the folder, after the revision if it is of one.
    #[must_use]
    pub fn prefix(&self) -> String {
        match self {
            Self::Disk(files) => files.prefix(),
            Self::Revision(files) => files.prefix(),
        }
    }
}

/// That a text is not a file, as `told` says, and no revision of the design `of` either; what may be meant comes last.
fn neither(told: &str, of: &Path, why: &NoRevision) -> String {
    const NEAR: &str = "; did you mean";
    let (told, near) = told.split_at(told.find(NEAR).unwrap_or(told.len()));
    let of = of.display();
    match why {
        NoRevision::Unknown(instead) if near.is_empty() => format!("{told}; `{of}` has no git revision of that name{instead}"),
        NoRevision::Unknown(_) => format!("{told}; `{of}` has no git revision of that name{near}"),
        NoRevision::Unasked(why) => format!("{told}; and it cannot be a git revision of `{of}`: {why}{near}"),
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
