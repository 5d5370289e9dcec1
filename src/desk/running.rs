//! Sheets that are being made: how far they are, and the word that stops them.
//!
//! Each is made on a thread of its own, and known by the address that asked for it: who asks again, or loads the page that
//! says how far it is, waits for the same one.

use super::lock;
use super::printing::{Order, Printer};
use crate::caught::caught;
use crate::session::{SessionError, Sheets};
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering::Relaxed};
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// So long an answer waits for what is being made, before it says how far it is.
const PATIENCE: Duration = Duration::from_millis(1500);

/// What nobody has asked for this long is left: the page that waits for it asks every second, and whoever comes back later
/// has it made anew, of the list as it is then.
const LEFT_AFTER: Duration = Duration::from_secs(15);

/// What came of it; `None` where it was stopped.
pub(super) type Printed = Result<Option<Sheets>, SessionError>;

/// All that is being made.
#[derive(Default)]
pub(super) struct Running {
    /// By the address that asked for it.
    tasks: Mutex<BTreeMap<String, Arc<Task>>>,
    /// The program once more, from which one after the other is made.
    printer: Mutex<Shared>,
}

type Shared = Arc<Mutex<Option<Printer>>>;

#[derive(Default)]
struct Task {
    done: AtomicUsize,
    of: AtomicUsize,
    is_stopped: AtomicBool,
    printed: Mutex<Option<Printed>>,
    asked: Mutex<Option<Instant>>,
    is_ready: Condvar,
}

/// How far it is.
pub(super) enum Stands {
    Ready(Printed),
    /// So many sheets of so many; of none where it is not known yet.
    Going {
        done: usize,
        of: usize,
    },
}

impl Running {
    /// Makes what is ordered, or waits for what an address asked for before. Whoever is told that it is ready has it, and
    /// who asks then has it made anew. Waits for it as long as is asked for, as a rule for [`PATIENCE`].
    pub fn of(&self, address: &str, order: Arc<Order>, wait: Option<Duration>) -> Stands {
        self.leave_forgotten();
        let begin = || begun(order, lock(&self.printer).clone());
        let task = lock(&self.tasks).entry(address.to_owned()).or_insert_with(begin).clone();
        *lock(&task.asked) = Some(Instant::now());
        let printed = lock(&task.printed);
        let waited =
            task.is_ready.wait_timeout_while(printed, wait.unwrap_or(PATIENCE).min(PATIENCE), |printed| {
                printed.is_none()
            });
        let (mut printed, _) = waited.unwrap_or_else(PoisonError::into_inner);
        match printed.take() {
            Some(printed) => {
                lock(&self.tasks).remove(address);
                Stands::Ready(printed)
            }
            None => Stands::Going { done: task.done.load(Relaxed), of: task.of.load(Relaxed) },
        }
    }

    fn leave_forgotten(&self) {
        let is_left = |task: &Task| lock(&task.asked).is_some_and(|asked| asked.elapsed() > LEFT_AFTER);
        let left: Vec<String> = {
            let tasks = lock(&self.tasks);
            tasks.iter().filter(|(_, task)| is_left(task)).map(|(address, _)| address.clone()).collect()
        };
        left.iter().for_each(|address| self.stop(address));
    }

    /// Stops what an address asked for. The sheet that is being laid out just now is laid out to its end, and then left;
    /// what is asked for next does not wait for it.
    pub fn stop(&self, address: &str) {
        if let Some(task) = lock(&self.tasks).remove(address) {
            task.is_stopped.store(true, Relaxed);
            if lock(&task.printed).is_none() {
                *lock(&self.printer) = Shared::default();
            }
        }
    }
}

fn begun(order: Arc<Order>, printer: Shared) -> Arc<Task> {
    let task = Arc::new(Task::default());
    let told = task.clone();
    std::thread::spawn(move || {
        let mut go_on = |done: usize, of: usize| {
            told.done.store(done, Relaxed);
            told.of.store(of, Relaxed);
            !told.is_stopped.load(Relaxed)
        };
        let mut printer = lock(&printer);
        let made = match go_on(0, 0) {
            true => caught(|| order.made(&mut printer, &mut go_on)),
            // It was stopped while it waited for another.
            false => Ok(Ok(None)),
        };
        let made = made.unwrap_or_else(|why| {
            *printer = None;
            Err(SessionError::said(why))
        });
        drop(printer);
        *lock(&told.printed) = Some(made);
        told.is_ready.notify_all();
    });
    task
}
