//! A design on disk, or from standard input, behind the library's door.

use super::{
    guard::{Folders, here, stays_inside},
    input::{self, Unread},
};
use crate::{failure::Failure, phrase::did_you_mean};
use harness_core::{FileError, Files};
use std::{
    fs,
    io::Read,
    path::{Path, PathBuf},
    sync::{Mutex, PoisonError},
};

/// The name under which a design from standard input is read.
pub const STDIN: &str = "-";

/// A design's own file, read already, and the folder it is in, from which its includes are read.
#[derive(Debug)]
pub struct DiskFiles {
    root: String,
    bytes: Vec<u8>,
    folder: PathBuf,
    inside: Folders,
    read: Mutex<Vec<PathBuf>>,
    /// Files that were asked for and could not be read.
    missing: Mutex<Vec<PathBuf>>,
}

impl DiskFiles {
    /// The design that `input` gives, whose includes are in the working directory.
    ///
    /// # Errors
    /// If it can't be read; completes "failed to …".
    pub(super) fn input(input: &mut dyn Read) -> Result<Self, Failure> {
        let bytes = input::stream(input).map_err(|reason| Failure::Told(format!("read standard input: {reason}")))?;
        let inside = Folders::of(Path::new(""), Path::new(""));
        let (read, missing) = (Mutex::default(), Mutex::default());
        Ok(Self { root: STDIN.to_owned(), bytes, folder: PathBuf::new(), inside, read, missing })
    }

    /// The file at `path`, whatever it is, and what is beside it.
    ///
    /// # Errors
    /// If it can't be read; completes "failed to …" and names what may be meant.
    pub fn file(path: &Path) -> Result<Self, Failure> {
        let told = |reason: String| Failure::Told(format!("read `{}`: {reason}", path.display()));
        let folder = path.parent().unwrap_or(Path::new("")).to_owned();
        let Some(root) = path.file_name().and_then(|name| name.to_str()) else {
            return Err(told("this is not a file name in UTF-8".to_owned()));
        };
        let bytes = input::file(path).map_err(|unread| match unread {
            Unread::Missing => told(format!("no such file{}", did_you_mean(root, &names_in(&folder)))),
            Unread::NoFile(kind) => told(format!("it is {kind}, not a file; `-` reads a design from standard input")),
            Unread::Refused(why) => told(why),
        })?;
        Ok(Self::of(path, root, bytes))
    }

    /// The bytes of the design's own file.
    pub(super) fn own(&self) -> &[u8] {
        &self.bytes
    }

    fn of(path: &Path, root: &str, bytes: Vec<u8>) -> Self {
        let folder = path.parent().unwrap_or(Path::new("")).to_owned();
        let inside = Folders::of(path, &folder);
        let read = Mutex::new(vec![path.to_owned()]);
        Self { root: root.to_owned(), bytes, folder, inside, read, missing: Mutex::default() }
    }

    /// The design at `path` with a text in the place of its own file, which need not be there: an editor holds it.
    #[must_use]
    pub fn held(path: &Path, bytes: Vec<u8>) -> Self {
        let folder = path.parent().unwrap_or(Path::new("")).to_owned();
        let root = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        let inside = Folders::of(path, &folder);
        Self { root, bytes, folder, inside, read: Mutex::default(), missing: Mutex::default() }
    }

    /// The name of the design's own file, for [`harness_core::check`].
    #[must_use]
    pub fn root(&self) -> &str {
        &self.root
    }

    /// The folder of the design; empty if it is the working directory.
    #[must_use]
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// The folder of the design, with a final `/`; empty if it is the working directory.
    #[must_use]
    pub fn prefix(&self) -> String {
        let folder = self.folder.to_string_lossy().replace('\\', "/");
        if folder.is_empty() || folder.ends_with('/') { folder } else { format!("{folder}/") }
    }

    /// The files that were read so far, the design's own first; none of them may be written over.
    #[must_use]
    pub fn read_so_far(&self) -> Vec<PathBuf> {
        self.read.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// The files that were asked for so far and could not be read.
    #[must_use]
    pub fn missing_so_far(&self) -> Vec<PathBuf> {
        self.missing.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    fn miss(&self, error: FileError, name: &str) -> FileError {
        self.missing.lock().unwrap_or_else(PoisonError::into_inner).push(self.folder.join(name));
        error
    }
}

impl Files for DiskFiles {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        if name == self.root {
            return Ok(self.bytes.clone());
        }
        stays_inside(name)?;
        let real = self.inside.real(&self.folder, name).map_err(|outside| self.miss(outside.told(), name))?;
        let bytes = input::file(&real).map_err(|unread| match unread {
            Unread::Missing => self.miss(FileError::Missing, name),
            other => self.miss(FileError::Unreadable(other.why()), name),
        })?;
        self.read.lock().unwrap_or_else(PoisonError::into_inner).push(real);
        Ok(bytes)
    }

    fn beside(&self, name: &str) -> Vec<String> {
        names_in(self.folder.join(name).parent().unwrap_or(Path::new("")))
    }
}

/// Names of the files in `folder`, sorted; none if it can't be read.
pub(super) fn names_in(folder: &Path) -> Vec<String> {
    let Ok(entries) = fs::read_dir(here(folder)) else { return Vec::new() };
    let mut names: Vec<String> = entries
        .filter_map(Result::ok)
        .filter(|entry| entry.path().is_file())
        .filter_map(|entry| entry.file_name().into_string().ok())
        .collect();
    names.sort_unstable();
    names
}

#[cfg(test)]
mod tests {
    use super::DiskFiles;
    use harness_core::{FileError, Files};
    use std::fs;

