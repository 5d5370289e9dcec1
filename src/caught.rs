//! What goes wrong within a library, caught where it can be told with the file that it is about.
//!
//! A panic is a mistake of packstring or of what it stands on. It must not take along what has nothing to do with it,
//! and nobody is helped by lines of it on the terminal: what was said is handed to who tells it.

use std::any::Any;
use std::cell::Cell;
use std::panic::{self, AssertUnwindSafe};
use std::sync::Once;

thread_local! {
    /// Whether a panic of this thread is told by somebody.
    static IS_TOLD: Cell<bool> = const { Cell::new(false) };
}

/// Does some work. What it was about is left as it is after a panic, and must not be used again.
///
/// # Errors
/// What a panic said.
pub fn caught<T>(work: impl FnOnce() -> T) -> Result<T, String> {
    be_quiet();
    let before = IS_TOLD.replace(true);
    let done = panic::catch_unwind(AssertUnwindSafe(work));
    IS_TOLD.set(before);
    done.map_err(|panic| words(&*panic))
}

/// What a panic of this thread says is not printed, for who waits for the thread tells it.
pub fn is_waited_for() {
    be_quiet();
    IS_TOLD.set(true);
}

/// What a panic said.
pub fn words(panic: &(dyn Any + Send)) -> String {
    let said = panic.downcast_ref::<String>().map(String::as_str).or(panic.downcast_ref::<&str>().copied());
    said.unwrap_or("it did not say why").lines().collect::<Vec<_>>().join(" ")
}

fn be_quiet() {
    static HOOK: Once = Once::new();
    HOOK.call_once(|| {
        let usual = panic::take_hook();
        panic::set_hook(Box::new(move |info| {
            if !IS_TOLD.get() {
                usual(info);
            }
        }));
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_is_handed_on_as_words() {
        assert_eq!(caught(|| 1 + 1), Ok(2));
        let said: Result<(), _> = caught(|| panic!("two\nlines {}", 7));
        assert_eq!(said, Err("two lines 7".to_owned()));
        assert_eq!(caught(|| std::panic::panic_any(3)).err().as_deref(), Some("it did not say why"));
    }
}
