//! What the terminal can do, and what is made of it.

use crate::args::Colour;
use std::io::{self, IsTerminal};

/// Narrower than this nothing can be drawn legibly.
pub const LEAST_WIDTH: usize = 40;

/// Lines longer than this are hard to read, however wide the terminal.
pub const MOST_WIDTH: usize = 100;

/// The width where nobody says otherwise: output into a pipe or a file.
pub const USUAL_WIDTH: usize = 80;

/// What was found out about the terminal; tests state it instead.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Terminal {
    /// Whether standard output takes colour by itself (a terminal, no `NO_COLOR`, …).
    pub out_colour: bool,
    /// Whether standard error does.
    pub err_colour: bool,
    /// Whether standard error is a terminal: then the progress of a long run is shown there.
    pub err_terminal: bool,
    /// Columns of the terminal; `None` if standard output is none.
    pub width: Option<usize>,
    /// Rows of the terminal; `None` if standard output is none.
    pub height: Option<usize>,
    /// Whether box drawing characters arrive: always in a pipe, in a terminal if its locale is UTF-8.
    pub unicode: bool,
}

impl Terminal {
    /// Neither colour nor a width of its own: a pipe or a file, in a UTF-8 locale.
    pub const PIPE: Self =
        Self { out_colour: false, err_colour: false, err_terminal: false, width: None, height: None, unicode: true };

    /// Asks the environment.
    #[must_use]
    pub fn detect() -> Self {
        let colour = |choice| !matches!(choice, anstream::ColorChoice::Never);
        let size = terminal_size::terminal_size_of(io::stdout());
        Self {
            out_colour: colour(anstream::AutoStream::choice(&io::stdout())),
            err_colour: colour(anstream::AutoStream::choice(&io::stderr())),
            err_terminal: io::stderr().is_terminal(),
            width: size.map(|(width, _)| usize::from(width.0)),
            height: size.map(|(_, height)| usize::from(height.0)),
            unicode: supports_unicode::on(supports_unicode::Stream::Stdout),
        }
    }
}

/// How a report is to look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    /// Columns to stay within.
    pub width: usize,
    /// Whether to colour; nothing is ever said by colour alone.
    pub colour: bool,
    /// Whether to draw with box drawing characters, or with ASCII.
    pub unicode: bool,
}

impl Look {
    /// What the user asked for, else what the terminal takes.
    ///
    /// A pipe or a file gets box drawing characters, the same on every machine; `--ascii` does without them. A
    /// terminal gets them if its locale is UTF-8.
    #[must_use]
    pub fn new(terminal: Terminal, colour: Colour, width: Option<usize>, ascii: bool) -> Self {
        Self {
            width: match width {
                Some(width) => width.max(LEAST_WIDTH),
                None => terminal.width.unwrap_or(USUAL_WIDTH).clamp(LEAST_WIDTH, MOST_WIDTH),
            },
            colour: match colour {
                Colour::Auto => terminal.out_colour,
                Colour::Always => true,
                Colour::Never => false,
            },
            unicode: terminal.unicode && !ascii,
        }
    }

    /// What is printed in place of the part of a line that was left out.
    #[must_use]
    pub fn ellipsis(self) -> &'static str {
        if self.unicode { "…" } else { "..." }
    }
}
