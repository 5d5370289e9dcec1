//! Files: getting texts out of the program folder and out of nowhere else.

use super::mistakes::Mistakes;
use super::{Program, bounds};
use crate::disk;
use crate::finding::{FileName, Place, Sources, rules};
use crate::io_error::{Refusal, refusal};
use std::fs;
use std::io::{Error, ErrorKind};
use std::path::{Path, PathBuf};
use std::sync::Arc;

pub(super) struct Files<'m> {
    pub folder: &'m Path,
    /// The folder with every symbolic link followed.
    real: Option<PathBuf>,
    mistakes: &'m Mistakes,
    pub sources: Sources,
    /// The program as it was read before.
    before: Option<&'m Program>,
    /// A file that is read as if it held another text.
    instead: Option<(&'m str, &'m str)>,
}

/// A file that was read: its name and its text without a byte order mark.
pub(super) struct Page {
    pub file: FileName,
    text: Arc<str>,
    /// Bytes of the byte order mark.
    pub mark: usize,
}

impl Page {
    pub fn new(file: FileName, text: Arc<str>) -> Self {
        let mark = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
        Self { file, text, mark }
    }

    /// SourceMap into it lack [`Page::mark`].
    pub fn text(&self) -> &str {
        &self.text[self.mark..]
    }

    /// The place of a range of [`Page::text`].
    pub fn place(&self, range: std::ops::Range<usize>) -> Place {
        Place::new(&self.file, range.start + self.mark..range.end + self.mark)
    }
}

impl<'m> Files<'m> {
    pub fn new(folder: &'m Path, mistakes: &'m Mistakes) -> Self {
        let real = folder.canonicalize().ok();
        Self { folder, real, mistakes, sources: Sources::default(), before: None, instead: None }
    }

    /// The same of a folder that was read before: what was made of a file that is still the same may be taken over.
    pub fn again(before: &'m Program, mistakes: &'m Mistakes) -> Self {
        Self { before: Some(before), ..Self::new(&before.folder, mistakes) }
    }

    /// The same, where a file is read as if it held another text.
    pub fn again_with(before: &'m Program, instead: (&'m str, &'m str), mistakes: &'m Mistakes) -> Self {
        Self { instead: Some(instead), ..Self::again(before, mistakes) }
    }

