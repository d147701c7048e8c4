//! Which design a file belongs to.

use super::buffers::Buffers;
use harness_core::{Head, editor, head};
use std::{
    fs,
    path::{Path, PathBuf},
};

/// Folders above a file in which its design is looked for.
const MOST_FOLDERS: usize = 6;
/// Files of a folder that are looked at.
const MOST_FILES: usize = 400;
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
    has_key(text, &["format", "design"])
}

fn has_key(text: &str, keys: &[&str]) -> bool {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    text.lines().any(|line| keys.iter().any(|key| line.strip_prefix(key).is_some_and(|rest| rest.trim_start().starts_with(':'))))
}

/// The home of the file at `path`: itself if it says so, else a design of its folder or of one above that includes it, else itself if
/// it includes others.
#[must_use]
pub fn of(buffers: &Buffers, path: &Path, top: &[PathBuf]) -> Home {
    let text = buffers.text(path).unwrap_or_default();
    if is_root(&text) {
        return Home::Design(path.to_owned());
    }
    let mut folder = path.parent();
    for _ in 0..MOST_FOLDERS {
        let Some(here) = folder.filter(|here| !here.as_os_str().is_empty()) else { break };
        if let Some(root) = candidates(buffers, here).into_iter().find(|root| root != path && includes(buffers, root, path)) {
            return Home::Design(root);
        }
        if top.iter().any(|top| top == here) {
            break;
        }
        folder = here.parent();
    }
    match head(text.as_bytes()) {
        Head::Design | Head::Part if has_key(&text, &["include"]) => Home::Design(path.to_owned()),
        Head::Design | Head::Part => Home::Alone,
        // What is hardly begun may become anything.
        Head::Other if !text.lines().any(is_entry) => Home::Alone,
        Head::Other => Home::Foreign,
    }
}

/// Whether a line gives a key at the top of a file.
fn is_entry(line: &str) -> bool {
    !line.starts_with([' ', '#', '-', '\t']) && line.contains(": ") || line.ends_with(':')
}

/// Files of a folder that include others, those that the client holds among them, by name.
fn candidates(buffers: &Buffers, folder: &Path) -> Vec<PathBuf> {
    let is_netlist = |path: &Path| path.extension().is_some_and(|extension| extension == "yaml" || extension == "yml");
    let on_disk = fs::read_dir(folder).into_iter().flatten().filter_map(Result::ok).map(|entry| entry.path());
    let mut found: Vec<PathBuf> = on_disk.filter(|path| is_netlist(path)).take(MOST_FILES).collect();
    found.extend(buffers.paths().filter(|path| path.parent() == Some(folder)).cloned());
    found.sort();
    found.dedup();
    let is_small = |path: &Path| buffers.get(path).is_some() || fs::metadata(path).is_ok_and(|data| data.len() <= MOST_BYTES);
    found.retain(|path| is_small(path) && buffers.text(path).is_some_and(|text| has_key(&text, &["include"])));
    // What says that it is a design comes before what only includes.
    found.sort_by_key(|path| !buffers.text(path).is_some_and(|text| is_root(&text)));
    found
}

/// Whether the design at `root` reads the file at `path`.
fn includes(buffers: &Buffers, root: &Path, path: &Path) -> bool {
    let files = buffers.files(root);
    let folder = root.parent().unwrap_or(Path::new(""));
    editor::files_of(&files, files.root()).iter().any(|name| folder.join(name) == path)
}
