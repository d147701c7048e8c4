//! What the program reads and writes of the world outside: links, pipes, other people's repositories, files that are in use.

use std::{
    fs,
    os::unix::fs::{PermissionsExt, symlink},
    path::{Path, PathBuf},
    process::{Command, Stdio},
};

const DESIGN: &str = "\
format: 1
design: Cart
include: [parts.yaml]
devices:
  battery: { kind: cart-battery }
";

const PARTS: &str = "\
parts:
  devices:
    cart-battery: { ports: { P1: { pins: { 1: {} } } } }
";

/// A fresh folder with a design of two files.
fn cart(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("harness-outside-{}-{name}", std::process::id()));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    fs::write(folder.join("cart.yaml"), DESIGN).unwrap();
    fs::write(folder.join("parts.yaml"), PARTS).unwrap();
    folder
}

fn harness(folder: &Path, args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_harness"));
    command.current_dir(folder).args(args).stdin(Stdio::null());
    command
}

/// Exit code, standard output, standard error.
fn run(command: &mut Command) -> (Option<i32>, String, String) {
    let done = command.output().unwrap();
    (done.status.code(), String::from_utf8(done.stdout).unwrap(), String::from_utf8(done.stderr).unwrap())
}

fn git(folder: &Path, args: &[&str]) {
    let settings = ["-c", "user.name=Test", "-c", "user.email=test@example.org", "-c", "commit.gpgsign=false"];
    let done = Command::new("git").arg("-C").arg(folder).args(settings).args(args).output().unwrap();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
}

