//! Reads the sheets that people keep lists in: delimited texts of unknown origin and XLSX workbooks.
//!
//! Bytes become a [`Book`] of [`Tab`]s, rows and [`Cell`]s. Every cell keeps its place as its owner sees it, and what is odd about it: struck
//! out, turned into a date, a formula without a value. Nothing that was read is left out: hidden rows are read and marked. What the cells
//! mean is the business of others; this library knows nothing of wires.
//!
//! It does no I/O, and it never panics, on any input. Memory stays within a small multiple of the file and of [`limits`].
//!
//! ```
//! use harness_sheets::{Options, read};
//!
//! let book = read("list.csv", b"Wire;Size\n101;0,5 mm\xb2\n", &Options::default()).unwrap();
//! let row = &book.tabs[0].rows[1];
//! assert_eq!((row.number, row.text(0), row.text(1)), (2, "101", "0,5 mm²"));
//! assert_eq!(book.remarks[0].to_string(), "read as windows-1252: the encoding is a guess");
//! ```

mod book;
mod delimited;
mod encoding;
mod error;
pub mod limits;
mod xlsx;

pub use book::{Book, Cell, Odd, Remark, Row, Tab, column_name};
pub use error::Unreadable;

/// How to read a file, where its bytes leave it open.
#[derive(Debug, Clone, Default)]
pub struct Options {
    /// The encoding of a text by its label, such as `macintosh` or `windows-1250`; a guess if there is none.
    pub encoding: Option<String>,
}

/// Reads a file by what its bytes are: a workbook if they begin as a ZIP archive does, a delimited text otherwise.
///
/// # Errors
/// If the file is another kind of document, is damaged, or goes beyond [`limits`].
pub fn read(name: &str, bytes: &[u8], options: &Options) -> Result<Book, Unreadable> {
    if bytes.len() > limits::FILE_BYTES {
        return Err(Unreadable::TooLarge {
            what: "the file".to_owned(),
            bytes: bytes.len() as u64,
            most: limits::FILE_BYTES as u64,
        });
    }
    if bytes.starts_with(b"PK\x03\x04") {
        return xlsx::read(name, bytes);
    }
    if bytes.starts_with(&[0xd0, 0xcf, 0x11, 0xe0]) {
        return Err(Unreadable::OldWorkbook);
    }
    if bytes.starts_with(b"%PDF") {
        return Err(Unreadable::Pdf);
    }
    delimited::read(name, bytes, options)
}
