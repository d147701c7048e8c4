//! What keeps the program from doing its job.

use std::{fmt, io};

/// Why the job could not be done. The text completes "failed to …" and names the thing concerned.
#[derive(Debug)]
pub enum Failure {
    /// Something the user can fix: a name, a file.
    Told(String),
    /// Standard output took no more.
    Output(io::Error),
}

impl Failure {
    /// Whether the reader of our output has left, which is not worth a complaint: `harness check … | head -1`.
    #[must_use]
    pub fn is_closed_pipe(&self) -> bool {
        matches!(self, Self::Output(error) if error.kind() == io::ErrorKind::BrokenPipe)
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Told(text) => f.write_str(text),
            Self::Output(error) => write!(f, "write to standard output: {error}"),
        }
    }
}

impl From<io::Error> for Failure {
    fn from(error: io::Error) -> Self {
        Self::Output(error)
    }
}