    #[test]
    fn includes_are_read_below_the_folder_of_the_design_only() {
        let folder = std::env::temp_dir().join(format!("harness-files-{}", std::process::id()));
        fs::create_dir_all(folder.join("parts")).unwrap();
        fs::write(folder.join("a.yaml"), "root").unwrap();
        fs::write(folder.join("parts/fuses.yaml"), "fuses").unwrap();
        let files = DiskFiles::file(&folder.join("a.yaml")).unwrap();
        assert_eq!(files.read("a.yaml").unwrap(), b"root");
        assert_eq!(files.read("parts/fuses.yaml").unwrap(), b"fuses");
        assert_eq!(files.read("parts/fuse.yaml").unwrap_err(), FileError::Missing);
        assert_eq!(files.beside("parts/fuse.yaml"), ["fuses.yaml"]);
        for outside in ["../a.yaml", "parts/../../x", "/etc/hostname", "parts/", ""] {
            assert!(matches!(files.read(outside), Err(FileError::Unreadable(_))), "{outside}");
        }
        assert_eq!(files.read("parts").unwrap_err(), FileError::Unreadable("it is a folder".to_owned()));
        fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn standard_input_is_read_once_and_kept() {
        let files = DiskFiles::input(&mut &b"text"[..]).unwrap();
        assert_eq!((files.read("-").unwrap(), files.read("-").unwrap()), (b"text".to_vec(), b"text".to_vec()));
        assert_eq!(files.prefix(), "");
    }

    #[cfg(unix)]
    #[test]
    fn links_are_followed_inside_the_folder_of_the_design_and_no_further() {
        use std::os::unix::fs::symlink;
        let top = std::env::temp_dir().join(format!("harness-links-{}", std::process::id()));
        let _ = fs::remove_dir_all(&top);
        fs::create_dir_all(top.join("designs/parts")).unwrap();
        fs::create_dir_all(top.join("store")).unwrap();
        fs::write(top.join("secret.env"), "KEY=1").unwrap();
        fs::write(top.join("designs/a.yaml"), "root").unwrap();
        fs::write(top.join("designs/parts/fuses.yaml"), "fuses").unwrap();
        symlink("parts/fuses.yaml", top.join("designs/inside.yaml")).unwrap();
        symlink("../secret.env", top.join("designs/outside.yaml")).unwrap();
        symlink("outside.yaml", top.join("designs/chain.yaml")).unwrap();
        symlink("..", top.join("designs/up")).unwrap();
        symlink("circle.yaml", top.join("designs/circle.yaml")).unwrap();
        let files = DiskFiles::file(&top.join("designs/a.yaml")).unwrap();
        assert_eq!(files.read("inside.yaml").unwrap(), b"fuses");
        let secret = top.canonicalize().unwrap().join("secret.env");
        for (name, link) in [("outside.yaml", "outside.yaml"), ("chain.yaml", "chain.yaml"), ("up/secret.env", "up")] {
            let why = format!(
                "`{link}` is a link to `{}`, outside the folder of the design; put a copy of the file in its place",
                secret.display()
            );
            assert_eq!(files.read(name), Err(FileError::Unreadable(why)), "{name}");
        }
        assert!(matches!(files.read("circle.yaml"), Err(FileError::Unreadable(_))));
        // A folder made of links into another one: the includes are beside the real design there.
        fs::write(top.join("store/b.yaml"), "root").unwrap();
        fs::write(top.join("store/parts.yaml"), "parts").unwrap();
        for name in ["b.yaml", "parts.yaml"] {
            symlink(format!("../store/{name}"), top.join("designs").join(name)).unwrap();
        }
        let linked = DiskFiles::file(&top.join("designs/b.yaml")).unwrap();
        assert_eq!(linked.read("parts.yaml").unwrap(), b"parts");
        assert!(files.read("parts.yaml").is_err(), "for the other design that is outside");
        assert!(linked.read("outside.yaml").is_err());
        assert_eq!(linked.read_so_far().len(), 2);
        fs::remove_dir_all(&top).unwrap();
    }
}
