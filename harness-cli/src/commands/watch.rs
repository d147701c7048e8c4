//! `harness check --watch`: checks again at each save, with what came and went since the last run on top.
//!
//! Files are looked at four times a second, by time and length: that works on every file system, and where a save replaces the file.

use super::{
    changed,
    check::{self, Done},
    complain,
};
use crate::{
    args::{Check, Format},
    failure::Failure,
    phrase::counted,
    render::{Checked, Run, kit::blocks::flow},
    terminal::{Look, Terminal},
};
use harness_core::finding::Level;
use std::{
    collections::BTreeMap,
    fs,
    io::{self, Write},
    path::{Path, PathBuf},
    thread,
    time::{Duration, SystemTime},
};
use unicode_width::UnicodeWidthStr;

/// Time between two looks at the files.
const BETWEEN: Duration = Duration::from_millis(250);

/// Most findings that are listed as new, and as gone.
const LISTED: usize = 5;

/// Checks the designs now and after each change of their files, until nobody reads any more.
///
/// # Errors
/// If a design can't be read at the start, or the output can't be written.
pub fn run(args: &Check, look: Look, terminal: Terminal, out: &mut dyn Write) -> Result<u8, Failure> {
    watch(args, look, terminal, out, &mut || {
        thread::sleep(BETWEEN);
        true
    })
}

/// The same with `wait` between two looks at the files; it says whether to go on.
fn watch(
    args: &Check,
    look: Look,
    terminal: Terminal,
    out: &mut dyn Write,
    wait: &mut dyn FnMut() -> bool,
) -> Result<u8, Failure> {
    refuse(args)?;
    let mut last: Option<Findings> = None;
    let mut shown: Option<Done> = None;
    let mut stamps = Stamps::default();
    for number in 1.. {
        // A file that is missing or empty is being saved, or was lost: then a folder has no design in it either.
        let tried = changed::wanted(args, &mut io::empty()).and_then(|(wanted, _)| check::checked(args, wanted));
        let (done, failures) = match tried {
            Ok(done) => {
                let failures: Vec<Failure> = done.failures.iter().map(|failed| Failure::Told(failed.reason.clone())).collect();
                (Some(done), failures)
            }
            Err(failure) => (None, vec![failure]),
        };
        if shown.is_none() && !failures.is_empty() {
            return failures.into_iter().next().map_or(Ok(crate::exit::CLEAN), Err);
        }
        if let Some(done) = &done {
            stamps.keep(&done.files, failures.is_empty());
        }
        let mut frame = Vec::new();
        for failure in &failures {
            complain(&mut frame, failure);
        }
        // What was found before stays in view.
        if let Some(done) = done.filter(|_| failures.is_empty()) {
            let now = Findings::of(&done.designs);
            now.since(last.as_ref(), number, look, &mut frame)?;
            (last, shown) = (Some(now), Some(done));
        } else {
            writeln!(frame, "run {number}: this is what the run before found\n")?;
        }
        if let Some(done) = &shown {
            let run = Run { designs: &done.designs, failures: &[], untouched: None, fail_on: args.fail_on.level() };
            check::write(args, look, &run, &mut frame)?;
        }
        // That of the findings in view: a save that is seen half done decides nothing.
        let code = shown.as_ref().map_or(crate::exit::CLEAN, |done| done.code);
        match show(&String::from_utf8_lossy(&frame), number, look, terminal, out) {
            Err(error) if error.kind() == io::ErrorKind::BrokenPipe => return Ok(code),
            written => written?,
        }
        if !stamps.changed(wait) {
            return Ok(code);
        }
    }
    Ok(crate::exit::CLEAN)
}

/// Refuses what can't be watched.
fn refuse(args: &Check) -> Result<(), Failure> {
    let told = |why: &str| Err(Failure::Told(format!("watch {why}")));
    if args.files.iter().any(|path| path == Path::new("-")) {
        return told("standard input: it is read once; name a file");
    }
    match args.format {
        Format::Full | Format::Short => Ok(()),
        Format::Json | Format::Sarif | Format::Junit | Format::Annotations => {
            told("in this format: each run would be a document of its own; use `--format full` or `short`")
        }
    }
}

/// What one run found, by design and fingerprint, with the words to show.
struct Findings(BTreeMap<(usize, String), (Level, String)>);

impl Findings {
    fn of(designs: &[Checked]) -> Self {
        let mut all = BTreeMap::new();
        for (at, checked) in designs.iter().enumerate() {
            for finding in checked.report.findings.iter().filter(|finding| finding.counts()) {
                let words = format!("[{}]: {}", finding.rule, finding.headline);
                all.insert((at, finding.fingerprint.clone()), (finding.level, words));
            }
        }
        Self(all)
    }

