//! `start-here.html`: the page that says what lies on the shelves. It lies beside them, and nothing in it is personal.

use super::error::{ShelfError, disk};
use super::{own_folder, places};
use crate::disk::{Kind, Settle, Staged};
use std::path::Path;
use std::rc::Rc;

pub const FILE: &str = "start-here.html";

/// Whether it is there.
pub fn is_there(out: &Path) -> bool {
    matches!(places::look(&out.join(FILE)), Ok(Some(Kind::File)))
}

/// Writes it, where it is not there or says something else; whole or not at all.
///
/// # Errors
/// A link or the like stands where it belongs, or it cannot be written.
pub fn write(out: &Path, program: &Path, page: &[u8]) -> Result<(), ShelfError> {
    places::check_note(out, program, FILE)?;
    let at = out.join(FILE);
    let folder = own_folder(out).map_err(disk("open the folder", out))?;
    if folder.read(FILE.as_ref()).is_ok_and(|there| there == page) {
        return Ok(());
    }
    let folder = Rc::new(folder);
    let staged = Staged::write(folder.clone(), page, super::permissions(0o644), Settle::GoOn);
    let put = staged.and_then(|staged| staged.put(&folder, FILE.as_ref()));
    put.map_err(|error| disk(error.doing, &at)(error.source))
}
