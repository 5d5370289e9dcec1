//! The theme: templates, inks, words and type that give pieces their look.
//!
//! The built-in theme stands in the binary. A folder of the program may replace single files of it:
//! a file of the same name takes the place of the built-in one, and new files come beside.

use super::error::{PressError, check_utf8, read_toml};
use super::reads::{Reads, reads};
use crate::digest::{absorb, hex};
use crate::disk;
use crate::io_error::{Refusal, in_words, refused};
use crate::words::Words;
use include_dir::{Dir, include_dir};
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use typst::foundations::Bytes;

static PLAIN: Dir = include_dir!("$CARGO_MANIFEST_DIR/themes/plain");

/// The files of a theme by their path in its folder: `sheets/handbook.typ`.
#[derive(Clone, Debug)]
pub struct Theme {
    files: BTreeMap<String, Bytes>,
    own: Option<Own>,
}

/// The program's own folder in a theme.
#[derive(Clone, Debug)]
struct Own {
    /// As `program.toml` has it: `themes/ours`.
    folder: String,
    /// Which files come from it.
    names: BTreeSet<String>,
}

impl Theme {
    /// The theme that is built in.
    pub fn plain() -> Self {
        let mut files = BTreeMap::new();
        gather(&PLAIN, &mut files);
        Self { files, own: None }
    }

    /// The built-in theme with the files of a folder of the program in place of its own. `called` is the
    /// folder as the program names it, and so it is told: `themes/ours`.
    pub fn with_folder(program: &Path, called: &str) -> Result<Self, PressError> {
        let called = called.trim_end_matches('/');
        let folder = program.join(called);
        let unreadable = |path: &Path, why: String| PressError::Theme {
            file: path.strip_prefix(program).unwrap_or(path).display().to_string(),
            message: format!("the theme's folder could not be read: {why}"),
        };
        let mut theme = Self::plain();
        let mut names = BTreeSet::new();
        for entry in walkdir::WalkDir::new(&folder).sort_by_file_name() {
            let entry = entry.map_err(|error| {
                let path = error.path().unwrap_or(&folder).to_owned();
                let why = error.io_error().map_or_else(|| "a link leads back to itself".to_owned(), in_words);
                unreadable(&path, why)
            })?;
            if entry.file_type().is_dir() || entry.file_name().to_string_lossy().starts_with('.') {
                continue;
            }
            // Passed over, the built-in one would take its place and nobody would know.
            if entry.file_type().is_symlink() && entry.depth() > 0 {
                return Err(unreadable(entry.path(), refused(Refusal::Link).to_string()));
            }
            let bytes =
                disk::read(entry.path()).map_err(|error| unreadable(entry.path(), in_words(&error)))?;
            let below = entry.path().strip_prefix(&folder).unwrap_or(entry.path());
            let parts: Vec<_> = below.iter().map(|part| part.to_string_lossy()).collect();
            let name = parts.join("/");
            if is_text(&name) {
                check_utf8(&format!("{called}/{name}"), &bytes)?;
            }
            names.insert(name.clone());
            theme.files.insert(name, Bytes::new(bytes));
        }
        theme.own = Some(Own { folder: called.to_owned(), names });
        Ok(theme)
    }

    /// A file as it is told: one of the program's own folder by its path in the program.
    pub fn shown(&self, name: &str) -> String {
        match &self.own {
            Some(own) if own.names.contains(name) => format!("{}/{name}", own.folder),
            _ => name.to_owned(),
        }
    }

    /// The files that come from the program's own folder, in the order of their names.
    pub fn own_files(&self) -> impl Iterator<Item = &str> {
        self.own.iter().flat_map(|own| own.names.iter().map(String::as_str))
    }

