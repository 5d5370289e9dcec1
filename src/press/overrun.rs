//! Work that would never end, or take all memory: a theme may hold a loop without an end, and nobody stops a thread from
//! outside. So whoever waits for the work looks at it from time to time, and what overruns is told to the process, which
//! gives up. Files that were put away by then are whole.

use super::memory::held_bytes;
use crate::limits;
use std::sync::OnceLock;
use std::time::Duration;

/// How often work is looked at.
pub(super) const LOOKS: Duration = Duration::from_millis(100);

/// What the process does when work overruns.
struct Overrun {
    longest: Duration,
    tell: fn(&str),
}

static OVERRUN: OnceLock<Overrun> = OnceLock::new();

/// Has what overruns told, in a sentence, by one who then ends the process. The first call counts; without one, work
/// may take as long as it likes. `longest` is how long one file may take.
pub fn on_overrun(longest: Duration, tell: fn(&str)) {
    let _ = OVERRUN.set(Overrun { longest, tell });
}

pub(super) fn look(taken: Duration, name: &dyn Fn() -> String) {
    let Some(overrun) = OVERRUN.get() else { return };
    if let Some(how) = judge(taken, overrun.longest, held_bytes()) {
        (overrun.tell)(&sentence(&name(), &how));
    }
}

/// How work overruns, where it does.
fn judge(taken: Duration, longest: Duration, held: Option<usize>) -> Option<String> {
    if held.is_some_and(|held| held > limits::MEMORY_BYTES) {
        return Some(format!("takes more than {} GB of memory", limits::MEMORY_BYTES / 1_000_000_000));
    }
    (taken > longest).then(|| format!("is still not made after {} seconds", longest.as_secs()))
}

fn sentence(name: &str, how: &str) -> String {
    format!(
        "{name} {how}, so packstring stopped. Look for an endless loop in the theme's template. Files made before this are complete."
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_overruns_by_time_and_by_memory() {
        let second = Duration::from_secs(1);
        assert_eq!(judge(second, second, Some(limits::MEMORY_BYTES)), None);
        assert_eq!(judge(2 * second, second, None).as_deref(), Some("is still not made after 1 seconds"));
        let much = judge(second, 2 * second, Some(limits::MEMORY_BYTES + 1));
        assert_eq!(much.as_deref(), Some("takes more than 2 GB of memory"));
    }
}
