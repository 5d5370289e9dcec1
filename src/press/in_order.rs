//! Work done on several threads and taken in its order, so that what comes of it does not depend on which thread was
//! faster.
//!
//! Of what is finished only so much waits to be taken; a thread that is further ahead rests. Of heavy work, which takes
//! much memory, one piece is under way at a time, and the other threads do what comes after it. Where the system gives
//! no threads, the work is done by who waits for it. Whoever waits also sees when a piece of work takes too long.

use super::engine::{STACK, has_threads};
use super::overrun;
use std::collections::{BTreeMap, VecDeque};
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError};
use std::sync::{Condvar, Mutex};
use std::thread;
use std::time::Instant;

/// How much finished work may wait for what comes before it, by its weight.
const WAITING: usize = 48;

/// What is to be known of work before it is begun, each by its number.
#[derive(Clone, Copy)]
pub(super) struct About<'a> {
    pub is_heavy: &'a (dyn Fn(usize) -> bool + Sync),
    pub name: &'a (dyn Fn(usize) -> String + Sync),
    /// How much what comes of it takes while it waits: a file is 1.
    pub weight: &'a (dyn Fn(usize) -> usize + Sync),
}

/// What comes of the work, in its order.
pub(super) struct Coming<'t, T> {
    tickets: &'t Tickets<'t>,
    done: Receiver<(usize, thread::Result<T>)>,
    early: BTreeMap<usize, thread::Result<T>>,
    next: usize,
    granted: usize,
    /// Of what was granted and not taken yet.
    weight: usize,
    count: usize,
    /// Does the work where there is no other thread.
    here: Option<&'t mut dyn FnMut(usize) -> thread::Result<T>>,
}

impl<T> Coming<'_, T> {
    /// Waits for what is next. To be called no more often than there is work.
    pub fn next(&mut self) -> T {
        if let Some(here) = &mut self.here {
            let came = here(self.next);
            self.next += 1;
            return came.unwrap_or_else(|panic| resume_unwind(panic));
        }
        let came = loop {
            if let Some(came) = self.early.remove(&self.next) {
                break came;
            }
            match self.done.recv_timeout(overrun::LOOKS) {
                Ok((number, came)) => {
                    self.early.insert(number, came);
                }
                Err(RecvTimeoutError::Timeout) => self.tickets.look_for_overruns(),
                Err(RecvTimeoutError::Disconnected) => {
                    unreachable!("a thread has every ticket that was given")
                }
            }
        };
        self.weight -= (self.tickets.about.weight)(self.next);
        self.next += 1;
        self.grant();
        came.unwrap_or_else(|panic| resume_unwind(panic))
    }

    fn grant(&mut self) {
        let from = self.granted;
        while self.granted < self.count {
            let weight = (self.tickets.about.weight)(self.granted);
            if self.weight + weight > WAITING && self.granted > self.next {
                break;
            }
            self.weight += weight;
            self.granted += 1;
        }
        self.tickets.change(|desk| desk.open.extend(from..self.granted));
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
    about: About<'t>,
}

#[derive(Default)]
struct Desk {
    open: VecDeque<usize>,
    heavy_under_way: bool,
    /// What is under way, and since when.
    begun: BTreeMap<usize, Instant>,
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
            let may_begin = |&number: &usize| !(desk.heavy_under_way && (self.about.is_heavy)(number));
            if let Some(at) = desk.open.iter().position(may_begin) {
                let number = desk.open.remove(at)?;
                desk.heavy_under_way |= (self.about.is_heavy)(number);
                desk.begun.insert(number, Instant::now());
                return Some(number);
            }
            if desk.is_closed {
                return None;
            }
            desk = self.changed.wait(desk).unwrap();
        }
    }

    fn is_done(&self, number: usize) {
        let is_heavy = (self.about.is_heavy)(number);
        self.change(|desk| {
            desk.begun.remove(&number);
            desk.heavy_under_way &= !is_heavy;
        });
    }

    fn look_for_overruns(&self) {
        let longest = self.desk.lock().unwrap().begun.iter().map(|(number, since)| (*since, *number)).min();
        if let Some((since, number)) = longest {
            overrun::look(since.elapsed(), &|| (self.about.name)(number));
        }
    }
}