    /// A theme of just these files; for trying a template by itself.
    pub fn of_files<'a>(files: impl IntoIterator<Item = (&'a str, &'a [u8])>) -> Self {
        let files =
            files.into_iter().map(|(name, bytes)| (name.to_owned(), Bytes::new(bytes.to_vec()))).collect();
        Self { files, own: None }
    }

    /// This theme with one file replaced or added.
    pub fn with_file(mut self, name: &str, bytes: &[u8]) -> Self {
        self.files.insert(name.to_owned(), Bytes::new(bytes.to_vec()));
        self
    }

    pub fn file(&self, name: &str) -> Option<&Bytes> {
        self.files.get(name)
    }

    /// Every file, in the order of their names.
    pub fn files(&self) -> impl Iterator<Item = (&str, &Bytes)> {
        self.files.iter().map(|(name, bytes)| (name.as_str(), bytes))
    }

    /// The files in one folder of the theme and below it, by their path in the theme.
    pub fn folder(&self, folder: &str) -> impl Iterator<Item = (&str, &Bytes)> {
        self.files()
            .filter(move |(name, _)| name.strip_prefix(folder).is_some_and(|rest| rest.starts_with('/')))
    }

    /// What the theme itself says, in each language that it has.
    ///
    /// # Errors
    /// The first of its `words/` that cannot be read.
    pub fn words(&self) -> Result<Words, PressError> {
        // A folder may hold just the words that it changes.
        let below = self.own.is_some().then(Words::default);
        self.words_in("words", below.as_ref())
    }

    /// What the pages of the front desk say, in each language that it speaks. They stand apart, so that another word of
    /// the desk makes no piece anew.
    ///
    /// # Errors
    /// The first of its `desk/words/` that cannot be read.
    pub fn desk_words(&self) -> Result<Words, PressError> {
        let below = match self.own {
            Some(_) => Some(Self::plain().words_in("desk/words", None)?),
            None => None,
        };
        self.words_in("desk/words", below.as_ref())
    }

    fn words_in(&self, folder: &str, below: Option<&Words>) -> Result<Words, PressError> {
        // Parsed first by who tells the place.
        for (name, bytes) in self.folder(folder).filter(|(name, _)| name.ends_with(".toml")) {
            read_toml(self, name, bytes)?;
        }
        let files = self.folder(folder).map(|(name, bytes)| (&name[folder.len() + 1..], bytes.as_slice()));
        Words::read_over(files, below).map_err(|unreadable| PressError::Theme {
            file: self.shown(&format!("{folder}/{}", unreadable.file)),
            message: unreadable.message,
        })
    }

    /// A fingerprint of all that a template in `sheets/` can see: inks, words and type, and what it reads itself.
    pub fn sheet_fingerprint(&self, template: &str) -> String {
        let template = format!("sheets/{template}");
        let Reads { files, unsure } = reads(self, &template);
        let folders: &[&str] = if unsure { &["sheets", "words", "type"] } else { &["words", "type"] };
        self.fingerprint_of(folders, &files)
    }

    /// A fingerprint of the whole theme.
    pub fn fingerprint(&self) -> String {
        let mut hash = Sha256::new();
        absorb_files(&mut hash, self.files());
        hex(hash.finalize())
    }

    /// A fingerprint of all that a page template can see.
    pub fn pages_fingerprint(&self) -> String {
        self.fingerprint_of(&["pages", "words"], &BTreeSet::new())
    }

    fn fingerprint_of(&self, folders: &[&str], files: &BTreeSet<String>) -> String {
        let mut hash = Sha256::new();
        let chosen = self.files().filter(|(name, _)| {
            *name == "inks.toml"
                || files.contains(*name)
                || folders.iter().any(|folder| name.split('/').next() == Some(folder))
        });
        absorb_files(&mut hash, chosen);
        hex(hash.finalize())
    }
}

/// Files of a theme as part of what something is made from.
pub(super) fn absorb_files<'t>(hash: &mut Sha256, files: impl Iterator<Item = (&'t str, &'t Bytes)>) {
    for (name, bytes) in files {
        absorb(hash, name.as_bytes());
        absorb(hash, bytes);
    }
}

/// Whether a file is a template or a table, which the press reads as text.
fn is_text(name: &str) -> bool {
    [".typ", ".html", ".css", ".js", ".toml"].iter().any(|ending| name.ends_with(ending))
}

fn gather(folder: &'static Dir, files: &mut BTreeMap<String, Bytes>) {
    for file in folder.files() {
        let parts: Vec<_> = file.path().iter().map(|part| part.to_string_lossy()).collect();
        files.insert(parts.join("/"), Bytes::new(file.contents()));
    }
    for inner in folder.dirs() {
        gather(inner, files);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_replaces_single_files_and_adds_new_ones() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::create_dir_all(folder.path().join("sheets")).unwrap();
        std::fs::write(folder.path().join("inks.toml"), "[color]\n").unwrap();
        std::fs::write(folder.path().join("sheets/ours.typ"), "hello").unwrap();
        let plain = Theme::plain();
        let (program, called) = (folder.path().parent().unwrap(), folder.path().file_name().unwrap());
        let called = called.to_str().unwrap();
        let ours = Theme::with_folder(program, called).unwrap();
        assert_eq!(ours.file("inks.toml").unwrap().as_slice(), b"[color]\n");
        assert_eq!(ours.file("sheets/ours.typ").unwrap().as_slice(), b"hello");
        assert_eq!(ours.shown("inks.toml"), format!("{called}/inks.toml"));
        assert_eq!(ours.shown("words/en.toml"), "words/en.toml");
        assert_eq!(ours.own_files().collect::<Vec<_>>(), ["inks.toml", "sheets/ours.typ"]);
        assert_eq!(ours.file("words/en.toml"), plain.file("words/en.toml"));
        let handbook = |theme: &Theme| theme.sheet_fingerprint("handbook.typ");
        assert_ne!(handbook(&ours), handbook(&plain), "the inks are others");
        assert_eq!(handbook(&plain), handbook(&Theme::plain()));
    }

    #[test]
    fn a_folder_that_is_not_there_is_told() {
        assert!(Theme::with_folder(Path::new("no/such"), "theme").is_err());
    }

    #[test]
    fn pages_and_sheets_have_fingerprints_of_their_own() {
        let plain = Theme::plain();
        let other = plain.clone().with_file("pages/new.html", b"x");
        assert_eq!(plain.sheet_fingerprint("deck.typ"), other.sheet_fingerprint("deck.typ"));
        assert_ne!(plain.pages_fingerprint(), other.pages_fingerprint());
    }

    #[test]
    fn a_template_changes_with_what_it_reads_and_with_nothing_else() {
        let plain = Theme::plain();
        let with = |name: &str| {
            let text = [plain.file(name).unwrap().as_slice(), b"\n// more"].concat();
            let edited = plain.clone().with_file(name, &text);
            move |template: &str| edited.sheet_fingerprint(template) != plain_print(template)
        };
        fn plain_print(template: &str) -> String {
            Theme::plain().sheet_fingerprint(template)
        }
        let envelope = with("sheets/envelope.typ");
        assert!(envelope("envelope.typ") && !envelope("handbook.typ"));
        let base = with("sheets/lib/base.typ");
        assert!(base("handbook.typ") && base("certificate.typ"));
        let words = with("words/en.toml");
        assert!(words("handbook.typ") && words("envelope.typ"));
    }
}
