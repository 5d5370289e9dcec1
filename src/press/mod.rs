//! Make: jobs and a theme become bytes. The only room that typesets.
//!
//! | file | holds |
//! | --- | --- |
//! | `theme` | the theme's files, built in and replaced by a folder |
//! | `engine` | the typesetter over virtual files |
//! | `codes` | codes for telephones, drawn |
//! | `drafts` | letters by e-mail, each with the page that is attached to it |
//! | `letters` | which letters the fonts have |
//! | `lettering` | how high letters in drawings come out |
//! | `laid_out` | what only laying out can tell: slides that do not fit, letters that came out empty |
//! | `making`, `in_order` | jobs made on every thread and handed over in their order |
//! | `station` | what one thread works with |
//! | `broken` | files that the typesetter broke down over |
//! | `overrun` | work that would never end |
//! | `memory` | how much the typesetter remembers |
//! | `sheet` | a sheet laid out, and the files that show its pages |
//! | `pictures` | the program's pictures |
//! | `pdf` | from pages to a PDF |
//! | `one_by_one` | entries of one sheet that are held by themselves |
//! | `fits` | what fitting by measuring found, to be handed back |
//! | `fingerprint` | what a file is made from, in one number |
//! | `reads` | which files of the theme a template reads |
//! | `run_plan`, `run` | many sheets of one template, each by itself and all in one file |
//! | `imposed` | pages of a sheet set on other sheets: booklets, tiles |
//! | `pages` | HTML |
//! | `inks` | whether inks can be read on their grounds |
//! | `unasked` | files of a theme's folder that nothing asks for |
//! | `tables` | CSV and XLSX |
//!
//! A [`Press`] is opened once with a theme and the program's folder. [`Press::plan`] says which
//! files a job gives and a fingerprint of all that each is made from; [`Press::make_all`] makes those
//! that are wanted, on every thread, and hands each on in its turn. Nothing here writes to disk.
//!
//! What people wrote reaches a template as data in virtual files, never as code.

mod black;
mod broken;
mod codes;
mod drafts;
mod engine;
mod error;
mod families;
mod fingerprint;
mod fits;
mod imposed;
mod in_order;
mod inks;
mod laid_out;
mod lettering;
mod letters;
mod making;
mod memory;
mod one_by_one;
mod overrun;
mod pages;
mod pdf;
mod pictures;
mod reads;
mod run;
mod run_plan;
mod sheet;
mod station;
mod tables;
mod theme;
mod unused_files;

pub use error::{Fault, PressError};
pub use inks::too_faint;
pub use letters::Letters;
pub use making::{Made, Step, Take};
pub use overrun::on_overrun;
pub use theme::Theme;
pub use unused_files::unused_files;

use crate::digest::{absorb, hex};
use crate::finding::{Finding, Place};
use crate::job::{Job, Make, Original, Sheet};
use crate::words::Words;
pub(crate) use engine::{Engine, Root};
use fits::Fits;
use memory::Memory;
use pages::Pages;
use pictures::Pictures;
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, OnceLock};
use typst::foundations::Bytes;
use typst::text::Font;

/// A file that a job gives.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Output {
    /// Below the job's shelf.
    pub path: String,
    /// Stands for all that the file is made from: equal fingerprints, equal bytes.
    pub fingerprint: String,
}

/// What is known of a job before it is made.
pub struct Planned<'j> {
    job: &'j Job,
    files: Files<'j>,
    /// Why entries of a run are not among the files: letters that no font has.
    pub held: Vec<Finding>,
}

enum Files<'j> {
    One(Output),
    Run(run_plan::Plan<'j>),
}

