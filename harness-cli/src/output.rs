//! The functions that write files, whole or not at all: a new one, never over what this run has read, and new texts for files that
//! were read.

use crate::{failure::Failure, source::input};
use std::{
    collections::BTreeSet,
    ffi::OsStr,
    fs::{self, Metadata, Permissions},
    io::{self, Write},
    path::{Path, PathBuf},
    thread,
    time::Duration,
};
use tempfile::NamedTempFile;

/// What the name of a file ends with that is not in its place yet.
const PART: &str = ".harness-part";

/// A file takes milliseconds to be written; one that is not in its place after this was left by a run that was killed.
const LEFT_BEHIND: Duration = Duration::from_secs(60);

/// Writes `bytes` into the file at `path`: beside its place first, then into it in one step.
///
/// A file that is there already is left alone unless `replace` says so, and then keeps its mode. What is not a file (a link, a pipe, a
/// device) and what is one of the files `read` in this run, by whatever name, is left alone in any case. What a killed run left
/// beside the place is removed.
///
/// # Errors
/// If the file is not to be replaced, or can't be written; the text completes "failed to …".
pub fn write(path: &Path, bytes: &[u8], replace: bool, read: &[PathBuf]) -> Result<(), Failure> {
    let told = |reason: String| Failure::Told(format!("write `{}`: {reason}", path.display()));
    let Some(name) = path.file_name().and_then(|name| name.to_str()) else {
        let why = if path.is_dir() { input::FOLDER } else { "this is not a file name in UTF-8" };
        return Err(told(why.to_owned()));
    };
    let there = match path.symlink_metadata() {
        Ok(about) => Some(about),
        Err(error) if error.kind() == io::ErrorKind::NotFound => None,
        Err(error) => return Err(told(input::reason(&error))),
    };
    if let Some(about) = &there {
        replaceable(path, about, replace, read).map_err(told)?;
    }
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    sweep(folder, name);
    placed(folder, name, path, bytes, there.map(|about| about.permissions())).map_err(|error| match error.kind() {
        io::ErrorKind::AlreadyExists => told(THERE.to_owned()),
        io::ErrorKind::NotFound => told("there is no such folder".to_owned()),
        _ => told(input::reason(&error)),
    })
}

/// A file for each of several outputs: `path` for one alone, and for more of them one each beside it, with its name in that of the file and a count
/// where two would be the same.
pub fn beside<'a>(path: &Path, names: impl ExactSizeIterator<Item = &'a str>) -> Vec<PathBuf> {
    if names.len() == 1 {
        return vec![path.to_owned()];
    }
    let part = |part: Option<&OsStr>| part.unwrap_or_default().to_string_lossy().into_owned();
    let (stem, end) = (part(path.file_stem()), part(path.extension()));
    let mut taken: BTreeSet<String> = BTreeSet::new();
    let mut files = Vec::new();
    for name in names {
        let kept: String =
            name.chars().map(|ch| if ch.is_alphanumeric() || matches!(ch, '.' | '-' | '_' | '+') { ch } else { '-' }).collect();
        let mut file = format!("{stem}-{kept}");
        let mut count = 1;
        // Two names that differ in case only are one file on some systems.
        while !taken.insert(file.to_lowercase()) {
            count += 1;
            file = format!("{stem}-{kept}-{count}");
        }
        files.push(path.with_file_name(format!("{file}.{end}")));
    }
    files
}

/// A file whose text is to be replaced.
#[derive(Debug)]
pub struct Rewrite<'a> {
    /// The file.
    pub path: PathBuf,
    /// What it must hold now.
    pub old: &'a [u8],
    /// What it shall hold.
    pub new: &'a [u8],
}