    /// Writes what came and went since the run before.
    fn since(&self, last: Option<&Self>, number: usize, look: Look, out: &mut dyn Write) -> io::Result<()> {
        let Some(last) = last else {
            return writeln!(out, "run {number}: {}; watching, Ctrl-C ends it\n", counted(self.0.len(), "finding"));
        };
        let only = |these: &Self, those: &Self| {
            let mut only: Vec<(Level, String)> =
                these.0.iter().filter(|(key, _)| !those.0.contains_key(*key)).map(|(_, said)| said.clone()).collect();
            only.sort_by(|one, other| other.0.cmp(&one.0).then_with(|| one.1.cmp(&other.1)));
            only
        };
        let (gone, new) = (only(last, self), only(self, last));
        if gone.is_empty() && new.is_empty() {
            return writeln!(out, "run {number}: nothing came or went, {}\n", counted(self.0.len(), "finding"));
        }
        writeln!(out, "run {number}: {} new, {} gone, {} now", new.len(), gone.len(), counted(self.0.len(), "finding"))?;
        for (mark, list) in [("new ", new), ("gone", gone)] {
            for (level, words) in list.iter().take(LISTED) {
                flow(&format!("  {mark}  "), "          ", &format!("{}{words}", level.name()), look, out)?;
            }
            if list.len() > LISTED {
                writeln!(out, "  {mark}  and {} more", list.len() - LISTED)?;
            }
        }
        writeln!(out)
    }
}

/// Shows a frame: on a terminal in place of the one before, cut to its rows; elsewhere below it.
fn show(frame: &str, number: usize, look: Look, terminal: Terminal, out: &mut dyn Write) -> io::Result<()> {
    let Some(rows) = terminal.height else {
        let between = if number > 1 { "\n" } else { "" };
        write!(out, "{between}{frame}")?;
        return out.flush();
    };
    let lines: Vec<&str> = frame.lines().collect();
    // A line that is longer than the terminal is wide takes several rows.
    let columns = terminal.width.unwrap_or(look.width).max(1);
    let taken =
        |line: &&str| anstream::adapter::strip_str(line).map(UnicodeWidthStr::width).sum::<usize>().div_ceil(columns).max(1);
    let most = rows.saturating_sub(1).max(2);
    let fits = |room: usize| {
        let ends = lines.iter().scan(0, |rows, line| {
            *rows += taken(line);
            Some(*rows)
        });
        ends.take_while(|end| *end <= room).count()
    };
    let cut = if fits(most) == lines.len() { lines.len() } else { fits(most - 1) };
    // The screen is cleared once; then each line is written over its place, so that nothing flickers.
    let mut screen = String::from(if number == 1 { "\x1b[2J\x1b[H" } else { "\x1b[H" });
    for line in lines.iter().take(cut) {
        screen.push_str(line);
        screen.push_str("\x1b[K\n");
    }
    if lines.len() > cut {
        let more = format!("{} {} below; without `--watch` all are shown", look.ellipsis(), counted(lines.len() - cut, "line"));
        screen.push_str(&more);
        screen.push_str("\x1b[K\n");
    }
    screen.push_str("\x1b[J");
    out.write_all(screen.as_bytes())?;
    out.flush()
}

/// When a file was last written and how long it is; `None` if it is not there.
type Stamp = Option<(SystemTime, u64)>;

/// The files that are watched, as they were before they were read.
#[derive(Default)]
struct Stamps(BTreeMap<PathBuf, Stamp>);

impl Stamps {
    /// Watches these files from now on; those of before too where a design could not be read, for one that is empty now was not among what was
    /// read. One that was watched before keeps its stamp: it may have changed while it was read.
    fn keep(&mut self, files: &[PathBuf], alone: bool) {
        let stamp = |file: &PathBuf| (file.clone(), self.0.get(file).copied().unwrap_or_else(|| stamp(file)));
        let now: BTreeMap<PathBuf, Stamp> = files.iter().map(stamp).collect();
        if alone {
            self.0 = now;
        } else {
            self.0.extend(now);
        }
    }

    fn now(&self) -> BTreeMap<PathBuf, Stamp> {
        self.0.keys().map(|file| (file.clone(), stamp(file))).collect()
    }

    /// Waits until a file has changed and two looks agree; `false` if `wait` ends it.
    fn changed(&mut self, wait: &mut dyn FnMut() -> bool) -> bool {
        let mut seen: Option<BTreeMap<PathBuf, Stamp>> = None;
        while wait() {
            let now = self.now();
            if now != self.0 && seen.as_ref() == Some(&now) {
                self.0 = now;
                return true;
            }
            seen = Some(now);
        }
        false
    }
}

fn stamp(file: &Path) -> Stamp {
    let about = fs::metadata(file).ok()?;
    Some((about.modified().ok()?, about.len()))
}

#[cfg(test)]
mod tests {
    use super::watch;
    use crate::{
        args::{Cli, Colour, Command},
        exit,
        terminal::{Look, Terminal},
    };
    use clap::Parser;
    use std::{
        fs,
        path::{Path, PathBuf},
    };

