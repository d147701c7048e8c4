//! Bytes from outside, never more than the library reads and never from where they may not end.

use harness_core::source::MAX_BYTES;
use std::{
    fs::{self, FileType, Metadata},
    io::{self, Read},
    path::Path,
};

/// Why nothing was read.
#[derive(Debug)]
pub enum Unread {
    /// There is no such file.
    Missing,
    /// It is a pipe, a socket or a device.
    NoFile(&'static str),
    /// Anything else; completes "failed to read …: ".
    Refused(String),
}

impl Unread {
    /// Completes "failed to read …: ".
    #[must_use]
    pub fn why(self) -> String {
        match self {
            Self::Missing => "no such file".to_owned(),
            Self::NoFile(kind) => format!("it is {kind}, not a file"),
            Self::Refused(why) => why,
        }
    }
}

/// What is said of a folder where a file is needed.
pub(crate) const FOLDER: &str = "it is a folder";

/// The bytes of the file at `path`, whatever links lead to it.
///
/// # Errors
/// If it can't be read, is none (a folder, a pipe, a device), or is larger than [`MAX_BYTES`].
pub fn file(path: &Path) -> Result<Vec<u8>, Unread> {
    // Opening a pipe waits for whoever writes into it, so the kind of file is asked first.
    is_file(&fs::metadata(path).map_err(unread)?)?;
    let mut opened = fs::File::open(path).map_err(unread)?;
    is_file(&opened.metadata().map_err(unread)?)?;
    bounded(&mut opened).map_err(unread)?.ok_or_else(|| Unread::Refused(too_large()))
}

/// All bytes of a stream.
///
/// # Errors
/// If it can't be read, or gives more than [`MAX_BYTES`]; completes "failed to read …: ".
pub fn stream(input: &mut dyn Read) -> Result<Vec<u8>, String> {
    bounded(input).map_err(|error| reason(&error))?.ok_or_else(too_large)
}

/// Why something of `bytes` bytes is not read, if it is too large.
///
/// # Errors
/// If it is; completes "failed to read …: ".
pub fn sized(bytes: u64) -> Result<(), String> {
    if bytes > MAX_BYTES as u64 { Err(too_large()) } else { Ok(()) }
}

/// What there is to read; `None` if it is more than [`MAX_BYTES`].
fn bounded(input: &mut dyn Read) -> io::Result<Option<Vec<u8>>> {
    let mut bytes = Vec::new();
    input.take(MAX_BYTES as u64 + 1).read_to_end(&mut bytes)?;
    Ok((bytes.len() <= MAX_BYTES).then_some(bytes))
}

fn is_file(about: &Metadata) -> Result<(), Unread> {
    if about.is_file() {
        return sized(about.len()).map_err(Unread::Refused);
    }
    if about.is_dir() {
        return Err(Unread::Refused(FOLDER.to_owned()));
    }
    Err(Unread::NoFile(kind(about.file_type())))
}

/// What is at a path that is not a file, with its article.
#[must_use]
pub fn kind(of: FileType) -> &'static str {
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt;
        if of.is_fifo() {
            return "a pipe";
        }
        if of.is_socket() {
            return "a socket";
        }
    }
    match of {
        of if of.is_dir() => "a folder",
        of if of.is_symlink() => "a link",
        _ => "a device",
    }
}

fn unread(error: io::Error) -> Unread {
    match error.kind() {
        io::ErrorKind::NotFound => Unread::Missing,
        _ => Unread::Refused(reason(&error)),
    }
}

fn too_large() -> String {
    format!("it is larger than the {} MiB that are read of one file; split it with `include`", MAX_BYTES >> 20)
}

/// What the system says, without its number.
#[must_use]
pub fn reason(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::PermissionDenied => "permission denied".to_owned(),
        io::ErrorKind::IsADirectory => FOLDER.to_owned(),
        io::ErrorKind::NotADirectory => "a part of its path is not a folder".to_owned(),
        io::ErrorKind::StorageFull => "the disk is full".to_owned(),
        io::ErrorKind::ReadOnlyFilesystem => "it is on a file system that cannot be written".to_owned(),
        _ => error.to_string(),
    }
}
