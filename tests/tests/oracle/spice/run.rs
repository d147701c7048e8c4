//! Runs the circuit simulator over many decks in one process, and reads its answers.

use super::deck::{Deck, Figures};
use std::{
    collections::HashMap,
    fmt::Write as _,
    fs,
    io::{self, Write},
    path::{Path, PathBuf},
    process::{Command, Stdio},
    sync::atomic::{AtomicU32, Ordering},
};

/// The simulator: general-purpose, in every large distribution, and nobody's here.
const PROGRAM: &str = "ngspice";
/// Set where the simulator must be there, so that its absence fails a test.
const REQUIRED: &str = "HARNESS_NGSPICE";

/// The figures of each deck; `None`, said on standard error, where the simulator is not installed.
pub fn run(decks: &[Deck], what: &str) -> Option<Vec<Figures>> {
    static NEXT: AtomicU32 = AtomicU32::new(0);
    let next = NEXT.fetch_add(1, Ordering::Relaxed);
    let folder = Folder(std::env::temp_dir().join(format!("harness-decks-{}-{next}", std::process::id())));
    fs::create_dir_all(&folder.0).expect("a folder for the decks");
    match run_in(&folder.0, decks) {
        Ok(figures) => Some(figures),
        Err(error) if error.kind() == io::ErrorKind::NotFound && std::env::var_os(REQUIRED).is_none() => {
            // Written past the capture of the test runner: a comparison that was not made is not silent.
            writeln!(io::stderr(), "{PROGRAM} is not installed: {} {what} were not compared", decks.len()).expect("it is said");
            None
        }
        Err(error) => panic!("{PROGRAM}: {error}"),
    }
}

/// A folder that goes when the test does, passed or failed.
struct Folder(PathBuf);

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn run_in(folder: &Path, decks: &[Deck]) -> io::Result<Vec<Figures>> {
    let mut script = String::from("* decks one by one\n.control\nset filetype=binary\n");
    for (number, deck) in decks.iter().enumerate().filter(|(_, deck)| !deck.text.is_empty()) {
        fs::write(folder.join(format!("{number}.cir")), &deck.text).expect("a deck is written");
        let _ = writeln!(script, "source {number}.cir\nop\nwrite {number}.raw\ndestroy all\nremcirc");
    }
    script.push_str("quit\n.endc\n.end\n");
    fs::write(folder.join("all.cir"), script).expect("the script is written");
    // Without the user's own start-up file.
    let output = Command::new(PROGRAM).args(["-n", "-b", "all.cir"]).current_dir(folder).stdin(Stdio::null()).output()?;
    let said = || format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    let answers = decks.iter().enumerate().map(|(number, deck)| {
        if deck.text.is_empty() {
            return deck.figures(|name| panic!("{}: {name} of an empty deck", deck.name));
        }
        let raw = fs::read(folder.join(format!("{number}.raw"))).unwrap_or_else(|_| panic!("{}: {}", deck.name, said()));
        let found =
            read(&raw).unwrap_or_else(|| panic!("{}: an answer that can not be read\n{}\n{}", deck.name, deck.text, said()));
        deck.figures(|name| *found.get(name).unwrap_or_else(|| panic!("{}: no {name}\n{}", deck.name, said())))
    });
    Ok(answers.collect())
}

/// The figures of a raw file by name; full double precision, unlike what is printed.
fn read(raw: &[u8]) -> Option<HashMap<String, f64>> {
    const MARK: &[u8] = b"Binary:\n";
    let at = raw.windows(MARK.len()).position(|window| window == MARK)?;
    let head = std::str::from_utf8(&raw[..at]).ok()?;
    let values = raw[at + MARK.len()..].chunks_exact(8).map(|bytes| f64::from_le_bytes(bytes.try_into().expect("eight bytes")));
    if !head.contains("Plotname: Operating Point") {
        return None;
    }
    let names = head.split_once("Variables:\n")?.1.lines().filter_map(|line| line.split_whitespace().nth(1));
    Some(names.map(str::to_owned).zip(values).collect())
}
