//! What differs between a revision and the files on disk.

use super::place::Place;
use crate::failure::Failure;
use std::{collections::BTreeSet, path::Path};

/// The paths below the top of the repository of `folder`, with `/`, that differ between `revision` and the files on disk:
/// committed since, changed, added or deleted and not committed, or new and not ignored.
///
/// Names that are not UTF-8 have the replacement character for what can't be read.
///
/// # Errors
/// If git can't be run, `folder` is in no repository, or there is no such revision; completes "failed to …".
pub fn changed_since(revision: &str, folder: &Path) -> Result<BTreeSet<String>, Failure> {
    let told = |reason: String| Failure::Told(format!("find what changed since `{revision}`: {reason}"));
    let place = Place::of(folder).map_err(told)?;
    let commit = place.commit(revision).map_err(told)?;
    changes(&place, &commit).map_err(told)
}

/// The same for a place and a commit that were found already.
pub(super) fn changes(place: &Place, commit: &str) -> Result<BTreeSet<String>, String> {
    let top = Place::of(&place.top()?)?;
    let differing = ["diff", "--name-only", "-z", "--no-renames", "--no-ext-diff", "--ignore-submodules=none", commit, "--"];
    let new = ["ls-files", "-o", "--exclude-standard", "--full-name", "-z", "--"];
    let mut paths = BTreeSet::new();
    for arguments in [&differing[..], &new[..]] {
        let listing = top.bytes(arguments)?;
        let names = listing.split(|byte| *byte == 0).filter(|name| !name.is_empty());
        paths.extend(names.map(|name| String::from_utf8_lossy(name).into_owned()));
    }
    Ok(paths)
}