/// Replaces the texts of files, each in one step and keeping its mode; a link is followed, so that the link stays.
///
/// All new texts are written beside their places first: if one can't be, none is replaced.
///
/// # Errors
/// If a file is not as it was read any more, or can't be written; the text completes "failed to …".
pub fn rewrite(files: &[Rewrite<'_>]) -> Result<(), Failure> {
    let mut ready = Vec::new();
    for file in files {
        let told = |reason: String| Failure::Told(format!("write `{}`: {reason}", file.path.display()));
        let system = |error: io::Error| told(input::reason(&error));
        let real = file.path.canonicalize().map_err(system)?;
        let now = input::file(&real).map_err(|unread| told(unread.why()))?;
        if now != file.old {
            return Err(told("it holds bytes that were not read as they are, or it has changed since it was read".to_owned()));
        }
        let name = real.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        let folder = real.parent().unwrap_or(Path::new("."));
        sweep(folder, name);
        let mut part = part(folder, name).map_err(system)?;
        part.write_all(file.new).map_err(system)?;
        let mode = fs::metadata(&real).map_err(system)?.permissions();
        if mode.readonly() {
            return Err(told("it is read-only".to_owned()));
        }
        part.as_file().set_permissions(mode).map_err(system)?;
        part.as_file().sync_all().map_err(system)?;
        ready.push((part, real, file));
    }
    let mut done: Vec<String> = Vec::new();
    for (part, real, file) in ready {
        part.persist(&real).map_err(|error| {
            let before = if done.is_empty() { String::new() } else { format!("; already written: {}", done.join(", ")) };
            Failure::Told(format!("write `{}`: {}{before}", file.path.display(), input::reason(&error.error)))
        })?;
        done.push(file.path.display().to_string());
    }
    Ok(())
}

/// Writes a new folder with files in it, all or nothing: beside its place first, then moved there in one step. A script, `*.sh`, may be run by
/// whom may read it.
///
/// # Errors
/// If something is at `path` already, or it can't be written; the text completes "failed to …".
pub fn folder(path: &Path, files: &[(String, Vec<u8>)]) -> Result<(), Failure> {
    let told = |reason: String| Failure::Told(format!("write `{}`: {reason}", path.display()));
    let system = |error: io::Error| told(input::reason(&error));
    if path.symlink_metadata().is_ok() {
        return Err(told("it is there already; name another folder".to_owned()));
    }
    let Some(name) = path.file_name() else { return Err(told("this is not the name of a new folder".to_owned())) };
    let mut beside = std::ffi::OsString::from(".");
    beside.push(name);
    beside.push(format!(".{}{PART}", std::process::id()));
    let part = path.with_file_name(beside);
    fs::create_dir(&part).map_err(|error| match error.kind() {
        io::ErrorKind::NotFound => told("the folder above it is not there".to_owned()),
        _ => system(error),
    })?;
    filled(&part, files).and_then(|()| fs::rename(&part, path)).map_err(|error| {
        // What could not be finished is taken away again, as far as that goes.
        let _ = fs::remove_dir_all(&part);
        system(error)
    })
}

/// How many files are on their way to the disk at once: it takes a few in the time of one.
const AT_ONCE: usize = 8;

/// Fills a new folder; what is found first in the order of the files is what went wrong.
fn filled(part: &Path, files: &[(String, Vec<u8>)]) -> io::Result<()> {
    let share = files.len().div_ceil(AT_ONCE).max(1);
    let write = |some: &[(String, Vec<u8>)]| some.iter().try_for_each(|(file, bytes)| put(&part.join(file), bytes));
    thread::scope(|scope| {
        let writers: Vec<_> =
            files.chunks(share).map(|some| (some, thread::Builder::new().spawn_scoped(scope, move || write(some)))).collect();
        writers.into_iter().try_for_each(|(some, writer)| match writer {
            Ok(writer) => writer.join().unwrap_or_else(|_| Err(io::Error::other("writing was cut short"))),
            // The system grants no thread more.
            Err(_) => write(some),
        })
    })
}

fn put(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = fs::File::create_new(path)?;
    file.write_all(bytes)?;
    #[cfg(unix)]
    if path.extension().is_some_and(|extension| extension == "sh") {
        use std::os::unix::fs::PermissionsExt;
        let mut mode = file.metadata()?.permissions();
        mode.set_mode(mode.mode() | (mode.mode() & 0o444) >> 2);
        file.set_permissions(mode)?;
    }
    file.sync_all()
}

const THERE: &str = "there is a file already; `--force` replaces it, another name keeps both";

/// Whether what is at `path` may be replaced.
fn replaceable(path: &Path, about: &Metadata, replace: bool, read: &[PathBuf]) -> Result<(), String> {
    if about.is_dir() {
        return Err(input::FOLDER.to_owned());
    }
    if !about.is_file() {
        let to = path.read_link().map_or_else(|_| String::new(), |to| format!(" to `{}`", to.display()));
        return Err(format!("it is {}{to}, not a file; name a file", input::kind(about.file_type())));
    }
    if let Some(same) = read.iter().find(|file| same_file::is_same_file(file, path).unwrap_or(false)) {
        let (shown, written) = (same.display().to_string(), path.display().to_string());
        let it = if shown == written { String::new() } else { format!("it is `{shown}`, which ") };
        return Err(format!("{it}{}this run reads; name another file", if it.is_empty() { "it is a file that " } else { "" }));
    }
    if replace { Ok(()) } else { Err(THERE.to_owned()) }
}

/// Writes a file beside its place and moves it there; without `mode`, that of the file to be replaced, never over another.
fn placed(folder: &Path, name: &str, path: &Path, bytes: &[u8], mode: Option<Permissions>) -> io::Result<()> {
    let mut part = part(folder, name)?;
    part.write_all(bytes)?;
    if let Some(mode) = &mode {
        part.as_file().set_permissions(mode.clone())?;
    }
    part.as_file().sync_all()?;
    if mode.is_some() {
        part.persist(path)?;
        return Ok(());
    }
    match part.persist_noclobber(path) {
        // Some file systems can't do that in one step.
        Err(error) if error.error.kind() != io::ErrorKind::AlreadyExists && path.symlink_metadata().is_err() => {
            error.file.persist(path)?;
        }
        done => {
            done?;
        }
    }
    Ok(())
}

/// A fresh file beside the place of `name`, as open to others as any new file.
fn part(folder: &Path, name: &str) -> io::Result<NamedTempFile> {
    let before = format!(".{name}.");
    let mut builder = tempfile::Builder::new();
    builder.prefix(&before).suffix(PART);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
}

/// Removes what killed runs left beside the place of `name`. What can't be looked at or removed is left.
fn sweep(folder: &Path, name: &str) {
    let before = format!(".{name}.");
    for entry in fs::read_dir(folder).into_iter().flatten().filter_map(Result::ok) {
        let is_part = entry.file_name().to_str().is_some_and(|entry| entry.starts_with(&before) && entry.ends_with(PART));
        let age = || entry.metadata().ok()?.modified().ok()?.elapsed().ok();
        if is_part && age().is_some_and(|age| age > LEFT_BEHIND) {
            let _ = fs::remove_file(entry.path());
        }
    }
}
#[cfg(test)]
mod tests {
    use super::write;
    use std::{
        fs,
        path::{Path, PathBuf},
        time::{Duration, SystemTime},
    };

    /// A fresh folder of a test.
    fn folder(name: &str) -> PathBuf {
        let folder = std::env::temp_dir().join(format!("harness-output-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder).unwrap();
        folder
    }

    fn refused(path: &Path, read: &[PathBuf]) -> String {
        write(path, b"new", true, read).unwrap_err().to_string()
    }

    #[test]
    fn a_file_is_written_whole_and_over_no_other() {
        let folder = folder("whole");
        let path = folder.join("F1.svg");
        write(&path, b"first", false, &[]).unwrap();
        let refused = write(&path, b"second", false, &[]).unwrap_err().to_string();
        assert!(refused.contains("`--force` replaces it"), "{refused}");
        assert_eq!(fs::read(&path).unwrap(), b"first");
        write(&path, b"third", true, &[]).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"third");
        assert!(write(&folder.join("none/F1.svg"), b"", false, &[]).unwrap_err().to_string().ends_with("no such folder"));
        assert!(write(&folder, b"", true, &[]).unwrap_err().to_string().ends_with("it is a folder"));
        assert_eq!(fs::read_dir(&folder).unwrap().count(), 1, "nothing is left beside the file");
        fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn what_a_killed_run_left_is_removed_and_what_another_is_writing_is_not() {
        let folder = folder("left");
        let old = SystemTime::now() - Duration::from_secs(120);
        let left = |name: &str, since: Option<SystemTime>| {
            fs::write(folder.join(name), "half").unwrap();
            if let Some(since) = since {
                fs::File::options().write(true).open(folder.join(name)).unwrap().set_modified(since).unwrap();
            }
        };
        left(".F1.svg.aB3xZ9.harness-part", Some(old));
        left(".F1.svg.qqqqqq.harness-part", None);
        left(".F2.svg.aB3xZ9.harness-part", Some(old));
        left("F1.svg.harness-part", Some(old));
        write(&folder.join("F1.svg"), b"whole", false, &[]).unwrap();
        let mut names: Vec<_> = fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().file_name()).collect();
        names.sort();
        assert_eq!(names, [".F1.svg.qqqqqq.harness-part", ".F2.svg.aB3xZ9.harness-part", "F1.svg", "F1.svg.harness-part"]);
        fs::remove_dir_all(&folder).unwrap();
    }

    #[cfg(unix)]
    #[test]
    fn what_was_read_and_what_is_no_file_is_never_replaced() {
        use std::os::unix::{fs::symlink, net::UnixListener};
        let folder = folder("read");
        let design = folder.join("a.yaml");
        fs::write(&design, "old").unwrap();
        fs::hard_link(&design, folder.join("hard.yaml")).unwrap();
        symlink("a.yaml", folder.join("soft.yaml")).unwrap();
        symlink(".", folder.join("folder")).unwrap();
        let read = [design.clone()];
        assert!(refused(&design, &read).ends_with("it is a file that this run reads; name another file"));
        for name in ["./a.yaml", "hard.yaml", "folder/a.yaml"] {
            let why = refused(&folder.join(name), &read);
            assert!(
                why.ends_with("a.yaml`, which this run reads; name another file")
                    || why.ends_with("it is a file that this run reads; name another file"),
                "{why}"
            );
        }
        // Without having been read, a link is still no file.
        assert!(refused(&folder.join("soft.yaml"), &[]).ends_with("it is a link to `a.yaml`, not a file; name a file"));
        let _socket = UnixListener::bind(folder.join("socket")).unwrap();
        assert!(refused(&folder.join("socket"), &[]).ends_with("it is a socket, not a file; name a file"));
        assert!(refused(Path::new("/dev/null"), &[]).ends_with("it is a device, not a file; name a file"));
        assert_eq!(fs::read(&design).unwrap(), b"old");
        fs::remove_dir_all(&folder).unwrap();
    }

    #[cfg(unix)]
    #[test]
    fn a_replaced_file_keeps_its_mode_and_a_new_one_is_open_like_any_other() {
        use std::os::unix::fs::PermissionsExt;
        let folder = folder("mode");
        let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
        let (path, other) = (folder.join("F1.svg"), folder.join("other"));
        write(&path, b"first", false, &[]).unwrap();
        fs::write(&other, "").unwrap();
        assert_eq!(mode(&path), mode(&other));
        for wanted in [0o640, 0o604] {
            fs::set_permissions(&path, fs::Permissions::from_mode(wanted)).unwrap();
            write(&path, b"next", true, &[]).unwrap();
            assert_eq!(mode(&path), wanted);
        }
        fs::remove_dir_all(&folder).unwrap();
    }
}
