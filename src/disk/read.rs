//! Plain files, opened to be read.

use crate::io_error::{Refusal, refused};
use std::fs::{File, OpenOptions};
use std::io::{self, ErrorKind, Read};
use std::path::Path;

/// Opens a plain file to be read, where a link leads too. Opening never waits: a pipe to which nobody writes would
/// be waited for for ever.
///
/// # Errors
/// It is not there, is no plain file ([`Refusal::Special`]), or may not be read.
pub fn open(path: &Path) -> io::Result<File> {
    let mut options = OpenOptions::new();
    options.read(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::custom_flags(&mut options, never_wait());
    let file = options.open(path).map_err(|error| match std::fs::metadata(path) {
        // A socket cannot be opened at all, and the system's reason tells nobody why.
        Ok(found) if !found.is_file() && !found.is_dir() => refused(Refusal::Special),
        _ => error,
    })?;
    plain(file)
}

/// The bytes of a plain file ([`open`]).
///
/// # Errors
/// As [`open`], or the disk gives an error.
pub fn read(path: &Path) -> io::Result<Vec<u8>> {
    in_full(open(path)?)
}

/// The bytes of a file that is open.
///
/// # Errors
/// The disk gives an error.
pub fn in_full(mut file: File) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::with_capacity(file.metadata().map_or(0, |about| about.len() as usize));
    file.read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// The file, where it is a plain one.
pub(super) fn plain(file: File) -> io::Result<File> {
    let kind = file.metadata()?.file_type();
    match (kind.is_file(), kind.is_dir()) {
        (true, _) => Ok(file),
        (_, true) => Err(ErrorKind::IsADirectory.into()),
        _ => Err(refused(Refusal::Special)),
    }
}

#[cfg(unix)]
fn never_wait() -> i32 {
    use rustix::fs::OFlags;
    (OFlags::NONBLOCK | OFlags::NOCTTY).bits() as i32
}
