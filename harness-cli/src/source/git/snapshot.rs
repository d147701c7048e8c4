//! The files of one commit: what there is, of what kind, and the bytes.
//!
//! One listing says what there is; bytes come by hash from one process that stays until the snapshot is let go, so that a
//! design of many includes costs two processes.

use super::{
    joined,
    place::{self, Place},
};
use crate::source::{guard::leads_out, input};
use harness_core::FileError;
use std::{
    collections::BTreeMap,
    io::{BufRead, BufReader, Read, Write},
    process::{Child, ChildStdin, ChildStdout, Stdio},
    sync::{Mutex, PoisonError},
};

/// So many links are followed, one after the other; more are a circle.
const MOST_LINKS: usize = 20;

/// That git knows of a file and does not have it.
const NOT_HERE: &str = "its bytes are not in this copy of the repository";

/// What there is at a path of a commit.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Entry {
    /// A file, by the hash of its bytes.
    File(String),
    /// A link, with the hash of the path that it leads to.
    Link(String),
    /// A repository inside the repository.
    Submodule,
}

/// The files of one commit, by their paths below the top of the repository.
#[derive(Debug)]
pub(super) struct Snapshot {
    place: Place,
    commit: String,
    entries: BTreeMap<String, Entry>,
    reader: Mutex<Option<Reader>>,
}

impl Snapshot {
    /// The files of `commit` at and below `folder`; all if it is empty.
    pub(super) fn new(place: Place, commit: String, folder: &str) -> Result<Self, String> {
        let mut arguments = vec!["ls-tree", "-r", "-z", "--full-tree", commit.as_str(), "--"];
        if !folder.is_empty() {
            arguments.push(folder);
        }
        let listing = place.bytes(&arguments)?;
        let entries = listing.split(|byte| *byte == 0).filter_map(entry).collect();
        Ok(Self { place, commit, entries, reader: Mutex::new(None) })
    }

    /// Whether there is anything at `path`.
    pub(super) fn has(&self, path: &str) -> bool {
        self.entries.contains_key(path)
    }

    /// The bytes of the file `name` of the folder `within`; links are followed as far as they stay in that folder.
    pub(super) fn read(&self, within: &str, name: &str) -> Result<Vec<u8>, FileError> {
        let mut name = name.to_owned();
        for _ in 0..MOST_LINKS {
            let path = joined(within, &name);
            match self.link(&path) {
                Some((link, hash)) => name = self.follow(within, link, hash, &path)?,
                None => return self.file(&path),
            }
        }
        Err(FileError::Unreadable(format!("`{name}` is a link that leads in a circle")))
    }

    /// The link on the way to `path`, or at it, and the hash of where it leads.
    fn link(&self, path: &str) -> Option<(&str, &str)> {
        let found = self.entries.get_key_value(path).or_else(|| self.above(path))?;
        match found.1 {
            Entry::Link(hash) => Some((found.0, hash)),
            _ => None,
        }
    }

    /// The name below `within` of what `path` is behind the link that it leads over.
    fn follow(&self, within: &str, link: &str, hash: &str, path: &str) -> Result<String, FileError> {
        let bytes = self.bytes(hash).map_err(FileError::Unreadable)?;
        let to = String::from_utf8_lossy(&bytes);
        let below = |path: &str| match within {
            "" => Some(path.to_owned()),
            _ => path.strip_prefix(within).and_then(|rest| rest.strip_prefix('/')).map(str::to_owned),
        };
        let out = || leads_out(&below(link).unwrap_or_else(|| link.to_owned()), &to);
        if to.starts_with('/') {
            return Err(out());
        }
        let rest = path.strip_prefix(link).unwrap_or_default();
        let mut parts: Vec<&str> = folder_of(link).split('/').filter(|part| !part.is_empty()).collect();
        for part in to.split('/').chain(rest.split('/')) {
            match part {
                "" | "." => {}
                ".." => {
                    parts.pop().ok_or_else(out)?;
                }
                part => parts.push(part),
            }
        }
        below(&parts.join("/")).ok_or_else(out)
    }

    /// The bytes of the file at `path`, over no link.
    fn file(&self, path: &str) -> Result<Vec<u8>, FileError> {
        let unreadable = |why: &str| Err(FileError::Unreadable(why.to_owned()));
        match self.entries.get(path) {
            Some(Entry::File(hash)) => self.bytes(hash).map_err(|why| {
                // A copy that was made without the bytes gets those of one file when git is asked for them by name.
                let advice = format!("; `git show {}:{path}` gets them", self.commit.get(..12).unwrap_or(&self.commit));
                FileError::Unreadable(if why == NOT_HERE { why + &advice } else { why })
            }),
            Some(Entry::Link(_)) => unreadable("it is a link"),
            Some(Entry::Submodule) => unreadable("it is a repository of its own (a submodule) in that revision"),
            None if self.entries.keys().any(|known| is_below(known, path)) => unreadable("it is a folder"),
            None => match self.above(path) {
                Some((above, Entry::Submodule)) => {
                    unreadable(&format!("`{above}` is a repository of its own (a submodule) in that revision"))
                }
                _ => Err(FileError::Missing),
            },
        }
    }

