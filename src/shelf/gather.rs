//! Parts brought together: what several runs made of one private shelf is put on one, and their records become one.
//!
//! Each part holds whole files, and those of one are in no other, so that nothing is joined but records.

use super::names::Names;
use super::record::{Entry, Record};
use super::{PartNote, ShelfError, Shelves, disk, own_folder, read_in, sha256_hex};
use crate::disk::Folder;
use crate::job::{Part, Shelf};
use std::path::{Path, PathBuf};

/// A part that stands in a folder.
pub struct FoundPart {
    folder: PathBuf,
    out: Folder,
    part: Part,
    record: Record,
}

/// What became of a file of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Putting {
    Put,
    /// It stood there already.
    Kept,
    /// It is not as its part made it, and was not put.
    Damaged,
}

impl FoundPart {
    /// The parts in a folder, by their numbers; there may be several.
    ///
    /// # Errors
    /// It cannot be read.
    pub fn all_in(folder: &Path) -> Result<Vec<Self>, ShelfError> {
        let failed = |error| disk("read", folder)(error);
        let out = own_folder(folder).map_err(failed)?;
        let names = match out.inner(Shelf::Private.name().as_ref()) {
            Ok(private) => private.names().map_err(failed)?,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => Vec::new(),
            Err(error) => return Err(failed(error)),
        };
        let mut parts: Vec<Part> =
            names.iter().filter_map(|name| Names::part_of_record(name.to_str()?)).collect();
        parts.sort_unstable();
        let open = |part: Part| {
            let record = Record::of(read_in(&out, &Names::of_part(part).private));
            Ok(Self { folder: folder.to_owned(), out: own_folder(folder).map_err(failed)?, part, record })
        };
        parts.into_iter().map(open).collect()
    }

    pub fn folder(&self) -> &Path {
        &self.folder
    }

    pub fn part(&self) -> Part {
        self.part
    }

    /// What the part says of itself; `None` where its record is damaged.
    pub fn note(&self) -> Option<&PartNote> {
        let note = self.record.part.as_ref()?;
        (Part::new(note.number, note.of) == Some(self.part)).then_some(note)
    }

    /// The paths of its files below the private shelf.
    pub fn paths(&self) -> impl Iterator<Item = &str> {
        self.entries().map(|entry| entry.path.as_str())
    }

    /// Those of its files that are not there, or not as long as they were.
    pub fn missing(&self) -> impl Iterator<Item = &str> {
        let is_there = |entry: &&Entry| {
            let file = self.folder.join(Shelf::Private.name()).join(&entry.path);
            let found = file.symlink_metadata();
            found.is_ok_and(|found| found.is_file() && found.len() == entry.bytes)
        };
        self.entries().filter(move |entry| !is_there(entry)).map(|entry| entry.path.as_str())
    }

    fn entries(&self) -> impl Iterator<Item = &Entry> {
        self.record.entries().iter().filter(|entry| entry.shelf == Shelf::Private.name())
    }
}

impl Shelves {
    /// Puts all files of a part on the private shelf, as they were made. `done` is told of each.
    ///
    /// # Errors
    /// They cannot be written. What was put by then is whole.
    pub fn take_in(
        &mut self,
        part: &FoundPart,
        done: &mut dyn FnMut(&str, Putting),
    ) -> Result<(), ShelfError> {
        for entry in part.entries() {
            let below = Path::new(Shelf::Private.name()).join(&entry.path);
            let is_as_made = |bytes: &Vec<u8>| sha256_hex(bytes) == entry.sha256;
            let putting = if read_in(&self.out, &below).is_ok_and(|bytes| is_as_made(&bytes)) {
                self.public.whole = None;
                self.private.insert(entry.clone());
                self.keep(Shelf::Private, &entry.path);
                Putting::Kept
            } else {
                match read_in(&part.out, &below).ok().filter(is_as_made) {
                    Some(bytes) => {
                        self.put(Shelf::Private, &entry.path, &entry.from, &bytes)?;
                        Putting::Put
                    }
                    None => Putting::Damaged,
                }
            };
            done(&entry.path, putting);
        }
        Ok(())
    }
}
