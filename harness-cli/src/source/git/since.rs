//! Whether a design differs from what it was at a revision.

use super::{changed, joined, place::Place, snapshot::Snapshot};
use crate::{failure::Failure, source::disk::DiskFiles};
use harness_core::{Document, FileError, Files};
use std::{
    cell::RefCell,
    collections::{BTreeMap, BTreeSet},
    path::{Path, PathBuf},
    rc::Rc,
};

/// A revision, with what differs from it in each repository that was asked about.
#[derive(Debug)]
pub struct Since {
    revision: String,
    /// By the folder of a design: the repository and where the folder is in it.
    folders: BTreeMap<PathBuf, (Rc<Repository>, String)>,
    /// By the top of the working tree.
    repositories: BTreeMap<PathBuf, Rc<Repository>>,
}

/// What one repository has at the revision and what differs from it.
#[derive(Debug)]
struct Repository {
    /// The top of the working tree, without links.
    top: PathBuf,
    /// Paths that differ, from the top.
    changed: BTreeSet<String>,
    snapshot: Snapshot,
}

impl Since {
    /// Asks about changes since `revision`; git is asked when the first design is.
    #[must_use]
    pub fn new(revision: &str) -> Self {
        Self { revision: revision.to_owned(), folders: BTreeMap::new(), repositories: BTreeMap::new() }
    }

    /// Whether the design's own file or one that it includes differs from the revision.
    ///
    /// The files that count are those that the design asks for today, missing ones too. If none of them differs, the design asked
    /// for the same ones then: an include that is gone is still asked for, or the file that named it differs. What the revision
    /// does not have and the disk has differs too, even if git ignores it.
    ///
    /// # Errors
    /// If git can't be run, the design is in no repository, or there is no such revision in it; completes "failed to …".
    pub fn touches(&mut self, files: &DiskFiles) -> Result<bool, Failure> {
        let revision = self.revision.clone();
        let told = |reason: String| {
            let path = format!("{}{}", files.prefix(), files.root());
            Failure::Told(format!("find out whether `{path}` changed since `{revision}`: {reason}"))
        };
        let folder = files.folder();
        let (repository, within) = match self.folders.get(folder) {
            Some(known) => known.clone(),
            None => {
                let found = self.open(folder).map_err(told)?;
                self.folders.insert(folder.to_owned(), found.clone());
                found
            }
        };
        Ok(asked_for(files).iter().any(|name| repository.differs(&joined(&within, name), &folder.join(name))))
    }

    fn open(&mut self, folder: &Path) -> Result<(Rc<Repository>, String), String> {
        let place = Place::of(folder)?;
        let within = place.within.clone();
        let top = place.top()?;
        let top = top.canonicalize().unwrap_or(top);
        if let Some(known) = self.repositories.get(&top) {
            return Ok((Rc::clone(known), within));
        }
        let commit = place.commit(&self.revision)?;
        let changed = changed::changes(&place, &commit)?;
        let snapshot = Snapshot::new(place, commit, "")?;
        let repository = Rc::new(Repository { top: top.clone(), changed, snapshot });
        self.repositories.insert(top, Rc::clone(&repository));
        Ok((repository, within))
    }
}

impl Repository {
    /// Whether the file called `path` from the top, and `disk` from here, differs from the revision.
    fn differs(&self, path: &str, disk: &Path) -> bool {
        if self.changed.contains(path) {
            return true;
        }
        let Ok(real) = disk.canonicalize() else {
            // It is missing now; git would have named it if it had been there.
            return self.snapshot.has(path);
        };
        // Behind a link another file is read, which git compares under its own name.
        let Ok(real) = real.strip_prefix(&self.top) else { return true };
        let real = real.to_string_lossy().replace('\\', "/");
        self.changed.contains(&real) || !self.snapshot.has(&real)
    }
}

/// The names that a design asks for when it is read, its own among them.
fn asked_for(files: &DiskFiles) -> BTreeSet<String> {
    struct Recorded<'a> {
        files: &'a DiskFiles,
        names: RefCell<BTreeSet<String>>,
    }
    impl Files for Recorded<'_> {
        fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
            self.names.borrow_mut().insert(name.to_owned());
            self.files.read(name)
        }

        fn beside(&self, name: &str) -> Vec<String> {
            self.files.beside(name)
        }
    }
    let recorded = Recorded { files, names: RefCell::default() };
    let _ = Document::read(&recorded, files.root());
    recorded.names.into_inner()
}
