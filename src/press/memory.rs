//! What the typesetter remembers, so that what is the same is laid out once, and how much of it is kept.
//!
//! The owner of a press says how many bytes the process may hold. While it holds more, what was laid out is forgotten
//! after each piece of work. A press that is held never forgets what the last piece of work asked for, so that an edit
//! lays out only what it touches; one that makes a program once does after heavy work, for what follows shares little
//! with it. While heavy work is under way nothing is forgotten: it would have to do again what it has done.
//! Systems that do not say how much a process holds are taken at their worst.

use crate::disk;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};

/// What a press that makes a program once may hold.
const ONCE: usize = 200 << 20;

/// A page of memory, as the system counts a process. Larger ones, where there are any, only make it forget earlier.
const PAGE: usize = 4096;

pub(super) struct Memory {
    bytes: usize,
    /// How many pieces of work back nothing is forgotten of: after heavy work, after other, and after a chunk of a run,
    /// of which the next ones share no more than the last has.
    spared: [usize; 3],
    heavy_under_way: AtomicUsize,
}

/// What a piece of work was.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Was {
    Heavy,
    Other,
    Chunk,
}

impl Memory {
    pub fn once() -> Self {
        Self { bytes: ONCE, spared: [0, 5, 2], heavy_under_way: AtomicUsize::new(0) }
    }

    pub fn held(bytes: usize) -> Self {
        Self { bytes, spared: [1, 1, 1], heavy_under_way: AtomicUsize::new(0) }
    }

    /// To be called before heavy work.
    pub fn begin_heavy(&self) {
        self.heavy_under_way.fetch_add(1, Ordering::SeqCst);
    }

    /// To be called after each piece of work.
    pub fn tidy(&self, was: Was) {
        if was == Was::Heavy {
            self.heavy_under_way.fetch_sub(1, Ordering::SeqCst);
        }
        if self.heavy_under_way.load(Ordering::SeqCst) == 0 {
            comemo::evict(self.age(held_bytes(), was));
        }
    }

    /// How old what is kept may be, in pieces of work. All of it ages, also where nothing is forgotten: so what the
    /// last one used is told from the rest.
    fn age(&self, held: Option<usize>, was: Was) -> usize {
        let [heavy, other, chunk] = self.spared;
        let spared = match was {
            Was::Heavy => heavy,
            Was::Other => other,
            Was::Chunk => chunk,
        };
        if held.is_none_or(|held| held > self.bytes) { spared } else { usize::MAX }
    }
}

/// What this process holds of the machine's memory.
pub(super) fn held_bytes() -> Option<usize> {
    let held = String::from_utf8(disk::read(Path::new("/proc/self/statm")).ok()?).ok()?;
    Some(held.split(' ').nth(1)?.parse::<usize>().ok()? * PAGE)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_press_that_is_held_forgets_nothing_of_the_last_piece_of_work() {
        let held = Memory::held(1000);
        assert_eq!([held.age(Some(1000), Was::Heavy), held.age(Some(1001), Was::Heavy)], [usize::MAX, 1]);
        assert_eq!(held.age(None, Was::Other), 1);
        let once = Memory::once();
        let beyond = [Was::Heavy, Was::Other, Was::Chunk].map(|was| once.age(Some(ONCE + 1), was));
        assert_eq!(beyond, [0, 5, 2]);
    }

    #[test]
    #[cfg(target_os = "linux")]
    fn the_system_says_what_the_process_holds() {
        let held = std::hint::black_box(vec![1u8; 64 << 20]);
        assert!(held_bytes().unwrap() > held.len(), "what is in use counts");
    }
}