impl<'j> Planned<'j> {
    pub fn job(&self) -> &'j Job {
        self.job
    }

    /// What of it can be made apart from the rest, each by how much work it is: a file, or of a run each common file
    /// with the entries that it holds.
    pub fn units(&self) -> Vec<usize> {
        match &self.files {
            Files::One(_) => vec![1],
            Files::Run(plan) => plan.volumes.iter().map(|volume| volume.entries.len()).collect(),
        }
    }

    /// Leaves only these of its units to be made. What is held is told with the first of them.
    pub fn only(&mut self, mine: &[bool]) {
        debug_assert_eq!(mine.len(), self.units().len());
        if !mine.first().is_some_and(|first| *first) {
            self.held.clear();
        }
        match &mut self.files {
            Files::One(_) => {}
            Files::Run(plan) => {
                let mut mine = mine.iter();
                plan.volumes.retain(|_| mine.next().is_some_and(|mine| *mine));
            }
        }
    }

    /// In the order in which [`Press::make_all`] hands them on.
    pub fn outputs(&self) -> Vec<&Output> {
        match &self.files {
            Files::One(output) => vec![output],
            Files::Run(plan) => plan.outputs(),
        }
    }
}

/// What laying out finds wrong with the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LayoutFinding {
    pub finding: Finding,
    /// The output that tells it again when it is made again.
    pub path: String,
}

/// The press: a theme, its type, and the pictures of one program.
pub struct Press {
    theme: Arc<Theme>,
    /// Of what each sheet template reads, once it was asked for.
    template_fingerprints: Mutex<BTreeMap<String, String>>,
    pages_fingerprint: String,
    letters: Letters,
    pictures: Pictures,
    fits: Mutex<Fits>,
    /// Typesetters that no thread works with at the moment.
    idle: Mutex<Vec<Engine>>,
    memory: Memory,
    words: Words,
    pages: OnceLock<Pages>,
    desk: OnceLock<Pages>,
    /// How many threads may work at once.
    threads: usize,
    /// Whether anything that was planned takes letters from fonts of this machine.
    has_borrowed: AtomicBool,
}

impl Press {
    /// `program` is the folder that the pictures of jobs are in. Words that cannot be read are those of the
    /// built-in theme; [`Theme::words`] tells why.
    pub fn open(theme: Theme, program: &Path) -> Self {
        let theme = Arc::new(theme);
        let letters = Letters::new(&theme);
        let words = theme.words().unwrap_or_default();
        Self {
            template_fingerprints: Mutex::default(),
            pages_fingerprint: theme.pages_fingerprint(),
            pictures: Pictures::new(program),
            fits: Mutex::default(),
            idle: Mutex::default(),
            memory: Memory::once(),
            pages: OnceLock::new(),
            desk: OnceLock::new(),
            threads: std::thread::available_parallelism().map_or(1, usize::from),
            theme,
            letters,
            words,
            has_borrowed: AtomicBool::new(false),
        }
    }

    /// Uses this many threads instead of one a core. The bytes are the same.
    pub fn with_threads(mut self, threads: usize) -> Self {
        self.threads = threads.max(1);
        self
    }

    /// A fingerprint of the whole theme.
    pub fn theme_fingerprint(&self) -> String {
        let mut hash = self.fresh_fingerprint();
        theme::absorb_files(&mut hash, self.theme.files());
        hex(hash.finalize())
    }

    /// Whether anything that was planned so far takes letters from fonts of this machine.
    pub fn has_borrowed(&self) -> bool {
        self.has_borrowed.load(Ordering::Relaxed)
    }

    /// Is held: lets the process hold so many bytes before the typesetter forgets what it has laid out, and never
    /// what the last piece of work used, so that an edit lays out only what it touches. Otherwise it makes a program
    /// once, in little memory. The bytes of what is made are the same.
    pub fn with_memory(mut self, bytes: usize) -> Self {
        self.memory = Memory::held(bytes);
        self
    }

    /// Whether it was opened with a theme of just these files.
    pub fn has_theme(&self, theme: &Theme) -> bool {
        self.theme.files().eq(theme.files()) && self.theme.own_files().eq(theme.own_files())
    }

    /// Forgets the program's pictures, whose files may have changed.
    pub fn look_at_pictures_again(&self) {
        self.pictures.forget();
    }

    /// Which letters can be printed.
    pub fn letters(&self) -> &Letters {
        &self.letters
    }

    /// What the theme itself says, in each language.
    pub fn words(&self) -> &Words {
        &self.words
    }

