//! The disk: the one place where files are opened, written and taken away.
//!
//! What stands here holds for every file that packstring meets:
//!
//! - A file that is read is a plain file ([`read`]): a pipe, a socket or a device is told and never waited for.
//! - Where packstring writes, it opens a [`Folder`] once and works in it by its handle. No link is followed below it,
//!   so that a link which somebody puts there meanwhile leads nowhere either.
//! - A file is written under a temporary name and then renamed ([`Staged`]): it is the old one or the new one at every
//!   moment, whatever happens in between. The temporary file is for its owner only until it is in place.
//! - What a killed run left is swept by the next one ([`sweep`]), which knows it by its name and its kind. Nothing
//!   else is ever taken away here.
//!
//! Where files go and who may read them is for the callers to say: [`crate::shelf`] for pieces, the register and the
//! program's own files, the commands for what the user names.

mod folder;
mod laid_out;
mod read;
#[cfg(test)]
mod tests;
#[cfg(test)]
pub mod trial;
mod whole;

pub use folder::{Folder, Kind, OpenAs, holder, kind_at, runs};
pub use laid_out::{Access, LaidFile, LayOutError, lay_out};
pub use read::{in_full, open, read};
pub use whole::{
    Settle, Staged, WriteError, append, cut, is_temporary, sweep, sweep_where_free, write_for_user,
};

#[cfg(test)]
use trial::step;

/// Called before each thing that is done to a disk, so that tests can have it fail or stop there.
#[cfg(not(test))]
#[inline]
fn step(_doing: &'static str) -> std::io::Result<()> {
    Ok(())
}
