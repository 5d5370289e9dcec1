//! What the typesetter remembers, so that what is the same is laid out once, and how much of it is kept.
//!
//! The owner of a press says how many bytes the process may hold. While it holds more, what was laid out is forgotten
//! after each piece of work. A press that is held never forgets what the last piece of work asked for, so that an edit
//! lays out only what it touches; one that makes a program once does, for the next piece shares little with it.
//! Systems that do not say how much a process holds are taken at their worst.

use std::fs;

/// What a press that makes a program once may hold.
const ONCE: usize = 200 << 20;

/// A page of memory, as the system counts a process. Larger ones, where there are any, only make it forget earlier.
const PAGE: usize = 4096;

pub(super) struct Memory {
    bytes: usize,
    /// How many pieces of work back nothing is forgotten of.
    spared: usize,
}

impl Memory {
    pub fn once() -> Self {
        Self { bytes: ONCE, spared: 0 }
    }

    pub fn held(bytes: usize) -> Self {
        Self { bytes, spared: 1 }
    }

    /// To be called after each piece of work.
    pub fn tidy(&self) {
        comemo::evict(self.age(held_bytes()));
    }

    /// How old what is kept may be, in pieces of work. All of it ages, also where nothing is forgotten: so what the
    /// last one used is told from the rest.
    fn age(&self, held: Option<usize>) -> usize {
        if held.is_none_or(|held| held > self.bytes) { self.spared } else { usize::MAX }
    }
}

/// What this process holds of the machine's memory.
fn held_bytes() -> Option<usize> {
    let held = fs::read_to_string("/proc/self/statm").ok()?;
    Some(held.split(' ').nth(1)?.parse::<usize>().ok()? * PAGE)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_press_that_is_held_forgets_nothing_of_the_last_piece_of_work() {
        let held = Memory::held(1000);
        assert_eq!((held.age(Some(1000)), held.age(Some(1001)), held.age(None)), (usize::MAX, 1, 1));
        assert_eq!(Memory::once().age(Some(ONCE + 1)), 0);
    }

    #[test]
    #[cfg(target_os = "linux")]
    fn the_system_says_what_the_process_holds() {
        let before = held_bytes().unwrap();
        let more = vec![1u8; 64 << 20];
        assert!(held_bytes().unwrap() > before, "{}", more.len());
    }
}
