//! The built program: what only a real process shows.

use std::{
    io::{Read, Write},
    process::{Command, Stdio},
};

const DESIGN: &[u8] = b"format: 1\ndesign: Terrace tractor\n";

fn harness(args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_harness"));
    command.args(args).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command.env_remove("NO_COLOR").env_remove("CLICOLOR_FORCE");
    command
}

#[test]
fn a_closed_pipe_ends_the_program_quietly() {
    for format in ["full", "short", "json"] {
        let mut child = harness(&["check", "-", "--format", format]).spawn().unwrap();
        // The program waits for its input, so that its reader has left before it writes.
        drop(child.stdout.take());
        let mut input = child.stdin.take().unwrap();
        input.write_all(DESIGN).unwrap();
        drop(input);
        let mut complaint = String::new();
        child.stderr.take().unwrap().read_to_string(&mut complaint).unwrap();
        let status = child.wait().unwrap();
        assert_eq!(complaint, "", "{format}");
        assert!(matches!(status.code(), Some(0 | 1)), "{format}: {status}");
    }
    let mut child = harness(&["rules"]).spawn().unwrap();
    drop(child.stdout.take());
    assert_eq!(child.wait_with_output().unwrap().stderr, b"");
}

#[test]
fn there_is_no_colour_in_a_pipe_unless_forced() {
    for (args, coloured) in [(&["check", "-"][..], false), (&["check", "-", "--color", "always"], true)] {
        let mut child = harness(args).spawn().unwrap();
        child.stdin.take().unwrap().write_all(DESIGN).unwrap();
        let output = child.wait_with_output().unwrap();
        let text = String::from_utf8_lossy(&output.stdout);
        assert!(text.contains("a clean result is no safety certificate"), "{text}");
        assert!(text.ends_with("full)\n"), "{text}");
        assert_eq!(output.stdout.contains(&0x1b), coloured, "{args:?}");
        assert_eq!(output.stderr, b"");
    }
}

#[test]
fn a_failure_goes_to_standard_error_with_code_two() {
    let output = harness(&["check", "no-such-design.yaml"]).output().unwrap();
    assert_eq!((output.status.code(), output.stdout.as_slice()), (Some(2), &b""[..]));
    assert_eq!(String::from_utf8(output.stderr).unwrap(), "error: failed to read `no-such-design.yaml`: no such file\n");
}

#[test]
fn the_day_of_a_build_is_that_of_its_source() {
    // 1 July 2027; the waiver accepts nothing, and that it has expired is reported before that.
    let design = b"format: 1\ndesign: Cart\nwaivers:\n  - { finding: conductor/undersized, at: a.1, reason: r, by: b, until: 2027-06-30 }\n";
    for (epoch, said) in [("1814400000", "today is 2027-07-01"), ("1814399999", "nothing has this name")] {
        let mut child = harness(&["check", "-", "--format", "short"]).env("SOURCE_DATE_EPOCH", epoch).spawn().unwrap();
        child.stdin.take().unwrap().write_all(design).unwrap();
        let output = child.wait_with_output().unwrap();
        assert!(String::from_utf8(output.stdout).unwrap().contains(said), "{epoch}");
        assert_eq!(output.stderr, b"");
    }
    let output = harness(&["check", "-"]).env("SOURCE_DATE_EPOCH", "soon").output().unwrap();
    assert_eq!((output.status.code(), output.stdout.as_slice()), (Some(2), &b""[..]));
    let complaint = String::from_utf8(output.stderr).unwrap();
    assert!(complaint.starts_with("error: failed to take the day from SOURCE_DATE_EPOCH: `soon` is not a number"), "{complaint}");
}

#[cfg(unix)]
#[test]
fn a_pipe_by_name_is_refused_and_its_other_way_named() {
    let mut child = harness(&["check", "/dev/stdin"]).spawn().unwrap();
    // The program may have left already.
    let _ = child.stdin.take().unwrap().write_all(DESIGN);
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    let told = "error: failed to read `/dev/stdin`: it is a pipe, not a file; `-` reads a design from standard input\n";
    assert_eq!(String::from_utf8(output.stderr).unwrap(), told);
}