    /// The program as it was read before, if each of these files was in it with the text that it has now, or was
    /// not there and is not now.
    pub fn before(&self, files: &[&str]) -> Option<&'m Program> {
        self.before.filter(|before| {
            files.iter().all(|file| match (before.sources.text(file), self.sources.text(file)) {
                (Some(before), Some(now)) => before == now,
                (before, now) => before.is_none() && now.is_none(),
            })
        })
    }

    pub fn has(&self, name: &str) -> bool {
        self.folder.join(name).symlink_metadata().is_ok()
    }

    /// Tells a folder that is there and cannot be looked into: nothing in it would be found, as if there were
    /// no people and no certificates. Gives whether it can.
    pub fn can_look_into(&self, name: &str) -> bool {
        let folder = self.folder.join(name);
        if !self.has(name) {
            return true;
        }
        if self.leaves(&folder) {
            let message = format!("The folder {name} is a link to something outside the program folder.");
            let mend = "Put the real folder into the program folder, not a link to it.";
            self.mistakes.tell(&rules::PATH_ESCAPES, Place::whole(name), message, mend);
            return false;
        }
        let looked = fs::read_dir(&folder).and_then(|_| fs::metadata(folder.join(".")));
        let Err(error) = looked else { return true };
        let why = why_unreadable(&error, "this account is not allowed to open it");
        let message = format!("The folder {name} cannot be read: {why}.");
        let mend = "Make it a plain folder that you may read.";
        self.mistakes.tell(&rules::FILE_UNREADABLE, Place::whole(name), message, mend);
        false
    }

    /// The text of a file that must be there; why it is needed stands in `purpose`.
    pub fn need(&mut self, name: &str, purpose: &str) -> Option<Page> {
        if !self.has(name) {
            self.mistakes.tell(
                &rules::FILE_MISSING,
                Place::whole(name),
                format!("There is no file {name} in the program folder. {purpose}"),
                format!("Add {name}; the example that “packstring begin” lays out shows its form."),
            );
            return None;
        }
        self.get(name)
    }

    /// The text of a file that may be there or not.
    pub fn find(&mut self, name: &str) -> Option<Page> {
        self.has(name).then(|| self.get(name)).flatten()
    }

    /// The text of a file that is only ever added to. A letter at its very end that was cut short, as when
    /// the power failed, is left out.
    pub fn find_record(&mut self, name: &str) -> Option<Page> {
        if !self.has(name) {
            return None;
        }
        let bytes = self.bytes(name)?;
        let cut = std::str::from_utf8(&bytes).err().filter(|error| error.error_len().is_none());
        let whole = cut.map_or(bytes.len(), |error| error.valid_up_to());
        self.decode(name.into(), bytes[..whole].to_vec())
    }

    /// The text of a file; what hinders reading it is told.
    pub fn get(&mut self, name: &str) -> Option<Page> {
        let bytes = self.bytes(name)?;
        let page = self.decode(name.into(), bytes)?;
        bounds::check(&page, self.mistakes).then_some(page)
    }

    /// The bytes of a file; what hinders reading it is told.
    pub fn bytes(&mut self, name: &str) -> Option<Vec<u8>> {
        if let Some((_, text)) = self.instead.filter(|(instead, _)| *instead == name) {
            return Some(text.as_bytes().to_vec());
        }
        let path = self.folder.join(name);
        if self.leaves(&path) {
            self.mistakes.tell(
                &rules::PATH_ESCAPES,
                Place::whole(name),
                format!("{name} is a link to something outside the program folder."),
                "Put the file itself into the program folder.",
            );
            return None;
        }
        let opened = disk::open(&path);
        let length = opened.as_ref().ok().and_then(|file| file.metadata().ok()).map(|about| about.len());
        if length.is_some_and(|length| !bounds::fits(name, length, self.mistakes)) {
            return None;
        }
        let read = opened
            .and_then(disk::in_full)
            .map_err(|error| why_unreadable(&error, "this account may not read it"));
        let tell = |why| {
            let message = format!("{name} cannot be read: {why}.");
            let mend = "Make it a plain file that you may read.";
            self.mistakes.tell(&rules::FILE_UNREADABLE, Place::whole(name), message, mend);
        };
        read.map_err(tell).ok()
    }

    /// Whether something that is there lies outside the folder once its links are followed.
    pub fn leaves(&self, path: &Path) -> bool {
        match (&self.real, path.canonicalize()) {
            (Some(folder), Ok(real)) => !real.starts_with(folder),
            _ => false,
        }
    }

    /// Names of the files of a folder that end in `ending`, without it, in order.
    pub fn names(&self, folder: &str, ending: &str) -> Vec<String> {
        let Ok(entries) = fs::read_dir(self.folder.join(folder)) else { return Vec::new() };
        let mut names: Vec<String> = entries
            .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
            .filter_map(|name| name.strip_suffix(ending).map(str::to_owned))
            .collect();
        names.sort();
        names
    }

    /// Names of the folders in a folder, in order.
    pub fn folders(&self, folder: &str) -> Vec<String> {
        let Ok(entries) = fs::read_dir(self.folder.join(folder)) else { return Vec::new() };
        let entries = entries.filter_map(Result::ok).filter(|entry| entry.path().is_dir());
        let mut names: Vec<String> =
            entries.filter_map(|entry| entry.file_name().into_string().ok()).collect();
        names.sort();
        names
    }

    fn decode(&mut self, file: FileName, bytes: Vec<u8>) -> Option<Page> {
        match String::from_utf8(bytes) {
            Ok(text) if text.contains('\0') => {
                let at = text.find('\0').unwrap_or_default();
                self.sources.add(file.clone(), text.into());
                self.tell_no_letter(&file, at);
                None
            }
            Ok(text) => {
                let text: Arc<str> = text.into();
                self.sources.add(file.clone(), text.clone());
                Some(Page::new(file, text))
            }
            Err(error) => {
                let at = error.utf8_error().valid_up_to();
                let bytes = error.into_bytes();
                let is_utf_16 = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
                let kept = if is_utf_16 { "" } else { &String::from_utf8_lossy(&bytes) };
                self.sources.add(file.clone(), kept.into());
                self.tell_no_letter(&file, at);
                None
            }
        }
    }

    fn tell_no_letter(&self, file: &FileName, at: usize) {
        let mend = "Save the file with the encoding UTF-8.";
        let message = format!("{file} is not plain UTF-8 text: this is not a letter.");
        self.mistakes.tell(&rules::FILE_UNREADABLE, Place::new(file, at..at), message, mend);
    }
}

