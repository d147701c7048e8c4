//! The section "In CI" of the guide, carried out: the hook by git itself, the steps by a shell, with the program as built.

use std::{
    fs,
    os::unix::fs::PermissionsExt,
    path::{Path, PathBuf},
    process::{Command, Output},
};

const CLEAN: &str = "format: 1\ndesign: Orchard lift\ninclude: [parts/fuses.yaml]\ndevices: { horn: { ports: { P: { stud: M5, need: optional } } } }\n";
const FUSES: &str = "parts:\n  fuses:\n    blade-30: { standard: ISO 8820-3, rating: 30 A }\n";

/// The code block of the guide that begins with `first`.
fn block(first: &str) -> String {
    let guide = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("GUIDE.md")).unwrap();
    let at = guide.find(&format!("\n{first}\n")).expect("the guide has the block") + 1;
    guide.get(at..).and_then(|rest| rest.split_once("```")).map(|(block, _)| block.to_owned()).expect("the block ends")
}

/// A repository of two designs and what they share, without a commit; gone when it is let go.
struct Workshop(PathBuf);

impl Workshop {
    fn new(name: &str) -> Self {
        let top = std::env::temp_dir().join(format!("harness-ci-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&top);
        fs::create_dir_all(top.join("designs/parts")).unwrap();
        let workshop = Self(top);
        workshop.write("designs/a.yaml", CLEAN);
        workshop.write(
            "designs/b.yaml",
            "format: 1\ndesign: Grape press\ndevices: { press: { ports: { P: { stud: M6, need: optional } } } }\n",
        );
        workshop.write("designs/parts/fuses.yaml", FUSES);
        workshop.git(&["init", "--quiet", "--initial-branch=main", "."]);
        workshop
    }

    fn write(&self, name: &str, text: &str) {
        fs::write(self.0.join(name), text).unwrap();
    }

    /// A program in the repository, with `harness` on its path.
    fn command(&self, program: &str) -> Command {
        let folder = Path::new(env!("CARGO_BIN_EXE_harness")).parent().unwrap();
        let mut paths = vec![folder.to_owned()];
        paths.extend(std::env::split_paths(&std::env::var_os("PATH").unwrap()));
        let mut command = Command::new(program);
        command.current_dir(&self.0).env("PATH", std::env::join_paths(paths).unwrap());
        for name in ["GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_PREFIX", "GIT_OBJECT_DIRECTORY"] {
            command.env_remove(name);
        }
        command
    }

    fn try_git(&self, arguments: &[&str]) -> Output {
        let mut git = self.command("git");
        for setting in ["user.name=Test", "user.email=test@example.org", "commit.gpgsign=false", "core.hooksPath=.git/hooks"] {
            git.args(["-c", setting]);
        }
        git.args(arguments).output().unwrap()
    }

    fn git(&self, arguments: &[&str]) {
        let done = self.try_git(arguments);
        assert!(done.status.success(), "git {arguments:?}: {}", said(&done));
    }
}

impl Drop for Workshop {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn said(done: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&done.stdout), String::from_utf8_lossy(&done.stderr))
}

#[test]
fn the_hook_refuses_a_commit_with_findings_and_looks_only_at_what_changed() {
    let workshop = Workshop::new("hook");
    let hook = workshop.0.join(".git/hooks/pre-commit");
    fs::create_dir_all(hook.parent().unwrap()).unwrap();
    fs::write(&hook, block("#!/bin/sh")).unwrap();
    fs::set_permissions(&hook, fs::Permissions::from_mode(0o755)).unwrap();
    let commit = |message: &str, arguments: &[&str]| {
        let done = workshop.try_git(&[&["commit", "-m", message], arguments].concat());
        (done.status.success(), said(&done))
    };
    workshop.git(&["add", "--all"]);
    let (done, told) = commit("first", &[]);
    assert!(done && told.contains("checked designs/a.yaml") && told.contains("checked designs/b.yaml"), "{told}");
    // A slip in what a design includes.
    workshop.write("designs/parts/fuses.yaml", &FUSES.replace("30 A", "30"));
    let (done, told) = commit("slip", &["--all"]);
    assert!(!done && told.contains("designs/parts/fuses.yaml:3:") && told.contains("error[format/quantity]"), "{told}");
    assert!(told.contains("1 design untouched since HEAD, not checked again: designs/b.yaml"), "{told}");
    // Only some files, from a folder below: git names its index and its folder to the hook.
    workshop.write("designs/parts/fuses.yaml", FUSES);
    workshop.write(
        "designs/b.yaml",
        "format: 1\ndesign: Grape press, fixed\ndevices: { press: { ports: { P: { stud: M6, need: optional } } } }\n",
    );
    let mut git = workshop.command("git");
    git.current_dir(workshop.0.join("designs"));
    let settings = ["-c", "user.name=Test", "-c", "user.email=test@example.org", "-c", "commit.gpgsign=false"];
    let done = git.args(settings).args(["-c", "core.hooksPath=.git/hooks", "commit", "-m", "second", "b.yaml"]).output().unwrap();
    assert!(
        done.status.success() && said(&done).contains("untouched since HEAD, not checked again: designs/a.yaml"),
        "{}",
        said(&done)
    );
    // In a working tree of its own, where git names the repository to the hook.
    workshop.git(&["worktree", "add", "--quiet", "beside"]);
    fs::write(workshop.0.join("beside/designs/b.yaml"), "format: 1\ndesigns: Slip\n").unwrap();
    let done = workshop.try_git(&["-C", "beside", "-c", "core.hooksPath=../.git/hooks", "commit", "--all", "-m", "slip"]);
    assert!(!done.status.success() && said(&done).contains("error[format/unknown-key]"), "{}", said(&done));
}

#[test]
fn the_steps_of_the_pipeline_run() {
    let workshop = Workshop::new("steps");
    workshop.git(&["add", "--all"]);
    workshop.git(&["commit", "--quiet", "-m", "first"]);
    let steps = block("steps:");
    let commands: Vec<&str> = steps
        .lines()
        .filter_map(|line| line.trim().strip_prefix("- run: "))
        .filter(|command| command.starts_with("harness "))
        .collect();
    assert!(commands.len() >= 3, "{steps}");
    let code = |command: &str| {
        let done = workshop.command("sh").args(["-c", command]).output().unwrap();
        done.status.code().unwrap()
    };
    for command in &commands {
        assert_eq!(code(command), 0, "{command}");
    }
    let report = fs::read_to_string(workshop.0.join("harness.sarif")).unwrap();
    assert!(report.contains("\"uri\": \"designs/a.yaml\""), "{report}");
    assert!(fs::read_to_string(workshop.0.join("harness.xml")).unwrap().contains("<testsuite name=\"designs/b.yaml\""));
    workshop.write("designs/b.yaml", "format: 1\ndesigns: Slip\n");
    for command in &commands {
        assert_eq!(code(command), 1, "{command}");
    }
}

#[test]
fn without_git_a_check_says_what_it_needs() {
    let workshop = Workshop::new("no-git");
    let check = |arguments: &[&str]| {
        let mut harness = Command::new(env!("CARGO_BIN_EXE_harness"));
        harness.current_dir(&workshop.0).env("PATH", "").args(["check", "designs/a.yaml"]).args(arguments).output().unwrap()
    };
    assert_eq!(check(&[]).status.code(), Some(0));
    let done = check(&["--changed-since", "HEAD"]);
    assert_eq!(done.status.code(), Some(2));
    assert!(said(&done).contains("git is not installed, or not on the path; revisions are read with it"), "{}", said(&done));
}
