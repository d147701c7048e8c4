//! Which design is meant by what was named: a folder means the design in it; a part of a design and a list are none.

use super::{
    above::{self, Shelf, is_netlist},
    disk::{DiskFiles, STDIN, names_in},
    guard::here,
    input,
};
use crate::{
    failure::Failure,
    phrase::{all, quoted},
};
use harness_core::{Head, Trees, head};
use std::{
    io::Read,
    path::{Path, PathBuf},
};

/// Reads the design that is meant by `path`; `-` is `input`, whose includes are in the working directory, and a folder means the design in it.
///
/// # Errors
/// If it can't be read, or is a part of a design or a list; completes "failed to …" and names what may be meant.
pub fn open(path: &Path, input: &mut dyn Read) -> Result<DiskFiles, Failure> {
    if path == Path::new(STDIN) {
        return DiskFiles::input(input);
    }
    let meant = if path.is_dir() { in_folder(path)? } else { path.to_owned() };
    let files = DiskFiles::file(&meant)?;
    match not_a_design(&meant, files.own()) {
        Some(why) => Err(Failure::Told(format!("read `{}`: {why}", meant.display()))),
        None => Ok(files),
    }
}

/// The file of the design in a folder.
///
/// # Errors
/// If there is none or more than one; completes "failed to …" and names what is there instead.
fn in_folder(folder: &Path) -> Result<PathBuf, Failure> {
    let shown = folder.display();
    let told = |reason: String| Failure::Told(format!("read `{shown}`: {reason}"));
    let designs = designs_in(folder);
    match designs.as_slice() {
        [one] => Ok(folder.join(one)),
        [] => Err(told(format!("there is no design in this folder{}", instead(folder)))),
        several => {
            let shown: Vec<String> = several.iter().map(|name| folder.join(name).display().to_string()).collect();
            Err(told(format!("there are {} designs in this folder; name one of {}", several.len(), all(&quoted(shown)))))
        }
    }
}

/// Why the file at `path`, which holds `bytes`, is not read as a design; `None` for what is one, or nothing that we know.
fn not_a_design(path: &Path, bytes: &[u8]) -> Option<String> {
    if is_sheet(path) || bytes.starts_with(b"PK\x03\x04") {
        return Some(format!("it is a list, not a netlist; `harness import {} --out DIR` makes a netlist of it", path.display()));
    }
    if has_name_of_design(bytes) || head(bytes) != Head::Part {
        return None;
    }
    let design = including(path)?;
    let design = design.display();
    Some(format!("it is a part of the design `{design}`, which includes it; name that"))
}

/// Whether a line begins with the key that only designs have, as it does in nearly all: then nothing has to be read twice.
fn has_name_of_design(bytes: &[u8]) -> bool {
    bytes.split(|byte| *byte == b'\n').any(|line| line.starts_with(b"design:"))
}

/// The design nearest above a file that includes it, directly or through another; as whoever asks would name it.
fn including(part: &Path) -> Option<PathBuf> {
    let real = part.canonicalize().ok()?;
    let design = above::design_of(&Disk, &real)?;
    // As far above what was named as the design is above the file; a link on the way may lead elsewhere.
    let levels = real.ancestors().skip(1).position(|folder| Some(folder) == design.parent())?;
    let near = part.ancestors().nth(levels + 1).zip(design.file_name()).map(|(folder, name)| folder.join(name));
    Some(near.filter(|near| near.canonicalize().is_ok_and(|file| file == design)).unwrap_or(design))
}

/// Designs on disk.
struct Disk;

impl Shelf for Disk {
    fn files_in(&self, folder: &Path) -> Vec<PathBuf> {
        names_in(folder).into_iter().filter(|name| !name.starts_with('.')).map(|name| folder.join(name)).collect()
    }

    fn text(&self, path: &Path) -> Option<String> {
        let bytes = input::file(path).ok().filter(|bytes| has_name_of_design(bytes))?;
        String::from_utf8(bytes).ok()
    }

    fn read_by(&self, root: &Path) -> Vec<PathBuf> {
        let Ok(files) = DiskFiles::file(root) else { return Vec::new() };
        let _ = Trees::read(&files, files.root());
        files.read_so_far().iter().filter_map(|file| file.canonicalize().ok()).collect()
    }

    fn is_top(&self, _folder: &Path) -> bool {
        false
    }
}

/// The names of the designs in a folder, sorted.
fn designs_in(folder: &Path) -> Vec<String> {
    let is_design = |name: &String| {
        is_netlist(Path::new(name))
            && !name.starts_with('.')
            && input::file(&folder.join(name)).is_ok_and(|bytes| head(&bytes) == Head::Design)
    };
    names_in(folder).into_iter().filter(is_design).collect()
}

/// What a folder without a design has that may be meant.
fn instead(folder: &Path) -> String {
    let sheets: Vec<String> = names_in(folder).into_iter().filter(|name| is_sheet(Path::new(name))).collect();
    if let Some(first) = sheets.first() {
        let list = folder.join(first);
        return format!("; `harness import {} --out DIR` makes one of a list", list.display());
    }
    let below: Vec<String> = std::fs::read_dir(here(folder))
        .into_iter()
        .flatten()
        .filter_map(Result::ok)
        .map(|entry| entry.path())
        .filter(|path| path.is_dir() && !designs_in(path).is_empty())
        .map(|path| path.display().to_string())
        .collect();
    match below.is_empty() {
        false => {
            let mut below = below;
            below.sort_unstable();
            format!("; there is one in {}", all(&quoted(below)))
        }
        true => "; `harness new NAME` begins one".to_owned(),
    }
}

/// Whether a file is a list of a spreadsheet, by its name.
fn is_sheet(path: &Path) -> bool {
    has_extension(path, &["csv", "tsv", "xlsx", "xlsm", "xls", "ods"])
}

fn has_extension(path: &Path, known: &[&str]) -> bool {
    let extension = path.extension().and_then(|extension| extension.to_str());
    extension.is_some_and(|extension| known.iter().any(|known| extension.eq_ignore_ascii_case(known)))
}
