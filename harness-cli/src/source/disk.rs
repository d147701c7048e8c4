//! Files on disk, behind the library's door.

use crate::{failure::Failure, suggest::did_you_mean};
use harness_core::{FileError, Files};
use std::{
    fs,
    io::{self, Read, Write},
    path::{Path, PathBuf},
};

/// Spans count bytes in 32 bits.
const MOST_BYTES: u64 = u32::MAX as u64;

/// The name under which a design from standard input is read.
const STDIN: &str = "-";

/// A design's own file, read already, and the folder it lies in, from which its includes are read.
#[derive(Debug)]
pub struct DiskFiles {
    root: String,
    bytes: Vec<u8>,
    folder: PathBuf,
}

impl DiskFiles {
    /// Reads the design's own file; `-` is `input`, whose includes lie in the working directory.
    ///
    /// # Errors
    /// If the file can't be read; completes "failed to …" and lists near names of the folder if there is no such file.
    pub fn open(path: &Path, input: &mut dyn Read) -> Result<Self, Failure> {
        let told = |reason: String| Failure::Told(format!("read `{}`: {reason}", path.display()));
        if path == Path::new(STDIN) {
            let mut bytes = Vec::new();
            input
                .take(MOST_BYTES + 1)
                .read_to_end(&mut bytes)
                .map_err(|error| Failure::Told(format!("read standard input: {}", reason(&error))))?;
            return Self::sized(STDIN.to_owned(), bytes, PathBuf::new()).map_err(told);
        }
        let folder = path.parent().unwrap_or(Path::new("")).to_owned();
        let Some(root) = path.file_name().and_then(|name| name.to_str()) else {
            return Err(told("this is no name of a file in UTF-8".to_owned()));
        };
        let bytes = match read(path) {
            Ok(bytes) => bytes,
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                let names = names_in(&folder);
                let near = did_you_mean(root, names.iter().map(String::as_str));
                return Err(told(format!("no such file{near}")));
            }
            Err(error) => return Err(told(reason(&error))),
        };
        Self::sized(root.to_owned(), bytes, folder).map_err(told)
    }

    fn sized(root: String, bytes: Vec<u8>, folder: PathBuf) -> Result<Self, String> {
        if bytes.len() as u64 > MOST_BYTES { Err(too_large()) } else { Ok(Self { root, bytes, folder }) }
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
}

impl Files for DiskFiles {
    fn read(&self, name: &str) -> Result<Vec<u8>, FileError> {
        if name == self.root {
            return Ok(self.bytes.clone());
        }
        stays_inside(name)?;
        let path = self.folder.join(name);
        match fs::metadata(&path) {
            // A pipe or a device in an include would hang the check.
            Ok(about) if !about.is_file() => return Err(FileError::Unreadable("it is not a file".to_owned())),
            Ok(about) if about.len() > MOST_BYTES => return Err(FileError::Unreadable(too_large())),
            _ => {}
        }
        read(&path).map_err(|error| match error.kind() {
            io::ErrorKind::NotFound => FileError::Missing,
            _ => FileError::Unreadable(reason(&error)),
        })
    }

    fn beside(&self, name: &str) -> Vec<String> {
        names_in(self.folder.join(name).parent().unwrap_or(Path::new("")))
    }
}

/// Refuses a name that leads out of the folder of the design: the library resolves `..` and refuses it too, but a second lock
/// costs nothing.
pub(crate) fn stays_inside(name: &str) -> Result<(), FileError> {
    let inside = |part: &str| !matches!(part, "" | "." | "..") && !part.contains([':', '\\']);
    if name.split('/').all(inside) {
        return Ok(());
    }
    Err(FileError::Unreadable("it lies outside the folder of the design".to_owned()))
}

