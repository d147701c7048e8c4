//! What a design may include: files of its own folder and of the folders below it, whatever links say.
//!
//! A finding quotes the line that it is about, so a file that was read is a file that may be shown. On disk the guard asks where a
//! path really leads; at a git revision it follows the links that the revision holds. Both say the same.

use super::input;
use harness_core::FileError;
use std::{
    io,
    path::{Path, PathBuf},
};

/// Refuses a name that leads out of the folder of the design: the library resolves `..` and refuses it too, but a second lock
/// costs nothing.
pub(super) fn stays_inside(name: &str) -> Result<(), FileError> {
    let inside = |part: &str| !matches!(part, "" | "." | "..") && !part.contains([':', '\\']);
    if name.split('/').all(inside) {
        return Ok(());
    }
    Err(FileError::Unreadable("it is outside the folder of the design".to_owned()))
}

/// That `link`, a part of the name of a file, leads out of the folder of the design.
pub(super) fn leads_out(link: &str, to: &str) -> FileError {
    FileError::Unreadable(format!(
        "`{link}` is a link to `{to}`, outside the folder of the design; put a copy of the file in its place"
    ))
}

/// The folders on disk in which the files of a design may really be.
#[derive(Debug, Default)]
pub(super) struct Folders(Vec<PathBuf>);

impl Folders {
    /// The folder in which the design was named, and that of the file that it really is: where whole folders are made of links
    /// into another one, its includes are beside it there.
    pub(super) fn of(design: &Path, folder: &Path) -> Self {
        let own = design.canonicalize().ok().and_then(|real| real.parent().map(Path::to_owned));
        Self(here(folder).canonicalize().into_iter().chain(own).collect())
    }

    /// Where the file `name` of the folder `folder` really is.
    ///
    /// # Errors
    /// If it is missing, can't be looked at, or a link leads out of the folders.
    pub(super) fn real(&self, folder: &Path, name: &str) -> Result<PathBuf, Outside> {
        let real = folder.join(name).canonicalize().map_err(Outside::Unreachable)?;
        if self.hold(&real) {
            return Ok(real);
        }
        // The link is the first part of the name from which on the way is outside.
        let parts: Vec<&str> = name.split('/').collect();
        for count in 1..=parts.len() {
            let part = parts.get(..count).unwrap_or_default().join("/");
            let is_out = |at: &Path| at.canonicalize().is_ok_and(|real| !self.hold(&real));
            if is_out(&folder.join(&part)) {
                return Err(Outside::Link { link: part, to: real });
            }
        }
        Err(Outside::Link { link: name.to_owned(), to: real })
    }

    fn hold(&self, real: &Path) -> bool {
        self.0.iter().any(|folder| real.starts_with(folder))
    }
}

/// Why a file is not to be read.
#[derive(Debug)]
pub(super) enum Outside {
    /// There is nothing, or it can't be looked at.
    Unreachable(io::Error),
    /// A link leads elsewhere.
    Link {
        /// The part of the name that is the link.
        link: String,
        /// Where it all ends.
        to: PathBuf,
    },
}

impl Outside {
    /// The same for the library.
    pub(super) fn told(self) -> FileError {
        match self {
            Self::Link { link, to } => leads_out(&link, &to.to_string_lossy()),
            Self::Unreachable(error) if error.kind() == io::ErrorKind::NotFound => FileError::Missing,
            Self::Unreachable(error) => FileError::Unreadable(input::reason(&error)),
        }
    }
}

/// A folder that can be asked about; the working directory has no name.
pub(super) fn here(folder: &Path) -> &Path {
    if folder.as_os_str().is_empty() { Path::new(".") } else { folder }
}
