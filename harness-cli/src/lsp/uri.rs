//! Paths and the addresses of files.

use lsp_types::Uri;
use percent_encoding::{AsciiSet, CONTROLS, percent_decode_str, utf8_percent_encode};
use std::{
    path::{Component, Path, PathBuf},
    str::FromStr,
};

/// What is escaped in the path of an address, RFC 3986 section 3.3: all but unreserved characters, sub-delimiters, `:`, `@` and `/`.
const ESCAPED: &AsciiSet = &CONTROLS
    .add(b' ')
    .add(b'"')
    .add(b'#')
    .add(b'%')
    .add(b'<')
    .add(b'>')
    .add(b'?')
    .add(b'[')
    .add(b'\\')
    .add(b']')
    .add(b'^')
    .add(b'`')
    .add(b'{')
    .add(b'|')
    .add(b'}');

/// The path of a file by its address; `None` for what is not a file on this machine.
#[must_use]
pub fn path(uri: &Uri) -> Option<PathBuf> {
    let rest = uri.as_str().strip_prefix("file://")?;
    let path = rest.strip_prefix("localhost").unwrap_or(rest);
    let decoded = percent_decode_str(path).decode_utf8().ok()?;
    // A drive: `/c:/loom.yaml`.
    let is_drive = decoded.strip_prefix('/').is_some_and(|rest| {
        let mut letters = rest.chars();
        letters.next().is_some_and(|letter| letter.is_ascii_alphabetic()) && letters.next() == Some(':')
    });
    let text = if is_drive { decoded.get(1..)? } else { decoded.as_ref() };
    text.starts_with('/').then(|| clean(Path::new(text))).or_else(|| is_drive.then(|| clean(Path::new(text))))
}

/// The address of a file; `None` if its path is not UTF-8.
#[must_use]
pub fn of(path: &Path) -> Option<Uri> {
    let text = path.to_str()?.replace('\\', "/");
    let slash = if text.starts_with('/') { "" } else { "/" };
    Uri::from_str(&format!("file://{slash}{}", utf8_percent_encode(&text, ESCAPED))).ok()
}

/// The path without `.` and `..`, as far as that can be known without the disk.
#[must_use]
pub fn clean(path: &Path) -> PathBuf {
    let mut clean = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir => {
                clean.pop();
            }
            part => clean.push(part),
        }
    }
    clean
}

#[cfg(test)]
mod tests {
    use super::{of, path};
    use lsp_types::Uri;
    use std::{path::Path, str::FromStr};

    #[cfg(unix)]
    #[test]
    fn paths_go_to_addresses_and_back() {
        for text in ["/a b/lööm.yaml", "/100 %/x#y?.yaml", "/[front]/\u{1f69c}.yaml", "/a/b.yaml"] {
            let uri = of(Path::new(text)).unwrap();
            assert_eq!(path(&uri).as_deref(), Some(Path::new(text)), "{}", uri.as_str());
        }
        assert_eq!(of(Path::new("/a b/ö.yaml")).unwrap().as_str(), "file:///a%20b/%C3%B6.yaml");
        let read = |text: &str| path(&Uri::from_str(text).unwrap());
        assert_eq!(read("file:///a/./b/../c.yaml").as_deref(), Some(Path::new("/a/c.yaml")));
        assert_eq!(read("file:///c%3A/a.yaml").as_deref(), Some(Path::new("c:/a.yaml")));
        assert_eq!(read("untitled:Untitled-1"), None);
    }
}