/// Why a written path cannot be taken as one inside the program folder; `None` if it can.
pub(super) fn unfit_path(path: &str) -> Option<&'static str> {
    let bytes = path.as_bytes();
    if path.contains('\\') {
        Some("A path in a program file has “/” between its parts, never “\\”.")
    } else if path.starts_with('/') || (bytes.len() > 1 && bytes[1] == b':') {
        Some("A path in a program file starts at the program folder, not at the root of the disk.")
    } else if path.split('/').any(|part| part == "..") {
        Some("A path in a program file may not climb out of the program folder with “..”.")
    } else if path.chars().any(char::is_control) {
        Some("A path in a program file may not hold control characters.")
    } else {
        None
    }
}

/// Why something that is there cannot be read; `denied` says what this account may not do.
fn why_unreadable(error: &Error, denied: &'static str) -> &'static str {
    match error.kind() {
        _ if refusal(error) == Some(Refusal::Special) => "it is a pipe or a device",
        ErrorKind::PermissionDenied => denied,
        ErrorKind::IsADirectory => "it is a folder",
        ErrorKind::NotADirectory => "it is a file, and a folder belongs there",
        ErrorKind::NotFound => "it is a link to something that is not there",
        _ => "the disk gave an error",
    }
}

#[cfg(test)]
mod tests {
    use super::{Files, unfit_path};
    use crate::finding::Sources;
    use crate::program::mistakes::Mistakes;

    fn told_of(fill: impl Fn(&std::path::Path)) -> String {
        let folder = tempfile::tempdir().unwrap();
        fill(&folder.path().join("facts.toml"));
        let mistakes = Mistakes::default();
        assert!(Files::new(folder.path(), &mistakes).get("facts.toml").is_none());
        mistakes.take_findings(&Sources::default()).remove(0).message
    }

    #[test]
    fn what_is_no_letter_is_told_and_not_read() {
        let told = told_of(|file| std::fs::write(file, "value = \0").unwrap());
        assert_eq!(told, "facts.toml is not plain UTF-8 text: this is not a letter.");
    }

    #[cfg(unix)]
    #[test]
    fn what_is_neither_file_nor_folder_is_not_waited_for() {
        let told = told_of(|file| drop(std::os::unix::net::UnixListener::bind(file).unwrap()));
        assert_eq!(told, "facts.toml cannot be read: it is a pipe or a device.");
    }

    #[test]
    fn paths_that_leave_the_folder_are_unfit() {
        for path in ["../x.svg", "a/../../x", "/etc/passwd", "C:/x", "a\\b.svg", "a\0b"] {
            assert!(unfit_path(path).is_some(), "{path}");
        }
        for path in ["pictures/x.svg", "x", "a..b/c", "pictures/größe.png"] {
            assert_eq!(unfit_path(path), None, "{path}");
        }
    }
}