    /// The files of the theme that hold the type of pages, and its licenses: `pages/faces/ours.woff2`.
    pub fn faces(&self) -> Vec<String> {
        self.theme.folder("pages/faces").map(|(name, _)| name.to_owned()).collect()
    }

    /// The files that a job gives, and what is held before anything is laid out.
    pub fn plan<'j>(&self, job: &'j Job) -> Planned<'j> {
        match &job.make {
            Make::Run(run) => {
                let (plan, held) = run_plan::plan(self, job, run);
                Planned { job, files: Files::Run(plan), held }
            }
            make => {
                // What is printed in the place of a held entry is what counts: with a font that has the letters the
                // sheet is another.
                let held = match make {
                    Make::Sheet(sheet) => one_by_one::hold(&self.letters, job, sheet).map(|(data, held)| {
                        let sheet = Sheet { data, ..sheet.clone() };
                        (self.fingerprint(&Make::Sheet(sheet)), held)
                    }),
                    _ => None,
                };
                let (fingerprint, held) = held.unwrap_or_else(|| (self.fingerprint(make), Vec::new()));
                Planned { job, files: Files::One(Output { path: job.path.clone(), fingerprint }), held }
            }
        }
    }

    /// A page of the theme by itself, which is no job's.
    ///
    /// # Errors
    /// The template cannot be read, or asks for what is not in the data.
    pub fn page(&self, template: &str, data: &serde_json::Value) -> Result<Vec<u8>, PressError> {
        self.pages()?.render(&self.theme, template, template, data)
    }

    /// A page or a style sheet of the front desk, from the theme's `desk/`.
    ///
    /// # Errors
    /// The template cannot be read, or asks for what is not in the data.
    pub fn desk_page(&self, template: &str, data: &serde_json::Value) -> Result<Vec<u8>, PressError> {
        if self.desk.get().is_none() {
            let pages = Pages::of_desk(&self.theme)?;
            self.desk.get_or_init(|| pages);
        }
        let template = format!("desk/{template}");
        self.desk.get().expect("set just above").render(&self.theme, &template, &template, data)
    }

    /// A file of the theme, as it is: a script of the front desk, a font.
    pub fn theme_file(&self, name: &str) -> Option<&[u8]> {
        self.theme.file(name).map(Bytes::as_slice)
    }

    fn pages(&self) -> Result<&Pages, PressError> {
        if self.pages.get().is_none() {
            let pages = Pages::new(&self.theme)?;
            self.pages.get_or_init(|| pages);
        }
        Ok(self.pages.get().expect("set just above"))
    }

    fn original(&self, job: &Job, of: &Original) -> Result<Vec<u8>, PressError> {
        let (name, bytes) = match of {
            Original::Theme(name) => (name, self.theme.file(name).cloned()),
            Original::Program(name) => (name, self.pictures.get(name).ok()),
        };
        bytes
            .map(|bytes| bytes.to_vec())
            .ok_or_else(|| PressError::Missing { path: job.path.clone(), file: name.clone() })
    }

    /// A typesetter that also has fonts of this machine.
    fn engine_with(&self, helpers: Vec<Font>) -> Engine {
        let fonts = self.letters.theme().iter().cloned().chain(helpers).collect();
        Engine::new(&self.theme, &self.words, fonts)
    }
}

/// Data for a template, and for fingerprints.
///
/// The old zero-width no-break space, which forms and word processors leave behind, may not stand in an accessible PDF;
/// the word joiner shows and does the same.
fn json(value: &Value) -> Bytes {
    const OLD: &str = "\u{feff}";
    let text = serde_json::to_string(value).expect("a value is always JSON");
    Bytes::from_string(if text.contains(OLD) { text.replace(OLD, "\u{2060}") } else { text })
}

/// Every string in a value, but not the names of its keys.
fn strings(value: &Value) -> Vec<&str> {
    match value {
        Value::String(text) => vec![text],
        Value::Array(values) => values.iter().flat_map(strings).collect(),
        Value::Object(map) => map.values().flat_map(strings).collect(),
        _ => Vec::new(),
    }
}
