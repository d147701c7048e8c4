//! Many designs in one call: side by side, given back in the order in which they were named.
//!
//! A design is the unit of work; it is read by the thread that checks it and let go there, so that only reports are kept. What
//! threads are left over when there are fewer designs go to the rules of each.

use std::{
    num::NonZero,
    panic,
    sync::{
        Mutex, PoisonError,
        atomic::{AtomicUsize, Ordering},
    },
    thread,
};

/// The stack of a helper: that of the main thread on the usual systems, so that a design is read alike on both.
const STACK: usize = 8 << 20;

/// How many designs are checked at a time and how many threads each of them gets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Share {
    /// Designs at a time.
    pub designs: usize,
    /// Threads of each.
    pub threads: NonZero<usize>,
}

impl Share {
    /// Shares out `jobs` threads, or one a core, among `designs`.
    pub(super) fn new(jobs: Option<NonZero<usize>>, designs: usize) -> Self {
        let jobs = jobs.or_else(|| thread::available_parallelism().ok()).unwrap_or(NonZero::<usize>::MIN);
        let at_a_time = jobs.get().min(designs).max(1);
        Self { designs: at_a_time, threads: NonZero::new(jobs.get() / at_a_time).unwrap_or(NonZero::<usize>::MIN) }
    }
}

/// What `work` makes of each item, in the order of the items, `at_a_time` of them side by side.
///
/// The calling thread works too, so that all is done even where no other thread is available.
pub(super) fn each<T: Send, R: Send>(items: Vec<T>, at_a_time: usize, work: impl Fn(T) -> R + Sync) -> Vec<R> {
    each_with(STACK, items, at_a_time, work)
}

/// The same with helpers of another stack.
fn each_with<T: Send, R: Send>(stack: usize, items: Vec<T>, at_a_time: usize, work: impl Fn(T) -> R + Sync) -> Vec<R> {
    let items: Vec<Mutex<Option<T>>> = items.into_iter().map(|item| Mutex::new(Some(item))).collect();
    let next = AtomicUsize::new(0);
    let take = || {
        let mut done: Vec<(usize, R)> = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(slot) = items.get(at) else { return done };
            let item = slot.lock().unwrap_or_else(PoisonError::into_inner).take();
            done.extend(item.map(|item| (at, work(item))));
        }
    };
    let mut done = thread::scope(|scope| {
        let start = |_| thread::Builder::new().stack_size(stack).spawn_scoped(scope, take).ok();
        let helpers: Vec<_> = (1..at_a_time).filter_map(start).collect();
        let mut done = take();
        for helper in helpers {
            // A check never panics; if one did, a design would be missed, so the panic goes on to the caller.
            match helper.join() {
                Ok(more) => done.extend(more),
                Err(reason) => panic::resume_unwind(reason),
            }
        }
        done
    });
    done.sort_unstable_by_key(|(at, _)| *at);
    done.into_iter().map(|(_, result)| result).collect()
}

#[cfg(test)]
mod tests {
    use super::{Share, each, each_with};
    use std::{num::NonZero, sync::Barrier, thread};

    /// No thread is available with so large a stack, as none is available under a limit of the system.
    const TOO_LARGE: usize = usize::MAX / 4;

    #[test]
    fn where_no_thread_can_be_had_all_is_done_all_the_same() {
        assert!(thread::Builder::new().stack_size(TOO_LARGE).spawn(|| ()).is_err());
        let here = thread::current().id();
        let done = each_with(TOO_LARGE, vec![1, 2, 3], 3, |number| (number * 2, thread::current().id()));
        assert_eq!(done, [(2, here), (4, here), (6, here)]);
    }

    #[test]
    fn results_come_in_the_order_of_the_items() {
        for at_a_time in [0, 1, 2, 7, 200] {
            let doubled = each((0..100).collect(), at_a_time, |number: u64| {
                // The first items take longest.
                thread::sleep(std::time::Duration::from_micros(200 - number));
                number * 2
            });
            assert_eq!(doubled, (0..100).map(|number| number * 2).collect::<Vec<_>>(), "{at_a_time}");
        }
        assert!(each(Vec::<u8>::new(), 4, |item| item).is_empty());
    }

    #[test]
    fn as_many_items_as_asked_for_are_worked_on_at_once() {
        // Each waits for the two others: with fewer threads this would never end.
        let meet = Barrier::new(3);
        assert_eq!(each(vec![1, 2, 3], 3, |item| meet.wait().is_leader().then_some(item)).into_iter().flatten().count(), 1);
    }

    #[test]
    fn threads_are_shared_out_and_do_not_multiply() {
        for jobs in 1..=16 {
            for designs in 0..=40 {
                let share = Share::new(NonZero::new(jobs), designs);
                assert!(share.designs * share.threads.get() <= jobs, "{jobs} {designs} {share:?}");
                assert!(share.designs >= 1 && (designs == 0 || share.designs <= designs));
                assert!(designs < jobs || share.threads.get() == 1);
            }
        }
    }
}
