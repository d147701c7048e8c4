//! Git as a program: where in its repository a path is, and what git answers.
//!
//! Never through a shell, never over a network, never with a lock. Which repository is meant follows from the folder alone:
//! what a hook sets for the repository that it runs in is not handed on.

use crate::phrase::did_you_mean;
use std::{
    io,
    path::{Component, Path, PathBuf},
    process::{Command, Stdio},
};

/// What git sets for its hooks and what would point it at another repository than that of the folder.
const LOCAL: [&str; 8] = [
    "GIT_DIR",
    "GIT_WORK_TREE",
    "GIT_INDEX_FILE",
    "GIT_PREFIX",
    "GIT_COMMON_DIR",
    "GIT_NAMESPACE",
    "GIT_OBJECT_DIRECTORY",
    "GIT_EXTERNAL_DIFF",
];

/// A folder inside a repository, from which git is asked.
#[derive(Debug, Clone)]
pub(super) struct Place {
    /// A folder that is there.
    folder: PathBuf,
    /// The folder that was asked for, below the top of the repository, with `/`; empty at the top.
    pub(super) within: String,
}

impl Place {
    /// The place of `folder`, which need not be there any more: the nearest folder above that is there leads to the repository.
    pub(super) fn of(folder: &Path) -> Result<Self, String> {
        let mut there = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
        while !there.is_dir() {
            there = match there.parent() {
                Some(above) if !above.as_os_str().is_empty() => above,
                _ => Path::new(if there.is_absolute() { "/" } else { "." }),
            };
        }
        let mut place = Self { folder: there.to_owned(), within: String::new() };
        // Below the working directory the path is its own remainder.
        let below = folder.strip_prefix(there).unwrap_or(folder);
        let prefix = place.line(&["rev-parse", "--show-prefix"])?;
        let mut parts: Vec<String> = prefix.split('/').filter(|part| !part.is_empty()).map(str::to_owned).collect();
        for part in below.components() {
            match part {
                Component::Normal(name) => parts.push(name.to_string_lossy().into_owned()),
                Component::ParentDir if parts.pop().is_none() => return Err("it is outside its git repository".to_owned()),
                _ => {}
            }
        }
        place.within = parts.join("/");
        Ok(place)
    }

    /// The top folder of the working tree.
    pub(super) fn top(&self) -> Result<PathBuf, String> {
        Ok(PathBuf::from(self.line(&["rev-parse", "--show-toplevel"])?))
    }

    /// The hash of the commit that `revision` names; with the near names of branches and tags if there is none.
    pub(super) fn commit(&self, revision: &str) -> Result<String, String> {
        if let Some(hash) = self.known(revision)? {
            return Ok(hash);
        }
        if self.known("HEAD")?.is_none() && self.names()?.is_empty() {
            return Err("the repository has no commit yet".to_owned());
        }
        Err(format!("there is no such revision{}", self.instead(revision)?))
    }

    /// What may be meant by an unknown `revision`, or what brings it into the repository; may be empty.
    pub(super) fn instead(&self, revision: &str) -> Result<String, String> {
        let stem = stem(revision);
        // Where the name is known, or is a hash, the older commits are what is missing.
        let is_hash = stem.len() >= 4 && stem.chars().all(|digit| digit.is_ascii_hexdigit());
        let is_older = stem != revision && (stem.is_empty() || self.known(stem)?.is_some());
        if (is_hash || is_older) && self.line(&["rev-parse", "--is-shallow-repository"])? == "true" {
            let why = "this copy of the repository is shallow, it ends before that";
            return Ok(format!(": {why}; `git fetch --unshallow` gets the older commits"));
        }
        Ok(did_you_mean(stem, &self.names()?))
    }

    /// Names of branches and tags.
    fn names(&self) -> Result<Vec<String>, String> {
        let names = self.text(&["for-each-ref", "--format=%(refname:short)", "refs/heads", "refs/tags", "refs/remotes"])?;
        Ok(names.lines().map(str::to_owned).collect())
    }

