//! Changes of the demo, one after the other on two threads: what the check says of each is held against the recomputation.

use super::Twice;
use std::{
    sync::atomic::{AtomicUsize, Ordering},
    thread,
};

pub(super) const FOLDER: &str = "written-out/terrace-tractor";
pub(super) const ROOT: &str = "tractor.yaml";

/// What rounding may decide: so near to a limit both verdicts are right.
pub(super) const NEAR: f64 = 0.01;

/// Of those that are found, one in so many is computed anew: it takes five times as long as a check.
const FOUND_TRIED: usize = 4;

/// Judges each change by its name and files. `judged` is given whether to compute it anew even where the check finds it; it gives what is
/// wrong with what the check says, if anything is, and whether the check is silent.
pub(super) fn hold<T: Sync>(
    cases: &[(String, T)],
    judged: impl Fn(&mut Twice, &str, &T, bool) -> (Option<String>, bool) + Copy + Send + Sync,
) {
    let next = AtomicUsize::new(0);
    let work = || {
        let mut twice = Twice::new(FOLDER, ROOT);
        let (mut failures, mut silent) = (Vec::new(), 0);
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some((name, files)) = cases.get(at) else { return (failures, silent) };
            let (failure, is_silent) = judged(&mut twice, name, files, at.is_multiple_of(FOUND_TRIED));
            failures.extend(failure);
            silent += usize::from(is_silent);
        }
    };
    let (mut failures, mut silent) = (Vec::new(), 0);
    thread::scope(|scope| {
        let running: Vec<_> = (0..2).map(|_| scope.spawn(work)).collect();
        for (found, quiet) in running.into_iter().map(|worker| worker.join().expect("a worker")) {
            failures.extend(found);
            silent += quiet;
        }
    });
    println!("{silent} of {} are silent, each within its limits by the recomputation", cases.len());
    assert!(failures.is_empty(), "{} differ:\n{}", failures.len(), failures.join("\n"));
}
