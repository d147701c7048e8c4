//! What every report ends with: in full where it goes to paper or to a program, in short on a screen and in a picture.

use super::blocks::flow;
use crate::terminal::Look;
use std::io::{self, Write};

/// The caution in full.
///
/// The limits of voltage class B (above 60 V DC or 30 V AC r.m.s.) are those of ISO 6469-3; the steps before work are
/// the usual ones of the trade.
pub const CAUTION: [&str; 3] = [
    "A clean result is no safety certificate: it covers what the design says and the rules can see, nothing else.",
    "Work on voltage class B (above 60 V DC or 30 V AC) is for trained people: disconnect out, locked against \
     reconnection, absence of voltage proven before touching.",
    "Local codes and licensed practice decide.",
];

/// The caution in short.
pub const SHORT_CAUTION: &str = "caution: a clean result is no safety certificate; voltage class B is for trained people, isolated and proven \
                                 dead; local codes decide (`harness --help` has it in full)";

/// Writes the caution in short, as the end of what is read on a screen; `--help` has it in full.
///
/// # Errors
/// If `out` can't be written.
pub fn caution(look: Look, out: &mut dyn Write) -> io::Result<()> {
    flow("", "", SHORT_CAUTION, look, out)
}

/// Writes the same in one line, for logs.
///
/// # Errors
/// If `out` can't be written.
pub fn caution_line(out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{SHORT_CAUTION}")
}
