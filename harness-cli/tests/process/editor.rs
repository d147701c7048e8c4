//! `harness lsp` as a process: whole sessions over standard input and output, and messages that are none.

use std::{
    io::Write,
    process::{Command, Output, Stdio},
};

/// What the program does with these bytes on its standard input.
fn served(input: &[u8]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_harness"));
    command.args(["lsp", "--stdio"]).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    let mut stdin = child.stdin.take().unwrap();
    // It may have ended before it has read everything.
    let _ = stdin.write_all(input);
    drop(stdin);
    child.wait_with_output().unwrap()
}

fn framed(messages: &[&str]) -> Vec<u8> {
    messages.iter().flat_map(|message| format!("Content-Length: {}\r\n\r\n{message}", message.len()).into_bytes()).collect()
}

/// The bodies of what was written, each with the length that its header gives.
fn bodies(output: &[u8]) -> Vec<String> {
    let (mut bodies, mut rest) = (Vec::new(), std::str::from_utf8(output).unwrap());
    while let Some((header, behind)) = rest.split_once("\r\n\r\n") {
        let length: usize = header.strip_prefix("Content-Length: ").unwrap().parse().unwrap();
        let (body, more) = behind.split_at(length);
        bodies.push(body.to_owned());
        rest = more;
    }
    assert_eq!(rest, "");
    bodies
}

const BEGIN: &str =
    r#"{"jsonrpc":"2.0","id":1,"method":"initialize","params":{"processId":null,"rootUri":null,"capabilities":{}}}"#;
const SHUTDOWN: &str = r#"{"jsonrpc":"2.0","id":3,"method":"shutdown"}"#;
const EXIT: &str = r#"{"jsonrpc":"2.0","method":"exit"}"#;

#[test]
fn a_whole_session_over_standard_input_and_output() {
    let open = r#"{"jsonrpc":"2.0","method":"textDocument/didOpen","params":{"textDocument":{"uri":"file:///nowhere/l%C3%B6.yaml","languageId":"yaml","version":1,"text":"format: 1\ndesign: Lift\nzones: { grill: { wett: true } }\n"}}}"#;
    let folds = r#"{"jsonrpc":"2.0","id":2,"method":"textDocument/completion","params":{"textDocument":{"uri":"file:///nowhere/l%C3%B6.yaml"},"position":{"line":2,"character":19}}}"#;
    let output = served(&framed(&[BEGIN, open, folds, SHUTDOWN, EXIT]));
    let bodies = bodies(&output.stdout);
    assert!(bodies[0].contains(r#""positionEncoding":"utf-16""#), "{bodies:?}");
    let completion = bodies.iter().find(|body| body.contains(r#""id":2"#)).unwrap();
    assert!(completion.contains(r#""label":"wet""#), "{completion}");
    assert!(bodies.iter().any(|body| body.contains(r#""id":3"#) && body.contains(r#""result":null"#)), "{bodies:?}");
    assert_eq!((output.status.code(), String::from_utf8(output.stderr).unwrap().as_str()), (Some(0), ""));
}

#[test]
fn exit_without_shutdown_is_code_one() {
    assert_eq!(served(&framed(&[BEGIN, EXIT])).status.code(), Some(1));
}

#[test]
fn what_is_no_message_ends_the_program_with_the_reason() {
    let mut broken = framed(&[BEGIN]);
    broken.extend(b"Content-Length: 18446744073709551615\r\n\r\n{}");
    let cases: [(&[u8], &str); 5] = [
        (b"Content-Length: 3\r\n\r\n{]}", "the message is not one of the protocol: "),
        (b"Content-Length: 9\r\n\r\n{}", "the message ends after 2 of 9 bytes"),
        (b"GET / HTTP/1.1\r\n\r\n", "a line of the header has no colon"),
        (&broken, "`Content-Length` is not a number of bytes up to "),
        (b"", "it closed its end without `exit`"),
    ];
    for (input, why) in cases {
        let output = served(input);
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(said.starts_with(&format!("error: failed to serve the editor: {why}")), "{said}");
        assert_eq!(output.status.code(), Some(2), "{said}");
    }
}
