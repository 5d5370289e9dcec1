//! Work done on several threads and taken in its order, so that what comes of it does not depend on which thread was
//! faster.
//!
//! Of what is finished only so much waits to be taken; a thread that is further ahead rests. Of heavy work, which takes
//! much memory, one piece is under way at a time, and the other threads do what comes after it.

use super::engine::STACK;
use std::collections::{BTreeMap, VecDeque};
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::mpsc::{self, Receiver};
use std::sync::{Condvar, Mutex};
use std::thread;

/// How much finished work may wait for what comes before it.
const WAITING: usize = 48;

/// What comes of the work, in its order.
pub(super) struct Coming<'t, T> {
    tickets: &'t Tickets<'t>,
    done: Receiver<(usize, thread::Result<T>)>,
    early: BTreeMap<usize, thread::Result<T>>,
    next: usize,
    granted: usize,
    count: usize,
}

impl<T> Coming<'_, T> {
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
        let upto = self.count.min(self.next + WAITING);
        self.tickets.change(|desk| desk.open.extend(self.granted..upto));
        self.granted = self.granted.max(upto);
    }
}

impl<T> Drop for Coming<'_, T> {
    fn drop(&mut self) {
        self.tickets.change(|desk| {
            desk.open.clear();
            desk.is_closed = true;
        });
    }
}

/// Which work may be begun.
struct Tickets<'t> {
    desk: Mutex<Desk>,
    changed: Condvar,
    is_heavy: &'t (dyn Fn(usize) -> bool + Sync),
}

#[derive(Default)]
struct Desk {
    open: VecDeque<usize>,
    heavy_under_way: bool,
    is_closed: bool,
}

impl Tickets<'_> {
    fn change(&self, change: impl FnOnce(&mut Desk)) {
        change(&mut self.desk.lock().unwrap());
        self.changed.notify_all();
    }

    /// Waits for work that may be begun; nothing once there is no more.
    fn next(&self) -> Option<usize> {
        let mut desk = self.desk.lock().unwrap();
        loop {
            let may_begin = |&number: &usize| !(desk.heavy_under_way && (self.is_heavy)(number));
            if let Some(at) = desk.open.iter().position(may_begin) {
                let number = desk.open.remove(at)?;
                desk.heavy_under_way |= (self.is_heavy)(number);
                return Some(number);
            }
            if desk.is_closed {
                return None;
            }
            desk = self.changed.wait(desk).unwrap();
        }
    }

    fn is_done(&self, number: usize) {
        if (self.is_heavy)(number) {
            self.change(|desk| desk.heavy_under_way = false);
        }
    }
}

/// Does the pieces of work from 0 to `count` and lets `take` have them. Each thread `starts` with something of its own.
/// Where `take` ends early, what was not begun is left undone.
pub(super) fn in_order<S, T: Send, R>(
    threads: usize,
    count: usize,
    is_heavy: &(dyn Fn(usize) -> bool + Sync),
    start: impl Fn() -> S + Sync,
    work: impl Fn(&mut S, usize) -> T + Sync,
    take: impl FnOnce(&mut Coming<'_, T>) -> R,
) -> R {
    let tickets = &Tickets { desk: Mutex::default(), changed: Condvar::new(), is_heavy };
    let (told, done) = mpsc::channel();
    thread::scope(|scope| {
        for _ in 0..threads.min(count) {
            let (told, start, work) = (told.clone(), &start, &work);
            let on_thread = move || {
                let mut own = start();
                while let Some(number) = tickets.next() {
                    let came = catch_unwind(AssertUnwindSafe(|| work(&mut own, number)));
                    tickets.is_done(number);
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
        let taken = in_order(
            4,
            50,
            &|_| false,
            || (),
            slow,
            |coming| (0..50).map(|_| coming.next()).collect::<Vec<_>>(),
        );
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
            &|_| false,
            || (),
            work,
            |coming| {
                coming.next();
                assert!(begun.load(Ordering::SeqCst) <= WAITING + 1);
            },
        );
        assert!(begun.load(Ordering::SeqCst) <= WAITING + 2, "nobody takes the rest");
    }

    #[test]
    fn of_heavy_work_one_piece_is_under_way_at_a_time() {
        let (heavy, most) = (AtomicUsize::new(0), AtomicUsize::new(0));
        let is_heavy = |number: usize| number.is_multiple_of(4) || number > 40;
        let work = |_: &mut (), number: usize| {
            if is_heavy(number) {
                most.fetch_max(heavy.fetch_add(1, Ordering::SeqCst) + 1, Ordering::SeqCst);
                thread::sleep(Duration::from_millis(2));
                heavy.fetch_sub(1, Ordering::SeqCst);
            }
            number
        };
        let all = |coming: &mut Coming<'_, usize>| (0..50).map(|_| coming.next()).collect::<Vec<_>>();
        let taken = in_order(3, 50, &is_heavy, || (), work, all);
        assert_eq!((taken, most.into_inner()), ((0..50).collect(), 1));
    }

    #[test]
    fn a_panic_of_a_thread_is_that_of_who_waits() {
        let work = |_: &mut (), number: usize| assert_ne!(number, 3, "the third");
        let take = |coming: &mut Coming<'_, ()>| (0..40).for_each(|_| coming.next());
        assert!(catch_unwind(|| in_order(2, 40, &|_| false, || (), work, take)).is_err());
    }
}
