//! Work on a few threads, where the feature `threads` is on and the system allows them; on this one alone where it does not.
//!
//! What is found is the same either way. A panic of the work goes on to the caller, never lost in a thread.

use std::num::NonZero;
#[cfg(feature = "threads")]
use std::{panic::resume_unwind, thread};

/// Most threads for one piece of work; more only wait for the longest part of it.
#[cfg(feature = "threads")]
const MOST: usize = 4;

/// What all of a few threads found, on at most `allowed`, or as many as the machine has to spare.
#[cfg(feature = "threads")]
pub(crate) fn many<T: Send>(allowed: Option<NonZero<usize>>, work: impl Fn() -> Vec<T> + Sync) -> Vec<T> {
    let allowed = allowed.or_else(|| thread::available_parallelism().ok());
    let threads = allowed.map_or(1, NonZero::get).min(MOST);
    thread::scope(|scope| {
        let spawn = || thread::Builder::new().spawn_scoped(scope, &work);
        let helpers: Vec<_> = (1..threads).map_while(|_| spawn().ok()).collect();
        let mut found = work();
        for helper in helpers {
            found.extend(helper.join().unwrap_or_else(|panic| resume_unwind(panic)));
        }
        found
    })
}

/// The same on this thread.
#[cfg(not(feature = "threads"))]
pub(crate) fn many<T>(_: Option<NonZero<usize>>, work: impl Fn() -> Vec<T>) -> Vec<T> {
    work()
}

/// Does two things side by side, or one after the other.
#[cfg(feature = "threads")]
pub fn both<A: Send, B>(one: impl Fn() -> A + Sync, other: impl FnOnce() -> B) -> (A, B) {
    thread::scope(|scope| {
        let helper = thread::Builder::new().spawn_scoped(scope, &one);
        let second = other();
        let first = match helper {
            Ok(helper) => helper.join().unwrap_or_else(|panic| resume_unwind(panic)),
            Err(_) => one(),
        };
        (first, second)
    })
}

/// The same on this thread.
#[cfg(not(feature = "threads"))]
pub fn both<A, B>(one: impl Fn() -> A, other: impl FnOnce() -> B) -> (A, B) {
    (one(), other())
}