    /// Paths of all files of the commit called `name`, wherever they are.
    pub(super) fn called(&self, name: &str) -> Vec<String> {
        let all = self.place.bytes(&["ls-tree", "-r", "-z", "--full-tree", "--name-only", &self.commit]).unwrap_or_default();
        let paths = all.split(|byte| *byte == 0).filter_map(|path| std::str::from_utf8(path).ok());
        paths.filter(|path| path.rsplit('/').next() == Some(name)).map(str::to_owned).collect()
    }

    /// What is in the way of `path`: a link or a submodule where it needs a folder.
    fn above(&self, path: &str) -> Option<(&String, &Entry)> {
        self.entries.iter().find(|(known, _)| is_below(path, known))
    }

    /// Names of the files in the folder of `path`, sorted.
    pub(super) fn beside(&self, path: &str) -> Vec<String> {
        let folder = folder_of(path);
        let names = self.entries.keys().filter(|known| folder_of(known) == folder);
        names.map(|known| known.rsplit('/').next().unwrap_or(known).to_owned()).collect()
    }

    /// The bytes with a hash. What is in the way ends the process; the next file gets a new one.
    fn bytes(&self, hash: &str) -> Result<Vec<u8>, String> {
        let mut kept = self.reader.lock().unwrap_or_else(PoisonError::into_inner);
        let mut reader = match kept.take() {
            Some(reader) => reader,
            None => Reader::start(&self.place)?,
        };
        let bytes = reader.read(hash)?;
        *kept = Some(reader);
        Ok(bytes)
    }
}

/// `mode kind hash<tab>path` as an entry; what has no name in UTF-8 can't be asked for.
fn entry(line: &[u8]) -> Option<(String, Entry)> {
    let (about, path) = std::str::from_utf8(line).ok()?.split_once('\t')?;
    let mut words = about.split(' ');
    let (mode, _, hash) = (words.next()?, words.next()?, words.next()?);
    let entry = match mode {
        "120000" => Entry::Link(hash.to_owned()),
        "160000" => Entry::Submodule,
        _ => Entry::File(hash.to_owned()),
    };
    Some((path.to_owned(), entry))
}

/// The folder of a path, without a final `/`; empty at the top.
fn folder_of(path: &str) -> &str {
    path.rsplit_once('/').map_or("", |(folder, _)| folder)
}

/// Whether `path` is in `folder` or in a folder below it.
fn is_below(path: &str, folder: &str) -> bool {
    path.strip_prefix(folder).is_some_and(|rest| rest.starts_with('/'))
}

/// A process of git that hands out bytes by hash.
#[derive(Debug)]
struct Reader {
    child: Child,
    ask: ChildStdin,
    answer: BufReader<ChildStdout>,
}

impl Reader {
    fn start(place: &Place) -> Result<Self, String> {
        let mut git = place.command(&["cat-file", "--batch"]);
        // Nobody would read what it complains of while it waits for the next hash.
        git.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null());
        let mut child = git.spawn().map_err(|error| place::start(&error))?;
        match (child.stdin.take(), child.stdout.take()) {
            (Some(ask), Some(answer)) => Ok(Self { child, ask, answer: BufReader::new(answer) }),
            _ => Err("git could not be started: it has no streams".to_owned()),
        }
    }

    fn read(&mut self, hash: &str) -> Result<Vec<u8>, String> {
        let broken = |_| "git ended before it gave the file".to_owned();
        self.ask.write_all(format!("{hash}\n").as_bytes()).and_then(|()| self.ask.flush()).map_err(broken)?;
        let mut head = String::new();
        self.answer.read_line(&mut head).map_err(broken)?;
        let mut words = head.split_whitespace().skip(1);
        let (Some("blob"), Some(length)) = (words.next(), words.next().and_then(|length| length.parse::<u64>().ok())) else {
            return Err(NOT_HERE.to_owned());
        };
        input::sized(length)?;
        let mut bytes = Vec::new();
        self.answer.by_ref().take(length).read_to_end(&mut bytes).map_err(broken)?;
        let mut end = [0];
        self.answer.read_exact(&mut end).map_err(broken)?;
        if bytes.len() as u64 == length { Ok(bytes) } else { Err(broken(std::io::ErrorKind::UnexpectedEof.into())) }
    }
}

impl Drop for Reader {
    fn drop(&mut self) {
        // It waits for a next hash, or to be read from: it ends nothing by being stopped.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
