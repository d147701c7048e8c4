//! Designs as they were at a git revision, behind the library's door.
//!
//! A revision is whatever git takes for a commit: a branch, a tag, a hash, `HEAD~2`. Nothing is checked out, fetched or locked.

mod changed;
mod place;
mod since;
mod snapshot;

pub use changed::changed_since;
pub use since::Since;

use super::guard::stays_inside;
use crate::{
    failure::Failure,
    phrase::{did_you_mean, first, quoted},
};
use harness_core::{FileError, Files};
use place::Place;
use snapshot::Snapshot;
use std::{path::Path, sync::Arc};

/// A design at a revision, and the folder it is in there, from which its includes are read.
#[derive(Debug)]
pub struct RevisionFiles {
    root: String,
    bytes: Vec<u8>,
    /// The folder of the design below the top of the repository; empty at the top.
    within: String,
    prefix: String,
    snapshot: Arc<Snapshot>,
}

impl RevisionFiles {
    /// Reads the design's own file at `revision`; `path` is as on the command line, relative to the working directory.
    ///
    /// # Errors
    /// If git can't be run, the path is in no repository, there is no such revision or no such file in it; completes
    /// "failed to …" and lists near names.
    pub fn open(revision: &str, path: &Path) -> Result<Self, Failure> {
        let told = |reason: String| Failure::Told(format!("read `{}` at `{revision}`: {reason}", path.display()));
        if path == Path::new("-") {
            return Err(told("standard input has no revisions; name a file".to_owned()));
        }
        let folder = path.parent().unwrap_or(Path::new(""));
        let Some(root) = path.file_name().and_then(|name| name.to_str()) else {
            return Err(told("this is not a file name in UTF-8".to_owned()));
        };
        let place = Place::of(folder).map_err(told)?;
        let commit = place.commit(revision).map_err(told)?;
        let within = place.within.clone();
        let snapshot = Snapshot::new(place, commit, &within).map_err(told)?;
        Self::within(Arc::new(snapshot), revision, folder, within, root).map_err(told)
    }

    /// The design `root` in the folder `within` of a snapshot; `folder` is how that is called on the command line.
    fn within(snapshot: Arc<Snapshot>, revision: &str, folder: &Path, within: String, root: &str) -> Result<Self, String> {
        let bytes = match snapshot.read(&within, root) {
            Ok(bytes) => bytes,
            Err(FileError::Unreadable(reason)) => return Err(reason),
            Err(FileError::Missing) => return Err(missing(&snapshot, root, &snapshot.beside(&joined(&within, root)))),
        };
        let folder = folder.to_string_lossy().replace('\\', "/");
        let slash = if folder.is_empty() || folder.ends_with('/') { "" } else { "/" };
        let prefix = format!("{revision}:{folder}{slash}");
        Ok(Self { root: root.to_owned(), bytes, within, prefix, snapshot })
    }

    /// The name of the design's own file, for [`harness_core::check`].
    #[must_use]
    pub fn root(&self) -> &str {
        &self.root
    }

    /// The revision and the folder of the design as on the command line, with a final `/`: `HEAD~1:designs/`.
    #[must_use]
    pub fn prefix(&self) -> String {
        self.prefix.clone()
    }
}

impl Files for RevisionFiles {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        if name == self.root {
            return Ok(self.bytes.clone());
        }
        stays_inside(name)?;
        self.snapshot.read(&self.within, name)
    }

    fn beside(&self, name: &str) -> Vec<String> {
        self.snapshot.beside(&joined(&self.within, name))
    }
}

/// Why a text names no commit.
#[derive(Debug, PartialEq, Eq)]
pub enum NoRevision {
    /// The repository has none of that name; what may be meant, or what brings it in, if anything. Goes on after a name.
    Unknown(String),
    /// Git could not be asked; its reason.
    Unasked(String),
}

/// Whether `text` names a commit of the repository in which `folder` is.
///
/// # Errors
/// Why it does not, or why that can't be known.
pub fn is_revision(text: &str, folder: &Path) -> Result<(), NoRevision> {
    let place = Place::of(folder).map_err(NoRevision::Unasked)?;
    match place.known(text).map_err(NoRevision::Unasked)? {
        Some(_) => Ok(()),
        None => Err(NoRevision::Unknown(place.instead(text).map_err(NoRevision::Unasked)?)),
    }
}

/// So many other places of a file are named.
const ELSEWHERE: usize = 3;

fn joined(folder: &str, name: &str) -> String {
    if folder.is_empty() { name.to_owned() } else { format!("{folder}/{name}") }
}

/// That there is no such file; with the near names of its folder, or with where the revision has a file of this name.
fn missing(snapshot: &Snapshot, root: &str, near: &[String]) -> String {
    let near = did_you_mean(root, near);
    if !near.is_empty() {
        return format!("there is no such file in that revision{near}");
    }
    let elsewhere = snapshot.called(root);
    match elsewhere.as_slice() {
        [] => "there is no such file in that revision".to_owned(),
        paths => {
            let paths = first(&quoted(paths), ELSEWHERE, 0);
            format!("there is no such file in that revision; it has {paths}, seen from the top of the repository")
        }
    }
}