/// Writes a file whole or not at all: beside its place first, then into it in one step.
///
/// A file that is there already is left alone unless `replace` says so.
///
/// # Errors
/// If the file is there, or can't be written; the text completes "failed to …".
pub fn write_whole(path: &Path, bytes: &[u8], replace: bool) -> Result<(), Failure> {
    let told = |reason: String| Failure::Told(format!("write `{}`: {reason}", path.display()));
    let there = || told("there is a file already; `--force` replaces it, another name keeps both".to_owned());
    let Some(name) = path.file_name() else { return Err(told("this is no name of a file".to_owned())) };
    if path.is_dir() {
        return Err(told("it is a folder".to_owned()));
    }
    if !replace && path.symlink_metadata().is_ok() {
        return Err(there());
    }
    let mut beside = name.to_owned();
    beside.push(format!(".{}.part", std::process::id()));
    let beside = path.with_file_name(beside);
    let done =
        fs::File::create_new(&beside).and_then(|mut file| file.write_all(bytes).and_then(|()| file.sync_all())).and_then(|()| {
            match replace {
                true => fs::rename(&beside, path),
                // A link, unlike a rename, never goes over a file that came to be there meanwhile.
                false => match fs::hard_link(&beside, path) {
                    Err(error) if error.kind() != io::ErrorKind::AlreadyExists && !path.exists() => fs::rename(&beside, path),
                    done => done,
                },
            }
        });
    // After a rename there is nothing left to remove.
    let _ = fs::remove_file(&beside);
    done.map_err(|error| match error.kind() {
        io::ErrorKind::AlreadyExists => there(),
        io::ErrorKind::NotFound => told("there is no such folder".to_owned()),
        _ => told(reason(&error)),
    })
}

fn read(path: &Path) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    fs::File::open(path)?.take(MOST_BYTES + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Names of the files in `folder`, sorted; none if it can't be read.
fn names_in(folder: &Path) -> Vec<String> {
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let mut names: Vec<String> = entries
        .filter_map(Result::ok)
        .filter(|entry| entry.path().is_file())
        .filter_map(|entry| entry.file_name().into_string().ok())
        .collect();
    names.sort_unstable();
    names
}

fn too_large() -> String {
    "it is larger than 4 GiB".to_owned()
}

/// What the system says, without its number.
fn reason(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::PermissionDenied => "permission denied".to_owned(),
        io::ErrorKind::IsADirectory => "it is a folder".to_owned(),
        _ => error.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::{DiskFiles, write_whole};
    use harness_core::{FileError, Files};
    use std::{fs, path::Path};

    #[test]
    fn includes_are_read_below_the_folder_of_the_design_only() {
        let folder = std::env::temp_dir().join(format!("harness-files-{}", std::process::id()));
        fs::create_dir_all(folder.join("parts")).unwrap();
        fs::write(folder.join("a.yaml"), "root").unwrap();
        fs::write(folder.join("parts/fuses.yaml"), "fuses").unwrap();
        let files = DiskFiles::open(&folder.join("a.yaml"), &mut &b""[..]).unwrap();
        assert_eq!(files.read("a.yaml").unwrap(), b"root");
        assert_eq!(files.read("parts/fuses.yaml").unwrap(), b"fuses");
        assert_eq!(files.read("parts/fuse.yaml").unwrap_err(), FileError::Missing);
        assert_eq!(files.beside("parts/fuse.yaml"), ["fuses.yaml"]);
        for outside in ["../a.yaml", "parts/../../x", "/etc/hostname", "parts/", ""] {
            assert!(matches!(files.read(outside), Err(FileError::Unreadable(_))), "{outside}");
        }
        assert_eq!(files.read("parts").unwrap_err(), FileError::Unreadable("it is not a file".to_owned()));
        fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn standard_input_is_read_once_and_kept() {
        let files = DiskFiles::open(Path::new("-"), &mut &b"text"[..]).unwrap();
        assert_eq!((files.read("-").unwrap(), files.read("-").unwrap()), (b"text".to_vec(), b"text".to_vec()));
        assert_eq!(files.prefix(), "");
    }

    #[test]
    fn a_file_is_written_whole_and_over_no_other() {
        let folder = std::env::temp_dir().join(format!("harness-write-{}", std::process::id()));
        fs::create_dir_all(&folder).unwrap();
        let path = folder.join("F1.svg");
        write_whole(&path, b"first", false).unwrap();
        let refused = write_whole(&path, b"second", false).unwrap_err().to_string();
        assert!(refused.contains("`--force` replaces it"), "{refused}");
        assert_eq!(fs::read(&path).unwrap(), b"first");
        write_whole(&path, b"third", true).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"third");
        assert!(write_whole(&folder.join("none/F1.svg"), b"", false).unwrap_err().to_string().ends_with("no such folder"));
        assert!(write_whole(&folder, b"", true).unwrap_err().to_string().ends_with("it is a folder"));
        assert_eq!(fs::read_dir(&folder).unwrap().count(), 1, "nothing is left beside the file");
        fs::remove_dir_all(&folder).unwrap();
    }
}
