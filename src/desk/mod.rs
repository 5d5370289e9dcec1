//! The front desk: a page on this machine for the volunteer at an event, and for the ranger.
//!
//! It holds one program open ([`crate::session`]), shows who is on an event's list, and writes what a volunteer changes
//! into the roster's own file at once. What is shown is read from the folder each time, so that a spreadsheet, another
//! desk and a command may work on it at the same time.
//!
//! | file | holds |
//! | --- | --- |
//! | `server` | the port, and requests as plain values |
//! | `guard` | who may speak with the desk |
//! | `web` | requests and answers |
//! | `watch` | the folder, watched |
//! | `state` | the program that is held open, what is known of it, what was changed |
//! | `answers` | which page answers which address |
//! | `frame` | what all pages share |
//! | `choose` | where there is no program yet: choosing one, laying one out |
//! | `today` | the event and its list: ticks, walk-ins, what is wrong with a row |
//! | `person` | one row, to be mended, with the certificate's picture |
//! | `changed` | what was changed, taken back; what somebody else has changed meanwhile |
//! | `printing` | sheets to print, and certificates to be given |
//! | `withdrawing` | a given certificate withdrawn |
//! | `running` | sheets that are being made: how far they are, and stopped |
//! | `lessons` | a lesson beside its pages, its figures marked |
//! | `lines` | a text line by line, with marks |
//! | `facts` | the facts, and another value for one |
//! | `judging` | answers that wait for the ranger's eye |
//! | `found` | what is wrong with the program, by file |
//!
//! Pages are the theme's `desk/`, with its words. They work without a script; with it a tick does not load the page again
//! and the picture follows what is typed. Names of people stand in no address and in no log: rows are named by their
//! number, and what is typed comes in the body of a form.

mod answers;
mod changed;
mod choose;
mod facts;
mod found;
mod frame;
mod guard;
mod judging;
mod lessons;
mod lines;
mod person;
mod printing;
mod running;
mod server;
mod state;
mod today;
mod watch;
mod web;
mod withdrawing;

use crate::session::{Environment, SessionError};
use state::Desk;
use std::io;
use std::path::PathBuf;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Why a desk could not be opened.
#[derive(Debug)]
pub enum DeskError {
    /// There is no program, or something stands in its way.
    Session(SessionError),
    /// No port can be opened on this machine, or who was to be told of it is gone.
    Server(io::Error),
}

impl From<SessionError> for DeskError {
    fn from(error: SessionError) -> Self {
        Self::Session(error)
    }
}

/// Opens the desk of a program folder, or where there is none the page that chooses one, and serves it until the process
/// ends. `opened` is given the address by which one browser comes in, once.
///
/// # Errors
/// What was named is no folder, or no port can be opened. A program with mistakes is opened all the same, and the desk
/// shows them.
pub fn serve(
    named: Option<PathBuf>,
    into: Option<PathBuf>,
    environment: Environment,
    opened: &mut dyn FnMut(&str) -> io::Result<()>,
) -> Result<(), DeskError> {
    let desk = Desk::open(named, into, environment)?;
    server::serve(desk, opened).map_err(DeskError::Server)
}

/// What is behind a mutex, also after a panic: what was left half done then is forgotten by who catches it.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