#[test]
fn a_link_out_of_the_folder_is_named_and_nothing_behind_it_is_quoted() {
    let folder = cart("links");
    fs::create_dir(folder.join("designs")).unwrap();
    fs::rename(folder.join("cart.yaml"), folder.join("designs/cart.yaml")).unwrap();
    fs::write(folder.join("secret"), "KEY=hunter\n").unwrap();
    symlink("../secret", folder.join("designs/parts.yaml")).unwrap();
    for format in ["full", "json", "annotations", "sarif", "junit"] {
        let (code, out, err) = run(&mut harness(&folder, &["check", "designs/cart.yaml", "--format", format]));
        assert_eq!((code, err.as_str()), (Some(1), ""), "{format}");
        assert!(!out.contains("hunter"), "{format}: {out}");
        let words = out.split(['\n', '│', ' ']).filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ");
        assert!(words.contains("`parts.yaml` is a link to"), "{format}: {out}");
        assert!(words.contains("outside the folder of the design"), "{format}: {out}");
    }
    fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn what_may_never_end_is_refused_at_once() {
    let folder = cart("endless");
    assert!(Command::new("mkfifo").arg(folder.join("pipe")).status().unwrap().success());
    for (args, what) in [
        (&["check", "pipe"][..], "`pipe`: it is a pipe, not a file; `-` reads a design from standard input"),
        (&["check", "/dev/zero"], "`/dev/zero`: it is a device, not a file; `-` reads a design from standard input"),
        (&["check", "cart.yaml", "--baseline", "pipe"], "the baseline `pipe`: it is a pipe, not a file"),
        (&["check", "cart.yaml", "--baseline", "/dev/zero"], "the baseline `/dev/zero`: it is a device, not a file"),
        (&["diff", "pipe", "cart.yaml"], "`pipe`: it is a pipe, not a file; `-` reads a design from standard input"),
    ] {
        let (code, out, err) = run(&mut harness(&folder, args));
        assert_eq!((code, out.as_str(), err), (Some(2), "", format!("error: failed to read {what}\n")), "{args:?}");
    }
    // An include that is one does not keep the rest from being checked.
    fs::remove_file(folder.join("parts.yaml")).unwrap();
    fs::rename(folder.join("pipe"), folder.join("parts.yaml")).unwrap();
    let (code, out, _) = run(&mut harness(&folder, &["check", "cart.yaml", "--format", "short"]));
    assert_eq!(code, Some(1));
    assert!(out.contains("the file `parts.yaml` can't be read: it is a pipe, not a file"), "{out}");
    fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn no_input_is_read_beyond_the_limit() {
    let folder = cart("large");
    let larger = 64_u64 * 1024 * 1024 + 1;
    fs::File::create(folder.join("large.yaml")).unwrap().set_len(larger).unwrap();
    let why = "it is larger than the 64 MiB that are read of one file; split it with `include`\n";
    for (args, what) in [
        (&["check", "large.yaml"][..], "`large.yaml`"),
        (&["check", "cart.yaml", "--baseline", "large.yaml"], "the baseline `large.yaml`"),
    ] {
        let (code, _, err) = run(&mut harness(&folder, args));
        assert_eq!((code, err), (Some(2), format!("error: failed to read {what}: {why}")));
    }
    // A stream has no size that could be asked for, and may have no end.
    let (code, _, err) = run(harness(&folder, &["check", "-"]).stdin(fs::File::open("/dev/zero").unwrap()));
    assert_eq!((code, err), (Some(2), format!("error: failed to read standard input: {why}")));
    fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn force_replaces_no_file_that_is_read() {
    let folder = cart("force");
    fs::hard_link(folder.join("parts.yaml"), folder.join("twin.yaml")).unwrap();
    symlink("cart.yaml", folder.join("link.yaml")).unwrap();
    symlink(".", folder.join("here")).unwrap();
    for (output, why) in [
        ("cart.yaml", "it is a file that this run reads; name another file"),
        ("./cart.yaml", "it is `cart.yaml`, which this run reads; name another file"),
        ("here/cart.yaml", "it is `cart.yaml`, which this run reads; name another file"),
        ("link.yaml", "it is a link to `cart.yaml`, not a file; name a file"),
        ("/dev/null", "it is a device, not a file; name a file"),
        (".", "it is a folder"),
    ] {
        let (code, _, err) = run(&mut harness(&folder, &["baseline", "cart.yaml", "--output", output, "--force"]));
        assert_eq!(code, Some(2), "{output}: {err}");
        assert!(err.contains(why), "{output}: {err}");
    }
    // An include, by its own name and by another one of the same file.
    for output in ["parts.yaml", "twin.yaml"] {
        let (code, _, err) = run(&mut harness(&folder, &["baseline", "cart.yaml", "--output", output, "--force"]));
        assert_eq!(code, Some(2), "{output}");
        assert!(err.contains("parts.yaml`, which this run reads; name another file"), "{output}: {err}");
    }
    // Pictures go through the same door.
    fs::write(folder.join("old.yaml"), DESIGN).unwrap();
    for output in ["old.yaml", "cart.yaml", "parts.yaml"] {
        let (code, _, err) = run(&mut harness(&folder, &["diff", "old.yaml", "cart.yaml", "--svg", output, "--force"]));
        assert_eq!(code, Some(2), "{output}");
        assert!(err.contains("this run reads; name another file"), "{output}: {err}");
    }
    assert_eq!(fs::read_to_string(folder.join("cart.yaml")).unwrap(), DESIGN);
    assert_eq!(fs::read_to_string(folder.join("twin.yaml")).unwrap(), PARTS);
    // What it may replace keeps its mode.
    fs::write(folder.join("known.txt"), "old").unwrap();
    fs::set_permissions(folder.join("known.txt"), fs::Permissions::from_mode(0o664)).unwrap();
    let (code, _, err) = run(&mut harness(&folder, &["baseline", "cart.yaml", "--output", "known.txt", "--force"]));
    assert_eq!((code, err.as_str()), (Some(0), ""));
    assert_eq!(fs::metadata(folder.join("known.txt")).unwrap().permissions().mode() & 0o777, 0o664);
    assert!(fs::read_to_string(folder.join("known.txt")).unwrap() != "old");
    fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn the_reason_that_git_has_is_told() {
    let folder = cart("git");
    git(&folder, &["init", "--quiet", "--initial-branch=main", "."]);
    git(&folder, &["add", "."]);
    git(&folder, &["commit", "--quiet", "-m", "first"]);
    let diff = |revision: &str| harness(&folder, &["diff", revision, "cart.yaml"]);
    assert_eq!(run(&mut diff("HEAD")).0, Some(0));

    let (code, _, err) = run(&mut diff("mian"));
    assert_eq!(code, Some(2));
    assert!(err.ends_with("`cart.yaml` has no git revision of that name; did you mean `main`?\n"), "{err}");

    let (code, _, err) = run(diff("HEAD").env("PATH", "/nowhere"));
    assert_eq!(code, Some(2));
    let why =
        "and it cannot be a git revision of `cart.yaml`: git is not installed, or not on the path; revisions are read with it\n";
    assert!(err.ends_with(why), "{err}");

    // Git takes the repository of somebody else for one, where this variable of its own tests is set.
    let (code, _, err) = run(diff("HEAD").env("GIT_TEST_ASSUME_DIFFERENT_OWNER", "1").env("HOME", "/nowhere"));
    assert_eq!(code, Some(2));
    assert!(err.contains("git refuses: detected dubious ownership in repository at"), "{err}");
    let advice =
        format!("`git config --global --add safe.directory {}` lets git read it", folder.canonicalize().unwrap().display());
    assert!(err.contains(&advice), "{err}");
    // What it advises helps.
    let home = folder.join("home");
    fs::create_dir(&home).unwrap();
    let config = format!("[safe]\n\tdirectory = {}\n", folder.canonicalize().unwrap().display());
    fs::write(home.join(".gitconfig"), config).unwrap();
    assert_eq!(run(diff("HEAD").env("GIT_TEST_ASSUME_DIFFERENT_OWNER", "1").env("HOME", &home)).0, Some(0));

    fs::remove_dir_all(folder.join(".git")).unwrap();
    let (code, _, err) = run(&mut diff("HEAD"));
    assert_eq!(code, Some(2));
    assert!(err.ends_with("and it cannot be a git revision of `cart.yaml`: it is not in a git repository\n"), "{err}");
    fs::remove_dir_all(&folder).unwrap();
}

#[cfg(target_os = "linux")]
#[test]
fn memory_that_runs_out_is_told_and_fails_with_its_own_code() {
    let folder = cart("memory");
    let wires: String = (0..60_000)
        .map(|wire| format!("      {wire}: {{ from: P{wire}.1, to: P{}.4, size: 0.75 mm2, length: 1450 mm }}\n", wire + 1))
        .collect();
    fs::write(folder.join("large.yaml"), format!("format: 1\ndesign: Large\nlooms:\n  front:\n    wires:\n{wires}")).unwrap();
    let program = env!("CARGO_BIN_EXE_harness");
    // It begins with itself in memory, which is large as it is built for tests; the design takes more than 90 MB on top of that.
    let most = fs::metadata(program).unwrap().len() / 1024 + 52_000;
    let limited = format!("ulimit -v {most}; exec '{program}' check large.yaml");
    let (code, _, err) = run(Command::new("sh").current_dir(&folder).args(["-c", &limited]).stdin(Stdio::null()));
    assert_eq!(code, Some(2), "{err}");
    assert!(err.contains("memory"), "{err}");
    fs::remove_dir_all(&folder).unwrap();
}
