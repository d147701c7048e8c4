//! The program as a whole, one file per command or subject: exit codes, streams, formats, files.

mod apply;
mod baselines;
mod check;
mod diagnose;
mod diff;
mod export;
mod golive;
mod hostile;
mod inspect;
mod lists;
mod live;
mod many;
mod merge;
mod pages;
mod papers;
mod pictures;
mod review;
mod review_page;
mod revision;
mod rework;
mod ringout;
mod setup;
mod swaps;
mod whatif;

use harness_cli::{Io, Terminal, run};
use harness_tests::{Done, harness_at, scratch};
use serde_json::Value;
use std::{fs, io, path::PathBuf};

/// The program with nothing on standard input, its output going into a pipe.
fn harness(args: &[&str]) -> Done {
    harness_at(Terminal::PIPE, "", args)
}

/// A fresh folder for one test of a subject, with files in it.
fn folder(name: &str, files: &[(&str, &str)]) -> PathBuf {
    let folder = scratch(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    for (name, text) in files {
        fs::write(folder.join(name), text).unwrap();
    }
    folder
}

/// The path of a file in a folder that is made for one test.
fn file(name: &str, text: &str) -> String {
    let path = folder(name, &[("lift.yaml", text)]).join("lift.yaml");
    path.to_str().unwrap().to_owned()
}

/// The document of a run, checked by a validator that is not ours against the schema that is published for it.
fn document(of: &str, done: &Done) -> Value {
    let schema: Value = serde_json::from_str(&harness(&["schema", "--of", of]).out).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let mut value: Value = serde_json::from_str(&done.out).unwrap();
    let errors: Vec<String> = validator.iter_errors(&value).map(|error| error.to_string()).collect();
    assert!(errors.is_empty(), "{errors:?}\n{}", done.out);
    let whole = value.clone();
    value["version"] = 0.into();
    assert!(!validator.is_valid(&value), "another version has to be refused");
    whole
}

/// Exit code and errors of a run whose reader leaves at once.
fn unread(args: &[&str]) -> (u8, String) {
    let mut err = Vec::new();
    let io = Io { input: &mut io::empty(), out: &mut Closed, err: &mut err, terminal: Terminal::PIPE };
    let code = run([&["harness"], args].concat(), io);
    (code, String::from_utf8(err).unwrap())
}

struct Closed;

impl io::Write for Closed {
    fn write(&mut self, _: &[u8]) -> io::Result<usize> {
        Err(io::ErrorKind::BrokenPipe.into())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}