    /// The hash of the commit that `revision` names, if it names one.
    pub(super) fn known(&self, revision: &str) -> Result<Option<String>, String> {
        if !is_plausible(revision) {
            return Ok(None);
        }
        let wanted = format!("{revision}^{{commit}}");
        let (done, out, _) = self.run(&["rev-parse", "--verify", "--quiet", "--end-of-options", &wanted])?;
        // Some versions repeat `--end-of-options` before the answer.
        let hash = String::from_utf8_lossy(&out).lines().last().unwrap_or("").trim().to_owned();
        Ok((done && !hash.is_empty() && hash.chars().all(|digit| digit.is_ascii_hexdigit())).then_some(hash))
    }

    /// What git writes when asked `arguments`.
    pub(super) fn bytes(&self, arguments: &[&str]) -> Result<Vec<u8>, String> {
        let (done, out, told) = self.run(arguments)?;
        if done { Ok(out) } else { Err(reason(&told)) }
    }

    /// What git writes, as text.
    pub(super) fn text(&self, arguments: &[&str]) -> Result<String, String> {
        Ok(String::from_utf8_lossy(&self.bytes(arguments)?).into_owned())
    }

    /// The one line that git writes; a folder's name may have blanks at its end.
    fn line(&self, arguments: &[&str]) -> Result<String, String> {
        let text = self.text(arguments)?;
        Ok(text.strip_suffix('\n').unwrap_or(&text).trim_end_matches('\r').to_owned())
    }

    fn run(&self, arguments: &[&str]) -> Result<(bool, Vec<u8>, String), String> {
        let done = self.command(arguments).stdin(Stdio::null()).output().map_err(|error| start(&error))?;
        Ok((done.status.success(), done.stdout, String::from_utf8_lossy(&done.stderr).into_owned()))
    }

    /// Git, ready to be started.
    pub(super) fn command(&self, arguments: &[&str]) -> Command {
        let mut git = Command::new("git");
        git.arg("-C").arg(&self.folder);
        // A helper that watches files is a program named by the repository; the order of names is ours to choose.
        git.args(["-c", "core.fsmonitor=false", "-c", "core.quotePath=false", "-c", "diff.relative=false", "--no-pager"]);
        git.args(arguments);
        for name in LOCAL {
            git.env_remove(name);
        }
        git.env("GIT_OPTIONAL_LOCKS", "0").env("GIT_LITERAL_PATHSPECS", "1").env("LC_ALL", "C");
        // Repositories that lack some of their objects would fetch them.
        git.env("GIT_NO_LAZY_FETCH", "1").env("GIT_ALLOW_PROTOCOL", "none").env("GIT_TERMINAL_PROMPT", "0");
        git.stderr(Stdio::piped());
        git
    }
}

/// Whether git could take `revision` for a revision; what begins with `-` would be taken for an option.
fn is_plausible(revision: &str) -> bool {
    !revision.is_empty() && !revision.starts_with('-') && !revision.contains(|letter: char| letter.is_control())
}

/// The name in front of the steps of a revision: `main` in `main~2`.
fn stem(revision: &str) -> &str {
    revision.split(['~', '^', '@', ':']).next().unwrap_or(revision)
}

/// Why git could not be started.
pub(super) fn start(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "git is not installed, or not on the path; revisions are read with it".to_owned(),
        _ => format!("git could not be started: {error}"),
    }
}

/// Why git refused.
fn reason(told: &str) -> String {
    if told.contains("not a git repository (or any") {
        return "it is not in a git repository".to_owned();
    }
    if told.contains("this operation must be run in a work tree") {
        return "its git repository has no working tree".to_owned();
    }
    let line = told.lines().find_map(|line| line.strip_prefix("fatal: ")).or(told.lines().next()).unwrap_or("it gave no reason");
    // What git says helps against a repository of somebody else is a command on a line of its own.
    match told.lines().map(str::trim).find(|line| line.starts_with("git config ")) {
        Some(command) => format!("git refuses: {line}; if you trust it, `{command}` lets git read it"),
        None => format!("git refuses: {line}"),
    }
}
