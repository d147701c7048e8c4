//! Messages over two streams: one thread reads, one writes.
//!
//! The library's own reader makes room for as many bytes as a header says, whatever it says; here a header has a limit.

use lsp_server::{Connection, Message};
use std::{
    io::{self, BufRead, BufReader, Read, Write},
    thread::{self, JoinHandle},
};

/// Most bytes of one message: a text of the largest size, every byte of it escaped.
const MOST: usize = 6 * (64 << 20);
/// Most bytes of one line of a header.
const MOST_HEADER: u64 = 1 << 12;

/// The threads of a connection.
#[derive(Debug)]
pub struct Threads {
    reader: JoinHandle<Result<(), String>>,
    writer: JoinHandle<io::Result<()>>,
}

/// A connection over two streams. The reader ends with the message `exit`, with the stream, or with a message that can't be read.
///
/// # Errors
/// If the system starts no thread.
pub fn connect(input: impl Read + Send + 'static, mut output: impl Write + Send + 'static) -> io::Result<(Connection, Threads)> {
    let (server, client) = Connection::memory();
    let Connection { sender, receiver } = client;
    let reader = thread::Builder::new().name("reader".to_owned()).spawn(move || {
        let mut input = BufReader::new(input);
        while let Some(message) = read(&mut input)? {
            let is_exit = matches!(&message, Message::Notification(note) if note.method == "exit");
            // Nobody takes messages any more where the server has ended.
            if sender.send(message).is_err() || is_exit {
                break;
            }
        }
        Ok(())
    })?;
    let writer = thread::Builder::new()
        .name("writer".to_owned())
        .spawn(move || receiver.into_iter().try_for_each(|message| message.write(&mut output)))?;
    Ok((server, Threads { reader, writer }))
}

impl Threads {
    /// Waits for what is still to be written, once the client has said `exit` or has gone. The connection has to be gone by then.
    ///
    /// # Errors
    /// Why the reader or the writer ended, if that was not as it should.
    pub fn finish(self) -> Result<(), String> {
        let written = self.writer.join().unwrap_or_else(|_| Err(io::Error::other("the writer broke off")));
        self.reader.join().unwrap_or_else(|_| Err("the reader broke off".to_owned()))?;
        match written {
            Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(format!("write to the editor: {error}")),
            _ => Ok(()),
        }
    }
}

/// The next message; `None` at the end of the stream.
fn read(input: &mut impl BufRead) -> Result<Option<Message>, String> {
    let Some(length) = header(input)? else { return Ok(None) };
    let mut body = Vec::new();
    let got = input.by_ref().take(length as u64).read_to_end(&mut body).map_err(|error| error.to_string())?;
    if got < length {
        return Err(format!("the message ends after {got} of {length} bytes"));
    }
    let message = serde_json::from_slice(&body).map_err(|error| format!("the message is not one of the protocol: {error}"))?;
    Ok(Some(message))
}

/// The length that a header gives; `None` if the stream ends before it.
fn header(input: &mut impl BufRead) -> Result<Option<usize>, String> {
    let (mut length, mut is_first) = (None, true);
    loop {
        let mut line = Vec::new();
        input.by_ref().take(MOST_HEADER).read_until(b'\n', &mut line).map_err(|error| error.to_string())?;
        if line.is_empty() && is_first {
            return Ok(None);
        }
        is_first = false;
        let Some(line) = line.strip_suffix(b"\r\n").and_then(|line| std::str::from_utf8(line).ok()) else {
            return Err("a line of the header does not end with CR LF".to_owned());
        };
        if line.is_empty() {
            return length.map(Some).ok_or_else(|| "the header gives no `Content-Length`".to_owned());
        }
        let Some((name, value)) = line.split_once(':') else {
            return Err("a line of the header has no colon".to_owned());
        };
        if name.trim().eq_ignore_ascii_case("Content-Length") {
            let bytes = value.trim().parse::<usize>().ok().filter(|bytes| *bytes <= MOST);
            length = Some(bytes.ok_or_else(|| format!("`Content-Length` is not a number of bytes up to {MOST}"))?);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::read;
    use lsp_server::Message;

    #[test]
    fn a_message_is_read_and_what_is_none_is_refused_with_the_reason() {
        let of = |bytes: &str| read(&mut bytes.as_bytes());
        let note = "{\"jsonrpc\":\"2.0\",\"method\":\"exit\"}";
        let sound = of(&format!("Content-Type: x\r\ncontent-length: {}\r\n\r\n{note}", note.len()));
        assert!(matches!(sound, Ok(Some(Message::Notification(note))) if note.method == "exit"));
        assert!(matches!(of(""), Ok(None)));
        let refused = [
            ("Content-Length: 99\r\n\r\n{}", "the message ends after 2 of 99 bytes"),
            ("Content-Length: 18446744073709551615\r\n\r\n", "`Content-Length` is not a number of bytes up to 402653184"),
            ("Content-Length: -1\r\n\r\n", "`Content-Length` is not a number of bytes up to 402653184"),
            ("\r\n", "the header gives no `Content-Length`"),
            ("Content-Length: 2\n\n{}", "a line of the header does not end with CR LF"),
            ("hello\r\n\r\n", "a line of the header has no colon"),
        ];
        for (bytes, why) in refused {
            assert_eq!(of(bytes).unwrap_err(), why, "{bytes:?}");
        }
        assert!(of("Content-Length: 5\r\n\r\n{\"a\":").unwrap_err().starts_with("the message is not one of the protocol: EOF"));
        assert!(of("Content-Length: 2\r\n\r\n{}").unwrap_err().starts_with("the message is not one of the protocol"));
    }
}
