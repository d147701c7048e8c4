//! Why a file can't be read.

use std::fmt;

/// Why a file can't be read; the text completes "failed to read `list.csv`: ".
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum Unreadable {
    /// Something is larger than a limit.
    TooLarge {
        /// What is too large.
        what: String,
        /// Its size in bytes.
        bytes: u64,
        /// The limit.
        most: u64,
    },
    /// More cells or more text than a limit.
    TooMuch {
        /// What there is too much of.
        what: &'static str,
        /// The limit.
        most: usize,
    },
    /// The binary workbook of before 2007.
    OldWorkbook,
    /// An OpenDocument spreadsheet.
    OpenDocument,
    /// The binary workbook in an archive.
    BinaryWorkbook,
    /// A page for printing.
    Pdf,
    /// A ZIP archive that is not a workbook.
    NotAWorkbook(String),
    /// A workbook that can't be read through.
    Damaged(String),
    /// No such encoding.
    Encoding(String),
    /// The text is not of the encoding asked for.
    NotOfEncoding {
        /// The encoding.
        encoding: &'static str,
    },
    /// Control characters throughout: not a text.
    NotText,
}

impl fmt::Display for Unreadable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooLarge { what, bytes, most } => {
                write!(
                    f,
                    "{what} would take {bytes} bytes, and at most {most} are read; save the lists alone in a file of their own"
                )
            }
            Self::TooMuch { what, most } => {
                write!(f, "it holds more than {most} {what}; save the lists alone in a file of their own")
            }
            Self::OldWorkbook => f.write_str("this is a workbook of the old binary form (XLS); save it as XLSX or CSV"),
            Self::OpenDocument => f.write_str(
                "this is an OpenDocument spreadsheet (ODS); save it as XLSX, which keeps tabs, units and notes, or each tab as CSV",
            ),
            Self::BinaryWorkbook => f.write_str("this is a workbook of the binary form (XLSB); save it as XLSX or CSV"),
            Self::Pdf => f.write_str("this is a PDF; export the table as CSV or XLSX"),
            Self::NotAWorkbook(why) => {
                write!(f, "this is an archive, but not an XLSX workbook ({why}); save the list as XLSX or CSV")
            }
            Self::Damaged(why) => write!(f, "the workbook is damaged ({why}); open it and save it again as XLSX, or as CSV"),
            Self::Encoding(label) => {
                write!(
                    f,
                    "there is no encoding `{label}`; such as `utf-8`, `windows-1252`, `windows-1250`, `macintosh` or `utf-16le`"
                )
            }
            Self::NotOfEncoding { encoding } => write!(f, "the text is not {encoding}; name another encoding, or none"),
            Self::NotText => f.write_str("this is neither a workbook nor a text with rows; save the list as XLSX or CSV"),
        }
    }
}

impl std::error::Error for Unreadable {}
