//! `harness check --watch` as a process: a save is seen, and the program ends when nobody reads any more.

use std::{
    fs,
    io::{BufRead, BufReader},
    process::{Command, Stdio},
    sync::mpsc,
    thread,
    time::Duration,
};

/// Far more than any machine takes; only a run that hangs gets there.
const LONG: Duration = Duration::from_secs(120);

#[test]
fn a_save_is_checked_and_what_came_and_went_is_on_top() {
    let folder = std::env::temp_dir().join(format!("harness-process-watch-{}", std::process::id()));
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    let design = folder.join("lift.yaml");
    let text = "format: 1\ndesign: Lift\nzones: { grill: { wet: true } }\ndevices: { horn: { zone: grill } }\n";
    fs::write(&design, text).unwrap();
    let mut child = Command::new(env!("CARGO_BIN_EXE_harness"))
        .args(["check", folder.to_str().unwrap(), "--watch", "--format", "short"])
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let (send, lines) = mpsc::channel();
    let out = child.stdout.take().unwrap();
    let reader = thread::spawn(move || {
        for line in BufReader::new(out).lines() {
            // Once the test has all that it wants, nobody reads any more.
            if send.send(line.unwrap()).is_err() {
                return;
            }
        }
    });
    let until = |start: &str| loop {
        let line = lines.recv_timeout(LONG).expect("the run is shown");
        if line.starts_with(start) {
            return line;
        }
    };
    until("run 1: ");
    // As an editor saves: another file in the place of the first.
    fs::write(folder.join("new"), text.replace("zone: grill", "zone: gril")).unwrap();
    fs::rename(folder.join("new"), &design).unwrap();
    until("run 2: 1 new");
    assert!(until("  new ").contains("there is no zone `gril`"));
    fs::write(&design, text).unwrap();
    until("run 3: ");
    assert!(until("  gone").contains("there is no zone `gril`"));
    drop(lines);
    // A later save finds no reader.
    let mut is_wet = false;
    let status = loop {
        fs::write(&design, text.replace("wet: true", &format!("wet: {is_wet}"))).unwrap();
        is_wet = !is_wet;
        thread::sleep(Duration::from_millis(300));
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
    };
    assert!(matches!(status.code(), Some(0 | 1)), "{status}");
    reader.join().unwrap();
    fs::remove_dir_all(&folder).unwrap();
}
