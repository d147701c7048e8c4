//! What only the built program shows: processes, pipes, git, files of the disk.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

#[cfg(unix)]
mod ci;
mod editor;
#[cfg(unix)]
mod outside;
mod streams;
mod watch;
