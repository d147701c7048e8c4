//! The program as a whole, a file a command or a subject: exit codes, streams, formats, files.

mod check;
mod diff;
mod inspect;
mod many;
mod merge;
mod readme;
mod review;
mod revision;
mod rework;
