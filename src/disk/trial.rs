//! Trials: the disk fails, or the run is killed, at one step of its work after the other.

use std::cell::RefCell;
use std::io::{self, ErrorKind};

thread_local! {
    static TRIAL: RefCell<Option<Trial>> = const { RefCell::new(None) };
}

struct Trial {
    /// Steps that are still done.
    left: usize,
    kind: Stop,
    has_stopped: bool,
    seen: Vec<&'static str>,
}

/// What happens at the step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stop {
    /// The disk takes nothing more at this one step; what comes after it is done.
    Full,
    /// The run is killed: neither this step is done nor any after it.
    Killed,
}

/// Does `work` with all of its steps but one, on this thread, for each step after the other, until there are no
/// more. `begin` lays out what it works on and `look` judges what is left, told whether the work was stopped. Gives
/// how many steps there are.
pub fn at_each_step<S, T>(
    kind: Stop,
    begin: impl Fn() -> S,
    work: impl Fn(&S) -> T,
    look: impl Fn(&S, Option<&'static str>, T),
) -> usize {
    for at in 0.. {
        let state = begin();
        TRIAL.set(Some(Trial { left: at, kind, has_stopped: false, seen: Vec::new() }));
        let done = work(&state);
        let trial = TRIAL.take().expect("it was set on this thread");
        let stopped = trial.has_stopped.then(|| trial.seen[at]);
        look(&state, stopped, done);
        if stopped.is_none() {
            return at;
        }
    }
    unreachable!("work has an end")
}

pub(super) fn step(doing: &'static str) -> io::Result<()> {
    TRIAL.with_borrow_mut(|trial| {
        let Some(trial) = trial else { return Ok(()) };
        let stops = match (trial.has_stopped, trial.kind) {
            (true, Stop::Killed) => true,
            (true, Stop::Full) => false,
            (false, _) => trial.seen.len() == trial.left,
        };
        trial.seen.push(doing);
        trial.has_stopped |= stops;
        if stops { Err(ErrorKind::StorageFull.into()) } else { Ok(()) }
    })
}
