//! A git repository made for one test.

use std::{
    fs,
    path::{Path, PathBuf},
    process::Command,
};

/// A repository in a folder of its own, without the settings of whoever runs the test.
#[derive(Debug)]
pub struct Repository {
    /// The top of its working tree.
    pub top: PathBuf,
}

#[expect(clippy::expect_used, reason = "a test fails by panicking")]
impl Repository {
    /// A fresh repository called `name`, on the branch `main`, without a commit.
    ///
    /// # Panics
    /// If git is not installed.
    #[must_use]
    pub fn new(name: &str) -> Self {
        let top = std::env::temp_dir().join(format!("harness-git-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&top);
        fs::create_dir_all(&top).expect("a folder can be made");
        let top = top.canonicalize().expect("the folder is there");
        let repository = Self { top };
        repository.git(&["init", "--quiet", "--initial-branch=main", "."]);
        repository
    }

    /// Runs git at the top.
    ///
    /// # Panics
    /// If git fails.
    pub fn git(&self, arguments: &[&str]) -> String {
        let done = self.command(arguments).output().expect("git is installed");
        let told = String::from_utf8_lossy(&done.stderr).into_owned();
        assert!(done.status.success(), "git {arguments:?}: {told}");
        String::from_utf8_lossy(&done.stdout).into_owned()
    }

    /// Git at the top, ready to be started.
    #[must_use]
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut git = Command::new("git");
        git.arg("-C").arg(&self.top);
        for setting in
            ["user.name=Test", "user.email=test@example.org", "commit.gpgsign=false", "tag.gpgsign=false", "core.autocrlf=false"]
        {
            git.arg("-c").arg(setting);
        }
        git.args(arguments);
        // A test may itself run inside a hook.
        for name in ["GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_PREFIX", "GIT_OBJECT_DIRECTORY"] {
            git.env_remove(name);
        }
        git
    }

    /// Writes a file below the top.
    ///
    /// # Panics
    /// If it can't be written.
    pub fn write(&self, name: &str, text: impl AsRef<[u8]>) {
        let path = self.top.join(name);
        fs::create_dir_all(path.parent().unwrap_or(Path::new("."))).expect("a folder can be made");
        fs::write(path, text).expect("a file can be written");
    }

    /// Deletes a file below the top.
    ///
    /// # Panics
    /// If it is not there.
    pub fn delete(&self, name: &str) {
        fs::remove_file(self.top.join(name)).expect("the file is there");
    }

    /// Commits everything that is there.
    pub fn commit(&self, message: &str) {
        self.git(&["add", "--all"]);
        self.git(&["commit", "--quiet", "--allow-empty", "--no-verify", "-m", message]);
    }

    /// A path below the top.
    #[must_use]
    pub fn path(&self, name: &str) -> PathBuf {
        self.top.join(name)
    }
}

impl Drop for Repository {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.top);
    }
}