/// Does the pieces of work from 0 to `count` and lets `take` have them. Each thread `starts` with something of its own.
/// Where `take` ends early, what was not begun is left undone.
pub(super) fn in_order<S, T: Send, R>(
    threads: usize,
    count: usize,
    about: About,
    start: impl Fn() -> S + Sync,
    work: impl Fn(&mut S, usize) -> T + Sync,
    take: impl FnOnce(&mut Coming<'_, T>) -> R,
) -> R {
    let tickets = &Tickets { desk: Mutex::default(), changed: Condvar::new(), about };
    let (told, done) = mpsc::channel();
    let threads = if has_threads() { threads.min(count) } else { 0 };
    let mut own = None;
    let mut do_here =
        |number| catch_unwind(AssertUnwindSafe(|| work(own.get_or_insert_with(&start), number)));
    thread::scope(|scope| {
        let mut spawned = 0;
        for _ in 0..threads {
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
            // Those that there are do the work of all.
            if thread::Builder::new().stack_size(STACK).spawn_scoped(scope, on_thread).is_err() {
                break;
            }
            spawned += 1;
        }
        let here: Option<&mut dyn FnMut(usize) -> thread::Result<T>> =
            if spawned == 0 { Some(&mut do_here) } else { None };
        let mut coming =
            Coming { tickets, done, early: BTreeMap::new(), next: 0, granted: 0, weight: 0, count, here };
        coming.grant();
        take(&mut coming)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::{AtomicUsize, Ordering};
    use std::time::Duration;

    const LIGHT: About<'_> = About { is_heavy: &|_| false, name: &|_| String::new(), weight: &|_| 1 };

    #[test]
    fn where_there_are_no_threads_the_work_is_done_all_the_same() {
        let work = |sum: &mut usize, number: usize| {
            *sum += number;
            *sum
        };
        let take = |coming: &mut Coming<'_, usize>| (0..100).map(|_| coming.next()).last();
        assert_eq!(in_order(0, 100, LIGHT, || 0, work, take), Some(4950));
        let panics = |_: &mut (), number: usize| assert_ne!(number, 3, "the third");
        let take = |coming: &mut Coming<'_, ()>| (0..40).for_each(|_| coming.next());
        assert!(catch_unwind(|| in_order(0, 40, LIGHT, || (), panics, take)).is_err());
    }

    #[test]
    fn what_is_done_last_comes_where_it_stands() {
        let slow = |_: &mut (), number: usize| {
            if number.is_multiple_of(3) {
                thread::sleep(Duration::from_millis(3));
            }
            number
        };
        let taken =
            in_order(4, 50, LIGHT, || (), slow, |coming| (0..50).map(|_| coming.next()).collect::<Vec<_>>());
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
            LIGHT,
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
    fn what_weighs_much_waits_in_small_numbers() {
        let begun = AtomicUsize::new(0);
        let work = |_: &mut (), number: usize| {
            begun.fetch_add(1, Ordering::SeqCst);
            if number == 0 {
                thread::sleep(Duration::from_millis(50));
            }
        };
        for (weight, most) in [(WAITING / 4, 4), (WAITING * 2, 1)] {
            begun.store(0, Ordering::SeqCst);
            let about = About { weight: &|_| weight, ..LIGHT };
            in_order(
                2,
                100,
                about,
                || (),
                work,
                |coming| {
                    coming.next();
                    assert!(begun.load(Ordering::SeqCst) <= most + 1);
                    (1..100).for_each(|_| coming.next());
                },
            );
        }
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
        let taken = in_order(3, 50, About { is_heavy: &is_heavy, ..LIGHT }, || (), work, all);
        assert_eq!((taken, most.into_inner()), ((0..50).collect(), 1));
    }

    #[test]
    fn a_panic_of_a_thread_is_that_of_who_waits() {
        let work = |_: &mut (), number: usize| assert_ne!(number, 3, "the third");
        let take = |coming: &mut Coming<'_, ()>| (0..40).for_each(|_| coming.next());
        assert!(catch_unwind(|| in_order(2, 40, LIGHT, || (), work, take)).is_err());
    }
}
