//! Work done on several threads and taken in its order, so that what comes of it does not depend on which thread was
//! faster.
//!
//! Of what is finished only so much waits to be taken; a thread that is further ahead rests.

use super::engine::STACK;
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::Mutex;
use std::sync::mpsc::{self, Receiver, Sender};
use std::thread;

/// How much finished work may wait for what comes before it.
const WAITING: usize = 16;

/// What comes of the work, in its order.
pub(super) struct Coming<T> {
    tickets: Sender<usize>,
    done: Receiver<(usize, thread::Result<T>)>,
    early: BTreeMap<usize, thread::Result<T>>,
    next: usize,
    granted: usize,
    count: usize,
}

impl<T> Coming<T> {
    /// Waits for what is next. To be called no more often than there is work.
    pub fn next(&mut self) -> T {
        let came = loop {
            if let Some(came) = self.early.remove(&self.next) {
                break came;
            }
            let (number, came) = self.done.recv().expect("a thread has every ticket that was given");
            self.early.insert(number, came);
        };
        self.next += 1;
        self.grant();
        came.unwrap_or_else(|panic| resume_unwind(panic))
    }

    fn grant(&mut self) {
        while self.granted < self.count.min(self.next + WAITING) {
            // The threads leave only when nobody takes what they do.
            let _ = self.tickets.send(self.granted);
            self.granted += 1;
        }
    }
}

/// Does the pieces of work from 0 to `count` and lets `take` have them. Each thread `starts` with something of its own.
/// Where `take` ends early, what was not begun is left undone.
pub(super) fn in_order<S, T: Send, R>(
    threads: usize,
    count: usize,
    start: impl Fn() -> S + Sync,
    work: impl Fn(&mut S, usize) -> T + Sync,
    take: impl FnOnce(&mut Coming<T>) -> R,
) -> R {
    let (tickets, wanted) = mpsc::channel();
    let wanted = Mutex::new(wanted);
    let (told, done) = mpsc::channel();
    thread::scope(|scope| {
        for _ in 0..threads.min(count) {
            let (told, wanted, start, work) = (told.clone(), &wanted, &start, &work);
            let on_thread = move || {
                let mut own = start();
                loop {
                    let ticket = wanted.lock().unwrap().recv();
                    let Ok(number) = ticket else { return };
                    let came = catch_unwind(AssertUnwindSafe(|| work(&mut own, number)));
                    // Nobody listens any more once something before it has failed.
                    if told.send((number, came)).is_err() {
                        return;
                    }
                }
            };
            let spawned = thread::Builder::new().stack_size(STACK).spawn_scoped(scope, on_thread);
            spawned.expect("the system gives a thread");
        }
        let mut coming = Coming { tickets, done, early: BTreeMap::new(), next: 0, granted: 0, count };
        coming.grant();
        take(&mut coming)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};
    use std::time::Duration;

    #[test]
    fn what_is_done_last_comes_where_it_stands() {
        let slow = |_: &mut (), number: usize| {
            if number.is_multiple_of(3) {
                thread::sleep(Duration::from_millis(3));
            }
            number
        };
        let taken = in_order(4, 50, || (), slow, |coming| (0..50).map(|_| coming.next()).collect::<Vec<_>>());
        assert_eq!(taken, (0..50).collect::<Vec<_>>());
    }

    #[test]
    fn a_thread_that_is_far_ahead_rests() {
        let begun = AtomicUsize::new(0);
        let work = |_: &mut (), number: usize| {
            begun.fetch_add(1, Ordering::SeqCst);
            if number == 0 {
                thread::sleep(Duration::from_millis(50));
            }
        };
        in_order(
            2,
            1000,
            || (),
            work,
            |coming| {
                coming.next();
                assert!(begun.load(Ordering::SeqCst) <= WAITING + 1);
            },
        );
        assert!(begun.load(Ordering::SeqCst) <= 2 * WAITING, "nobody takes the rest");
    }

    #[test]
    fn a_panic_of_a_thread_is_that_of_who_waits() {
        let work = |_: &mut (), number: usize| assert_ne!(number, 3, "the third");
        let take = |coming: &mut Coming<()>| (0..40).for_each(|_| coming.next());
        assert!(catch_unwind(|| in_order(2, 40, || (), work, take)).is_err());
    }
}
