//! Which design reads a file: it is looked for in the folder of the file and in those above.
//!
//! Owns how far the search goes and what is looked at on the way. Where texts come from is the business of whoever asks: files on disk, or
//! an editor that holds some of them.

use std::path::{Path, PathBuf};

/// Folders in which a design is looked for, that of the file included.
const MOST_FOLDERS: usize = 6;
/// Netlists of a folder that are looked at.
const MOST_FILES: usize = 400;

/// Where texts come from.
pub trait Shelf {
    /// The files in a folder, in any order.
    fn files_in(&self, folder: &Path) -> Vec<PathBuf>;
    /// The text at a path; `None` if it can't be read, or is too large to be looked through.
    fn text(&self, path: &Path) -> Option<String>;
    /// The files that the design at `root` reads.
    fn read_by(&self, root: &Path) -> Vec<PathBuf>;
    /// Whether nothing is looked for above a folder.
    fn is_top(&self, folder: &Path) -> bool;
}

/// The nearest design above the file at `path` that reads it, directly or through another file; of those of one folder first what says that
/// it is a design, then by name.
#[must_use]
pub fn design_of(shelf: &impl Shelf, path: &Path) -> Option<PathBuf> {
    let mut folder = path.parent();
    for _ in 0..MOST_FOLDERS {
        let here = folder.filter(|here| !here.as_os_str().is_empty())?;
        let found =
            including(shelf, here).into_iter().find(|root| root != path && shelf.read_by(root).iter().any(|file| file == path));
        if found.is_some() || shelf.is_top(here) {
            return found;
        }
        folder = here.parent();
    }
    None
}

/// The files of a folder that include others.
fn including(shelf: &impl Shelf, folder: &Path) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = shelf.files_in(folder).into_iter().filter(|path| is_netlist(path)).collect();
    found.sort();
    found.dedup();
    let text =
        |path: PathBuf| shelf.text(&path).filter(|text| has_key(text, "include")).map(|text| (!has_key(&text, "design"), path));
    let mut found: Vec<(bool, PathBuf)> = found.into_iter().take(MOST_FILES).filter_map(text).collect();
    found.sort();
    found.into_iter().map(|(_, path)| path).collect()
}

/// Whether a text has a key at its margin, however much else of it can't be read.
#[must_use]
pub fn has_key(text: &str, key: &str) -> bool {
    let is_first = |at: usize| text.get(..at).is_some_and(|before| before.is_empty() || before.ends_with(['\n', '\u{feff}']));
    let is_key = |at: usize| text.get(at + key.len()..).is_some_and(|rest| rest.trim_start_matches(' ').starts_with(':'));
    text.match_indices(key).any(|(at, _)| is_first(at) && is_key(at))
}

/// Whether a file is a netlist, by its name.
#[must_use]
pub fn is_netlist(path: &Path) -> bool {
    let extension = path.extension().and_then(|extension| extension.to_str());
    extension.is_some_and(|extension| ["yaml", "yml"].iter().any(|known| extension.eq_ignore_ascii_case(known)))
}
