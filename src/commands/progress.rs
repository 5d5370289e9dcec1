//! How far a session is, as a bar on a terminal; nothing elsewhere.

use crate::session::{Environment, Progress};
use indicatif::{ProgressBar, ProgressStyle};

/// A bar on standard error, so that output can be kept in a file.
pub(super) struct Bar(ProgressBar);

impl Bar {
    pub fn new(environment: &Environment) -> Self {
        if !environment.terminal {
            return Self(ProgressBar::hidden());
        }
        let style = ProgressStyle::with_template("{pos} of {len}  {wide_bar}  {msg}")
            .expect("the template is written above");
        Self(ProgressBar::new(0).with_style(style))
    }

    pub fn show(&self, progress: Progress) {
        match progress {
            Progress::Files(count) => self.0.set_length(count as u64),
            Progress::Making(path) => self.0.set_message(path.to_owned()),
            Progress::Done => self.0.inc(1),
            Progress::Found(_) => {}
        }
    }

    pub fn clear(&self) {
        self.0.finish_and_clear();
    }
}
