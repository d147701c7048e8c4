//! Which of the designs named are to be checked: all, or those that changed since a revision.

use crate::{
    args::Check,
    failure::Failure,
    render::{Untouched, kit::printable},
    source::{design, disk::DiskFiles, git::Since},
};
use std::{
    io::Read,
    path::{Path, PathBuf},
};

/// A design that is to be checked.
#[derive(Debug)]
pub(super) struct Wanted<'a> {
    /// As named.
    pub path: &'a Path,
    /// Standard input, which can be read only once; a file is read by whoever checks it.
    read: Option<Result<DiskFiles, Failure>>,
}

impl Wanted<'_> {
    /// The design and its folder.
    ///
    /// # Errors
    /// If it can't be read.
    pub(super) fn open(self) -> Result<DiskFiles, Failure> {
        match self.read {
            Some(read) => read,
            None => design::open(self.path, &mut std::io::empty()),
        }
    }
}

/// The designs that are to be checked, in the order in which they were named, and those that are left out.
///
/// # Errors
/// If it can't be known what changed.
pub(super) fn wanted<'a>(args: &'a Check, input: &mut dyn Read) -> Result<(Vec<Wanted<'a>>, Option<Untouched>), Failure> {
    let mut wanted = Vec::new();
    let Some(revision) = &args.changed_since else {
        wanted.extend(args.files.iter().map(|path| read(path, input)));
        return Ok((wanted, None));
    };
    let mut since = Since::new(revision);
    let mut left_out = Vec::new();
    for path in &args.files {
        // What comes by standard input has no revision, and what can't be read has to be reported: neither is left out.
        let touched = path == Path::new(STDIN)
            || match design::open(path, &mut std::io::empty()) {
                Ok(files) => since.touches(&files)?,
                Err(_) => true,
            };
        match touched {
            true => wanted.push(read(path, input)),
            false => left_out.push(shown(path)),
        }
    }
    Ok((wanted, Some(Untouched { revision: printable(revision).into_owned(), designs: left_out })))
}

/// The name of standard input.
const STDIN: &str = "-";

fn read<'a>(path: &'a PathBuf, input: &mut dyn Read) -> Wanted<'a> {
    Wanted { path, read: (path == Path::new(STDIN)).then(|| design::open(path, input)) }
}

/// A design as reports name it.
pub(super) fn shown(path: &Path) -> String {
    match path == Path::new(STDIN) {
        true => "<standard input>".to_owned(),
        false => printable(&path.to_string_lossy().replace('\\', "/")).into_owned(),
    }
}