    const DESIGN: &str = "format: 1\ndesign: Orchard lift\ninclude: [zones.yaml]\ndevices: { horn: { zone: grill } }\n";

    fn folder(name: &str) -> PathBuf {
        let folder = std::env::temp_dir().join(format!("harness-watch-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(&folder).unwrap();
        fs::write(folder.join("lift.yaml"), DESIGN).unwrap();
        folder
    }

    /// What is shown while `steps` are made, one after each run that was shown, and the exit code.
    fn watched(folder: &Path, terminal: Terminal, steps: &[&dyn Fn()]) -> (Vec<String>, u8) {
        let args = ["harness", "check", folder.to_str().unwrap(), "--watch", "--format", "short"];
        let Command::Check(args) = Cli::try_parse_from(args).unwrap().command else { unreachable!() };
        let look = Look::new(terminal, Colour::Never, None, false);
        let (mut out, mut made, mut looks) = (Vec::new(), 0, 0);
        let code = watch(&args, look, terminal, &mut out, &mut || {
            // A step at the first look after a run, two looks that agree, and the next run comes.
            looks += 1;
            if looks % 3 == 1 {
                let Some(step) = steps.get(made) else { return false };
                step();
                made += 1;
            }
            true
        })
        .unwrap();
        let text = String::from_utf8(out).unwrap();
        let starts: Vec<usize> = (1..).map_while(|number| text.find(&format!("run {number}: "))).chain([text.len()]).collect();
        (starts.windows(2).map(|frame| text[frame[0]..frame[1]].to_owned()).collect(), code)
    }

    fn shown(folder: &Path, terminal: Terminal, steps: &[&dyn Fn()]) -> Vec<String> {
        watched(folder, terminal, steps).0
    }

    #[test]
    fn each_save_of_any_file_shows_what_came_and_went() {
        let folder = folder("saves");
        let write = |name: &str, text: &str| fs::write(folder.join(name), text).unwrap();
        let include = || write("zones.yaml", "zones: { grill: { wet: true } }\n");
        let slip = || write("lift.yaml", &DESIGN.replace("zone: grill", "zone: gril"));
        let lose = || fs::remove_file(folder.join("lift.yaml")).unwrap();
        let right = || write("lift.yaml", DESIGN);
        // As a save is seen that has emptied the file and not yet written it.
        let empty = || write("lift.yaml", "");
        let frames = shown(&folder, Terminal::PIPE, &[&include, &slip, &lose, &right, &empty, &slip]);
        assert_eq!(frames.len(), 7, "{frames:#?}");
        assert!(frames[0].starts_with("run 1: ") && frames[0].contains("there is no file `zones.yaml`"), "{}", frames[0]);
        assert!(frames[1].contains("gone  error[format/include]"), "{}", frames[1]);
        assert!(frames[2].contains("new   error[format/unknown-name]: there is no zone `gril`"), "{}", frames[2]);
        assert!(
            frames[3].starts_with("run 4: this is what the run before found\n") && frames[3].contains("`gril`"),
            "{}",
            frames[3]
        );
        assert!(frames[4].contains("gone  error[format/unknown-name]"), "{}", frames[4]);
        assert!(frames[5].starts_with("run 6: this is what the run before found\n"), "{}", frames[5]);
        assert!(frames[6].contains("new   error[format/unknown-name]"), "{}", frames[6]);
        fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn a_save_seen_half_done_does_not_change_the_exit_code() {
        let folder = folder("code");
        let write = |name: &str, text: &str| fs::write(folder.join(name), text).unwrap();
        let include = || write("zones.yaml", "zones: { grill: { wet: true } }\n");
        let slip = || write("lift.yaml", &DESIGN.replace("zone: grill", "zone: gril"));
        let empty = || write("lift.yaml", "");
        let right = || write("lift.yaml", DESIGN);
        let ends = |steps: &[&dyn Fn()]| {
            right();
            watched(&folder, Terminal::PIPE, steps).1
        };
        let whole = ends(&[&include]);
        assert!([exit::CLEAN, exit::FINDINGS].contains(&whole));
        assert_eq!(ends(&[&include, &empty]), whole);
        assert_eq!(ends(&[&include, &slip, &empty]), exit::FINDINGS);
        fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn a_terminal_gets_one_screen_in_the_place_of_the_last() {
        let folder = folder("screen");
        let terminal = Terminal { width: Some(60), height: Some(8), ..Terminal::PIPE };
        let slip = || fs::write(folder.join("lift.yaml"), DESIGN.replace("zone: grill", "zone: gril")).unwrap();
        let text = shown(&folder, terminal, &[&slip]).concat();
        assert_eq!(text.matches("\x1b[2J").count() + text.matches("\x1b[J").count(), 2, "{text:?}");
        for frame in text.split("\x1b[H") {
            assert!(frame.matches('\n').count() < 8, "{frame:?}");
        }
        assert!(text.contains("lines below; without `--watch` all are shown"), "{text}");
        fs::remove_dir_all(&folder).unwrap();
    }
}
