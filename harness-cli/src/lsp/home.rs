//! Which design a file belongs to.

use super::buffers::Buffers;
use crate::source::above::{self, Shelf, has_key};
use harness_core::{Head, editor, head};
use std::{
    fs,
    path::{Path, PathBuf},
};

/// A design that is larger than this is not looked through for its includes unless it is open.
const MOST_BYTES: u64 = 8 << 20;

/// What a file is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Home {
    /// It is read with the design whose own file is at this path.
    Design(PathBuf),
    /// No design that was found includes it.
    Alone,
    /// It is something else that is written in YAML.
    Foreign,
}

/// Whether a text says that it is the own file of a design.
#[must_use]
pub fn is_root(text: &str) -> bool {
    has_key(text, "design")
}

/// What of a text decides where it belongs: with the same keys it belongs where it belonged.
#[must_use]
pub fn marks(text: &str) -> [bool; 3] {
    ["design", "format", "include"].map(|key| has_key(text, key))
}

/// The home of the file at `path`: itself if it names a design, else a design of its folder or of one above that includes it, else itself
/// if it gives its format or includes others. What is a netlist already, because the session took it for one, is not something else.
#[must_use]
pub fn of(buffers: &Buffers, path: &Path, top: &[PathBuf], is_netlist: bool) -> Home {
    let text = buffers.text(path).unwrap_or_default();
    if is_root(&text) {
        return Home::Design(path.to_owned());
    }
    if let Some(root) = above::design_of(&Held { buffers, top }, path) {
        return Home::Design(root);
    }
    // What is hardly begun may become anything; a netlist stays one however it is mistyped.
    let is_other = || head(text.as_bytes()) == Head::Other && text.lines().any(is_entry);
    match has_key(&text, "format") || has_key(&text, "include") {
        _ if !is_netlist && is_other() => Home::Foreign,
        true => Home::Design(path.to_owned()),
        false => Home::Alone,
    }
}

/// Whether a line gives a key at the top of a file.
fn is_entry(line: &str) -> bool {
    !line.starts_with([' ', '#', '-', '\t']) && line.contains(": ") || line.ends_with(':')
}

/// Texts that the client holds, else those on disk.
struct Held<'a> {
    buffers: &'a Buffers,
    /// The folders that the client works in.
    top: &'a [PathBuf],
}

impl Shelf for Held<'_> {
    fn files_in(&self, folder: &Path) -> Vec<PathBuf> {
        let on_disk = fs::read_dir(folder).into_iter().flatten().filter_map(Result::ok).map(|entry| entry.path());
        on_disk.chain(self.buffers.paths().filter(|path| path.parent() == Some(folder)).cloned()).collect()
    }

    fn text(&self, path: &Path) -> Option<String> {
        let is_small = || fs::metadata(path).is_ok_and(|data| data.is_file() && data.len() <= MOST_BYTES);
        if self.buffers.get(path).is_some() || is_small() { self.buffers.text(path) } else { None }
    }

    fn read_by(&self, root: &Path) -> Vec<PathBuf> {
        let files = self.buffers.files(root);
        let folder = root.parent().unwrap_or(Path::new(""));
        editor::files_of(&files, files.root()).iter().map(|name| folder.join(name)).collect()
    }

    fn is_top(&self, folder: &Path) -> bool {
        self.top.iter().any(|top| top == folder)
    }
}
