//! Bytes of a file to text, with offsets that stay those of the bytes.

use super::{FileId, Problem, ProblemKind, SourceFile, Sources, Span};

/// Largest file that is read, in bytes: offsets are 32 bits wide and a netlist of 100,000 wires takes a sixth of it.
pub const MAX_BYTES: usize = 64 << 20;

/// A file whose bytes were taken in.
#[derive(Debug)]
pub struct Decoded {
    /// The file; its text is empty if the bytes were refused.
    pub file: FileId,
    /// What is wrong with the bytes.
    pub problems: Vec<Problem>,
}

/// Takes the bytes of the file `name` into `sources`.
///
/// Bytes that are not UTF-8 and NULs are replaced one by one (`?` and a space), so that everything else of the file is
/// still read and every offset is that of the file on disk. A byte order mark stays in the text. Files over
/// [`MAX_BYTES`] and files in UTF-16 are refused: their text is empty.
///
/// `None` only if `sources` takes no further file.
pub fn decode(sources: &mut Sources, name: String, bytes: Vec<u8>) -> Option<Decoded> {
    let mut problems = Vec::new();
    let size = bytes.len();
    let refusal = if size > MAX_BYTES { Some(Refusal::Size) } else { utf16(&bytes).then_some(Refusal::Utf16) };
    if let Some(refusal) = refusal {
        let file = sources.add(SourceFile::refused(name))?;
        problems.push(refusal.problem(Span::new(file, 0, 0), size));
        return Some(Decoded { file, problems });
    }

    let mut alien = None;
    let text = match String::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => {
            let (text, found) = replace_alien(error.into_bytes());
            alien = found;
            text
        }
    };
    let (text, nul) = replace_nul(text);
    let file = sources.add(SourceFile::new(name, text))?;
    if let Some(alien) = alien {
        problems.push(alien.problem(file));
    }
    if let Some((at, count)) = nul {
        let more = if count > 1 { format!(", the first of {count}") } else { String::new() };
        problems.push(
            Problem::new(ProblemKind::Encoding, Span::new(file, at, at + 1), "the file holds a NUL character")
                .label(format!("read as a space{more}"))
                .help("delete the character; it is usually left behind by a damaged copy or another encoding"),
        );
    }
    Some(Decoded { file, problems })
}

enum Refusal {
    Size,
    Utf16,
}

impl Refusal {
    fn problem(&self, span: Span, size: usize) -> Problem {
        match self {
            Self::Size => Problem::new(
                ProblemKind::Limit,
                span,
                format!("the file has {size} bytes, {} more than are read", size.saturating_sub(MAX_BYTES)),
            )
            .help(format!("split it with `include`: a file may have up to {MAX_BYTES} bytes")),
            Self::Utf16 => Problem::new(ProblemKind::Encoding, span, "the file is in UTF-16, a netlist is read as UTF-8")
                .help("save the file as UTF-8"),
        }
    }
}

/// Whether the bytes are UTF-16: by their mark, or because every second one of the first is zero.
fn utf16(bytes: &[u8]) -> bool {
    let head = bytes.get(..bytes.len().min(16)).unwrap_or_default();
    if head.starts_with(&[0xFF, 0xFE]) || head.starts_with(&[0xFE, 0xFF]) {
        return true;
    }
    let zeros = |from: usize| head.iter().skip(from).step_by(2).all(|&byte| byte == 0);
    let text = |from: usize| head.iter().skip(from).step_by(2).all(|&byte| byte != 0);
    head.len() >= 4 && ((zeros(1) && text(0)) || (zeros(0) && text(1)))
}

/// The first byte that is not UTF-8, and how many there are.
struct Alien {
    at: u32,
    byte: u8,
    count: usize,
}

impl Alien {
    fn problem(&self, file: FileId) -> Problem {
        let more = if self.count > 1 { format!(", the first of {}", self.count) } else { String::new() };
        // In a file saved by an older editor the byte is a letter of ISO 8859-1, whose code points are Unicode's own.
        let letter = match char::from(self.byte) {
            letter if !letter.is_control() => format!("; in ISO 8859-1 the byte is `{letter}`"),
            _ => String::new(),
        };
        Problem::new(
            ProblemKind::Encoding,
            Span::new(file, self.at, self.at + 1),
            format!("byte 0x{:02X} is not UTF-8", self.byte),
        )
        .label(format!("read as `?`{more}"))
        .help(format!("save the file as UTF-8{letter}"))
    }
}

fn replace_alien(mut bytes: Vec<u8>) -> (String, Option<Alien>) {
    let mut alien: Option<Alien> = None;
    let mut from = 0;
    while let Some(rest) = bytes.get(from..) {
        let Err(error) = str::from_utf8(rest) else { break };
        let start = from + error.valid_up_to();
        let end = error.error_len().map_or(bytes.len(), |length| start + length);
        for (at, byte) in bytes.iter_mut().enumerate().take(end).skip(start) {
            let found = alien.get_or_insert(Alien { at: u32::try_from(at).unwrap_or(u32::MAX), byte: *byte, count: 0 });
            found.count += 1;
            *byte = b'?';
        }
        from = end.max(from + 1);
    }
    (String::from_utf8_lossy(&bytes).into_owned(), alien)
}

fn replace_nul(text: String) -> (String, Option<(u32, usize)>) {
    let mut found = memchr::memchr_iter(0, text.as_bytes());
    let Some(first) = found.next() else { return (text, None) };
    let count = 1 + found.count();
    (text.replace('\0', " "), Some((u32::try_from(first).unwrap_or(u32::MAX), count)))
}
