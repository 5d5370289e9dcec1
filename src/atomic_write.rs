//! Writing a file whole: it is the old one or the new one at every moment, whatever happens in between.
//!
//! Where files go and who may read them is for the callers to say: [`crate::shelf`] for pieces, the
//! commands for the program's own files.

use std::fs::{self, Permissions};
use std::io::{self, Write};
use std::path::Path;
use tempfile::NamedTempFile;

/// What was being done when a file could not be written, and what the system said.
#[derive(Debug)]
pub struct WriteError {
    /// `start writing`, `write`, `set the permissions of`, `put in place`.
    pub doing: &'static str,
    pub source: io::Error,
}

/// Whether to wait until the disk holds the bytes before the old file is given up. What can be made
/// again need not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Settle {
    Wait,
    GoOn,
}

/// Writes `bytes` to a file in the folder `beside`, which lies on the same disk as `file`, and renames
/// it to `file`. Without `permissions` only its owner may read it.
///
/// # Errors
/// What could not be done; `file` is then as it was.
pub fn write(
    beside: &Path,
    file: &Path,
    bytes: &[u8],
    permissions: Option<Permissions>,
    settle: Settle,
) -> Result<(), WriteError> {
    let making = NamedTempFile::new_in(beside).map_err(failed("start writing"))?;
    finish(making, file, bytes, permissions, settle)
}

/// Writes a file that the user asked for by name, readable to whom they let read what they write by hand.
///
/// # Errors
/// What could not be done; `file` is then as it was.
pub fn write_for_user(file: &Path, bytes: &[u8]) -> Result<(), WriteError> {
    let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut making = tempfile::Builder::new();
    #[cfg(unix)]
    making.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let making = making.tempfile_in(folder).map_err(failed("start writing"))?;
    finish(making, file, bytes, None, Settle::Wait)
}

fn finish(
    mut making: NamedTempFile,
    file: &Path,
    bytes: &[u8],
    permissions: Option<Permissions>,
    settle: Settle,
) -> Result<(), WriteError> {
    making.write_all(bytes).map_err(failed("write"))?;
    if let Some(permissions) = permissions {
        making.as_file().set_permissions(permissions).map_err(failed("set the permissions of"))?;
    }
    if settle == Settle::Wait {
        making.as_file().sync_all().map_err(failed("write"))?;
    }
    making.persist(file).map(drop).map_err(|error| failed("put in place")(error.error))
}

fn failed(doing: &'static str) -> impl Fn(io::Error) -> WriteError {
    move |source| WriteError { doing, source }
}

/// Why one of the user's own files was not replaced; it is as it was.
#[derive(Debug)]
pub enum ReplaceError {
    /// It holds other bytes than those that were read: somebody else was faster.
    Changed,
    /// It is protected against changes.
    Protected,
    Disk(WriteError),
}

/// Replaces one of the user's own files, where a link leads too, unless it was changed since its bytes were
/// read. Who may read and write it stays as it was.
///
/// # Errors
/// Why not; the file is then as it was.
pub fn replace(file: &Path, read: &[u8], bytes: &[u8]) -> Result<(), ReplaceError> {
    let failed = |doing| move |source| ReplaceError::Disk(WriteError { doing, source });
    let file = file.canonicalize().map_err(failed("find"))?;
    if fs::read(&file).map_err(failed("read"))? != read {
        return Err(ReplaceError::Changed);
    }
    let permissions = fs::metadata(&file).map_err(failed("read"))?.permissions();
    if permissions.readonly() {
        return Err(ReplaceError::Protected);
    }
    let beside = file.parent().unwrap_or(Path::new("."));
    write(beside, &file, bytes, Some(permissions), Settle::Wait).map_err(ReplaceError::Disk)
}
